"""What was found of a bay's parts under their loads as rows, worst first: for screen, scripts, paper and page.

Of each place and clause of a part the case is told in which most is used. N, mm, MPa; an utilisation is 1 where the
rule that was entered is just met.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from brackets.bay.held_parts import BayHeld
from brackets.core.rulebook.hang import SMALL_TURN
from brackets.hold.check import Check
from brackets.hold.held import EXCEEDED, MET
from brackets.hold.shown import figure, used, way_said

CHECK_HEADS = ("used", "part", "place", "check", "case", "found", "allowed", "own", "the rule you entered")
OWN = CHECK_HEADS.index("own")
WELD_HEADS = ("part", "weld", "across, MPa", "between", "along, MPa", "between", "detail category")
STIFF_HEADS = ("part", "mount", "along", "bracket, N/mm", "bush, N/mm", "times")
BLANK = "________"
"""In place of a detail category: whoever signs enters it."""
FATIGUE = "fatigue is not computed: the detail category is entered by whoever signs"


@dataclass(frozen=True, kw_only=True, eq=False)
class CheckRow:
    """One clause at one place of a part, in the case in which most of it is used."""

    part: str
    place: str
    case: str
    check: Check

    @property
    def meets(self) -> bool:
        return bool(self.check.meets)

    @property
    def cells(self) -> tuple[str, ...]:
        """As CHECK_HEADS has them."""
        check, unit = self.check, f" {self.check.unit}" if self.check.unit else ""
        own = check.own_utilisation
        return (
            used(float(check.utilisation)), self.part, self.place, check.clause, self.case,
            f"{figure(float(check.value))}{unit}", f"{figure(float(check.limit))}{unit}",
            "" if own is None else used(float(own)), "meets" if self.meets else "EXCEEDS",
        )  # fmt: skip

    @property
    def record(self) -> dict[str, Any]:
        return {"part": self.part, "place": self.place, "case": self.case, **self.check.record}


def check_rows(held: BayHeld) -> tuple[CheckRow, ...]:
    """Every clause at every place of every part, the most used first."""
    found = [
        CheckRow(part=part.name, place=one.place, case=one.case, check=one.check)
        for part in held.parts if part.held is not None for one in part.held.checks
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda row: (-_rank(row.check.worst), row.part, row.place, row.check.clause)))


@dataclass(frozen=True, kw_only=True)
class WeldRow:
    """The largest stress ranges of one weld, MPa, across and along it, and between which cases; the detail category
    is left blank for whoever signs."""

    part: str
    weld: str
    across: float
    across_cases: tuple[str, str]
    along: float
    along_cases: tuple[str, str]

    @property
    def cells(self) -> tuple[str, ...]:
        """As WELD_HEADS has them."""
        return (
            self.part, self.weld, f"{self.across:.1f}", " and ".join(self.across_cases), f"{self.along:.1f}",
            " and ".join(self.along_cases), BLANK,
        )  # fmt: skip

    @property
    def record(self) -> dict[str, Any]:
        return {
            "part": self.part, "weld": self.weld,
            "across_mpa": self.across, "across_cases": list(self.across_cases),
            "along_mpa": self.along, "along_cases": list(self.along_cases), "detail_category": None,
        }  # fmt: skip


def weld_rows(held: BayHeld) -> tuple[WeldRow, ...]:
    """Every weld with the largest of its stress ranges, the largest first."""
    found = []
    for part in held.parts:
        ranges = () if part.held is None else part.held.weld_ranges
        for name in dict.fromkeys(one.name for one in ranges):
            own = [one for one in ranges if one.name == name]
            across, along = max(own, key=lambda r: r.across), max(own, key=lambda r: r.along)
            found.append(
                WeldRow(
                    part=part.name, weld=name, across=across.across, across_cases=across.cases,
                    along=along.along, along_cases=along.cases,
                )
            )  # fmt: skip
    return tuple(sorted(found, key=lambda row: (-max(row.across, row.along), row.part, row.weld)))


def stiffness_cells(held: BayHeld) -> tuple[tuple[str, ...], ...]:
    """How stiff each bracket is at its bush, the softest beside its bush first, as STIFF_HEADS has it."""
    found = sorted((one for part in held.parts for one in part.stiffness), key=lambda one: one.times)
    return tuple(
        (one.part, one.mount, way_said(one.way), f"{one.stiffness:.0f}", f"{one.bush:.0f}", f"{one.times:.1f}")
        for one in found
    )


def not_checked(held: BayHeld) -> tuple[tuple[str, str, str], ...]:
    """Part, place and why, of all that no clause was held against; each once, whatever the case."""
    found = []
    for part in held.parts:
        found += [(part.name, "", why) for why in part.refused]
        if part.held is not None:
            found += [(part.name, one.place, one.problem) for one in part.held.refused]
    return tuple(dict.fromkeys(found))


def said(held: BayHeld) -> str:
    """One line for the verdict: what is met of what was entered, what is used most, what is not checked."""
    if held.asks:
        return f"strength: {held.asks[0]}"
    if any(one.code == SMALL_TURN.code for one in held.findings):
        return "strength: not judged, as the mounts do not hold the powertrain upright"
    worst, missing = held.worst, len(not_checked(held))
    left = f"; {missing} {'place' if missing == 1 else 'places'} not checked" if missing else ""
    if yours := len({(part.name, one.place) for part in held.parts for one in part.yours}):
        left += f"; {yours} {'place' if yours == 1 else 'places'} judged by you by other means"
    if worst is None or worst.worst is None:
        return f"strength: nothing was checked{left}"
    place, case, check = worst.worst
    rows = check_rows(held)
    over = sum(1 for row in rows if not row.meets)
    first = f"{EXCEEDED} in {over} of {len(rows)} checks" if over else f"{MET} in all {len(rows)} checks"
    own = check.own_utilisation
    by = " by your own factor" if own is not None and float(own) > float(check.utilisation) else ""
    return f"strength: {first}, most used {used(check.worst)}{by}: {worst.name}: {place}, case {case}{left}"


def record(held: BayHeld) -> dict[str, Any]:
    """For scripts: an utilisation is null where nothing is allowed."""
    return {
        "asks": list(held.asks),
        "cases": [{"name": name, "counted": counted, "why": why} for name, counted, why in held.cases],
        "checks": [row.record for row in check_rows(held)],
        "not_checked": [{"part": part, "place": place, "why": why} for part, place, why in not_checked(held)],
        "welds": [row.record for row in weld_rows(held)],
        "stiffness": [
            {
                "part": one.part, "mount": one.mount, "seat": one.seat, "way": list(one.way),
                "bracket_n_per_mm": one.stiffness, "bush_n_per_mm": one.bush, "times": one.times,
                "assumed": list(one.assumed),
            }
            for part in held.parts for one in part.stiffness
        ],
        "notes": list(notes(held)),
    }  # fmt: skip


def notes(held: BayHeld) -> tuple[str, ...]:
    """What was assumed, of the bay and of each part, each once."""
    of_parts = [f"{part.name}: {note}" for part in held.parts if part.held is not None for note in part.held.notes]
    return tuple(dict.fromkeys((*held.notes, *of_parts)))


def _rank(utilisation: float) -> float:
    return math.inf if math.isnan(utilisation) else utilisation
