"""The rows of a family: what is listed, crossed, tied and left out, each row with a name and its values."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Set
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from brackets.core.errors import InputError
from brackets.core.names import nearest
from brackets.core.schema.checked import Param
from brackets.core.schema.rule import Plain
from brackets.core.units import shown
from brackets.library.recipe import Recipe
from brackets.variants.arithmetic import Expression, Lookup
from brackets.variants.axes import MOST, Axis, Tied

LONGEST_NAME = 80
"""Characters of a row's name."""

Condition = Expression | Callable[[Any], bool]
"""Whether a row is left out."""


@dataclass(frozen=True, kw_only=True)
class ListedRow:
    """A row somebody wrote: the values it states, and its name, "" where it has none."""

    values: Mapping[str, Plain]
    name: str = ""


@dataclass(frozen=True, kw_only=True)
class PlannedRow:
    """A row to be worked out: its number from 1, name, and the values it states; `refused` where it has none."""

    number: int
    name: str
    values: Mapping[str, Plain]
    refused: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Plan:
    """What a family consists of.

    base: values that a bay types or gives, which expressions may name; axes: crossed in this order, the last one
    changing first; listed: rows of a file or table, each crossed with the axes; tied: by name; left_out: a row is
    where any of them holds; row_name: "{bolt} reach {reach}", "" for numbers.
    """

    recipe: Recipe
    axes: tuple[Axis, ...] = ()
    listed: tuple[ListedRow, ...] = ()
    tied: Mapping[str, Tied] = field(default_factory=dict)
    left_out: tuple[Condition, ...] = ()
    row_name: str = ""
    base: Mapping[str, Plain] = field(default_factory=dict)

    def __post_init__(self) -> None:
        problems = list(self._problems())
        if problems:
            raise InputError(*dict.fromkeys(problems))

    @property
    def varied(self) -> tuple[str, ...]:
        """Names of the values that differ between rows, in the recipe's order."""
        names = {axis.name for axis in self.axes if len(axis.values) > 1} | self.tied.keys()
        of_rows = [row.values for row in self.listed]
        told = {name for values in of_rows for name in values}
        names |= {n for n in told if len({(n in values, values.get(n)) for values in of_rows}) > 1}
        return tuple(param.name for param in self.recipe.params if param.name in names)

    @property
    def count(self) -> int:
        """Rows before any is left out."""
        return math.prod(len(axis.values) for axis in self.axes) * max(len(self.listed), 1)

    def rows(self) -> tuple[PlannedRow, ...]:
        """Every row that is not left out, in order. Raises InputError where none is left."""
        return self._rows

    @cached_property
    def _rows(self) -> tuple[PlannedRow, ...]:
        found: list[PlannedRow] = []
        for listed, values in self._crossed():
            row = self._row(len(found) + 1, listed, values)
            if row is not None:
                found.append(row)
        if not found:
            raise InputError("rows = none, one or more: every row is left out by `skip`")
        return tuple(found)

    def _crossed(self) -> Iterator[tuple[ListedRow, dict[str, Plain]]]:
        names = [axis.name for axis in self.axes]
        for listed in self.listed or (ListedRow(values={}),):
            for values in itertools.product(*(axis.values for axis in self.axes)):
                yield listed, {**dict(zip(names, values, strict=True)), **listed.values}

    def _row(self, number: int, listed: ListedRow, values: dict[str, Plain]) -> PlannedRow | None:
        known = _Known(self, values)
        refused: tuple[str, ...] = ()
        whole = dict(values)
        try:
            for name in self.tied:
                whole[name] = known.value(name)
            if any(_holds(condition, known.value) for condition in self.left_out):
                return None
        except InputError as error:
            refused = error.problems
        return PlannedRow(number=number, name=self._name(number, listed, whole), values=whole, refused=refused)

    def _name(self, number: int, listed: ListedRow, values: Mapping[str, Plain]) -> str:
        if listed.name and not self.axes:
            return listed.name
        if self.row_name:
            texts = {p.name: _short(values.get(p.name, p.default)) for p in self.recipe.params}
            return self.row_name.format_map({**texts, "number": str(number), "name": listed.name})
        return f"{listed.name} {number}".strip()

    def _problems(self) -> Iterator[str]:
        known = {param.name: param for param in self.recipe.params}
        for name in (*(axis.name for axis in self.axes), *self.tied):
            if name not in known:
                yield unknown(self.recipe, name)
        stated = [axis.name for axis in self.axes]
        for name in self.tied:
            if name in stated:
                yield f"{name} = listed and tied, one of them: {known[name].meaning}"
        for row in self.listed:
            for name in row.values:
                if name in stated or name in self.tied:
                    yield f"{name} = in a row and outside all rows, one of them: {known[name].meaning}"
        yield from self._named_nowhere(known)
        if self.count > MOST:
            yield f"rows = {self.count}, {MOST} or fewer: every listed row with every value of every other"

    def _named_nowhere(self, known: Mapping[str, Param]) -> Iterator[str]:
        """Names in expressions and in the names of rows that are no values of the recipe."""
        for each in (*self.tied.values(), *self.left_out):
            if isinstance(each, Expression):
                for name in sorted(each.names - known.keys()):
                    yield f"{shown(each.text)}: {unknown(self.recipe, name)}"
        if self.row_name:
            try:
                self.row_name.format_map(dict.fromkeys((*known, "number", "name"), ""))
            except (KeyError, ValueError, IndexError, AttributeError) as error:
                yield f"row_name = {shown(self.row_name)}, must be text with {{VALUE}} in it: no {error}"


def _holds(condition: Condition, look: Lookup) -> bool:
    if isinstance(condition, Expression):
        return condition.holds(look)
    return bool(condition(Seen(look)))


class Seen:
    """The values of one row as a function that ties or leaves out sees them: `v.bush_od`."""

    def __init__(self, look: Lookup) -> None:
        self._look = look

    def __getattr__(self, name: str) -> Plain:
        if name.startswith("__"):
            raise AttributeError(name)
        return self._look(name)


class _Known:
    """The value of a name in one row: what the row states, what is tied, what the bay gives, the recipe's default,
    or what the recipe works out from what is stated."""

    def __init__(self, plan: Plan, stated: Mapping[str, Plain]) -> None:
        self.plan, self.stated, self.asked = plan, dict(stated), list[str]()

    def value(self, name: str) -> Plain:
        if name in self.stated:
            return self.stated[name]
        if name in self.plan.tied:
            self.stated[name] = self._worked_out(name)
            return self.stated[name]
        if name in self.plan.base:
            return self.plan.base[name]
        param = self._param(name)
        if not param.required and param.default is not None:
            return param.plain(param.default)
        made = self.plan.recipe.Params(**{n: v for n, v in self.stated.items() if n not in self.plan.tied})
        found: Plain = getattr(made, name)
        return found

    def _param(self, name: str) -> Param:
        param = next((p for p in self.plan.recipe.params if p.name == name), None)
        if param is None:
            raise InputError(unknown(self.plan.recipe, name))
        return param

    def _worked_out(self, name: str) -> Plain:
        if name in self.asked:
            raise InputError(f"{name} = tied to itself: {' -> '.join([*self.asked, name])}")
        self.asked.append(name)
        tie = self.plan.tied[name]
        found = tie.value(self.value) if isinstance(tie, Expression) else tie(Seen(self.value))
        self.asked.pop()
        return self._param(name).from_toml(found)


def unknown(recipe: Recipe, name: str) -> str:
    """The refusal of a name that is no value of the recipe."""
    names = [param.name for param in recipe.params]
    near = nearest(name.replace("-", "_"), names, n=1)
    return f"{shown(name).strip(chr(34))}: no such value of {recipe.name}" + (
        f", nearest: {near[0]}" if near else f", must be one of {', '.join(names)}"
    )


def differs_only_in(one: Mapping[str, object], other: Mapping[str, object], names: Set[str]) -> bool:
    """Whether what two rows state is the same but for these names."""
    return all(one.get(name) == other.get(name) for name in one.keys() | other.keys() if name not in names)


def _short(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
