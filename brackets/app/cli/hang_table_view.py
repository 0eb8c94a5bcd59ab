"""A table of a bay on its bushes, the same rows as on paper, as it is read on the screen."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import line, table
from brackets.output.hang_tables import HangTable


def table_text(of: HangTable | None, at: Lengths, words: Sequence[str] = ()) -> str:
    """A table under its heading, in the unit of the bay, and under that what is said with it."""
    under = [line(f"  {at.said(one)}") for one in words]
    if of is None:
        return "\n".join(under).strip()
    head = [name.replace(" mm", f" {at.unit}") if i in of.mm else name for i, name in enumerate(of.table.columns)]
    rows = [at.cells(row, near=of.mm) for row in of.table.rows]
    over = line(of.table.heading[0].lower() + of.table.heading[1:])
    return "\n".join((over, table(head, rows, right=of.right), *under))
