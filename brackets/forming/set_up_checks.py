"""What a weldment is checked by once it stands: distances and diagonals between ears, bushes and bosses."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from brackets.core.vectors import Vec, cross, dot, length, sub
from brackets.forming.set_up_bushes import bush_centre, bush_seats
from brackets.forming.set_up_datum import ALONG, ON, Feature, Spot, axes_of, coaxial, on_axis, planes_of
from brackets.forming.set_up_dimension import SetUpDimension, apart
from brackets.forming.set_up_plates import corners_of, faces_of, is_pivot
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.plate import Folded, Plate


def between(part: Part) -> Iterator[SetUpDimension]:
    """Between ears, between bush centres, and from these to the bosses furthest away."""
    yield from _ears(part)
    centres = [(seat.name, spot) for seat in bush_seats(part) if (spot := bush_centre(part, seat))]
    for (a, p), (b, q) in combinations(centres, 2):
        yield apart(f"{a}, {b}", "between bush centres", p, q)
    bosses = [
        (seat.name, spot) for seat in part.seats if seat.kind in ("boss", "bolt") and (spot := _boss(part, seat))
    ]
    for name, spot in centres:
        far = sorted(bosses, key=lambda boss: -round(math.dist(boss[1].at, spot.at), 6))
        for other, boss in far[: 2 if len(centres) > 1 else None]:
            row = apart(f"{name}, {other}", "bush centre to boss", spot, boss)
            yield replace(row, kind="diagonal")


def _boss(part: Part, seat: Seat) -> Spot | None:
    """Where the seat's hole opens on the face that meets the boss."""
    at, way = seat.place.at, seat.place.axis
    for piece in part.pieces:
        for axis in axes_of(piece):
            if not coaxial(axis, at, way):
                continue
            for other in part.pieces:
                for plane in planes_of(other):
                    if length(cross(plane.way, way)) < ALONG and length(sub(on_axis(axis, plane), at)) < ON:
                        return Spot(at, (axis, plane))
    return None


def _ears(part: Part) -> Iterator[SetUpDimension]:
    """Between plates that stand parallel on one bolt: the gap inside them, and the diagonals across their feet."""
    plates = [piece for piece in part.pieces if isinstance(piece, Plate | Folded)]
    for a, b in combinations(plates, 2):
        pivots = [axis for axis in axes_of(a) if is_pivot(a, axis)]
        shared = [axis for axis in pivots if any(coaxial(axis, o.at, o.way) for o in axes_of(b) if is_pivot(b, o))]
        if not shared or length(cross(a.place.axis, b.place.axis)) > ALONG:
            continue
        towards = sub(_middle(b), _middle(a))
        inner = (
            max(faces_of(a), key=lambda f: dot(f.way, towards)),
            min(faces_of(b), key=lambda f: dot(f.way, towards)),
        )
        gap = abs(dot(sub(inner[1].at, inner[0].at), inner[0].way))
        names, what = f"{a.name}, {b.name}", "between inside faces"
        yield SetUpDimension(piece=names, what=what, kind="apart", value=gap, to=inner[1], start=inner[0])
        yield from _across(a, b, inner)


def _middle(piece: Plate | Folded) -> Vec:
    return piece.place.point((0.0, 0.0, piece.t / 2))


def _across(a: Plate | Folded, b: Plate | Folded, inner: tuple[Feature, Feature]) -> Iterator[SetUpDimension]:
    """From each corner of one foot to the far corner of the other, on the inside faces."""
    feet = []
    for piece, face in zip((a, b), inner, strict=True):
        spots = corners_of(piece, face)
        hole = next(axis for axis in axes_of(piece) if is_pivot(piece, axis))
        feet.append(sorted(spots, key=lambda spot: -length(cross(sub(spot.at, hole.at), hole.way)))[:2])
    if any(len(foot) < 2 for foot in feet):
        return
    (p, q), second = feet
    r, s = sorted(second, key=lambda spot: math.dist(spot.at, p.at))
    for one, other in ((p, s), (q, r)):
        row = apart(f"{a.name}, {b.name}", "diagonal across the feet, inside", one, other)
        yield replace(row, kind="diagonal")
