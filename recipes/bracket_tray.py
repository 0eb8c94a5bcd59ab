"""Bracket tray: folded, for a battery, coil or pump; strap slots over its bends, its corners drilled for relief."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    PLATE,
    UNDER,
    WORKED_OUT,
    Checked,
    Finding,
    FindingRule,
    Folded,
    Hole,
    Part,
    Place,
    Relief,
    Seat,
    Slot,
    Wall,
    advice,
    at_least,
    at_most,
    bend_allowance,
    boss_holes,
    count,
    deg,
    follows,
    lip,
    mm,
    opening_rules,
    points,
    rectangle,
    row,
    setback,
    stock,
)

LEAST = 2.0
LOOSE = 2.0
LIP = 4.0
HEIGHT = 40.0
"""Height of the sides that are not typed, mm."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    length: Annotated[float, mm(60, 600, "length, outside at the floor")] = 200.0
    width: Annotated[float, mm(40, 400, "width, outside at the floor")] = 130.0
    height: Annotated[
        float, mm(12, 150, "height of the sides, outside, along the plate"), follows("height_for_corner")
    ] = WORKED_OUT
    ends: Annotated[int, count(0, 2, "ends that are folded up beside the two long sides")] = 2
    angle: Annotated[float, deg(30, 90, "bend angle: 90 upright, less leans out")] = 90.0
    t: Annotated[float, stock(PLATE, "plate", lo=1.0, hi=5.0)] = 2.0
    inside_radius: Annotated[float, mm(1, 12, "inside radius of the bends")] = 2.5
    corner: Annotated[float, mm(0, 40, "radius of the free corners of the sides")] = 8.0
    relief: Annotated[float | None, mm(1, 30, "drilled out of each folded corner"), follows("relief_d")] = None
    straps: Annotated[int, count(0, 4, "straps over the tray")] = 1
    strap: Annotated[float, mm(10, 60, "width of a strap")] = 25.0
    bolt: Annotated[str, row("bolt", "bolts through the floor", takes="boss bolt")] = "M8"
    holes: Annotated[tuple[tuple[float, float], ...], points(2, "bolt holes from the middle", at_most=20)] = (
        (-60.0, 0.0),
        (60.0, 0.0),
    )
    drain: Annotated[float, mm(0, 30, "drain hole in the middle, 0 for none")] = 10.0

    @property
    def height_for_corner(self) -> float:
        """HEIGHT, or more for the corners, the reliefs and the straps' slots that are typed."""
        reach = (self.slot_d - self.allowance) / 2 if self.straps else 0.0
        side = max(reach + self.corner + LEAST, 2 * self.relief_d)
        return max(HEIGHT, math.ceil(self.back + side))

    @property
    def relief_d(self) -> float:
        return 2 * self.t + self.inside_radius if self.relief is None else self.relief

    @property
    def back(self) -> float:
        return setback(self.angle, self.inside_radius, self.t)

    @property
    def floor(self) -> tuple[float, float]:
        """The flat of the floor between the bends, along and across."""
        return self.length - self.ends * self.back, self.width - 2 * self.back

    @property
    def allowance(self) -> float:
        return bend_allowance(self.angle, self.inside_radius, self.t)

    @property
    def slot_d(self) -> float:
        """Width of a strap's slot: a whole mm, so that there is a drill for its ends."""
        return math.ceil(self.allowance + 2 * LIP)

    @cached_property
    def openings(self) -> tuple[Hole, ...]:
        drain = [Hole(at=(0.0, 0.0), d=self.drain, kind="drain", name="drain")] if self.drain > 0 else []
        return (*boss_holes(self.holes, self.bolt), *drain)

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """Along the two long bends, LIP mm or little more into floor and side: the strap lies round the corner."""
        d = self.slot_d
        half = max(LEAST, self.strap + LOOSE - d) / 2
        along = self.floor[0]
        middles = [along * ((i + 0.5) / self.straps - 0.5) for i in range(self.straps)]
        level = self.floor[1] / 2 + self.allowance / 2
        return tuple(
            Slot(a=(x - half, y), b=(x + half, y), d=d, name="strap") for y in (-level, level) for x in middles
        )

    def rules(self) -> Iterator[str]:
        side = self.height - self.back
        if side < self.corner + LEAST:
            least = self.back + self.corner + LEAST
            yield at_least("height", self.height, least, "bend, corner, some flat")
        along, across = self.floor
        taken = self.relief_d + 2 * max(LEAST, self.corner)
        if min(along, across) < taken:
            short, lost = ("length", self.length - along) if along < across else ("width", self.width - across)
            yield at_least(short, getattr(self, short), lost + taken, "bends, reliefs, some flat")
            return
        if 2 * self.relief_d > side:
            yield at_most("relief", self.relief_d, side / 2, "half the flat of a side")
        room = (along - self.relief_d) / max(self.straps, 1)
        reach = (self.slot_d - self.allowance) / 2 if self.straps else 0.0
        narrow = self.slot_d + LEAST - LOOSE
        if self.straps and self.strap < narrow:
            yield at_least("strap", self.strap, narrow, f"its slot is {self.slot_d:g} wide")
        if self.straps and self.strap + LOOSE + 2 * LIP > room:
            yield f"strap = {self.strap:g} mm, fewer or narrower: each has {room:.1f} mm of side"
        if self.straps and side < reach + self.corner + LEAST:
            least = self.back + reach + self.corner + LEAST
            yield at_least("height", self.height, least, "a strap's slot")
        clear = rectangle(along - self.relief_d, across - max(self.relief_d, 2 * reach))
        yield from opening_rules(clear, self.openings, least=LEAST)


DRAIN = FindingRule(
    code="drain",
    breaches=(advice(),),
    asks="A closed tray has a drain hole.",
)
STRAP = FindingRule(
    code="strap",
    breaches=(advice(),),
    asks="The edges of strap slots are rounded or lined.",
)


def check(p: Params) -> Iterator[Finding]:
    if p.drain == 0 and p.ends == 2:
        yield DRAIN.finding(piece="tray", sentence="a closed tray wants a drain hole")
    if p.straps:
        yield STRAP.finding(
            piece="tray",
            sentence="round the edges of the strap slots, or line them: a sheared edge saws a strap through",
        )


def build(p: Params) -> Part:
    along, across = p.floor
    x, y = along / 2, across / 2
    sides = [((x, -y), (-x, -y)), ((-x, y), (x, y)), ((-x, -y), (-x, y)), ((x, y), (x, -y))][: 2 + p.ends]
    tray = Folded(
        name="tray",
        t=p.t,
        base=Wall(outline=rectangle(along, across), openings=(*p.openings, *p.slots)),
        flanges=tuple(
            lip(
                a,
                b,
                t=p.t,
                length=p.height,
                angle=p.angle,
                inside_radius=p.inside_radius,
                corner=p.corner,
                relief=Relief(kind="round", width=p.relief_d) if p.ends else None,
            )
            for a, b in sides
        ),
    )
    seats = (
        Seat(name="under", place=UNDER, kind="face"),
        Seat(name="floor", place=Place(at=(0.0, 0.0, p.t)), kind="face"),
    )
    return Part(name="bracket_tray", pieces=(tray,), seats=seats)
