"""The rules of gaps that a bay asks as rows: what each wants, its tightest pair and what is spare. mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from brackets.bay.clear.paths import CLASS
from brackets.bay.fitting import Fit


@dataclass(frozen=True, kw_only=True)
class RuleRow:
    """A class of gap: what it requires standing still and moved, the source, the least spare and between what.
    `less`: the least spare less the ± of both, None where none of its pairs is known; `moving`: whether the least
    is when moved; `entered`: whether the bay file gives the class, else the shop's default."""

    kind: str
    rest: float
    moved: float
    why: str
    spare: float
    what: str
    moving: bool
    entered: bool
    less: float | None = None

    @property
    def whose(self) -> str:
        """Whether the rule is the user's own or a default."""
        return "your rule" if self.entered else "default"


def rule_rows(fit: Fit) -> tuple[RuleRow, ...]:
    """One row a class, least spare first; pairs that are meant to touch have no gap to judge, and a path that says
    its own gap is judged by that alone."""
    worst: dict[str, tuple[float, str, bool]] = {}
    less: dict[str, float] = {}
    for kind, spare, pair, moving in _judged(fit):
        what, left = _both(pair), fit.known.less(*pair, spare)
        if left is not None:
            less[kind] = min(left, less.get(kind, left))
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
                less=less.get(kind),
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.spare, row.kind)))


def _judged(fit: Fit) -> Iterator[tuple[str, float, tuple[str, str], bool]]:
    meant = {frozenset((pair.a, pair.b)) for pair in fit.pairs if pair.state in ("fit-up", "contact")}
    for pair in fit.pairs:
        if frozenset((pair.a, pair.b)) not in meant:
            yield pair.rule.kind, pair.spare, (pair.a, pair.b), False
    for move in fit.moved:
        if frozenset((move.a, move.b)) not in meant:
            yield move.rule.moved_kind, move.spare, (move.a, move.b), True
    own = {path.row.name for path in fit.bay.paths if path.row.gap is not None}
    for path in fit.paths:
        if path.name not in own and path.spare is not None and path.pair is not None:
            yield CLASS, path.spare, path.pair, False


def _both(names: Iterable[str]) -> str:
    return " | ".join(names)
