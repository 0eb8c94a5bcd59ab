"""Three-vectors as plain tuples: enough for placing things, and light to load."""

from __future__ import annotations

import math

Vec = tuple[float, float, float]


def add(a: Vec, b: Vec) -> Vec:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2])


def sub(a: Vec, b: Vec) -> Vec:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def scale(a: Vec, k: float) -> Vec:
    return (a[0] * k, a[1] * k, a[2] * k)


def dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vec, b: Vec) -> Vec:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def length(a: Vec) -> float:
    return math.hypot(*a)


def unit(a: Vec) -> Vec:
    size = math.hypot(*a)
    return (a[0] / size, a[1] / size, a[2] / size)


def degrees_between(a: Vec, b: Vec) -> float:
    """The angle between two vectors of any length, degrees, 0 to 180; true near 0 and 180, where acos is not."""
    return math.degrees(math.atan2(length(cross(a, b)), dot(a, b)))


def square_to(a: Vec, axis: Vec) -> Vec:
    """The part of `a` square to the unit vector `axis`."""
    return sub(a, scale(axis, dot(a, axis)))
