"""The strip of plate between a bolt of a part and what stands nearest to it: m, n and length of its T-stub. mm.

What stands on a plate is welded onto it or bent up from it. The strip is as long as EN 1993-1-8:2005 table 6.4 has
it (from memory), and no longer than the web reaches or 45 degrees from the bolt reach (common practice, no source),
the edges of the plate and half way to the next bolt.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from brackets.core.errors import InputError
from brackets.core.tables.bolt_rows import bolt as bolt_row
from brackets.hold.check import Array
from brackets.hold.found import Found
from brackets.hold.part_walls import PlacedWall, wall_at
from brackets.hold.plate_lines import to_edge
from brackets.hold.t_stubs import prying_force, t_stub
from brackets.hold.weld_edges import welded_edge
from brackets.model.bores import bores_on
from brackets.model.holes import Hole, Point
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Turned

OF_LEG = 0.8
"""Of a fillet's leg, up to where m is counted: 0.8 a root 2, EN 1993-1-8:2005 figure 6.2 (from memory)."""
OF_RADIUS = 0.8
"""The same of the inside radius of a bend: figure 6.2, radius of a rolled section (from memory)."""
ON_WALL = 2.0
"""mm: what is welded this near to a wall is on it."""
NO_WEB = (
    "web = none, something must be welded on or bent up from the plate: prying by EN 1993-1-8:2005 6.2.4 is of a"
    " plate that a web pulls"
)


@dataclass(frozen=True)
class Web:
    """A line on wall `wall` of a plate from which it is pulled, x and y, with what its fillet or bend takes off."""

    wall: int
    start: Point
    end: Point
    off: float

    def nearest(self, at: Point) -> Point:
        (x, y), (dx, dy) = self.start, (self.end[0] - self.start[0], self.end[1] - self.start[1])
        size = dx * dx + dy * dy
        part = ((at[0] - x) * dx + (at[1] - y) * dy) / size if size else 0.0
        part = min(max(part, 0.0), 1.0)
        return (x + part * dx, y + part * dy)


@dataclass(frozen=True)
class Strip:
    """m, n and length of a bolt's piece of plate, mm."""

    m: float
    n: float
    length: float


def webs_of(part: Part, piece: Plate | Folded) -> tuple[Web, ...]:
    """All that stands on a plate: what is welded onto it, a line a chord, and its bends, on both of their walls."""
    return tuple(_webs(part, piece))


def _webs(part: Part, piece: Plate | Folded) -> Iterator[Web]:
    for weld in part.welds:
        if weld.onto != piece.name:
            continue
        for line in welded_edge(part, weld).lines:
            wall = wall_at(piece, line.start)
            if wall.distance(np.asarray(line.start)) < ON_WALL and wall.distance(np.asarray(line.end)) < ON_WALL:
                ends = wall.flat(np.asarray(line.start)), wall.flat(np.asarray(line.end))
                yield Web(wall.number, *ends, OF_LEG * weld.leg)
    if isinstance(piece, Folded):
        for i, flange in enumerate(piece.flanges, 1):
            off = (OF_RADIUS - 1) * flange.inside_radius
            yield Web(flange.parent, flange.start, flange.end, off)
            yield Web(i, (0.0, 0.0), (flange.width, 0.0), off)


def strip_of(wall: PlacedWall, at: Point, webs: Sequence[Web]) -> Strip:
    """The strip of the bolt at x and y of a wall. Raises InputError where nothing stands there or over the bolt."""
    here = [web for web in webs if web.wall == wall.number]
    if not here:
        raise InputError(NO_WEB)
    web = min(here, key=lambda one: math.dist(one.nearest(at), at) - one.off)
    foot = web.nearest(at)
    far = math.dist(foot, at)
    m = far - web.off
    if m <= 0 or far <= 0:
        raise InputError(f"m = {m:.1f} mm from the bolt to the toe of what stands there, must be over 0: {NO_WEB}")
    out = ((at[0] - foot[0]) / far, (at[1] - foot[1]) / far)
    n = to_edge(wall.wall.outline, at, out)
    halves, edges = [], []
    for way in ((-out[1], out[0]), (out[1], -out[0])):
        edge = to_edge(wall.wall.outline, at, way)
        edges.append(edge)
        same = [one for one in here if _beside(one, web)]
        reach = max(m, *(_along(end, foot, way) for one in same for end in (one.start, one.end)))
        halves.append(min(2 * m + 0.625 * n, edge, reach, _half_way(wall, at, way, m + n)))
    round_it = min(2 * math.pi * m, math.pi * m + 2 * min(edges))
    return Strip(m, n, min(sum(halves), round_it))


def _along(point: Point, of: Point, way: Point) -> float:
    return (point[0] - of[0]) * way[0] + (point[1] - of[1]) * way[1]


def _beside(one: Web, web: Web) -> bool:
    """Whether a line goes on where another does: in line with it, so that it is the same web."""
    run = math.dist(web.start, web.end) or 1.0
    way = ((web.end[0] - web.start[0]) / run, (web.end[1] - web.start[1]) / run)
    off = [abs((p[0] - web.start[0]) * way[1] - (p[1] - web.start[1]) * way[0]) for p in (one.start, one.end)]
    return max(off) < ON_WALL


def _half_way(wall: PlacedWall, at: Point, way: Point, near: float) -> float:
    """mm half way to the next bolt on this side; none counts that lies further off the line than `near`."""
    far = [math.inf]
    for hole in wall.wall.openings:
        if isinstance(hole, Hole) and hole.bolt is not None:
            along, off = _along(hole.at, at, way), abs(_along(hole.at, at, (-way[1], way[0])))
            if along > 1.0 and off <= near:
                far.append(along / 2)
    return min(far)


def check_prying(
    found: Found,
    place: str,
    seat: Seat,
    piece: Plate | Folded,
    wall: PlacedWall,
    webs: Sequence[Web],
    tension: Array,
    bolt: str,
    grade: str,
) -> Array:
    """Asks for the T-stub of a bolt; (cases,) N that prying adds to it, 0 where it is not known."""
    if not tension.max(initial=0.0) > 0:
        return np.zeros_like(tension)
    try:
        strip = strip_of(wall, wall.flat(np.array(seat.place.at)), webs)
        sizes = {"t": wall.t, "m": strip.m, "n": strip.n, "length": strip.length}
        added = prying_force(tension, metal=found.metal_of(piece), factors=found.settings.factors, **sizes)
    except InputError as error:
        found.refuse(f"prying of {place}", *error.problems)
        return np.zeros_like(tension)
    long = bolt_length(found, seat, piece, wall.t, bolt)
    found.ask(place, t_stub, tension, bolt=bolt, grade=grade, bolt_length=long, of=piece, **sizes)
    return added


def bolt_length(found: Found, seat: Seat, piece: Plate | Folded, t: float, bolt: str) -> float | None:
    """mm that a bolt stretches over: what it clamps, half its head and half its nut, or half the thread that is
    typed for a casting in place of the nut (EN 1993-1-8:2005 table 6.11, from memory).

    None where the record does not say: no thread typed, or a section or sheet between that is no piece of the part.
    """
    row = bolt_row(bolt)
    between = [bore for bore in bores_on(found.part, seat.place) if bore.piece != piece.name]
    clamped = t + sum(bore.high - bore.low for bore in between)
    if seat.kind == "boss":
        engaged = found.settings.engaged.get(seat.name)
        return None if engaged is None else clamped + (row.head_height + engaged) / 2
    through = any(isinstance(found.part.piece(bore.piece), Turned) for bore in between)
    return clamped + (row.head_height + row.nut_height) / 2 if through else None
