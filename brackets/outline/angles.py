"""Angles at which a circle crosses an oval: real roots of a trigonometric sum of the second order."""

from __future__ import annotations

import cmath
import math

Sum = tuple[float, float, float, float, float]
"""(e, c, s, c2, s2): e + c cos t + s sin t + c2 cos 2t + s2 sin 2t."""

NEAR_CIRCLE = 1e-3
"""How far a root may lie off the unit circle and still be tried; a double root is known only to about 1e-8."""
ROUNDS = 200
"""Most steps of the root finder; it takes about 10, for a double root 50."""
STEPS = 12
"""Newton's steps from a root known to 1e-8 at worst; 2 are enough, the rest cost nothing."""
FLAT = 1e-15
"""A sum smaller than this beside the largest one it can be is rounding: the curves are the same there."""


def value(f: Sum, t: float) -> float:
    e, c, s, c2, s2 = f
    return e + c * math.cos(t) + s * math.sin(t) + c2 * math.cos(2.0 * t) + s2 * math.sin(2.0 * t)


def slope(f: Sum, t: float) -> float:
    _, c, s, c2, s2 = f
    return -c * math.sin(t) + s * math.cos(t) - 2.0 * c2 * math.sin(2.0 * t) + 2.0 * s2 * math.cos(2.0 * t)


def bend(f: Sum, t: float) -> float:
    _, c, s, c2, s2 = f
    return -c * math.cos(t) - s * math.sin(t) - 4.0 * c2 * math.cos(2.0 * t) - 4.0 * s2 * math.sin(2.0 * t)


def candidates(f: Sum) -> tuple[float, ...]:
    """Angles near every real root, and near every place where the sum only just reaches or misses 0."""
    e, c, s, c2, s2 = f
    first, second = complex(c, -s) / 2.0, complex(c2, -s2) / 2.0
    roots = _roots([second, first, complex(e, 0.0), first.conjugate(), second.conjugate()])
    return tuple(cmath.phase(z) for z in roots if abs(abs(z) - 1.0) < NEAR_CIRCLE)


def least_near(f: Sum, t: float) -> float:
    """Where the sum stops falling or rising, by Newton's method from t."""
    for _ in range(STEPS):
        curve = bend(f, t)
        if curve == 0.0:
            return t
        t -= _short(slope(f, t) / curve)
    return t


def root_near(f: Sum, t: float) -> float:
    """Where the sum is 0, by Newton's method from t."""
    for _ in range(STEPS):
        rise = slope(f, t)
        if rise == 0.0:
            return t
        t -= _short(value(f, t) / rise)
    return t


def _short(step: float) -> float:
    return min(0.1, max(-0.1, step))


def _roots(coefficients: list[complex]) -> list[complex]:
    """Roots of a polynomial, highest power first, all at once by the Aberth method; [] where it is nothing."""
    top = max(abs(c) for c in coefficients)
    while coefficients and abs(coefficients[0]) <= FLAT * top:
        coefficients = coefficients[1:]
    degree = len(coefficients) - 1
    if degree < 1:
        return []
    roots = [cmath.rect(1.0 + 0.1 * k, 0.4 + math.tau * k / degree) for k in range(degree)]
    for _ in range(ROUNDS):
        moved = 0.0
        for k, z in enumerate(roots):
            p, dp = coefficients[0], 0.0 + 0.0j
            for coefficient in coefficients[1:]:
                dp = dp * z + p
                p = p * z + coefficient
            if p == 0.0:
                continue
            ratio = p / dp if dp != 0.0 else p
            pull = sum(1.0 / (z - w) for j, w in enumerate(roots) if j != k and z != w)
            step = ratio / (1.0 - ratio * pull)
            roots[k] = z - step
            moved = max(moved, abs(step))
        if moved < 1e-15:
            break
    return roots
