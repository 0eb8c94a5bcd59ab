"""Every rule that was asked, with what is spare of it where it is tightest: mm, worst first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from brackets.bay.fitted import Fit
from brackets.bay.ways import CLASS


@dataclass(frozen=True, kw_only=True)
class RuleRow:
    """A class of gap: what it asks standing still and moved, where that comes from, what is spare of it at least,
    between what; `moving` says whether that is when moved, `entered` whether the bay file says it or it is ours."""

    kind: str
    rest: float
    moved: float
    why: str
    spare: float
    what: str
    moving: bool
    entered: bool

    @property
    def whose(self) -> str:
        """Who says it."""
        return "your rule" if self.entered else "default"


def rule_rows(fit: Fit) -> tuple[RuleRow, ...]:
    """One row a class, least spare first; pairs that are meant to touch have no gap to judge, and a way that says
    its own gap is judged by that alone."""
    worst: dict[str, tuple[float, str, bool]] = {}
    for kind, spare, what, moving in _judged(fit):
        if kind not in worst or spare < worst[kind][0]:
            worst[kind] = (spare, what, moving)
    rows = []
    for kind, (spare, what, moving) in worst.items():
        gap = fit.bay.gap(kind)
        rows.append(
            RuleRow(
                kind=kind,
                rest=gap.rest,
                moved=gap.moved,
                why=gap.why,
                spare=spare,
                what=what,
                moving=moving,
                entered=kind in fit.bay.gaps,
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.spare, row.kind)))


def _judged(fit: Fit) -> Iterator[tuple[str, float, str, bool]]:
    meant = {frozenset((pair.a, pair.b)) for pair in fit.pairs if pair.state in ("fit-up", "contact")}
    for pair in fit.pairs:
        if frozenset((pair.a, pair.b)) not in meant:
            yield pair.asked.kind, pair.spare, _both((pair.a, pair.b)), False
    for move in fit.moved:
        if frozenset((move.a, move.b)) not in meant:
            yield move.asked.moved_kind, move.spare, _both((move.a, move.b)), True
    own = {way.row.name for way in fit.bay.ways if way.row.gap is not None}
    for way in fit.ways:
        if way.name not in own and way.spare is not None and way.pair is not None:
            yield CLASS, way.spare, _both(way.pair), False


def _both(names: Iterable[str]) -> str:
    return " | ".join(names)
