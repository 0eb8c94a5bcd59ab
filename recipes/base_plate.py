"""Base plate: spreads a bracket's load on a rail; ends bent up or down, welded, bolted, or bolted through."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    FIXINGS,
    PLATE,
    SLOT_WAYS,
    UNDER,
    WALL,
    WORKED_OUT,
    Checked,
    Finding,
    FindingRule,
    Fixing,
    Lips,
    Part,
    Place,
    Seat,
    advice,
    base_plate,
    choice,
    count,
    deg,
    end_holes,
    fastened,
    follows,
    mm,
    points,
    row,
    stock,
    yes_no,
)
from brackets.library.fixings import base_welds


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    width: Annotated[float, mm(20, 250, "width, across the bends")] = 60.0
    length: Annotated[float, mm(40, 400, "length, outside")] = 120.0
    t: Annotated[float, stock(PLATE, "plate", lo=3.0, hi=12.0)] = 6.0
    radius: Annotated[float, mm(0, 40, "radius of the free corners")] = 8.0
    flanges: Annotated[int, count(0, 2, "ends that are bent")] = 0
    flange: Annotated[float, mm(10, 120, "outside height of a bent end")] = 40.0
    flange_angle: Annotated[float, deg(-120, 120, "bend angle: up positive, down negative")] = 90.0
    inside_radius: Annotated[float, mm(2, 25, "inside radius of the bends")] = 8.0
    fixing: Annotated[str, choice(FIXINGS, "how it is held on the rail")] = "welded"
    bolt: Annotated[str, row("bolt", "bolts", takes="boss bolt")] = "M10"
    holes: Annotated[
        tuple[tuple[float, float], ...],
        points(2, "bolt holes from the middle", at_most=20),
        follows("holes_on_rail"),
    ] = WORKED_OUT
    slot: Annotated[float, mm(0, 40, "bolted: how far it can be moved on its bolts, in all")] = 0.0
    slot_along: Annotated[str, choice(SLOT_WAYS, "which way the slots run")] = "length"
    through: Annotated[
        float, mm(0.5, 2000, "bolted through: outside depth of the rail, or sheet", takes="rail depth")
    ] = 40.0
    tube_wall: Annotated[float, stock(WALL, "wall of the crush tubes")] = 3.0
    crush_tubes: Annotated[bool, yes_no("crush tubes in the rail")] = True
    spreader_t: Annotated[float, stock(PLATE, "spreader plate on the far side", lo=2.0, hi=10.0)] = 4.0
    leg: Annotated[float, mm(2, 12, "leg of the welds")] = 4.0
    rail_leg: Annotated[float | None, mm(2, 12, "welded: leg along both its sides, none if not known")] = None

    @property
    def flat_long(self) -> float:
        """The length between the bends."""
        return self.length - (2 * (self.inside_radius + self.t) if self.flanges else 0.0)

    @property
    def holes_on_rail(self) -> tuple[tuple[float, float], ...]:
        """None in a welded plate; else one near each end on the middle line, or one where there is no room."""
        if self.fixing == "welded":
            return ()
        along = self.slot if self.slot_along == "length" else 0.0
        return end_holes(self.flat_long, self.bolt, along)

    @property
    def lips(self) -> Lips | None:
        if self.flanges == 0:
            return None
        return Lips(
            height=self.flange, angle=self.flange_angle, inside_radius=self.inside_radius, count=self.flanges
        )

    @cached_property
    def held(self) -> Fixing:
        return Fixing(
            way=self.fixing,
            size=self.bolt,
            points=self.holes,
            through=self.through,
            tube_wall=self.tube_wall,
            crush_tubes=self.crush_tubes,
            spreader_t=self.spreader_t,
            slot=self.slot,
            slot_along=self.slot_along,
            leg=self.rail_leg,
        )

    def rules(self) -> Iterator[str]:
        if self.lips is not None:
            yield from self.lips.rules(self.length, self.t)
            if abs(self.flange_angle) < 5:
                yield f"flange_angle = {self.flange_angle:g} deg, 5 or more either way: a bend"
        elif 2 * self.radius >= min(self.width, self.length):
            yield f"radius = {self.radius:g} mm, below {min(self.width, self.length) / 2:g}: half the shorter side"
        if self.lips is not None and 2 * self.radius >= self.width:
            yield f"radius = {self.radius:g} mm, below {self.width / 2:g}: half the width"
        yield from self.held.rules(self.flat_long, self.width)


ACROSS_THE_RAIL = FindingRule(
    code="across the rail",
    breaches=(advice(),),
    asks="Welds on a rail run along it.",
)


def check(p: Params) -> Iterator[Finding]:
    yield from p.held.findings(piece="base")
    if p.fixing == "welded":
        yield ACROSS_THE_RAIL.finding(
            piece="base",
            sentence="run the welds along the rail: a weld straight across it starts a crack there",
        )


def build(p: Params) -> Part:
    base = base_plate(p.width, p.length, p.t, radius=p.radius, lips=p.lips, openings=p.held.holes)
    seats = (
        Seat(name="under", place=UNDER, kind="face"),
        Seat(name="top", place=Place(at=(0.0, 0.0, p.t)), kind="face"),
    )
    by = fastened(p.held)
    radius = 0.0 if p.lips else p.radius
    on_rail = base_welds(p.held, flat_long=p.flat_long, width=p.width, radius=radius, onto="under")
    welds = (*by.welds, *on_rail)
    return Part(name="base_plate", pieces=(base, *by.pieces), welds=welds, seats=(*seats, *by.seats))
