"""Stay: a plate on a casting's bosses, a straight or bent tube from it to a cup, gussets, washers at low bosses.

Bosses, foot and bush are points of the bay, so the part comes out where it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    NO_TOOLS,
    PLATE,
    TUBE,
    WALL,
    WORKED_OUT,
    Checked,
    Corner,
    CupFollows,
    Cylinder,
    Finding,
    Hole,
    InputError,
    Layout,
    Outline,
    Part,
    Place,
    PlaneTarget,
    Rod,
    Run,
    Seat,
    Shop,
    Turned,
    Vec,
    add,
    bolt,
    by_name,
    count,
    cross,
    cup_findings,
    cup_tube_problems,
    degrees_between,
    direction,
    dot,
    ear_findings,
    follows,
    landing_problems,
    lay_out,
    layout_findings,
    mm,
    name_problems,
    norm,
    od_wall,
    point,
    points,
    round_hull,
    row,
    scale,
    square_to,
    stock,
    sub,
    texts,
    unit,
)
from brackets import library as b
from brackets import (
    tube_size as tube,
)

LEAST = 1.0


@dataclass(frozen=True, kw_only=True)
class Params(CupFollows, Checked):
    bosses: Annotated[
        tuple[Vec, ...], points(3, "threaded bosses under the plate", at_least=2, at_most=12, takes="bosses")
    ] = ((-50.0, -30.0, 0.0), (50.0, -30.0, 0.0), (-50.0, 30.0, 0.0), (50.0, 30.0, -3.0))
    boss_names: Annotated[tuple[str, ...], texts("names of the bosses", at_most=12, takes="boss names")] = ()
    normal: Annotated[Vec, direction("direction out of the casting", takes="boss normal")] = (0.0, 0.0, 1.0)
    bolt: Annotated[str, row("bolt", "bolts into the bosses", takes="boss bolt")] = "M10"
    threads: Annotated[
        tuple[str, ...], texts("thread of each boss, where they differ", at_most=12, takes="boss threads")
    ] = ()
    bush: Annotated[Vec, point(3, "bush centre", takes="bush centre")] = (0.0, 60.0, 160.0)
    bush_axis: Annotated[Vec, direction("direction of the bush's axis", takes="bush axis")] = (1.0, 0.0, 0.0)
    bush_od: Annotated[float, mm(15, 110, "bush outer diameter, the cup's bore", takes="bush od")] = 60.0
    plate_t: Annotated[float, stock(PLATE, "plate", lo=4.0, hi=16.0)] = 8.0
    edge: Annotated[float | None, mm(8, 60, "hole centre to edge"), follows("edge_used")] = None
    washers: Annotated[tuple[tuple[str, float], ...], by_name(0, 40, "washer at a boss, as measured")] = ()
    tube: Annotated[str, tube("tube from plate to cup", od=(15, 90), wall=(1.5, 8))] = "38x3"
    tube_from: Annotated[Vec, point(3, "where its axis leaves the plate's outer face")] = (0.0, 0.0, 8.0)
    corners: Annotated[tuple[Vec, ...], points(3, "corners the tube is bent at, if it is", at_most=4)] = ()
    bend_r: Annotated[float, mm(20, 500, "centre-line radius of the bends")] = 115.0
    cup_od: Annotated[float, stock(TUBE, "tube of the cup, outside"), follows("cup_od_for_bush")] = WORKED_OUT
    cup_wall: Annotated[float, stock(WALL, "wall of that tube"), follows("cup_wall_for_bush")] = WORKED_OUT
    cup_length: Annotated[float, mm(15, 150, "length of the cup"), follows("cup_length_for_tube")] = WORKED_OUT
    gussets: Annotated[int, count(0, 2, "gussets from plate to tube, in the plane the tube leans in there")] = 2
    gusset_t: Annotated[float, stock(PLATE, "gussets", lo=2.0, hi=10.0)] = 5.0
    gusset_leg: Annotated[float, mm(12, 80, "gusset along the plate")] = 25.0
    gusset_rise: Annotated[float, mm(12, 150, "gusset along the tube")] = 40.0
    leg: Annotated[float, mm(1.5, 12, "leg of the welds")] = 3.0

    @property
    def names(self) -> tuple[str, ...]:
        return self.boss_names or tuple(f"boss_{i}" for i in range(1, len(self.bosses) + 1))

    @property
    def sizes(self) -> tuple[str, ...]:
        return self.threads or (self.bolt,) * len(self.bosses)

    @property
    def landing_od(self) -> float:
        return od_wall(self.tube)[0]

    @property
    def landing_way(self) -> Vec:
        return sub(self.bush, (self.tube_from, *self.corners)[-1])

    @property
    def leaving_way(self) -> Vec:
        """From the plate along the tube's first straight."""
        return sub((*self.corners, self.bush)[0], self.tube_from)

    @property
    def edge_used(self) -> float:
        return b.edge_for(self.bolt) if self.edge is None else self.edge

    @cached_property
    def face(self) -> b.Face:
        """The plate's frame: z out of the casting, origin under the foot of the tube, y where the tube leans to."""
        n = unit(self.normal)
        lean = square_to(self.leaving_way, n)
        across = cross(n, unit(self.bush_axis))
        return b.Face.on(
            self.bosses, self.normal, origin=self.tube_from, up=lean if norm(lean) > 1e-6 else across
        )

    @cached_property
    def foot(self) -> Vec:
        """Where the tube's axis leaves the plate's outer face, in the plate's frame."""
        way = self.face.place.local_direction(self.leaving_way)
        at = self.face.place.local(self.tube_from)
        return add(at, scale(way, (self.plate_t - at[2]) / way[2]))

    @property
    def cup(self) -> Cylinder:
        return Cylinder("cup", self.bush, self.bush_axis, self.cup_od, length=self.cup_length, wall=self.cup_wall)

    @cached_property
    def laid(self) -> Layout:
        foot = self.face.place.point(self.foot)
        plate = PlaneTarget("plate", foot, self.normal, t=self.plate_t)
        line, bend_r = (foot, *self.corners, self.bush), self.bend_r if self.corners else None
        return lay_out(Run("tube", self.tube, line, plate, self.cup, bend_r=bend_r, leg=self.leg))

    @cached_property
    def gusseted(self) -> tuple[Corner, ...]:
        """The corners between plate and tube that get a gusset: the open one first."""
        way = self.face.place.local_direction(sub((*self.corners, self.bush)[0], self.face.place.point(self.foot)))
        sizes = (self.gusset_leg, self.gusset_rise, self.gusset_t)
        return tuple(Corner(self.foot, way, od_wall(self.tube)[0], side, *sizes) for side in (-1, 1))[
            : self.gussets
        ]

    @cached_property
    def first_straight(self) -> float:
        """mm from the plate to where the tube's first bend begins, or to the bush."""
        foot, first, *rest = self.face.place.point(self.foot), *self.corners, self.bush
        turn = degrees_between(sub(first, foot), sub(rest[0], first)) if rest else 0.0
        return norm(sub(first, foot)) - self.bend_r * math.tan(math.radians(turn) / 2)

    @cached_property
    def outline(self) -> Outline:
        x, y, _ = self.foot
        r = od_wall(self.tube)[0] / 2 / math.cos(math.radians(self.lean)) + self.leg
        holes = [(hx, hy, self.edge_used) for hx, hy in self.face.points]
        toes = [(*c.toe, self.gusset_t / 2 + self.leg) for c in self.gusseted]
        return round_hull([*holes, (x, y, r), *toes])

    @property
    def lean(self) -> float:
        """Degrees the tube leans from square to the plate."""
        way = unit(self.leaving_way)
        return math.degrees(math.acos(max(-1.0, min(1.0, dot(way, unit(self.normal))))))

    @cached_property
    def holes(self) -> tuple[Hole, ...]:
        made = zip(self.names, self.face.points, self.sizes, strict=True)
        return tuple(b.boss_holes([at], size, name=f"{name}_")[0] for name, at, size in made)

    def rules(self) -> Iterator[str]:
        yield from [*self._sizes()] or [*self._stands()] or [*self._apart()]

    def _sizes(self) -> Iterator[str]:
        yield from name_problems(self.boss_names, len(self.bosses), self.threads)
        yield from cup_tube_problems(self.cup_od, self.cup_wall, self.bush_od)
        yield from landing_problems(cup_od=self.cup_od, cup_length=self.cup_length, tube=self.tube)
        if {name for name, _ in self.washers} - set(self.names):
            yield f"washers = {', '.join(n for n, _ in self.washers)}, only {', '.join(self.names)}: bosses"

    def _stands(self) -> Iterator[str]:
        yield from b.level_problems(self.bosses, self.normal)
        if norm(sub(self.bush, self.tube_from)) < self.cup_od or not any(self.leaving_way) or self.lean > 60:
            yield f"tube_from = {self.tube_from}, away from the bush and 60 deg or less from square to the plate"
            return
        r = od_wall(self.tube)[0] / 2
        for corner in self.corners:
            over = self.face.place.local(corner)[2] - self.plate_t - r
            if over < LEAST:
                yield f"corners = {corner}, {over:.1f} mm over the plate with its tube, {LEAST:g} mm or more"
        if max(math.hypot(*p) for p in self.face.points) > 500:
            yield "bosses = further than 500 mm from tube_from, nearer: one plate"
            return
        try:
            self.laid  # noqa: B018
        except InputError as error:
            yield from error.problems

    def _apart(self) -> Iterator[str]:
        yield from b.opening_rules(self.outline, self.holes, least=LEAST)
        (x, y, _), foot = self.foot, od_wall(self.tube)[0] / 2 / math.cos(math.radians(self.lean))
        for name, (hx, hy), size in zip(self.names, self.face.points, self.sizes, strict=True):
            room = math.hypot(hx - x, hy - y) - foot - bolt(size).washer_od / 2
            if room < LEAST:
                yield f"tube_from = {room:.1f} mm from the washer of {name}, {LEAST:g} mm or more"
            for corner in self.gusseted:
                room = corner.edge_distance((hx, hy)) - bolt(size).washer_od / 2
                left = f"leaves {room:.1f} mm to the washer of {name}, {LEAST:g} or more"
                if room < LEAST:
                    yield f"gusset_leg = {self.gusset_leg:g} mm, {left}: shorter, or fewer gussets"
        half = scale(unit(self.bush_axis), self.cup_length / 2)
        cup = Rod(sub(self.bush, half), add(self.bush, half), self.cup_od)
        over = min(self.face.place.local(p)[2] for p in (cup.a, cup.b)) - self.plate_t - self.cup_od / 2
        if over < LEAST:
            yield f"bush = {over:.1f} mm over the plate with its cup, {LEAST:g} mm or more"
        straight = self.first_straight
        yield from b.gusset_rise_problems(self.gusseted, place=self.face.place, cup=cup, first_straight=straight)
        too_long = (f for f in layout_findings(self.laid) if f.code in ("past the end", "overhang"))
        yield from (f"tube = {finding.sentence}" for finding in too_long)


def check(p: Params, shop: Shop = NO_TOOLS) -> Iterator[Finding]:
    yield from layout_findings(p.laid, shop)
    yield from b.washer_findings(dict(p.washers), dict(zip(p.names, p.face.low, strict=True)), piece="plate")
    yield from ear_findings(p.tube, p.cup_length)
    yield from b.bore_findings(b.bush_bore(p.bush_od, own=p.cup_od - 2 * p.cup_wall), "cup")
    yield from cup_findings(p.cup_od, p.bush_od, piece="cup")


def build(p: Params) -> Part:
    at = p.face.place
    plate = b.plate(p.outline, p.plate_t, openings=p.holes, place=at)
    cup = b.tube_cup("cup", od=p.cup_od, wall=p.cup_wall, bush_od=p.bush_od, length=p.cup_length)
    cup = cup.placed(Place(p.bush, p.bush_axis, square_to(p.normal, unit(p.bush_axis))))
    spacers: list[Turned] = []
    seats = [Seat(name="bush", place=cup.place @ Place((0.0, 0.0, p.cup_length / 2)), kind="bush", d=p.bush_od)]
    for name, (x, y), low, size in zip(p.names, p.face.points, p.face.low, p.sizes, strict=True):
        spacers += [s.renamed(f"washer_{name}").placed(at) for s in b.spacers([(x, y)], [low], size)]
        seats.append(Seat(name=name, place=at @ Place((x, y, -low), (0.0, 0.0, -1.0)), kind="boss", bolt=size))
    gussets = [c.gusset(f"gusset_{i}").placed(at) for i, c in enumerate(p.gusseted, 1)]
    welds = [w for i, c in enumerate(p.gusseted, 1) for w in c.welds(f"gusset_{i}", "plate", "tube", leg=p.leg)]
    return p.laid.part("stay", pieces=[plate, cup, *spacers, *gussets], seats=seats, welds=welds)
