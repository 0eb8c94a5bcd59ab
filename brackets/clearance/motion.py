"""How a body may move on its bushes or by itself: all of a range of turns and travels at once.

A point x goes to turn_n ... turn_2 turn_1 (x - about) + about + travel. Degrees, right-handed; mm.
The axes of the turns do not move with the body. For a powertrain in axes of ISO 8855 the order is
roll about x, then pitch about y, then yaw about z.

mm and degrees, right-handed; bay axes.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance.places import (
    Array,
    Point,
    Transform,
    direction,
    point,
    spun,
    spun_about,
    vector,
)
from brackets.core.errors import InputError

MOST = 45.0  # degrees each way: movement on bushes is a few; larger turns are legs of a path
SIDES = 24  # of the prism put round a bush's round travel: 0.9 % more than the round, never less


@dataclass(frozen=True)
class Turn:
    """Turning about one direction, from low to high degrees."""

    axis: Point
    low: float
    high: float


@dataclass(frozen=True)
class Position:
    """One place in the movement: degrees of each turn, and the travel along x, y and z, mm."""

    angles: tuple[float, ...]
    travel: Point


class Reach(Protocol):
    """How far the points of one body are carried within a part of a movement; half widths as `Movement.limits`."""

    def most(self, half: Array) -> float:
        """mm: no point of the body is carried further from the middle of a cell with these half widths."""

    def terms(self, half: Array) -> Array:
        """(n,) float mm: about what each freedom adds to that, by which a cell is cut."""


class Movement(Protocol):
    """All the places a body may take up, by so many freedoms: radians, then mm.

    The last freedoms, those after `turning`, are travel along the rows of `frame` that shifts the whole body.
    """

    @property
    def any_way(self) -> float: ...
    @property
    def turns(self) -> tuple[Turn, ...]: ...
    @property
    def turning(self) -> int: ...
    @property
    def frame(self) -> Array: ...
    @property
    def limits(self) -> Array: ...
    def place(self, at: Array) -> Transform: ...
    def position(self, at: Array) -> Position: ...
    def reach(self, points: Array) -> Reach: ...
    def rates(self, at: Array, now: Array) -> Array: ...
    def travels(self) -> Array: ...
    def allowed(self, at: Array) -> Array: ...


@dataclass(frozen=True, eq=False)
class ReachOfPoints:
    """Of points that turn and travel: arms (k, n) float mm, of each point from each axis at most."""

    arms: Array

    def most(self, half: Array) -> float:
        count = self.arms.shape[1]
        turned = float((self.arms @ (2 * np.sin(half[:count] / 2))).max()) if count else 0.0
        travel = half[count:]
        return turned + math.sqrt(travel.dot(travel))

    def terms(self, half: Array) -> Array:
        count = len(self._longest)
        return np.concatenate((self._longest * 2 * np.sin(half[:count] / 2), half[count:]))

    @cached_property
    def _longest(self) -> Array:
        return np.asarray(self.arms.max(axis=0)) if self.arms.shape[1] else np.zeros(0)


@dataclass(frozen=True)
class Moves:
    """All the places a body may take up.

    travel: low and high mm along each of the axes `along` (three unit directions square to each other).
    any_way: mm more, in whatever direction is worst. round: when given, the travel along the second and the
    third axis together is within this radius, mm, as a bush allows it.
    """

    about: Point = (0.0, 0.0, 0.0)
    turns: tuple[Turn, ...] = ()
    travel: tuple[tuple[float, float], ...] = ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0))
    along: tuple[Point, ...] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    any_way: float = 0.0
    round: float | None = None

    def __post_init__(self) -> None:
        wrong = [
            f"turn = {t.low} to {t.high} deg, must be within -{MOST:g} to {MOST:g}, low to high: movement"
            for t in self.turns
            if not -MOST <= t.low <= t.high <= MOST
        ]
        wrong += [
            f"travel = {low} to {high} mm, must be low to high: movement"
            for low, high in self.travel
            if not (math.isfinite(low) and math.isfinite(high) and low <= high)
        ]
        if len(self.travel) != 3 or np.shape(self.along) != (3, 3):
            wrong.append("travel = must be three low and high pairs along three directions: movement")
        elif float(np.abs(self.frame @ self.frame.T - np.eye(3)).max()) > 1e-6:
            wrong.append("along = must be three unit directions square to each other: axes of travel")
        if not 0 <= self.any_way < math.inf:
            wrong.append(f"any_way = {self.any_way} mm, must be 0 or more: travel in any direction")
        if self.round is not None and not 0 <= self.round < math.inf:
            wrong.append(f"round = {self.round} mm, must be 0 or more: radial travel of a bush")
        if wrong:
            raise InputError(*wrong)

    @cached_property
    def frame(self) -> Array:
        """(3, 3) float: a row for each axis of travel."""
        return np.asarray(self.along, dtype=float)

    @cached_property
    def centre(self) -> Array:
        """(3,) float: the point that is turned about."""
        return np.asarray(self.about, dtype=float)

    @cached_property
    def limits(self) -> Array:
        """(n + 3, 2) float: low and high of each turn, radians, then of each travel, mm."""
        turns = [(math.radians(t.low), math.radians(t.high)) for t in self.turns]
        return np.array([*turns, *self.travel], dtype=float)

    @cached_property
    def _axes(self) -> tuple[Point, ...]:
        return tuple(point(np.asarray(turn.axis, dtype=float)) for turn in self.turns)

    def place(self, at: Array) -> Transform:
        """Where the body is carried by turns (radians) and travels (mm along the axes) `at` (n + 3,) float."""
        whole = np.eye(3)
        for angle, axis in zip(at.tolist(), self._axes, strict=False):
            if angle != 0:
                whole = spun_about(axis, angle) @ whole
        return Transform(whole, self.centre - whole @ self.centre + at[len(self.turns) :] @ self.frame)

    def position(self, at: Array) -> Position:
        count = len(self.turns)
        angles = tuple(math.degrees(float(a)) + 0.0 for a in at[:count])
        return Position(angles, point(at[count:] @ self.frame))

    def arms(self, points: Array) -> Array:
        """(k, n) float mm: for each point, no less than its distance from each turn's axis anywhere in the
        movement. An outer axis is met by a point that the inner turns have already carried a little away."""
        away = points - np.asarray(self.about)
        found = np.zeros((len(points), len(self.turns)))
        carried = np.zeros(len(points))
        for i, turn in enumerate(self.turns):
            unit = np.asarray(turn.axis)
            square = np.linalg.norm(away - np.outer(away @ unit, unit), axis=1)
            found[:, i] = square + carried
            widest = math.radians(max(abs(turn.low), abs(turn.high)))
            carried = carried + 2 * found[:, i] * math.sin(widest / 2)
        return found

    @property
    def turning(self) -> int:
        return len(self.turns)

    def reach(self, points: Array) -> ReachOfPoints:
        """How far these points, where they stand at rest, are carried within a part of the movement."""
        return ReachOfPoints(self.arms(points))

    def rates(self, at: Array, now: Array) -> Array:
        """(n + 3, 3) float: how fast the point of the body that stands at `now`, the body at `at`, goes with each
        turn, mm per radian, and each travel."""
        count = len(self.turns)
        arm = now - np.asarray(self.about) - at[count:] @ self.frame
        found, outer = np.zeros((len(at), 3)), np.eye(3)
        for i in reversed(range(count)):
            axis = np.asarray(self.turns[i].axis)
            found[i] = np.cross(outer @ axis, arm)
            outer = outer @ spun(axis, float(at[i]))
        found[count:] = self.frame
        return found

    def travels(self) -> Array:
        """(k, 3) float mm, bay axes: corners of a convex body that holds every travel (any_way left out)."""
        low, high = self.limits[len(self.turns) :].T
        if self.round is None or float(np.hypot(*np.abs([low, high]).max(axis=0)[1:])) <= self.round:
            corners = np.array(list(itertools.product(*zip(low, high, strict=True))))
        else:
            angle = np.arange(SIDES) * 2 * math.pi / SIDES
            rim = self.round / math.cos(math.pi / SIDES) * np.column_stack((np.cos(angle), np.sin(angle)))
            corners = np.vstack([np.column_stack((np.full(SIDES, x), rim)) for x in (low[0], high[0])])
        return np.unique(corners, axis=0) @ self.frame

    def allowed(self, at: Array) -> Array:
        """The nearest place to `at` that is within the movement."""
        kept = np.clip(at, self.limits[:, 0], self.limits[:, 1])
        if self.round is not None:
            out = float(np.hypot(kept[-2], kept[-1]))
            if out > self.round:
                kept[-2:] *= self.round / out
        return np.asarray(kept)


def powertrain_moves(
    about: ArrayLike,
    *,
    roll: float = 0.0,
    pitch: float = 0.0,
    yaw: float = 0.0,
    up: float = 0.0,
    down: float = 0.0,
    fore: float = 0.0,
    aft: float = 0.0,
    side: float = 0.0,
) -> Moves:
    """Movement of an engine on its bushes as a bay states it: turns about x, y and z, then a travel.

    about: (3,) mm, the point that the axes of the turns pass through; roll, pitch, yaw: degrees each way about x, y
    and z; up, down: mm along z; fore, aft: mm along x; side: mm along y, each way. Returns Moves for `sweep`.
    Raises InputError for a negative movement, or turns over 45 degrees.

    >>> moves = powertrain_moves((0, 0, 200), roll=2, up=3, down=4)
    >>> moves.turns[0].high, moves.travel[2]
    (2, (-4, 3))
    """
    given = {
        "roll": roll,
        "pitch": pitch,
        "yaw": yaw,
        "up": up,
        "down": down,
        "fore": fore,
        "aft": aft,
        "side": side,
    }
    wrong = [f"{k} = {v}, must be 0 or more: movement" for k, v in given.items() if not 0 <= v < math.inf]
    if wrong:
        raise InputError(*wrong)
    axes: Sequence[tuple[Point, float]] = (
        ((1.0, 0.0, 0.0), roll),
        ((0.0, 1.0, 0.0), pitch),
        ((0.0, 0.0, 1.0), yaw),
    )
    turns = tuple(Turn(axis, -most, most) for axis, most in axes)
    return Moves(point(vector(about, "about")), turns, ((-aft, fore), (-side, side), (-down, up)))


def bush_moves(axis: ArrayLike, *, radial: float, axial: float) -> Moves:
    """Movement that a bush allows one half of a mount against the other.

    axis: (3,) direction of the bush's axis; radial: mm across it, all round; axial: mm along it, either way.
    Returns Moves for `sweep`. Raises InputError for a negative movement or an axis of no length.

    >>> moves = bush_moves((1, 0, 0), radial=3, axial=5)
    >>> moves.travel[0], moves.round
    ((-5, 5), 3)
    """
    along = direction(axis, "axis")
    across = np.cross(along, np.eye(3)[int(np.abs(along).argmin())])
    across /= np.linalg.norm(across)
    frame = (point(along), point(across), point(np.cross(along, across)))
    return Moves(travel=((-axial, axial), (-radial, radial), (-radial, radial)), along=frame, round=radial)
