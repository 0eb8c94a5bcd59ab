"""Every bolt of a bay: how long it must be, whether it goes in and comes out, and whether tools get at it.

Mount bolts go through both ears and the sleeve and have a nut; boss bolts hold a part to a casting. mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median_low

from brackets.bay.bodies import Thing
from brackets.bay.bought import MountBolt, mount_bolt
from brackets.bay.hands import Drawn, Fitted, Reached, drawn, reached
from brackets.bay.powertrain import place_of
from brackets.bay.rows import Boss
from brackets.bay.seating import any_up
from brackets.bay.standing import Stood
from brackets.bolts.lengths import BOTTOM, Tapped, Through, choose_tapped
from brackets.clearance import Body
from brackets.clearance.lines import crossings
from brackets.pieces import Place, Vec
from brackets.pieces.vectors import add, scale, unit
from brackets.tables import Bolt, bolt, hole
from brackets.tables.engagement import Engagement, engagement

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
    """A bolt into a boss: mm of metal (and spacer) under its head, how deep it must go in and why, how it sits;
    `stock` None: nothing from stock fits between `shortest` and `longest`, counted under one washer."""

    boss: Boss
    part: str
    row: Bolt
    grip: float
    needed: Engagement
    stock: Tapped | None

    @property
    def shortest(self) -> float:
        return self.grip + self.row.washer_t + self.needed.least

    @property
    def longest(self) -> float:
        return self.grip + self.row.washer_t + self.boss.depth - BOTTOM * self.row.pitch


@dataclass(frozen=True, kw_only=True)
class BoltFound:
    """One bolt: what it is, how it comes out (a mount bolt also from its other end), what gets at its ends."""

    name: str
    bolt: MountBolt | BossBolt
    drawn: Drawn
    turned: Drawn | None
    ends: tuple[Reached, ...]

    @property
    def row(self) -> Bolt:
        return self.bolt.row

    @property
    def used(self) -> Through | Tapped | None:
        """How it sits as drawn; None where nothing fits."""
        return self.bolt.drawn if isinstance(self.bolt, MountBolt) else self.bolt.stock


def bolts(stood: Stood, all_things: Sequence[Thing]) -> tuple[BoltFound, ...]:
    """The bolts of the mounts, then those of the bosses that parts stand on."""
    fitted = Fitted(all_things)
    return (*_of_mounts(stood, fitted), *_of_bosses(stood, fitted))


def _of_mounts(stood: Stood, fitted: Fitted) -> Iterator[BoltFound]:
    params = {part.name: part.params for part in stood.parts}
    for mount in stood.bay.mounts:
        found = mount_bolt(stood.bay, mount, params)
        if found is None or found.drawn is None:
            continue
        row, used, own = found.row, found.drawn, (f"{mount.name} bolt",)
        under, behind = (n * row.washer_t for n in used.washers)
        head_at = add(found.face, scale(found.head, under))
        nut_at = add(found.face, scale(found.head, -found.grip - behind))
        back = scale(found.head, -1.0)
        size = {"length": used.length, "head_od": _widest(row), "head_height": row.head_height}
        out = drawn(fitted, head_at, found.head, **size, but=own)
        other = None if out.out else drawn(fitted, nut_at, back, **size, but=own)
        ends = [
            reached(
                fitted,
                stood.bay,
                "head",
                head_at,
                found.head,
                across_flats=row.across_flats,
                height=row.head_height,
                but=own,
            )
        ]
        if found.nut_height is not None:
            tip = used.length - under - found.grip - behind
            ends.append(
                reached(
                    fitted,
                    stood.bay,
                    "nut",
                    nut_at,
                    back,
                    across_flats=row.nut_across_flats,
                    height=max(found.nut_height, tip),
                    but=own,
                )
            )
        yield BoltFound(name=mount.name, bolt=found, drawn=out, turned=other, ends=tuple(ends))


def _of_bosses(stood: Stood, fitted: Fitted) -> Iterator[BoltFound]:
    bay = stood.bay
    place = place_of(bay.powertrain)
    bodies = {thing.name: thing.body for thing in fitted.things}
    for part in bay.parts:
        for name in part.row.bosses:
            boss = bay.boss_by_name[name]
            at, way = place.point(boss.at), unit(place.direction(boss.normal))
            row = bolt(boss.thread)
            grip = None if part.row.name not in bodies else _metal(bodies[part.row.name], row, at, way)
            if grip is None:
                continue
            found = _boss_bolt(boss, part.row.name, row, grip)
            washers = 1 if found.stock is None else found.stock.washers
            length = found.shortest if found.stock is None else found.stock.length
            head_at = add(at, scale(way, grip + washers * row.washer_t))
            out = drawn(
                fitted, head_at, way, length=length, head_od=_widest(row), head_height=row.head_height
            )
            end = reached(
                fitted,
                bay,
                "head",
                head_at,
                way,
                across_flats=row.across_flats,
                height=row.head_height,
                but=(),
            )
            yield BoltFound(name=name, bolt=found, drawn=out, turned=None, ends=(end,))


def _boss_bolt(boss: Boss, part: str, row: Bolt, grip: float) -> BossBolt:
    needed = engagement(row, boss.into)
    if boss.engagement is not None:
        needed = Engagement(least=boss.engagement, source="the bay file")
    stock = choose_tapped(row, grip=grip, depth=boss.depth, least=needed.least)
    return BossBolt(boss=boss, part=part, row=row, grip=grip, needed=needed, stock=stock)


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


def _widest(row: Bolt) -> float:
    """mm over whatever of head and washer is wider."""
    return max(row.across_corners, row.washer_od)
