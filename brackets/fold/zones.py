"""Walls and bends as they are left when every opening and relief has been cut through the flat.

A cut belongs to the wall that names it and is taken, laid out flat, from every zone it meets.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from brackets.errors import OutOfRange
from brackets.fold.tree import Bend, Node, Tree, tree
from brackets.outline import Outline, Region, circle, cut, distance, polygon
from brackets.outline.segments import Arc, Line, apart
from brackets.pieces import HERE, Folded, Place, Wall, Window
from brackets.pieces.folded import Relief

CLEAR = -1e-6
"""mm: boxes of zones and cuts that overlap by less than this only touch."""


@dataclass(frozen=True)
class Zones:
    """Per wall the walls it is left as (its own frame), per bend the regions it is left as (the bend's frame)."""

    tree: Tree
    walls: tuple[tuple[Wall, ...], ...]
    bends: tuple[tuple[Region, ...], ...]


def zones(piece: Folded) -> Zones:
    """What is left of each wall and bend of `piece`. Raises OutOfRange as `tree` does, or where nothing is left."""
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
            yield laid(opening.outline_now if now else opening.outline, node.flat)
    for bend, flange in zip(whole.bends, piece.flanges, strict=True):
        if flange.relief is not None:
            for relief in relief_outlines(flange.relief, bend):
                yield laid(relief, bend.flat)


def laid(outline: Outline, place: Place) -> Outline:
    """`outline` moved by a place in the plane."""
    if place == HERE:
        return outline
    return outline.map(lambda p: place.point((p[0], p[1], 0.0))[:2])


def strip(bend: Bend) -> Outline:
    """The uncut strip of a bend in its own frame."""
    return polygon(((0.0, 0.0), (bend.width, 0.0), (bend.width, bend.allowance), (0.0, bend.allowance)))


def relief_outlines(relief: Relief, bend: Bend) -> Iterator[Outline]:
    """What a relief cuts out, in the bend's frame. Raises OutOfRange where its sizes make no shape."""
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
        raise OutOfRange(*problems)
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
    mine = [tool for tool in (laid(c, back) for c in cuts) if _meets(node.wall.outline, tool)]
    if not mine:
        return (replace(node.wall, openings=()),)
    left = remaining(node.wall.outline, mine)
    if not left:
        raise OutOfRange(f"openings leave nothing of wall {node.number}, must leave some")
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
    return remaining(shape, [tool for tool in (laid(c, back) for c in cuts) if _meets(shape, tool)])
