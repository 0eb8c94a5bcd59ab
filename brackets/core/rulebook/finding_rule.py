"""A rule of findings: what it asks, how grave a breach of it is, and who says so; it makes its findings."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from brackets.core.finding import PRACTICE, Finding, Level

BLANK = re.compile(r"\{[a-z ]+\}")
"""What a source says that only the shop profile, the bay file or a table's row can tell: "{shop}"."""


@dataclass(frozen=True, kw_only=True)
class Breach:
    """One way to break a rule: its level, its source (with at most one blank), and the unit of value and limit."""

    level: Level
    source: str
    unit: str = "mm"

    @property
    def has_blank(self) -> bool:
        """Whether its source is complete only with words from the shop profile, the bay file or a table."""
        return BLANK.search(self.source) is not None

    def source_with(self, words: str | None) -> str:
        """Its source with `words` in its blank."""
        return self.source if words is None else BLANK.sub(lambda _: words, self.source)


def stop(source: str, unit: str = "mm") -> Breach:
    """A breach after which nothing is to be cut.

    source: who says so, or why; unit: of its value and limit.

    >>> stop("the geometry of the part").level
    'stop'
    """
    return Breach(level="stop", source=source, unit=unit)


def caution(source: str = PRACTICE, unit: str = "mm") -> Breach:
    """A breach of a named rule.

    source: who says so; unit: of its value and limit.

    >>> caution().source
    'common practice, no source'
    """
    return Breach(level="caution", source=source, unit=unit)


def advice(source: str = PRACTICE, unit: str = "mm") -> Breach:
    """A breach of what the trade would do.

    source: who says so; unit: of its value and limit.

    >>> advice(unit="deg").unit
    'deg'
    """
    return Breach(level="advice", source=source, unit=unit)


@dataclass(frozen=True, kw_only=True)
class FindingRule:
    """One rule that parts are held to, which makes the findings of its code.

    code: its short name; asks: what it asks, one plain sentence; breaches: all the ways to break it, each with its
    level, source and unit; limit: where the number is from that a finding is held against, "" where it has none.
    Raises ValueError for a code that a rule of the library has, and for a rule that nothing can break.
    """

    code: str
    asks: str
    breaches: tuple[Breach, ...]
    limit: str = ""

    def __post_init__(self) -> None:
        if self.code in _LIBRARY:
            raise ValueError(f"code = {self.code!r}, another: the library has it ({_LIBRARY[self.code].asks})")
        if not (self.code and self.asks and self.breaches):
            raise ValueError(f"rule {self.code!r}: code, what it asks, and one breach or more")
        for breach in self.breaches:
            if len(BLANK.findall(breach.source)) > 1:
                raise ValueError(f"rule {self.code!r}: one blank or none in {breach.source!r}")

    @property
    def levels(self) -> tuple[Level, ...]:
        """Levels its findings can have, each once."""
        return tuple(dict.fromkeys(breach.level for breach in self.breaches))

    def under(self, value: float, least: float, *, slack: float = 0.0) -> bool:
        """Whether `value` breaks the rule by being less than `least`, by more than `slack`, in the rule's unit.

        What is left, or lacks, is noted where somebody has it `measured`.
        """
        broken = value < least - slack
        _note(self, value - least, broken)
        return broken

    def over(self, value: float, most: float, *, slack: float = 0.0) -> bool:
        """Whether `value` breaks the rule by being more than `most`, by more than `slack`; noted as by `under`."""
        broken = value > most + slack
        _note(self, most - value, broken)
        return broken

    def finding(
        self,
        *,
        piece: str,
        sentence: str,
        value: float | None = None,
        limit: float | None = None,
        about: tuple[str, ...] = (),
        level: Level | None = None,
        source: str | None = None,
        unit: str | None = None,
        source_words: str | None = None,
    ) -> Finding:
        """A finding by this rule; `piece`, `sentence`, `value`, `limit` and `about` as `Finding` has them.

        `level`, `source` and `unit` choose among the breaches where there are several; `source_words` fill the
        blank of a source that has one, and must be given then. Raises ValueError, for a mistake of the program:
        where not exactly one breach is meant, or where `limit` is given and the rule does not say where it is from.
        """
        meant = [
            breach
            for breach in self.breaches
            if level in (None, breach.level)
            and source in (None, breach.source)
            and unit in (None, breach.unit)
            and breach.has_blank is (source_words is not None)
        ]
        if len(meant) != 1:
            asked = f"level {level}, source {source!r}, unit {unit!r}, source words {source_words!r}"
            raise ValueError(f"rule {self.code!r}: {asked} mean {len(meant)} of {self.breaches}, must be: one")
        if limit is not None and not self.limit:
            raise ValueError(f"rule {self.code!r}: limit = {limit:g}, none: the rule does not say where it is from")
        return Finding(
            level=meant[0].level,
            code=self.code,
            piece=piece,
            sentence=sentence,
            source=meant[0].source_with(source_words),
            value=value,
            limit=limit,
            unit=meant[0].unit,
            about=about,
        )


_NOTED: ContextVar[dict[str, float] | None] = ContextVar("noted", default=None)


@contextmanager
def measured() -> Iterator[dict[str, float]]:
    """Notes, while it is open, the least spare of every rule that compares a value with a limit, by `spare_name`.

    The spare is what the value has beyond the limit, in the rule's unit, less than 0 where the rule is broken. A
    rule that is asked several times has the least. Results that are kept from before ask no rule (`core.kept`).
    """
    found: dict[str, float] = {}
    before = _NOTED.set(found)
    try:
        yield found
    finally:
        _NOTED.reset(before)


def spare_name(code: str, unit: str) -> str:
    """What the spare of a rule is called: its code, and its unit behind where that is not mm.

    >>> spare_name("edge", "mm"), spare_name("sharp", "deg"), spare_name("thin wall", "")
    ('edge', 'sharp, deg', 'thin wall, ratio')
    """
    return code if unit == "mm" else f"{code}, {unit or 'ratio'}"


def _note(rule: FindingRule, spare: float, broken: bool) -> None:
    found = _NOTED.get()
    if found is not None and math.isfinite(spare):
        name = spare_name(rule.code, rule.breaches[0].unit)
        spare = spare if broken else max(spare, 0.0)
        found[name] = min(spare, found.get(name, spare))


_LIBRARY: dict[str, FindingRule] = {}


def library_rule(code: str, *breaches: Breach, asks: str, limit: str = "") -> FindingRule:
    """A rule of the library, listed by `library_rules`. Raises ValueError as FindingRule does."""
    rule = FindingRule(code=code, asks=asks, breaches=breaches, limit=limit)
    _LIBRARY[code] = rule
    return rule


def library_rules() -> tuple[FindingRule, ...]:
    """Those made so far, in that order."""
    return tuple(_LIBRARY.values())
