"""What holds a part together: welds, bolts through its pieces, press fits; pieces that nothing reaches.

mm, in the frame of the part. How far apart along the bolt two holes lie does not count: it clamps what is between.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import assert_never

from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.parts import LOOSE_PIECE, WELD_GAP
from brackets.core.tables.bolt_rows import bolt
from brackets.core.vectors import Vec, add, cross, dot, length, scale, sub
from brackets.forming.separation import Outside, outside_of
from brackets.geometry.segments import Point
from brackets.model.edges import length as edge_length
from brackets.model.edges import points
from brackets.model.fold_tree import tree
from brackets.model.holes import Hole, Slot
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import Tube, Turned
from brackets.model.weld import Weld

SQUARE = 0.02
"""Sine of the angle by which a bolt may lean in the holes it passes: 1 degree."""

ROOMY = 1.5
"""Widest hole that a bolt still holds by, in bolt diameters: a large washer bears on no more."""

TAPPED = 0.75
"""Narrowest hole that counts as tapped for a bolt, in bolt diameters: the tapping drill of 1/4-20 UNC is 0.8."""

PRESSED = 0.1
"""mm that a shaft and the bore it is pressed into may differ by as drawn: both carry the nominal size."""

TURNS = 40
"""Most turns that two slots at an angle are settled by."""


@dataclass(frozen=True)
class Bore:
    """A hole of diameter `d` from `a` to `b`; `slide` is how far along a slot its middle may lie, `bolt` the
    diameter of the bolt it names, `round` whether a shaft could sit in it."""

    a: Vec
    b: Vec
    d: float
    slide: Vec = (0.0, 0.0, 0.0)
    bolt: float | None = None
    round: bool = True


@dataclass(frozen=True)
class Shaft:
    """A round outside of diameter `d` from `a` to `b`."""

    a: Vec
    b: Vec
    d: float


def joined(one: Piece, other: Piece | Seat) -> bool:
    """Whether a bolt that one of them names passes through holes of both, or one is pressed into the other; a seat
    on a boss or a chassis has the bolt it names."""
    mine, theirs = tuple(bores(one)), tuple(_seat(other) if isinstance(other, Seat) else bores(other))
    if any(_one_bolt(a, b) for a in mine for b in theirs):
        return True
    if isinstance(other, Seat):
        return False
    return any(_pressed(shaft, bore) for shaft in shafts(one) for bore in theirs) or any(
        _pressed(shaft, bore) for shaft in shafts(other) for bore in mine
    )


def bores(piece: Piece) -> Iterator[Bore]:
    """Every round hole and slot of a piece, and the bores of what is turned and of tubes."""
    if isinstance(piece, Plate):
        yield from _of_wall(piece.wall, piece.place, piece.t)
    elif isinstance(piece, Folded):
        for node in tree(piece).walls:
            yield from _of_wall(node.wall, piece.place @ node.place, piece.t)
    elif isinstance(piece, Turned):
        size, z = None if piece.thread is None else bolt(piece.thread).d, 0.0
        for step in piece.steps:
            if step.bore:
                yield Bore(*_ends(piece.place, (0.0, 0.0), z, z + step.length), d=step.bore, bolt=size)
            z += step.length
    elif isinstance(piece, Tube):
        yield Bore(*_ends(piece.place, (0.0, 0.0), 0.0, piece.length), d=piece.bore)


def shafts(piece: Piece) -> Iterator[Shaft]:
    """The round outsides of a piece."""
    if isinstance(piece, Turned):
        z = 0.0
        for step in piece.steps:
            yield Shaft(*_ends(piece.place, (0.0, 0.0), z, z + step.length), d=step.od)
            z += step.length
    elif isinstance(piece, Tube):
        yield Shaft(*_ends(piece.place, (0.0, 0.0), 0.0, piece.length), d=piece.od)


def _of_wall(wall: Wall, place: Place, t: float) -> Iterator[Bore]:
    for opening in wall.openings:
        if isinstance(opening, Hole):
            size = None if opening.bolt is None else bolt(opening.bolt).d
            yield Bore(*_ends(place, opening.at, 0.0, t), d=opening.d, bolt=size)
        elif isinstance(opening, Slot):
            slide = (opening.b[0] - opening.a[0], opening.b[1] - opening.a[1], 0.0)
            size = None if opening.bolt is None else bolt(opening.bolt).d
            yield Bore(
                *_ends(place, opening.a, 0.0, t), d=opening.d, slide=place.direction(slide), bolt=size, round=False
            )


def _seat(seat: Seat) -> Iterator[Bore]:
    match seat.kind:
        case "boss" | "bolt":
            if seat.bolt is not None:
                d = bolt(seat.bolt).d
                yield Bore(*_ends(seat.place, (0.0, 0.0), 0.0, d), d=d, bolt=d)
        case "face" | "bush" | "round":
            return
        case _:
            assert_never(seat.kind)


def _ends(place: Place, at: Point, low: float, high: float) -> tuple[Vec, Vec]:
    return place.point((*at, low)), place.point((*at, high))


def _one_bolt(one: Bore, other: Bore) -> bool:
    """Whether a bolt that either names goes through both."""
    for d in {size for size in (one.bolt, other.bolt) if size is not None}:
        fits = all(TAPPED * d <= bore.d <= ROOMY * d for bore in (one, other))
        play = sum(max(0.0, bore.d - d) / 2 for bore in (one, other)) + PRESSED
        if fits and _parallel(one, other) and _beside(one, other) <= play:
            return True
    return False


def _pressed(shaft: Shaft, bore: Bore) -> bool:
    if not bore.round or abs(shaft.d - bore.d) > PRESSED or not _parallel(shaft, bore):
        return False
    if _across(sub(shaft.a, bore.a), sub(bore.b, bore.a)) > PRESSED:
        return False
    along = sub(bore.b, bore.a)
    far = length(along)
    low, high = sorted(dot(sub(p, bore.a), along) / far for p in (shaft.a, shaft.b))
    return min(high, far) - max(low, 0.0) > PRESSED


def _parallel(one: Bore | Shaft, other: Bore | Shaft) -> bool:
    a, b = sub(one.b, one.a), sub(other.b, other.a)
    return length(cross(a, b)) <= SQUARE * length(a) * length(b)


def _across(v: Vec, along: Vec) -> float:
    return length(cross(v, along)) / length(along)


def _beside(one: Bore, other: Bore) -> float:
    """Least distance square to the bolt between the places where the middle of either may lie, mm; by turns along
    one slot and the other, which settles on the least."""
    along, between = sub(one.b, one.a), sub(other.a, one.a)
    mine = theirs = 0.5
    for _ in range(TURNS if one.slide != other.slide else 1):
        mine = _share(add(between, scale(other.slide, theirs)), one.slide)
        theirs = _share(sub(scale(one.slide, mine), between), other.slide)
    return _across(sub(add(between, scale(other.slide, theirs)), scale(one.slide, mine)), along)


def _share(to: Vec, slide: Vec) -> float:
    """How far along `slide`, 0 to 1, is nearest to `to`."""
    size = dot(slide, slide)
    return min(1.0, max(0.0, dot(to, slide) / size)) if size else 0.0


ROOT_OPENING = 1.6
"""Widest gap a fillet is laid over as it stands, mm, where no shop says its own: 1/16 in, common practice, no
source."""

ALONG = 40
"""Stretches a weld's line is looked at by, each in its middle and at its ends: 1 mm each of a 40 mm weld."""

NONE = 1e-6
"""mm: lengths below are rounding."""


def joint_findings(part: Part, *, fit_up: float = ROOT_OPENING) -> Iterator[Finding]:
    """Welds of `part` with no metal within `fit_up` mm, pieces that nothing reaches, and pieces that are loose as
    the recipe says."""
    pieces = {piece.name: piece for piece in part.pieces}
    holding = []
    for weld in part.welds:
        ends = [pieces[name] for name in (weld.piece, weld.onto) if name in pieces]
        bare, widest = uncovered(pieces[weld.piece], weld, ends, fit_up)
        whole = edge_length(pieces[weld.piece], weld.edge)
        if bare > NONE:
            yield bare_finding(weld, bare, whole, widest, fit_up)
        if bare < whole - NONE:
            holding.append(weld)
    yield from _loose(part, holding)


def uncovered(
    piece: Piece,
    weld: Weld,
    ends: list[Piece],
    fit_up: float,
    off: Callable[[Piece], Outside] = outside_of,
) -> tuple[float, float]:
    """mm of a weld's line with more than `fit_up` mm of air to one of `ends`, and the widest gap of it, mm; 0 and 0
    where there is none.

    `off` measures from a piece to points; where it gives None (an Odd piece, in closed form) nothing is said.
    """
    spots, offs = points(piece, weld.edge, 2 * ALONG + 1), [off(end) for end in ends]

    def gap(spot: Vec, enough: float = -math.inf) -> float:
        return max((away(spot, enough) or 0.0 for away in offs), default=0.0)

    bare = sum(1 for spot in spots[1::2] if gap(spot, fit_up) > fit_up) / ALONG
    if not bare:
        return 0.0, 0.0
    return bare * edge_length(piece, weld.edge), max(0.0, *map(gap, spots))


def bare_finding(weld: Weld, bare: float, whole: float, widest: float, fit_up: float) -> Finding:
    """The stop for a weld `whole` mm long of which `bare` lies on nothing."""
    return WELD_GAP.finding(
        piece=weld.piece,
        value=widest,
        limit=fit_up,
        source_words=f"{fit_up:g}",
        sentence=(
            f"weld of {weld.piece} to {weld.onto}: {bare:.0f} of {whole:.0f} mm lie on nothing, widest gap"
            f" {widest:.1f} mm"
        ),
    )


def _loose(part: Part, holding: list[Weld]) -> Iterator[Finding]:
    """Every piece outside the largest group that holds together; what is fixed to the outside is held by it."""
    group = {piece.name: {piece.name} for piece in part.pieces}

    def join(names: set[str]) -> None:
        whole = set().union(*(group[name] for name in names))
        for name in whole:
            group[name] = whole

    for weld in holding:
        if weld.onto in group:
            join({weld.piece, weld.onto})
    for i, one in enumerate(part.pieces):
        for other in part.pieces[i + 1 :]:
            if joined(one, other):
                join({one.name, other.name})
    fixed = {weld.piece for weld in holding if weld.onto not in group}
    fixed |= {name for name in group if any(joined(part.piece(name), seat) for seat in part.seats)}
    if fixed:
        join(fixed)
    most = max((len(names) for names in group.values()), default=0)
    held = next((names for names in group.values() if len(names) == most), set())
    for piece in part.pieces:
        if piece.name in part.loose:
            yield LOOSE_PIECE.finding(
                level="advice",
                piece=piece.name,
                sentence=f"{piece.name} is loose, as the recipe says: nothing here holds it",
            )
        elif not held >= group[piece.name]:
            yield LOOSE_PIECE.finding(
                level="stop",
                piece=piece.name,
                sentence=f"no weld or bolt reaches {piece.name}",
            )
