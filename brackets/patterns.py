"""Bolt patterns: where the holes of a face are, and the hole each bolt wants.

Patterns lie in their own plane, mm, centred on the origin unless a list says otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from brackets.errors import OutOfRange
from brackets.pieces import Hole, HoleKind, Point
from brackets.tables import bolt, hole


def rectangle(pitch_x: float, pitch_y: float) -> tuple[Point, ...]:
    """Four holes at the corners of a rectangle, counter-clockwise from the lower left."""
    x, y = pitch_x / 2, pitch_y / 2
    return ((-x, -y), (x, -y), (x, y), (-x, y))


def row(pitch: float, count: int) -> tuple[Point, ...]:
    """`count` holes in a line along x."""
    return tuple((pitch * (i - (count - 1) / 2), 0.0) for i in range(count))


def bolt_circle(d: float, count: int, *, first: float = 0.0) -> tuple[Point, ...]:
    """`count` holes on a circle of diameter `d`, the first at `first` degrees from x towards y."""
    if count < 1:
        raise OutOfRange(f"count = {count}, must be 1 or more: holes on a bolt circle")
    turns = [math.radians(first + 360.0 * i / count) for i in range(count)]
    return tuple((d / 2 * math.cos(a), d / 2 * math.sin(a)) for a in turns)


def bolt_hole(at: Point, size: str, *, kind: HoleKind = "boss", name: str = "") -> Hole:
    """The hole for a bolt of that size: its diameter by its kind, and the washer that must find room round it."""
    return Hole(at=at, d=hole(size, kind), kind=kind, bolt=size, washer_od=bolt(size).washer_od, name=name)


def bolt_holes(points: Iterable[Point], size: str, *, kind: HoleKind = "boss", name: str = "") -> tuple[Hole, ...]:
    """One hole a point, named `name` and a number where a name is given."""
    return tuple(
        bolt_hole(at, size, kind=kind, name=f"{name}{i}" if name else "") for i, at in enumerate(points, 1)
    )
