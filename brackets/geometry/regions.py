"""Plate outlines cut by another, joined, intersected; which hole lies in which outline."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from brackets.core.errors import InputError
from brackets.geometry.crossings import Edge, intersections, winding
from brackets.geometry.curve import Moments, Outline, moments, moments_of, turned_back
from brackets.geometry.segments import TOUCH, Arc, Line, Point, Segment, apart, dot
from brackets.geometry.shapes import circle
from brackets.geometry.split import Joints, Loop, loops, pieces

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
    least, found, (x, y) = math.inf, edges[0], p
    for edge in edges:
        x0, y0, x1, y1 = edge.bounds
        if x0 - x > least or x - x1 > least or y0 - y > least or y - y1 > least:
            continue  # its box alone is further
        far = edge.distance(p)
        if far < least:
            least, found = far, edge
    return least, found


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


@dataclass(frozen=True)
class Region:
    """One piece of plate: its outside and the holes in it, each an outline."""

    outer: Outline
    holes: tuple[Outline, ...] = ()

    @cached_property
    def moments(self) -> Moments:
        """Of the metal: the outside less the holes."""
        left = moments(self.outer)
        for hole in self.holes:
            left = left - moments(hole)
        return left

    @property
    def area(self) -> float:
        """mm2."""
        return self.moments.area

    @cached_property
    def edges(self) -> tuple[Segment, ...]:
        """All edges with the metal on their left: holes run clockwise."""
        return self.outer.segments + tuple(s for h in self.holes for s in turned_back(h.segments))

    def distance(self, p: Point) -> float:
        """From p to the nearest edge, mm, negative where p is not in the metal."""
        return depth(self.edges, p)


Shape = Outline | Region


def cut(a: Shape, b: Shape) -> tuple[Region, ...]:
    """What is left of one shape when another is taken out of it: its pieces with their holes, largest first.

    a: what is cut; b: what is taken out of it; each an Outline, or a piece that `cut`, `common` or `join` gave.
    Returns () where nothing is left.

    >>> [plate] = cut(rectangle(100, 50), circle((0, 0), 10))
    >>> len(plate.holes), round(plate.area, 2), round(100 * 50 - 3.14159265 * 10**2, 2)
    (1, 4685.84, 4685.84)
    """
    return _combined(a, b, "cut")


def common(a: Shape, b: Shape) -> tuple[Region, ...]:
    """What lies in both of two shapes: its pieces with their holes, largest first.

    a, b: each an Outline, or a piece that `cut`, `common` or `join` gave.
    Returns () where they have nothing in common.

    >>> [region.area for region in common(rectangle(100, 50), rectangle(20, 80))]
    [1000.0]
    """
    return _combined(a, b, "common")


def join(a: Shape, b: Shape) -> tuple[Region, ...]:
    """What lies in either of two shapes: one piece where they overlap or share an edge, else two.

    a, b: each an Outline, or a piece that `cut`, `common` or `join` gave.

    >>> [region.area for region in join(rectangle(100, 50), rectangle(20, 80))]
    [5600.0]
    """
    return _combined(a, b, "join")


def clip_circle(
    o: Shape, centre: Point, r: float, *, keep: Literal["outside", "inside"] = "outside"
) -> tuple[Region, ...]:
    """What is left outside (or inside) a circle: a half-round seat, a tube seat."""
    round_tool = circle(centre, r)
    return cut(o, round_tool) if keep == "outside" else common(o, round_tool)


def single(regions: Sequence[Region], what: str) -> Outline:
    """The outline of a result that must be one piece without holes; `what` names it in the message."""
    if len(regions) != 1:
        raise InputError(f"{what} = {len(regions)} pieces, must be 1")
    if regions[0].holes:
        raise InputError(f"{what} = 1 piece with {len(regions[0].holes)} holes, must have none")
    return regions[0].outer


def piece_at(regions: Sequence[Region], keep: Point) -> Region:
    """The region that contains `keep`, else the one nearest to it."""
    if not regions:
        raise InputError("pieces left = 0, must be at least 1")
    return max(regions, key=lambda region: region.distance(keep))


def regions_of(found: Iterable[Loop]) -> tuple[Region, ...]:
    """Loops of lines and arcs sorted into outsides and their holes, largest first."""
    return tuple(
        Region(Outline(_plain(outer)), tuple(Outline(turned_back(_plain(hole))) for hole in holes))
        for outer, holes in nested(found)
    )


def _plain(loop: Loop) -> tuple[Segment, ...]:
    return tuple(e for e in loop if isinstance(e, Line | Arc))


def _combined(a: Shape, b: Shape, verb: Literal["cut", "common", "join"]) -> tuple[Region, ...]:
    mine, others = _edges(a), _edges(b)
    joints = _distinct(s.a for s in (*mine, *others))
    kept: list[Edge] = []
    for e in _split(mine, (*others, *_touchable(a)), joints):
        side = side_of(e, others)
        wanted = {"cut": ("out", "against"), "common": ("in", "same"), "join": ("out", "same")}[verb]
        if side in wanted:
            kept.append(e)
    for e in _split(others, (*mine, *_touchable(b)), joints):
        if side_of(e, mine) == ("out" if verb == "join" else "in"):
            kept.append(e.reversed() if verb == "cut" else e)
    return regions_of(loops(kept))


def _edges(shape: Shape) -> tuple[Segment, ...]:
    return shape.edges if isinstance(shape, Region) else shape.segments


def _touchable(shape: Shape) -> tuple[Segment, ...]:
    """Edges of a shape that may touch one another away from their ends: a hole can touch the outside."""
    return shape.edges if isinstance(shape, Region) and shape.holes else ()


def _distinct(points: Iterable[Point]) -> Joints:
    joints = Joints()
    for p in points:
        joints.snap(p)
    return joints


def _split(mine: Sequence[Segment], others: Sequence[Segment], joints: Joints) -> list[Edge]:
    boxes = [t.bounds for t in others]
    found: list[Edge] = []
    for s in mine:
        near = [t for t, b in zip(others, boxes, strict=True) if t is not s and not apart(s.bounds, b)]
        found += pieces(s, [p for t in near for p in intersections(s, t)], joints)
    return found
