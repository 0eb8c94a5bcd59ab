"""Which pieces have a bore on an axis, and where along it: what a shaft put through a part goes through.

mm, in the part's frame; what a tube's or plate's edge is cut to is not looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from brackets.core.place import HERE, Place
from brackets.core.vectors import cross, length
from brackets.model.fold_tree import tree
from brackets.model.holes import Hole, Opening, Slot
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

ON = 0.01
"""mm: how far the middle of a bore may lie off an axis and still be on it, rounding of typed places; a shaft's
clearance is ten times that."""

ALONG = 1e-4
"""The same of its direction, as a sine: 0.006 degrees."""


@dataclass(frozen=True)
class Bore:
    """A bore of `piece` from `low` to `high` mm along an axis: `d` finished, `now` as it is when it is welded.

    A slot has its width for `d`; `bolt` is the bolt that it is for, where it says one."""

    piece: str
    low: float
    high: float
    d: float
    now: float
    bolt: str | None = None


def bores_on(part: Part, axis: Place) -> tuple[Bore, ...]:
    """Every bore of `part` about the z axis of `axis`, from the lowest up; mm along it from its origin.

    Of a turned piece the narrowest of its steps counts, all along it; a slot is on the axis where its middle is.
    """
    found = [bore for piece in part.pieces for bore in _of(piece, axis)]
    return tuple(sorted(found, key=lambda bore: (bore.low, bore.high, bore.piece)))


def _of(piece: Piece, axis: Place) -> Iterator[Bore]:
    match piece:
        case Plate():
            yield from _through(piece, HERE, piece.wall.openings, piece.t, axis)
        case Folded():
            for node in tree(piece).walls:
                yield from _through(piece, node.place, node.wall.openings, piece.t, axis)
        case Turned():
            bores = [step.bore for step in piece.steps]
            if min(bores) > 0:
                now = min(bores) if piece.bush is None else piece.bush.now
                yield from _round(piece, piece.length, min(bores), now, axis)
        case Tube():
            yield from _round(piece, piece.length, piece.bore, piece.bore, axis)
        case BentTube() | CustomPiece():
            return
        case _:
            raise AssertionError(piece)


def _through(piece: Piece, wall: Place, openings: tuple[Opening, ...], t: float, axis: Place) -> Iterator[Bore]:
    at = piece.place @ wall
    for opening in openings:
        if isinstance(opening, Hole):
            middle, d, now, bolt = opening.at, opening.d, opening.now, opening.bolt
        elif isinstance(opening, Slot):
            (ax, ay), (bx, by) = opening.a, opening.b
            middle, d, now, bolt = ((ax + bx) / 2, (ay + by) / 2), opening.d, opening.d, opening.bolt
        else:
            continue
        if _on(at @ Place((*middle, 0.0)), axis):
            ends = [axis.local(at.point((*middle, z)))[2] for z in (0.0, t)]
            yield Bore(piece.name, min(ends), max(ends), d, now, bolt)


def _round(piece: Piece, far: float, d: float, now: float, axis: Place) -> Iterator[Bore]:
    if _on(piece.place, axis):
        ends = [axis.local(piece.place.point((0.0, 0.0, z)))[2] for z in (0.0, far)]
        yield Bore(piece.name, min(ends), max(ends), d, now)


def _on(place: Place, axis: Place) -> bool:
    """Whether the z axis of `place` lies on that of `axis`, either way round."""
    if length(cross(place.axis, axis.axis)) > ALONG:
        return False
    x, y, _ = axis.local(place.at)
    return math.hypot(x, y) < ON
