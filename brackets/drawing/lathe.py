"""The sheet of a turned piece: half its section at true size, and its steps in a table.

mm; the axis runs to the right, the lower end of the piece on the left.
"""

from __future__ import annotations

from brackets import mass
from brackets.drawing.blank import LABEL, short_hash
from brackets.drawing.labels import Board
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.outline import Line, Point
from brackets.pieces import Turned

BEYOND = 4.0
"""mm: how far the centre line stands out."""


def turning(piece: Turned, title: Title) -> Drawing:
    """The drawing of a turned piece."""
    strokes = [*_outline(piece)]
    board = Board(strokes)
    words: list[Words] = []
    x = 0.0
    rows = []
    for number, step in enumerate(piece.steps, 1):
        middle = (x + step.length / 2, (step.od + step.bore) / 4)
        for made in board.label(f"{number}", middle, size=LABEL):
            if isinstance(made, Words):
                words.append(made)
            else:
                strokes.append(made)
        bore = f"{step.bore:g}" if step.bore else "solid"
        rows.append((str(number), f"{x:g} to {x + step.length:g}", f"{step.od:g}", bore, ""))
        x += step.length
    notes = [f"Bore threaded {piece.thread}: the bore is the tapping size."] if piece.thread else []
    return Drawing(
        name=piece.name,
        title=title,
        facts=(
            ("part", title.part),
            ("piece", piece.name),
            ("revision", title.revision or "none given"),
            ("values", short_hash(piece)),
            ("material", piece.material + (f", {piece.stock}" if piece.stock else "")),
            ("length", f"{piece.length:g} mm"),
            ("mass", f"{mass.of(piece).kg:.3f} kg"),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(Table("Steps, half section", ("no.", "along", "od", "bore", "measured"), tuple(rows)),),
        notes=tuple(notes),
    )


def _outline(piece: Turned) -> list[Stroke]:
    top: list[Point] = []
    low: list[Point] = []
    x = 0.0
    for step in piece.steps:
        top += [(x, step.od / 2), (x + step.length, step.od / 2)]
        low += [(x, step.bore / 2), (x + step.length, step.bore / 2)]
        x += step.length
    corners = [*low, *reversed(top)]
    around = zip(corners, (*corners[1:], corners[0]), strict=True)
    edges = tuple(Line(a, b) for a, b in around if a != b)
    return [Stroke("cut", edges, True), Stroke.line("axis", (-BEYOND, 0.0), (x + BEYOND, 0.0))]
