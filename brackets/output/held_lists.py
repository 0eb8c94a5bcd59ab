"""Strength of the parts of a bay as lists: every check by hand, and the stress ranges of the welds. N, mm, MPa."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.bay import held_rows
from brackets.bay.fitting import Fit
from brackets.output.workbook import Cell, Table

CHECK_HEAD = (
    "part", "place", "case", "clause", "formula", "found", "allowed", "unit", "utilisation", "own_utilisation",
    "meets_the_rule_entered", "factors",
)  # fmt: skip
WELD_HEAD = (
    "part", "weld", "across_mpa", "across_between", "along_mpa", "along_between", "detail_category",
)  # fmt: skip
MISSING_HEAD = ("part", "place", "not_checked_because")


def tables(fit: Fit) -> Iterator[Table]:
    """A table each of checks, welds, and what was not checked; none that is empty."""
    if fit.held is None or fit.held.asks:
        return
    checks = [_check(row) for row in held_rows.check_rows(fit.held)]
    welds: list[tuple[Cell, ...]] = [
        (
            row.part, row.weld, _figure(row.across), " | ".join(row.across_cases), _figure(row.along),
            " | ".join(row.along_cases), "",
        )
        for row in held_rows.weld_rows(fit.held)
    ]  # fmt: skip
    found = (
        Table(name="strength", head=CHECK_HEAD, rows=checks),
        Table(name="welds", head=WELD_HEAD, rows=welds),
        Table(name="not checked", head=MISSING_HEAD, rows=list(held_rows.not_checked(fit.held))),
    )
    yield from (table for table in found if table.rows)


def table(fit: Fit, name: str) -> Table:
    """That of a name, with no rows where there is nothing to say."""
    return next((one for one in tables(fit) if one.name == name), Table(name=name, head=(), rows=[]))


def _check(row: held_rows.CheckRow) -> tuple[Cell, ...]:
    check, own = row.check, row.check.own_utilisation
    return (
        row.part, row.place, row.case, check.clause, check.formula, _figure(check.value), _figure(check.limit),
        check.unit, _figure(check.utilisation), "" if own is None else _figure(own), "yes" if row.meets else "NO",
        check.factors,
    )  # fmt: skip


def _figure(value: object) -> Cell:
    """Nine digits, so that rounding changes no byte; what is not finite in words."""
    figure = float(value)  # type: ignore[arg-type]
    return float(f"{figure:.9g}") if math.isfinite(figure) else "without limit"
