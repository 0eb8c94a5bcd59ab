"""Which side of a shape a piece of edge runs on, and which hole is in which outside."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Literal

from brackets.outline.inside import Edge, winding
from brackets.outline.moments import moments_of
from brackets.outline.segments import TOUCH, Point, dot
from brackets.outline.split import Loop

SAMPLES = (0.5, 0.25, 0.75, 0.1, 0.9)
"""Where along a piece of edge its side is looked at, the middle first."""

Side = Literal["in", "out", "same", "against"]


def side_of(e: Edge, others: Sequence[Edge]) -> Side:
    """Where a piece of edge runs as seen from the other shape; along its edge, which way."""
    for f in SAMPLES:
        p = e.point(f)
        if nearest_edge(others, p)[0] > TOUCH:
            return "in" if winding(others, p) > 0 else "out"
    p = e.point(0.5)
    _, t = nearest_edge(others, p)
    return "same" if dot(e.tangent(0.5), t.tangent(t.nearest(p))) > 0.0 else "against"


def nearest_edge(edges: Sequence[Edge], p: Point) -> tuple[float, Edge]:
    """How far the nearest of the edges is from p, mm, and which."""
    far = [math.dist(s.point(s.nearest(p)), p) for s in edges]
    least = min(far)
    return least, edges[far.index(least)]


def depth(edges: Sequence[Edge], p: Point) -> float:
    """How deep in the metal p is, mm; negative outside it."""
    far, _ = nearest_edge(edges, p)
    return far if winding(edges, p) > 0 else -far


def nested(found: Iterable[Loop]) -> list[tuple[Loop, list[Loop]]]:
    """Outsides, the largest first, each with the holes in it; a loop that runs clockwise is a hole."""
    sized = sorted(((moments_of(loop).area, i, loop) for i, loop in enumerate(found)), reverse=True, key=_size)
    outers = [loop for area, _, loop in sized if area > 0.0]
    holes: list[list[Loop]] = [[] for _ in outers]
    for area, _, hole in sized:
        if area < 0.0:
            holes[max(k for k, outer in enumerate(outers) if _holds(outer, hole))].append(hole)
    return list(zip(outers, holes, strict=True))


def _size(row: tuple[float, int, Loop]) -> tuple[float, int]:
    return row[0], -row[1]


def _holds(outer: Loop, hole: Loop) -> bool:
    """Whether the point of the hole that is farthest from the outside is inside it."""
    return max((depth(outer, e.point(f)) for e in hole for f in (0.0, 0.5)), key=abs) > 0.0
