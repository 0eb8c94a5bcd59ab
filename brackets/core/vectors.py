"""Three-vectors as plain tuples: enough for placing things, and light to load."""

from __future__ import annotations

import math
from collections.abc import Iterable

Vec = tuple[float, float, float]


def add(a: Vec, b: Vec) -> Vec:
    """The sum of two vectors; a, b: three figures each, of the same unit.

    >>> add((1, 2, 3), (0, 0, 10))
    (1, 2, 13)
    """
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec, b: Vec) -> Vec:
    """The vector from `b` to `a`, both of the same unit.

    >>> sub((1, 2, 13), (1, 2, 3))
    (0, 0, 10)
    """
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vec, k: float) -> Vec:
    """The vector `a`, each of its figures times `k`.

    >>> scale((1, 0, -2), 5)
    (5, 0, -10)
    """
    return (a[0] * k, a[1] * k, a[2] * k)


def dot(a: Vec, b: Vec) -> float:
    """The scalar product of `a` and `b`: 0 where they are square to each other.

    >>> dot((1, 2, 3), (3, 0, -1))
    0
    """
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec, b: Vec) -> Vec:
    """The vector product of `a` and `b`: square to both, right-handed.

    >>> cross((1, 0, 0), (0, 1, 0))
    (0, 0, 1)
    """
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def length(a: Vec) -> float:
    """How long a vector is, in its own unit; `brackets.norm`, since `brackets.length` reads a text.

    >>> norm((2, 3, 6))
    7.0
    """
    return math.hypot(*a)


def unit(a: Vec) -> Vec:
    """The direction of a vector: the same, 1 long. Raises ZeroDivisionError for one without length.

    >>> unit((0, 0, -40))
    (0.0, 0.0, -1.0)
    """
    size = math.hypot(*a)
    return (a[0] / size, a[1] / size, a[2] / size)


def degrees_between(a: Vec, b: Vec) -> float:
    """The angle between vectors `a` and `b`, degrees, 0 to 180; true near 0 and 180 too, where acos is not.

    >>> degrees_between((1, 0, 0), (0, 2, 0))
    90.0
    """
    return math.degrees(math.atan2(length(cross(a, b)), dot(a, b)))


def square_to(a: Vec, axis: Vec) -> Vec:
    """The part of `a` square to the unit vector `axis`.

    >>> square_to((3, 0, 4), (0, 0, 1))
    (3, 0, 0)
    """
    return sub(a, scale(axis, dot(a, axis)))


def coordinates(p: Iterable[float]) -> str:
    """A point as sentences and tables say it, in whole mm, with no minus before a 0.

    >>> coordinates((-0.2, 12.6, -3.0))
    '0, 13, -3'
    """
    return ", ".join(f"{float(c):z.0f}" for c in p)
