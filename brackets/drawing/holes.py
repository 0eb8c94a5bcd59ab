"""What is marked at each hole, and how and when it is made."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from brackets.core.figures import figure
from brackets.drawing.record import Stroke
from brackets.geometry.segments import Point
from brackets.geometry.shapes import circle, slot
from brackets.model.holes import Hole, Slot

RING = 2.0
"""mm: the witness ring is this far outside the hole, seen once it is drilled: common practice, no source."""

CROSS = 3.0
"""mm: half the length of a centre-punch cross."""


def how(opening: Hole | Slot) -> str:
    """When and with what the hole is made, by what it is for."""
    match opening:
        case Slot():
            return f"drill {figure(opening.d)} at both ends, cut between"
        case Hole():
            return _how(opening)
        case _:
            assert_never(opening)


def _how(hole: Hole) -> str:
    match hole.kind:
        case "pivot" if hole.now == hole.d:
            return f"make {figure(hole.d)} now, nothing left to ream"
        case "pivot":
            return f"now {figure(hole.now)}, ream {figure(hole.d)} after welding"
        case "boss" | "coarse" | "drain":
            return "drill now"
        case "fine":
            return "match-drill through the other part"
        case "tap":
            return "drill now, tap after welding"
        case "bore":
            return "bore or saw to fit its bush or tube"
        case _:
            assert_never(hole.kind)


def size(opening: Hole | Slot) -> str:
    """What stands beside the hole: its size, a slot's width and whole length, or what is made now and reamed to."""
    if isinstance(opening, Slot):
        return f"slot {figure(opening.d)} x {opening.whole:.4g}"
    if opening.now == opening.d:
        return f"Ø{figure(opening.d)}"
    return f"Ø{figure(opening.now)} now, ream {figure(opening.d)}"


def sizes(opening: Hole | Slot) -> tuple[str, str]:
    """What is made now and the finished size, for the list; the second is empty where they are one."""
    if isinstance(opening, Slot):
        return f"{figure(opening.d)} x {opening.whole:.4g}", ""
    if opening.now == opening.d:
        return figure(opening.d), ""
    return figure(opening.now), figure(opening.d)


def marks(opening: Hole | Slot, centres: tuple[Point, ...]) -> Iterator[Stroke]:
    """Centre-punch crosses, the witness ring, and the finished size where that is reamed later.

    The edge that is cut now is the blank's.
    """
    for x, y in centres:
        yield Stroke.line("punch", (x - CROSS, y), (x + CROSS, y))
        yield Stroke.line("punch", (x, y - CROSS), (x, y + CROSS))
    match opening:
        case Hole():
            if opening.now != opening.d:
                yield Stroke.of("mark", circle(centres[0], opening.d / 2))
            yield Stroke.of("ring", circle(centres[0], opening.d / 2 + RING))
        case Slot():
            yield Stroke.of("ring", slot(centres[0], centres[1], opening.d + 2 * RING))
        case _:
            assert_never(opening)
