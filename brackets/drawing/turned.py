"""The sheet of a turned piece: half its section at true size, its steps in a table, how a bush's bore is finished.

A bore that is finished after welding is drawn as it is before, with its finished size as a fine line.
mm; the axis runs to the right, the lower end of the piece on the left.
"""

from __future__ import annotations

from collections.abc import Sequence

from brackets.core.figures import figure
from brackets.drawing.blank import LABEL, short_hash, weld_table
from brackets.drawing.labels import Board, put
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.geometry.segments import Line, Point
from brackets.model import mass
from brackets.model.landing import OnRound
from brackets.model.piece import THREADED_BAR
from brackets.model.tube import BushBore, Step, Turned
from brackets.model.weld import Circle, Weld

DUMMY_UNDER = 0.2
"""mm a dummy bush is turned under the cup's bore, so that the cup lets it go: common practice, no source."""

BEYOND = 4.0
"""mm: how far the centre line stands out."""


def turning(
    piece: Turned, title: Title, *, welds: Sequence[Weld] = (), landed: Sequence[tuple[str, OnRound]] = ()
) -> Drawing:
    """The drawing of a turned piece; `welds` are those of its part, its own are drawn, a leg high; `landed` is what
    is welded to its outside, with the words for it."""
    own = [(weld, weld.edge) for weld in welds if weld.piece == piece.name and isinstance(weld.edge, Circle)]
    strokes = [*_outline(piece)]
    strokes += [Stroke.line("weld", (at.z, at.d / 2), (at.z, at.d / 2 + weld.leg)) for weld, at in own]
    board = Board(strokes)
    words: list[Words] = []
    x = 0.0
    rows = []
    for number, step in enumerate(piece.steps, 1):
        middle = (x + step.length / 2, (step.od + step.bore) / 4)
        put(board.label(f"{number}", middle, size=LABEL), strokes, words)
        bore = figure(_bore_now(piece, step)) if step.bore else "solid"
        rows.append((str(number), f"{figure(x)} to {figure(x + step.length)}", figure(step.od), bore, ""))
        x += step.length
    for number, (weld, edge) in enumerate(own, 1):
        put(board.label(f"W{number}", (edge.z, edge.d / 2 + weld.leg), size=LABEL), strokes, words)
    seams = weld_table(piece, [weld for weld, _ in own])
    notes = [f"Bore threaded {piece.thread}: the bore is the tapping size."] if piece.thread else []
    is_bar = piece.stock.startswith(THREADED_BAR)
    if is_bar:
        notes.append("Threaded all along. Where it sits in a tapped hole it is drawn at the tapping size.")
    return Drawing(
        name=piece.name,
        title=title,
        facts=(
            ("part", title.part),
            ("piece", piece.name),
            ("revision", title.revision or "none given"),
            ("values", short_hash(piece)),
            ("material", piece.stock if is_bar else piece.material + (f", {piece.stock}" if piece.stock else "")),
            ("length", f"{figure(piece.length)} mm"),
            ("mass", f"{mass.of(piece).kg:.3f} kg"),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(
            Table("Steps, half section", ("no.", "along", "od", "bore", "measured"), tuple(rows)),
            *(() if piece.bush is None else (_bush_table(piece.bush),)),
            *_landing_table(landed),
            *seams,
        ),
        notes=(*notes, *(() if piece.bush is None else _bush_notes(piece.bush))),
    )


def _landing_table(landed: Sequence[tuple[str, OnRound]]) -> tuple[Table, ...]:
    """From where to where along the piece other pieces land; in what direction, their own papers say."""
    rows = [(what, *(f"{far:z.2f}" for far in one.along), "") for what, one in landed]
    columns = ("what", "from", "to", "measured")
    return (Table("What lands on it, mm from the lower end", columns, tuple(rows)),) if rows else ()


def _bore_now(piece: Turned, step: Step) -> float:
    """The bore before welding, mm."""
    return step.bore if piece.bush is None else piece.bush.now


def _bush_table(bore: BushBore) -> Table:
    """Sizes of the bore in the order in which they are made."""
    low, high = bore.allowed
    to = f"{figure(bore.size)} {bore.tolerance}: {low:.3f} to {high:.3f}"
    if not bore.after_welding:
        rows = [("before welding", f"bore to {to}"), ("after welding", f"measure: {low:.3f} to {high:.3f}")]
    else:
        own = "bore to" if bore.left >= bore.stock else "leave the tube's own bore"
        now = f"{own} {figure(bore.now)}"
        rows = [
            ("before welding", now),
            ("left to finish, on the diameter", f"{figure(bore.left)} of {figure(bore.stock)} wanted"),
            ("after welding", f"finish to {to}"),
        ]
    return Table("Bore for the bush", ("when", "size", "measured"), tuple((*row, "") for row in rows))


def _bush_notes(bore: BushBore) -> tuple[str, ...]:
    outside = figure(bore.now - DUMMY_UNDER)
    dummy = f"Weld the cup on a dummy bush of {outside} outside (bore now less {DUMMY_UNDER:g}): "
    first = dummy + (
        "it shrinks and goes out of round. Bore, ream or hone it to size once it is cold."
        if bore.after_welding
        else "bored before it is welded, it shrinks all the same. Measure it cold, hone it where it is small."
    )
    fit = (
        "Slip fit: the play is in the bore."
        if bore.slip
        else "Press fit: measure the bush's shell before the bore is finished. It must be larger than the bore; by "
        "how much, the bush's maker says."
    )
    return first, fit, f"Limits of the bore: {bore.tolerance}, {bore.source}."


def _outline(piece: Turned) -> list[Stroke]:
    top: list[Point] = []
    low: list[Point] = []
    finished: list[Stroke] = []
    x = 0.0
    for step in piece.steps:
        top += [(x, step.od / 2), (x + step.length, step.od / 2)]
        now = _bore_now(piece, step)
        low += [(x, now / 2), (x + step.length, now / 2)]
        if now != step.bore:
            finished.append(Stroke.line("mark", (x, step.bore / 2), (x + step.length, step.bore / 2)))
        x += step.length
    corners = [*low, *reversed(top)]
    around = zip(corners, (*corners[1:], corners[0]), strict=True)
    edges = tuple(Line(a, b) for a, b in around if a != b)
    return [Stroke("cut", edges, True), *finished, Stroke.line("axis", (-BEYOND, 0.0), (x + BEYOND, 0.0))]
