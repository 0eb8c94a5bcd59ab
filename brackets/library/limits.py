"""Limits that a recipe's other values leave to one of them, found by trying it: Params and build, no kernel.

What is accepted is taken to be one stretch without holes, which holds for every shipped recipe near its defaults.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from brackets.core.errors import InputError
from brackets.core.names import unknown
from brackets.core.schema.bounds import Bound
from brackets.core.schema.checked import Checked, Param
from brackets.core.schema.reading import read_texts
from brackets.core.schema.rule import Plain
from brackets.library.recipe import Recipe, shipped

if TYPE_CHECKING:
    from brackets.model.part import Part

HALVINGS = 10
"""Halvings towards a limit: a thousandth of the stretch that was searched."""
STARTS = 12
"""Values spread over the limits that are tried where neither the value nor its default is accepted."""
PLACES = 2
"""Decimals a limit is given in, rounded to the side that is accepted."""
MOST = 3
"""Values a refusal names limits of."""
SECONDS = 3.0
"""How long a refusal may look for limits."""


def refusals(opened: Recipe, values: Mapping[str, Plain]) -> tuple[str, ...]:
    """What is wrong with these values; nothing where they make a part.

    Of a recipe that is not shipped only the rules between values are tried: nobody asked for these values, and a
    stranger's `build` may never end.
    """
    try:
        params = opened.Params(**values)
        if opened.path.parent == shipped():
            opened.build(params)
    except InputError as error:
        return error.problems
    return ()


def left(
    opened: Recipe, values: Mapping[str, Plain], name: str, *, until: float = math.inf
) -> tuple[float, float] | None:
    """Lowest and highest figure that the other values of a recipe leave to one of them, both accepted.

    opened: the recipe; values: those that are typed, the rest follow or keep their defaults; name: of the value
    asked for, one of the recipe's; until: reading of `time.perf_counter` at which to give up, seconds. None where
    the value is no number, must be typed first, none of a dozen tries is accepted, or the time is up. Raises
    InputError for a name that the recipe does not have.

    >>> left(recipe("cup"), {"bush_od": 60.0}, "od")  # 1 mm of wall left round 60; the largest tube of the table
    (62.0, 114.3)
    """
    param = _named(opened, name)
    if param.rule.slider is None:
        return None
    lo, hi, _ = param.rule.slider
    whole = param.rule.kind == "count"

    def tried(value: float) -> tuple[str, ...]:
        if time.perf_counter() > until:
            raise TimeoutError
        return refusals(opened, {**values, name: int(value) if whole else value})

    try:
        start = next((at for at in _starts(opened, values, param, lo, hi) if not tried(at)), None)
        if start is None:
            return None
        ends = [_end(tried, name, start, end, whole) for end in (lo, hi)]
        return (_inward(ends[0], start, math.ceil), _inward(ends[1], start, math.floor))
    except TimeoutError:
        return None


def _named(opened: Recipe, name: str) -> Param:
    found = {param.name: param for param in opened.params}
    if name not in found:
        unknown("name", name, tuple(found))
    return found[name]


def _starts(
    opened: Recipe, values: Mapping[str, Plain], param: Param, lo: float, hi: float
) -> Iterable[float]:
    """Values to begin at: as typed, as it would be if it were not typed, then all over the limits."""
    typed = values.get(param.name)
    if isinstance(typed, int | float):
        yield typed
    try:
        rest = opened.Params(**{name: value for name, value in values.items() if name != param.name})
        figure = getattr(rest, param.name)
        if isinstance(figure, int | float):
            yield min(max(figure, lo), hi)
    except InputError:
        pass
    steps = [round(lo + (hi - lo) * i / (STARTS - 1), PLACES) for i in range(STARTS)]
    near = typed if isinstance(typed, int | float) else lo
    known = {float(round(at)) if param.rule.kind == "count" else min(max(at, lo), hi) for at in steps}
    yield from sorted(known, key=lambda at: abs(at - near))


def _end(tried: Callable[[float], tuple[str, ...]], name: str, good: float, end: float, whole: bool) -> float:
    """The furthest value from `good` towards `end` that is accepted: said by a rule that refuses the end, or found
    by halving."""
    problems = tried(end)
    if not problems:
        return end
    for said in problems:
        limit = (said.least if end < good else said.most) if isinstance(said, Bound) and said.name == name else None
        if limit is not None and min(good, end) <= limit <= max(good, end) and not tried(limit):
            return limit
    bad = end
    for _ in range(HALVINGS):
        middle = (good + bad) / 2
        if whole:
            middle = math.trunc(middle)
            if middle in (good, bad):
                break
        if tried(middle):
            bad = middle
        else:
            good = middle
    return good


def _inward(end: float, start: float, turn: Callable[[float], int]) -> float:
    """The end in a few decimals, towards `start`."""
    found = turn(round(end * 10**PLACES, 6)) / 10**PLACES
    return end if (found - start) * (end - start) < 0 else found


def cures(
    opened: Recipe, values: Mapping[str, Plain], names: Iterable[str], *, seconds: float = SECONDS
) -> dict[str, str]:
    """Which values of a refused set would each, changed alone, make it a part: name to a sentence with the limits.

    opened: the recipe; values: those that are typed, in its units; names: of the values to try, all of the recipe,
    of which the first MOST (3) are; seconds: how long to look. A value that cannot cure it, or was not reached in
    time, is not there. Raises InputError for a name that the recipe does not have.

    >>> cures(recipe("cup"), {"bush_od": 60.0, "od": 60.0}, ["od"])  # 1 mm of wall left round 60
    {'od': '62 mm to 114.3 mm works with the other values as they are'}
    """
    until = time.perf_counter() + seconds
    found = {}
    for name in list(names)[:MOST]:
        ends = left(opened, values, name, until=until)
        if ends is not None:
            param = _named(opened, name)
            lo, hi = (param.to_text(int(end) if param.rule.kind == "count" else end) for end in ends)
            span = lo if lo == hi else f"{lo} to {hi}"
            found[name] = f"{span} works with the other values as they are"
    return found


def cured(problems: Sequence[str], found: Mapping[str, str]) -> tuple[str, ...]:
    """The problems, each with the cure of the value it begins with; the other cures after the last."""
    lines = list(problems)
    for name, cure in found.items():
        own = [i for i, line in enumerate(lines) if line.startswith(f"{name} = ")]
        at = own[0] if own else -1
        lines[at] += f"; {cure}" if own else f"; {name} = {cure}"
    return tuple(lines)


def params_or_cures(
    opened: Recipe,
    texts: Mapping[str, str],
    *,
    bare: str = "mm",
    beside: Path | None = None,
    seconds: float = SECONDS,
) -> Checked:
    """Params of typed texts that make a part. Raises InputError: what is wrong, then what limits the others leave,
    as far as they are found in `seconds`."""
    return part_or_cures(opened, texts, bare=bare, beside=beside, seconds=seconds)[0]


def part_or_cures(
    opened: Recipe,
    texts: Mapping[str, str],
    *,
    bare: str = "mm",
    beside: Path | None = None,
    seconds: float = SECONDS,
) -> tuple[Checked, Part]:
    """The same with the part that they make."""
    values = read_texts(opened.Params, texts, bare=bare, beside=beside)
    try:
        params = opened.Params(**values)
        return params, opened.build(params)
    except InputError as error:
        raise InputError(*cured(error.problems, cures(opened, values, values, seconds=seconds))) from None
