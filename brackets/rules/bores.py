"""Which pieces one bolt passes through, and which sit in each other's bores: what joins a part besides welds.

mm, in the frame of the part. How far apart along the bolt two holes lie does not count: it clamps what is between.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from brackets.core.place import Place
from brackets.core.tables.bolt_rows import bolt
from brackets.core.vectors import Vec, add, cross, dot, length, scale, sub
from brackets.geometry.segments import Point
from brackets.model.fold_tree import tree
from brackets.model.folded import Folded
from brackets.model.holes import Hole, Slot
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Tube
from brackets.model.turned import Turned

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
