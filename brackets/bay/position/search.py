"""The position of the powertrain that leaves the largest least spare, within the limits that the user types.

Sequential linear programming: the gaps are taken as they change by their closest points, a linear program finds the
best step within limits and a trust region, and the step is taken where the least spare truly rises; else the region
is halved and what was found there is minded from then on. Several starts by triangles, the best followed by the
kernel's own low ends. It finds a position that no small move betters: of those it tried, not of all there are.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import linprog

from brackets.bay.position.limits import HELD, Limits, limits_of
from brackets.bay.position.placing import SHIFTS, UNITS, BareBay, PlaceGap, tightest, typed_position
from brackets.bay.schema.asked import FIGURES
from brackets.clearance.places import Array
from brackets.core.errors import InputError
from brackets.core.units import length

FIRST_STEP = 10.0
"""mm that the first step may move a figure by, turns by what they move the furthest point."""

LAST_STEP = 1e-3
"""mm of a trust region at which the search ends: gaps are settled no finer."""

SLIGHT = 1e-3
"""mm gained per mm moved that is worth no move."""

RISE = 1e-5
"""mm by which the least spare must rise for a step to be taken."""

MOST_TRIED = 150
"""Positions that one climb looks at; a bay of plain faces takes ten."""

STARTS = 12
"""Positions spread within the limits from which the search is begun as well."""

CLIMBED = 3
"""The best of the starts that are followed, that of the typed place besides."""

ASIDE = (8.0, 2.0, 0.5)
"""mm to each side, of each figure, where it is looked for what the first order does not see."""

ALIKE = 0.05
"""mm: gaps that have no more spare than this above the least hold the position with it."""

GIVEN_AWAY = 0.05
"""mm of the least spare that are given away for round figures: nobody sets an engine closer."""

DECIMALS = {"mm": (1, 2, 3, 5), "in": (2, 3, 4, 6)}
"""Decimals that the shifts are rounded to, roundest first, in the unit of the file; turns have one more."""

PRIMES = (2, 3, 5, 7, 11, 13)

Say = Callable[[str], None]


@dataclass(frozen=True, kw_only=True, eq=False)
class PlaceFound:
    """The best position found: `at` (6,), its tightest gaps and those at the typed place, least spare first.

    holds: gaps that have no more spare than the least; ends: limits that it stands at, in words; outside: limits
    that the typed place does not keep; tried: positions looked at.
    """

    at: Array
    before: tuple[PlaceGap, ...]
    after: tuple[PlaceGap, ...]
    ends: tuple[str, ...]
    outside: tuple[str, ...]
    tried: int

    @property
    def holds(self) -> tuple[PlaceGap, ...]:
        return tuple(one for one in self.after if one.spare <= self.after[0].spare + ALIKE)


@dataclass(eq=False)
class _Climb:
    """One climb: where it is, what is known there, and the lines found where it did not rise."""

    bare: BareBay
    limits: Limits
    home: Array
    say: Say
    rough: bool = False
    tried: int = 0
    cuts: list[tuple[Array, PlaceGap]] = field(default_factory=list)

    def gaps(self, at: Array, radius: float) -> tuple[PlaceGap, ...]:
        """The gaps that may be the least anywhere within a step of `radius` mm."""
        free = self.limits.free
        far = radius * (math.sqrt(float(np.sum(free < SHIFTS))) + float(np.sum(free >= SHIFTS)))
        self.tried += 1
        return tightest(self.bare, at, within=2 * far, rough=self.rough)

    def up(self, at: Array, radius: float = FIRST_STEP) -> tuple[Array, tuple[PlaceGap, ...]]:
        """From a position to one that no small move betters."""
        here = self.gaps(at, radius)
        while radius > LAST_STEP and self.tried < MOST_TRIED:
            step, gain = best_step(self.limits, at, self._lines(at, here, radius), radius, self.home)
            if gain <= max(RISE, SLIGHT * radius):
                radius /= 4
                continue
            trial = self._within(at + step)
            there = () if trial is None else self.gaps(trial, radius)
            if trial is None or there[0].spare < here[0].spare + RISE:
                radius /= 2
                self.cuts += [] if trial is None else [(trial, one) for one in there]
                continue
            well = there[0].spare - here[0].spare > gain / 2
            at, here = trial, there
            self.say(f"least spare {here[0].spare:.2f} mm, {self.tried} positions tried")
            if well and radius < FIRST_STEP:
                radius *= 2
                here = self.gaps(at, radius)
        return at, here

    def settled(self, at: Array, radius: float = FIRST_STEP) -> tuple[Array, tuple[PlaceGap, ...]]:
        """The same, and a look to each side that the first order does not take."""
        at, here = self.up(at, radius)
        while self.tried < MOST_TRIED:
            better = self._aside(at, here[0].spare)
            if better is None:
                break
            at, here = self.up(better, radius)
        return at, here

    def _aside(self, at: Array, least: float) -> Array | None:
        for far in ASIDE:
            for i in self.limits.free:
                for sign in (1.0, -1.0):
                    trial = at.copy()
                    trial[i] += sign * far * self.limits.steps[i]
                    inside = self._within(trial)
                    if inside is None or np.array_equal(inside, at):
                        continue
                    if self.gaps(inside, 0.0)[0].spare > least + max(RISE, SLIGHT * far):
                        return inside
        return None

    def _within(self, at: Array) -> Array | None:
        try:
            return self.limits.brought_in(at)
        except InputError:
            return None

    def _lines(self, at: Array, here: Sequence[PlaceGap], radius: float) -> list[tuple[float, Array]]:
        """Spare at `at`, mm, and how it changes, (6,): of the gaps here, and of those found near here."""
        near = 2 * radius * self.limits.steps
        kept = [(where, one) for where, one in self.cuts if bool(np.all(np.abs(where - at) <= near))]
        return [
            *((one.spare, one.slope) for one in here),
            *((one.spare + float(one.slope @ (at - where)), one.slope) for where, one in kept),
        ]


def best_step(
    limits: Limits, at: Array, lines: Sequence[tuple[float, Array]], radius: float, home: Array
) -> tuple[Array, float]:
    """The step (6,) that raises the least of the lines the most, and by how much, mm: each figure within its limits
    and within what moves the powertrain by `radius` mm. Of steps as good, the one that ends nearest to `home`."""
    free, n = limits.free, len(limits.free)
    none = np.zeros(len(FIGURES)), 0.0
    if n == 0:
        return none
    reach = radius * limits.steps[free]
    low = np.maximum((limits.low - at)[free], -reach)
    high = np.minimum((limits.high - at)[free], reach)
    spares = np.array([spare for spare, _ in lines])
    kept = limits.kept(at)
    rows = np.vstack([*(-slope[free] for _, slope in lines), *(-end.slope[free] for end in kept)])
    with_least = np.hstack((rows, np.r_[np.ones(len(lines)), np.zeros(len(kept))][:, None]))
    room = np.r_[spares, [max(end.slack, 0.0) for end in kept]]
    bounds = [*zip(low, high, strict=True), (None, None)]
    first = linprog(np.r_[np.zeros(n), -1.0], A_ub=with_least, b_ub=room, bounds=bounds, method="highs")
    if first.x is None:
        return none
    best = float(first.x[n])
    # nearest to home with the same least: one more figure for each, no less than how far it is from there
    eye = np.eye(n)
    off = (at - home)[free]
    second = linprog(
        np.r_[np.zeros(n), 1 / limits.steps[free]],
        A_ub=np.block([[rows, np.zeros((len(rows), n))], [eye, -eye], [-eye, -eye]]),
        b_ub=np.r_[room - np.r_[np.full(len(lines), best - RISE / 10), np.zeros(len(kept))], -off, off],
        bounds=[*zip(low, high, strict=True), *[(0.0, None)] * n],
        method="highs",
    )
    chosen = first.x[:n] if second.x is None else second.x[:n]
    step = np.zeros(len(FIGURES))
    step[free] = chosen
    return step, best - float(spares.min())


def spread(limits: Limits) -> list[Array]:
    """Positions spread evenly within the limits, the same ones each time: Halton's points, Numerische Mathematik 2
    (1960) 84, from memory."""
    found = []
    for n in range(1, STARTS + 1 if len(limits.free) else 1):
        at = limits.low.copy()
        for i, base in zip(limits.free, PRIMES, strict=False):
            at[i] += (limits.high[i] - limits.low[i]) * _mirrored(n, base)
        found.append(at)
    return found


def _mirrored(n: int, base: int) -> float:
    """The digits of n in a base, behind the point and the other way round."""
    value, share = 0.0, 1.0
    while n:
        share /= base
        n, digit = divmod(n, base)
        value += share * digit
    return value


def find_place(bare: BareBay, *, most: int = 8, say: Say = lambda _: None) -> PlaceFound:
    """The best position within the limits that the bay types, and the `most` tightest gaps there and before.

    Raises InputError where a point cannot be kept where it must be, BadFile with nothing to measure.
    """
    limits = limits_of(bare)
    home = typed_position(bare.bay.powertrain)
    before = tightest(bare, home, most=most)
    start = limits.brought_in(home)
    tried = 0
    ways: list[tuple[float, int, Array]] = []
    for n, point in enumerate((start, *spread(limits))):
        say(f"start {n} of {STARTS}")
        climb = _Climb(bare, limits, home, say, rough=True)
        try:
            at = limits.brought_in(point)
        except InputError:
            continue
        ways.append((climb.gaps(at, 0.0)[0].spare, n, at))
        tried += 1
    typed, *others = ways
    best: list[tuple[float, int, Array]] = []
    for _, n, at in (typed, *sorted(others, key=lambda way: (-way[0], way[1]))[:CLIMBED]):
        climb = _Climb(bare, limits, home, say, rough=True)
        at, here = climb.settled(at)
        tried += climb.tried
        best.append((here[0].spare, n, at))
    say("measuring the best with the solid kernel")
    _, _, at = max(best, key=lambda way: (round(way[0], 2), way[1] == 0, -way[1]))
    climb = _Climb(bare, limits, home, say)
    at, here = climb.up(at, FIRST_STEP / 10)
    at = _put_back(climb, at, here[0].spare, home)
    if limits.meets(home) and before[0].spare > tightest(bare, at)[0].spare - RISE:
        at = home
    else:
        at = rounded(bare, limits, at, home)
    return PlaceFound(
        at=at,
        before=before,
        after=tightest(bare, at, most=most, within=ALIKE),
        ends=tuple(limits.reached(at)),
        outside=tuple(limits.broken(home)),
        tried=tried + climb.tried,
    )


def _put_back(climb: _Climb, at: Array, least: float, home: Array) -> Array:
    """The same without what was moved for nothing."""
    for i in climb.limits.free:
        trial = at.copy()
        trial[i] = climb.limits.clipped(home)[i]
        if trial[i] != at[i] and climb.limits.meets(trial) and climb.gaps(trial, 0.0)[0].spare >= least - LAST_STEP:
            at = trial
    return at


def rounded(bare: BareBay, limits: Limits, at: Array, home: Array) -> Array:
    """The position in the roundest figures that give away no more than GIVEN_AWAY of the least spare and keep the
    limits; figures that were not changed, or stand at the end of their limits, stay as they are."""
    least = tightest(bare, at)[0].spare
    unit = bare.bay.bare
    for places in DECIMALS[unit]:
        trial = at.copy()
        for i in np.flatnonzero((np.abs(at - home) > HELD) & (at > limits.low) & (at < limits.high)):
            trial[i] = _rounded(float(at[i]), places, unit if UNITS[i] == "mm" else "deg")
        if limits.meets(trial) and tightest(bare, trial)[0].spare >= least - GIVEN_AWAY:
            return trial
    return at


def _rounded(value: float, places: int, unit: str) -> float:
    if unit == "in":
        return length(round(value / length(1.0, bare="in"), places), bare="in") + 0.0
    return round(value, places + (unit == "deg")) + 0.0
