"""The gaps and the paths of a fitted bay as CSV: mm and degrees under names that say so."""

from __future__ import annotations

import csv
from pathlib import Path

from brackets.bay.fitting import Fit
from brackets.bay.moving import by_pair
from brackets.bay.pairs import at_least

HEAD = (
    "a", "b", "state", "class", "low_mm", "high_mm", "needed_mm", "spare_mm",
    "moved_low_mm", "moved_high_mm", "moved_needed_mm", "px", "py", "pz", "qx", "qy", "qz", "note",
)  # fmt: skip
PATH_HEAD = (
    "path", "part", "out", "leg", "along", "free", "of", "unit", "low_mm", "high_mm", "needed_mm", "a", "b",
    "held_by",
)  # fmt: skip


def gaps(fit: Fit, path: Path) -> None:
    """Every pair as a row, worst first."""
    moves = by_pair(fit.moved)
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(HEAD)
        for pair in fit.pairs:
            move = moves.get(frozenset((pair.a, pair.b)))
            moved = ("", "", "") if move is None else (at_least(move.low, 4), move.high, move.needed)
            still = (at_least(pair.low, 4), pair.high, pair.needed, at_least(pair.spare, 4))
            figures = (*still, *moved, *pair.p, *pair.q)
            said = (f if isinstance(f, str) else f"{f:.4f}" for f in figures)
            sheet.writerow([pair.a, pair.b, pair.state, pair.rule.kind, *said, pair.note])


def paths(fit: Fit, path: Path) -> None:
    """Every path in or out as a row: how far it is free, the least gap on it, and between what."""
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(PATH_HEAD)
        for one in fit.paths:
            leg, along = ("", None) if one.at is None else one.at
            last = one.legs[-1] if one.legs else None
            a, b = one.pair or ("", "")
            free, length = (None, None) if last is None else (last.free, last.length)
            figures = [along, free, length, "" if last is None else last.unit, one.low, one.high, one.needed]
            said = [f"{f:.4f}" if isinstance(f, float) else f or "" for f in figures]
            outcome = "yes" if one.out else "no"
            sheet.writerow([one.name, one.part, outcome, leg, *said, a, b, " ".join(one.held)])
