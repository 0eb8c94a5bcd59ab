"""The bending sheet of a bent tube: the tube before it is bent, its marks, and what the bender is set to.

mm from the sawn start along the tube; the picture is not to scale.
"""

from __future__ import annotations

from collections.abc import Sequence

from brackets.cope.bent import Bend, bends, centre_length, cut_length
from brackets.drawing.blank import short_hash
from brackets.drawing.labels import Board
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.layout.cut_rows import CutRow
from brackets.outline import rectangle
from brackets.pieces import BentTube

TYPE = 60.0
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
            for thing in board.label(text, (x, half + BEYOND * tube.od), size=max(3.0, long / TYPE)):
                if isinstance(thing, Words):
                    words.append(thing)
                else:
                    strokes.append(thing)
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
