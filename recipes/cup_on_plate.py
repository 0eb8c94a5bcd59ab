"""Cup on a plate: an adaptor plate on a casting's bosses, the cup let into its edge, gussets between them.

Bosses, bush and lightening holes are points of the bay, so the part comes out where it stands. The cup is square to
the plate: the axis of its bush is the bosses' normal.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    PLATE,
    TUBE,
    WALL,
    WORKED_OUT,
    BushBore,
    Checked,
    CupFollows,
    Finding,
    FindingRule,
    Hole,
    Outline,
    Part,
    Place,
    Seat,
    Vec,
    assembled,
    at_most,
    caution,
    count,
    cup_findings,
    cup_tube_problems,
    direction,
    follows,
    mm,
    norm,
    number,
    point,
    points,
    row,
    square_to,
    stock,
    sub,
    unit,
)
from brackets import library as b

SQUARE = 0.01
LEAST = 1.0

SHORTEST = 12.0
"""mm of a gusset along the plate."""

SPREAD = 30.0
"""Degrees from gusset to gusset round the cup."""


@dataclass(frozen=True, kw_only=True)
class Params(CupFollows, Checked):
    bosses: Annotated[
        tuple[Vec, ...], points(3, "threaded bosses the plate is bolted to", at_least=2, at_most=12, takes="bosses")
    ] = (
        (-50.0, 65.0, 0.0),
        (50.0, 65.0, 0.0),
        (-40.0, 140.0, 0.0),
        (40.0, 140.0, 0.0),
    )
    normal: Annotated[Vec, direction("direction out of the casting", takes="boss normal")] = (0.0, 0.0, 1.0)
    bolt: Annotated[str, row("bolt", "bolts into the bosses", takes="boss bolt")] = "M10"
    bush: Annotated[Vec, point(3, "bush centre; its axis is the bosses' normal", takes="bush centre")] = (
        0.0,
        0.0,
        14.0,
    )
    bush_od: Annotated[float, mm(15, 110, "bush outer diameter, the cup's bore", takes="bush od")] = 50.0
    plate_t: Annotated[float, stock(PLATE, "plate", lo=4.0, hi=16.0)] = 8.0
    edge: Annotated[float | None, mm(8, 60, "hole centre to edge"), follows("edge_used")] = None
    notch: Annotated[float, number(0.2, 0.6, "part of the cup's diameter that is let into the plate")] = 0.5
    cup_od: Annotated[float, stock(TUBE, "tube of the cup, outside"), follows("cup_od_for_bush")] = WORKED_OUT
    cup_wall: Annotated[float, stock(WALL, "wall of that tube"), follows("cup_wall_for_bush")] = WORKED_OUT
    cup_length: Annotated[float, mm(15, 150, "length of the cup")] = 40.0
    gussets: Annotated[int, count(0, 3, "gussets from plate to cup")] = 2
    gusset_t: Annotated[float, stock(PLATE, "gussets", lo=2.0, hi=10.0)] = 5.0
    gusset_leg: Annotated[float, mm(SHORTEST, 80, "gusset along the plate")] = 25.0
    lightening: Annotated[
        tuple[tuple[float, float, float, float], ...],
        points(4, "lightening holes: point of the bay, diameter", at_most=8, axes=("x", "y", "z", "d")),
    ] = ()
    leg: Annotated[float, mm(2, 12, "leg of the welds")] = 4.0

    @cached_property
    def face(self) -> b.Face:
        n = unit(self.normal)
        middle = [sum(p[i] for p in self.bosses) / len(self.bosses) for i in range(3)]
        up = square_to(sub((middle[0], middle[1], middle[2]), self.bush), n)
        return b.Face.on(self.bosses, self.normal, origin=self.bush, up=up)

    @property
    def cup_middle(self) -> float:
        """z of the cup's middle in the plate's frame."""
        return self.face.place.local(self.bush)[2]

    @property
    def edge_used(self) -> float:
        return b.edge_for(self.bolt) if self.edge is None else self.edge

    @cached_property
    def outline(self) -> Outline:
        return b.seated_outline(self.face.points, self.edge_used, cup_od=self.cup_od, notch=self.notch)

    @cached_property
    def openings(self) -> tuple[Hole, ...]:
        light = []
        for i, (x, y, z, d) in enumerate(self.lightening, 1):
            px, py, _ = self.face.place.local((x, y, z))
            light.append(Hole(at=(px, py), d=d, kind="drain", name=f"lightening_{i}"))
        return (*b.boss_holes(self.face.points, self.bolt, name="boss_"), *light)

    @property
    def gusset_rise(self) -> float:
        return self.cup_middle + self.cup_length / 2 - self.plate_t - 2.0

    @cached_property
    def gusset_room(self) -> float:
        return b.gusset_room(
            self.outline, self.openings, self.gussets, spread=SPREAD, cup_od=self.cup_od, t=self.gusset_t
        )

    @property
    def bore(self) -> BushBore:
        return b.bush_bore(self.bush_od, own=self.cup_od - 2 * self.cup_wall)

    def rules(self) -> Iterator[str]:
        yield from cup_tube_problems(self.cup_od, self.cup_wall, self.bush_od)
        n = unit(self.normal)
        middle = [sum(p[i] for p in self.bosses) / len(self.bosses) for i in range(3)]
        if norm(square_to(sub((middle[0], middle[1], middle[2]), self.bush), n)) < self.cup_od:
            yield f"bush = {self.bush}, further to one side of the bosses: the cup is let into the plate's edge"
            return
        yield from b.level_problems(self.bosses, self.normal)
        low = min(y for _, y in self.face.points) - self.edge_used
        if low < self.cup_od / 2 + LEAST and any(
            math.hypot(*p) < self.edge_used + self.cup_od / 2 + LEAST for p in self.face.points
        ):
            near = min(math.hypot(*p) for p in self.face.points) - LEAST
            why = f"a hole is {near + LEAST:.4g} mm from the bush centre"
            if self.edge_used > b.edge_for(self.bolt):
                yield at_most("edge", self.edge_used, near - self.cup_od / 2, why)
            else:
                yield at_most("cup_od", self.cup_od, 2 * (near - self.edge_used), why)
            return
        if low <= b.seat_level(self.cup_od, self.notch) + LEAST:
            yield "bosses = beside or below the cup, all must lie on one side of it: the cup is let into the edge"
            return
        if any(d <= 0 for *_, d in self.lightening):
            yield "lightening = a diameter of 0 or less, must be more than 0 mm"
            return
        yield from b.opening_rules(self.outline, self.openings, least=LEAST)
        z = self.cup_middle
        if not z - self.cup_length / 2 <= 0.0 or not z + self.cup_length / 2 >= self.plate_t:
            off, most = z - self.plate_t / 2, (self.cup_length - self.plate_t) / 2
            limit = f"must be {most:g} mm or less either way" if most >= 0 else "cup_length must be longer"
            yield f"bush = {off:g} mm from the plate's middle, {limit}: the plate must lie within the cup's length"
        elif self.gussets and self.gusset_rise < 8:
            proud = self.gusset_rise + 2
            yield f"gussets = {self.gussets}, none: the cup stands {proud:g} mm proud of the plate, they want 10"
        elif self.gusset_room < SHORTEST:
            room = self.gusset_room
            yield f"gussets = {self.gussets}, fewer: one has {room:.4g} mm of plate under it, of {SHORTEST:g}"
        elif self.gusset_leg > self.gusset_room:
            why = "past it a gusset hangs off the plate or over a hole"
            yield at_most("gusset_leg", self.gusset_leg, self.gusset_room, why)


OVERHUNG_CUP = FindingRule(
    code="overhung cup",
    breaches=(caution(),),
    asks="A cup's middle lies in its plate, or gussets hold it.",
    limit="half the thickness of the plate",
)


def check(p: Params) -> Iterator[Finding]:
    yield from b.bore_findings(p.bore, "cup/cup")
    yield from cup_findings(p.cup_od, p.bush_od, piece="cup/cup")
    off = abs(p.cup_middle - p.plate_t / 2)
    if p.gussets == 0 and OVERHUNG_CUP.over(off, p.plate_t / 2):
        yield OVERHUNG_CUP.finding(
            piece="cup/cup",
            value=off,
            limit=p.plate_t / 2,
            sentence=(
                f"the cup's middle is {off:.1f} mm off the plate's, outside the plate, with no gusset: the plate is"
                " bent at the seat"
            ),
        )


def build(p: Params) -> Part:
    face, z = p.face, p.cup_middle
    plate = b.plate(p.outline, p.plate_t, openings=p.openings)
    tube = f"tube {p.cup_od:g} x {p.cup_wall:g}"
    cup = b.cup(od=p.cup_od, bore=p.bush_od, length=p.cup_length, stock=tube, bush=p.bore)
    gussets, welds = b.cup_gussets(
        p.gussets,
        spread=SPREAD,
        cup_od=p.cup_od,
        legs=(p.gusset_leg, p.gusset_rise),
        t=p.gusset_t,
        above=p.plate_t,
        leg=p.leg,
        plate_name="plate",
        cup="cup/cup",
    )
    seat = b.seat_welds("plate", "cup/cup", cup_od=p.cup_od, notch=p.notch, leg=p.leg)
    part = assembled(
        "cup_on_plate",
        [("cup", cup, Place(at=(0.0, 0.0, z)))],
        pieces=[plate, *face.spacers(p.bolt), *gussets],
        welds=[*seat, *welds],
        seats=[Seat(name="bush", place=Place(at=(0.0, 0.0, z)), kind="bush", d=p.bush_od), *face.seats()],
    )
    return part.placed(face.place)
