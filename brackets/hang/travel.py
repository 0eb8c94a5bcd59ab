"""How far the powertrain may move in all: every case, the way there, the scatter of bushes, and an overshoot.

A box of six figures (mm along x, y, z and radians about them, of the centre of mass) and of every point that is
asked for, from the place as drawn. Nothing between is left out, from the weight alone to a case or from one case to
another. Between two loads under which the same stops push, whatever the bushes, all movements lie on the line
between theirs. Else two loads d apart leave two places at most as far apart as d alone would move the softest
bushes, |q - q'| <= |d| in the norms of that stiffness, since stops only hold back: a figure that is x at one and y
at the other is at most (x + y + |d|) / 2 between them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.core.vectors import Vec
from brackets.hang.load import Load, LoadCase, total
from brackets.hang.mount import Array, Mount, Stop, as_mounts
from brackets.hang.scatter import ReactionRange, levers, reaction_range, softest
from brackets.hang.statics import checked_body

STEPS = 12
"""Loads between two that are worked out where a stop closes or opens between them."""

WEIGHT = "weight"
"""Name of the case without any load but the weight."""

Ends = tuple[Array, Array]


@dataclass(frozen=True, kw_only=True, eq=False)
class CaseMovement:
    """What one case by itself does not pass, from the weight alone to the whole of its load with the overshoot:
    moved, two (6,) mm and radians of the centre; points, two (m, 3) mm, from the place as drawn."""

    name: str
    moved: Ends
    points: Ends


@dataclass(frozen=True, kw_only=True, eq=False)
class MovementBounds:
    """What no case passes, nor the way from one to another: moved, two (6,) mm and radians of the centre; points,
    two (m, 3) mm, from the place as drawn; by: for each of the six and each end, the case that reaches furthest;
    cases: each by itself, the weight alone first; ways: "between A and B", two cases at which other stops push: of
    all others no way leaves the smallest convex region that holds its two ends."""

    moved: Ends
    points: Ends
    by: tuple[tuple[str, ...], tuple[str, ...]]
    cases: tuple[CaseMovement, ...]
    ways: tuple[CaseMovement, ...]


def movement_bounds(
    mass: float,
    centre: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    cases: Iterable[LoadCase],
    *,
    stops: Sequence[Stop] = (),
    points: Sequence[Vec] = (),
    frames: Sequence[Any] = (),
    overshoot: float = 1.0,
) -> MovementBounds:
    """Bounds of every movement from the place as drawn: all cases, every load on the way to them, all bushes.

    mass, centre, mounts, cases, stops: as for `under_cases`; points: of the powertrain, mm, whose movement is
    wanted; frames: the directions it is wanted along, as for `reaction_range`; overshoot: factor, 1 or more, on all
    that a case adds to the weight: it swings past before it settles. Raises InputError with everything that is
    wrong, or where a stop closes or opens and the mounts do not hold the powertrain without it; NotHeldError where
    nothing holds it.

    >>> four = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    >>> found = movement_bounds(100, (0, 0, 0), four, road_cases(), overshoot=1.5)
    >>> [round(float(end[2]), 2) for end in found.moved], found.by[0][2]
    ([-4.41, 2.94], 'bump')
    """
    held = as_mounts(mounts)
    middle = checked_body(mass, centre, (0.0, 0.0, 0.0))
    if not (math.isfinite(overshoot) and overshoot >= 1):
        raise InputError(f"overshoot = {overshoot:g}, must be 1 or more: factor on what a case adds to the weight")
    work = _Work(mass, middle, held, tuple(stops), tuple(points), tuple(frames))
    rest = work.at([])
    full = [[(case, overshoot)] for case in cases]
    ends = [work.at(parts) for parts in full]
    found = [_Named(WEIGHT, *_whole(rest))]
    for parts, end in zip(full, ends, strict=True):
        found.append(_Named(parts[0][0].name, *work.between([], rest, parts, end)))
    over = list(found)
    for (one, one_end), (other, other_end) in combinations(zip(full, ends, strict=True), 2):
        if not _same_stops(one_end, other_end):
            name = f"between {one[0][0].name} and {other[0][0].name}"
            over.append(_Named(name, *work.between(one, one_end, other, other_end)))
    low, high = np.array([each.low for each in over]), np.array([each.high for each in over])
    first, last = low.argmin(axis=0), high.argmax(axis=0)
    names = [each.name for each in over]
    whole = _Named("", low.min(axis=0), high.max(axis=0))
    made = tuple(CaseMovement(name=each.name, moved=each.moved, points=each.points) for each in over)
    return MovementBounds(
        moved=whole.moved,
        points=whole.points,
        by=(tuple(names[i] for i in first[:6]), tuple(names[i] for i in last[:6])),
        cases=made[: len(found)],
        ways=made[len(found) :],
    )


Parts = Sequence[tuple[LoadCase, float]]
"""Cases and how much of each there is beside the weight."""


@dataclass(frozen=True, eq=False)
class _Named:
    """Bounds (6 + 3 m,) of the six figures, then of the points."""

    name: str
    low: Array
    high: Array

    @property
    def moved(self) -> Ends:
        return self.low[:6], self.high[:6]

    @property
    def points(self) -> Ends:
        return self.low[6:].reshape(-1, 3), self.high[6:].reshape(-1, 3)


@dataclass(frozen=True, eq=False)
class _Work:
    mass: float
    centre: Array
    mounts: tuple[Mount, ...]
    stops: tuple[Stop, ...]
    points: tuple[Vec, ...]
    frames: tuple[Any, ...]

    def at(self, parts: Parts) -> ReactionRange:
        """Over the scatter, with so much of each case on."""
        loads, felt = _mixed(parts)
        return reaction_range(
            self.mass, self.centre, self.mounts, loads, stops=self.stops, felt=felt, points=self.points,
            frames=self.frames,
        )  # fmt: skip

    def between(self, one: Parts, found: ReactionRange, other: Parts, other_found: ReactionRange) -> Ends:
        """Bounds of every load from one to the other, whose own bounds are found already."""
        if _same_stops(found, other_found):
            return _hull([_whole(found), _whole(other_found)])
        nodes = [found, *(self.at(parts) for parts in _steps(one, other)), other_found]
        step = self._alone(self._added(other) - self._added(one)) / STEPS
        ends = [_whole(node) for node in nodes]
        for before, after in pairwise(nodes):
            if not _same_stops(before, after):
                (low, high), (low_2, high_2) = _whole(before), _whole(after)
                ends.append(((low + low_2 - step) / 2, (high + high_2 + step) / 2))
        return _hull(ends)

    def _alone(self, load: Array) -> Array:
        """(6 + 3 m,) most that a load by itself would move the softest bushes, without the stops."""
        soft, middle = softest(self.mounts, self.centre), self.centre
        asked = np.vstack([np.eye(6), *levers(self.points, self.frames, middle)])
        size = np.sqrt(np.einsum("mi,ij,mj->m", asked, soft, asked))
        return np.asarray(size * math.sqrt(float(load @ soft @ load)))

    def _added(self, parts: Parts) -> Array:
        loads, felt = _mixed(parts)
        return total(loads, self.mass, self.centre, felt)


def _steps(one: Parts, other: Parts) -> Iterator[Parts]:
    """Loads between two, both left out."""
    for k in range(1, STEPS):
        share = k / STEPS
        yield [*((case, (1 - share) * part) for case, part in one), *((case, share * part) for case, part in other)]


def _mixed(parts: Parts) -> tuple[list[Load], Vec]:
    felt = np.sum([np.multiply(part, case.felt) for case, part in parts], axis=0) if parts else np.zeros(3)
    x, y, z = map(float, felt)
    return [load.times(part) for case, part in parts for load in case.loads], (x, y, z)


def _same_stops(one: ReactionRange, other: ReactionRange) -> bool:
    """Whether the same stops push under both, and push or do not push whatever the bushes."""
    on = (one.pushes[0] > 0) & (other.pushes[0] > 0)
    off = (one.pushes[1] <= 0) & (other.pushes[1] <= 0)
    return bool((on | off).all())


def _hull(ends: Sequence[Ends]) -> Ends:
    low, high = zip(*ends, strict=True)
    return np.min(low, axis=0), np.max(high, axis=0)


def _whole(found: ReactionRange) -> Ends:
    low, high = (np.concatenate([found.moved[i], found.points[i].ravel()]) for i in (0, 1))
    return low, high
