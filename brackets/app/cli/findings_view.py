"""Findings as they are read out, stops first; cautions of the steps that follow; what every seat stands on."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.app.cli.screen import facts, table
from brackets.bay.fitting import Fit
from brackets.bay.seat_contact import SeatContact
from brackets.core.finding import Finding, verdict
from brackets.rules.cautions import HEADING, Caution


def findings_text(found: Sequence[Finding]) -> str:
    """How many stop, then one finding after the other with its source; or that there are none."""
    if not found:
        return "findings: none"
    return f"{verdict(found)}\n{facts([(f.label, f'{f.piece}: {f.said}') for f in found])}"


def cautions_text(found: Sequence[Caution]) -> str:
    """What to mind, a line for each step."""
    return f"{HEADING}\n{facts([(f'  {one.step}', one.sentence) for one in found])}"


HEAD = ("part", "seat", "stands on", "of its mm2", "gap", "hangs past an edge", "weld", "on nothing")


def seat_text(fit: Fit) -> str:
    """The table of `fit.seats`, nothing where no seat stands on a keep-out."""
    rows = [_row(seat) for seat in fit.seats]
    return "what the seats stand on, mm\n" + table(HEAD, rows, right=(3, 4, 6, 7)) if rows else ""


def _row(seat: SeatContact) -> tuple[str, ...]:
    hangs = ", ".join(f"{far:.1f} {edge}" for edge, far, _ in seat.hangs if far >= 0.05)
    on = ", ".join(seat.onto) if seat.contact > 0 else f"NOTHING ({seat.onto[0]} {seat.nearest:.1f} away)"
    weld = (f"{seat.weld:.0f}", f"{seat.bare:.1f}") if seat.weld > 0 else ("", "")
    share = f"{100 * seat.share:.0f} % of {seat.area:.0f}"
    return (seat.part, seat.seat, on, share, f"{max(seat.widest, seat.open):.1f}", hangs, *weld)
