"""What was found of a part under its load cases: checks, what was refused, stiffness, stress ranges of welds."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any, NamedTuple

from brackets.core.vectors import Vec
from brackets.hold.check import Array, Check
from brackets.hold.stress_ranges import StressRange

MET, EXCEEDED, NOTHING_CHECKED = "meets the rule you entered", "exceeds the rule you entered", "nothing checked"


class PartCheck(NamedTuple):
    """One check at one place of a part under one load case."""

    place: str
    case: str
    check: Check


class PartRefusal(NamedTuple):
    """What could not be checked at a place, and why; case "" where it is so under every case."""

    place: str
    case: str
    problem: str


@dataclass(frozen=True, kw_only=True)
class SeatStiffness:
    """How stiff a part is at a seat where a bush acts: N/mm along x, y, z of the part, the rest free to move.

    least, least_way: N/mm in the softest direction and that direction; assumed: with what it was worked out.
    """

    seat: str
    along: Vec
    least: float
    least_way: Vec
    assumed: tuple[str, ...]


class CutForce(NamedTuple):
    """What goes through a weld group, a seat or a section under one case, factored: force N and moment N mm that
    the side away from the support gives to the other, in the part's axes, at `at`, mm."""

    place: str
    case: str
    at: Vec
    force: Vec
    moment: Vec


@dataclass(frozen=True, kw_only=True, eq=False)
class Held:
    """A part under its load cases: what was found. Nothing is claimed of what is in `refused`.

    checks: worst first; refused: what could not be checked and why; notes: what was assumed; stiffness: at each
    loaded seat; weld_ranges: stress ranges of each weld per pair of characteristic cases, detail category blank;
    cuts: force and moment at every weld, seat and section; balance: the most that was left over at any of them, as
    a part of the largest load.
    """

    part: str
    cases: tuple[str, ...]
    checks: tuple[PartCheck, ...]
    refused: tuple[PartRefusal, ...] = ()
    notes: tuple[str, ...] = ()
    stiffness: tuple[SeatStiffness, ...] = ()
    weld_ranges: tuple[StressRange, ...] = ()
    cuts: tuple[CutForce, ...] = ()
    balance: float = 0.0

    @property
    def worst(self) -> float | None:
        """The largest utilisation of all checks; None where nothing was checked."""
        return self.checks[0].check.worst if self.checks else None

    @property
    def exceeds(self) -> bool:
        """Whether some check is over its limit."""
        return any(not one.check.meets for one in self.checks)

    @property
    def verdict(self) -> str:
        """"meets the rule you entered", "exceeds ..."; and how much could not be checked."""
        if not self.checks:
            return NOTHING_CHECKED
        said = EXCEEDED if self.exceeds else MET
        places = len(dict.fromkeys(one.place for one in self.refused))
        return f"{said}, {places} {'place' if places == 1 else 'places'} not checked" if places else said

    @property
    def record(self) -> dict[str, Any]:
        """For scripts: every field as JSON has it; a figure that there is none of is null."""
        return {
            "part": self.part,
            "verdict": self.verdict,
            "worst": _finite(self.worst),
            "cases": list(self.cases),
            "checks": [{"place": one.place, "case": one.case, **one.check.record} for one in self.checks],
            "refused": [one._asdict() for one in self.refused],
            "stiffness": [asdict(one) for one in self.stiffness],
            "weld_ranges": [asdict(one) for one in self.weld_ranges],
            "cuts": [one._asdict() for one in self.cuts],
            "balance": self.balance,
            "notes": list(self.notes),
        }


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None


def vec(of: Array) -> Vec:
    """An array of three as a plain vector."""
    x, y, z = (float(value) + 0.0 for value in of)
    return (x, y, z)
