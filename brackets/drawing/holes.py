"""What is marked at each hole, and how and when it is made."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.drawing.record import Stroke
from brackets.outline import Point, circle, slot
from brackets.pieces import Hole, Slot
from brackets.tables.fasteners import PILOT_UNDER, PIVOT_CLEARANCE

RING = 2.0
"""mm: the witness ring is this far outside the hole, seen once it is drilled: common practice, no source."""

CROSS = 3.0
"""mm: half the length of a centre-punch cross."""

WHEN = {
    "pivot": "now {under:g}, ream {d:g} after welding",
    "boss": "drill now",
    "fine": "match-drill through the other part",
    "coarse": "drill now",
    "tap": "drill now, tap after welding",
    "bore": "bore or saw to fit its bush or tube",
    "drain": "drill now",
}


def how(opening: Hole | Slot) -> str:
    """When and with what the hole is made, by what it is for."""
    if isinstance(opening, Slot):
        return f"drill {opening.d:g} at both ends, cut between"
    under = opening.d - PIVOT_CLEARANCE - PILOT_UNDER
    return WHEN[opening.kind].format(under=round(under, 2), d=opening.d)


def marks(opening: Hole | Slot, centres: tuple[Point, ...]) -> Iterator[Stroke]:
    """Centre-punch crosses and the witness ring; the hole's own edge is the blank's."""
    for x, y in centres:
        yield Stroke.line("punch", (x - CROSS, y), (x + CROSS, y))
        yield Stroke.line("punch", (x, y - CROSS), (x, y + CROSS))
    if isinstance(opening, Hole):
        yield Stroke.of("ring", circle(centres[0], opening.d / 2 + RING))
    else:
        yield Stroke.of("ring", slot(centres[0], centres[1], opening.d + 2 * RING))
