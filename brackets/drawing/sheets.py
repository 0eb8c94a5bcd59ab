"""Sheets of plate with their blanks, the cuts of each, and the sheet that checks measured holes.

mm, (0, 0) the lower left corner of the sheet, x along its grain. What must not be cut has STOP across it.

mm; seen looking at the casting, turned as the survey lays it out.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator
from typing import TYPE_CHECKING

from brackets.core.finding import PRINTED
from brackets.drawing.holes import CROSS
from brackets.drawing.labels import Board, put
from brackets.drawing.landing_lines import FACES
from brackets.drawing.nest import SheetLayout
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words, width
from brackets.geometry.segments import Bounds, Point
from brackets.geometry.shapes import circle, rectangle
from brackets.survey.boss_hand import anticlockwise, triangle
from brackets.survey.readings import Survey

if TYPE_CHECKING:
    from brackets.survey.work import Measured  # loads statistics

ACROSS = PRINTED["stop"]
"""The words."""

SHARE = 0.9
"""Of the diagonal that the words take."""

HIGH = 0.25
"""Of the shorter side, at most: the height of the words."""


def across(box: Bounds) -> tuple[Point, float, float]:
    """Lower left end, size (mm) and turn (degrees, anticlockwise) of the words along the diagonal of a box."""
    x0, y0, x1, y1 = box
    wide, tall = x1 - x0, y1 - y0
    size = min(SHARE * math.hypot(wide, tall) / width(ACROSS, 1.0), HIGH * min(wide, tall))
    turn = math.atan2(tall, wide)
    reach, under = width(ACROSS, size) / 2, 0.35 * size
    at = (
        (x0 + x1) / 2 - reach * math.cos(turn) + under * math.sin(turn),
        (y0 + y1) / 2 - reach * math.sin(turn) - under * math.cos(turn),
    )
    return at, size, math.degrees(turn)


def across_drawing(drawing: Drawing) -> tuple[Point, float, float]:
    """The same across what is drawn, without its words."""
    boxes = [stroke.bounds for stroke in drawing.strokes]
    low = [min(box[i] for box in boxes) for i in (0, 1)]
    high = [max(box[i] for box in boxes) for i in (2, 3)]
    return across((low[0], low[1], high[0], high[1]))


UNDER = 8.0
"""mm: how far under the sheet its list begins, and from line to line."""

LETTERS = 5.0
"""mm: size of the letters on a cutter's sheet."""

READ = 3.2
"""mm: size of the letters of a picture once it is on paper."""

ROOM = (250.0, 75.0)
"""mm: about what a picture has on the smallest paper, lying."""

MOSTLY = 0.7
"""Part of a sheet that is taken from which the whole sheet is drawn, not only its corner."""


def sheet_drawing(layout: SheetLayout, title: Title) -> Drawing:
    """A picture of the sheet, or of the corner that is taken, not to scale, with a table of its blanks."""
    taken = layout.taken
    along, across = (
        whole if part > MOSTLY * whole else part
        for part, whole in zip(taken, (layout.length, layout.width), strict=True)
    )
    size = READ * max(along / ROOM[0], across / ROOM[1])
    strokes = [*_edges(layout, along, across)]
    strokes += [Stroke.of("cut", ring) for one in layout.blanks for ring in one.rings]
    goes_on = [
        Words(at, f"to {whole:g}", size)
        for at, part, whole in (
            ((along + size / 2, 0.0), along, layout.length),
            ((0.0, across + size / 2), across, layout.width),
        )
        if part < whole
    ]
    strokes += [stroke for one in layout.blanks for standing in one.landings for stroke in standing.strokes()]
    numbered = [*_numbers(layout, Board(strokes), size)]
    strokes += [made for made in numbered if isinstance(made, Stroke)]
    words = [*(made for made in numbered if isinstance(made, Words)), *goes_on]
    rows = [
        (
            str(number),
            one.name,
            f"{one.size[0]:.1f} x {one.size[1]:.1f}",
            f"{one.at[0]:.0f}, {one.at[1]:.0f}",
            "",
        )
        for number, one in enumerate(layout.blanks, 1)
    ]
    return Drawing(
        name=f"{layout.material} {layout.t:g} mm",
        title=title,
        facts=_facts(layout, title),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(Table("Blanks", ("no.", "piece", "size", "corner at", "cut"), tuple(rows)),),
        true_size=False,
    )


def sheet_cuts(layout: SheetLayout, title: Title) -> Drawing:
    """The sheet at true size: every edge, bend line and punch mark, where other pieces stand on each blank and what
    they are called; blanks numbered as in the picture, a list under it."""
    strokes = [Stroke.of("cut", ring) for one in layout.blanks for ring in one.rings]
    strokes += [stroke for one in layout.blanks for stroke in one.marks()]
    lines = [f"{title.part}: {layout.material}, {layout.t:g} mm, {layout.length:g} x {layout.width:g}, grain along"]
    lines += [f"{number}: {one.name}" for number, one in enumerate(layout.blanks, 1)]
    lines = [*title.urgent, *lines]
    if title.stops:
        lines.insert(0, PRINTED["stop"])
    words = [Words((0.0, -UNDER * i), line, LETTERS) for i, line in enumerate(lines, 1)]
    board = Board(strokes)
    words += [made for made in _numbers(layout, board, LETTERS) if isinstance(made, Words)]
    named = [(one, standing) for one in layout.blanks for standing in one.landings]
    for one, standing in named:
        (x, y), (wide, tall) = one.at, one.size
        about = standing.about((x, y, x + wide, y + tall))
        put(board.label(f"{standing.name}, {FACES[standing.face]}", about, size=LABEL), strokes, words)
    return Drawing(
        name=f"{layout.material} {layout.t:g} mm",
        title=title,
        facts=_facts(layout, title),
        strokes=tuple(strokes),
        words=tuple(words),
    )


def _numbers(layout: SheetLayout, board: Board, size: float) -> Iterator[Words | Stroke]:
    """The number of each blank, on it or beside it with a leader."""
    for number, one in enumerate(layout.blanks, 1):
        middle = (one.at[0] + one.size[0] / 2, one.at[1] + one.size[1] / 2)
        yield from board.label(str(number), middle, size=size)


def _facts(layout: SheetLayout, title: Title) -> tuple[tuple[str, str], ...]:
    stop = (("STOP", "do not cut: see Findings"),) if title.stops else ()
    return (
        ("part", title.part),
        *stop,
        ("sheet", f"{layout.material}, {layout.t:g} mm, {layout.length:g} x {layout.width:g}, grain along"),
        ("taken", f"{100 * layout.used:.1f} % of it; {layout.taken[0]:.0f} x {layout.taken[1]:.0f} mm would do"),
    )


def _edges(layout: SheetLayout, along: float, across: float) -> Iterator[Stroke]:
    """The sheet's edges, those of its corner where only that is drawn."""
    if (along, across) == (layout.length, layout.width):
        yield Stroke.of("axis", rectangle(along, across, centre=(along / 2, across / 2)))
        return
    runs: list[tuple[Point, Point]] = [((0.0, 0.0), (along, 0.0)), ((0.0, 0.0), (0.0, across))]
    if along == layout.length:
        runs.append(((along, 0.0), (along, across)))
    if across == layout.width:
        runs.append(((0.0, across), (along, across)))
    yield from (Stroke.line("axis", a, b) for a, b in runs)


UNREAD = 10.0
"""mm: the circle of a hole whose diameter was not read."""

MIRRORED = ", MAY BE THE MIRROR IMAGE OF THE HOLES"
"""On every page and on the drawing while it is not known which way round the holes go."""

LABEL = 3.0
"""mm: size of type on the drawing."""


def check_sheet(made: Measured) -> Drawing:
    """The holes with crosses and names. Raises ValueError where no holes were measured."""
    if made.survey is None:
        raise ValueError("no holes were measured: there is nothing to draw")
    found = made.survey
    low = found.coordinates[:, :2].min(axis=0)
    spots: list[Point] = [(float(x), float(y)) for x, y in found.coordinates[:, :2] - low]
    sizes = [UNREAD if d is None else d for d in found.diameters]
    strokes = []
    for (x, y), d in zip(spots, sizes, strict=True):
        reach = d / 2 + CROSS
        strokes.append(Stroke.of("cut", circle((x, y), d / 2)))
        strokes.append(Stroke.line("punch", (x - reach, y), (x + reach, y)))
        strokes.append(Stroke.line("punch", (x, y - reach), (x, y + reach)))
    board = Board(strokes)
    words: list[Words] = []
    for name, spot, d, read in zip(found.names, spots, sizes, found.diameters, strict=True):
        text = name if read is not None else f"{name}, Ø not read"
        put(board.label(text, spot, size=LABEL, start=d / 2 + CROSS), strokes, words)
    if made.doubts:
        words.append(Words((0.0, -max(sizes) / 2 - CROSS - 2 * LABEL), f"{made.readings.name}{MIRRORED}", LABEL))
    rows = tuple(
        (name, "not read" if d is None else f"{d:.2f}", f"{x:.2f}", f"{y:.2f}", "")
        for name, (x, y), d in zip(found.names, spots, found.diameters, strict=True)
    )
    return Drawing(
        name="check sheet",
        title=Title(part=f"{made.readings.name}{MIRRORED if made.doubts else ''}"),
        facts=(
            ("readings", made.readings.name),
            ("revision", "none given"),
            ("values", hashlib.sha256(repr(rows).encode()).hexdigest()[:8]),
            ("holes", str(len(spots))),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(Table("Holes", ("hole", "Ø", "x", "y", "measured"), rows),),
        notes=tuple(_notes(made, found)),
    )


def _notes(made: Measured, found: Survey) -> list[str]:
    told = [
        "Lay it on the casting, printed side up: every cross must lie on its hole's centre.",
        "Drawn as seen looking at the casting.",
    ]
    if made.doubts:
        here, there = ("anticlockwise", "clockwise") if anticlockwise(found) else ("clockwise", "anticlockwise")
        order = f"[{', '.join(found.names[k] for k in triangle(found))}]"
        told = [
            "THIS MAY BE THE MIRROR IMAGE OF THE HOLES: a sheet to find out by, not to mark out from.",
            f"Lay it on the casting. Crosses on the holes, printed side up: under [pattern] {here} = {order}.",
            f"Crosses on the holes only with the printed side down: under [pattern] {there} = {order}.",
        ]
    return [*told, *(f"STOP: do not cut. {stop}" for stop in made.stops)]
