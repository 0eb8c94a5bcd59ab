"""The greatest value of a figure over a movement, as an interval that is proven: cell by cell, the best first."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brackets.clearance.motion import Position
from brackets.clearance.places import Array

LOOKS = 100_000
"""Cells looked into for a figure before its interval is handed back as it stands."""

AT_ONCE = 256
"""Cells that are cut at a time, the most promising first."""

Figure = Callable[[Array, Array], tuple[Array, Array]]
"""Of cells with middles `at` (k, n) and half widths `half` (k, n) float: the values in their middles (k,), and what
the figure is at most anywhere in each (k,)."""


@dataclass(frozen=True)
class Most:
    """The most of a figure over a movement lies from low to high, mm or degrees; low is found at `worst`."""

    low: float
    high: float
    worst: Position


def greatest(limits: Array, weights: Array, figure: Figure, fine: float) -> tuple[float, float, Array]:
    """Low and high end of the most of a figure, and the place (n,) at which the low end is found.

    limits: (n, 2) float, low and high of each freedom; weights: (n,) float, about how much each changes the figure
    per unit, by which cells are cut; fine: how wide the interval may stay.
    """
    low, high = limits.T
    corners = np.array(list(itertools.product(*limits.tolist())))
    found, _ = figure(corners, np.zeros_like(corners))
    best, worst = float(found.max()), corners[int(found.argmax())]
    at, half = ((low + high) / 2)[None], ((high - low) / 2)[None]
    now, top = figure(at, half)
    given_up = -math.inf
    for _ in range(LOOKS // AT_ONCE):
        if float(now.max(initial=-math.inf)) > best:
            best, worst = float(now.max()), at[int(now.argmax())]
        open_ = top > best + fine
        given_up = max(given_up, float(top[~open_].max(initial=-math.inf)))
        at, half, top = at[open_], half[open_], top[open_]
        if not len(at):
            break
        order = np.argsort(-top)
        at, half, top = at[order], half[order], top[order]
        rows, axis = np.arange(min(AT_ONCE, len(at))), (weights * half[:AT_ONCE]).argmax(axis=1)
        cut = half[: len(rows)].copy()
        cut[rows, axis] /= 2
        step = np.zeros_like(cut)
        step[rows, axis] = cut[rows, axis]
        mids, halves = np.vstack((at[: len(rows)] - step, at[: len(rows)] + step)), np.vstack((cut, cut))
        now, tops = figure(mids, halves)
        at, half, top = (
            np.vstack((mids, at[AT_ONCE:])),
            np.vstack((halves, half[AT_ONCE:])),
            np.r_[tops, top[AT_ONCE:]],
        )
    return best, max(best, given_up, float(top.max(initial=-math.inf))), worst
