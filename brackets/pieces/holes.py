"""Holes, slots and cut-outs in plate: values that keep what they are for.

Coordinates are in the plate's own plane, mm; every opening goes square through.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from brackets.outline import Outline, circle, mirror_x, slot, translate

Point = tuple[float, float]

HoleKind = Literal["pivot", "boss", "fine", "coarse", "tap", "bore", "drain"]
"""pivot: a bush bolt in ears, drilled under and reamed after welding; boss: clearance, ISO 273 medium;
fine, coarse: clearance, ISO 273; tap: drilled to the tapping size; bore: for a bush, tube or bung;
drain: breathing, draining or lightening, no bolt."""


def flipped(p: Point) -> Point:
    """`p` mirrored in the line x = 0."""
    return (-p[0] + 0.0, p[1])


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A round hole of diameter `d`; `bolt` names the bolt it is for, `washer_od` what must find room round it."""

    at: Point
    d: float
    kind: HoleKind = "boss"
    bolt: str | None = None
    washer_od: float | None = None
    name: str = ""

    @property
    def outline(self) -> Outline:
        return circle(self.at, self.d / 2)

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

    def mirrored(self) -> Slot:
        return replace(self, a=flipped(self.a), b=flipped(self.b))

    def shifted(self, dx: float) -> Slot:
        return replace(self, a=(self.a[0] + dx, self.a[1]), b=(self.b[0] + dx, self.b[1]))


@dataclass(frozen=True, kw_only=True)
class Window:
    """A cut-out of any outline: lightening, access, a way for a tube."""

    outline: Outline
    name: str = ""

    def mirrored(self) -> Window:
        return replace(self, outline=mirror_x(self.outline))

    def shifted(self, dx: float) -> Window:
        return replace(self, outline=translate(self.outline, dx, 0.0))


Opening = Hole | Slot | Window
