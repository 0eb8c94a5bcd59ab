"""One check by hand: what a clause asks, what was found, what it allows, and how much of that is used. N, mm, MPa.

Every value may be one figure or an array with a figure a row. What a clause does not cover is refused, never
extrapolated: for one figure by an error with everything that is wrong, for rows in `Check.refused`, and such a row
has no value and an utilisation of infinity, so that nothing that compares it with 1 passes it over.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

from brackets.core.errors import InputError, OutOfRange, joined
from brackets.core.figures import against
from brackets.hold.factors import EN_1993, Basis, Factors

Array: TypeAlias = NDArray[np.float64]
Figures: TypeAlias = float | Array
"""One figure, or a figure a row."""
Read = TypeVar("Read")
Sides: TypeAlias = Callable[[Basis], tuple[Any, Any]]
"""What was found and what is allowed, by the code or by yield alone."""


@dataclass(frozen=True)
class Refused:
    """A row that the clause does not cover, and why: "name = value unit, what is allowed: what it is"."""

    row: tuple[int, ...]
    problem: str


@dataclass(frozen=True, kw_only=True, eq=False)
class Check:
    """One check of one thing, or of many rows of it.

    name: what it was asked for (part, place, case); clause: standard, year, clause; formula: in words; value and
    limit in `unit`: what was found and what the clause allows; factors: the partial factors in the limit, with
    their source; own_value, own_limit: the same with yield in place of tensile strength and the user's own factor
    in place of every partial factor, None where he typed none or where no strength of metal is in it; refused: rows
    the clause does not cover; notes: what was assumed and what is not in it.
    """

    name: str
    clause: str
    formula: str
    value: Figures
    limit: Figures
    unit: str
    factors: str
    own_value: Figures | None = None
    own_limit: Figures | None = None
    refused: tuple[Refused, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def utilisation(self) -> Figures:
        """Value over limit: 1 where the rule is just met, infinity where nothing is allowed or a row is refused."""
        return self._part(self.value, self.limit)

    @property
    def own_utilisation(self) -> Figures | None:
        """The same against the user's own factor on yield."""
        if self.own_value is None or self.own_limit is None:
            return None
        return self._part(self.own_value, self.own_limit)

    @property
    def meets(self) -> Any:
        """Whether it meets the rule that was entered: True or False, for rows an array of them.

        With an own factor on yield both columns must.
        """
        own = self.own_utilisation
        within = np.less_equal(self.utilisation, 1.0)
        both = within if own is None else within & np.less_equal(own, 1.0)
        return bool(both) if np.ndim(both) == 0 else both

    @property
    def worst(self) -> float:
        """The largest utilisation of all rows, of both columns."""
        own = self.own_utilisation
        return max(float(np.max(part)) for part in (self.utilisation, own) if part is not None)

    def _part(self, value: Figures, limit: Figures) -> Figures:
        with np.errstate(all="ignore"):
            part = np.true_divide(value, limit)
            part = np.where(np.greater(limit, 0.0) & ~np.isnan(part), part, np.inf)
        return float(part) if part.ndim == 0 else part

    @property
    def record(self) -> dict[str, Any]:
        """Its fields as JSON has them, with `utilisation`, `own_utilisation` and `meets`; arrays are lists.

        Of a row that is refused value and utilisation are None: JSON has no infinity.
        """
        told = {each.name: getattr(self, each.name) for each in fields(self)}
        told |= {name: getattr(self, name) for name in ("utilisation", "own_utilisation", "meets")}
        told["refused"] = [{"row": list(one.row), "problem": one.problem} for one in self.refused]
        return {name: _plain(value) for name, value in told.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, np.ndarray):
        return [_plain(each) for each in value.tolist()]
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value


@dataclass(frozen=True)
class _Wrong:
    """Rows of one value that are not allowed, and what is said of each."""

    rows: NDArray[np.bool_]
    said: Callable[[tuple[int, ...]], str]

    def each(self, shape: tuple[int, ...]) -> list[Refused]:
        """Every row of `shape` that it refuses."""
        found = [tuple(map(int, row)) for row in np.argwhere(np.broadcast_to(self.rows, shape))]
        return [Refused(row, self.said(row)) for row in found]


class Scope:
    """The head of a check: reads its values against what the clause covers, and gathers what is wrong.

    what: of what the values are, printed last in each problem: "bolt in shear"; name: what the check is asked for;
    factors: the partial factors of its limit.
    """

    def __init__(self, what: str, *, name: str = "", factors: Factors = EN_1993) -> None:
        self.what, self.name, self.factors = what, name, factors
        self._wrong: list[_Wrong] = []

    def figure(
        self,
        name: str,
        value: Any,
        unit: str,
        *,
        least: Any = None,
        over: Any = None,
        most: Any = None,
        why: str = "",
    ) -> Array:
        """`value` as numbers, each finite, at least `least`, over `over`, at most `most` (figures or rows).

        A limit that is not a number follows from what is refused already, and limits nothing. why: the clause
        the limits are from. Raises InputError where it is no number at all.
        """
        try:
            read = np.asarray(value, dtype=np.float64)
        except (TypeError, ValueError):
            raise InputError(f"{name} = {value!r}, must be a number in {unit or '1'}: {self.what}") from None
        with np.errstate(invalid="ignore"):
            good = np.isfinite(read)
            for limit, compare in ((least, np.greater_equal), (over, np.greater), (most, np.less_equal)):
                if limit is not None:
                    good = good & (compare(read, limit) | np.isnan(limit))
        if not np.all(good):
            limits = {"at least": least, "over": over, "at most": most}
            self._wrong.append(_Wrong(~good, _Words(name, read, unit, limits, self.what, why)))
        return read

    def force(self, value: Any) -> Array:
        """`value` as a force in N, 0 or more, as `figure` reads it."""
        return self.figure("force", value, "N", least=0.0)

    def size(self, name: str, value: Any, *, over: Any = 0.0, most: Any = None, why: str = "") -> Array:
        """`value` as a size in mm, over 0 or `over`, as `figure` reads it."""
        return self.figure(name, value, "mm", over=over, most=most, why=why)

    def hold(self, good: Any, problem: str) -> None:
        """Refuses the rows for which `good` does not hold, each with the same words."""
        wrong = ~np.asarray(good, dtype=np.bool_)
        if wrong.any():
            self._wrong.append(_Wrong(wrong, _same(problem)))

    def read(self, reader: Callable[..., Read], *given: Any, otherwise: Read) -> Read:
        """What a reader makes of it; `otherwise`, and its problems told, where it refuses."""
        try:
            return reader(*given)
        except InputError as error:
            self.told(*error.problems)
            return otherwise

    def checks(self, *asked: Callable[[], Check]) -> tuple[Check, ...]:
        """Other checks that this one is made of; what they refuse, it refuses."""
        made, errors = [], []
        for one in asked:
            try:
                made.append(one())
            except InputError as error:
                errors.append(error)
        if errors:
            raise joined(errors)
        rows = np.broadcast_shapes(*(np.shape(one.value) for one in made))
        for check in made:
            for each in check.refused:
                wrong = np.zeros(np.shape(check.value), dtype=np.bool_)
                wrong[each.row] = True
                self._wrong.append(_Wrong(np.broadcast_to(wrong, rows), _same(each.problem)))
        return tuple(made)

    def told(self, *problems: str) -> None:
        """Refuses all of it: for what is no figure, such as a metal that the clause does not know."""
        for problem in problems:
            self.hold(False, problem)

    def check(
        self,
        sides: Sides,
        *,
        clause: str,
        formula: str,
        unit: str = "N",
        uses: Sequence[str] = (),
        own: bool = True,
        notes: Sequence[str] = (),
    ) -> Check:
        """The check, with values and limits by `sides`; uses: which partial factors it has, "m0", "m2".

        own: whether strength of metal is in it, so that there is a column against the user's factor on yield.
        Raises InputError with everything that is wrong where there is one figure of each.
        """
        self.done()
        factors = self.factors
        with np.errstate(all="ignore"):
            value, limit = sides(factors.basis)
            second = sides(factors.own_basis) if own and factors.own is not None else (None, None)
        rows = np.broadcast_shapes(np.shape(value), np.shape(limit), *(wrong.rows.shape for wrong in self._wrong))
        refused = self._rows(rows)
        bad = np.zeros(rows, dtype=np.bool_)
        for one in refused:
            bad[one.row] = True
        return Check(
            name=self.name,
            clause=clause,
            formula=formula,
            value=_shaped(value, rows, bad),
            limit=_shaped(limit, rows, bad),
            unit=unit,
            factors=factors.said(uses),
            own_value=None if second[0] is None else _shaped(second[0], rows, bad),
            own_limit=None if second[1] is None else _shaped(second[1], rows, bad),
            refused=refused,
            notes=tuple(notes),
        )

    def done(self, *, every: bool = False) -> None:
        """Raises InputError with everything that is wrong so far; of single rows only where `every` must hold."""
        whole = [wrong.said(()) for wrong in self._wrong if wrong.rows.ndim == 0]
        if every:
            rows = [wrong for wrong in self._wrong if wrong.rows.ndim]
            whole += [one.problem for wrong in rows for one in wrong.each(wrong.rows.shape)]
        if whole:
            raise OutOfRange(*dict.fromkeys(whole))

    def _rows(self, shape: tuple[int, ...]) -> tuple[Refused, ...]:
        return tuple(dict.fromkeys(one for wrong in self._wrong for one in wrong.each(shape)))


def _same(problem: str) -> Callable[[tuple[int, ...]], str]:
    return lambda row: problem


@dataclass(frozen=True)
class _Words:
    """The problem of a row: "name = value unit, what is allowed: what it is"."""

    name: str
    value: Array
    unit: str
    limits: dict[str, Any]
    what: str
    why: str

    def __call__(self, row: tuple[int, ...]) -> str:
        unit = f" {self.unit}" if self.unit else ""
        limits = {word: _at(of, row) for word, of in self.limits.items() if of is not None}
        asked = [f"{word} {limit:g}" for word, limit in limits.items() if not math.isnan(limit)]
        allowed = f"must be {' and '.join(asked)}{unit}" if asked else "must be a finite number"
        source = f" ({self.why})" if self.why else ""
        value = against(_at(self.value, row), tuple(limits.values()))
        return f"{self.name} = {value}{unit}, {allowed}: {self.what}{source}"


def _at(value: Any, row: tuple[int, ...]) -> float:
    """The figure of a row, of an array that is broadcast to the rows."""
    array = np.asarray(value)
    place = row[len(row) - array.ndim :]
    return float(array[tuple(0 if size == 1 else i for size, i in zip(array.shape, place, strict=True))])


def _shaped(value: Any, rows: tuple[int, ...], bad: NDArray[np.bool_]) -> Figures:
    array = np.asarray(value, dtype=np.float64)
    return float(array) if not rows else np.where(bad, np.nan, np.broadcast_to(array, rows))
