"""A bolt of a boss in the metal of the part that it holds: head, washers and shank, each where it sits.

The shank may touch the wall of its hole and the washers the face they bear on; none of them may share metal with
the part. A head is turned to be tightened, so it takes up the circle over its corners. A mount's bolt is judged
against its ears among the gaps. mm, bay axes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import cadquery as cq

from brackets.bay.bodies import TOLERANCE, Thing, matrix
from brackets.bay.boss_bolts import BossBolt
from brackets.bay.hands import LIFT, frame
from brackets.clearance import Body, body, gap, overlap
from brackets.pieces import Vec
from brackets.pieces.vectors import add, scale
from brackets.solid.shared import CONTACT_VOLUME
from brackets.tables import Bolt


@dataclass(frozen=True, kw_only=True)
class InMetal:
    """What of a bolt ("head", "washers", "shank") shares `volume` mm3 with the part it holds, and about where."""

    what: str
    volume: float
    at: Vec


def in_own_metal(of: BossBolt, part: Thing) -> tuple[InMetal, ...]:
    """Every piece of the bolt that lies in the metal of `part`; none where it sits as it should."""
    stand = matrix(frame(add(of.at, scale(of.way, of.grip)), of.way))
    return tuple(_shared(of, part.body, stand))


def _shared(of: BossBolt, part: Body, stand: list[list[float]]) -> Iterator[InMetal]:
    length = of.shortest if of.stock is None else of.stock.length
    for what, piece in _pieces(of.row, of.washers, length):
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


def _cylinder(od: float, low: float, high: float) -> Body:
    made = cq.Solid.makeCylinder(od / 2, high - low).moved(cq.Location(cq.Vector(0, 0, low)))
    return body(made, name="bolt", tolerance=TOLERANCE)
