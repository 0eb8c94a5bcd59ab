"""Where the user lets the powertrain stand: from and to of each figure, and points that must stay within a box."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from brackets.bay.placing import UNITS, BareBay, motion, place_at, typed_position
from brackets.bay.record import Bay
from brackets.bay.schema import FIGURES, KeepWithin
from brackets.clearance.places import Array, Ints
from brackets.core.errors import InputError

HELD = 1e-9
"""mm and degrees within which a limit is kept."""

INSIDE = 1e-10
"""mm that a step back is aimed inside of a limit, so that it is kept whatever the last bit of rounding."""

ROUNDS = 30
"""Steps back to a limit: each leaves the square of what was missing."""

MISSING = 1e4
"""mm of steps that a mm of what is missing is worth."""

AT_END = 1e-6, 0.1
"""Degrees and mm within which a figure stands at the end of its limits, and mm within which a point does: a place
is written in round figures."""


@dataclass(frozen=True, eq=False)
class KeptEnd:
    """One end that a point must not pass: `slack` mm left at a position, and how that changes, (6,)."""

    words: str
    slack: float
    slope: Array


@dataclass(frozen=True, eq=False)
class Limits:
    """`low` and `high` (6,) of each figure, the same where it stays; `steps` (6,): what moves the furthest point of
    the powertrain by about a mm."""

    bay: Bay
    low: Array
    high: Array
    steps: Array

    @property
    def free(self) -> Ints:
        """(n,) int: the figures that may change."""
        return np.flatnonzero(self.high > self.low)

    def clipped(self, at: Array) -> Array:
        return np.clip(at, self.low, self.high)

    def kept(self, at: Array) -> tuple[KeptEnd, ...]:
        """Every end of every point that must stay within something."""
        if not self.bay.kept_within:
            return ()
        powertrain = self.bay.powertrain
        place = place_at(powertrain, at)
        found = []
        for row in self.bay.kept_within:
            point = np.asarray(place.point(row.at))
            moves = motion(powertrain, at, point)
            for i, (low, high) in enumerate(ends_of(row)):
                axis = "xyz"[i]
                if low is not None:
                    found.append(KeptEnd(f"{row.name} {axis} from {low:g} mm", float(point[i]) - low, moves[i]))
                if high is not None:
                    found.append(KeptEnd(f"{row.name} {axis} to {high:g} mm", high - float(point[i]), -moves[i]))
        return tuple(found)

    def meets(self, at: Array) -> bool:
        """Whether a position is within all of them."""
        inside = bool(np.all(at >= self.low - HELD) and np.all(at <= self.high + HELD))
        return inside and all(end.slack >= -HELD for end in self.kept(at))

    def broken(self, at: Array) -> Iterator[str]:
        """A line for each that a position does not keep."""
        for name, unit, value, low, high in zip(FIGURES, UNITS, at, self.low, self.high, strict=True):
            if value < low - HELD or value > high + HELD:
                yield f"{name} = {value:g} {unit}, {low:g} to {high:g} {unit} under [place]"
        for end in self.kept(at):
            if end.slack < -HELD:
                yield f"{end.words}: {-end.slack:.2f} mm past it"

    def reached(self, at: Array) -> Iterator[str]:
        """In words, each limit that a position stands at the end of."""
        for i in self.free:
            for word, end in (("from", self.low[i]), ("to", self.high[i])):
                if abs(at[i] - end) <= AT_END[0]:
                    yield f"{FIGURES[i]} {word} {end:g} {UNITS[i]}"
        yield from (end.words for end in self.kept(at) if abs(end.slack) <= AT_END[1])

    def brought_in(self, at: Array) -> Array:
        """A position within all limits, about the nearest; InputError with each that cannot be kept, none found."""
        at = self.clipped(at)
        for _ in range(ROUNDS):
            ends = self.kept(at)
            step = np.zeros(len(FIGURES)) if all(end.slack >= -HELD for end in ends) else self._back(at, ends)
            if not step.any():
                break
            at = self.clipped(at + step)
        missing = [end for end in self.kept(at) if end.slack < -HELD]
        if missing:
            lines = (f"{end.words}, not kept within [place]: {-end.slack:.1f} mm missing" for end in missing)
            raise InputError(*(f"keep_within {line}" for line in lines))
        return at

    def _back(self, at: Array, ends: tuple[KeptEnd, ...]) -> Array:
        """The least step (6,) by which every end is kept, were the powertrain to move straight; else that which
        leaves the least missing."""
        free, n = self.free, len(self.free)
        step = np.zeros(len(FIGURES))
        if n == 0:
            return step
        slopes = np.array([end.slope[free] for end in ends])
        found = linprog(
            np.r_[np.tile(1 / self.steps[free], 2), np.full(len(ends), MISSING)],
            A_ub=np.hstack((-slopes, slopes, -np.eye(len(ends)))),
            b_ub=[end.slack - INSIDE for end in ends],
            bounds=[(0.0, float(most)) for most in np.r_[(self.high - at)[free], (at - self.low)[free]]]
            + [(0.0, None)] * len(ends),
            method="highs",
        )
        if found.x is not None:
            step[free] = found.x[:n] - found.x[n : 2 * n]
            step[np.abs(step) < INSIDE / 10] = 0.0
        return step


def ends_of(row: KeepWithin) -> tuple[tuple[float | None, float | None], ...]:
    """From and to of a point along x, y and z, mm; None where it is free."""
    return (row.x_from, row.x_to), (row.y_from, row.y_to), (row.z_from, row.z_to)


def limits_of(bare: BareBay) -> Limits:
    """The limits that a bay file types; what it does not name stays as it is typed."""
    bay = bare.bay
    typed = typed_position(bay.powertrain)
    low, high = typed.copy(), typed.copy()
    for i, name in enumerate(FIGURES):
        ends = getattr(bay.place_limits, name)
        if ends is not None:
            low[i], high[i] = ends
    per_degree = np.degrees(1 / max(bare.reach, 1.0))
    steps = np.array([1.0 if unit == "mm" else per_degree for unit in UNITS])
    return Limits(bay=bay, low=low, high=high, steps=steps)
