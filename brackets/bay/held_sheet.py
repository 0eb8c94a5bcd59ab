"""The sheet of paper on the strength of one part of a bay: its checks by hand, its welds for whoever signs."""

from __future__ import annotations

from brackets.bay import held_rows
from brackets.bay.held_parts import BayHeld
from brackets.bay.held_rows import FATIGUE, STIFF_HEADS
from brackets.drawing.record import Drawing, Table, Title

CHECKS = ("used", "place", "by", "case", "found", "allowed", "own factor", "rule you entered")
CLAUSES = ("by", "clause", "formula")
WELDS = ("weld", "across, MPa", "between", "along, MPa", "between", "detail category", "signed")
MOST = 40
"""Checks on paper, the most used: all of them are in strength.csv."""


def strength_sheet(held: BayHeld, part: str, title: Title) -> Drawing | None:
    """The sheet of a part's strength; None where nothing is said of it."""
    checks = [row for row in held_rows.check_rows(held) if row.part == part]
    welds = [row for row in held_rows.weld_rows(held) if row.part == part]
    missing = [(place, why) for name, place, why in held_rows.not_checked(held) if name == part]
    if not (checks or missing):
        return None
    by = {key: number for number, key in enumerate(dict.fromkeys(map(_clause, checks[:MOST])), 1)}
    rows = tuple(_check(row, by[_clause(row)]) for row in checks[:MOST])
    tables = [Table("Checks by hand, the most used first", CHECKS, rows)]
    if by:
        tables.append(Table("By which clause", CLAUSES, tuple((str(n), *clause) for clause, n in by.items())))
    if missing:
        tables.append(Table("Not checked", ("place", "why"), tuple(missing)))
    if welds:
        tables.append(Table("Stress ranges of the welds", WELDS, tuple(_weld(row) for row in welds)))
    stiff = tuple(cells[1:] for cells in held_rows.stiffness_cells(held) if cells[0] == part)
    if stiff:
        tables.append(Table("Stiffness at the bush", STIFF_HEADS[1:], stiff))
    left = (f"{len(checks) - MOST} more checks, less used: strength.csv.",) if len(checks) > MOST else ()
    return Drawing(
        name="strength",
        title=title,
        facts=(
            ("part", title.part),
            ("revision", title.revision or "none given"),
            ("strength", _verdict(checks, missing)),
        ),
        strokes=(),
        tables=tuple(tables),
        notes=(
            "Used: what was found over what the clause allows; at 1.00 the rule that was entered is just met."
            " Nothing more is said: it is for whoever signs to accept the loads, the clauses and the welds.",
            f"{FATIGUE[0].upper()}{FATIGUE[1:]}. Quality of the welds is not computed.",
            *left,
            "Bushes --+: the force of a bush at the least or the most that the scatter of all bushes makes of it,"
            " along x, y and z of the bay.",
            *(f"{note[0].upper()}{note[1:]}." for note in held.notes),
        ),
        true_size=False,
        own_page=False,
    )


def _verdict(checks: list[held_rows.CheckRow], missing: list[tuple[str, str]]) -> str:
    over = sum(1 for row in checks if not row.meets)
    first = f"{over} of {len(checks)} checks exceed the rule you entered" if over else (
        f"meets the rule you entered in all {len(checks)} checks" if checks else "nothing was checked"
    )
    return f"{first}; {len(missing)} not checked" if missing else first


def _clause(row: held_rows.CheckRow) -> tuple[str, str]:
    return row.check.clause, row.check.formula


def _check(row: held_rows.CheckRow, by: int) -> tuple[str, ...]:
    used, _, place, _, *rest = row.cells
    return (used, place, str(by), *rest)


def _weld(row: held_rows.WeldRow) -> tuple[str, ...]:
    return (*row.cells[1:-1], "", "")
