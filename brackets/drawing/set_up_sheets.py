"""The set-up sheets of a weldment: which piece is which, where each goes, the views it is set up by, its welds.

What is drawn is in mm of paper, at a scale of ISO 5455 that is said; the figures are those of `forming.set_up`.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from brackets.drawing.blank import short_hash
from brackets.drawing.pictures import (
    BALLOON,
    SCALES,
    Beside,
    Laid,
    Picture,
    arrow,
    balloon,
    bounds_of,
    clear_points,
    columns,
    lines,
    scale_words,
)
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.drawing.set_up_views import three_views
from brackets.drawing.view_directions import Views
from brackets.drawing.weld_symbols import WeldMark, symbol, symbol_size
from brackets.forming.part_numbers import ListedPiece, numbered_welds, piece_list
from brackets.forming.set_up import SetUp
from brackets.forming.set_up_dimension import SetUpDimension
from brackets.geometry.segments import Point
from brackets.model import edges
from brackets.model.part import Part
from brackets.model.tube import BentTube, Tube

Rooms = Sequence[tuple[float, float]]

PIECES = ("no.", "piece", "cut from", "length", "number", "kg each", "kg")
PLACES = ("no.", "piece", "what")
FIGURES = ("x from {x}", "y from {y}", "z from {z}", "deg to A", "deg in plan", "clock")
CHECKS = ("between", "what", "mm", "measured")
WELDS = ("no.", "on its piece's sheet", "onto", "leg", "length", "sides", "turn", "note", "measured")


def _facts(part: Part, title: Title, found: SetUp, scale: str) -> tuple[tuple[str, str], ...]:
    figures = [one.text for one in found.dimensions]
    values = hashlib.sha256(repr([*map(short_hash, part.pieces), *figures]).encode()).hexdigest()[:8]
    a, b, c = found.datum.names
    return (
        ("part", title.part),
        ("revision", title.revision or "none given"),
        ("values", values),
        ("material", f"{', '.join(dict.fromkeys(p.material for p in part.pieces))}, {len(part.pieces)} pieces"),
        ("mass", f"{part.mass.kg:.3f} kg"),
        ("scale", scale),
        ("datum A", a),
        ("datum B", b),
        *((("datum C", c),) if c else ()),
    )


def piece_sheets(
    part: Part, found: SetUp, pictures: Sequence[Picture], title: Title, rooms: Rooms
) -> Iterator[Drawing]:
    """Piece list, table of places and checks, and slanted pictures with balloons; the second and further pictures
    are of the pieces that the first do not show."""
    listed = piece_list(part)
    numbers = {name: one.number for one in listed for name in one.names}
    left = dict(numbers)
    for i, picture in enumerate(pictures):
        shown = {one.piece for one in picture if one.piece in left and one.visible}
        if i == len(pictures) - 1:
            shown = set(left)
        mine = {name: number for name, number in left.items() if name in shown}
        left = {name: number for name, number in left.items() if name not in shown}
        strokes, words, scale = _ballooned(picture, mine, rooms)
        yield Drawing(
            name="set-up, pieces" if i == 0 else f"set-up, pieces, picture {i + 1}",
            title=title,
            facts=_facts(part, title, found, scale),
            strokes=strokes,
            words=words,
            tables=(_pieces(listed), *_places(found, numbers)) if i == 0 else (),
            notes=tuple(_notes(part, found)) if i == 0 else (),
            own_page=True,
            sheet=i == 0,
        )


def _ballooned(
    picture: Picture, numbers: Mapping[str, int], rooms: Rooms
) -> tuple[tuple[Stroke, ...], tuple[Words, ...], str]:
    spots = clear_points(picture)
    things = {name: Beside(name, 2 * BALLOON, 2 * BALLOON, spots[name]) for name in numbers if name in spots}
    laid = _laid(picture, list(things.values()), rooms)
    strokes = [*lines(picture, laid, hidden=False)]
    words: list[Words] = []
    placed = [replace(thing, about=laid.point(thing.about)) for thing in things.values()]
    for one in columns(placed, laid.box(bounds_of(picture))):
        ring, number = balloon(numbers[one.of.key], (one.x + one.side * BALLOON, one.y))
        strokes += [ring, *_leader(one.of.about, (one.x, one.y))]
        words.append(number)
    return tuple(strokes), tuple(words), f"{scale_words(laid.scale)}, isometric"


def _leader(tip: Point, end: Point) -> Iterator[Stroke]:
    yield Stroke.line("leader", tip, end)
    yield from arrow(tip, end)


def _laid(picture: Picture, things: Sequence[Beside], rooms: Rooms) -> Laid:
    """At the largest standard scale at which the picture and both columns fit one of the rooms."""
    box = bounds_of(picture)
    scale = SCALES[-1]
    for scale in SCALES:
        laid = Laid(scale, (0.0, 0.0))
        on = laid.box(box)
        set_out = columns([replace(thing, about=laid.point(thing.about)) for thing in things], on)
        left = min([on[0], *(one.x - one.of.width for one in set_out if one.side < 0)])
        right = max([on[2], *(one.x + one.of.width for one in set_out if one.side > 0)])
        low = min([on[1], *(one.y - one.of.height / 2 for one in set_out)])
        high = max([on[3], *(one.y + one.of.height / 2 for one in set_out)])
        if any(right - left + 1.0 <= wide and high - low + 1.0 <= tall for wide, tall in rooms):
            break
    return Laid(scale, (0.0, 0.0))


def _pieces(listed: Sequence[ListedPiece]) -> Table:
    rows = [
        (
            str(one.number),
            ", ".join(one.names),
            one.section,
            one.item.size if one.item.length else "",
            str(len(one.names)),
            f"{one.item.kg:.3f}",
            f"{one.kg:.3f}",
        )
        for one in listed
    ]
    count = sum(len(one.names) for one in listed)
    rows.append(("", "all", "", "", str(count), "", f"{math.fsum(one.kg for one in listed):.3f}"))
    return Table("Pieces", PIECES, tuple(rows))


def _places(found: SetUp, numbers: Mapping[str, int]) -> Iterator[Table]:
    """Where each piece goes, a line for each thing that is measured to; and what is checked once it stands."""
    lines_: dict[tuple[str, str], list[SetUpDimension]] = {}
    for one in found.dimensions:
        if one.start is None:
            lines_.setdefault((one.piece, one.what), []).append(one)
    x, y, z = ("B", "A", "A") if found.datum.round else ("C", "B", "A")
    figures = FIGURES if any(one.kind == "clock" for one in found.dimensions) else FIGURES[:-1]
    heads = (*PLACES, *(head.format(x=x, y=y, z=z) for head in figures), "measured")
    rows = tuple(
        (str(numbers.get(piece, "")), piece, what, *(_cell(told, i) for i in range(len(figures))), "")
        for (piece, what), told in lines_.items()
    )
    yield Table("Where each piece goes, mm and degrees", heads, rows)
    checks = tuple((one.piece, one.what, one.text, "") for one in found.dimensions if one.start is not None)
    if checks:
        yield Table("To check by", CHECKS, checks)


def _cell(told: Sequence[SetUpDimension], column: int) -> str:
    kinds = ("to A", "in plan", "clock")
    mine = (one for one in told if one.axis == column or (column > 2 and one.kind == kinds[column - 3]))
    return " and ".join(one.text for one in mine)


def _notes(part: Part, found: SetUp) -> Iterator[str]:
    if found.datum.round:
        yield "x runs along A from B; z is up as the views show it, y to the left of x seen from above."
    else:
        yield (
            "x and y lie in A as the views show them, z is square to it, out of the metal. A minus: on the other "
            "side of the datum."
        )
    yield (
        "Degrees in plan: from x towards y (anticlockwise seen from above), of an axis the way in which it rises. "
        "Corners and faces are those of the piece as cut, with no weld on it."
    )
    yield "Pieces of one number are alike: either goes in either place. Slanted pictures are not measured."
    if any(isinstance(piece, Tube | BentTube) for piece in part.pieces):
        yield "A node is where a tube's axis meets the axis or the face that its end is cut to."
    if any(one.kind == "clock" for one in found.dimensions):
        yield (
            "Clock: turn the tube about its axis until its line of that many degrees lies towards +z (or +x); they "
            "are the degrees of its wraps, from its clock line. A tube with none may be turned as you like."
        )
    for name in found.unknown:
        yield f"{name}: a custom piece, set up by its own drawing."
    loose = [name for name in part.loose if name not in found.unknown]
    if loose:
        yield f"Held by nothing here: {', '.join(loose)}."


def view_sheet(part: Part, found: SetUp, views: Views, title: Title, rooms: Rooms) -> Drawing:
    """The three views with what is measured."""
    numbers = {name: one.number for one in piece_list(part) for name in one.names}
    made = three_views(found, views, numbers, rooms)
    return Drawing(
        name="set-up, dimensions",
        title=title,
        facts=_facts(part, title, found, scale_words(made.scale)),
        strokes=made.strokes,
        words=made.words,
        own_page=True,
        sheet=False,
    )


def weld_sheets(
    part: Part,
    found: SetUp,
    pictures: Sequence[Picture],
    marks: Sequence[tuple[WeldMark, int, Point, bool]],
    title: Title,
    rooms: Rooms,
) -> Iterator[Drawing]:
    """The table of all welds, and each picture with the symbols of its own; `marks` are a symbol, which picture it
    stands in, where its arrow goes there, and whether that is seen."""
    for i, picture in enumerate(pictures):
        mine = [(mark, at, seen) for mark, which, at, seen in marks if which == i]
        if not mine:
            continue
        strokes, words, scale = _symbols(picture, mine, rooms)
        first = i == min(which for _, which, _, _ in marks)
        yield Drawing(
            name="set-up, welds" if first else f"set-up, welds, picture {i + 1}",
            title=title,
            facts=_facts(part, title, found, scale),
            strokes=strokes,
            words=words,
            tables=(_welds(part, [mark for mark, *_ in marks]),) if first else (),
            notes=tuple(_weld_notes(marks)) if first else (),
            sheet=first,
        )


def _symbols(
    picture: Picture, marks: Sequence[tuple[WeldMark, Point, bool]], rooms: Rooms
) -> tuple[tuple[Stroke, ...], tuple[Words, ...], str]:
    sizes = [symbol_size(mark, at) for mark, at, _ in marks]
    laid = _laid(picture, sizes, rooms)
    strokes = [*lines(picture, laid, hidden=False)]
    words: list[Words] = []
    told = {mark.tail: (mark, seen) for mark, _, seen in marks}
    placed = [replace(one, about=laid.point(one.about)) for one in sizes]
    for one in columns(placed, laid.box(bounds_of(picture))):
        mark, seen = told[one.of.key]
        for made in symbol(mark, one, hidden=not seen):
            if isinstance(made, Words):
                words.append(made)
            else:
                strokes.append(made)
    return tuple(strokes), tuple(words), f"{scale_words(laid.scale)}, isometric"


def _welds(part: Part, marks: Sequence[WeldMark]) -> Table:
    closed = {number for mark in marks if mark.closed for number in mark.numbers}
    rows = tuple(
        (
            str(one.number),
            one.on_sheet,
            one.weld.onto,
            f"{one.weld.leg:g}",
            f"{edges.length(part.piece(one.weld.piece), one.weld.edge):.0f}{_round(one.number in closed)}",
            f"{one.weld.sides}",
            f"{one.weld.turn}" if one.weld.turn else "",
            one.weld.note,
            "",
        )
        for one in numbered_welds(part.welds)
    )
    empty = [i for i, name in enumerate(WELDS) if name in ("turn", "note") and not any(row[i] for row in rows)]
    kept = [i for i in range(len(WELDS)) if i not in empty]
    return Table("Welds", tuple(WELDS[i] for i in kept), tuple(tuple(row[i] for i in kept) for row in rows))


def _round(closed: bool) -> str:
    return ", all round" if closed else ""


def _weld_notes(marks: Sequence[tuple[WeldMark, int, Point, bool]]) -> Iterator[str]:
    yield (
        "Symbols after ISO 2553, system A: z is the leg, behind the triangle the length, mm; a ring: all round. "
        "In the tail the number of the weld in this table, two where each side is one."
    )
    if not all(seen for *_, seen in marks):
        yield "Arrow line dashed: the weld lies behind, hidden in that picture."


