"""Bases under a pair of ears: how large they must be, where their bolts go, and ears that lean on them. mm.

Ears are cut square. Where the bush axis leans out of the plate they stand on, each touches it with one edge of its
foot; the other is open by t tan(slope), which no weld bridges, so that only the touching face is welded.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from brackets.core.finding import Finding
from brackets.core.rulebook.parts import SQUARE_FOOT
from brackets.core.schema.bounds import at_least, at_most
from brackets.library.ears import FACES, Ears, FlatSeat
from brackets.library.faces import edge_for
from brackets.library.fixings import end_holes
from brackets.model.weld import Weld

STEEPEST = 60.0
"""Degrees by which the bush axis may lean out of the plate at most, whatever the ears' thickness."""

FLUSH = 1e-6
"""A gap that is rounding, mm."""

WIDTH, LENGTH = 60.0, 120.0
"""Of a base where neither it nor wider ears are typed."""


@dataclass(frozen=True, kw_only=True)
class EarsBase:
    """The base of a pair of ears.

    wide, long: what the feet take along and across the bush axis; t, radius: of the base; flanges: how many of its
    ends are bent up, by `inside_radius`; bolt: the size through it, None where it is welded; slot: how far that can
    be moved along the length.
    """

    wide: float
    long: float
    t: float
    radius: float
    flanges: int
    inside_radius: float
    bolt: str | None
    slot: float

    @property
    def bends(self) -> float:
        """What the bends take of its length."""
        return 2 * (self.inside_radius + self.t) if self.flanges else 0.0

    @property
    def ends(self) -> float:
        """What bends or rounded corners take of its length."""
        return self.bends + (2 * self.radius if self.flanges < 2 else 0.0)

    @property
    def width(self) -> float:
        """Along the bush axis, where none is typed."""
        return max(WIDTH, self.wide, 2 * self.radius + 1)

    @property
    def length(self) -> float:
        """Across the bush axis, where none is typed."""
        bolts = 0.0 if self.bolt is None else 4 * edge_for(self.bolt) + 2 * self.slot
        return max(LENGTH, self.long + max(self.ends, self.bends + bolts))

    def holes(self, length: float) -> tuple[tuple[float, float], ...]:
        """One near each end on the middle line of a base of that length; none in one that is welded."""
        return () if self.bolt is None else end_holes(length - self.bends, self.bolt, self.slot)

    def rules(self, width: float, length: float) -> Iterator[str]:
        """What is wrong with a base of that width and length: yields a line each."""
        if width < self.wide:
            yield at_least("base_width", width, self.wide, "the ears stand on it")
        if length < self.long + self.ends - 1e-9:
            why = f"the ears' foot {self.long:.4g} between the bends or the rounded corners"
            yield at_least("base_length", length, self.long + self.ends, why)
        most = min(width, length) / 2 - 0.1
        if self.radius > most:
            yield at_most("base_radius", self.radius, most, "under half the base's shorter side")


@dataclass(frozen=True, kw_only=True)
class FeetOnBase:
    """What a pair of ears takes of a plate: `long` across the bush axis, on both sides of the middle alike; from
    `near` to `far` off the middle, along the axis as it lies on the plate. mm."""

    long: float
    near: float
    far: float

    @property
    def wide(self) -> float:
        return 2 * self.far


def feet_on_base(ears: Ears, flat: FlatSeat) -> FeetOnBase:
    """Both feet as they are seen square to the flat.

    ears: set as their feet stand, which joggled ones do further apart than the bush asks; flat: the plate's face.
    """
    on = flat.seat().place
    corners = []
    for level in ears.levels:
        low, high = level - ears.t / 2, level + ears.t / 2
        ends = flat.met(low, high).corners(ears.foot, ears.ear_r)
        corners += [on.local((x, y, z)) for x, y in ends for z in (low, high)]
    return FeetOnBase(
        long=2 * max(abs(x) for x, _, _ in corners),
        near=min(abs(y) for _, y, _ in corners),
        far=max(abs(y) for _, y, _ in corners),
    )


def open_foot(slope: float, t: float) -> float:
    """The gap under the far side of a square foot `t` mm thick, mm; slope: of the bush axis out of the plate,
    degrees."""
    return t * math.tan(math.radians(abs(slope)))


def steepest(t: float, welded_over: float) -> float:
    """Largest slope, degrees, whose gap is still welded over, mm."""
    return min(STEEPEST, math.degrees(math.atan(welded_over / t)))


def slope_rules(slope: float, t: float, *, welded_over: float) -> Iterator[str]:
    """What is wrong with ears that are cut square on a plate that slopes, degrees: yields a line or none."""
    most = steepest(t, welded_over)
    if abs(slope) > most:
        yield (
            f"slope = {slope:g} deg, {most:.1f} or less either way: an ear {t:g} thick is cut square and"
            f" {welded_over:g} mm is welded over"
        )


def touching_welds(welds: Iterable[Weld], slope: float, t: float) -> tuple[Weld, ...]:
    """Those of the welds on both faces of each foot that have metal under them: all on a level plate; on one that
    falls away from the bush where z grows (slope over 0), those on the low faces."""
    touching = set(FACES) if open_foot(slope, t) <= FLUSH else {"low" if slope > 0 else "high"}
    return tuple(w for w in welds if getattr(w.edge, "face", None) in touching)


def square_foot_findings(slope: float, t: float) -> Iterator[Finding]:
    """Advice where the feet are open on one side."""
    gap = open_foot(slope, t)
    if gap > FLUSH:
        yield SQUARE_FOOT.finding(
            piece="ears",
            value=gap,
            limit=0.0,
            sentence=f"the bush axis leans {abs(slope):.1f} deg out of the plate: each ear's foot is open"
            f" {gap:.1f} mm on one side, where no weld is counted",
        )
