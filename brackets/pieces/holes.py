"""Holes, slots and cut-outs in plate: values that keep what they are for.

Coordinates are in the plate's own plane, mm; every opening goes square through.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from brackets.outline import Outline, circle, mirror_x, slot, translate
from brackets.tables.fasteners import PILOT_UNDER, PIVOT_CLEARANCE

Point = tuple[float, float]

HoleKind = Literal["pivot", "boss", "fine", "coarse", "tap", "bore", "drain"]
"""pivot: a bush bolt in ears, made REAM_STOCK under and reamed after welding; boss: clearance, ISO 273 medium;
fine, coarse: clearance, ISO 273; tap: drilled to the tapping size; bore: for a bush, tube or bung;
drain: breathing, draining or lightening, no bolt."""


REAM_STOCK = round(PIVOT_CLEARANCE + PILOT_UNDER, 6)
"""mm of diameter that a pivot hole is made under its finished size, so that a reamer has metal to take all round
once the ears are welded and have pulled: common practice, no source. A shop's own is `[hole_tools] ream_stock`."""


def flipped(p: Point) -> Point:
    """`p` mirrored in the line x = 0."""
    return (-p[0] + 0.0, p[1])


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A round hole of finished diameter `d`; `bolt` names the bolt it is for, `washer_od` what must find room.

    Solid, mass, findings and clearance are of the finished part and use `d`. What the blank is cut with is `now`:
    `ream` mm less, where None is REAM_STOCK for a pivot and nothing for every other kind.
    """

    at: Point
    d: float
    kind: HoleKind = "boss"
    bolt: str | None = None
    washer_od: float | None = None
    name: str = ""
    ream: float | None = None

    @property
    def now(self) -> float:
        """Diameter that is cut or drilled before welding, mm; `d` where nothing is reamed afterwards."""
        left = self.ream if self.ream is not None else REAM_STOCK if self.kind == "pivot" else 0.0
        return round(self.d - left, 6) if left else self.d

    @property
    def outline(self) -> Outline:
        """The finished edge."""
        return circle(self.at, self.d / 2)

    @property
    def outline_now(self) -> Outline:
        """The edge as it is cut before welding."""
        return circle(self.at, self.now / 2)

    def mirrored(self) -> Hole:
        return replace(self, at=flipped(self.at))

    def shifted(self, dx: float) -> Hole:
        return replace(self, at=(self.at[0] + dx, self.at[1]))


@dataclass(frozen=True, kw_only=True)
class Slot:
    """A slot with round ends: `a` and `b` are the centres of its ends, `d` its width."""

    a: Point
    b: Point
    d: float
    bolt: str | None = None
    washer_od: float | None = None
    name: str = ""

    @property
    def outline(self) -> Outline:
        return slot(self.a, self.b, self.d)

    @property
    def outline_now(self) -> Outline:
        return self.outline

    def mirrored(self) -> Slot:
        return replace(self, a=flipped(self.a), b=flipped(self.b))

    def shifted(self, dx: float) -> Slot:
        return replace(self, a=(self.a[0] + dx, self.a[1]), b=(self.b[0] + dx, self.b[1]))


@dataclass(frozen=True, kw_only=True)
class Window:
    """A cut-out of any outline: lightening, access, a way for a tube."""

    outline: Outline
    name: str = ""

    @property
    def outline_now(self) -> Outline:
        return self.outline

    def mirrored(self) -> Window:
        return replace(self, outline=mirror_x(self.outline))

    def shifted(self, dx: float) -> Window:
        return replace(self, outline=translate(self.outline, dx, 0.0))


Opening = Hole | Slot | Window
