"""The set-up dimensions of a weldment: for each piece where it goes from the datum, and what to check it by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import assert_never

from brackets.core.vectors import cross, dot, length, sub
from brackets.forming.part_numbers import piece_list
from brackets.forming.set_up_bushes import of_bushes
from brackets.forming.set_up_checks import between
from brackets.forming.set_up_clock import of_clock
from brackets.forming.set_up_datum import (
    ALONG,
    Datum,
    Spot,
    axes_of,
    datum_of,
    end_spots,
    nearest,
    on_axis,
    planes_of,
)
from brackets.forming.set_up_dimension import AXES, SetUpDimension, aligned, at_point, from_datum, of_axis
from brackets.forming.set_up_plates import of_plate
from brackets.model.kinds import known
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

REMEMBERED = 32
"""Parts whose set-up is kept in memory: facts and sheets ask for it."""


@dataclass(frozen=True, kw_only=True)
class SetUp:
    """Datum and dimensions of a weldment, in the order in which its pieces are numbered; `unknown` are the pieces
    that nothing is known of here."""

    datum: Datum
    dimensions: tuple[SetUpDimension, ...]
    unknown: tuple[str, ...]


def set_up(part: Part) -> SetUp | None:
    """The set-up dimensions of a part of more than one piece; None where there is nothing to set up.

    part: as it stands; values do not depend on where that is.

    >>> base = plate(rectangle(100, 60), 6, name="base")
    >>> ear = plate(rectangle(40, 30), 5, name="ear", place=Place((0, 0, 21), (1, 0, 0), (0, 0, 1)))
    >>> tee = Part(name="tee", pieces=(base, ear))
    >>> [(one.what, "xyz"[one.axis], one.text) for one in set_up(tee).dimensions]
    [('face nearer C', 'x', '50'), ('lowest corner nearest B', 'y', '10'), ('lowest corner nearest B', 'z', '0')]
    """
    return None if len(part.pieces) < 2 else _set_up(part)


@lru_cache(maxsize=REMEMBERED)
def _set_up(part: Part) -> SetUp:
    datum = datum_of(part)
    found: list[SetUpDimension] = []
    unknown = []
    for listed in piece_list(part):
        for name in listed.names:
            piece = part.piece(name)
            rows = [] if name == datum.piece else list(_of_piece(part, piece, datum))
            if not rows and name != datum.piece:
                unknown.append(name)
            found += rows
            if isinstance(piece, Tube | BentTube):
                found += of_clock(part, piece, datum)
    found += of_bushes(part, datum)
    found += between(part)
    return SetUp(datum=datum, dimensions=tuple(found), unknown=tuple(unknown))


def _of_piece(part: Part, piece: Piece, datum: Datum) -> Iterator[SetUpDimension]:
    match known(piece):
        case Plate() | Folded() as flat:
            yield from of_plate(part, flat, datum)
        case Turned() as turned:
            yield from _of_turned(turned, datum)
        case Tube() | BentTube() as tube:
            yield from _of_tube(part, tube, datum)
        case CustomPiece():
            return
        case other:
            assert_never(other)


def _of_turned(piece: Turned, datum: Datum) -> Iterator[SetUpDimension]:
    (axis,) = axes_of(piece)
    along = aligned(datum.direction(axis.way))
    ends = [plane for plane in planes_of(piece) if length(cross(plane.way, axis.way)) < ALONG]
    low, high = (pick(ends, key=lambda f: dot(sub(f.at, axis.at), axis.way)) for pick in (min, max))
    if along is None:
        yield from of_axis(piece.name, axis, datum)
        near = min((low, high), key=lambda f: datum.local(on_axis(axis, f))[2])
        yield from at_point(piece.name, "middle of its lower end", Spot(on_axis(axis, near), (axis, near)), datum)
        return
    for i in range(3):
        if i != along:
            yield from_datum(piece.name, f"axis, along {AXES[along]}", axis, i, datum)
    for end in sorted((low, high), key=lambda f: datum.local(f.at)[along]):
        yield from_datum(piece.name, "its two ends", end, along, datum)


def _of_tube(part: Part, tube: Tube | BentTube, datum: Datum) -> Iterator[SetUpDimension]:
    lines = axes_of(tube)
    start, end = end_spots(part, tube)
    along = aligned(datum.direction(lines[0].way))
    if isinstance(tube, Tube) and along is not None:
        for i in range(3):
            if i != along:
                yield from_datum(tube.name, f"axis, along {AXES[along]}", lines[0], i, datum)
        for word, spot in (("start", start), ("end", end)):
            if spot is not None:
                yield from_datum(tube.name, f"node of its {word}", spot, along, datum)
        return
    for number, line in enumerate(lines, 1):
        what = "axis" if len(lines) == 1 else f"axis of straight {number}"
        yield from of_axis(tube.name, line, datum, what)
    if start is not None:
        yield from at_point(tube.name, "node of its start", start, datum)
    for number, (a, b) in enumerate(zip(lines, lines[1:], strict=False), 1):
        at = nearest(a, b)
        if at is not None:
            yield from at_point(tube.name, f"corner {number} of its axis", Spot(at, (a, b)), datum)
    if end is not None:
        yield from at_point(tube.name, "node of its end", end, datum)
