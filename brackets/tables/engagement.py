"""How deep a bolt must be screwed into a casting, mm, by what it is cast in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from brackets.tables.bolt_rows import Bolt
from brackets.tables.lookup import plain

_SHEET = "a bolt maker's data sheet, for an 8.8 bolt"
_SOFTEST = 2.0
_TIMES_D: Mapping[str, float] = {
    "steel": 1.0,
    "cast iron": 1.0,
    "grey iron": 1.0,
    "iron": 1.0,
    "cast aluminium": _SOFTEST,
    "aluminium": _SOFTEST,
    "cast aluminum": _SOFTEST,
    "aluminum": _SOFTEST,
}
"""Bolt diameters of full thread: steel S235 1.0, grey iron 1.0, soft aluminium 2.0 (the data sheet)."""


@dataclass(frozen=True, kw_only=True)
class Engagement:
    """The least thread in the casting, mm, and where the figure is from."""

    least: float
    source: str


def engagement(of: Bolt, into: str) -> Engagement:
    """The least thread of a bolt in a casting; a material without a row is taken as the softest, and said so."""
    times = _TIMES_D.get(plain(into))
    if times is not None:
        return Engagement(least=times * of.d, source=f"{times:g} d in {into}: {_SHEET}")
    return Engagement(
        least=_SOFTEST * of.d, source=f"no row for {into}, taken as soft aluminium, {_SOFTEST:g} d: {_SHEET}"
    )
