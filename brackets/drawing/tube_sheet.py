"""The cut table of a part's tubes on paper: each tube as it is sawn off, and what it is cut to.

mm; the picture is not to scale.
"""

from __future__ import annotations

from collections.abc import Sequence

from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.layout.cut_rows import ENDS_OF, TUBES, CutRow, end_cells, tube_cells
from brackets.outline import rectangle

TYPE = 60.0
"""The longest tube over the size of type."""

LEAST = 3.0
"""mm: size of type at least."""


def tube_sheet(rows: Sequence[CutRow], title: Title) -> Drawing:
    """The sheet of the rows, the first on top."""
    size = max(LEAST, max(row.long for row in rows) / TYPE)
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
    )
