"""Walls and bends of a folded piece as they are left when every opening and relief is cut through the flat.

A round tube that passes at a slant is cut square through the plate: every slice through the thickness wants its
own ellipse, the cut takes all of them and leaves a gap of lean x thickness on one face.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from brackets.core.errors import InputError
from brackets.core.place import HERE, Place
from brackets.core.vectors import unit
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance
from brackets.geometry.ellipse import Ellipse, EllipseArc
from brackets.geometry.regions import Region, cut
from brackets.geometry.segments import Arc, Line, Point, Segment, apart
from brackets.geometry.shapes import circle, polygon
from brackets.model.fold_tree import Bend, Node, Tree, tree
from brackets.model.holes import Window
from brackets.model.plate import Folded, Relief, TubeSeat, Wall

FINE = 1e-4
"""mm: how far the arcs of an oval cut may lie from the oval; a tenth of what a wire cutter holds."""

UPRIGHT = 1e-12
"""Lean below which a tube stands square on the plate: its shift over 1 m of thickness is a rounding."""


def slanted(seat: TubeSeat, z: float) -> Ellipse:
    """The oval the tube leaves at height `z`. Raises InputError where the tube lies along the plate."""
    x, y, up = unit(seat.axis)
    if abs(up) < UPRIGHT:
        raise InputError(f"axis = {seat.axis}, must leave the plane of the plate: a tube seat")
    far = (z - seat.at[2]) / up
    centre = (seat.at[0] + far * x, seat.at[1] + far * y)
    return Ellipse(centre, seat.r / abs(up), seat.r, math.degrees(math.atan2(y, x)))


def no_bevel(seat: TubeSeat, t: float) -> Outline:
    """The outline to cut square through a plate from z = 0 to z = t: all the ovals together, in arcs."""
    low, high = slanted(seat, 0.0), slanted(seat, t)
    step = (high.centre[0] - low.centre[0], high.centre[1] - low.centre[1])
    if math.hypot(*step) <= UPRIGHT * t:
        return circle(low.centre, seat.r)
    turn = math.radians(low.angle)
    ahead = step[0] * math.cos(turn) + step[1] * math.sin(turn) > 0
    first, second = (high, low) if ahead else (low, high)
    lead = first.arc(-math.pi / 2, math.pi / 2)
    trail = second.arc(math.pi / 2, 1.5 * math.pi)
    edges: list[Segment] = [*arcs(lead), Line(lead.b, trail.a), *arcs(trail), Line(trail.b, lead.a)]
    return Outline(tuple(_closed(edges)))


def arcs(curve: EllipseArc) -> tuple[Arc, ...]:
    """Circular arcs end to end along an oval, none farther than FINE from it."""
    count = 2
    while True:
        parts = [curve.part(i / count, (i + 1) / count) for i in range(count)]
        found = [_through(part.a, part.point(0.5), part.b) for part in parts]
        if all(_off(arc, part) <= FINE for arc, part in zip(found, parts, strict=True)):
            return tuple(found)
        count *= 2


def _off(arc: Arc, part: EllipseArc) -> float:
    return max(abs(math.dist(part.point(s), arc.centre) - arc.radius) for s in (0.2, 0.25, 0.3, 0.75))


def _through(a: Point, m: Point, b: Point) -> Arc:
    """The arc from a over m to b."""
    (ux, uy), (vx, vy) = (m[0] - a[0], m[1] - a[1]), (b[0] - a[0], b[1] - a[1])
    twice = 2 * (ux * vy - uy * vx)
    uu, vv = ux * ux + uy * uy, vx * vx + vy * vy
    centre = (a[0] + (vy * uu - uy * vv) / twice, a[1] + (ux * vv - vx * uu) / twice)
    return Arc(a, b, centre, twice > 0)


def _closed(edges: list[Segment]) -> Iterator[Segment]:
    """The edges with each end moved onto the next start, roundings apart."""
    for edge, after in zip(edges, (*edges[1:], edges[0]), strict=True):
        if isinstance(edge, Arc):
            yield Arc(edge.a, after.a, edge.centre, edge.ccw)
        else:
            yield Line(edge.a, after.a)


CLEAR = -1e-6
"""mm: boxes of zones and cuts that overlap by less than this only touch."""


@dataclass(frozen=True)
class Zones:
    """Per wall the walls it is left as (its own frame), per bend the regions it is left as (the bend's frame)."""

    tree: Tree
    walls: tuple[tuple[Wall, ...], ...]
    bends: tuple[tuple[Region, ...], ...]


def zones(piece: Folded) -> Zones:
    """What is left of each wall and bend of `piece`. Raises InputError as `tree` does, or where nothing is left."""
    return _zones(replace(piece, name="", place=HERE, material="", stock=""))


@lru_cache(maxsize=256)
def _zones(piece: Folded) -> Zones:
    whole = tree(piece)
    cuts = tuple(flat_cuts(piece))
    walls = tuple(_wall(node, cuts) for node in whole.walls)
    bends = tuple(_strip(bend, cuts) for bend in whole.bends)
    return Zones(whole, walls, bends)


def flat_cuts(piece: Folded, *, now: bool = False) -> Iterator[Outline]:
    """Outlines of all openings and reliefs on the flat: finished, or as they are cut `now`, before welding."""
    whole = tree(piece)
    for node in whole.walls:
        for opening in node.wall.openings:
            yield transformed(opening.outline_now if now else opening.outline, node.flat)
    for bend, flange in zip(whole.bends, piece.flanges, strict=True):
        if flange.relief is not None:
            for relief in relief_outlines(flange.relief, bend):
                yield transformed(relief, bend.flat)


def transformed(outline: Outline, place: Place) -> Outline:
    """`outline` moved by a place in the plane."""
    if place == HERE:
        return outline
    return outline.map(lambda p: place.point((p[0], p[1], 0.0))[:2])


def strip(bend: Bend) -> Outline:
    """The uncut strip of a bend in its own frame."""
    return polygon(((0.0, 0.0), (bend.width, 0.0), (bend.width, bend.allowance), (0.0, bend.allowance)))


def relief_outlines(relief: Relief, bend: Bend) -> Iterator[Outline]:
    """What a relief cuts out, in the bend's frame. Raises InputError where its sizes make no shape."""
    problems = []
    if not relief.width > 0:
        problems.append(f"relief width = {relief.width:g} mm, must be over 0: relief of flange {bend.number}")
    least = {"rect": 0.0, "obround": relief.width / 2, "round": -relief.width / 2}[relief.kind]
    if not relief.depth >= least:
        problems.append(
            f"relief depth = {relief.depth:g} mm, must be at least {least:g}: {relief.kind} relief of flange "
            f"{bend.number}"
        )
    if problems:
        raise InputError(*problems)
    for end, edge, out in (("start", 0.0, -1.0), ("end", bend.width, 1.0)):
        if relief.ends in ("both", end):
            yield _relief(relief, edge, out * relief.width, bend.allowance)


def _relief(relief: Relief, edge: float, wide: float, top: float) -> Outline:
    if relief.kind == "round":
        return circle((edge, -relief.depth), relief.width / 2)
    far, bottom = edge + wide, -relief.depth
    left, right = min(edge, far), max(edge, far)
    if relief.kind == "rect":
        return polygon(((left, bottom), (right, bottom), (right, top), (left, top)))
    r = relief.width / 2
    low = bottom + r
    round_end = Arc((left, low), (right, low), ((left + right) / 2, low))
    sides = Line((right, low), (right, top)), Line((right, top), (left, top)), Line((left, top), (left, low))
    return Outline((round_end, *sides))


def remaining(shape: Outline, cuts: Iterable[Outline]) -> tuple[Region, ...]:
    """`shape` less all `cuts`: regions, none where nothing is left."""
    left: tuple[Region, ...] = (Region(shape),)
    for tool in cuts:
        left = tuple(part for region in left for part in taken(region, tool))
    return left


def taken(region: Region, tool: Outline) -> tuple[Region, ...]:
    """`region` less `tool`; a tool that no edge comes near becomes a hole as it stands, or misses."""
    if any(not apart(hole.bounds, tool.bounds) for hole in region.holes) or any(
        not apart(edge.bounds, tool.bounds) for edge in region.outer.segments
    ):
        return cut(region, tool)
    if distance(region.outer, tool.segments[0].a) < 0 or any(
        distance(hole, tool.segments[0].a) > 0 for hole in region.holes
    ):
        return (region,)
    return (Region(region.outer, (*region.holes, tool)),)


def _meets(shape: Outline, tool: Outline) -> bool:
    return not apart(shape.bounds, tool.bounds, CLEAR)


def _wall(node: Node, cuts: tuple[Outline, ...]) -> tuple[Wall, ...]:
    """The wall as it stands where no cut reaches its edge, else the parts that are left of it."""
    back = node.flat.inverse()
    mine = [tool for tool in (transformed(c, back) for c in cuts) if _meets(node.wall.outline, tool)]
    if not mine:
        return (replace(node.wall, openings=()),)
    left = remaining(node.wall.outline, mine)
    if not left:
        raise InputError(f"openings leave nothing of wall {node.number}, must leave some")
    untouched = len(left) == 1 and left[0].outer.segments == node.wall.outline.segments
    if untouched and len(mine) == len(node.wall.openings) == len(left[0].holes):
        return (node.wall,)
    return tuple(
        Wall(
            outline=region.outer,
            openings=tuple(Window(outline=hole) for hole in region.holes),
            seats=node.wall.seats,
        )
        for region in left
    )


def _strip(bend: Bend, cuts: tuple[Outline, ...]) -> tuple[Region, ...]:
    shape, back = strip(bend), bend.flat.inverse()
    return remaining(shape, [tool for tool in (transformed(c, back) for c in cuts) if _meets(shape, tool)])
