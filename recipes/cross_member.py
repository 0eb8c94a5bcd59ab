"""Cross-member: a base tube from cup to cup, square arms from it to bungs that stand on bosses of any height.

Bosses and bush centres are points of the bay, so the part comes out where it stands. All bungs end level.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, product
from typing import Annotated

from brackets import (
    NO_TOOLS,
    TUBE,
    WALL,
    WORKED_OUT,
    BungFollows,
    Checked,
    CupFollows,
    Cylinder,
    Finding,
    InputError,
    Layout,
    Part,
    Place,
    Rod,
    Run,
    Seat,
    Shop,
    Tube,
    Turned,
    Vec,
    add,
    at_least,
    bolt,
    cross,
    cup_findings,
    cup_tube_problems,
    direction,
    dot,
    ear_findings,
    follows,
    hole,
    landing_problems,
    lay_out,
    layout_findings,
    mm,
    name_problems,
    norm,
    od_wall,
    point,
    points,
    rod_gap,
    rods,
    row,
    scale,
    socket_findings,
    stock,
    sub,
    texts,
    unit,
)
from brackets import library as b
from brackets import (
    tube_size as tube,
)
from brackets.core.rulebook.parts import SOCKET

LEAST = 0.5
ROOM = 2.0
ROUNDING = 1e-6


@dataclass(frozen=True, kw_only=True)
class Params(BungFollows, CupFollows, Checked):
    bush_left: Annotated[
        Vec, point(3, "centre of the left bush", takes="centre of bush_left")
    ] = (0.0, 240.0, 60.0)  # fmt: skip
    bush_right: Annotated[
        Vec, point(3, "centre of the right bush", takes="centre of bush_right")
    ] = (0.0, -240.0, 60.0)  # fmt: skip
    bush_axis: Annotated[Vec, direction("direction of both bushes' axis", takes="bush axis")] = (1.0, 0.0, 0.0)
    bush_od: Annotated[float, mm(15, 110, "bush outer diameter, the cups' bore", takes="bush od")] = 50.0
    bosses: Annotated[
        tuple[Vec, ...], points(3, "threaded bosses under the bungs", at_least=1, at_most=12, takes="bosses")
    ] = (
        (80.0, 80.0, 0.0),
        (80.0, -80.0, 0.0),
        (-50.0, 60.0, 10.0),
        (-50.0, -60.0, 10.0),
    )
    boss_names: Annotated[tuple[str, ...], texts("names of the bosses", at_most=12, takes="boss names")] = ()
    normal: Annotated[
        Vec, direction("direction out of the casting, along the bungs", takes="boss normal")
    ] = (0.0, 0.0, 1.0)  # fmt: skip
    bolt: Annotated[str, row("bolt", "bolts through the bungs", takes="boss bolt")] = "M10"
    tube: Annotated[str, tube("base tube, cup to cup", od=(15, 90), wall=(1.5, 8)), follows("base_for_arm")] = (
        WORKED_OUT
    )
    arm: Annotated[str, tube("arms", od=(10, 60), wall=(1.5, 6)), follows("arm_for_bung")] = WORKED_OUT
    bung_od: Annotated[float, mm(14, 80, "bungs, outside"), follows("bung_od_for_arm")] = WORKED_OUT
    bung_bore: Annotated[float | None, mm(5, 40, "bungs, bore for the bolt"), follows("bore")] = None
    bung_top: Annotated[
        float, mm(-3000, 3000, "height of all bung tops along the normal"), follows("top_over_bosses")
    ] = WORKED_OUT
    arm_z: Annotated[
        float, mm(-3000, 3000, "height of the arms' centre lines on the bungs"), follows("arm_under_top")
    ] = WORKED_OUT
    cup_od: Annotated[float, stock(TUBE, "tube of the cups, outside"), follows("cup_od_for_bush")] = WORKED_OUT
    cup_wall: Annotated[float, stock(WALL, "wall of that tube"), follows("cup_wall_for_bush")] = WORKED_OUT
    cup_length: Annotated[float, mm(15, 150, "length of the cups"), follows("cup_length_for_tube")] = WORKED_OUT
    leg: Annotated[float | None, mm(1.5, 12, "leg of the welds, none for each tube's wall")] = None

    @property
    def landing_od(self) -> float:
        return od_wall(self.base)[0]

    @property
    def landing_way(self) -> Vec:
        return sub(self.bush_right, self.bush_left)

    @property
    def n(self) -> Vec:
        return unit(self.normal)

    @property
    def names(self) -> tuple[str, ...]:
        return self.boss_names or tuple(f"boss_{i}" for i in range(1, len(self.bosses) + 1))

    @property
    def bore(self) -> float:
        return hole(self.bolt, "boss") if self.bung_bore is None else self.bung_bore

    @property
    def bungs(self) -> tuple[float, ...]:
        """Length of every bung: from its boss to the level top."""
        return tuple(self.bung_top - dot(p, self.n) for p in self.bosses)

    def cup(self, side: str) -> Cylinder:
        at = self.bush_left if side == "left" else self.bush_right
        return Cylinder(f"cup_{side}", at, self.bush_axis, self.cup_od, length=self.cup_length, wall=self.cup_wall)

    @property
    def cup_tubes(self) -> tuple[Tube, ...]:
        wall = (self.cup_od - self.bush_od) / 2
        low = Place((0.0, 0.0, -self.cup_length / 2))
        return tuple(
            Tube(name=c.name, place=Place(c.at, c.axis, self.n) @ low, od=c.od, wall=wall, length=self.cup_length)
            for c in (self.cup("left"), self.cup("right"))
        )

    def raised(self, p: Vec, to: float) -> Vec:
        """The point over `p` along the normal at height `to`."""
        return add(p, scale(self.n, to - dot(p, self.n)))

    @cached_property
    def laid(self) -> Layout:
        """Base tube and arms, cut; each arm leaves the base square to it, towards its bung."""
        way = unit(sub(self.bush_right, self.bush_left))
        ends = (self.bush_left, self.bush_right)
        runs = [Run("tube", self.tube, ends, self.cup("left"), self.cup("right"), leg=self.leg)]
        for name, boss, tall in zip(self.names, self.bosses, self.bungs, strict=True):
            tip = self.raised(boss, self.arm_z)
            root = add(self.bush_left, scale(way, dot(sub(tip, self.bush_left), way)))
            middle = add(boss, scale(self.n, tall / 2))
            wall = (self.bung_od - self.bore) / 2
            bung = Cylinder(f"bung_{name}", middle, self.normal, self.bung_od, length=tall, wall=wall)
            runs.append(Run(f"arm_{name}", self.arm, (root, tip), "tube", bung, leg=self.leg))
        return lay_out(*runs)

    @cached_property
    def rods(self) -> dict[str, Rod]:
        """Cups and bungs as rods."""
        half = scale(unit(self.bush_axis), self.cup_length / 2)
        found = {c.name: Rod(sub(c.at, half), add(c.at, half), c.od) for c in (self.cup("left"), self.cup("right"))}
        for name, boss in zip(self.names, self.bosses, strict=True):
            found[f"bung_{name}"] = Rod(boss, self.raised(boss, self.bung_top), self.bung_od)
        return found

    def rules(self) -> Iterator[str]:
        problems = [*self._sizes()] or [*self._laid()] or [*self._apart()]
        yield from problems

    def _sizes(self) -> Iterator[str]:
        base, arm = od_wall(self.tube)[0], od_wall(self.arm)[0]
        yield from name_problems(self.boss_names, len(self.bosses))
        yield from cup_tube_problems(self.cup_od, self.cup_wall, self.bush_od)
        yield from landing_problems(cup_od=self.cup_od, cup_length=self.cup_length, tube=self.tube)
        if arm > min(base, self.bung_od):
            yield f"arm = {self.arm}, od {min(base, self.bung_od):g} or less: it lands on tube and bung"
        if self.bung_od < self.bore + 3:
            yield at_least("bung_od", self.bung_od, self.bore + 3, f"metal round the bore {self.bore:g}")
        if self.bore < bolt(self.bolt).d:
            yield at_least("bung_bore", self.bore, bolt(self.bolt).d, f"{self.bolt} goes through it")

    def _laid(self) -> Iterator[str]:
        if norm(sub(self.bush_left, self.bush_right)) < 2 * self.cup_od:
            yield f"bush_right = {self.bush_right}, {2 * self.cup_od:g} mm or more from bush_left"
            return
        way = unit(sub(self.bush_right, self.bush_left))
        if norm(cross(way, unit(self.bush_axis))) < 0.7 or norm(cross(way, self.n)) < 0.7:
            yield "bush_axis and normal = along the tube, 45 deg or more from it: cups and bungs lie across it"
            return
        problems = list(self.arm_problems())
        yield from problems
        if problems:
            return
        try:
            self.laid  # noqa: B018
        except InputError as error:
            yield from error.problems

    def _apart(self) -> Iterator[str]:
        """Nothing may stand in anything it is not cut to."""
        solid = dict(self.rods)
        runs = {run.name: rods(run)[0] for run in self.laid.runs}
        joins = {frozenset(("tube", f"arm_{n}")) for n in self.names}
        joins |= {frozenset((f"bung_{n}", f"arm_{n}")) for n in self.names}
        joins |= {frozenset(("tube", "cup_left")), frozenset(("tube", "cup_right"))}
        pairs = [*combinations(solid, 2), *product(solid, runs)]
        everything = {**solid, **runs}
        for one, other in pairs:
            if frozenset((one, other)) not in joins and rod_gap(everything[one], everything[other]) < LEAST:
                yield f"bosses = {one} and {other} stand in each other, {LEAST:g} mm apart or more"
        for finding in layout_findings(self.laid):
            if finding.code in ("past the end", "overhang", "overlap"):
                yield f"tube, arm = {finding.piece}: {finding.sentence}"


def check(p: Params, shop: Shop = NO_TOOLS) -> Iterator[Finding]:
    yield from layout_findings(p.laid, shop)
    room = p.bung_top - p.arm_z - od_wall(p.arm)[0] / 2
    wanted = ROOM + (od_wall(p.arm)[1] if p.leg is None else p.leg)
    if SOCKET.under(room, wanted):
        yield SOCKET.finding(
            piece="arm_" + p.names[0],
            value=room,
            limit=wanted,
            sentence=f"the arms end {room:.1f} mm below the bung tops: weld and socket want {wanted:g}",
        )
    for name, boss in zip(p.names, p.bosses, strict=True):
        head = p.raised(boss, p.bung_top)
        yield from socket_findings((*p.laid.tubes, *p.cup_tubes), head, p.n, p.bolt, bolt_name=name)
    yield from ear_findings(p.tube, p.cup_length)
    yield from cup_findings(p.cup_od, p.bush_od, piece="cup_left")


def build(p: Params) -> Part:
    cups = [
        b.centred(c.name, od=c.od, bore=p.bush_od, length=p.cup_length).placed(Place(c.at, p.bush_axis, p.n))
        for c in (p.cup("left"), p.cup("right"))
    ]
    bungs: list[Turned] = []
    seats = [
        Seat(name=f"bush_{side}", place=cup.place @ Place((0.0, 0.0, p.cup_length / 2)), kind="bush", d=p.bush_od)
        for side, cup in zip(("left", "right"), cups, strict=True)
    ]
    side = sub(p.bush_right, p.bush_left)
    for name, boss, tall in zip(p.names, p.bosses, p.bungs, strict=True):
        bungs.append(b.ring(f"bung_{name}", od=p.bung_od, bore=p.bore, length=tall).placed(Place(boss, p.n, side)))
        seats.append(Seat(name=name, place=Place(boss, scale(p.n, -1.0), side), kind="boss", d=p.bore, bolt=p.bolt))
    return p.laid.part("cross_member", pieces=[*cups, *bungs], seats=seats)
