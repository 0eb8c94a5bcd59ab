"""Where the bushes of a weldment sit: their seats, the axes and centres of these, and their set-up dimensions."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from brackets.core.vectors import cross, dot, length
from brackets.forming.set_up_datum import (
    ALONG,
    ON,
    Datum,
    Feature,
    Spot,
    axes_of,
    coaxial,
    on_axis,
    planes_of,
)
from brackets.forming.set_up_dimension import AXES, SetUpDimension, aligned, at_point, from_datum, of_axis
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.tube import Turned


def of_bushes(part: Part, datum: Datum) -> Iterator[SetUpDimension]:
    """The axis of every bush seat, or its centre and its angles where it runs along no axis of the datum."""
    for seat in bush_seats(part):
        axis = _bush_axis(part, seat)
        if axis is None:
            continue
        named = f"seat {seat.name}"
        along = aligned(datum.direction(axis.way))
        if along is None:
            centre = _centre(part, seat, axis)
            if centre is not None:
                yield from at_point(named, "bush centre", centre, datum)
        else:
            for i in range(3):
                if i != along:
                    yield from_datum(named, f"bush axis, along {AXES[along]}", axis, i, datum)
            lean = 90.0 if along == 2 else 0.0
            what = f"bush axis, along {AXES[along]}"
            yield SetUpDimension(piece=named, what=what, kind="to A", value=lean, to=axis)
            continue
        yield from of_axis(named, axis, datum, "bush axis")


def bush_seats(part: Part) -> tuple[Seat, ...]:
    """The bush seats of a part, each centre once, under its shortest name."""
    found: dict[tuple[float, ...], Seat] = {}
    for seat in part.seats:
        if seat.kind == "bush":
            key = tuple(round(c, 4) for c in seat.place.at)
            if key not in found or len(seat.name) < len(found[key].name):
                found[key] = seat
    return tuple(found.values())


def bush_centre(part: Part, seat: Seat) -> Spot | None:
    """The centre of a bush seat by what it is found from; None where nothing on the pieces shows it."""
    axis = _bush_axis(part, seat)
    return None if axis is None else _centre(part, seat, axis)


def _bush_axis(part: Part, seat: Seat) -> Feature | None:
    """A bore or a bolt hole that the seat's axis runs through."""
    at, way = seat.place.at, seat.place.axis
    pieces = sorted(part.pieces, key=lambda piece: not isinstance(piece, Turned))
    return next((axis for piece in pieces for axis in axes_of(piece) if coaxial(axis, at, way)), None)


def _centre(part: Part, seat: Seat, axis: Feature) -> Spot | None:
    """The bush centre, in the middle of two faces square to its axis: a cup's ends, or the ears' inner faces."""
    square = [
        plane
        for piece in part.pieces
        if any(coaxial(line, seat.place.at, seat.place.axis) for line in axes_of(piece))
        for plane in planes_of(piece)
        if length(cross(plane.way, axis.way)) < ALONG
    ]
    for a, b in combinations(square, 2):
        near, far = on_axis(axis, a), on_axis(axis, b)
        middle = tuple((p + q) / 2 for p, q in zip(near, far, strict=True))
        if dot(a.way, b.way) < 0 and math.dist(middle, seat.place.at) < ON:
            return Spot(seat.place.at, (axis, a, b))
    return None
