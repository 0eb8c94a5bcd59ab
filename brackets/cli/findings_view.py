"""Findings as they are read out, stops first."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.cli.table import facts
from brackets.findings import PRINTED, Finding


def findings_text(found: Sequence[Finding]) -> str:
    """One finding after the other with its source, or that there are none."""
    if not found:
        return "findings: none"
    return facts([(PRINTED[f.level], f"{f.piece}: {f.sentence} [{f.source}]") for f in found])
