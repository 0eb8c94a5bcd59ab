"""Holes, slots and cut-outs in plate, and bolt patterns: values that keep what they are for.

Coordinates are in the plate's own plane, mm; every opening goes square through.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, assert_never

from brackets.core.errors import OutOfRange
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import PILOT_UNDER, PIVOT_CLEARANCE, hole
from brackets.geometry.curve import Outline
from brackets.geometry.shapes import circle, mirror_x, slot, translate

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
class HoleUse:
    """What becomes of a hole after cutting: `reamed` once welded, `threaded`, `lined` by a bush or tube."""

    reamed: bool = False
    threaded: bool = False
    lined: bool = False


def use_of(kind: HoleKind) -> HoleUse:
    """What becomes of a hole of this kind: the one place that rules and reaming ask."""
    match kind:
        case "pivot":
            return HoleUse(reamed=True)
        case "tap":
            return HoleUse(threaded=True)
        case "bore":
            return HoleUse(lined=True)
        case "boss" | "fine" | "coarse" | "drain":
            return HoleUse()
        case _:
            assert_never(kind)


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
    def use(self) -> HoleUse:
        return use_of(self.kind)

    @property
    def now(self) -> float:
        """Diameter that is cut or drilled before welding, mm; `d` where nothing is reamed afterwards."""
        usual = REAM_STOCK if self.use.reamed else 0.0
        left = usual if self.ream is None else self.ream
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
    """A slot with round ends: `a` and `b` are the centres of its ends, `d` its width.

    Its `range` is what it is for: a bolt stands anywhere from `a` to `b`, its clearance left all round.
    """

    a: Point
    b: Point
    d: float
    bolt: str | None = None
    washer_od: float | None = None
    name: str = ""

    @property
    def range(self) -> float:
        """How far a bolt can be moved along it from end to end, mm: its whole length less its width."""
        return math.dist(self.a, self.b)

    @property
    def whole(self) -> float:
        """Length from end to end, mm."""
        return self.range + self.d

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


def slotted(hole: Hole, travel: float, *, angle: float = 0.0) -> Hole | Slot:
    """The slot that lets a hole's bolt be moved, half each way from where the hole is; the hole itself for none.

    hole: its diameter is the slot's width; travel: from end to end, mm, 0 or more; angle: of the slot, degrees from
    x towards y. Raises InputError for a travel below 0.

    >>> made = slotted(bolt_hole((40, 0), "M10"), 12)
    >>> made.a, made.b, made.d, made.range, made.whole
    ((34.0, 0.0), (46.0, 0.0), 11.0, 12.0, 23.0)
    """
    if not travel >= 0:
        raise OutOfRange(f"travel = {travel:g} mm, must be 0 or more: of a slot from end to end")
    if travel == 0:
        return hole
    turn, (x, y) = math.radians(angle), hole.at
    dx, dy = (round(travel / 2 * way, 12) for way in (math.cos(turn), math.sin(turn)))
    return Slot(
        a=(x - dx, y - dy),
        b=(x + dx, y + dy),
        d=hole.d,
        bolt=hole.bolt,
        washer_od=hole.washer_od,
        name=hole.name,
    )


def rectangle(pitch_x: float, pitch_y: float) -> tuple[Point, ...]:
    """Four holes at the corners of a rectangle, counter-clockwise from the lower left."""
    x, y = pitch_x / 2, pitch_y / 2
    return ((-x, -y), (x, -y), (x, y), (-x, y))


def row(pitch: float, count: int) -> tuple[Point, ...]:
    """`count` holes in a line along x."""
    return tuple((pitch * (i - (count - 1) / 2), 0.0) for i in range(count))


def bolt_circle(d: float, count: int, *, first: float = 0.0) -> tuple[Point, ...]:
    """Centres of holes spread evenly on a circle about the origin: a tuple of (x, y), mm.

    d: diameter of the circle, mm; count: holes, 1 or more; first: degrees from x towards y to the first hole.
    Raises InputError for a count below 1.

    >>> [(round(x), round(y)) for x, y in bolt_circle(100, 3, first=90)]  # the first on y, then anticlockwise
    [(0, 50), (-43, -25), (43, -25)]
    """
    if count < 1:
        raise OutOfRange(f"count = {count}, must be 1 or more: holes on a bolt circle")
    turns = [math.radians(first + 360.0 * i / count) for i in range(count)]
    return tuple((d / 2 * math.cos(a), d / 2 * math.sin(a)) for a in turns)


def bolt_hole(at: Point, size: str, *, kind: HoleKind = "boss", name: str = "") -> Hole:
    """The hole for a bolt: its diameter from the table by its kind, and the washer that must find room round it.

    at: (x, y) of its centre, mm; size: the bolt, as "M10"; kind: "boss" (clearance, medium), "fine" or "coarse"
    (clearance), "tap" or "pivot" (a bush bolt in ears); name: what drawings and findings call it. Raises InputError
    for a size or kind that the table has not.

    >>> bolt_hole((0, 0), "M10").d, bolt_hole((0, 0), "M10", kind="tap").d  # ISO 273 medium; tapping drill
    (11.0, 8.5)
    """
    return Hole(at=at, d=hole(size, kind), kind=kind, bolt=size, washer_od=bolt(size).washer_od, name=name)


def bolt_holes(points: Iterable[Point], size: str, *, kind: HoleKind = "boss", name: str = "") -> tuple[Hole, ...]:
    """One hole for a bolt at each point, in the order of the points.

    points: (x, y) of the centres, mm; size, kind: as for `bolt_hole`; name: put before a number from 1 to name
    them, none where it is empty. Raises InputError for a size or kind that the table has not.

    >>> [hole.name for hole in bolt_holes([(0, 0), (40, 0)], "M10", name="foot_")]
    ['foot_1', 'foot_2']
    """
    return tuple(
        bolt_hole(at, size, kind=kind, name=f"{name}{i}" if name else "") for i, at in enumerate(points, 1)
    )
