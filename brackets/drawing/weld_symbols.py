"""Weld symbols after ISO 2553:2019, system A: arrow line, reference line, dashed identification line, fillet.

On the continuous line stands what lies on the arrow's side; the dashed line is left out where both sides are welded
alike. Left of the triangle the leg (z), right of it the length, in the tail the number of the weld. Of the standard
the signs are from memory: nobody opened it. mm of paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from brackets.core.vectors import Vec
from brackets.drawing.pictures import TYPE, Beside, Set, arrow
from brackets.drawing.record import Stroke, Words, width
from brackets.forming.part_numbers import numbered_welds
from brackets.geometry.segments import Point
from brackets.geometry.shapes import circle
from brackets.model import edges
from brackets.model.part import Part
from brackets.model.plate import Plate
from brackets.model.weld import Along, AtSeat, OpeningRim, StraightEdge, Weld

TRIANGLE = 3.0
"""mm: legs of the triangle."""

APART = 1.0
"""mm between the reference line and the identification line."""

FORK = 2.5
"""mm: length of the tail's barbs along the line."""

RING = 1.3
"""mm: radius of the circle that says: all round."""

LINE = 6.0
"""mm of bare reference line."""

ALIKE = 0.05
"""mm by which the lengths of two sides may differ and still be one figure."""


@dataclass(frozen=True)
class WeldMark:
    """What one symbol says: the numbers of its welds, their leg and length, mm, whether it closes on itself, and
    whether both sides are welded."""

    numbers: tuple[int, ...]
    welds: tuple[Weld, ...]
    leg: float
    length: float
    closed: bool
    both: bool

    @property
    def tail(self) -> str:
        return ", ".join(map(str, self.numbers))

    @property
    def size(self) -> str:
        return f"z{self.leg:g}"

    @property
    def run(self) -> str:
        """The length; nothing of one that goes all round."""
        return "" if self.closed else f"{self.length:.0f}"


def weld_marks(part: Part) -> tuple[WeldMark, ...]:
    """A symbol for each weld of a part; one for the two that run along both faces of one edge."""
    left = list(numbered_welds(part.welds))
    found = []
    while left:
        first = left.pop(0)
        weld = first.weld
        long = edges.length(part.piece(weld.piece), weld.edge)
        twin = next((other for other in left if _opposite(part, weld, other.weld, long)), None)
        if twin is not None:
            left.remove(twin)
        pair = [first] if twin is None else [first, twin]
        found.append(
            WeldMark(
                numbers=tuple(one.number for one in pair),
                welds=tuple(one.weld for one in pair),
                leg=weld.leg,
                length=long,
                closed=is_closed(part, weld),
                both=len(pair) > 1 or weld.sides > 1,
            )
        )
    return tuple(found)


def is_closed(part: Part, weld: Weld) -> bool:
    """Whether a weld comes back to where it begins."""
    first, *_, last = edges.points(part.piece(weld.piece), weld.edge, 9)
    return math.dist(first, last) < ALIKE


def _opposite(part: Part, weld: Weld, other: Weld, long: float) -> bool:
    """Whether two welds run along the same edge of a plate on its two faces."""
    a, b = weld.edge, other.edge
    if not isinstance(a, Along | AtSeat | OpeningRim) or type(a) is not type(b):
        return False
    same = (weld.piece, weld.onto, weld.leg, weld.sides, weld.turn) == (
        other.piece,
        other.onto,
        other.leg,
        other.sides,
        other.turn,
    )
    assert isinstance(b, Along | AtSeat | OpeningRim)
    if not same or a.face == b.face or a.wall != b.wall:
        return False
    if isinstance(a, Along) and isinstance(b, Along) and (a.start, a.end) != (b.start, b.end):
        return False
    return abs(edges.length(part.piece(other.piece), b) - long) < ALIKE


def symbol_size(mark: WeldMark, about: Point) -> Beside:
    """How much room a symbol takes beside a picture."""
    wide = RING + LINE + _over(mark) + FORK + 1.0 + width(mark.tail, TYPE)
    return Beside(mark.tail, wide, (2 if mark.both else 1) * (TRIANGLE + 1.0) + 2 * APART, about)


def _over(mark: WeldMark) -> float:
    return width(mark.size, TYPE) + 1.0 + TRIANGLE + 1.0 + (width(mark.run, TYPE) + 1.0 if mark.run else 0.0)


def symbol(mark: WeldMark, at: Set, *, hidden: bool) -> Iterator[Stroke | Words]:
    """The symbol where it stands; its arrow goes to the weld, dashed where that is hidden."""
    side = at.side
    near = at.x
    far = near + side * (RING + LINE + _over(mark))
    y = at.y - (0.0 if mark.both else TRIANGLE / 2)
    tip = at.of.about
    yield Stroke.line("ring" if hidden else "leader", tip, (near, y))
    yield from arrow(tip, (near, y))
    yield Stroke.line("leader", (near, y), (far, y))
    if not mark.both:
        yield Stroke.line("ring", (near + side * 1.5 * RING, y - APART), (far, y - APART))
    if mark.closed:
        yield Stroke.of("tangent", circle((near, y), RING))
    left = min(near + side * (RING + LINE), far) if side > 0 else far + 1.0
    x = left + width(mark.size, TYPE) + 1.0
    for up in (1.0, -1.0) if mark.both else (1.0,):
        foot = y + up * 0.0
        corner, top, end = (x, foot), (x, foot + up * TRIANGLE), (x + TRIANGLE, foot)
        yield Stroke.line("cut", corner, top)
        yield Stroke.line("cut", top, end)
        base = y + 0.7 if up > 0 else y - 0.9 - 0.72 * TYPE
        yield Words((left, base), mark.size, TYPE)
        if mark.run:
            yield Words((x + TRIANGLE + 1.0, base), mark.run, TYPE)
    for up in (1.0, -1.0):
        yield Stroke.line("leader", (far, y), (far + side * FORK, y + up * FORK * 0.6))
    start = far + FORK + 1.0 if side > 0 else far - FORK - 1.0 - width(mark.tail, TYPE)
    yield Words((start, y - 0.36 * TYPE), mark.tail, TYPE)


def points_of(part: Part, mark: WeldMark, count: int) -> list[Vec]:
    """Points along the welds of a symbol, in the part's frame, `count` of each and none at its ends; of one that is
    welded from both sides along a line within a plate, those on both faces of it."""
    found = []
    for weld in mark.welds:
        piece = part.piece(weld.piece)
        along = edges.points(piece, weld.edge, count + 2)[1:-1]
        if weld.sides > 1 and isinstance(weld.edge, StraightEdge) and isinstance(piece, Plate):
            for z in (0.0, piece.t):
                found += [piece.place.point((*piece.place.local(p)[:2], z)) for p in along]
        else:
            found += along
    return found
