"""Tables as one workbook (XLSX), a sheet each: the same tables give the same bytes."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

Cell = str | float | int

MADE = datetime(2000, 1, 1)
"""The date every file says it was made: the same tables give the same bytes."""

WIDEST = 60
"""Characters a column is opened to at most."""

DIGITS = 3
"""Decimals that a figure is shown with; the cell holds all of them."""


@dataclass(frozen=True, kw_only=True)
class Table:
    """A sheet: its name (31 characters at most), headings, and rows as long as the headings."""

    name: str
    head: Sequence[str]
    rows: Sequence[Sequence[Cell]]


def write(tables: Sequence[Table], path: Path) -> None:
    """Writes the tables as one workbook, a sheet each. Raises OSError where the disk refuses.

    A text is written as text, whatever it looks like: none becomes a formula, a link or a date.
    """
    from xlsxwriter import Workbook

    book = Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False})
    book.set_properties({"created": MADE})
    bold, figure = book.add_format({"bold": True}), book.add_format({"num_format": f"0.{'0' * DIGITS}"})
    for table in tables:
        sheet = book.add_worksheet(table.name)
        sheet.write_row(0, 0, table.head, bold)
        sheet.freeze_panes(1, 0)
        for number, row in enumerate(table.rows, 1):
            for column, cell in enumerate(row):
                if isinstance(cell, str):
                    sheet.write_string(number, column, cell)
                else:
                    sheet.write_number(number, column, cell, figure if isinstance(cell, float) else None)
        for column, title in enumerate(table.head):
            longest = max((len(_shown(row[column])) for row in table.rows), default=0)
            sheet.set_column(column, column, min(max(longest, len(title)) + 1, WIDEST))
    book.close()


def with_semicolons(folder: Path, names: Iterable[str]) -> None:
    """Writes the CSV files among the names again with ; between cells and a byte order mark before the first, as
    spreadsheets want them where the comma is the decimal sign. Points in figures stay points."""
    for name in names:
        if name.endswith(".csv"):
            rows = list(csv.reader(io.StringIO((folder / name).read_text("utf-8"), newline="")))
            with (folder / name).open("w", newline="", encoding="utf-8-sig") as out:
                csv.writer(out, delimiter=";").writerows(rows)


def _shown(cell: Cell) -> str:
    return f"{cell:.{DIGITS}f}" if isinstance(cell, float) else str(cell)
