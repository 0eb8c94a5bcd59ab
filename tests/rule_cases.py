"""A row for every rule: what is judged, where it is just kept, where it is just broken, and what is then said."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import pytest

from brackets.core.finding import Finding


@dataclass(frozen=True, kw_only=True)
class Case:
    """`judge(kept)` says nothing of this code and level, `judge(broken)` says it with `value` and `limit`.

    A limit that is a tenth off, or a sign that takes or leaves the limit itself, must show: `kept` lies on it where
    the arithmetic allows, `broken` less than a tenth beyond. The sums behind `value` and `limit` stand beside the
    row. `within` is how far `value` may be off: only where it is searched for and not worked out.
    """

    module: str
    code: str
    level: str
    judge: Callable[[Any], Iterable[Finding]]
    kept: Any
    broken: Any
    value: float | None = None
    limit: float | None = None
    unit: str = "mm"
    within: float = 1e-9

    def said(self, of: Any) -> list[Finding]:
        return [f for f in self.judge(of) if (f.code, f.level) == (self.code, self.level)]


def each(cases: Sequence[Case]) -> pytest.MarkDecorator:
    """Parametrises a test by the rows of a table."""
    return pytest.mark.parametrize("case", cases, ids=[f"{c.code}-{c.level}-{n}" for n, c in enumerate(cases)])


def holds(case: Case) -> None:
    """The row is true of the rule."""
    assert case.said(case.kept) == []
    [first, *more] = case.said(case.broken)
    for number in ("value", "limit"):
        wanted, found = getattr(case, number), getattr(first, number)
        assert found == (None if wanted is None else pytest.approx(wanted, abs=case.within)), number
    assert first.unit == case.unit
    assert first.sentence
    assert first.source
    assert first.piece
    assert more == [f for f in more if f.piece != first.piece or f.sentence != first.sentence]
