"""Straight lines over a plate: how much metal lies on one, and how far it is to an edge. mm, in a wall's plane."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region
from brackets.geometry.segments import Point
from brackets.hold.check import Array
from brackets.model.holes import Hole, Slot
from brackets.model.plate import Wall

FINE = 0.02
"""mm that a chord of a round edge may lie off it."""
Interval = tuple[float, float]


def crossed(outlines: Iterable[Outline], at: Point, way: Point) -> list[float]:
    """Where a line through `at` along the unit vector `way` crosses outlines: mm along it, in order."""
    found: list[float] = []
    for outline in outlines:
        found += _crossings(outline, at, np.array([way]))[1].tolist()
    return sorted(found)


def _crossings(outline: Outline, at: Point, ways: Array) -> tuple[NDArray[np.intp], Array]:
    """Where lines through `at` along unit vectors (n, 2) cross an outline: of each crossing the number of its line,
    and mm along it."""
    corners = _corners(outline)
    x, y = corners[:, 0] - at[0], corners[:, 1] - at[1]
    side = x * -ways[:, 1:] + y * ways[:, :1]
    under = side < 0
    line, first = np.nonzero(under != np.roll(under, -1, axis=1))
    second = (first + 1) % len(corners)
    part = side[line, first] / (side[line, first] - side[line, second])
    met = corners[first] + part[:, None] * (corners[second] - corners[first])
    return line, np.asarray((met[:, 0] - at[0]) * ways[line, 0] + (met[:, 1] - at[1]) * ways[line, 1])


@lru_cache(maxsize=128)
def _corners(outline: Outline) -> Array:
    """(m, 2) mm, of the polygon that stands for an outline."""
    return np.array(outline.points(FINE))


def intervals(region: Region, at: Point, way: Point) -> tuple[Interval, ...]:
    """The runs of metal on a line through `at` along `way`: mm along it from `at`."""
    ends = crossed((region.outer, *region.holes), at, way)
    return tuple(zip(ends[::2], ends[1::2], strict=False))


def unit_ways(x: Array, y: Array) -> Array:
    """(n, 2): the directions of vectors x, y in a wall's plane; its x where one is nothing."""
    size = np.hypot(x, y)
    some = size > 0
    held = np.where(some, size, 1.0)
    return np.stack([np.where(some, x / held, 1.0), np.where(some, y / held, 0.0)], axis=1)


def to_edge(outer: Outline, at: Point, way: Point) -> float:
    """mm from a point inside to the outside edge along `way`."""
    return float(to_edges(outer, at, np.array([way]))[0])


def to_edges(outer: Outline, at: Point, ways: Array) -> Array:
    """(n,) mm from a point inside to the outside edge along each of `ways`, (n, 2); infinity where none is met."""
    line, far = _crossings(outer, at, ways)
    found = np.full(len(ways), np.inf)
    ahead = far > 0
    np.minimum.at(found, line[ahead], far[ahead])
    return found


def to_sides(outer: Outline, at: Point, ways: Array) -> Array:
    """(n,) mm from a point inside to the nearer edge square to each of `ways`, (n, 2)."""
    aside = np.stack([-ways[:, 1], ways[:, 0]], axis=1)
    return np.minimum(to_edges(outer, at, aside), to_edges(outer, at, -aside))


def within(runs: Iterable[Interval], spans: Iterable[Interval]) -> tuple[float, float]:
    """Metal of `runs` that lies in any of `spans`: mm, and where its middle lies along the line."""
    total = moment = 0.0
    for low, high in _merged(spans):
        for a, b in runs:
            c, d = max(low, a), min(high, b)
            if d > c:
                total += d - c
                moment += (d - c) * (c + d) / 2
    return total, moment / total if total else 0.0


def _merged(spans: Iterable[Interval]) -> Iterator[Interval]:
    run: Interval | None = None
    for low, high in sorted(spans):
        if run is not None and low <= run[1]:
            run = (run[0], max(run[1], high))
            continue
        if run is not None:
            yield run
        run = (low, high)
    if run is not None:
        yield run


def hole_at(wall: Wall, at: Point, *, within: float = 0.02) -> Hole | Slot | None:
    """The hole or slot of a wall whose middle is at a point."""
    for opening in wall.openings:
        if isinstance(opening, Hole):
            middle = opening.at
        elif isinstance(opening, Slot):
            middle = ((opening.a[0] + opening.b[0]) / 2, (opening.a[1] + opening.b[1]) / 2)
        else:
            continue
        if math.dist(middle, at) < within:
            return opening
    return None


def edge_distances(wall: Wall, at: Point, ways: Array) -> tuple[Array, Array, Array, Array]:
    """e1, e2, p1, p2 of a hole at `at` under a force along each of `ways`, (n, 2): mm to the end ahead, to the
    nearer side, and to the next holes along and across, infinity where there is none; (n,) each."""
    along = np.full(len(ways), np.inf)
    across = along.copy()
    for hole in wall.openings:
        if not isinstance(hole, Hole) or math.dist(hole.at, at) < 0.02 or hole.bolt is None:
            continue
        dx, dy = hole.at[0] - at[0], hole.at[1] - at[1]
        ahead = np.abs(dx * ways[:, 0] + dy * ways[:, 1]) >= np.abs(dx * ways[:, 1] - dy * ways[:, 0])
        far = math.hypot(dx, dy)
        along = np.where(ahead, np.minimum(along, far), along)
        across = np.where(ahead, across, np.minimum(across, far))
    return to_edges(wall.outline, at, ways), to_sides(wall.outline, at, ways), along, across
