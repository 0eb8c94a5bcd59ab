"""Fork: a plate on two bosses or more of a casting and two ears on it, for a bush that points any way along it.

Bosses and bush are points of the bay, so the part comes out where it stands. The bush axis may lean out of the
plate by as much as is welded over under an ear that is cut square.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    PLATE,
    SLOT_WAYS,
    Checked,
    Ears,
    Face,
    Finding,
    FlatSeat,
    Hole,
    Outline,
    Part,
    Place,
    Plate,
    Seat,
    Slot,
    Turned,
    Vec,
    Weld,
    at_least,
    bolt,
    boss_holes,
    choice,
    degrees_between,
    direction,
    dot,
    ear_foot,
    edge_for,
    follows,
    hole,
    mm,
    name_problems,
    on_flat,
    opening_ends,
    opening_rules,
    plate,
    point,
    points,
    round_hull,
    row,
    scale,
    slotted_holes,
    spacers,
    stock,
    texts,
    unit,
)
from brackets.library.ears import LEAST_METAL
from brackets.library.ears_base import square_foot_findings, steepest, touching_welds
from brackets.rules.joints import ROOT_OPENING

LEAST = 1.0
"""Least metal between openings, mm."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bosses: Annotated[
        tuple[Vec, ...], points(3, "threaded bosses under the plate", at_least=2, at_most=12, takes="bosses")
    ] = ((-170.0, 50.0, 100.0), (-170.0, 190.0, 100.0))
    boss_names: Annotated[tuple[str, ...], texts("names of the bosses", at_most=12, takes="boss names")] = ()
    normal: Annotated[Vec, direction("direction out of the casting", takes="boss normal")] = (1.0, 0.0, 0.0)
    boss_bolt: Annotated[str, row("bolt", "bolts into the bosses", takes="boss bolt")] = "M10"
    threads: Annotated[
        tuple[str, ...], texts("thread of each boss, where they differ", at_most=12, takes="boss threads")
    ] = ()
    bolt: Annotated[str, row("bolt", "bolt through the bush's sleeve", takes="bush bolt")] = "M12"
    bush: Annotated[Vec, point(3, "bush centre", takes="bush centre")] = (-116.0, 120.0, 104.0)
    bush_axis: Annotated[Vec, direction("direction of the bush's axis", takes="bush axis")] = (0.0, 1.0, 0.0)
    inside: Annotated[float, mm(15, 150, "between the ears: sleeve length and its play", takes="ear spacing")] = (
        46.5
    )
    ear_r: Annotated[float, mm(12, 60, "ear radius round the bolt")] = 24.0
    foot: Annotated[float | None, mm(15, 150, "width of the ears' foot"), follows("foot_used")] = None
    t: Annotated[float, stock(PLATE, "plate of the ears", lo=3.0, hi=12.0)] = 6.0
    plate_t: Annotated[float, stock(PLATE, "plate on the bosses", lo=4.0, hi=16.0)] = 8.0
    edge: Annotated[float | None, mm(8, 60, "boss hole's centre to the plate's edge"), follows("edge_used")] = None
    leg: Annotated[float, mm(2, 12, "leg of the welds")] = 5.0
    slot: Annotated[float, mm(0, 40, "how far the plate can be moved on its bolts, in all")] = 0.0
    slot_along: Annotated[
        str, choice(SLOT_WAYS, "which way the slots run: length is across the bush axis, width along it")
    ] = "length"

    @property
    def names(self) -> tuple[str, ...]:
        return self.boss_names or tuple(f"boss_{i}" for i in range(1, len(self.bosses) + 1))

    @property
    def sizes(self) -> tuple[str, ...]:
        return self.threads or (self.boss_bolt,) * len(self.bosses)

    @property
    def foot_used(self) -> float:
        return ear_foot(self.ear_r, None) if self.foot is None else self.foot

    @property
    def edge_used(self) -> float:
        return max(map(edge_for, self.sizes)) if self.edge is None else self.edge

    @property
    def slope(self) -> float:
        """Degrees the bush axis leans out of the plate, up where it points along the plate's y."""
        return 90.0 - degrees_between(self.normal, self.bush_axis)

    @cached_property
    def face(self) -> Face:
        """The plate's frame: z out of the casting, y along the bush axis, origin under the bush."""
        return Face.on(self.bosses, self.normal, origin=self.bush, up=self.bush_axis)

    @property
    def ears(self) -> Ears:
        foot = self.foot_used
        return Ears(bolt=self.bolt, inside=self.inside, ear_r=self.ear_r, t=self.t, foot=foot, leg=self.leg)

    @property
    def lows(self) -> tuple[float, float]:
        """z of the lower face of the front and of the rear ear along the bush axis."""
        return self.inside / 2, -self.inside / 2 - self.t

    def level(self, z: float) -> float:
        """From the bush axis to the plate at `z` along it, mm."""
        rise, slope = self.face.place.local(self.bush)[2] - self.plate_t, math.radians(self.slope)
        return rise / math.cos(slope) + z * math.tan(slope)

    @property
    def flats(self) -> tuple[FlatSeat, FlatSeat]:
        """What each ear stands on: the plate under the side of its foot that meets it first."""
        front, rear = (FlatSeat(reach=min(self.level(z), self.level(z + self.t))) for z in self.lows)
        return front, rear

    @property
    def feet(self) -> tuple[tuple[float, float, float, float], ...]:
        """Each foot on the plate: low x and y, high x and y, in its frame."""
        slope = math.radians(self.slope)
        found = []
        for flat, low in zip(self.flats, self.lows, strict=True):
            (left, y), (right, _) = flat.corners(self.foot_used, self.ear_r)
            ends = [y * math.sin(slope) + z * math.cos(slope) for z in (low, low + self.t)]
            found.append((left, min(ends), right, max(ends)))
        return tuple(found)

    @cached_property
    def outline(self) -> Outline:
        holes = [(x, y, self.edge_used) for x, y in opening_ends(self.holes)]
        return round_hull(
            [*holes, *((x, y, self.leg) for x0, y0, x1, y1 in self.feet for x in (x0, x1) for y in (y0, y1))]
        )

    @cached_property
    def holes(self) -> tuple[Hole | Slot, ...]:
        made = zip(self.names, self.face.points, self.sizes, strict=True)
        found = [boss_holes([at], size, name=f"{name}_")[0] for name, at, size in made]
        return slotted_holes(found, self.slot, self.slot_along)

    def rules(self) -> Iterator[str]:
        yield from (
            [*name_problems(self.boss_names, len(self.bosses), self.threads)]
            or [*self._stands()]
            or [*self._apart()]
        )

    def _stands(self) -> Iterator[str]:
        most = steepest(self.t, ROOT_OPENING)
        if abs(self.slope) > most:
            yield (
                f"bush_axis = {abs(self.slope):.1f} deg out of the plate, {most:.1f} or less: an ear {self.t:g}"
                f" thick is cut square and {ROOT_OPENING:g} mm is welded over"
            )
            return
        rises = [dot(p, unit(self.normal)) for p in self.bosses]
        if max(rises) - min(rises) > 40:
            yield f"bosses = {max(rises) - min(rises):g} mm apart in height, 40 or less: washers under one plate"
        if max(math.hypot(*p) for p in self.face.points) > 500:
            yield "bosses = further than 500 mm from the bush, nearer: one plate"
        bore = hole(self.bolt, "pivot")
        least, room = bore / 2 + LEAST_METAL, min(flat.reach for flat in self.flats)
        if self.ear_r < least:
            yield at_least("ear_r", self.ear_r, least, f"metal round a {bore:g} hole for {self.bolt}")
        if room < least:
            yield f"bush = {room:.1f} mm over the plate at an ear, {least:g} or more: metal under the {bore:g} hole"

    def _apart(self) -> Iterator[str]:
        yield from opening_rules(self.outline, self.holes, least=LEAST)
        for name, hole_, size in zip(self.names, self.holes, self.sizes, strict=True):
            off = min(
                math.hypot(max(x0 - x, x - x1, 0.0), max(y0 - y, y - y1, 0.0))
                for x, y in opening_ends([hole_])
                for x0, y0, x1, y1 in self.feet
            )
            room = off - self.leg - bolt(size).washer_od / 2
            if room < LEAST:
                yield f"bosses = {room:.1f} mm from the washer of {name} to an ear's weld, {LEAST:g} mm or more"


def check(p: Params) -> Iterator[Finding]:
    yield from square_foot_findings(p.slope, p.t)


def build(p: Params) -> Part:
    at = p.face.place
    frame = Place(p.bush, p.bush_axis, scale(p.normal, -1.0))
    made = [on_flat(p.ears, flat) for flat in p.flats]
    ears = [part.pieces[i] for i, part in enumerate(made)]
    welds = [
        Weld(piece=w.piece, edge=w.edge, onto="plate", leg=p.leg)
        for part, ear in zip(made, ears, strict=True)
        for w in touching_welds(part.welds, p.slope, p.t)
        if w.piece == ear.name
    ]
    washers: list[Turned] = []
    seats = [Seat(name="bush", place=frame, kind="bush")]
    for name, (x, y), low, size in zip(p.names, p.face.points, p.face.low, p.sizes, strict=True):
        washers += [s.renamed(f"washer_{name}").placed(at) for s in spacers([(x, y)], [low], size)]
        seats.append(Seat(name=name, place=at @ Place((x, y, -low), (0.0, 0.0, -1.0)), kind="boss", bolt=size))
    base: Plate = plate(p.outline, p.plate_t, openings=p.holes, name="plate", place=at)
    pieces = (base, *(ear.placed(frame) for ear in ears), *washers)
    return Part(name="fork", pieces=pieces, welds=tuple(welds), seats=tuple(seats))
