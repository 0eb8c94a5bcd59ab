"""Ears on a base plate: two ears welded on a plate that spreads their load along a flat rail, welded or bolted.

Where the rail slopes along the bush axis the base lies on it and the ears, cut square, stand on one edge each.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    FIXINGS,
    PLATE,
    SLOT_WAYS,
    WALL,
    WORKED_OUT,
    Checked,
    Ears,
    Finding,
    FindingRule,
    Fixing,
    FlatSeat,
    Joggle,
    Lips,
    Part,
    Place,
    Seat,
    Weld,
    add,
    advice,
    assembled,
    base_plate,
    choice,
    count,
    deg,
    ear_foot,
    fastened,
    follows,
    joggle_rules,
    joggled,
    mm,
    on_flat,
    points,
    row,
    scale,
    stock,
    washer_rules,
    yes_no,
)
from brackets.library.ears_base import (
    EarsBase,
    FeetOnBase,
    feet_on_base,
    slope_rules,
    square_foot_findings,
    touching_welds,
)
from brackets.library.fixings import base_welds
from brackets.library.joggled_ears import feet
from brackets.rules.joints import ROOT_OPENING


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bolt: Annotated[str, row("bolt", "bolt through the bush's sleeve", takes="bush bolt")] = "M12"
    inside: Annotated[float, mm(15, 150, "between the ears: sleeve length and its play", takes="ear spacing")] = (
        46.5
    )
    ear_r: Annotated[float, mm(12, 60, "ear radius round the bolt")] = 24.0
    t: Annotated[float, stock(PLATE, "plate of the ears", lo=3.0, hi=12.0)] = 6.0
    reach: Annotated[float, mm(25, 250, "bush centre to the rail's face, under the base", takes="rail reach")] = (
        48.0
    )
    slope: Annotated[float, deg(-40, 40, "slope of the rail along the bush axis", takes="rail slope")] = 0.0
    lean: Annotated[float, deg(-40, 40, "lean of the rail's face about the bush axis", takes="rail lean")] = 0.0
    foot: Annotated[float | None, mm(15, 150, "width of the ears' foot"), follows("foot_used")] = None
    joggle: Annotated[bool, yes_no("feet of the ears set out or in by a joggle")] = False
    set_out: Annotated[float, mm(-60, 60, "joggle: feet further out than the ears, negative: in")] = 12.0
    joggle_at: Annotated[float | None, mm(15, 120, "bush centre to where the joggle begins")] = None
    joggle_angle: Annotated[float, deg(15, 90, "angle of its two bends")] = 45.0
    joggle_radius: Annotated[float, mm(2, 25, "inside radius of its bends")] = 8.0
    base_width: Annotated[float, mm(20, 250, "base along the bush axis"), follows("width_for_ears")] = WORKED_OUT
    base_length: Annotated[float, mm(40, 400, "base across the bush axis, outside"), follows("length_for_foot")] = (
        WORKED_OUT
    )
    base_t: Annotated[float, stock(PLATE, "plate of the base", lo=3.0, hi=12.0)] = 6.0
    base_radius: Annotated[float, mm(0, 40, "radius of the base's free corners")] = 8.0
    base_flanges: Annotated[int, count(0, 2, "ends of the base that are bent up")] = 0
    base_flange: Annotated[float, mm(10, 120, "outside height of a bent end")] = 40.0
    base_flange_angle: Annotated[float, deg(5, 120, "bend angle of the ends, up")] = 90.0
    base_inside_radius: Annotated[float, mm(2, 25, "inside radius of the bends")] = 8.0
    leg: Annotated[float, mm(2, 12, "leg of the welds")] = 4.0
    rail_leg: Annotated[float | None, mm(2, 12, "welded: leg along both its sides, none if not known")] = None
    fixing: Annotated[str, choice(FIXINGS, "how the base is held on the rail")] = "welded"
    base_bolt: Annotated[str, row("bolt", "bolts through the base")] = "M10"
    base_holes: Annotated[
        tuple[tuple[float, float], ...],
        points(2, "bolt holes from the base's middle: across, along the bush axis", at_most=20),
        follows("holes_on_rail"),
    ] = WORKED_OUT
    slot: Annotated[float, mm(0, 40, "bolted: how far the base can be moved on its bolts, in all")] = 0.0
    slot_along: Annotated[
        str, choice(SLOT_WAYS, "which way the slots run: length is across the bush axis, width along it")
    ] = "length"
    through: Annotated[
        float, mm(0.5, 2000, "bolted through: outside depth of the rail, or sheet", takes="rail depth")
    ] = 40.0
    tube_wall: Annotated[float, stock(WALL, "wall of the crush tubes")] = 3.0
    crush_tubes: Annotated[bool, yes_no("crush tubes in the rail")] = True
    spreader_t: Annotated[float, stock(PLATE, "spreader plate on the far side", lo=2.0, hi=10.0)] = 4.0

    @cached_property
    def ears(self) -> Ears:
        foot = self.foot_used
        return Ears(bolt=self.bolt, inside=self.inside, ear_r=self.ear_r, t=self.t, foot=foot, leg=self.leg)

    @property
    def foot_used(self) -> float:
        return ear_foot(self.ear_r, None) if self.foot is None else self.foot

    @property
    def bent(self) -> Joggle | None:
        if not self.joggle:
            return None
        at = self.ear_r + self.t if self.joggle_at is None else self.joggle_at
        return Joggle(set_out=self.set_out, at=at, angle=self.joggle_angle, inside_radius=self.joggle_radius)

    @cached_property
    def feet(self) -> FeetOnBase:
        return feet_on_base(self.ears if self.bent is None else feet(self.ears, self.bent), self.flat)

    @cached_property
    def room(self) -> EarsBase:
        """What the ears and their bolts take of the base."""
        return EarsBase(
            wide=self.feet.wide,
            long=self.feet.long,
            t=self.base_t,
            radius=self.base_radius,
            flanges=self.base_flanges,
            inside_radius=self.base_inside_radius,
            bolt=None if self.fixing == "welded" else self.base_bolt,
            slot=self.slot if self.slot_along == "length" else 0.0,
        )

    @property
    def holes_on_rail(self) -> tuple[tuple[float, float], ...]:
        return self.room.holes(self.base_length or self.length_for_foot)

    @property
    def width_for_ears(self) -> float:
        return self.room.width

    @property
    def length_for_foot(self) -> float:
        return self.room.length

    @cached_property
    def flat(self) -> FlatSeat:
        return FlatSeat(reach=self.reach, lean=self.lean, slope=self.slope).raised(self.base_t)

    @property
    def lips(self) -> Lips | None:
        if self.base_flanges == 0:
            return None
        up, r = self.base_flange, self.base_inside_radius
        return Lips(height=up, angle=self.base_flange_angle, inside_radius=r, count=self.base_flanges)

    @property
    def held(self) -> Fixing:
        return Fixing(
            way=self.fixing,
            size=self.base_bolt,
            points=self.base_holes,
            through=self.through,
            tube_wall=self.tube_wall,
            crush_tubes=self.crush_tubes,
            spreader_t=self.spreader_t,
            slot=self.slot,
            slot_along=self.slot_along,
            leg=self.rail_leg,
        )

    def rules(self) -> Iterator[str]:
        if self.bent is None:
            yield from self.ears.rules(self.flat)
        else:
            yield from joggle_rules(self.ears, self.flat, self.bent)
        yield from slope_rules(self.slope, self.t, welded_over=ROOT_OPENING)
        yield from self.room.rules(self.base_width, self.base_length)
        if self.lips is not None:
            yield from self.lips.rules(self.base_length, self.base_t)
        yield from self.held.rules(self.base_length - self.room.bends, self.base_width, named="base_holes")
        if self.fixing != "welded":
            yield from washer_rules(
                self.held.ends,
                self.base_bolt,
                half_long=self.feet.long / 2,
                low=self.feet.near - self.leg,
                high=self.feet.far + self.leg,
                named="base_holes",
            )


OUTER_WELD = FindingRule(
    code="outer weld",
    breaches=(advice(),),
    asks="Outside the ears the base has room for a fillet.",
    limit="leg of the weld",
)


def check(p: Params) -> Iterator[Finding]:
    yield from p.held.findings(piece="base/base")
    yield from square_foot_findings(p.slope, p.t)
    if p.base_width - p.feet.wide < 2 * p.leg:
        yield OUTER_WELD.finding(
            piece="base/base",
            value=(p.base_width - p.feet.wide) / 2,
            limit=p.leg,
            sentence="no room for a fillet outside the ears: weld inside and round the ends, or widen the base",
        )


def build(p: Params) -> Part:
    ears = on_flat(p.ears, p.flat) if p.bent is None else joggled(p.ears, p.flat, p.bent)
    base = base_plate(
        p.base_width, p.base_length, p.base_t, radius=p.base_radius, lips=p.lips, openings=p.held.holes
    )
    by = fastened(p.held)
    top = Seat(name="top", place=Place(at=(0, 0, p.base_t)), kind="face")
    plate = Part(name="base", pieces=(base, *by.pieces), welds=by.welds, seats=(top, *by.seats))
    foot = ears.seat("foot").place
    under = Place(add(foot.at, scale(foot.axis, p.base_t)), foot.axis, foot.up)
    stand = Place(under.at, scale(foot.axis, -1.0), foot.up)
    welds = [
        Weld(piece=f"ears/{w.piece}", edge=w.edge, onto="base/base", leg=p.leg)
        for w in touching_welds(ears.welds, p.slope, p.t)
    ]
    long = p.base_length - p.room.bends
    radius = 0.0 if p.lips else p.base_radius
    welds += base_welds(p.held, flat_long=long, width=p.base_width, radius=radius, piece="base/base", onto="foot")
    bare = Part(name="ears", pieces=ears.pieces, seats=ears.seats)
    return assembled(
        "ears_on_base",
        [("ears", bare, Place()), ("base", plate, stand)],
        welds=welds,
        seats=[Seat(name="bush", place=Place(), kind="bush"), Seat(name="foot", place=under, kind="face")],
    )
