"""What of a bolt lies in the metal of the part that it holds.

Head, washers, shank and nut of a bolt into a boss or through a keep-out may touch that part and share no metal with
it; a head is turned to be tightened, so it takes up the circle over its corners. mm, bay axes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import assert_never

import cadquery as cq

from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import ChassisBolt
from brackets.bay.bolts.tool_access import LIFT, frame
from brackets.bay.stand.bodies import TOLERANCE, BayBody, matrix
from brackets.clearance.bodies import Body, body
from brackets.clearance.gaps import gap
from brackets.clearance.overlaps import overlap
from brackets.core.tables.bolt_rows import Bolt
from brackets.core.vectors import Vec, add, scale
from brackets.kernel.shared import CONTACT_VOLUME


@dataclass(frozen=True, kw_only=True)
class InMetal:
    """What of a bolt ("head", "washers", "shank", "nut") shares `volume` mm3 with the part it holds, and where."""

    what: str
    volume: float
    at: Vec


def in_own_metal(of: BossBolt | ChassisBolt, part: BayBody) -> tuple[InMetal, ...]:
    """Every piece of the bolt that lies in the metal of `part`; none where it sits as it should."""
    match of:
        case BossBolt():
            stand = matrix(frame(add(of.at, scale(of.way, of.grip)), of.way))
            length = of.shortest if of.stock is None else of.stock.length
            return tuple(_shared(_pieces(of.row, of.washers, length), part.body, stand))
        case ChassisBolt():
            if of.stock is None:
                return ()
            stand = matrix(frame(of.face, of.head))
            under, behind = of.stock.washers
            pieces = (
                *_pieces(of.row, under, of.stock.length),
                *_behind(of.row, of.grip, behind, of.nut_height),
            )
            return tuple(_shared(pieces, part.body, stand))
        case _:
            assert_never(of)


def _shared(
    pieces: Sequence[tuple[str, Body]], part: Body, stand: list[list[float]]
) -> Iterator[InMetal]:
    for what, piece in pieces:
        placed = piece.placed(stand)
        found = gap(placed, part, cap=0.0)
        if found.state == "inside":
            yield InMetal(what=what, volume=overlap(placed, part).volume or 0.0, at=found.p)
        elif found.state == "hit":
            volume = overlap(placed, part).volume
            if volume is None or volume > CONTACT_VOLUME:
                yield InMetal(what=what, volume=volume or 0.0, at=found.p)


@cache
def _pieces(row: Bolt, washers: int, length: float) -> tuple[tuple[str, Body], ...]:
    """Head, washers and shank about the middle of the face that the washers bear on, z towards the head."""
    under = washers * row.washer_t
    return (
        ("head", _cylinder(row.across_corners, under, under + row.head_height)),
        ("washers", _cylinder(row.washer_od, LIFT, under)),
        ("shank", _cylinder(row.d, under - length, under)),
    )


@cache
def _behind(row: Bolt, grip: float, washers: int, nut_height: float) -> tuple[tuple[str, Body], ...]:
    """Washers and nut behind the grip, about the same frame."""
    under = washers * row.washer_t
    corners = row.nut_across_flats * row.across_corners / row.across_flats
    return (
        ("washers", _cylinder(row.washer_od, -grip - under, -grip - LIFT)),
        ("nut", _cylinder(corners, -grip - under - nut_height, -grip - under)),
    )


def _cylinder(od: float, low: float, high: float) -> Body:
    made = cq.Solid.makeCylinder(od / 2, high - low).moved(cq.Location(cq.Vector(0, 0, low)))
    return body(made, name="bolt", tolerance=TOLERANCE)
