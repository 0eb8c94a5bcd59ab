"""What a whole bay weighs, what to buy for it and what to cut, as CSV and as one workbook. mm, kg."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from brackets.bay.buying import to_buy
from brackets.bay.fitting import Fit
from brackets.bay.masses import MassRow, mass_rows
from brackets.forming.cut_list import HEAD as CUT_HEAD
from brackets.forming.cut_list import CutItem, Sticks, cut_list, rows_of, sticks
from brackets.output.xlsx import Cell, Table
from brackets.output.xlsx import write as write_xlsx

MASS_HEAD = ("what", "kg", "x_mm", "y_mm", "z_mm", "ixx", "iyy", "izz", "ixy", "iyz", "izx")
BUY_HEAD = ("kind", "what", "number", "where", "note")
STICK_HEAD = ("section_mm", "material", "stick_mm", "sticks", "left_mm", "longer_than_a_stick_mm")

DECIMALS = 6
"""To which a figure is written: a thousandth of what anybody measures, so that rounding changes no byte."""


def tables(fit: Fit) -> tuple[Table, ...]:
    """The four tables: masses (inertia in kg mm2 about the centre, off-diagonals -∫xy dm), buy, cut, sticks.

    Where something of the bay stops, a first column of the cut list says so in every row.
    """
    items = cut_items(fit)
    long = sticks(items, fit.bay.shop)
    return (
        Table(name="masses", head=MASS_HEAD, rows=[_mass(row) for row in mass_rows(fit)]),
        _buy(fit),
        _cut(fit, items),
        Table(name="sticks", head=STICK_HEAD, rows=[_stick(one) for one in long]),
    )


def cut_items(fit: Fit) -> tuple[CutItem, ...]:
    """The cut list of all parts of the bay."""
    return cut_list((part.name, part.part) for part in fit.stood.parts)


def _buy(fit: Fit) -> Table:
    rows = [(item.kind, item.what, item.number, "; ".join(item.where), item.note) for item in to_buy(fit)]
    return Table(name="buy", head=BUY_HEAD, rows=rows)


def _cut(fit: Fit, items: Sequence[CutItem]) -> Table:
    stop = {"STOP": "do not cut"} if fit.stops else {}
    rows = [(*stop.values(), *(_even(cell) for cell in row)) for row in rows_of(items)]
    return Table(name="cut", head=(*stop, *CUT_HEAD), rows=rows)


def _mass(row: MassRow) -> tuple[Cell, ...]:
    i = row.mass.inertia
    figures = (row.mass.kg, *row.mass.centroid, i[0][0], i[1][1], i[2][2], i[0][1], i[1][2], i[2][0])
    return (row.what, *(_even(float(figure)) for figure in figures))


def _stick(one: Sticks) -> tuple[Cell, ...]:
    longer = " ".join(f"{length:.1f}" for length in one.longer)
    return (one.section, one.material, one.length, len(one.sticks), _even(one.left), longer)


def _even(cell: Cell) -> Cell:
    return round(cell, DECIMALS) + 0.0 if isinstance(cell, float) else cell


def write_buy(fit: Fit, path: Path) -> None:
    """What to buy, a row each, as CSV."""
    _csv(_buy(fit), path)


def write_cut(fit: Fit, path: Path) -> None:
    """What to cut, a row for like pieces, as CSV."""
    _csv(_cut(fit, cut_items(fit)), path)


def write_workbook(fit: Fit, path: Path) -> None:
    """All four tables as one workbook."""
    write_xlsx(tables(fit), path)


def _csv(table: Table, path: Path) -> None:
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(table.head)
        sheet.writerows(table.rows)


def records(fit: Fit) -> dict[str, list[dict[str, Any]]]:
    """The same tables for scripts: a list of rows each, by the table's heading."""
    return {
        table.name: [dict(zip(table.head, row, strict=True)) for row in table.rows] for table in tables(fit)
    }
