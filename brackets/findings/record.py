"""What breaks a shop rule, in one line a fabricator can act on.

Levels: stop (do not cut), caution (against a named rule), advice (what the trade would say).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Level = Literal["stop", "caution", "advice"]

PRACTICE = "common practice, no source"
GEOMETRY = "geometry"
"""The source of what follows from the shapes alone."""
PRINTED = {"stop": "STOP: do not cut", "caution": "caution", "advice": "advice"}


@dataclass(frozen=True, kw_only=True)
class Finding:
    """`value` is what was found and `limit` what the rule asks, in `unit`; None where the rule has no number.

    `about` names the bodies of a bay that it concerns (parts, bolts, bushes, keep-outs); empty for a part alone.
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

    def __str__(self) -> str:
        return f"{PRINTED[self.level]}: {self.piece}: {self.sentence} [{self.source}]"


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, stops first, each once; otherwise in the order they came."""
    order = {"stop": 0, "caution": 1, "advice": 2}
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: order[f.level]))
