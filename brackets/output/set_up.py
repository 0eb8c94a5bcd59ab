"""The set-up sheets of a weldment: its record, the pictures the kernel makes of it, and the drawings of both.

The order of welding stands after them: `set_up_cuts` ends the paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from brackets.core.finding import Finding
from brackets.core.kept import keeps
from brackets.core.vectors import Vec, cross, dot, scale, unit
from brackets.drawing.pictures import Picture, Seen
from brackets.drawing.record import Drawing, Title
from brackets.drawing.set_up_sheets import piece_sheets, view_sheet, weld_sheets
from brackets.drawing.view_directions import ABOVE, FRONT, LEFT
from brackets.drawing.weld_order import weld_order_sheet
from brackets.drawing.weld_symbols import WeldMark, points_of, weld_marks
from brackets.forming.part_numbers import numbered_welds, piece_list
from brackets.forming.set_up import SetUp, set_up
from brackets.forming.set_up_datum import Datum, Feature, Spot
from brackets.forming.set_up_dimension import SetUpDimension
from brackets.forming.shop import Shop
from brackets.geometry.segments import Point
from brackets.model.part import Part
from brackets.output.cut_files import Cut, judged_title, untold, verdict_row
from brackets.output.paper import AROUND, correction_of, sheets

SLANTED: tuple[tuple[int, int, int], ...] = ((1, -1, 1), (-1, 1, 1), (1, -1, -1), (-1, 1, -1))
"""Where the eye may be for the slanted pictures, in the datum's directions: in front and above first, then behind,
then below; a further one is drawn only for what the ones before it hide."""

TRIED = 9
"""Places along a weld that its arrow may go to."""

ON_LINE = 0.05
"""mm: how near a place of a weld lies to a line that is seen."""

SHOWN = 4.0
"""mm of the part: a piece of which less line is seen is not taken as shown."""

SPARE = 1.0
"""mm of paper kept free round a drawing."""


def set_up_cuts(
    part: Part, title: Title, findings: Sequence[Finding], *, shop: Shop, paper: str | None = None
) -> tuple[Cut, ...]:
    """Set-up sheets of a part of more than one piece, then its weld order where it is welded: they end its paper.

    part, title, findings, shop, paper: as those of its cut sheets (`brackets.output.cut_files`). Raises
    KernelFailed as its solids do, InputError for an unknown paper.
    """
    found = set_up(part)
    order = tuple(_order(part, title, findings))
    if found is None:
        return order
    judged = judged_title(title, findings)
    drawings = tuple(_drawings(part, found, judged, _rooms(shop, paper)))
    return (Cut(names=(), drawings=drawings, flat=False), *order)


def _order(part: Part, title: Title, findings: Sequence[Finding]) -> Iterator[Cut]:
    """The weld order of a part that is welded, with what stops it."""
    sheet = weld_order_sheet(part, title)
    if sheet is not None:
        told = tuple(f for f in findings if f.level == "stop")
        facts = (*sheet.facts[:1], *verdict_row(told).items(), *sheet.facts[1:])
        yield Cut(names=(), drawings=(replace(sheet, title=judged_title(title, told), facts=facts),), flat=False)


def _rooms(shop: Shop, paper: str | None) -> tuple[tuple[float, float], ...]:
    """What a sheet of paper has for a drawing, upright and lying, mm."""
    by = correction_of(shop.bars)
    return tuple(
        (sheet.room[0] / by[0] - 2 * AROUND - SPARE, sheet.room[1] / by[1] - 2 * AROUND - SPARE)
        for sheet in sheets(shop.paper if paper is None else paper)
    )


def _drawings(part: Part, found: SetUp, title: Title, rooms: tuple[tuple[float, float], ...]) -> Iterator[Drawing]:
    brief = replace(title, notes=(), findings=title.urgent)
    whole, of_welds = _drawn(part, found, untold(title), rooms)
    yield from (replace(one, title=title) for one in whole)
    yield from (replace(one, title=brief) for one in of_welds)


@keeps("set-up drawings")
def _drawn(
    part: Part, found: SetUp, title: Title, rooms: tuple[tuple[float, float], ...]
) -> tuple[tuple[Drawing, ...], tuple[Drawing, ...]]:
    """The sheets of the pieces and views, and those of the welds; `title` is one that is `untold`."""
    from brackets.kernel.hidden_lines import seen

    frame = found.datum.frame
    x, y, z = frame.x, frame.up, frame.axis
    square = seen(part, ((scale(y, -1.0), x), (z, x), (scale(x, -1.0), scale(y, -1.0))), frame.at)
    slanted = _Slanted(part, found)
    pieces = piece_sheets(part, found, slanted.of_pieces(), title, rooms)
    views = view_sheet(part, found, dict(zip((FRONT, ABOVE, LEFT), square, strict=True)), title, rooms)
    whole = (*pieces, views)
    marks = slanted.of_welds(weld_marks(part))
    return whole, tuple(weld_sheets(part, found, slanted.made, marks, title, rooms))


class _Slanted:
    """The slanted pictures of a part, made when they are asked for."""

    def __init__(self, part: Part, found: SetUp) -> None:
        self.part, self.datum = part, found.datum
        self.made: list[Picture] = []

    def eye(self, i: int) -> tuple[Vec, Vec]:
        """The direction to the eye and to the right of one of them, in the part's frame."""
        a, b, c = SLANTED[i]
        frame = self.datum.frame
        eye = unit(frame.direction((float(a), float(b), float(c))))
        return eye, unit(cross(frame.axis, eye))

    def picture(self, i: int) -> Picture:
        from brackets.kernel.hidden_lines import seen

        while len(self.made) <= i:
            self.made += seen(self.part, (self.eye(len(self.made)),), self.datum.frame.at)
        return self.made[i]

    def of_pieces(self) -> list[Picture]:
        """The fewest that show every piece, in their order; of one that none shows, the first hides it."""
        found = [self.picture(0)]
        left = {one.piece for one in found[0] if _shown(one) < SHOWN}
        for i in range(1, len(SLANTED)):
            if not left:
                break
            more = {one.piece for one in self.picture(i) if _shown(one) >= SHOWN}
            if more & left:
                found.append(self.picture(i))
                left -= more
        return found

    def of_welds(self, marks: Sequence[WeldMark]) -> list[tuple[WeldMark, int, Point, bool]]:
        """Each symbol with the first picture that shows its weld, and the place there; in the first of all, hidden,
        where none does."""
        found = []
        for mark in marks:
            spots = points_of(self.part, mark, TRIED)
            middle = TRIED // 2
            order = sorted(range(len(spots)), key=lambda k: abs(k % TRIED - middle))
            best = next(
                (
                    (mark, i, self._flat(i, spots[k]), True)
                    for i in range(len(SLANTED))
                    for k in order
                    if self._is_seen(i, mark, spots[k])
                ),
                None,
            )
            found.append(best or (mark, 0, self._flat(0, spots[middle]), False))
        return found

    def _flat(self, i: int, p: Vec) -> Point:
        eye, right = self.eye(i)
        at = self.datum.frame.at
        off = (p[0] - at[0], p[1] - at[1], p[2] - at[2])
        return (dot(off, right), dot(off, cross(eye, right)))

    def _is_seen(self, i: int, mark: WeldMark, p: Vec) -> bool:
        spot = self._flat(i, p)
        weld = mark.welds[0]
        return any(
            _off(spot, a, b) < ON_LINE
            for one in self.picture(i)
            if one.piece in (weld.piece, weld.onto)
            for run in one.visible
            for a, b in zip(run, run[1:], strict=False)
        )


def _shown(one: Seen) -> float:
    return math.fsum(math.dist(a, b) for run in one.visible for a, b in zip(run, run[1:], strict=False))


def _off(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    part = min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / size)) if size else 0.0
    return math.hypot(p[0] - a[0] - part * dx, p[1] - a[1] - part * dy)


@keeps("set-up of the facts")
def record(part: Part) -> dict[str, Any] | None:
    """What scripts may rely on: piece list, datum, dimensions, numbers of welds; None for a part of one piece."""
    found = set_up(part)
    if found is None:
        return None
    return {
        "pieces": [
            {
                "number": one.number,
                "names": list(one.names),
                "section": one.section,
                "length_mm": one.item.length or None,
                "width_mm": one.item.width or None,
                "count": len(one.names),
                "mass_each_kg": one.item.kg,
                "mass_kg": one.kg,
            }
            for one in piece_list(part)
        ],
        "datum": _datum(found.datum),
        "dimensions": [_dimension(one) for one in found.dimensions],
        "welds": [{"number": one.number, "on_sheet": one.on_sheet} for one in numbered_welds(part.welds)],
        "not_set_up": list(found.unknown),
    }


def _datum(datum: Datum) -> dict[str, Any]:
    frame = datum.frame
    return {
        "piece": datum.piece or None,
        "a": datum.names[0],
        "b": datum.names[1],
        "c": datum.names[2] or None,
        "origin_mm": list(frame.at),
        "x": list(frame.x),
        "y": list(frame.up),
        "z": list(frame.axis),
    }


def _dimension(one: SetUpDimension) -> dict[str, Any]:
    return {
        "piece": one.piece,
        "what": one.what,
        "kind": one.kind,
        "axis": None if one.axis is None else "xyz"[one.axis],
        "value_mm": None if one.is_angle else one.value,
        "value_deg": one.value if one.is_angle else None,
        "to": _thing(one.to),
        "start": None if one.start is None else _thing(one.start),
    }


def _thing(of: Feature | Spot) -> dict[str, Any]:
    """A face or an axis by a point and its direction; a point by the pieces whose faces and axes meet in it."""
    if isinstance(of, Spot):
        return {"kind": "point", "at_mm": list(of.at), "way": None, "pieces": [one.piece for one in of.by]}
    return {"kind": of.kind, "at_mm": list(of.at), "way": list(of.way), "pieces": [of.piece]}


