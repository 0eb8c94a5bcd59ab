"""Checks with a row a case, told case by case, or each clause at each place in the case alone that uses most of it.

A check over all cases of a part is one set of arrays; only what is told becomes a check with single figures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.hold.check import Array, Check
from brackets.hold.held import CutForce, PartCheck, PartRefusal, vec

NOTHING = 1e-9
"""N, N mm, MPa: a value that is nothing, so that there is nothing to check."""


@dataclass(frozen=True, eq=False)
class CaseRows:
    """A check of one place with a row for each of `count` cases; asked: (count,) of which, all where None."""

    place: str
    check: Check
    count: int
    asked: NDArray[np.bool_] | None = None

    @cached_property
    def problems(self) -> dict[int, str]:
        """By number of the case what the clause does not cover of it, in its words."""
        words = {one.row: one.problem for one in self.check.refused}
        if () in words:
            return dict.fromkeys(range(self.count), words[()])
        return {row[0]: problem for row, problem in words.items() if self._is_asked(row[0])}

    def _is_asked(self, i: int) -> bool:
        return self.asked is None or bool(self.asked[i])

    @property
    def is_nothing(self) -> bool:
        """Whether every value is nothing and none is refused."""
        return not self.check.refused and float(np.abs(self.check.value).max(initial=0.0)) < NOTHING

    @cached_property
    def worst(self) -> Array:
        """(count,): utilisation of each case, the larger of both columns; below all of them where it is refused or
        not asked."""
        own, code = self.check.own_utilisation, self.check.utilisation
        most = np.broadcast_to(code if own is None else np.maximum(code, own), self.count).copy()
        most[list(self.problems)] = -np.inf
        return most if self.asked is None else np.where(self.asked, most, -np.inf)

    def refusals(self, cases: Sequence[str]) -> list[PartRefusal]:
        """What is refused, case by case; cases: their names."""
        return [PartRefusal(self.place, cases[i], self.problems[i]) for i in sorted(self.problems)]

    def covered(self) -> list[int]:
        """The numbers of the cases that the clause covers."""
        return [i for i in range(self.count) if self._is_asked(i) and i not in self.problems]

    def of_case(self, i: int, case: str) -> PartCheck:
        """The check of one case: single figures."""
        (value, limit), (own_value, own_limit) = ([of[i] for of in pair] for pair in self._figures)
        return PartCheck(
            self.place,
            case,
            Check(
                name=self.check.name,
                clause=self.check.clause,
                formula=self.check.formula,
                value=value,
                limit=limit,
                unit=self.check.unit,
                factors=self.check.factors,
                own_value=own_value,
                own_limit=own_limit,
                notes=self.check.notes,
            ),
        )

    @cached_property
    def _figures(self) -> tuple[tuple[list[Any], ...], ...]:
        """Value and limit case by case, by the code and by the own factor."""

        def listed(of: Any) -> list[Any]:
            if of is None:
                return [None] * self.count
            figures: list[Any] = np.broadcast_to(np.asarray(of, dtype=np.float64), self.count).tolist()
            return figures

        check = self.check
        pairs = (check.value, check.limit), (check.own_value, check.own_limit)
        return tuple(tuple(listed(of) for of in pair) for pair in pairs)


def each_case(rows: Sequence[CaseRows], cases: Sequence[str]) -> tuple[PartCheck, ...]:
    """Every check of every case that its clause covers, worst first; cases: their names."""
    told = [(one, i, float(one.worst[i])) for one in rows for i in one.covered()]
    told.sort(key=lambda row: -row[2])
    return tuple(one.of_case(i, cases[i]) for one, i, _ in told)


def worst_case(rows: Sequence[CaseRows], cases: Sequence[str]) -> tuple[PartCheck, ...]:
    """Each clause at each place in the case that uses most of it, of cases alike the first; worst first."""
    most: dict[tuple[str, str], tuple[float, CaseRows, int]] = {}
    for one in rows:
        i, key = int(np.argmax(one.worst)), (one.place, one.check.clause)
        used = float(one.worst[i])
        if used == -np.inf:
            continue
        if key not in most or used > most[key][0]:
            most[key] = used, one, i
    found = sorted(most.items(), key=lambda item: (-item[1][0], item[0]))
    return tuple(one.of_case(i, cases[i]) for _, (_, one, i) in found)


@dataclass(frozen=True, eq=False)
class CutRows:
    """What goes through a place about `at`, mm, (3,) or (cases, 3): force N and moment N mm, (cases, 3) each."""

    place: str
    at: Array
    force: Array
    moment: Array

    def of_cases(self, numbers: Sequence[int], cases: Sequence[str]) -> list[CutForce]:
        """The same case by case; numbers: of the cases told; cases: names of all."""
        figures = np.broadcast_to(self.at, self.force.shape), self.force, self.moment
        return [CutForce(self.place, cases[i], *(vec(of[i]) for of in figures)) for i in numbers]


def worst_of(rows: Sequence[CaseRows]) -> tuple[NDArray[np.intp], tuple[CaseRows, ...]]:
    """Of several checks of one place that differ in where they were taken, each case in the one that uses most.

    Returns by case which that is, the first of those alike, (count,), and the checks with the cases that took them,
    those of one clause as one check.
    """
    taken = np.argmax([one.worst for one in rows], axis=0)
    by_clause: dict[str, list[int]] = {}
    for i, one in enumerate(rows):
        by_clause.setdefault(one.check.clause, []).append(i)
    found = []
    for numbers in by_clause.values():
        asked = np.isin(taken, numbers)
        if asked.any():
            found.append(CaseRows(rows[0].place, _picked(rows, taken, numbers), rows[0].count, asked))
    return taken, tuple(found)


def _picked(rows: Sequence[CaseRows], taken: NDArray[np.intp], numbers: Sequence[int]) -> Check:
    """One check of those that are numbered, each case with the figures of the one it took."""
    first, count = rows[numbers[0]].check, rows[0].count
    place = np.searchsorted(numbers, taken).clip(max=len(numbers) - 1)

    def of(figures: Sequence[Any]) -> Any:
        if figures[0] is None:
            return None
        return np.array([np.broadcast_to(one, count) for one in figures])[place, np.arange(count)]

    checks = [rows[i].check for i in numbers]
    refused = (one for i in numbers for one in rows[i].check.refused if one.row and taken[one.row[0]] == i)
    return replace(
        first,
        value=of([one.value for one in checks]),
        limit=of([one.limit for one in checks]),
        own_value=of([one.own_value for one in checks]),
        own_limit=of([one.own_limit for one in checks]),
        refused=tuple(refused),
    )
