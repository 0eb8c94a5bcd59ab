"""The bolts that hold parts to bosses: the metal under each head, what fits from stock, and its head as a body.

mm, bay axes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from statistics import median_low

from brackets.bay.hung.mount_frames import any_up, place_of
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Boss
from brackets.bay.stand.bodies import TOLERANCE, BayBody, matrix
from brackets.bay.stand.placed_part import BossHead
from brackets.clearance.bodies import Body, body, crossings
from brackets.core.place import Place
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.fasteners import Engagement, engagement, hole
from brackets.core.vectors import Vec, add, scale, unit
from brackets.geometry.shapes import hexagon
from brackets.kernel.solids import shape
from brackets.library.rounds import ring
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Turned
from brackets.survey.bolt_lengths import BOTTOM, Tapped, choose_tapped

LINES = 7
"""Straight lines through a part round a bolt, by which the metal under its head is measured: more than corners
of a hexagon, so that no two lie alike on it."""

LOW = 40.0
"""The furthest a boss may stand below the part it holds, mm: a spacer goes between."""

ROUNDING = 6
"""Decimals of a mm to which that metal is told: what turning the body about leaves of it."""

BELOW = 1.0
"""How far below a boss's face those lines begin, mm: the part lies on it, or a hair in it."""

JOINED = 0.2
"""Gaps in the metal under a head that are none, mm: triangles of two pieces that meet."""


@dataclass(frozen=True, kw_only=True)
class BossBolt:
    """A bolt into a boss: the middle of the boss's face, the way out of it, mm of metal (and spacer) under its
    washers, how deep it must go in and why, how it sits; `stock` None: nothing from stock fits between `shortest`
    and `longest`, counted under one washer."""

    boss: Boss
    part: str
    row: Bolt
    at: Vec
    way: Vec
    grip: float
    needed: Engagement
    stock: Tapped | None

    @property
    def name(self) -> str:
        """Its name among the bodies of the bay."""
        return f"{self.boss.name} bolt"

    @property
    def washers(self) -> int:
        return 1 if self.stock is None else self.stock.washers

    @property
    def head_at(self) -> Vec:
        """The middle of the face its head bears on: the washers' outer one."""
        return add(self.at, scale(self.way, self.grip + self.washers * self.row.washer_t))

    @property
    def shank(self) -> Turned:
        """Its shank where it stands, into the casting; as short as may be where no stock fits."""
        length = self.shortest if self.stock is None else self.stock.length
        shank = ring("shank", od=self.row.d, bore=0.0, length=length, at=-length)
        return shank.placed(Place(self.head_at, self.way, any_up(self.way)))

    @property
    def shortest(self) -> float:
        return self.grip + self.row.washer_t + self.needed.least

    @property
    def longest(self) -> float:
        return self.grip + self.row.washer_t + self.boss.depth - BOTTOM * self.row.pitch


def boss_bolts(bay: Bay, all_things: Sequence[BayBody]) -> tuple[BossBolt, ...]:
    """A bolt for every boss that a part stands on, in the order of the parts."""
    place = place_of(bay.powertrain)
    bodies = {thing.name: thing.body for thing in all_things}
    found = []
    for part in bay.parts:
        for name in part.row.bosses if part.row.name in bodies else ():
            boss = bay.boss_by_name[name]
            at, way = place.point(boss.at), unit(place.direction(boss.normal))
            grip = _metal(bodies[part.row.name], bolt(boss.thread), at, way)
            if grip is not None:
                found.append(_boss_bolt(boss, part.row.name, grip, at, way))
    return tuple(found)


def heads(held: Sequence[BossBolt]) -> tuple[BayBody, ...]:
    """Washers and head of each as a body; its shank is in the metal."""
    return tuple(_head_of(one) for one in held)


def _head_of(one: BossBolt) -> BayBody:
    place = Place(add(one.at, scale(one.way, one.grip)), one.way, any_up(one.way))
    return BayBody(
        name=one.name,
        what="bolt",
        side="powertrain",
        kind="fixed",
        body=_head_body(one.row, one.washers).placed(matrix(place), name=one.name),
        of=BossHead(name=one.name, part=one.part, made=_head(one.row, one.washers).placed(place)),
        holds=one.part,
    )


def _head(row: Bolt, washers: int) -> Part:
    under = washers * row.washer_t
    head = Plate(
        name="head",
        place=Place(at=(0.0, 0.0, under)),
        t=row.head_height,
        wall=Wall(outline=hexagon(row.across_flats)),
    )
    washer = ring("washer", od=row.washer_od, bore=row.d, length=under)
    return Part(name="bolt", pieces=(washer, head))


@cache
def _head_body(row: Bolt, washers: int) -> Body:
    return body(shape(_head(row, washers)), name="bolt", tolerance=TOLERANCE)


def _boss_bolt(boss: Boss, part: str, grip: float, at: Vec, way: Vec) -> BossBolt:
    row = bolt(boss.thread)
    needed = engagement(row, boss.into)
    if boss.engagement is not None:
        needed = Engagement(least=boss.engagement, source="the bay file")
    stock = choose_tapped(row, grip=grip, depth=boss.depth, least=needed.least)
    return BossBolt(boss=boss, part=part, row=row, at=at, way=way, grip=grip, needed=needed, stock=stock)


def _metal(body: Body, row: Bolt, at: Vec, way: Vec) -> float | None:
    """mm from a boss's face to where a head on the part bears, along the boss's axis; None where none of the part
    is over it. The middle one of what is found on a circle under the washer."""
    r = (hole(row, "boss") + row.washer_od) / 4
    stand = Place(at, way, any_up(way))
    angles = [2 * math.pi * (i + 0.25) / LINES for i in range(LINES)]
    starts = [stand.point((r * math.cos(angle), r * math.sin(angle), -BELOW)) for angle in angles]
    tops = [_top([float(far) - BELOW for far in crossed]) for crossed in crossings(body, starts, way)]
    found = [top for top in tops if top is not None]
    return round(median_low(found), ROUNDING) if found else None


def _top(crossed: Sequence[float]) -> float | None:
    """Where the metal that begins on a boss, or on its spacer, ends: pairs of in and out, rising."""
    top: float | None = None
    for enters, leaves in zip(crossed[::2], crossed[1::2], strict=False):
        if top is None:
            if leaves < JOINED or enters > LOW:
                continue
        elif enters > top + JOINED:
            break
        top = leaves
    return top
