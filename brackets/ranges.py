"""Limits that a recipe's other values leave to one of them, found by trying it: Params and build, no kernel.

What is accepted is taken to be one stretch without holes, which holds for every shipped recipe near its defaults.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from brackets.errors import OutOfRange
from brackets.params import Checked, Param, Plain, read_texts
from brackets.recipe_file import Recipe

HALVINGS = 10
"""Halvings towards a limit: a thousandth of the stretch that was searched."""
STARTS = 12
"""Values spread over the limits that are tried where neither the value nor its default is accepted."""
PLACES = 2
"""Decimals a limit is given in, rounded to the side that is accepted."""
MOST = 3
"""Values a refusal names limits of."""
SECONDS = 1.0
"""How long a refusal may look for limits."""


def accepted(opened: Recipe, values: Mapping[str, Plain]) -> bool:
    """Whether these values make a part."""
    try:
        opened.build(opened.Params(**values))
    except OutOfRange:
        return False
    return True


def left(
    opened: Recipe, values: Mapping[str, Plain], name: str, *, until: float = math.inf
) -> tuple[float, float] | None:
    """Lowest and highest of the value `name` that the others of `values` leave, both accepted.

    `values` are those that are typed; the rest follow or keep their defaults. None where the value is no number,
    must be typed first, or nothing of a dozen tries is accepted; or where the clock passes `until`.
    """
    param = next(p for p in opened.params if p.name == name)
    if param.rule.slider is None:
        return None
    lo, hi, _ = param.rule.slider
    whole = param.rule.kind == "count"

    def works(value: float) -> bool:
        if time.perf_counter() > until:
            raise TimeoutError
        return accepted(opened, {**values, name: int(value) if whole else value})

    try:
        start = next((at for at in _starts(opened, values, param, lo, hi) if works(at)), None)
        if start is None:
            return None
        ends = [_end(works, start, end, whole) for end in (lo, hi)]
        return (_inward(ends[0], start, math.ceil), _inward(ends[1], start, math.floor))
    except TimeoutError:
        return None


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
    except OutOfRange:
        pass
    steps = [round(lo + (hi - lo) * i / (STARTS - 1), PLACES) for i in range(STARTS)]
    near = typed if isinstance(typed, int | float) else lo
    known = {float(round(at)) if param.rule.kind == "count" else min(max(at, lo), hi) for at in steps}
    yield from sorted(known, key=lambda at: abs(at - near))


def _end(works: Callable[[float], bool], good: float, end: float, whole: bool) -> float:
    if works(end):
        return end
    bad = end
    for _ in range(HALVINGS):
        middle = (good + bad) / 2
        if whole:
            middle = math.trunc(middle)
            if middle in (good, bad):
                break
        if works(middle):
            good = middle
        else:
            bad = middle
    return good


def _inward(end: float, start: float, turn: Callable[[float], int]) -> float:
    """The end in a few decimals, towards `start`."""
    found = turn(round(end * 10**PLACES, 6)) / 10**PLACES
    return end if (found - start) * (end - start) < 0 else found


def cures(opened: Recipe, values: Mapping[str, Plain], names: Iterable[str]) -> tuple[str, ...]:
    """A line for each of `names` that another figure alone would cure: the limits that the others leave to it."""
    until = time.perf_counter() + SECONDS
    lines = []
    for name in list(names)[:MOST]:
        found = left(opened, values, name, until=until)
        if found is not None:
            param = next(p for p in opened.params if p.name == name)
            lo, hi = (param.to_text(end) for end in found)
            shown = param.to_text(values[name])
            works = f"{lo} works" if lo == hi else f"{lo} to {hi} works"
            lines.append(f"{name} = {shown}, with the other values as they are {works}: {param.meaning}")
    return tuple(lines)


def params_or_cures(
    opened: Recipe, texts: Mapping[str, str], *, bare: str = "mm", beside: Path | None = None
) -> Checked:
    """Params of typed texts that make a part. Raises OutOfRange: what is wrong, then what limits the others leave.
    """
    values = read_texts(opened.Params, texts, bare=bare, beside=beside)
    try:
        params = opened.Params(**values)
        opened.build(params)
    except OutOfRange as error:
        raise OutOfRange(*error.problems, *cures(opened, values, values)) from None
    return params
