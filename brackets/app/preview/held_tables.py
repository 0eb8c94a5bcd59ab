"""Strength of the parts of a bay as tables of the page: checks, stress ranges of welds, stiffness, what is left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from brackets.app.preview.blocks import row, table
from brackets.bay import held_rows
from brackets.bay.held_parts import BayHeld
from brackets.bay.held_rows import CHECK_HEADS, FATIGUE, STIFF_HEADS, WELD_HEADS


def tables(held: BayHeld) -> Iterator[dict[str, Any]]:
    """None that is empty; the checks most used first; each row lights the part it is of.

    What is said of all of them stands on top of the page (`fit_tables.top`).
    """
    rows = [
        row(one.cells, things=(one.part,), level="" if one.meets else "stop") for one in held_rows.check_rows(held)
    ]
    yield from _listed("strength", "Strength by hand", _heads(CHECK_HEADS, 0), rows)
    welds = [row(one.cells, things=(one.part,)) for one in held_rows.weld_rows(held)]
    yield from _listed("welds", "Stress ranges of the welds", _heads(WELD_HEADS, 2, 4), welds, FATIGUE)
    stiff = [row(cells, things=(cells[0],)) for cells in held_rows.stiffness_cells(held)]
    yield from _listed("stiffness", "Brackets at their bushes", _heads(STIFF_HEADS, 3, 4, 5), stiff)
    left = [row(cells, things=(cells[0],)) for cells in held_rows.not_checked(held)]
    yield from _listed("not checked", "Not checked by hand", "part|place|why", left)


def _heads(heads: tuple[str, ...], *figures: int) -> str:
    return "|".join(f">{head}" if i in figures else head for i, head in enumerate(heads))


def _listed(
    key: str, title: str, columns: str, rows: list[dict[str, Any]], note: str = ""
) -> Iterator[dict[str, Any]]:
    if rows:
        yield table(key, title, columns, rows, note)
