"""Legs of a path in or out: straight ones and turns about a line, each driven from its beginning to its end.

mm and degrees, turns right-handed; bay axes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brackets.clearance.places import (
    IDENTITY,
    Array,
    Point,
    Transform,
    about,
    direction,
    moved,
    point,
    vector,
)
from brackets.core.errors import InputError, OutOfRange

MOST_TURN = 360.0  # degrees of one turning leg


@dataclass(frozen=True)
class StraightLeg:
    """A straight leg, mm along x, y and z."""

    by: Point

    @property
    def length(self) -> float:
        """mm."""
        return math.hypot(*self.by)

    @property
    def unit(self) -> str:
        return "mm"

    def place(self, at: float) -> Transform:
        """Where the leg has carried things after `at` mm."""
        return moved(np.asarray(self.by) * (at / self.length))

    def carried(self, _: Array, span: float) -> float:
        """mm that a point goes within `span` mm of the leg."""
        return span

    def reach(self, _: Array, allowed: float) -> float:
        """How far along the leg no point goes further than `allowed` mm."""
        return allowed

    def arms(self, points: Array) -> Array:
        return np.zeros(len(points))


@dataclass(frozen=True)
class RotaryLeg:
    """A turning leg: degrees about a line through a point."""

    through: Point
    axis: Point
    degrees: float

    @property
    def length(self) -> float:
        """Degrees, without sign."""
        return abs(self.degrees)

    @property
    def unit(self) -> str:
        return "deg"

    def place(self, at: float) -> Transform:
        return about(self.through, self.axis, math.copysign(at, self.degrees))

    def carried(self, arms: Array, span: float) -> float:
        return float(arms.max()) * 2 * math.sin(math.radians(min(span, 180.0)) / 2)

    def reach(self, arms: Array, allowed: float) -> float:
        share = allowed / (2 * max(float(arms.max()), 1e-9))
        return math.degrees(2 * math.asin(share)) if share < 1 else 180.0

    def arms(self, points: Array) -> Array:
        """(n,) float mm: how far each point is from the line."""
        away, unit = points - np.asarray(self.through), np.asarray(self.axis)
        return np.asarray(np.linalg.norm(away - np.outer(away @ unit, unit), axis=1))


Leg = StraightLeg | RotaryLeg


def straight(by: Sequence[float]) -> StraightLeg:
    """A straight leg, mm along x, y and z; one of no length is refused."""
    found = point(vector(by, "leg"))
    if math.hypot(*found) < 1e-6:
        raise OutOfRange("leg = 0 mm, must have a length: straight leg of a way out")
    return StraightLeg(found)


def swing(through: Sequence[float], axis: Sequence[float], degrees: float) -> RotaryLeg:
    """A turning leg of a path in or out.

    through: a point of the axis, mm; axis: its direction, of any length; degrees: how far, right-handed, not 0.
    Raises InputError for a turn out of limits or an axis without length.

    >>> swing((0, 0, 0), (0, 0, 5), 90).degrees
    90.0
    """
    if not 1e-6 <= abs(degrees) <= MOST_TURN:
        raise OutOfRange(
            f"leg = {degrees} deg, must be up to {MOST_TURN:g} either way and not 0: turning leg of a way out"
        )
    return RotaryLeg(point(vector(through, "leg point")), point(direction(axis, "leg axis")), float(degrees))


def read(legs: Sequence[Leg | Sequence[float]]) -> tuple[Leg, ...]:
    """Legs as given, three bare numbers being a straight one."""
    if not legs:
        raise InputError("legs = none, must be at least one: the way out")
    return tuple(leg if isinstance(leg, StraightLeg | RotaryLeg) else straight(leg) for leg in legs)


def starts(legs: Sequence[Leg]) -> tuple[Transform, ...]:
    """Where each leg begins, all those before it driven to their ends."""
    found = [IDENTITY]
    for leg in legs[:-1]:
        found.append(leg.place(leg.length) @ found[-1])
    return tuple(found)
