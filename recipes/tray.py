"""Tray: a plate with lips bent along its edges, bolted under or against a gearbox, a tube and a cup at either end.

Bosses and bush centres are points of the bay, so the part comes out where it stands. Each tube stands on the end
lip on its side and is coped to its cup; lips along the sides stiffen the tray between the bushes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    NO_TOOLS,
    PLATE,
    SLOT_WAYS,
    TUBE,
    WALL,
    WORKED_OUT,
    Checked,
    Cylinder,
    Finding,
    FindingRule,
    InputError,
    Layout,
    Part,
    Place,
    PlaneTarget,
    Run,
    Seat,
    Shop,
    Vec,
    advice,
    at_least,
    choice,
    count,
    cup_findings,
    cup_tube_problems,
    direction,
    ear_findings,
    follows,
    landing_problems,
    lay_out,
    layout_findings,
    mm,
    name_problems,
    od_wall,
    point,
    points,
    row,
    stock,
    texts,
    yes_no,
)
from brackets import library as b
from brackets import (
    tube_size as tube,
)
from brackets.library.trays import AWAY, LEAST, SIDES, TO_CASTING, Side, TrayFollows


@dataclass(frozen=True, kw_only=True)
class Params(TrayFollows, Checked):
    bosses: Annotated[
        tuple[Vec, ...], points(3, "threaded bosses over the tray", at_least=2, at_most=12, takes="bosses")
    ] = ((-250.0, 58.0, 66.0), (-252.0, 168.0, 66.0), (-350.0, 60.0, 66.0), (-348.0, 170.0, 68.0))
    boss_names: Annotated[tuple[str, ...], texts("names of the bosses", at_most=12, takes="boss names")] = ()
    normal: Annotated[Vec, direction("direction out of the casting", takes="boss normal")] = (0.0, 0.0, -1.0)
    bolt: Annotated[str, row("bolt", "bolts into the bosses", takes="boss bolt")] = "M10"
    threads: Annotated[
        tuple[str, ...], texts("thread of each boss, where they differ", at_most=12, takes="boss threads")
    ] = ()
    bush_left: Annotated[
        Vec, point(3, "centre of the left bush", takes="centre of bush_left")
    ] = (-300.0, 265.0, 98.0)  # fmt: skip
    bush_right: Annotated[
        Vec, point(3, "centre of the right bush", takes="centre of bush_right")
    ] = (-300.0, -265.0, 98.0)  # fmt: skip
    bush_axis: Annotated[Vec, direction("direction of both bushes' axis", takes="bush axis")] = (1.0, 0.0, 0.0)
    bush_od: Annotated[float, mm(15, 110, "bush outer diameter, the cups' bore", takes="bush od")] = 45.0
    t: Annotated[float, stock(PLATE, "plate", lo=3.0, hi=10.0)] = 5.0
    length: Annotated[
        float, mm(60, 1200, "from end lip to end lip, outside"), follows("length_for_tubes")
    ] = WORKED_OUT  # fmt: skip
    width: Annotated[
        float, mm(30, 500, "across, outside; its middle is the bosses'"), follows("width_for_bosses")
    ] = WORKED_OUT  # fmt: skip
    inside_radius: Annotated[float, mm(2, 25, "inside radius of the bends")] = 8.0
    end_lip: Annotated[float, mm(15, 200, "outside height of the end lips"), follows("lip_for_tube")] = WORKED_OUT
    end_lips: Annotated[str, choice((TO_CASTING, AWAY), "which way the ends are bent")] = TO_CASTING
    sides: Annotated[int, count(0, 2, "sides with a lip, that to which the bush axis points first")] = 2
    side_lip: Annotated[float, mm(15, 100, "outside height of the side lips"), follows("lip_for_side")] = WORKED_OUT
    side_lips: Annotated[str, choice((TO_CASTING, AWAY), "which way the sides are bent")] = AWAY
    corner: Annotated[float, mm(0, 30, "radius of the lips' free corners")] = 8.0
    gussets: Annotated[bool, yes_no("two gussets of the same plate inside each end lip, behind its tube")] = True
    gusset_leg: Annotated[float, mm(20, 150, "gussets along the floor")] = 40.0
    holes: Annotated[
        tuple[tuple[float, float, float], ...],
        points(3, "lightening and drain holes from the middle: along, across, diameter", at_most=20,
               axes=("x", "y", "d")),
    ] = ((0.0, 0.0, 20.0), (100.0, 0.0, 20.0))  # fmt: skip
    tube: Annotated[str, tube("tubes from lip to cup", od=(15, 90), wall=(1.5, 8))] = "30x3"
    cup_od: Annotated[float, stock(TUBE, "tube of the cups, outside"), follows("cup_od_for_bush")] = WORKED_OUT
    cup_wall: Annotated[float, stock(WALL, "wall of that tube"), follows("cup_wall_for_bush")] = WORKED_OUT
    cup_length: Annotated[float, mm(15, 150, "length of the cups"), follows("cup_length_for_arms")] = WORKED_OUT
    leg: Annotated[float, mm(1.5, 12, "leg of the welds; a tube's no more than its wall")] = 5.0
    slot: Annotated[float, mm(0, 40, "how far the tray can be moved on its bolts, in all")] = 0.0
    slot_along: Annotated[
        str, choice(SLOT_WAYS, "which way the slots run: length is from bush to bush, width across")
    ] = "length"

    def cup(self, side: Side) -> Cylinder:
        at = self.bush_left if side == "left" else self.bush_right
        return Cylinder(f"cup_{side}", at, self.bush_axis, self.cup_od, length=self.cup_length, wall=self.cup_wall)

    @cached_property
    def laid(self) -> Layout:
        runs, wall = [], od_wall(self.tube)[1]
        for side in SIDES:
            cup, out = self.cup(side), self.face.place.direction((-1.0 if side == "left" else 1.0, 0.0, 0.0))
            foot = self.face.place.point(self.foot(side, self.end_lip))
            end = PlaneTarget("tray", foot, out, t=self.t)
            runs.append(Run(f"tube_{side}", self.tube, (foot, cup.at), end, cup, leg=min(self.leg, wall)))
        return lay_out(*runs)

    def rules(self) -> Iterator[str]:
        yield from [*self._sizes()] or [*self.floor_problems()] or [*self.hole_problems()] or [*self._tubes()]

    def _sizes(self) -> Iterator[str]:
        yield from name_problems(self.boss_names, len(self.bosses), self.threads)
        yield from cup_tube_problems(self.cup_od, self.cup_wall, self.bush_od)
        yield from landing_problems(cup_od=self.cup_od, cup_length=self.cup_length, tube=self.tube)
        yield from b.level_problems(self.bosses, self.normal)
        if any(d <= 0 for *_, d in self.holes):
            yield "holes = a diameter of 0 or less, must be more than 0 mm"
        for name, height in (("end_lip", self.end_lip), ("side_lip", self.side_lip))[: 1 + min(self.sides, 1)]:
            least = self.back + self.corner + LEAST
            if height < least:
                yield at_least(name, height, least, "bend, corner, some flat")

    def _tubes(self) -> Iterator[str]:
        problems = [*self.tube_problems()] or [*self.gusset_problems()]
        yield from problems
        if problems:
            return
        try:
            self.laid  # noqa: B018
        except InputError as error:
            yield from error.problems
            return
        for finding in layout_findings(self.laid):
            if finding.code in ("past the end", "overhang"):
                yield f"cup_length = {self.cup_length:g} mm, longer: {finding.sentence}"


LIP_ALONE = FindingRule(
    code="lip alone",
    breaches=(advice(),),
    asks="Gussets hold the end lip that a bush hangs on, so that its bend does not carry it alone.",
)


def check(p: Params, shop: Shop = NO_TOOLS) -> Iterator[Finding]:
    yield from layout_findings(p.laid, shop)
    yield from ear_findings(p.tube, p.cup_length, piece="tube_left")
    for side in SIDES:
        yield from b.bore_findings(b.bush_bore(p.bush_od, own=p.cup_od - 2 * p.cup_wall), f"cup_{side}")
        yield from cup_findings(p.cup_od, p.bush_od, piece=f"cup_{side}")
    if not p.gussets:
        sentence = "no gussets behind the tubes: each end lip is held by its bend alone"
        yield LIP_ALONE.finding(piece="tray", sentence=sentence)


def build(p: Params) -> Part:
    at = p.face.place
    gussets, welds = p.gusset_plates()
    pieces, seats = [p.folded(), *gussets], []
    for side in SIDES:
        cup = b.tube_cup(f"cup_{side}", od=p.cup_od, wall=p.cup_wall, bush_od=p.bush_od, length=p.cup_length)
        place = Place(p.cup(side).at, p.bush_axis, at.direction((1.0, 0.0, 0.0)))
        pieces.append(cup.placed(place))
        seats.append(Seat(name=f"bush_{side}", place=place, kind="bush", d=p.bush_od))
    for name, (x, y), low, size in zip(p.names, p.face.points, p.face.low, p.sizes, strict=True):
        pieces += [s.renamed(f"washer_{name}").placed(at) for s in b.spacers([(x, y)], [low], size)]
        seats.append(Seat(name=name, place=at @ Place((x, y, -low), (0.0, 0.0, -1.0)), kind="boss", bolt=size))
    return p.laid.part("tray", pieces=pieces, seats=seats, welds=welds)
