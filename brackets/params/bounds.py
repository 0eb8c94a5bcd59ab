"""Relations between values, refused with a cure that works: a line of text that also knows its own limits."""

from __future__ import annotations

import math

ROUND = 100
"""Parts of a mm a limit is said in: it is rounded to the side that is allowed."""


class Bound(str):
    """A refusal, "od = 50 mm, 61 mm or more: why"; `name` from `least` to `most` (either None) is accepted by the
    relation that was broken, the limits among it."""

    name: str
    least: float | None
    most: float | None


def at_least(name: str, value: float, least: float, why: str, *, unit: str = "mm") -> Bound:
    """`value` of `name` is too small: `least` is the smallest accepted, said rounded up."""
    said = _up(least)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(said)} {unit} or more: {why}", name, said, None)


def at_most(name: str, value: float, most: float, why: str, *, unit: str = "mm") -> Bound:
    """`value` of `name` is too large: `most` is the largest accepted, said rounded down."""
    said = _down(most)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(said)} {unit} or less: {why}", name, None, said)


def between(name: str, value: float, least: float, most: float, why: str, *, unit: str = "mm") -> Bound:
    """`value` of `name` is outside `least` to `most`, both accepted, said rounded inwards."""
    lo, hi = _up(least), _down(most)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(lo)} to {_figure(hi)} {unit}: {why}", name, lo, hi)


def _bound(text: str, name: str, least: float | None, most: float | None) -> Bound:
    made = Bound(text)
    made.name, made.least, made.most = name, least, most
    return made


def _up(value: float) -> float:
    return math.ceil(round(value * ROUND, 6)) / ROUND


def _down(value: float) -> float:
    return math.floor(round(value * ROUND, 6)) / ROUND


def _figure(value: float) -> str:
    return f"{value:.6g}"
