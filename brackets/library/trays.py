"""Trays: a floor with lips along its edges, tubes that stand on the end lips, gussets behind them.

A tray's frame: z out of the casting it is bolted to, lower face on the highest boss, origin midway between the two
bushes, x from the left bush to the right.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cached_property
from typing import Literal

from brackets.core.place import Place
from brackets.core.schema.bounds import at_least, at_most
from brackets.core.schema.rows import od_wall
from brackets.core.tables.bolt_rows import bolt
from brackets.core.vectors import Vec, add, cross, degrees_between, dot, length, scale, square_to, sub, unit
from brackets.forming.flanges import lip
from brackets.geometry.shapes import rectangle
from brackets.library.ears import FACES
from brackets.library.faces import Face, boss_holes, edge_for, opening_ends, opening_rules
from brackets.library.fixings import ALONG_WIDTH, slotted_holes
from brackets.library.mount_rules import CUP_LENGTH, EAR_ROOM, CupFollows
from brackets.library.plates import gusset_outline, plate
from brackets.model.bend_allowance import setback
from brackets.model.holes import Hole, Slot
from brackets.model.plate import Folded, Plate, Relief, Wall
from brackets.model.weld import Along, Weld

LEAST = 1.0
"""Least metal between openings, and flat beside a bend or a relief, mm."""
ARM, SHORTEST = 25.0, 10.0
"""mm of tube between lip and cup where the tray's length is not typed, and at least (no source)."""
STEEP = 45.0
"""Degrees a tube may lean from square to its lip, and the least between the tray's length and the bushes' axis (no
source)."""
SETTLED, ROUNDING = 20, 1e-3
"""Rounds in which a tube's foot and lean are made to agree, mm by which they then may not."""

TO_CASTING, AWAY = "towards the casting", "away from it"
"""Which way a lip is bent."""

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")


class TrayFollows(CupFollows):
    """Base class for Params of a tray between two bushes: works out what is not typed, and makes its plates."""

    bosses: tuple[Vec, ...]
    boss_names: tuple[str, ...]
    normal: Vec
    bolt: str
    threads: tuple[str, ...]
    bush_left: Vec
    bush_right: Vec
    t: float
    length: float
    width: float
    inside_radius: float
    end_lip: float
    end_lips: str
    sides: int
    side_lip: float
    side_lips: str
    corner: float
    gussets: bool
    gusset_leg: float
    tube: str
    cup_length: float
    holes: tuple[tuple[float, float, float], ...]
    leg: float
    slot: float
    slot_along: str

    @property
    def names(self) -> tuple[str, ...]:
        return self.boss_names or tuple(f"boss_{i}" for i in range(1, len(self.bosses) + 1))

    @property
    def sizes(self) -> tuple[str, ...]:
        return self.threads or (self.bolt,) * len(self.bosses)

    @cached_property
    def landing_od(self) -> float:
        return od_wall(self.tube)[0]

    @cached_property
    def face(self) -> Face:
        """The bosses in the tray's frame."""
        n, way = unit(self.normal), sub(self.bush_right, self.bush_left)
        ways = (way, self.bush_axis, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        x = next(v for v in ways if length(square_to(v, n)) > ROUNDING * max(length(v), 1.0))
        middle = scale(add(self.bush_left, self.bush_right), 0.5)
        return Face.on(self.bosses, self.normal, origin=middle, up=cross(n, x))

    def bush(self, side: Side) -> Vec:
        """The centre of a bush in the tray's frame."""
        return self.face.place.local(self.bush_left if side == "left" else self.bush_right)

    @cached_property
    def back(self) -> float:
        """What a bend takes of an outside length, mm."""
        return setback(90.0, self.inside_radius, self.t)

    @property
    def relief_d(self) -> float:
        return 2 * self.t + self.inside_radius if self.sides else 0.0

    @property
    def corner_room(self) -> float:
        """What reliefs and rounded corners take of an end lip at either end, mm."""
        return max(self.relief_d / 2, self.corner)

    @cached_property
    def middle(self) -> float:
        """y of the tray's middle: that of the bosses."""
        ys = [y for _, y in self.face.points]
        return (min(ys) + max(ys)) / 2

    @cached_property
    def length_for_tubes(self) -> float:
        cup_od = self.cup_od or self.cup_od_for_bush
        return max(60.0, math.floor(2 * self.bush("right")[0] - cup_od - 2 * ARM))

    @cached_property
    def width_for_bosses(self) -> float:
        """The bosses with their edge distance, and the tubes, between the bends."""
        ys, edge = [y for _, y in self.face.points], max(map(edge_for, self.sizes))
        slid = self.slot if self.slot_along == ALONG_WIDTH else 0.0
        tubes = self.landing_od + 2 * (self.leg + self.corner_room)
        return math.ceil(max(max(ys) - min(ys) + slid + 2 * edge, tubes)) + self.sides * self.back

    @property
    def lip_for_side(self) -> float:
        return max(30.0, math.ceil(self.back + self.corner + LEAST))

    @cached_property
    def lip_for_tube(self) -> float:
        """As high as a tube that leans and its welds need."""
        return math.ceil(max(map(self.lip_need, SIDES)))

    @property
    def cup_length_for_arms(self) -> float:
        """Long enough for the tubes to land at their angle, and to pass between the ears."""
        axis, od = self.face.place.local_direction(unit(self.bush_axis)), self.landing_od
        taken = [od + EAR_ROOM, CUP_LENGTH]
        for side in SIDES:
            way = sub(self.bush(side), self.foot(side, self.end_lip or self.lip_for_tube))
            off = math.radians(abs(90.0 - degrees_between(way, axis)))
            cup_od = self.cup_od or self.cup_od_for_bush
            taken.append((od + cup_od * math.sin(off)) / max(math.cos(off), math.sin(math.radians(STEEP))))
        return math.ceil(max(taken))

    @cached_property
    def outside(self) -> tuple[tuple[str, float, float], tuple[str, float, float]]:
        """Name and figure of the two outside sizes, and what the bends take of each."""
        long, wide = self.length or self.length_for_tubes, self.width or self.width_for_bosses
        return ("length", long, 2 * self.back), ("width", wide, self.sides * self.back)

    @cached_property
    def floor(self) -> tuple[float, float]:
        """The flat between the bends, along and across, mm."""
        (_, long, ends), (_, wide, sides) = self.outside
        return long - ends, wide - sides

    def flat(self, height: float) -> tuple[float, float]:
        """z of the lower and upper end of the flat of an end lip of that outside height."""
        return (self.t - height, -self.inside_radius) if self.end_lips == TO_CASTING else (self.back, height)

    def foot(self, side: Side, height: float) -> Vec:
        """Where a tube's axis meets an end lip of that outside height: as near level with its bush as the flat
        allows."""
        bush, half = self.bush(side), (self.landing_od / 2,) * 2
        room = self.floor[1] / 2 - self.corner_room
        low, high = self.middle - room, self.middle + room
        x = self.outside[0][1] / 2 * (-1 if side == "left" else 1)
        y, z = bush[1:]
        for _ in range(SETTLED):
            y = held(bush[1], low, high, half[0] + self.leg)
            z = held(bush[2], *self.flat(height), half[1] + self.leg)
            before, half = half, landing(sub(bush, (x, y, z)), self.landing_od)
            if half == before:
                break
        return x, y, z

    def lip_need(self, side: Side) -> float:
        """The least outside height of an end lip on which the tube and its weld stand."""
        half = self.landing_od / 2
        for _ in range(SETTLED):
            way = sub(self.bush(side), self.foot(side, self.back + 2 * (half + self.leg)))
            before, half = half, landing(way, self.landing_od)[1]
            if half == before:
                break
        return self.back + 2 * (half + self.leg)

    @cached_property
    def bolt_holes(self) -> tuple[Hole | Slot, ...]:
        """Those of the bolts, from the floor's middle."""
        made = zip(self.names, self.face.points, self.sizes, strict=True)
        bolts = [boss_holes([(x, y - self.middle)], size, name=f"{n}_")[0] for n, (x, y), size in made]
        return slotted_holes(bolts, self.slot, self.slot_along)

    @cached_property
    def openings(self) -> tuple[Hole | Slot, ...]:
        """All holes of the floor, from its middle: bolts, then the others."""
        rest = enumerate(self.holes, 1)
        return (*self.bolt_holes, *(Hole(at=(x, y), d=d, kind="drain", name=f"holes_{i}") for i, (x, y, d) in rest))

    def floor_problems(self) -> Iterator[str]:
        """What is wrong with the directions, and with the floor between its bends."""
        way = sub(self.bush_right, self.bush_left)
        for name, v in (("normal", self.normal), ("bush_axis", self.bush_axis)):
            off = 90.0 - abs(90.0 - degrees_between(way, v)) if any(way) else 0.0
            if off < STEEP:
                yield f"{name} = {off:.1f} deg to the line from bush_left to bush_right, {STEEP:g} or more: a tray"
        taken = self.relief_d + 2 * LEAST
        for (name, size, lost), least in zip(self.outside, (taken, self.landing_od + taken), strict=True):
            if size - lost < least:
                yield at_least(name, size, lost + least, "bends, reliefs, some flat")

    def hole_problems(self) -> Iterator[str]:
        """What is wrong with the holes of the floor."""
        flat = True
        for hole, size in zip(self.openings, self.sizes, strict=False):
            for (name, has, lost), offs in zip(self.outside, zip(*opening_ends([hole]), strict=True), strict=True):
                least = 2 * max(map(abs, offs)) + bolt(size).washer_od + lost
                if has < least:
                    flat = False
                    yield at_least(name, has, least, f"the washer at {hole.name[:-2]} lies flat")
        if flat:
            clear = rectangle(self.floor[0] - self.relief_d, self.floor[1] - self.relief_d)
            yield from opening_rules(clear, self.openings, least=LEAST)

    def tube_problems(self) -> Iterator[str]:
        """What is wrong with how the tubes stand on their lips."""
        along = abs(dot(unit(self.bush_axis), self.face.place.x))
        cup = self.cup_od / 2 * math.sqrt(max(0.0, 1 - along**2)) + self.cup_length / 2 * along
        most = 2 * (self.bush("right")[0] - cup - SHORTEST)
        if self.length > most:
            yield at_most("length", self.length, most, f"{SHORTEST:g} mm of tube between lip and cup")
            return
        for side in SIDES:
            way = sub(self.bush(side), self.foot(side, self.end_lip))
            wide = 2 * (landing(way, self.landing_od)[0] + self.leg + self.corner_room)
            need = self.lip_need(side)
            lean = degrees_between((abs(way[0]), way[1], way[2]), (1.0, 0.0, 0.0))
            if lean > STEEP:
                yield f"bush_{side} = its tube leans {lean:.1f} deg off square to the lip, {STEEP:g} or less"
            elif self.end_lip < need - ROUNDING:
                yield at_least("end_lip", self.end_lip, need, f"tube_{side} and its weld on the flat of the lip")
            elif self.floor[1] < wide - ROUNDING:
                least = wide + self.outside[1][2]
                yield at_least("width", self.width, least, f"tube_{side} and its weld on the lip")

    @property
    def gusset_ys(self) -> tuple[float, float]:
        """Middles of the two gussets behind a tube, along y from its axis: under its two sides."""
        half = (self.landing_od - self.t) / 2
        return -half, half

    @property
    def heel(self) -> float:
        """mm cut off a gusset's right angle, past the bend."""
        return self.inside_radius + LEAST

    def gusset_problems(self) -> Iterator[str]:
        """What is wrong with the gussets, where there are any."""
        if not self.gussets:
            return
        most, low = self.floor[0] / 2 + self.inside_radius - LEAST, self.heel + self.t
        if self.gusset_leg > most:
            yield at_most("gusset_leg", self.gusset_leg, most, "half of the floor")
        if self.gusset_leg < low + LEAST:
            yield at_least("gusset_leg", self.gusset_leg, low + LEAST, "past the bend")
        if self.end_lip - self.back < low + LEAST:
            yield at_least("end_lip", self.end_lip, self.back + low + LEAST, "gussets that reach past the bend")
        if self.landing_od < 2 * self.t + 2 * self.leg:
            yield f"gussets = yes, no: a tube of {self.landing_od:g} has no room for two of {self.t:g} and welds"
        sizes = [bolt(size).washer_od for size in self.sizes] + [d for *_, d in self.holes]
        inner = self.floor[0] / 2 + self.inside_radius - self.gusset_leg
        for side in SIDES:
            lane = self.foot(side, self.end_lip)[1] - self.middle
            for hole, d in zip(self.openings, sizes, strict=True):
                xs, ys = zip(*opening_ends([hole]), strict=True)
                x = inner - max(at * (-1 if side == "left" else 1) for at in xs)
                beside = [max(min(ys) - lane - off, lane + off - max(ys), 0.0) for off in self.gusset_ys]
                room = math.hypot(max(x, 0.0), max(min(beside) - self.t / 2, 0.0)) - d / 2 - self.leg
                if room < LEAST:
                    left = f"leaves {room:.1f} mm from a gusset's weld to {hole.name}, {LEAST:g} or more"
                    yield f"gusset_leg = {self.gusset_leg:g} mm, {left}: shorter, or gussets no"

    def folded(self) -> Folded:
        """The tray, where it stands. With one side lip it is on the side that the bush axis points to."""
        (x, y), relief = (v / 2 for v in self.floor), Relief(kind="round", width=self.relief_d)
        left_first = self.face.place.local_direction(self.bush_axis)[1] > 0
        edges = [((x, -y), (-x, -y)), ((-x, y), (x, y))][:: -1 if left_first else 1]
        lines = [((-x, -y), (-x, y)), ((x, y), (x, -y)), *edges[: self.sides]]
        sizes = [(self.end_lip, self.end_lips)] * 2 + [(self.side_lip, self.side_lips)] * self.sides
        lips = [
            lip(
                a,
                b,
                t=self.t,
                length=height,
                angle=-90.0 if way == TO_CASTING else 90.0,
                inside_radius=self.inside_radius,
                corner=self.corner,
                relief=relief if self.sides else None,
            )
            for (a, b), (height, way) in zip(lines, sizes, strict=True)
        ]
        return Folded(
            name="tray",
            place=self.face.place @ Place((0.0, self.middle, 0.0)),
            t=self.t,
            base=Wall(outline=rectangle(2 * x, 2 * y), openings=self.openings),
            flanges=tuple(lips),
        )

    def gusset_plates(self) -> tuple[tuple[Plate, ...], tuple[Weld, ...]]:
        """The gussets where they stand, and the welds along their two legs; none where there are none."""
        rise, inside = self.end_lip - self.back, 0.0 if self.end_lips == TO_CASTING else self.t
        up = -1.0 if self.end_lips == TO_CASTING else 1.0
        outline = gusset_outline(self.gusset_leg, rise, nose=self.t, corner=self.heel)
        legs = ((self.heel, 0.0), (self.gusset_leg, 0.0)), ((0.0, rise), (0.0, self.heel))
        plates, welds = [], []
        for side in SIDES if self.gussets else ():
            out = -1.0 if side == "left" else 1.0
            axis: Vec = (0.0, out * up, 0.0)
            x, lane = out * (self.floor[0] / 2 + self.inside_radius), self.foot(side, self.end_lip)[1]
            for i, off in enumerate(self.gusset_ys, 1):
                at = Place((x, lane + off - axis[1] * self.t / 2, inside), axis, (0.0, 0.0, up))
                name = f"gusset_{side}_{i}"
                plates.append(plate(outline, self.t, name=name, place=self.face.place @ at))
                edges = [Along(a, b, face) for a, b in legs for face in FACES]
                welds += [Weld(piece=name, edge=edge, onto="tray", leg=self.leg) for edge in edges]
        return tuple(plates), tuple(welds)


def held(value: float, low: float, high: float, off: float) -> float:
    """`value`, or as near it as lies `off` within both limits; the middle where nothing does."""
    return (low + high) / 2 if low + off > high - off else min(max(value, low + off), high - off)


def landing(way: Vec, od: float) -> tuple[float, float]:
    """Half of what a round tube along `way` covers of a face square to x: along y, along z, mm.

    Past 60 degrees of lean as at 60: refused anyway.
    """
    x, y, z = unit(way) if any(way) else (1.0, 0.0, 0.0)
    flat = max(abs(x), 0.5)
    return od / 2 * math.sqrt(1 - z * z) / flat, od / 2 * math.sqrt(1 - y * y) / flat
