"""Shop rules: what a part breaks of them, and the record such a finding is."""

from __future__ import annotations

from brackets.findings.holes import hole_findings
from brackets.findings.record import PRACTICE, PRINTED, Finding, Level, worst_first
from brackets.findings.welds import weld_findings
from brackets.part import Part


def findings(part: Part) -> tuple[Finding, ...]:
    """Everything the shop rules say of `part`, worst first."""
    found = [finding for piece in part.pieces for finding in hole_findings(piece)]
    return worst_first([*found, *weld_findings(part)])


__all__ = ["PRACTICE", "PRINTED", "Finding", "Level", "findings", "worst_first"]
