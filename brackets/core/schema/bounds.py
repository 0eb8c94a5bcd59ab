"""Refusals that know their own limit, so that a cure can be named: at_least, at_most, between."""

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
    """The refusal of a value that is too small, for `rules` of a recipe's Params to yield.

    name: of the value; value: what it is; least: smallest that is accepted, shown rounded up to 0.01;
    why: the reason, in shop words; unit: of both figures.
    Returns a str that also carries the limit, so that a cure can be named.

    >>> at_least("od", 50, 60.004, "3 mm of wall round the bush")
    'od = 50 mm, 60.01 mm or more: 3 mm of wall round the bush'
    """
    said = _up(least)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(said)} {unit} or more: {why}", name, said, None)


def at_most(name: str, value: float, most: float, why: str, *, unit: str = "mm") -> Bound:
    """The refusal of a value that is too large, for `rules` of a recipe's Params to yield.

    name: of the value; value: what it is; most: largest that is accepted, shown rounded down to 0.01;
    why: the reason, in shop words; unit: of both figures.
    Returns a str that also carries the limit, so that a cure can be named.

    >>> at_most("corner", 30, 24.999, "half the width")
    'corner = 30 mm, 24.99 mm or less: half the width'
    """
    said = _down(most)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(said)} {unit} or less: {why}", name, None, said)


def between(name: str, value: float, least: float, most: float, why: str, *, unit: str = "mm") -> Bound:
    """The refusal of a value outside two limits, for `rules` of a recipe's Params to yield.

    name: of the value; value: what it is; least, most: the limits, both accepted, shown rounded inwards to 0.01;
    why: the reason, in shop words; unit: of all three figures.
    Returns a str that also carries the limits, so that a cure can be named.

    >>> between("lean", 70, 10, 60.009, "the leg stands on the plate", unit="deg")
    'lean = 70 deg, 10 to 60 deg: the leg stands on the plate'
    """
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
