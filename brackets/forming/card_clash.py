"""Whether panels of a fold-up stand in each other once it is folded; looked at all over them, every STEP mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import permutations, product

from brackets.core.vectors import Vec
from brackets.forming.card import FoldUp, Panel
from brackets.geometry.distance import distance
from brackets.geometry.segments import Point

STEP = 2.0
"""mm between the places that are looked at."""

MOST = 40
"""Places along one side of a panel at most."""

DEEP = 0.1
"""mm a panel may stand in another's face or edge: the room a hand-cut edge has."""


def clashes(made: FoldUp) -> tuple[tuple[str, str, Vec], ...]:
    """Pairs of panels that share card, each with a place in the piece's frame; neighbours at a fold left out."""
    found: dict[frozenset[str], tuple[str, str, Vec]] = {}
    for one, other in permutations(made.panels, 2):
        pair = frozenset((one.name, other.name))
        beside = made.parents[one.number] == other.number or made.parents[other.number] == one.number
        if pair not in found and not beside and _may_reach(one, other, made.card.t):
            there = next((p for p in _spots(one, made) if _in(other, made, p) and _has(one, made, p)), None)
            if there is not None:
                found[pair] = (one.name, other.name, there)
    return tuple(found.values())


def _may_reach(one: Panel, other: Panel, t: float) -> bool:
    """Whether a box round one panel comes within the box round the other, in the other's frame."""
    x0, y0, x1, y1 = one.outline.bounds
    corners = [other.place.local(one.place.point(p)) for p in product((x0, x1), (y0, y1), (one.low, one.low + t))]
    a0, b0, a1, b1 = other.outline.bounds
    ends = zip(zip(*corners, strict=True), ((a0, a1), (b0, b1), (other.low, other.low + t)), strict=True)
    return all(low < max(along) and min(along) < high for along, (low, high) in ends)


def _spots(panel: Panel, made: FoldUp) -> Iterator[Vec]:
    """Places of a panel's faces and middle: along its edges and all over it."""
    t = made.card.t
    heights = (panel.low + 0.5 * t, panel.low, panel.low + t)
    for edge in panel.outline.segments:
        steps = max(1, math.ceil(edge.length / STEP))
        for i in range(steps):
            yield from (panel.place.point((*edge.point(i / steps), z)) for z in heights)
    x0, y0, x1, y1 = panel.outline.bounds
    columns, rows = (min(MOST, math.ceil(size / STEP)) for size in (x1 - x0, y1 - y0))
    for i in range(1, columns):
        for k in range(1, rows):
            at = (x0 + i * (x1 - x0) / columns, y0 + k * (y1 - y0) / rows)
            yield from (panel.place.point((*at, z)) for z in heights)


def _in(panel: Panel, made: FoldUp, p: Vec) -> bool:
    x, y, z = panel.place.local(p)
    if not panel.low + DEEP < z < panel.low + made.card.t - DEEP:
        return False
    return _on(panel, made, (x, y))


def _on(panel: Panel, made: FoldUp, at: Point) -> bool:
    """Whether a point of a panel's frame lies on its card."""
    x0, y0, x1, y1 = panel.outline.bounds
    if not (x0 < at[0] < x1 and y0 < at[1] < y1) or distance(panel.outline, at) <= DEEP:
        return False
    return made.region.distance(panel.flat.point((*at, 0.0))[:2]) > DEEP


def _has(panel: Panel, made: FoldUp, p: Vec) -> bool:
    """Whether a panel has card at a place of its own frame's plane: an edge, or no opening."""
    x, y, _ = panel.place.local(p)
    return made.region.distance(panel.flat.point((x, y, 0.0))[:2]) > -DEEP
