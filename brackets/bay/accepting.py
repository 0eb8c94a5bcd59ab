"""Findings that a person overrules in the bay file: they stay, marked with who accepted them and why.

An acceptance covers every finding of its code that concerns the body it names, and no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from brackets.bay.rows import Accept
from brackets.findings import Finding, worst_first

CODE = "accept"
"""Code of the findings about acceptances that cover nothing."""


def with_accepted(
    rows: Sequence[Accept], findings: Sequence[Finding], *, unused: bool = True
) -> tuple[Finding, ...]:
    """The findings, those that `rows` accept marked so; with `unused` a caution for each row that accepts none."""
    told = [_marked(finding, rows) for finding in findings]
    return worst_first([*told, *(_unused(rows, findings) if unused else ())])


def _marked(finding: Finding, rows: Sequence[Accept]) -> Finding:
    for row in rows:
        if _covers(row, finding):
            return replace(finding, accepted_by=row.by, accepted_why=row.why)
    return finding


def _covers(row: Accept, finding: Finding) -> bool:
    return finding.code == row.code and row.part in finding.about


def _unused(rows: Sequence[Accept], findings: Sequence[Finding]) -> Iterator[Finding]:
    for row in rows:
        if any(_covers(row, finding) for finding in findings):
            continue
        there = sorted({finding.code for finding in findings if row.part in finding.about})
        yield Finding(
            level="caution",
            code=CODE,
            piece=row.part,
            about=(row.part,),
            source="the bay file",
            sentence=f"accept {row.code} by {row.by}: there is no such finding about {row.part}, there is "
            + (", ".join(there) or "none at all"),
        )
