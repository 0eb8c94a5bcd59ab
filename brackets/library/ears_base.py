"""Bases under a pair of ears: how large they must be, and where their bolts go. mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from brackets.core.schema.checked import at_least, at_most
from brackets.library.faces import edge_for
from brackets.library.fixings import end_holes

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
