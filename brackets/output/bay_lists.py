"""The tables of a fitted bay as CSV and as one workbook: gaps, paths, masses, what to buy, what to cut. mm, kg."""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from brackets.bay.adjust_rules import Adjusted
from brackets.bay.clear.drive_rules import DRIVE_COLUMNS, drive_columns
from brackets.bay.clear.moving import by_pair
from brackets.bay.clear.pairs import at_least
from brackets.bay.clear.props import PROP_COLUMNS, prop_columns
from brackets.bay.fitting import Fit
from brackets.bay.report.whole import MassRow, mass_rows, to_buy
from brackets.forming.cut_list import HEAD as CUT_HEAD
from brackets.forming.cut_list import CutItem, Sticks, cut_list, rows_of, sticks
from brackets.output import held_lists
from brackets.output.workbook import Cell, Table, write

HEAD = (
    "a", "b", "state", "class", "low_mm", "high_mm", "needed_mm", "spare_mm", "pos_mm",
    "spare_less_pos_mm", "moved_low_mm", "moved_high_mm", "moved_needed_mm", "moved_spare_less_pos_mm", "px", "py",
    "pz", "qx", "qy", "qz", "note", "moved_case",
)  # fmt: skip
PATH_HEAD = (
    "path", "part", "out", "leg", "along", "free", "of", "unit", "low_mm", "high_mm", "needed_mm", "a", "b",
    "held_by",
)  # fmt: skip


SLACK_HEAD = (
    "slack", "still_mm", "least_low_mm", "least_high_mm", "may_be_mm", "most_low_mm", "most_high_mm", "length_mm",
    "margin_mm", "spare_mm", "least_by", "most_by",
)  # fmt: skip


def write_gaps(fit: Fit, path: Path) -> None:
    """Every pair as a row, worst first."""
    _csv4(_gaps(fit), path)


def _gaps(fit: Fit) -> Table:
    moves = by_pair(fit.moved)
    rows: list[tuple[Cell, ...]] = []
    for pair in fit.pairs:
        move = moves.get(frozenset((pair.a, pair.b)))
        pos = fit.known.between(pair.a, pair.b)
        less: Cell = "" if pos is None else float(at_least(pair.spare - pos, 4))
        moved: tuple[Cell, ...] = ("", "", "", "")
        if move is not None:
            left: Cell = "" if pos is None else float(at_least(move.spare - pos, 4))
            moved = (float(at_least(move.low, 4)), move.high, move.needed, left)
        spare = (float(at_least(pair.spare, 4)), "" if pos is None else pos, less)
        still = (float(at_least(pair.low, 4)), pair.high, pair.needed, *spare)
        where, case = (*pair.p, *pair.q, pair.note), "" if move is None else move.case
        rows.append((pair.a, pair.b, pair.state, pair.rule.kind, *still, *moved, *where, case))
    return Table(name="gaps", head=HEAD, rows=rows)


def write_paths(fit: Fit, path: Path) -> None:
    """Every path in or out as a row: how far it is free, the least gap on it, and between what."""
    _csv4(_paths(fit), path)


def _paths(fit: Fit) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one in fit.paths:
        leg, along = ("", None) if one.at is None else one.at
        last = one.legs[-1] if one.legs else None
        a, b = one.pair or ("", "")
        free, length = (None, None) if last is None else (last.free, last.length)
        figures = (along, free, length, "" if last is None else last.unit, one.low, one.high, one.needed)
        outcome = "yes" if one.out else "no"
        told = ("" if cell is None else cell for cell in figures)
        rows.append((one.name, one.part, outcome, leg, *told, a, b, " ".join(one.held)))
    return Table(name="paths", head=PATH_HEAD, rows=rows)


def write_slacks(fit: Fit, path: Path) -> None:
    """Every hose, cable and linkage as a row: how near and how far its ends get, against its length."""
    _csv4(_slacks(fit), path)


def _slacks(fit: Fit) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for one in fit.slacks:
        row, found = one.row, one.found
        figures = (found.rest, *found.least, row.least, *found.most, row.length, row.margin, one.spare)
        told = ("" if figure is None else float(figure) for figure in figures)
        rows.append((row.name, *told, one.least_by, one.most_by))
    return Table(name="slack", head=SLACK_HEAD, rows=rows)


def write_strength(fit: Fit, path: Path) -> None:
    """Every check by hand of the parts, the most used first."""
    _csv(held_lists.table(fit, "strength"), path)


def write_welds(fit: Fit, path: Path) -> None:
    """Every weld with the largest of its stress ranges; its detail category is left blank."""
    _csv(held_lists.table(fit, "welds"), path)


def _csv4(table: Table, path: Path) -> None:
    """As CSV, figures to four decimals."""
    rows = [[f"{cell:.4f}" if isinstance(cell, float) else cell for cell in row] for row in table.rows]
    _csv(Table(name=table.name, head=table.head, rows=rows), path)


ADJUST_HEAD = (
    "part", "range_mm", "x_mm", "y_mm", "z_mm", "mounts", "least_low_mm", "least_high_mm", "needed_mm", "at_mm",
    "a", "b", "when", "worse_at_the_end", "stuck",
)  # fmt: skip


def write_adjusts(fit: Fit, path: Path) -> None:
    """Each way a part can be moved on its slots as a row: how far, what the engine gains, and the least spare."""
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(ADJUST_HEAD)
        for one in fit.adjusts:
            sheet.writerow(f"{cell:.4f}" if isinstance(cell, float) else cell for cell in _adjust(one))


def _adjust(one: Adjusted) -> tuple[Cell, ...]:
    """A row under ADJUST_HEAD, "" for what is not there."""
    of = one.of
    first: tuple[Cell, ...] = (of.part, *(f + 0.0 for f in (of.far, *of.shift)), " ".join(of.mounts))
    near: tuple[Cell, ...] = ("",) * 7
    if one.gaps:
        gap = one.gaps[0]
        near = (float(at_least(gap.low, 4)), gap.high, gap.needed, gap.at, gap.a, gap.b,
                "moved" if gap.moving else "still")  # fmt: skip
    return (*first, *near, len(one.said), of.stuck)


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


def _more_tables(fit: Fit) -> tuple[Table, ...]:
    """Those of gaps, paths, slack, slots, shafts, chains, props, strength, each where there is anything in it."""
    long = (_gaps(fit), _paths(fit), _slacks(fit))
    told = (replace(one, rows=[[*map(_written, row)] for row in one.rows]) for one in long)
    found = (*told, _adjusts(fit), _drives(fit), _props(fit), *held_lists.tables(fit))
    return tuple(table for table in found if table.rows)


def _written(cell: Cell) -> Cell:
    """As a sheet holds it: what is not finite in words."""
    return str(cell) if isinstance(cell, float) and not math.isfinite(cell) else _even(cell)


def _adjusts(fit: Fit) -> Table:
    return Table(name="adjust", head=ADJUST_HEAD, rows=[tuple(map(_even, _adjust(one))) for one in fit.adjusts])


def _drives(fit: Fit) -> Table:
    rows = [tuple(map(_even, row)) for drive in fit.drives for row in drive_columns(drive)]
    return Table(name="driveline", head=DRIVE_COLUMNS, rows=rows)


def _props(fit: Fit) -> Table:
    return Table(name="props", head=PROP_COLUMNS, rows=[tuple(map(_even, prop_columns(one))) for one in fit.props])


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
    """All tables as one workbook, those beyond masses, buy, cut and sticks where there is anything in them."""
    write((*tables(fit), *_more_tables(fit)), path)


def write_drives(fit: Fit, path: Path) -> None:
    """Every figure of every shaft and chain as CSV, with its limits."""
    _csv(_drives(fit), path)


def write_props(fit: Fit, path: Path) -> None:
    """How high each point stands that is to be propped, as CSV."""
    _csv(_props(fit), path)


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
