"""What the tightest gaps gain by each single step of the powertrain, and which step is the best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brackets.bay.clear.moving import TRAVEL_WORDS, TURNS
from brackets.bay.position.placing import SHIFTS, BareBay, PlaceGap, gap_at, tightest
from brackets.bay.schema.asked import FIGURES
from brackets.clearance.places import Array

HAIR = 0.01
"""mm or degrees to either side at which other closest points are looked for."""

AS_NEAR = 2e-3
"""mm: points that are no further apart than the closest by more than this count as closest too; a gap is settled
to 0.001 mm at either position."""

WORDS = (*TRAVEL_WORDS, *TURNS)
"""Of each figure, what its plus and its minus are called."""

FURTHEST = (20.0, 5.0)
"""mm, and degrees, of the longest single step that is looked at."""

GAIN = 5e-3
"""mm per mm or degree that counts as gaining."""

LOOKS = 8
"""Positions measured along one step to find how far it is worth going."""

SETTLED = 0.05
"""mm that the measured least spare may be under what the rates say of it."""


def slopes(bare: BareBay, found: PlaceGap, at: Array) -> Array:
    """(2, 6) float: what a gap gains per mm and per degree to the side of each figure's plus, and of its minus.

    Where several points are the closest, as of two faces that look at one another, it is the least of them."""
    plus, minus = found.slope.copy(), -found.slope
    for i in range(len(FIGURES)):
        for sign, gains in ((1.0, plus), (-1.0, minus)):
            aside = at.copy()
            aside[i] += sign * HAIR
            there = gap_at(bare, found.pair, aside)
            if there is None:
                continue
            back = there.low - sign * HAIR * there.slope[i]
            if back <= found.low + AS_NEAR:
                gains[i] = min(gains[i], sign * there.slope[i])
    return np.array((plus, minus))


@dataclass(frozen=True, kw_only=True, eq=False)
class BestStep:
    """One figure changed alone, to one side: `rate`, mm of least spare gained per mm or degree at its start; `far`,
    mm or degrees to where another gap has as little; `after`: the gaps measured there, least spare first."""

    figure: int
    plus: bool
    rate: float
    far: float
    after: tuple[PlaceGap, ...]

    @property
    def words(self) -> str:
        return WORDS[self.figure][0 if self.plus else 1]

    @property
    def unit(self) -> str:
        return "mm" if self.figure < SHIFTS else "deg"


def best_steps(
    bare: BareBay, at: Array, gaps: Sequence[PlaceGap], gains: Sequence[Array]
) -> tuple[BestStep | None, BestStep | None]:
    """The shift and the turn that gain the most of the least spare, per mm and per degree; None where none does.

    gaps: the tightest at the position (6,), least spare first; gains: (2, 6) of each, by `slopes`. How far a step
    is worth going is measured, from where the same figures say. Limits of the place are not looked at.
    """
    shift = _best(bare, at, gaps, gains, range(SHIFTS), FURTHEST[0])
    return shift, _best(bare, at, gaps, gains, range(SHIFTS, len(FIGURES)), FURTHEST[1])


def _best(
    bare: BareBay, at: Array, gaps: Sequence[PlaceGap], gains: Sequence[Array], figures: range, furthest: float
) -> BestStep | None:
    spares = np.array([one.spare for one in gaps])
    least = spares <= spares.min() + AS_NEAR
    found: list[tuple[float, float, int, int, float]] = []
    for i in figures:
        for side in (0, 1):
            rates = np.array([gain[side, i] for gain in gains])
            rate = float(rates[least].min())
            if rate > GAIN:
                far = best_distance(spares, rates, furthest)
                found.append((round(rate, 2), far, -i, -side, rate))
    for _, _, back, away, rate in sorted(found, reverse=True):
        i, plus = -back, away == 0
        rates = np.array([gain[-away, i] for gain in gains])
        far, after = _measured(bare, at, (i, 1.0 if plus else -1.0), spares, rates, furthest)
        if after[0].spare > spares.min():
            return BestStep(figure=i, plus=plus, rate=rate, far=far, after=after)
    return None


def _measured(
    bare: BareBay, at: Array, way: tuple[int, float], spares: Array, rates: Array, furthest: float
) -> tuple[float, tuple[PlaceGap, ...]]:
    """How far to go along a figure and to which side of it, and the gaps there: the best of what was measured.

    Where a gap has less than its rate said, as by a turn that goes on past square, its line there joins the others;
    where that says the same again, half as far is looked at.
    """
    figure, sign = way
    best: tuple[float, tuple[PlaceGap, ...]] | None = None
    start, far = float(spares.min()), best_distance(spares, rates, furthest)
    for _ in range(LOOKS):
        there = at.copy()
        there[figure] += sign * far
        after = tightest(bare, there)
        if best is None or after[0].spare > best[1][0].spare:
            best = far, after
        if after[0].spare > max(start, float((spares + far * rates).min()) - SETTLED):
            break
        rate = sign * after[0].slope[figure]
        spares, rates = np.r_[spares, after[0].spare - far * rate], np.r_[rates, rate]
        nearer = best_distance(spares, rates, furthest)
        far = nearer if abs(nearer - far) > HAIR else far / 2
    assert best is not None
    return best


def best_distance(spares: Array, rates: Array, furthest: float) -> float:
    """How far to go, to `furthest`, so that the least of several lines is the largest: the nearest such place."""
    crossings = [furthest]
    for i in range(len(spares)):
        for j in range(i):
            if rates[i] != rates[j]:
                crossings.append(float((spares[j] - spares[i]) / (rates[i] - rates[j])))
    ahead = sorted(far for far in crossings if 0 < far <= furthest)
    leasts = [float((spares + far * rates).min()) for far in ahead]
    top = max(leasts)
    return next(far for far, least in zip(ahead, leasts, strict=True) if least >= top - 1e-9)
