"""What is marked at each hole, and how and when it is made."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.drawing.record import Stroke
from brackets.geometry.segments import Point
from brackets.geometry.shapes import circle, slot
from brackets.model.holes import Hole, Slot

RING = 2.0
"""mm: the witness ring is this far outside the hole, seen once it is drilled: common practice, no source."""

CROSS = 3.0
"""mm: half the length of a centre-punch cross."""

WHEN = {
    "pivot": "now {now:g}, ream {d:g} after welding",
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
    if opening.now == opening.d and opening.kind == "pivot":
        return f"make {opening.d:g} now, nothing left to ream"
    return WHEN[opening.kind].format(now=opening.now, d=opening.d)


def size(opening: Hole | Slot) -> str:
    """What stands beside the hole: its size, or what is made now and what it is reamed to."""
    if isinstance(opening, Slot):
        return f"slot {opening.d:g}"
    if opening.now == opening.d:
        return f"Ø{opening.d:g}"
    return f"Ø{opening.now:g} now, ream {opening.d:g}"


def sizes(opening: Hole | Slot) -> tuple[str, str]:
    """What is made now and the finished size, for the list; the second is empty where they are one."""
    if isinstance(opening, Slot) or opening.now == opening.d:
        return f"{opening.d:g}", ""
    return f"{opening.now:g}", f"{opening.d:g}"


def marks(opening: Hole | Slot, centres: tuple[Point, ...]) -> Iterator[Stroke]:
    """Centre-punch crosses, the witness ring, and the finished size where that is reamed later.

    The edge that is cut now is the blank's.
    """
    for x, y in centres:
        yield Stroke.line("punch", (x - CROSS, y), (x + CROSS, y))
        yield Stroke.line("punch", (x, y - CROSS), (x, y + CROSS))
    if isinstance(opening, Hole):
        if opening.now != opening.d:
            yield Stroke.of("mark", circle(centres[0], opening.d / 2))
        yield Stroke.of("ring", circle(centres[0], opening.d / 2 + RING))
    else:
        yield Stroke.of("ring", slot(centres[0], centres[1], opening.d + 2 * RING))
