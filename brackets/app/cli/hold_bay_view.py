"""Whether the parts of a bay hold as it is read on the screen, worst first over all of them, and for scripts."""

from __future__ import annotations

from typing import Any

from brackets.app.cli.findings_view import cautions_text
from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import facts, line, table
from brackets.bay import held_rows
from brackets.bay.held_parts import BayHeld
from brackets.bay.held_rows import CHECK_HEADS, FATIGUE, OWN, STIFF_HEADS, WELD_HEADS
from brackets.bay.schema.record import Bay
from brackets.core.finding import verdict
from brackets.rules.cautions import cautions

FORMAT = 1
SHOWN = 30
"""Checks shown: a screenful; all of them are in the JSON and in the files of `fit`."""


def bay_text(bay: Bay, held: BayHeld) -> str:
    """The whole screen: verdict, checks, stress ranges, stiffness, what is not checked, what was assumed."""
    first = f"{verdict(held.findings)}\n{line(held_rows.said(held))}"
    if held.asks:
        return f"{bay.name}\n{line(held_rows.said(held))}"
    blocks = (
        f"{bay.name}\n{first}",
        strength_text(held),
        _findings(bay, held),
        _notes(held),
        cautions_text(cautions("licensed", "strength")),
        first,
    )
    return "\n\n".join(block for block in blocks if block)


def strength_text(held: BayHeld, most: int = SHOWN) -> str:
    """The tables: checks worst first, welds, stiffness, what no clause was held against."""
    rows, welds, stiff = held_rows.check_rows(held), held_rows.weld_rows(held), held_rows.stiffness_cells(held)
    blocks = []
    if rows:
        own = any(row.check.own_utilisation is not None for row in rows)
        keep = [i for i in range(len(CHECK_HEADS)) if own or i != OWN]
        cells = [tuple(row.cells[i] for i in keep) for row in rows[:most]]
        blocks.append(table(tuple(CHECK_HEADS[i] for i in keep), cells, right=(0,)))
        if len(rows) > most:
            blocks.append(f"{len(rows) - most} more checks are in --json and in the files of fit")
    if welds:
        blocks.append(f"{table(WELD_HEADS, [row.cells for row in welds[:most]], right=(2, 4))}\n{line(FATIGUE)}")
    if stiff:
        blocks.append(table(STIFF_HEADS, stiff, right=(3, 4, 5)))
    if missing := held_rows.not_checked(held):
        told = facts([(f"{part}: {place}" if place else part, why) for part, place, why in missing])
        blocks.append(f"not checked\n{told}")
    return "\n\n".join(blocks)


def _findings(bay: Bay, held: BayHeld) -> str:
    at = Lengths(bay.bare)
    told = [(f.label, f"{f.piece}: {at.told(f)}") for f in held.findings]
    return f"findings\n{facts(told)}" if told else ""


def _notes(held: BayHeld) -> str:
    told = held_rows.notes(held)
    return "assumed\n" + "\n".join(line(note) for note in told) if told else ""


def record(bay: Bay, held: BayHeld) -> dict[str, Any]:
    """For scripts."""
    from dataclasses import asdict

    return {
        "format": FORMAT,
        "bay": bay.name,
        "verdict": verdict(held.findings) if not held.asks else "nothing is said",
        "said": held_rows.said(held),
        **held_rows.record(held),
        "cautions": [asdict(one) for one in cautions("licensed", "strength")],
        "findings": [asdict(one) for one in held.findings],
    }
