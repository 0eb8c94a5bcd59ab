"""What breaks a shop rule, in one line a fabricator can act on.

Levels: stop (do not cut), caution (against a named rule), advice (what the trade would say).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any, Literal, Self

Level = Literal["stop", "caution", "advice"]

PRACTICE = "common practice, no source"
GEOMETRY = "geometry"
"""The source of what follows from the shapes alone."""
LEVELS: tuple[Level, ...] = ("stop", "caution", "advice")
PRINTED = {"stop": "STOP: do not cut", "caution": "caution", "advice": "advice"}
VERDICTS = ("fine", "caution", "STOP", "refused", "failed")
"""What a variant may come to, in the order it is told."""
SAYS = "Findings"
"""Heading of the findings on paper."""


@dataclass(frozen=True, kw_only=True)
class Finding:
    """One thing that a rule says of a piece, in a sentence a fabricator can act on.

    level: "stop" (do not cut), "caution" (against a named rule) or "advice"; code: the rule's short name;
    piece: what it is about; sentence: what was found and what is wanted; source: where the rule is from;
    value, limit: what was found and what the rule asks, in `unit`, None where the rule has no number;
    about: the bodies of a bay that it concerns (parts, bolts, bushes, keep-outs), empty for a part alone;
    accepted_by, accepted_why: of a person who overruled it in the bay file, empty where nobody did.
    """

    level: Level
    code: str
    piece: str
    sentence: str
    source: str
    value: float | None = None
    limit: float | None = None
    unit: str = "mm"
    about: tuple[str, ...] = ()
    accepted_by: str = ""
    accepted_why: str = ""

    def __str__(self) -> str:
        return f"{self.label}: {self.piece}: {self.said}"

    @property
    def accepted(self) -> bool:
        """Whether a person overruled it."""
        return bool(self.accepted_by)

    @property
    def stops(self) -> bool:
        """Whether it says: do not cut, and nobody overruled it."""
        return self.level == "stop" and not self.accepted

    @property
    def record(self) -> dict[str, Any]:
        """Its fields as JSON has them, those at their default left out."""
        told = {each.name: getattr(self, each.name) for each in fields(self)}
        ordinary = {each.name: each.default for each in fields(self)}
        return {
            name: list(value) if isinstance(value, tuple) else value
            for name, value in told.items()
            if value != ordinary[name]
        }

    @classmethod
    def of_record(cls, record: Mapping[str, Any]) -> Self:
        """The finding that `record` is of."""
        return cls(**{**record, "about": tuple(record.get("about", ()))})

    @property
    def label(self) -> str:
        """The words it is printed under."""
        return f"accepted {self.level}" if self.accepted else PRINTED[self.level]

    @property
    def said(self) -> str:
        """Its sentence with its source, and who accepted it and why."""
        accepted = f"; accepted by {self.accepted_by}: {self.accepted_why}" if self.accepted else ""
        return f"{self.sentence} [{self.source}]{accepted}"


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings in order: stops, cautions, advice, each once.

    findings: in any order; of one level those that somebody accepted come last, the others stay in their order.

    >>> told = dict(code="edge", piece="tab", sentence="hole near the edge", source=GEOMETRY)
    >>> advice, stop = Finding(level="advice", **told), Finding(level="stop", **told)
    >>> [finding.level for finding in worst_first([advice, stop, advice])]
    ['stop', 'advice']
    """
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: (LEVELS.index(f.level), f.accepted)))


def gathered(findings: Iterable[Finding]) -> tuple[tuple[Finding, str], ...]:
    """The findings, advice of one kind about one part once: each with what is said of more like it, "" of one.

    findings: in any order; they are told in the order of `LEVELS`, the first of several for all.

    >>> told = dict(level="advice", code="grip", source=GEOMETRY)
    >>> found = [Finding(piece=f"arm: L{n}", sentence="no bolt fits", **told) for n in (1, 2, 3)]
    >>> [(one.piece, more) for one, more in gathered(found)]
    [('arm: L1', ' (and 2 more like it)')]
    """
    groups: dict[tuple[str, str, str], list[Finding]] = {}
    for n, one in enumerate(findings):
        kind = one.code if one.level == "advice" and not one.accepted else str(n)
        groups.setdefault((one.level, one.piece.split(":")[0], kind), []).append(one)
    by_level = sorted(groups.values(), key=lambda group: LEVELS.index(group[0].level))
    return tuple((group[0], f" (and {len(group) - 1} more like it)" if group[1:] else "") for group in by_level)


def stopped(findings: Iterable[Finding]) -> bool:
    """Whether any of the findings says "do not cut" and nobody accepted it.

    findings: of a part, a bay or a layout, in any order.

    >>> told = dict(code="edge", piece="tab", sentence="hole near the edge", source=GEOMETRY)
    >>> advice, stop = Finding(level="advice", **told), Finding(level="stop", **told)
    >>> stopped([advice]), stopped([advice, stop])
    (False, True)
    """
    return any(finding.stops for finding in findings)


def verdict(findings: Iterable[Finding]) -> str:
    """All of them in one line: "STOP: do not cut: 1 stop, 2 cautions; accepted: 1 stop"."""
    told = tuple(findings)
    head = PRINTED["stop"] if stopped(told) else "nothing stops"
    counts = [_count([f.level for f in told if f.accepted is accepted]) for accepted in (False, True)]
    found = counts[0] or ("no findings" if not counts[1] else "nothing else found")
    return f"{head}: {found}" + (f"; accepted: {counts[1]}" if counts[1] else "")


def _count(levels: Sequence[Level]) -> str:
    """ "1 stop, 2 cautions, 3 advice"."""
    plural = {"stop": "stops", "caution": "cautions", "advice": "advice"}
    counts = [(levels.count(level), level) for level in LEVELS]
    return ", ".join(f"{n} {level if n == 1 else plural[level]}" for n, level in counts if n)
