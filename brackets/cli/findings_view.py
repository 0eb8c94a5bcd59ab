"""Findings as they are read out, stops first, and the cautions of the steps that come next."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.cautions import HEADING, Caution
from brackets.cli.table import facts
from brackets.findings import Finding, verdict


def findings_text(found: Sequence[Finding]) -> str:
    """How many stop, then one finding after the other with its source; or that there are none."""
    if not found:
        return "findings: none"
    return f"{verdict(found)}\n{facts([(f.label, f'{f.piece}: {f.said}') for f in found])}"


def cautions_text(found: Sequence[Caution]) -> str:
    """What to mind, a line for each step."""
    return f"{HEADING}\n{facts([(f'  {one.step}', one.sentence) for one in found])}"
