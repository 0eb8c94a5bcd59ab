"""The blank a folded piece is cut as: outline, holes, bend lines, and the order in which it is bent.

mm, seen on the face z = t, the one inside a positive bend: positive bends come up towards you. The edge is walked
from wall to wall over the bends, so no shapes are joined and nothing is rounded.

What hangs farthest from the base is bent first, of equals the shorter flange. A rule of thumb, common practice,
no source: no tool is drawn, so a punch or a bed that is in the way is not seen.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Any, assert_never

from brackets.core.errors import InputError
from brackets.core.kept import keeps
from brackets.core.place import HERE, Place
from brackets.geometry.crossings import crossings
from brackets.geometry.curve import Outline, swept_corners
from brackets.geometry.regions import Region, common, cut, piece_at
from brackets.geometry.segments import JOIN, Line, Point, Segment, apart
from brackets.model.fold_tree import Bend, Tree, merged, straightened, tree
from brackets.model.fold_zones import flat_cuts, no_bevel, strip, taken, transformed
from brackets.model.holes import Hole, Slot, Window
from brackets.model.plate import Folded, Plate, TubeSeat, Wall

SHARED = 1e-6
"""mm2: zones that have less than this in common only touch."""

BOX_SLACK = -1e-6
"""mm: boxes that overlap by less than this only touch."""


def whole_outline(tree: Tree) -> Outline:
    """Outer edge of the uncut blank on the flat. Raises InputError where the blank would overlap itself."""
    edges = merged(tuple(_run(tree, 0)))
    found = crossings(edges)
    if found:
        shared = ", ".join(
            f"{_zone(tree, i)} and {_zone(tree, j)} by {area:.4g} mm2" for i, j, area in overlaps(tree)
        )
        where = shared or f"they touch at ({found[0][0]:.6g}, {found[0][1]:.6g}) mm"
        raise InputError(f"flanges overlap on the flat, must not: {where}")
    return Outline(edges)


def overlaps(tree: Tree) -> tuple[tuple[int, int, float], ...]:
    """Pairs of walls that overlap on the flat, each with its half of the bend it hangs on: numbers and mm2."""
    parts: list[tuple[int, Outline]] = [(n.number, transformed(n.wall.outline, n.flat)) for n in tree.walls]
    parts += [(b.number, transformed(strip(b), b.flat)) for b in tree.bends]
    found: dict[tuple[int, int], float] = {}
    for k, (i, a) in enumerate(parts):
        for j, b in parts[k + 1 :]:
            if i == j or apart(a.bounds, b.bounds, BOX_SLACK):
                continue
            area = math.fsum(region.area for region in common(a, b))
            if area > SHARED:
                pair = (min(i, j), max(i, j))
                found[pair] = found.get(pair, 0.0) + area
    return tuple((i, j, area) for (i, j), area in sorted(found.items()))


def _zone(tree: Tree, number: int) -> str:
    return f"flange {number}" if number else "the base"


def _run(tree: Tree, number: int) -> Iterator[Segment]:
    """The edge of wall `number` and all that hangs on it; a flange's from one end of its bend to the other."""
    node = tree.walls[number]
    outline = transformed(straightened(node.wall.outline), node.flat)
    gates = [_Gate(tree, bend) for bend in tree.children(number)]
    entry = _Entry(tree.bends[number - 1]) if number else None
    edges: list[Segment] = []
    start = 0
    for edge in outline.segments:
        if not isinstance(edge, Line):
            edges.append(edge)
            continue
        here: list[_Gate | _Entry] = [gate for gate in gates if gate.on(edge)]
        if entry is not None and entry.on(edge):
            here.append(entry)
        last = edge.a
        for gate in sorted(here, key=lambda gate: edge.nearest(gate.first)):
            edges += _line(last, gate.first)
            if isinstance(gate, _Entry):
                start = len(edges)
            else:
                edges += gate.run()
            last = gate.last
        edges += _line(last, edge.b)
    return iter(edges[start:] + edges[:start])


class _Gate:
    """Where the edge leaves a wall for the flange on `bend`, and comes back."""

    def __init__(self, tree: Tree, bend: Bend) -> None:
        self.tree, self.bend = tree, bend
        self.first, self.last = bend.on_flat((bend.width, 0.0)), bend.on_flat((0.0, 0.0))

    def on(self, edge: Line) -> bool:
        return _on(edge, self.first, self.last)

    def run(self) -> Iterator[Segment]:
        far = self.bend.on_flat((self.bend.width, self.bend.allowance))
        back = self.bend.on_flat((0.0, self.bend.allowance))
        yield Line(self.first, far)
        yield from _run(self.tree, self.bend.number)
        yield Line(back, self.last)


class _Entry:
    """The stretch of a flange's edge that hangs on its bend."""

    def __init__(self, bend: Bend) -> None:
        self.first = bend.on_flat((0.0, bend.allowance))
        self.last = bend.on_flat((bend.width, bend.allowance))

    def on(self, edge: Line) -> bool:
        return _on(edge, self.first, self.last)


def _on(edge: Line, first: Point, last: Point) -> bool:
    (x, y), run = edge.tangent(), (last[0] - first[0], last[1] - first[1])
    return x * run[0] + y * run[1] > 0 and all(
        math.dist(edge.point(edge.nearest(p)), p) <= JOIN for p in (first, last)
    )


def _line(a: Point, b: Point) -> Iterator[Line]:
    if math.dist(a, b) > JOIN:
        yield Line(a, b)


@dataclass(frozen=True)
class BlankHole:
    """A hole or slot of wall `wall` on the flat: its `centre`, or the `centres` of a slot's ends."""

    opening: Hole | Slot
    wall: int
    centres: tuple[Point, ...]

    @property
    def centre(self) -> Point:
        """The middle of it, mm."""
        (ax, ay), (bx, by) = self.centres[0], self.centres[-1]
        return ((ax + bx) / 2, (ay + by) / 2)


@dataclass(frozen=True)
class Blank:
    """The blank of a piece: what is cut from the sheet before it is bent; mm, in the frame of the piece's base.

    region: its metal with every hole at its finished size, and the no-bevel cut where a wall is cut to a round
    tube; cut: what it is cut to now, where a pivot hole is smaller and reamed after welding; bends, holes: where
    they lie on it; t: its thickness; grain: rolling direction, degrees from x, None where nobody says.
    """

    region: Region
    bends: tuple[Bend, ...]
    holes: tuple[BlankHole, ...]
    t: float
    cut: Region
    grain: float | None = None

    @property
    def outline(self) -> Outline:
        """The outer edge: lines and arcs, anticlockwise."""
        return self.region.outer

    @cached_property
    def area(self) -> float:
        """mm2, with every hole at its finished size."""
        return self.region.area

    @property
    def length(self) -> float:
        """Extent along x of the base, mm."""
        return self.outline.bounds[2] - self.outline.bounds[0]

    @property
    def width(self) -> float:
        """Extent along y of the base, mm."""
        return self.outline.bounds[3] - self.outline.bounds[1]


def blank_of(piece: Folded | Plate) -> Blank:
    """The blank a folded piece is cut as, or a plain plate, which has no bends; mm, in the frame of its base.

    piece: a Folded or a Plate.
    Raises InputError where the blank would overlap itself, falls apart or is all cut away, where a bend line is not
    on an edge of the wall it hangs on, and where a bend's radius, angle or K-factor makes no sense.

    >>> edge = lip((40, 20), (40, -20), t=2, length=30, inside_radius=3)
    >>> angle = Folded(name="angle", base=Wall(outline=rectangle(80, 40)), flanges=(edge,), t=2, k=0.42)
    >>> blank = blank_of(angle)
    >>> round(blank.length, 3), blank.width, round(80 + bend_allowance(90, 3, 2, 0.42) + 30 - (3 + 2), 3)
    (111.032, 40.0, 111.032)
    """
    return _flat(replace(piece, name="", place=HERE, material="", stock=""))


@lru_cache(maxsize=256)
def _flat(piece: Folded | Plate) -> Blank:
    if isinstance(piece, Plate):
        seats = tuple(_seats(piece.wall, HERE))
        done = tuple(opening.outline for opening in piece.wall.openings)
        now = tuple(opening.outline_now for opening in piece.wall.openings)
        region, left = _both(Region(piece.wall.outline), done, now, seats, piece.t)
        return Blank(region, (), tuple(_holes(0, piece.wall, HERE)), piece.t, left)
    return _unfolded(piece)


@keeps("blank of a folded piece")
def _unfolded(piece: Folded) -> Blank:
    whole = tree(piece)
    seats = tuple(seat for node in whole.walls for seat in _seats(node.wall, node.flat))
    blank = Region(whole_outline(whole))
    region, left = _both(blank, tuple(flat_cuts(piece)), tuple(flat_cuts(piece, now=True)), seats, piece.t)
    holes = tuple(hole for node in whole.walls for hole in _holes(node.number, node.wall, node.flat))
    return Blank(region, whole.bends, holes, piece.t, left, piece.grain)


def _both(
    blank: Region,
    done: tuple[Outline, ...],
    now: tuple[Outline, ...],
    seats: tuple[tuple[TubeSeat, Place], ...],
    t: float,
) -> tuple[Region, Region]:
    """The metal with its holes finished, and as it is cut now; one region where nothing is reamed."""
    region = _cut(blank, done, seats, t)
    return region, region if now == done else _cut(blank, now, seats, t)


def _seats(wall: Wall, place: Place) -> list[tuple[TubeSeat, Place]]:
    return [(seat, place) for seat in wall.seats]


def _holes(number: int, wall: Wall, place: Place) -> list[BlankHole]:
    found = []
    for opening in wall.openings:
        match opening:
            case Hole():
                found.append(BlankHole(opening, number, _laid(place, opening.at)))
            case Slot():
                found.append(BlankHole(opening, number, _laid(place, opening.a, opening.b)))
            case Window():
                pass
            case _:
                assert_never(opening)
    return found


def _laid(place: Place, *points: Point) -> tuple[Point, ...]:
    return tuple(place.point((x, y, 0.0))[:2] for x, y in points)


@keeps("blank cut to tubes")
def _seated(region: Region, seats: tuple[tuple[TubeSeat, Place], ...], t: float) -> Region:
    """What is left of a blank by the tubes it is cut to."""
    left = region
    for seat, place in seats:
        left = piece_at(cut(left, transformed(no_bevel(seat, t), place)), place.point((*seat.keep, 0.0))[:2])
    return left


def _cut(region: Region, cuts: tuple[Outline, ...], seats: tuple[tuple[TubeSeat, Place], ...], t: float) -> Region:
    """The one region left; holes drop out where they are whole inside, edges are cut where they reach it."""
    left: tuple[Region, ...] = (region,)
    for tool in cuts:
        left = tuple(part for one in left for part in taken(one, tool))
    if len(left) != 1:
        raise InputError(f"openings leave the blank in {len(left)} pieces, must be 1")
    return _seated(left[0], seats, t) if seats else left[0]


def bend_order(tree: Tree) -> tuple[int, ...]:
    """Numbers of the flanges in the order their bends are made."""

    def depth(number: int) -> int:
        return 0 if number == 0 else 1 + depth(tree.bends[number - 1].parent)

    def height(number: int) -> float:
        return tree.walls[number].wall.outline.bounds[3]

    numbers = (bend.number for bend in tree.bends)
    return tuple(sorted(numbers, key=lambda n: (-depth(n), height(n), n)))


def _corners(outline: Outline) -> list[dict[str, float]]:
    return [{"x_mm": x, "y_mm": y, "sweep_deg": sweep} for x, y, sweep in swept_corners(outline)]


def flat_facts(piece: Folded | Plate, blank: Blank) -> dict[str, Any]:
    """length_mm, width_mm, area_mm2, outline and openings as corners, bends in order, holes.

    A corner has the sweep of the edge that begins there: degrees of its arc, anticlockwise positive, 0 for a line.

    All of it is as the blank is cut now: a hole that is reamed after welding has `now_mm` under its `d_mm`.
    """
    order = bend_order(tree(piece)) if isinstance(piece, Folded) else ()
    bends = {bend.number: bend for bend in blank.bends}
    return {
        "length_mm": blank.length,
        "width_mm": blank.width,
        "area_mm2": blank.cut.area,
        "t_mm": blank.t,
        "outline": _corners(blank.cut.outer),
        "openings": [_corners(hole) for hole in blank.cut.holes],
        "bends": [
            {
                "flange": number,
                "line_mm": [list(p) for p in bends[number].line],
                "angle_deg": bends[number].angle,
                "inside_radius_mm": bends[number].inside_radius,
                "allowance_mm": bends[number].allowance,
                "k": bends[number].k,
                "k_from": bends[number].k_note,
            }
            for number in order
        ],
        "holes": [
            {
                "wall": hole.wall,
                "d_mm": hole.opening.d,
                "now_mm": _now(hole.opening),
                "centres_mm": [list(p) for p in hole.centres],
                "kind": _kind(hole.opening),
            }
            for hole in blank.holes
        ],
    }


def _now(opening: Hole | Slot) -> float:
    match opening:
        case Hole():
            return opening.now
        case Slot():
            return opening.d
        case _:
            assert_never(opening)


def _kind(opening: Hole | Slot) -> str:
    match opening:
        case Hole():
            return opening.kind
        case Slot():
            return "slot"
        case _:
            assert_never(opening)
