"""The bending sheet of a bent tube (marks, settings), and the cut table of a part's tubes.

mm from the sawn start along the tube; the pictures are not to scale.
"""

from __future__ import annotations

from collections.abc import Sequence

from brackets.drawing.blank import short_hash
from brackets.drawing.labels import Board, put
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.forming.cut_rows import ENDS_OF, TUBES, CutRow, end_cells, tube_cells
from brackets.geometry.shapes import rectangle
from brackets.model.bent_tube import Bend, bends, centre_length, cut_length
from brackets.model.tube import BentTube

BEND_TYPE = 60.0
"""The picture's length over its size of type."""

BENDS = ("bend", "marks at", "to", "degrees", "inside", "turn first", "measured")

BEYOND = 0.6
"""How far marks stand out over the tube, in its diameters."""


def bending_sheet(tube: BentTube, row: CutRow, title: Title) -> Drawing:
    """The drawing and tables; `row` is the tube's of the cut table."""
    long, made = cut_length(tube), bends(tube)
    half = tube.od / 2
    strokes = [Stroke.of("cut", rectangle(long, tube.od, centre=(long / 2, 0.0)))]
    strokes.append(Stroke.line("axis", (-half, 0.0), (long + half, 0.0)))
    for bend in made:
        for layer, x in (("mark", bend.start), ("bend", (bend.start + bend.end) / 2), ("mark", bend.end)):
            far = half + BEYOND * tube.od * (layer == "mark")
            strokes.append(Stroke.line(layer, (x, -far), (x, far)))  # type: ignore[arg-type]
    board, words = Board(strokes), list[Words]()
    for number, bend in enumerate(made, 1):
        for x in (bend.start, bend.end):
            text = f"B{number} {x:.1f}"
            put(board.label(text, (x, half + BEYOND * tube.od), size=max(3.0, long / BEND_TYPE)), strokes, words)
    return Drawing(
        name=f"{tube.name}, bending",
        title=title,
        facts=(
            ("part", title.part),
            ("piece", tube.name),
            ("revision", title.revision or "none given"),
            ("values", short_hash(tube)),
            ("material", f"{tube.material}, {tube.od:g} x {tube.wall:g} mm"),
            ("long points", f"{long:.2f} mm over both: saw to this"),
            ("nodes", f"{centre_length(tube):.2f} mm along the centre line"),
            ("former", f"centre-line radius {tube.bend_r:g} mm"),
            ("mass", f"{row.mass:.3f} kg"),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(
            Table("Bends, in order", BENDS, _rows(made)),
            Table("Straights", ("no.", "from", "to", "length", "measured"), _straights(tube, made, long)),
        ),
        notes=(
            "Marks are where a bend begins and ends, mm from the sawn start (along the centre line, no stretch).",
            "Inside: the line along the tube, degrees from the scribed clock line, that ends up inside the bend. "
            "Degrees grow clockwise, looking from the start end towards the other.",
            "Turn first: how the tube is turned in the bender after the bend before, seen from the start end.",
            "Bend first, then cope the ends.",
        ),
        true_size=False,
        own_page=False,
    )


def _rows(made: Sequence[Bend]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (f"B{n}", f"{b.start:.1f}", f"{b.end:.1f}", f"{b.angle:.1f}", f"{b.towards:.1f}", _turned(n, b.turn), "")
        for n, b in enumerate(made, 1)
    )


def _turned(number: int, turn: float) -> str:
    """The bender bends one way: the tube is turned back by what the next bend's inside lies further round."""
    if number == 1:
        return "set the inside"
    if abs(turn) < 0.05:
        return "none"
    return f"{abs(turn):.1f} {'anticlockwise' if turn > 0 else 'clockwise'}"


def _straights(tube: BentTube, made: Sequence[Bend], long: float) -> tuple[tuple[str, ...], ...]:
    starts = [0.0, *(bend.end for bend in made)]
    ends = [*(bend.start for bend in made), long]
    stretches = enumerate(zip(starts, ends, strict=True), 1)
    return tuple((str(n), f"{a:.1f}", f"{b:.1f}", f"{b - a:.1f}", "") for n, (a, b) in stretches)


CUT_TYPE = 60.0
"""The longest tube over the size of type."""

LEAST = 3.0
"""mm: size of type at least."""


def tube_sheet(rows: Sequence[CutRow], title: Title) -> Drawing:
    """The sheet of the rows, the first on top."""
    size = max(LEAST, max(row.long for row in rows) / CUT_TYPE)
    strokes, words, y = [], [], 0.0
    for row in rows:
        named = f"{', '.join(row.names)}: {row.long:.1f}" + (f", cut {row.count}" if row.count > 1 else "")
        words.append(Words((0.0, y - size), named, size))
        y -= 1.6 * size + row.od
        strokes.append(Stroke.of("cut", rectangle(row.long, row.od, centre=(row.long / 2, y + row.od / 2))))
        strokes.append(Stroke.line("axis", (-size, y + row.od / 2), (row.long + size, y + row.od / 2)))
        y -= size
    return Drawing(
        name="tubes",
        title=title,
        facts=(
            ("part", title.part),
            ("revision", title.revision or "none given"),
            ("tubes", f"{sum(row.count for row in rows)}"),
            ("length", f"{sum(row.count * row.long for row in rows):.0f} mm over long points, without saw cuts"),
            ("mass", f"{sum(row.count * row.mass for row in rows):.3f} kg"),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(
            Table("Cut table", TUBES, tuple(tube_cells(row) for row in rows)),
            Table("Ends", ENDS_OF, tuple(cells for row in rows for cells in end_cells(row))),
        ),
        notes=(
            "Long points: what is sawn off. Node: where the axis meets the axis or plane that the end is cut to.",
            "Clock: how far the end's acute side is turned from the start's, degrees clockwise looking from the "
            "start towards the end. Short and long point: degrees from the clock line scribed along the tube.",
            "To node: from the long point to its node, less than 0 where the node lies within the tube.",
            "Inner lip: what it fouls by if the end is cut square through and not bevelled.",
        ),
        true_size=False,
        own_page=False,
    )
