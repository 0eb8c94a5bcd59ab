"""Random values of a recipe, each within its own limits: drawn from numbers, or as a hypothesis strategy."""

from __future__ import annotations

import math
import random
from decimal import Decimal
from functools import singledispatch
from typing import cast

from hypothesis import strategies as st

from brackets.core.schema.checked import Checked, Param, fields
from brackets.core.schema.lists import ByName, DirectionRule, Listed, PointRule
from brackets.core.schema.rows import Row, TubeSize
from brackets.core.schema.rule import Choice, Plain, Rule, Text, YesNo
from brackets.core.schema.sizes import NOTHING, Count, Size, Stock

ROUND_SHARE = 0.7
"""Share of random sizes that fall on a slider step: what people type; the rest use every figure."""

FROM_RACK = 0.8
"""Share of random sizes taken from the rack, as most are in a shop."""

NUDGE, NUDGE_MM = 0.05, 6.0
"""Random points stray from their defaults by this share of the limits' span, at most so many mm."""

TILT = 0.17
"""Random directions: share of their length each coordinate strays, 10 degrees in all at most."""

LEFT_OUT = 0.25
"""Share of values that may be left out and are."""


def sample(cls: type[Checked], rng: random.Random) -> dict[str, Plain]:
    """A random value for every name, each within its own limits; together they may break `rules`.

    A set changes few or many of the defaults: mild sets mostly make a part, wild ones are mostly refused.
    """
    wild = rng.random()
    return {
        param.name: _of(param, rng) if param.required or rng.random() < wild else param.default
        for param in fields(cls)
    }


def sets(cls: type[Checked]) -> st.SearchStrategy[dict[str, Plain]]:
    """The same as a strategy: what fails is made simpler."""
    return st.randoms(use_true_random=False).map(lambda rng: sample(cls, rng))


def _of(param: Param, rng: random.Random) -> Plain:
    if param.optional and rng.random() < LEFT_OUT:
        return None
    return drawn(param.rule, rng, None if param.required else param.default)


def _stored(value: float) -> float:
    """The value as a rule stores it: 0 where it is nearer to nothing than NOTHING."""
    return 0.0 if abs(value) < NOTHING else value


@singledispatch
def drawn(rule: Rule, rng: random.Random, about: Plain = None) -> Plain:
    """A value within the limits of a rule; lists, points and directions stay near `about`."""
    raise NotImplementedError(f"no random values of a {rule.kind}")


@drawn.register
def _(rule: Size, rng: random.Random, about: Plain = None) -> Plain:
    lo, hi, step = rule.slider
    value = rng.uniform(lo, hi)
    if rng.random() < ROUND_SHARE:
        value = float(Decimal(repr(step)) * round(value / step))
    return _stored(min(max(value, lo), hi)) + 0.0


@drawn.register
def _(rule: Stock, rng: random.Random, about: Plain = None) -> Plain:
    if rule.sizes and rng.random() < FROM_RACK:
        return rng.choice(rule.sizes)
    return drawn.dispatch(Size)(rule, rng, about)


@drawn.register
def _(rule: Count, rng: random.Random, about: Plain = None) -> Plain:
    return rng.randint(rule.lo, rule.hi)


@drawn.register
def _(rule: YesNo, rng: random.Random, about: Plain = None) -> Plain:
    return rng.random() < 0.5


@drawn.register
def _(rule: Choice, rng: random.Random, about: Plain = None) -> Plain:
    return rng.choice(rule.words)


@drawn.register
def _(rule: Text, rng: random.Random, about: Plain = None) -> Plain:
    return "".join(rng.choice("abc 123") for _ in range(rng.randint(0, min(rule.longest, 12)))).strip()


@drawn.register(Row)
@drawn.register(TubeSize)
def _(rule: Row | TubeSize, rng: random.Random, about: Plain = None) -> Plain:
    return rng.choice(rule.choices)


@drawn.register
def _(rule: PointRule, rng: random.Random, about: Plain = None) -> Plain:
    if about is None:
        return tuple(drawn(rule.coordinate, rng) for _ in rule.axes)
    stray = min(NUDGE * (rule.hi - rule.lo), NUDGE_MM)
    moved = (v + rng.uniform(-stray, stray) for v in cast("tuple[float, ...]", about))
    return tuple(_stored(min(max(v, rule.lo), rule.hi)) for v in moved)


@drawn.register
def _(rule: DirectionRule, rng: random.Random, about: Plain = None) -> Plain:
    if about is None:
        return tuple(rng.choice((-1.0, 1.0)) * rng.uniform(0.1, 1.0) for _ in rule.axes)
    entries = cast("tuple[float, ...]", about)
    stray = TILT * math.sqrt(sum(v * v for v in entries) / len(entries))
    return tuple(_stored(v + rng.uniform(-stray, stray)) for v in entries)


@drawn.register
def _(rule: Listed, rng: random.Random, about: Plain = None) -> Plain:
    entries = cast("tuple[Plain, ...]", about or ())
    if not entries:
        return tuple(drawn(rule.of, rng) for _ in range(rule.at_least))
    kept = rng.randint(min(max(rule.at_least, 1), len(entries)), len(entries))
    return tuple(drawn(rule.of, rng, entry) for entry in entries[:kept])


@drawn.register
def _(rule: ByName, rng: random.Random, about: Plain = None) -> Plain:
    pairs = cast("tuple[tuple[str, Plain], ...]", about or ())
    return tuple((key, drawn(rule.of, rng, value)) for key, value in pairs)
