"""A folded piece of steel as a fold-up of card: no inside radius, the card's faces where the steel's outside is.

Each panel of card lies in its steel wall, against the face that is outside of its bend, and has the wall's frame,
so that holes keep their places. A fold is a hinge `crease` under its outside face: flat length = outside leg less
crease x tan(A/2) at each fold, where A is the angle folded and the leg runs to the apex of the outside faces.
mm, seen as the steel's blank is: on the face inside the bends that go up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from brackets.core.errors import InputError
from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec
from brackets.forming.card_openings import crossing, cut_out, whole
from brackets.forming.card_stock import Card
from brackets.forming.flat_pattern import BlankHole, whole_outline
from brackets.geometry.crossings import intersections
from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region, cut, piece_at
from brackets.geometry.segments import JOIN, Line, Point
from brackets.geometry.shapes import polygon
from brackets.model.fold_tree import Bend, Node, Tree, tree
from brackets.model.fold_zones import no_bevel, taken
from brackets.model.holes import Hole, Window
from brackets.model.plate import Folded, Plate, TubeSeat

SLICE = 1e-6
"""mm: thickness of the slice of a wall whose outline is taken."""

TRIMMED = 1.0 / 3.0
"""Part of a wall that the change to its other face may take from it; past it the card stays on one face."""


@dataclass(frozen=True, kw_only=True)
class Fold:
    """A fold: its `line` on the flat, `angle` degrees it is folded, up where positive; what it joins by name."""

    name: str
    line: tuple[Point, Point]
    angle: float

    @property
    def up(self) -> bool:
        """Towards who looks at the sheet."""
        return self.angle > 0


@dataclass(frozen=True, kw_only=True)
class Panel:
    """The card of wall `number`: in the wall's frame from z = `low` to `low` plus the card's thickness.

    `place`: the wall's frame in the piece; `flat`: on the flat; `outline`: of the steel's wall; `ends`: of its
    folds, in its frame; `flaps`: what it has between its wall and its folds; `seats`: tubes it is cut to; `high`:
    whether it lies against the face z = t.
    """

    number: int
    place: Place
    flat: Place
    low: float
    high: bool
    outline: Outline
    ends: tuple[Point, ...] = ()
    flaps: tuple[Outline, ...] = ()
    seats: tuple[TubeSeat, ...] = ()

    @property
    def name(self) -> str:
        return f"wall {self.number}" if self.number else "base"


TOLD = 1e-3
"""mm that a chord may leave a curve where sizes are told: 0.03 would tell other sizes than the cut list."""


@dataclass(frozen=True, kw_only=True)
class FoldUp:
    """A fold-up: its card with every opening on the flat, folds, panels, the holes that have a name and a place.

    `t`: thickness of the steel.
    """

    card: Card
    t: float
    region: Region
    folds: tuple[Fold, ...]
    panels: tuple[Panel, ...]
    holes: tuple[BlankHole, ...]
    parents: tuple[int, ...]

    @property
    def outside(self) -> tuple[Vec, Vec]:
        """Lowest and highest corner of the folded card in the frame of the piece, mm."""
        spots = [
            panel.place.point((*p, z))
            for panel in self.panels
            for z in (panel.low, panel.low + self.card.t)
            for p in (*_at_height(panel.outline, panel.seats, z).points(TOLD), *panel.ends)
        ]
        return box_of(spots)


@lru_cache(maxsize=256)
def fold_up(piece: Folded | Plate, card: Card) -> FoldUp:
    """The fold-up of a folded piece, or the outline of a plate, which has no folds.

    Raises InputError where the card would overlap itself on the flat or falls apart.
    """
    if isinstance(piece, Plate):
        return _plain(piece, card)
    steel = tree(replace(piece, name="", place=HERE, material="", stock=""))
    highs = sides(steel)
    hinges = tuple(_hinge(steel, bend, highs, card) for bend in steel.bends)
    flat = _flat_tree(steel, hinges)
    lows = [steel.t - card.t if high else 0.0 for high in highs]
    region = cut_out(Region(whole_outline(flat)), piece, steel, flat, lows, card)
    panels = tuple(
        Panel(
            number=node.number,
            place=steel.walls[node.number].place,
            flat=node.flat,
            low=lows[node.number],
            high=highs[node.number],
            outline=node.wall.outline,
            ends=tuple(p for _, *run in _ends(steel, node.number, hinges) for p in run),
            flaps=tuple(_flaps(steel, node.number, hinges)),
            seats=node.wall.seats,
        )
        for node in flat.walls
    )
    folds = tuple(
        Fold(name=f"B{bend.number}", line=run, angle=bend.angle)
        for bend, hinge in zip(flat.bends, hinges, strict=True)
        for run in runs_inside(region, *(bend.on_flat((x, hinge.out)) for x in (0.0, bend.width)))
    )
    holes = tuple(hole for node in flat.walls for hole in _holes(node, crossing(steel, node.number)))
    parents = (-1, *(bend.parent for bend in steel.bends))
    return FoldUp(
        card=card, t=steel.t, region=region, folds=folds, panels=panels, holes=holes, parents=parents
    )


def _plain(piece: Plate, card: Card) -> FoldUp:
    wall = piece.wall
    left: tuple[Region, ...] = (Region(wall.outline),)
    for opening in wall.openings:
        left = tuple(part for one in left for part in taken(one, opening.outline))
    region = whole(left)
    for seat in wall.seats:
        region = piece_at(cut(region, no_bevel(seat, piece.t)), seat.keep)
    node = Node(0, wall, HERE, HERE)
    panel = Panel(number=0, place=HERE, flat=HERE, low=0.0, high=False, outline=wall.outline, seats=wall.seats)
    return FoldUp(
        card=card,
        t=piece.t,
        region=region,
        folds=(),
        panels=(panel,),
        holes=tuple(_holes(node, frozenset())),
        parents=(-1,),
    )


def sides(steel: Tree) -> tuple[bool, ...]:
    """Per wall whether its card lies against the face z = t, else against z = 0: the outside of its own bend.

    The base takes the outside of most of its folds by length. A wall stays on the face of the wall it hangs on
    where the change would take too much of it, or where it is wider than its bend.
    """
    up = sum(math.copysign(bend.width, bend.angle) for bend in steel.children(0))
    found = [up < 0]
    for bend in steel.bends:
        outer = bend.angle < 0
        if outer != found[bend.parent]:
            x0, _, x1, tall = steel.walls[bend.number].wall.outline.bounds
            wider = x0 < -JOIN or x1 > bend.width + JOIN
            hinge = _hinge(steel, bend, {bend.parent: found[bend.parent], bend.number: outer}, Card())
            if wider or hinge.back > TRIMMED * tall or hinge.out < 0:
                outer = found[bend.parent]
        found.append(outer)
    return tuple(found)


@dataclass(frozen=True)
class _Hinge:
    """Where a fold lies: `out` mm past the parent's tangent line, `back` mm on the child's y (less than 0: before
    its tangent line)."""

    out: float
    back: float

    @property
    def allowance(self) -> float:
        """mm on the flat between the two tangent lines."""
        return self.out - self.back


def _hinge(steel: Tree, bend: Bend, highs: Sequence[bool] | dict[int, bool], card: Card) -> _Hinge:
    """The line that the hinge planes of the two panels have in common."""
    up = bend.angle > 0
    depth = card.crease if up else card.t - card.crease
    ours, theirs = (
        (steel.t - card.t if highs[number] else 0.0) + depth for number in (bend.parent, bend.number)
    )
    over = bend.beyond()
    (_, oy, oz), (_, ny, nz), (_, uy, uz) = over.at, over.axis, over.up
    out = (theirs + oy * ny + oz * nz - ours * nz) / ny
    return _Hinge(out, (out - oy) * uy + (ours - oz) * uz)


def _flat_tree(steel: Tree, hinges: Sequence[_Hinge]) -> Tree:
    """The same walls laid out with the card's allowances in place of the bends'."""
    nodes = [Node(0, steel.walls[0].wall, steel.walls[0].place, HERE)]
    bends = []
    for bend, hinge in zip(steel.bends, hinges, strict=True):
        if not hinge.allowance > JOIN:
            raise InputError(f"fold {bend.number} has no card between its walls, must have some: a fold-up")
        at = nodes[bend.parent].flat @ steel.walls[bend.parent].flat.inverse() @ bend.flat
        bends.append(replace(bend, allowance=hinge.allowance, flat=at))
        node = steel.walls[bend.number]
        nodes.append(Node(bend.number, node.wall, node.place, at @ Place((0.0, hinge.allowance, 0.0))))
    return Tree(tuple(nodes), tuple(bends), steel.t)


def _ends(
    steel: Tree, number: int, hinges: Sequence[_Hinge]
) -> Iterator[tuple[tuple[Point, Point], Point, Point]]:
    """A wall's folds in its own frame: the ends of its tangent line, then of the fold: how far out it comes."""
    if number:
        wide, back = steel.bends[number - 1].width, hinges[number - 1].back
        yield ((0.0, 0.0), (wide, 0.0)), (0.0, back), (wide, back)
    for bend in steel.children(number):
        at = steel.walls[number].place.inverse() @ bend.place
        out = hinges[bend.number - 1].out
        p, q, r, s = (at.point((x, y, 0.0))[:2] for y in (0.0, out) for x in (0.0, bend.width))
        yield (p, q), r, s


def _flaps(steel: Tree, number: int, hinges: Sequence[_Hinge]) -> Iterator[Outline]:
    """What a panel has between its wall's tangent lines and its folds; nothing where a fold lies in the wall."""
    for i, ((p, q), r, s) in enumerate(_ends(steel, number, hinges)):
        beyond = -hinges[number - 1].back if i == 0 and number else math.dist(p, r)
        if beyond > JOIN:
            yield polygon((p, q, s, r))


def _holes(node: Node, over: frozenset[int]) -> Iterator[BlankHole]:
    """Holes and slots of a wall that lie in it alone, where they are on the flat."""
    for i, opening in enumerate(node.wall.openings):
        if i in over or isinstance(opening, Window):
            continue
        ends = (opening.at,) if isinstance(opening, Hole) else (opening.a, opening.b)
        yield BlankHole(opening, node.number, tuple(node.flat.point((*p, 0.0))[:2] for p in ends))


def runs_inside(region: Region, a: Point, b: Point) -> tuple[tuple[Point, Point], ...]:
    """The parts of the straight line from a to b that lie on the card."""
    line = Line(a, b)
    meets = [p for edge in region.edges for p in intersections(line, edge)]
    stops = sorted({0.0, 1.0, *(line.nearest(p) for p in meets)})
    kept: list[list[float]] = []
    for s0, s1 in zip(stops, stops[1:], strict=False):
        if (s1 - s0) * line.length <= JOIN or region.distance(line.point((s0 + s1) / 2)) < -JOIN:
            continue
        if kept and abs(kept[-1][1] - s0) * line.length <= JOIN:
            kept[-1][1] = s1
        else:
            kept.append([s0, s1])
    return tuple((line.point(s0), line.point(s1)) for s0, s1 in kept)


def _at_height(outline: Outline, seats: Sequence[TubeSeat], z: float) -> Outline:
    """What a wall's outline is at that height in its frame, cut to its round tubes."""
    for seat in seats:
        x, y, up = seat.at
        tool = no_bevel(replace(seat, at=(x, y, up - z)), SLICE)
        outline = piece_at(cut(outline, tool), seat.keep).outer
    return outline


def steel_box(piece: Folded | Plate) -> tuple[Vec, Vec]:
    """Lowest and highest corner of the steel in its own frame, mm."""
    if isinstance(piece, Plate):
        wall = piece.wall
        outlines = ((_at_height(wall.outline, wall.seats, z), z) for z in (0.0, piece.t))
        return box_of([(*p, z) for outline, z in outlines for p in outline.points(TOLD)])
    steel = tree(replace(piece, name="", place=HERE, material="", stock=""))
    spots = [
        node.place.point((*p, z))
        for node in steel.walls
        for z in (0.0, steel.t)
        for p in _at_height(node.wall.outline, node.wall.seats, z).points(TOLD)
    ]
    for bend in steel.bends:
        outer, down = bend.inside_radius + bend.t, -1.0 if bend.angle > 0 else 1.0
        steps = max(2, math.ceil(abs(bend.angle)))
        for i in range(steps + 1):
            turn = math.radians(abs(bend.angle)) * i / steps
            for x in (0.0, bend.width):
                spot = (x, outer * math.sin(turn), bend.centre + down * outer * math.cos(turn))
                spots.append(bend.place.point(spot))
    return box_of(spots)


def box_of(spots: Sequence[Vec]) -> tuple[Vec, Vec]:
    """Lowest and highest corner of points."""
    low, high = ([pick(p[i] for p in spots) for i in range(3)] for pick in (min, max))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
