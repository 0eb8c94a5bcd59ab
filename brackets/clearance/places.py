"""Where a body stands: a turn and a move, with no mirror and no stretch in it.

A point x of the body's own axes stands at turn @ x + move in bay axes, mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from OCP.gp import gp_Mat, gp_Quaternion, gp_Trsf, gp_Vec
from OCP.TopLoc import TopLoc_Location

from brackets.core.errors import InputError

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Point = tuple[float, float, float]

STRAY = 1e-6  # how far a typed turn may be off square before it is refused rather than squared up


def point(values: ArrayLike) -> Point:
    """The three numbers as plain floats, with no negative zero."""
    x, y, z = values if isinstance(values, list) else np.asarray(values, dtype=float).reshape(3).tolist()
    return (x + 0.0, y + 0.0, z + 0.0)


def vector(values: ArrayLike, what: str) -> Array:
    """(3,) float, or a refusal that names it."""
    try:
        found = np.asarray(values, dtype=float).reshape(-1)
    except (TypeError, ValueError):
        raise InputError(f"{what} = {values!r}, must be three numbers") from None
    if found.shape != (3,) or not bool(np.all(np.isfinite(found))):
        raise InputError(f"{what} = {values!r}, must be three finite numbers")
    return found


def direction(values: ArrayLike, what: str) -> Array:
    """(3,) float of length 1."""
    found = vector(values, what)
    length = float(np.linalg.norm(found))
    if length < 1e-12:
        raise InputError(f"{what} = {values!r}, must not be of no length: a direction")
    return found / length


@dataclass(frozen=True, eq=False)
class Transform:
    """A proper rigid motion: turn (3, 3) float with determinant +1, move (3,) float mm."""

    turn: Array
    move: Array

    def __matmul__(self, first: Transform) -> Transform:
        return Transform(self.turn @ first.turn, self.turn @ first.move + self.move)

    @property
    def inverse(self) -> Transform:
        return Transform(self.turn.T, -self.turn.T @ self.move)

    def points(self, xyz: Array) -> Array:
        """(n, 3) float moved from the body's own axes into the bay's."""
        return xyz @ self.turn.T + self.move

    @property
    def matrix(self) -> Array:
        """(4, 4) float."""
        whole = np.eye(4)
        whole[:3, :3], whole[:3, 3] = self.turn, self.move
        return whole

    @property
    def location(self) -> TopLoc_Location:
        """The same motion in the kernel's words; built from a quaternion so that its scale is exactly 1."""
        motion = gp_Trsf()
        motion.SetRotation(gp_Quaternion(gp_Mat(*(float(v) for v in self.turn.reshape(9)))))
        motion.SetTranslationPart(gp_Vec(*(float(v) for v in self.move)))
        return TopLoc_Location(motion)


IDENTITY = Transform(np.eye(3), np.zeros(3))


def transform(place: ArrayLike | tuple[ArrayLike, ArrayLike] | Transform) -> Transform:
    """A placement without mirror or stretch: a turn and a move.

    place: (4, 4) float matrix, a pair of turn (3, 3) and move (3,) mm, or a Transform, which is handed back. A turn
    that is off square by rounding is made square. Raises InputError for a mirror, a stretch, or anything else.

    >>> quarter = transform(([[0, -1, 0], [1, 0, 0], [0, 0, 1]], (10, 0, 0)))  # x to y, and 10 along x
    >>> quarter.points([(5, 0, 0)]).tolist()
    [[10.0, 5.0, 0.0]]
    """
    if isinstance(place, Transform):
        return place
    try:
        if isinstance(place, tuple) and len(place) == 2:
            turn, move = np.asarray(place[0], dtype=float), np.asarray(place[1], dtype=float).reshape(-1)
        else:
            whole = np.asarray(place, dtype=float)
            if whole.shape != (4, 4) or not np.allclose(whole[3], (0, 0, 0, 1), rtol=0, atol=STRAY):
                raise ValueError
            turn, move = whole[:3, :3], whole[:3, 3]
        if (
            turn.shape != (3, 3)
            or move.shape != (3,)
            or not (np.isfinite(turn).all() and np.isfinite(move).all())
        ):
            raise ValueError
    except (TypeError, ValueError):
        raise InputError(
            f"place = {place!r}, must be a 4 by 4 matrix or a turn (3 by 3) and a move (3)"
        ) from None
    if float(np.linalg.det(turn)) <= 0:
        raise InputError(
            "place = a mirrored placement, must be a turn and a move only: mirror the part itself"
        )
    if float(np.abs(turn @ turn.T - np.eye(3)).max()) > STRAY:
        raise InputError("place = a stretched or skewed placement, must be a turn and a move only")
    left, _, right = np.linalg.svd(turn)
    return Transform(left @ right, np.array(move))


def about(through: ArrayLike, axis: ArrayLike, degrees: float) -> Transform:
    """A turn about a line, right-handed about its direction."""
    centre, unit = np.asarray(through, dtype=float), np.asarray(axis, dtype=float)
    turn = spun(unit, math.radians(degrees))
    return Transform(turn, centre - turn @ centre)


def spun(unit: Array, radians: float) -> Array:
    """(3, 3) float: the turn about a unit direction through the origin, right-handed."""
    x, y, z = unit
    cross, square = _cross(float(x), float(y), float(z))
    return np.asarray(_EYE + math.sin(radians) * cross + (1 - math.cos(radians)) * square)


_EYE = np.eye(3)


@lru_cache(maxsize=64)
def _cross(x: float, y: float, z: float) -> tuple[Array, Array]:
    """What makes the cross product with a direction, and that twice over; (3, 3) float each."""
    cross = np.array(((0.0, -z, y), (z, 0.0, -x), (-y, x, 0.0)))
    return cross, cross @ cross


@lru_cache(maxsize=4096)
def spun_about(unit: Point, radians: float) -> Array:
    """The same as `spun`, remembered: a search turns about the same axes by the same angles. Nobody changes it."""
    return spun(np.asarray(unit), radians)


def moved(by: Sequence[float] | Array) -> Transform:
    """A plain move, mm."""
    return Transform(np.eye(3), np.asarray(by, dtype=float))
