"""Gauss-Legendre points for short integrals along an edge."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache


@cache
def gauss(count: int) -> tuple[tuple[float, float], ...]:
    """(place, weight) on -1 to 1; exact for polynomials up to degree 2 count - 1."""
    rows = []
    for i in range(count):
        x = math.cos(math.pi * (i + 0.75) / (count + 0.5))
        slope = 1.0
        for _ in range(8):
            value, before = 1.0, 0.0
            for k in range(1, count + 1):
                value, before = ((2 * k - 1) * x * value - (k - 1) * before) / k, value
            slope = count * (x * value - before) / (x * x - 1.0)
            x -= value / slope
        rows.append((x, 2.0 / ((1.0 - x * x) * slope * slope)))
    return tuple(rows)


def integral(f: Callable[[float], float], lo: float, hi: float, count: int) -> float:
    """Integral of f from lo to hi by one Gauss rule."""
    half, middle = (hi - lo) / 2.0, (hi + lo) / 2.0
    return half * math.fsum(w * f(middle + half * x) for x, w in gauss(count))
