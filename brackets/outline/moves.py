"""Shift, turn, mirror and scale an outline; the result runs anticlockwise again."""

from __future__ import annotations

import math

from brackets.errors import OutOfRange
from brackets.outline.curve import Outline
from brackets.outline.segments import Point


def translate(o: Outline, dx: float, dy: float) -> Outline:
    """Moved by (dx, dy) mm."""
    return o.map(lambda p: (p[0] + dx, p[1] + dy))


def rotate(o: Outline, angle: float, *, about: Point = (0.0, 0.0)) -> Outline:
    """Turned by `angle` degrees anticlockwise; quarter turns are exact."""
    cos, sin = _quarter(angle)

    def turn(p: Point) -> Point:
        x, y = p[0] - about[0], p[1] - about[1]
        return (about[0] + x * cos - y * sin, about[1] + x * sin + y * cos)

    return o.map(turn)


def mirror_x(o: Outline) -> Outline:
    """Left and right swapped: x becomes -x."""
    return o.map(lambda p: (0.0 - p[0], p[1]))


def mirror_y(o: Outline) -> Outline:
    """Up and down swapped: y becomes -y."""
    return o.map(lambda p: (p[0], 0.0 - p[1]))


def scale(o: Outline, factor: float, *, about: Point = (0.0, 0.0)) -> Outline:
    """Every length times `factor`."""
    if not (math.isfinite(factor) and factor > 0.0):
        raise OutOfRange(f"scale = {factor:g}, must be over 0")
    return o.map(lambda p: (about[0] + factor * (p[0] - about[0]), about[1] + factor * (p[1] - about[1])))


def _quarter(angle: float) -> Point:
    turns, rest = divmod(angle, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(turns) % 4]
    return (math.cos(math.radians(angle)), math.sin(math.radians(angle)))
