"""Findings as they are read out, stops first; cautions of the steps that follow; what every seat stands on."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.app.cli.inches import MM, Lengths
from brackets.app.cli.screen import facts, table
from brackets.bay.fitting import Fit
from brackets.bay.seats.contact import SeatContact
from brackets.core.finding import Finding, verdict
from brackets.core.units import INCH
from brackets.rules.cautions import HEADING, Caution


def findings_text(found: Sequence[Finding], at: Lengths = MM) -> str:
    """How many stop, then one finding after the other with its source; or that there are none."""
    if not found:
        return "findings: none"
    return f"{verdict(found)}\n{facts([(f.label, f'{f.piece}: {at.told(f)}') for f in found])}"


def cautions_text(found: Sequence[Caution]) -> str:
    """What to mind, a line for each step."""
    return f"{HEADING}\n{facts([(f'  {one.step}', one.sentence) for one in found])}"


SEAT_HEADS = ("part", "seat", "stands on", "of its {}2", "gap", "hangs past an edge", "weld", "on nothing")


def seat_text(fit: Fit) -> str:
    """The table of `fit.seats`, nothing where no seat stands on a keep-out."""
    at = Lengths(fit.bay.bare)
    rows = [seat_cells(seat, at) for seat in fit.seats]
    head = [name.format(at.unit) for name in SEAT_HEADS]
    return f"what the seats stand on, {at.unit}\n" + table(head, rows, right=(3, 4, 6, 7)) if rows else ""


def seat_cells(seat: SeatContact, at: Lengths) -> tuple[str, ...]:
    """A row under SEAT_HEADS, which name the unit."""
    hangs = ", ".join(f"{at.figure(far, '.1f')} {edge}" for edge, far, _ in seat.hangs if far >= 0.05)
    away = f"NOTHING ({seat.onto[0]} {at.figure(seat.nearest, '.1f')} away)" if seat.contact <= 0 else ""
    on = away or ", ".join(seat.onto)
    weld = (at.figure(seat.weld, ".0f"), at.figure(seat.bare, ".1f")) if seat.weld > 0 else ("", "")
    area = f"{seat.area / float(INCH) ** 2:.2f}" if at.inch else f"{seat.area:.0f}"
    share = f"{100 * seat.share:.0f} % of {area}"
    return (seat.part, seat.seat, on, share, at.figure(max(seat.widest, seat.open), ".1f"), hangs, *weld)
