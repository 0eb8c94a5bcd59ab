"""Masses of a fitted bay, what to buy for it and what to cut, as text."""

from __future__ import annotations

from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import table
from brackets.bay.fitting import Fit
from brackets.bay.whole import mass_rows, to_buy
from brackets.forming.cut_list import KERF, CutItem, sticks
from brackets.output.bay_lists import cut_items


def masses_text(fit: Fit) -> str:
    """The mass and centre of the mounts, the powertrain, and both."""
    at = Lengths(fit.bay.bare)
    rows = [
        (row.what, f"{row.mass.kg:.2f}", ", ".join(at.figure(c, ".1f") for c in row.mass.centroid))
        for row in mass_rows(fit)
    ]
    head = ("what", "kg", f"centre, {at.unit}")
    return "masses, without weld metal\n" + table(head, rows, right=(1,)) if rows else ""


def buy_text(fit: Fit) -> str:
    """What to buy, like things counted."""
    rows = [(str(item.number), item.kind, item.what, ", ".join(item.where), item.note) for item in to_buy(fit)]
    return "to buy\n" + table(("number", "kind", "what", "where", "note"), rows, right=(0,)) if rows else ""


def cut_text(fit: Fit) -> str:
    """What to cut, and the sticks that tube and bar take; of a bay that stops nothing is to be cut yet."""
    items = cut_items(fit)
    if not items:
        return ""
    at = Lengths(fit.bay.bare)
    rows = [at.cells(_cut_row(item), near=(4,)) for item in items]
    head = ("number", "kind", "section", "material", at.unit, "kg each", "pieces")
    named = "; sections in mm, as the stock names them" if at.inch else ""
    stop = f"to cut, but NOT YET: something stops{named}\n" if fit.stops else f"to cut, {at.unit}{named}\n"
    long = [
        (
            one.section,
            one.material,
            f"{len(one.sticks)} of {at.figure(one.length)}{', a usual length' if one.usual else ''}",
            at.figure(one.left, ".0f"),
            ", ".join(at.figure(length, ".1f") for length in one.longer),
        )
        for one in sticks(items, fit.bay.shop)
    ]
    stick_head = ("section", "material", "sticks", "left", "longer than a stick")
    tail = f"\n\nsticks, {at.unit}, {at.figure(KERF)} a cut\n" + table(stick_head, long, right=(3,)) if long else ""
    return stop + table(head, rows, right=(0, 4, 5)) + tail


def _cut_row(item: CutItem) -> tuple[str, ...]:
    pieces = ", ".join(item.names)
    return (str(item.count), item.kind, item.section, item.material, item.size, f"{item.kg:.3f}", pieces)
