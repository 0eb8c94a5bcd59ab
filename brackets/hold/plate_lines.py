"""Straight lines over a plate: how much metal lies on one, and how far it is to an edge. mm, in a wall's plane."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region
from brackets.geometry.segments import Point
from brackets.model.holes import Hole, Slot
from brackets.model.plate import Wall

FINE = 0.02
"""mm that a chord of a round edge may lie off it."""
Interval = tuple[float, float]


def crossed(outlines: Iterable[Outline], at: Point, way: Point) -> list[float]:
    """Where a line through `at` along the unit vector `way` crosses outlines: mm along it, in order."""
    found = []
    for outline in outlines:
        corners = outline.points(FINE)
        sides = [(x - at[0]) * -way[1] + (y - at[1]) * way[0] for x, y in corners]
        for i, (p, s) in enumerate(zip(corners, sides, strict=True)):
            q, r = corners[(i + 1) % len(corners)], sides[(i + 1) % len(corners)]
            if (s < 0) != (r < 0):
                part = s / (s - r)
                x, y = p[0] + part * (q[0] - p[0]), p[1] + part * (q[1] - p[1])
                found.append((x - at[0]) * way[0] + (y - at[1]) * way[1])
    return sorted(found)


def intervals(region: Region, at: Point, way: Point) -> tuple[Interval, ...]:
    """The runs of metal on a line through `at` along `way`: mm along it from `at`."""
    ends = crossed((region.outer, *region.holes), at, way)
    return tuple(zip(ends[::2], ends[1::2], strict=False))


def to_edge(outer: Outline, at: Point, way: Point) -> float:
    """mm from a point inside to the outside edge along `way`."""
    return min((far for far in crossed((outer,), at, way) if far > 0), default=math.inf)


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


def edge_distances(wall: Wall, at: Point, way: Point) -> tuple[float, float, float | None, float | None]:
    """e1, e2, p1, p2 of a hole at `at` under a force along `way`: mm to the end ahead, to the nearer side, and to
    the next holes along and across, None where there is none."""
    e1 = to_edge(wall.outline, at, way)
    aside = [(-way[1], way[0]), (way[1], -way[0])]
    e2 = min(to_edge(wall.outline, at, one) for one in aside)
    p1 = p2 = None
    for hole in wall.openings:
        if not isinstance(hole, Hole) or math.dist(hole.at, at) < 0.02 or hole.bolt is None:
            continue
        dx, dy = hole.at[0] - at[0], hole.at[1] - at[1]
        along, across = abs(dx * way[0] + dy * way[1]), abs(dx * way[1] - dy * way[0])
        far = math.hypot(dx, dy)
        if along >= across:
            p1 = far if p1 is None else min(p1, far)
        else:
            p2 = far if p2 is None else min(p2, far)
    return e1, e2, p1, p2
