"""Openings of a folded piece on the flat of its card: walls keep theirs in place, over a fold they are stretched.

mm, in the frame of the base.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.forming.card_stock import Card
from brackets.geometry.crossings import intersections
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance
from brackets.geometry.regions import Region, common, cut, piece_at
from brackets.geometry.segments import JOIN, Arc, Line, Point, Segment, apart
from brackets.model.fold_tree import Tree, merged
from brackets.model.fold_zones import no_bevel, relief_outlines, strip, taken, transformed
from brackets.model.holes import Opening
from brackets.model.plate import Folded

FINE = 0.03
"""mm: chords that stand for an arc which is carried over a fold."""

SHARED = 1e-6
"""mm2: an opening that has less than this of a bend only touches it."""


def cut_out(
    region: Region, piece: Folded, steel: Tree, flat: Tree, lows: Sequence[float], card: Card
) -> Region:
    """Openings, reliefs and cuts to round tubes out of the whole."""
    tools = []
    for node in flat.walls:
        over = crossing(steel, node.number)
        for i, opening in enumerate(node.wall.openings):
            if i in over:
                tools.append(_carried(opening, steel, flat, node.number))
            else:
                tools.append(transformed(opening.outline, node.flat))
    for bend, flange in zip(flat.bends, piece.flanges, strict=True):
        if flange.relief is not None:
            tools += [transformed(relief, bend.flat) for relief in relief_outlines(flange.relief, bend)]
    left: tuple[Region, ...] = (region,)
    for tool in tools:
        left = tuple(part for one in left for part in taken(one, tool))
    region = whole(left)
    for node, low in zip(flat.walls, lows, strict=True):
        for seat in node.wall.seats:
            x, y, z = seat.at
            lowered = replace(seat, at=(x, y, z - low))
            parts = cut(region, transformed(no_bevel(lowered, card.t), node.flat))
            region = piece_at(parts, node.flat.point((*seat.keep, 0.0))[:2])
    return region


def whole(left: Sequence[Region]) -> Region:
    if len(left) != 1:
        raise InputError(f"openings leave the card in {len(left)} pieces, must be 1")
    return left[0]


@lru_cache(maxsize=1024)
def crossing(steel: Tree, number: int) -> frozenset[int]:
    """Which openings of a wall reach into a bend."""
    node = steel.walls[number]
    strips = [transformed(strip(bend), bend.flat) for bend in steel.bends]
    found = set()
    for i, opening in enumerate(node.wall.openings):
        tool = transformed(opening.outline, node.flat)
        for one in strips:
            if not apart(one.bounds, tool.bounds, -SHARED) and sum(r.area for r in common(one, tool)) > SHARED:
                found.add(i)
    return frozenset(found)


def _carried(opening: Opening, steel: Tree, flat: Tree, number: int) -> Outline:
    """An opening that reaches over bends: each wall keeps its part in place, what lies in a bend is stretched."""
    zones: list[tuple[Outline, Place, Place, float]] = [
        (transformed(strip(was), was.flat), was.flat, now.flat, now.allowance / was.allowance)
        for was, now in zip(steel.bends, flat.bends, strict=True)
    ]
    borders = [edge for shape, *_ in zones for edge in shape.segments]
    zones += [
        (transformed(was.wall.outline, was.flat), was.flat, now.flat, 1.0)
        for was, now in zip(steel.walls, flat.walls, strict=True)
    ]

    edges: list[Segment] = []
    for edge in transformed(opening.outline, steel.walls[number].flat).segments:
        for part in _parts(edge, borders):
            _, was, now, stretched = max(zones, key=lambda zone: distance(zone[0], part.point(0.5)))
            edges += _moved(part, was, now, stretched)
    joints = [edge.a for edge in edges]
    closed = (_ended(edge, b) for edge, b in zip(edges, (*joints[1:], joints[0]), strict=True))
    return Outline(merged(tuple(edge for edge in closed if math.dist(edge.a, edge.b) > JOIN)))


def _parts(edge: Segment, borders: Iterable[Segment]) -> Iterator[Segment]:
    """An edge in the pieces that lie in one zone each."""
    stops = sorted({0.0, 1.0, *(edge.nearest(p) for border in borders for p in intersections(edge, border))})
    for s0, s1 in zip(stops, stops[1:], strict=False):
        if (s1 - s0) * edge.length > JOIN:
            yield edge.part(s0, s1)


def _moved(edge: Segment, was: Place, now: Place, stretched: float) -> Iterator[Segment]:
    """A piece of edge carried from one frame to another, as it is, or in chords where it is stretched along y."""

    def carried(p: Point) -> Point:
        x, y, _ = was.local((*p, 0.0))
        return now.point((x, stretched * y, 0.0))[:2]

    if isinstance(edge, Arc) and stretched == 1.0:
        yield Arc(carried(edge.a), carried(edge.b), carried(edge.centre), edge.ccw)
        return
    there = [carried(p) for p in edge.points(FINE)]
    yield from (Line(a, b) for a, b in zip(there, there[1:], strict=False))


def _ended(edge: Segment, b: Point) -> Segment:
    """The edge with its end on the start of the next, a rounding away."""
    return Arc(edge.a, b, edge.centre, edge.ccw) if isinstance(edge, Arc) else Line(edge.a, b)
