"""Takahasi and Mori's rule for integrals with square roots or logarithms at the ends."""

from __future__ import annotations

import math
from functools import cache

STEP = 1 / 32
REACH = 3.25
"""Step and end of the double exponential rule: its last weight is 1e-17 of the first; square roots at or just
beyond an end of the interval come out to 1e-14."""


@cache
def double_exponential() -> tuple[tuple[float, float], ...]:
    """(place, weight) on -1 to 1: Takahasi and Mori's rule, dense at both ends."""
    count = round(REACH / STEP)
    rows = []
    for k in range(-count, count + 1):
        t = k * STEP
        u = math.pi / 2 * math.sinh(t)
        rows.append((math.tanh(u), STEP * math.pi / 2 * math.cosh(t) / math.cosh(u) ** 2))
    return tuple(rows)
