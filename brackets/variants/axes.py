"""What somebody gives one value of a family: one figure, a list, a range, or what it follows from.

In Python a list or range is a list of values, a tuple too unless the value itself is a list or a point, and a
function is asked for each row. A text is a list "6, 8", or a range "60..100/2" with both ends in it, of counts also
"2..6"; entries of a list of points are parted by "|".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from numbers import Real
from typing import Any

from brackets.core.errors import InputError
from brackets.core.schema.checked import Param
from brackets.core.schema.lists import PointRule
from brackets.core.schema.reading import csv_text
from brackets.core.schema.rows import TubeSize
from brackets.core.schema.rule import Plain
from brackets.core.schema.sizes import Count, Size
from brackets.core.units import shown
from brackets.variants.arithmetic import Expression

MOST = 1_000_000
"""Values of one axis, and rows of a family: what was planned for."""

DECIMALS = 9
"""Decimals that a value of a range is rounded to: 60, 60.1, 60.2, and not 60.300000000000004."""

Tied = Callable[[Any], object] | Expression
"""Works a value out from the others of its row."""

SPAN = "must be from..to/step, or from..to by step where either end is a fraction"


@dataclass(frozen=True)
class Axis:
    """The values one parameter takes, in order, each by its own rule."""

    name: str
    values: tuple[Plain, ...]


def of_python(param: Param, given: object, *, bare: str = "mm") -> Axis | Tied:
    """What a script or a TOML file gives one value. Raises InputError with every value that is wrong."""
    if callable(given) or isinstance(given, Expression):
        return given
    if isinstance(given, str) and ".." in given and not _is_list(param):
        return Axis(param.name, _distinct(param, _span(param, given, bare)))
    several = _several(param, given)
    if several is None:
        return Axis(param.name, (_read(param, given, bare),))
    return Axis(param.name, _all(param, several, lambda value: _read(param, value, bare)))


def of_text(param: Param, text: str, *, bare: str = "mm") -> Axis:
    """What a command line gives one value. Raises InputError with every value that is wrong."""
    found: list[Plain] = []
    wrong: list[str] = []
    for word in text.split("|") if _is_list(param) else text.split(","):
        try:
            if ".." in word and not _is_list(param):
                found += _span(param, word.strip(), bare)
            else:
                found.append(_word(param, word.strip(), bare))
        except InputError as error:
            wrong += error.problems
    if wrong:
        raise InputError(*wrong)
    return Axis(param.name, _distinct(param, found))


def _word(param: Param, word: str, bare: str) -> Plain:
    if param.rule.lists and word.startswith("@"):
        word = csv_text(word[1:], beside=None, name=param.name)
    return param.from_text(word, bare=bare)


def _is_list(param: Param) -> bool:
    """Whether one value of it is several figures already, so that commas and tuples are its own."""
    return param.rule.lists or isinstance(param.rule, PointRule | TubeSize)


def _several(param: Param, given: object) -> list[object] | None:
    """The values of a list, None where it is one value."""
    if isinstance(given, str | bytes | Mapping) or not isinstance(given, Iterable):
        return None
    if isinstance(given, tuple) and _is_list(param):
        return None
    several = list(given)
    if _is_list(param) and several and not any(isinstance(v, str | list | tuple) for v in several):
        return None  # [x, y, z] of TOML: one point
    return several


def _read(param: Param, value: object, bare: str) -> Plain:
    if isinstance(value, Real) and not isinstance(value, bool | int | float):
        value = float(value)  # numpy's figures
    return param.from_toml(value, bare=bare)


def _all(param: Param, given: Iterable[object], read: Callable[[object], Plain]) -> tuple[Plain, ...]:
    good: list[Plain] = []
    wrong: list[str] = []
    for value in given:
        try:
            good.append(read(value))
        except InputError as error:
            wrong += error.problems
    if wrong:
        raise InputError(*wrong)
    return _distinct(param, good)


def _distinct(param: Param, values: list[Plain]) -> tuple[Plain, ...]:
    """Each value once, in the order given; InputError where there is none, or more than anybody meant."""
    if not values:
        raise InputError(f"{param.name} = no value, one or more: {param.meaning}")
    if len(values) > MOST:
        raise InputError(f"{param.name} = {len(values)} values, {MOST} or fewer: {param.meaning}")
    return tuple(dict.fromkeys(values))


def _span(param: Param, text: str, bare: str) -> list[Plain]:
    """The values of "60..100/2"."""
    rule, (first, _, rest) = param.rule, text.partition("..")
    if not isinstance(rule, Size | Count):
        raise InputError(f"{param.name} = {shown(text)}, no range, {rule.allowed}: {param.meaning}")
    last, by, step = rest.partition(" by ")
    if not by:
        last, by, step = rest.partition("/")
    low, high = (_figure(param, end, bare) for end in (first, last))
    if high < low:
        raise InputError(f"{param.name} = {shown(text)}, low to high, {SPAN}: {param.meaning}")
    if not by and not isinstance(rule, Count):
        raise InputError(f"{param.name} = {shown(text)}, without a step, {SPAN}: {param.meaning}")
    each = _step(param, step, bare, text) if by else 1.0
    count = math.floor((high - low) / each * (1 + 1e-12) + 1e-9) + 1
    if count > MOST:
        raise InputError(f"{param.name} = {shown(text)}, {count} values, {MOST} or fewer: {param.meaning}")
    return [param.plain(round(low + i * each, DECIMALS)) for i in range(count)]


def _figure(param: Param, text: str, bare: str) -> float:
    found = param.from_text(text.strip(), bare=bare)
    if isinstance(found, bool) or not isinstance(found, int | float):
        raise InputError(f"{param.name} = {shown(text)}, must be a number: {param.meaning}")
    return float(found)


def _step(param: Param, text: str, bare: str, whole: str) -> float:
    """The step of a range, above nothing; it may be below the least value that is allowed."""
    rule: Any = param.rule
    free = replace(rule, lo=0 if isinstance(rule, Count) else 0.0, hi=max(rule.hi, rule.hi - rule.lo))
    try:
        found = free.from_text(text.strip(), name=f"{param.name}: step", bare=bare)
    except InputError as error:
        raise InputError(f"{param.name} = {shown(whole)}, {SPAN}: {'; '.join(error.problems)}") from None
    if not found > 0:
        raise InputError(f"{param.name} = {shown(whole)}, step above 0, {SPAN}: {param.meaning}")
    return float(found)
