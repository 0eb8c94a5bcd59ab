"""Moments of what several cuts take off one end of a tube: the deepest cut counts on every line.

Which cut is the deepest changes round the tube; on every radius the places are found where two cuts cross and
where the half-intersection rule begins, and the integral is taken from one to the next.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from brackets.cope import leaning
from brackets.mass.double_exponential import double_exponential
from brackets.mass.record import Moments3
from brackets.pieces import TubeEnd

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

LOOKS = 720
"""Places round the tube where the order of two cuts is looked at; crossings closer than half a degree are
both missed, and the metal between them (under 1e-6 of a tube) with them."""

RADII = 33
"""Radii through the wall where the number of crossings is counted; where it changes is then found exactly."""

HALVINGS = 60
"""Bisections from half a degree to rounding."""

POINTS = 24
"""Gauss points from break to break, dense at both by a cubic change of place."""


def several(cuts: Sequence[tuple[TubeEnd, float]], outer: float, inner: float) -> Moments3:
    """The metal between the node's plane and the deepest of the cuts, each with its clock in degrees.

    In the node's frame: z into the body, clock from x towards y.
    """
    import numpy as np

    total = np.zeros(10)
    for lo, hi in pairwise(_stops(cuts, outer, inner)):
        half, middle = (hi - lo) / 2, (hi + lo) / 2
        for x, weight in double_exponential():
            total += half * weight * _ring(cuts, middle + half * x)
    return Moments3.of_values(*(float(value) for value in total))


def _stops(cuts: Sequence[tuple[TubeEnd, float]], outer: float, inner: float) -> list[float]:
    """Radii between which the ring's integral is smooth: where overhangs begin and crossings come or go."""
    found = {inner, outer}
    found |= {abs(cut.r + side * cut.offset) for cut, _ in cuts if cut.kind == "saddle" for side in (-1, 1)}
    radii = [inner + (outer - inner) * k / (RADII - 1) for k in range(RADII)]
    counts = [len(_crossed(cuts, r)) for r in radii]
    for k in range(RADII - 1):
        lo, hi = radii[k], radii[k + 1]
        if counts[k] != counts[k + 1]:
            for _ in range(HALVINGS):
                middle = (lo + hi) / 2
                lo, hi = (middle, hi) if len(_crossed(cuts, middle)) == counts[k] else (lo, middle)
            found.add(lo)
    return sorted(r for r in found if inner <= r <= outer)


def height(cut: TubeEnd, clock: float, r: float, turn: Array) -> Array:
    """(n,) mm from the node's plane to the cut, at `turn` (n,) radians on radius `r`."""
    import numpy as np

    if cut.kind == "square":
        return np.full_like(turn, cut.shift)
    main_r, offset = (cut.r, cut.offset) if cut.kind == "saddle" else (0.0, 0.0)
    phi = turn - math.radians(clock)
    under = np.maximum(0.0, main_r**2 - (r * np.sin(phi) - offset) ** 2)
    found: Array = (
        r * np.cos(phi) * leaning(cut.angle) + np.sqrt(under) / math.sin(math.radians(cut.angle)) + cut.shift
    )
    return found


def _ring(cuts: Sequence[tuple[TubeEnd, float]], r: float) -> Any:
    import numpy as np

    turns, weights = _places(_breaks(cuts, r))
    z = np.max([height(cut, clock, r, turns) for cut, clock in cuts], axis=0)
    x, y, w = r * np.cos(turns), r * np.sin(turns), r * weights
    one, two, three = w * z, w * z**2 / 2, w * z**3 / 3
    terms = (one, x * one, y * one, two, x * x * one, y * y * one, three, x * y * one, y * two, x * two)
    return np.array([float(term.sum()) for term in terms])


def _places(breaks: Array) -> tuple[Array, Array]:
    import numpy as np

    at, weight = np.polynomial.legendre.leggauss(POINTS)
    t = (at + 1) / 2
    place, slope = t * t * (3 - 2 * t), 3 * t * (1 - t) * weight
    lo, wide = breaks[:-1, None], np.diff(breaks)[:, None]
    return (lo + wide * place).ravel(), (wide * slope).ravel()


def _breaks(cuts: Sequence[tuple[TubeEnd, float]], r: float) -> Array:
    import numpy as np

    found = [np.linspace(0, 2 * math.pi, 9)]
    for cut, clock in cuts:
        if cut.kind == "saddle":
            turns = [math.pi / 2, -math.pi / 2]
            for side in ((cut.offset - cut.r) / r, (cut.offset + cut.r) / r):
                if abs(side) < 1:
                    turns += [math.asin(side), math.pi - math.asin(side)]
            found.append(np.array(turns) + math.radians(clock))
    found.append(_crossed(cuts, r))
    return np.unique(np.concatenate([*(turns % (2 * math.pi) for turns in found), [2 * math.pi]]))


def _crossed(cuts: Sequence[tuple[TubeEnd, float]], r: float) -> Array:
    import numpy as np

    grid = np.linspace(0, 2 * math.pi, LOOKS + 1)
    pairs = [(one, other) for i, one in enumerate(cuts) for other in cuts[i + 1 :]]
    return np.concatenate([_crossings(one, other, r, grid) for one, other in pairs])


def _crossings(one: tuple[TubeEnd, float], other: tuple[TubeEnd, float], r: float, grid: Array) -> Array:
    import numpy as np

    def lead(turn: Array) -> Array:
        return height(*one, r, turn) - height(*other, r, turn)

    over = lead(grid) > 0
    where = np.flatnonzero(over[1:] != over[:-1])
    lo, hi, lo_over = grid[where], grid[where + 1], over[where]
    for _ in range(HALVINGS):
        middle = (lo + hi) / 2
        same = (lead(middle) > 0) == lo_over
        lo, hi = np.where(same, middle, lo), np.where(same, hi, middle)
    return lo
