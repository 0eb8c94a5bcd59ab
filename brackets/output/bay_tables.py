"""The gaps and the paths of a fitted bay as CSV: mm and degrees under names that say so."""

from __future__ import annotations

import csv
from pathlib import Path

from brackets.bay.fitting import Fit
from brackets.bay.moving import by_pair
from brackets.bay.pairs import at_least

HEAD = (
    "a", "b", "state", "class", "low_mm", "high_mm", "needed_mm", "spare_mm", "pos_mm",
    "spare_less_pos_mm", "moved_low_mm", "moved_high_mm", "moved_needed_mm", "moved_spare_less_pos_mm", "px", "py",
    "pz", "qx", "qy", "qz", "note",
)  # fmt: skip
PATH_HEAD = (
    "path", "part", "out", "leg", "along", "free", "of", "unit", "low_mm", "high_mm", "needed_mm", "a", "b",
    "held_by",
)  # fmt: skip


SLACK_HEAD = (
    "slack", "still_mm", "least_low_mm", "least_high_mm", "may_be_mm", "most_low_mm", "most_high_mm", "length_mm",
    "margin_mm", "spare_mm",
)  # fmt: skip


def gaps(fit: Fit, path: Path) -> None:
    """Every pair as a row, worst first."""
    moves = by_pair(fit.moved)
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(HEAD)
        for pair in fit.pairs:
            move = moves.get(frozenset((pair.a, pair.b)))
            pos = fit.known.between(pair.a, pair.b)
            less = "" if pos is None else at_least(pair.spare - pos, 4)
            moved: tuple[str | float, ...] = ("", "", "", "")
            if move is not None:
                left = "" if pos is None else at_least(move.spare - pos, 4)
                moved = (at_least(move.low, 4), move.high, move.needed, left)
            spare = (at_least(pair.spare, 4), "" if pos is None else pos, less)
            still = (at_least(pair.low, 4), pair.high, pair.needed, *spare)
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


def slacks(fit: Fit, path: Path) -> None:
    """Every hose, cable and linkage as a row: how near and how far its ends get, against its length."""
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(SLACK_HEAD)
        for one in fit.slacks:
            row, found = one.row, one.found
            figures = (found.rest, *found.least, row.least, *found.most, row.length, row.margin, one.spare)
            sheet.writerow([row.name, *("" if f is None else f"{f:.4f}" for f in figures)])
