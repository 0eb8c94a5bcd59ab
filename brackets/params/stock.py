"""Sizes that hang on a stockist's rack: any size within limits will do, and the nearest ones kept are known.

Sizes mm. A size off the rack is allowed: what to say about it is a finding's business.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from brackets import tables, units
from brackets.params.rule import Plain
from brackets.params.size import Length

SAME = 0.01
"""mm within which a size is the rack's: inch walls are often written to 0.01 mm, and no rack is that fine."""
FROM_RACK = 0.8
"""Share of random sizes taken from the rack, as most are in a shop."""


@dataclass(frozen=True, kw_only=True)
class Rack:
    """Sizes kept, mm; `gauge` is the scale that "10 ga" means here."""

    name: str
    kept: Callable[[], tuple[float, ...]]
    gauge: str = ""

    def sizes(self, lo: float, hi: float) -> tuple[float, ...]:
        """The sizes kept from `lo` to `hi` mm, rising."""
        return tuple(size for size in self.kept() if lo <= size <= hi)


PLATE = Rack(name="plate", kept=lambda: tables.plate_stock(), gauge="sheet")
TUBE = Rack(name="tube", kept=lambda: tuple(sorted({row.od for row in tables.tubes()})))
WALL = Rack(name="tube wall", kept=lambda: tuple(sorted({row.wall for row in tables.tubes()})), gauge="bwg")


@dataclass(frozen=True, kw_only=True)
class Stock(Length):
    """A length within limits that is best taken from a rack; text may be a gauge, "10 ga"."""

    rack: Rack
    kind: ClassVar[str] = "stock"

    @property
    def sizes(self) -> tuple[float, ...]:
        """What the rack keeps within the limits, mm, rising."""
        return self.rack.sizes(self.lo, self.hi)

    def on_rack(self, value: float) -> bool:
        """Whether the rack keeps it."""
        return any(abs(size - value) <= SAME for size in self.sizes)

    def nearest(self, value: float, *, n: int = 2) -> tuple[float, ...]:
        """The `n` nearest sizes kept, mm, nearest first."""
        return tuple(sorted(self.sizes, key=lambda size: (abs(size - value), size))[:n])

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return tuple(dict.fromkeys((self.lo, *self.sizes[:1], *self.sizes[-1:], self.hi)))

    def sample(self, rng: random.Random, about: Plain = None) -> Plain:
        if self.sizes and rng.random() < FROM_RACK:
            return rng.choice(self.sizes)
        return super().sample(rng, about)

    def _within(self, value: float, name: str, typed: str | None = None) -> Plain:
        if not self.lo <= value <= self.hi and self.sizes:
            near = self.with_unit(self.nearest(value, n=1)[0])
            self.refuse(name, self._shown(value, typed), f"{self.allowed}, nearest stock {near}")
        return super()._within(value, name, typed)

    def _read(self, text: str, name: str, bare: str) -> float:
        meant = [mm for scale, _, mm in units.gauge(text) if scale == self.rack.gauge]
        if not meant and "swg" in text.lower():
            meant = [mm for scale, _, mm in units.gauge(text) if scale == "swg"]
        return meant[0] if meant else super()._read(text, name, bare)
