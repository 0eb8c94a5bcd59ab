"""Where the user lets the powertrain stand: from and to of each figure of its place, and what must be kept."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog

from brackets.bay.position.kept_ends import ROOM, KeptEnd, kept_ends
from brackets.bay.position.placing import UNITS, BareBay, typed_position
from brackets.bay.schema.asked import FIGURES
from brackets.bay.schema.record import Bay
from brackets.clearance.places import Array, Ints
from brackets.core.errors import InputError

HELD = 1e-9
"""mm and degrees within which a limit is kept."""

INSIDE = {"mm": 1e-10, "deg": ROOM / 2}
"""mm and degrees that a step back is aimed inside of a limit, so that it is kept whatever the last bit of rounding;
of angles, which may have to be none at all, by more than the linear program's own tolerance of 1e-7."""

ROUNDS = 60
"""Steps back to a limit: each leaves about the square of what was missing."""

MINDED = 8
"""Ends of angles that the last steps back were made by and the next ones mind: a joint that may bend by nothing has
one to either side of two ways, and each step sees but one of them."""

MISSING = 1e4
"""mm of steps that a mm of what is missing is worth."""

AT_END = 1e-6, {"mm": 0.1, "deg": 0.05}
"""Degrees and mm within which a figure of the place stands at the end of its limits, and within which what must be
kept does: a place is written in round figures."""

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
        """Every end of everything that must be kept."""
        return kept_ends(self.bay, at)

    def meets(self, at: Array) -> bool:
        """Whether a position is within all of them."""
        inside = bool(np.all(at >= self.low - HELD) and np.all(at <= self.high + HELD))
        return inside and all(end.slack >= -HELD for end in self.kept(at))

    def broken(self, at: Array) -> Iterator[str]:
        """A line for each that a position does not keep."""
        for name, unit, value, low, high in zip(FIGURES, UNITS, at, self.low, self.high, strict=True):
            if value < low - HELD or value > high + HELD:
                yield f"{name} = {value:g} {unit}, {low:g} to {high:g} {unit} under [place]"
        yield from (end.past for end in self._missing(at))

    def reached(self, at: Array) -> Iterator[str]:
        """In words, each limit that a position stands at the end of."""
        for i in self.free:
            for word, end in (("from", self.low[i]), ("to", self.high[i])):
                if abs(at[i] - end) <= AT_END[0]:
                    yield f"{FIGURES[i]} {word} {end:g} {UNITS[i]}"
        reached = (end.words for end in self.kept(at) if abs(end.slack) <= AT_END[1][end.unit])
        yield from dict.fromkeys(reached)

    def brought_in(self, at: Array) -> Array:
        """A position within all limits, about the nearest; InputError with each that cannot be kept, none found."""
        at = self.clipped(at)
        before: list[tuple[Array, KeptEnd]] = []
        for _ in range(ROUNDS):
            ends = self.kept(at)
            if all(end.slack >= -HELD for end in ends):
                break
            lines = [
                (end.slack + float(end.slope @ (at - where)) - INSIDE[end.unit], end.slope)
                for where, end in (*((at, end) for end in ends), *before)
            ]
            step = self._back(at, lines)
            if not step.any():
                break
            before = [*before, *((at, end) for end in ends if end.bends and end.slack < -HELD)][-MINDED:]
            at = self.clipped(at + step)
        missing = self._missing(at)
        if missing:
            raise InputError(*(end.refusal for end in missing))
        return at

    def _missing(self, at: Array) -> list[KeptEnd]:
        """Every end that is not kept, once: a chain is out of line by the further of its two sprockets."""
        found: dict[str, KeptEnd] = {}
        for end in self.kept(at):
            if end.slack < min(-HELD, found[end.words].slack if end.words in found else 0.0):
                found[end.words] = end
        return list(found.values())

    def _back(self, at: Array, lines: Sequence[tuple[float, Array]]) -> Array:
        """The least step (6,) by which every end is kept, were the powertrain to move straight; else that which
        leaves the least missing. lines: how much is left of each, and how that changes, (6,)."""
        free, n = self.free, len(self.free)
        step = np.zeros(len(FIGURES))
        if n == 0:
            return step
        slopes = np.array([slope[free] for _, slope in lines])
        found = linprog(
            np.r_[np.tile(1 / self.steps[free], 2), np.full(len(lines), MISSING)],
            A_ub=np.hstack((-slopes, slopes, -np.eye(len(lines)))),
            b_ub=[slack for slack, _ in lines],
            bounds=[(0.0, float(most)) for most in np.r_[(self.high - at)[free], (at - self.low)[free]]]
            + [(0.0, None)] * len(lines),
            method="highs",
        )
        if found.x is not None:
            step[free] = found.x[:n] - found.x[n : 2 * n]
            step[np.abs(step) < INSIDE["mm"] / 10] = 0.0
        return step


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
