"""Where a thing stands: a proper rigid motion, written one way everywhere.

`at` is the origin, `axis` the local z, `up` the local y (made square to `axis`); local x is up cross axis.
Looking against `axis`, y points up and x to the right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from brackets.core.errors import InputError
from brackets.core.vectors import Vec, add, cross, dot, length, square_to, sub, unit

PARALLEL = 1e-9
"""Sine of the smallest angle between axis and up that still says which way is up."""

RIGID = 1e-9
"""How far a matrix may be from a rotation: rounding of a file with nine figures."""


@dataclass(frozen=True)
class Place:
    """Where a thing stands: a rigid motion from its own coordinates to the outer ones.

    at: its origin, mm; axis: its z; up: its y, made square to `axis`; both become unit vectors, x is `up` cross
    `axis`.
    Raises InputError where `axis` or `up` is zero or not finite, or the two are parallel.
    """

    at: Vec = (0.0, 0.0, 0.0)
    axis: Vec = (0.0, 0.0, 1.0)
    up: Vec = (0.0, 1.0, 0.0)

    def __post_init__(self) -> None:
        problems, put = [], object.__setattr__
        for name in ("at", "axis", "up"):
            given = getattr(self, name)
            value = tuple([float(c) + 0.0 for c in given])
            if len(value) != 3 or not all(map(math.isfinite, value)):
                problems.append(f"{name} = {given}, three finite numbers: a place")
            elif name != "at" and not any(value):
                problems.append(f"{name} = {value}, must not be zero: a direction of a place")
            put(self, name, value)
        if problems:
            raise InputError(*problems)
        axis = unit(self.axis)
        up = square_to(unit(self.up), axis)
        if length(up) < PARALLEL:
            raise InputError(f"up = {self.up}, must not be parallel to axis = {self.axis}: a place")
        x, y, z = axis
        put(self, "axis", (x + 0.0, y + 0.0, z + 0.0))
        x, y, z = unit(up)
        put(self, "up", (x + 0.0, y + 0.0, z + 0.0))

    @classmethod
    def of_matrix(cls, rows: Sequence[Sequence[float]]) -> Place:
        """The place of a (3, 4) or (4, 4) matrix; a mirrored or stretched one is refused (InputError)."""
        x, y, z = (unit_or_refuse((rows[0][i], rows[1][i], rows[2][i])) for i in range(3))
        if max(abs(dot(x, y)), abs(dot(y, z)), abs(dot(z, x))) > RIGID:
            raise InputError("matrix is sheared, must be a rotation and a shift: a place")
        if dot(cross(x, y), z) < 0:
            raise InputError(
                "matrix is mirrored (determinant -1), must be +1: a place; mirrored() makes the other hand"
            )
        return cls((rows[0][3], rows[1][3], rows[2][3]), z, y)

    @cached_property
    def x(self) -> Vec:
        return cross(self.up, self.axis)

    def direction(self, v: Vec) -> Vec:
        """`v` turned from local to outer directions."""
        (a, b, c), x, up, axis = v, self.x, self.up, self.axis
        return (
            x[0] * a + up[0] * b + axis[0] * c,
            x[1] * a + up[1] * b + axis[1] * c,
            x[2] * a + up[2] * b + axis[2] * c,
        )

    def point(self, p: Vec) -> Vec:
        """`p` in outer coordinates, mm."""
        return add(self.at, self.direction(p))

    def local(self, p: Vec) -> Vec:
        """The outer point `p` in local coordinates, mm."""
        return self.local_direction(sub(p, self.at))

    def local_direction(self, v: Vec) -> Vec:
        return (dot(v, self.x), dot(v, self.up), dot(v, self.axis))

    def __matmul__(self, inner: Place) -> Place:
        """`inner`, given in this place's coordinates, in outer coordinates."""
        return Place(self.point(inner.at), self.direction(inner.axis), self.direction(inner.up))

    def inverse(self) -> Place:
        return Place(
            self.local((0.0, 0.0, 0.0)),
            self.local_direction((0.0, 0.0, 1.0)),
            self.local_direction((0.0, 1.0, 0.0)),
        )

    def mirrored(self) -> Place:
        """The place, mirrored in the plane x = 0 on both sides, so that mirrored geometry stands in it."""
        flip = [(-v[0] + 0.0, v[1], v[2]) for v in (self.at, self.axis, self.up)]
        return Place(*flip)

    def matrix(self) -> tuple[tuple[float, float, float, float], ...]:
        """(4, 4) rows, local to outer."""
        x, y, z, at = self.x, self.up, self.axis, self.at
        top = tuple((x[i], y[i], z[i], at[i]) for i in range(3))
        return (*top, (0.0, 0.0, 0.0, 1.0))


def unit_or_refuse(column: Vec) -> Vec:
    """The column of a rotation as it stands; refused where its length is not 1 (InputError)."""
    if not math.isfinite(length(column)) or abs(length(column) - 1) > RIGID:
        raise InputError(f"matrix column {column} has length {length(column):.9g}, must be 1: a place")
    return unit(column)


def turned(angle: float) -> Place:
    """A turn about z by `angle` degrees, positive from x towards y."""
    a = math.radians(angle)
    return Place(up=(-math.sin(a), math.cos(a), 0.0))


HERE = Place()
