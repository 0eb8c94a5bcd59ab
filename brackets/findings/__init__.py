"""Shop rules: what a part breaks of them, and the record such a finding is."""

from __future__ import annotations

from brackets.findings.holes import hole_findings
from brackets.findings.joints import ROOT_OPENING, joint_findings
from brackets.findings.record import (
    GEOMETRY,
    LEVELS,
    PRACTICE,
    PRINTED,
    Finding,
    Level,
    stopped,
    verdict,
    worst_first,
)
from brackets.findings.welds import weld_findings
from brackets.part import Part


def findings(part: Part, *, low_hydrogen: bool = False, fit_up: float = ROOT_OPENING) -> tuple[Finding, ...]:
    """Everything the shop rules say of `part` in closed form, worst first; what its solids say is added where they
    are made (`brackets.solid.shared`).

    `low_hydrogen`: how it is welded, which decides the least leg; `fit_up`: widest gap that is welded, mm.
    """
    found = [finding for piece in part.pieces for finding in hole_findings(piece)]
    welded = weld_findings(part, low_hydrogen=low_hydrogen)
    return worst_first([*joint_findings(part, fit_up=fit_up), *found, *welded])


__all__ = [
    "GEOMETRY",
    "LEVELS",
    "PRACTICE",
    "PRINTED",
    "Finding",
    "Level",
    "findings",
    "stopped",
    "verdict",
    "worst_first",
]
