"""Where the powertrain stands: the gaps of its keep-outs to the chassis at any position, and how each changes.

A position is six figures, as [powertrain] place has them: shift fore, left, up in mm, then roll, pitch, yaw in
degrees; turned about the crank's point in that order, then shifted. Standing still, and of keep-outs alone: parts,
bushes and bolts are made for a position, and do not choose it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from brackets.bay.hung.mount_frames import turn, turned_about
from brackets.bay.schema.asked import FIGURES
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Powertrain
from brackets.bay.stand.bodies import BayBody, keep_out_body, matrix
from brackets.bay.stand.gap_rules import GapRule, contacts, required_gap
from brackets.clearance.bodies import Body
from brackets.clearance.gaps import Gap, State, by_boxes, by_triangles, gap
from brackets.clearance.inside import contained_point
from brackets.clearance.overlaps import overlap, pull
from brackets.clearance.places import Array, moved
from brackets.core.errors import BadFile, InputError
from brackets.core.place import Place
from brackets.core.vectors import Vec, cross, scale

SHIFTS = 3
"""How many of them are shifts, mm; the rest are turns, degrees."""

UNITS = ("mm",) * SHIFTS + ("deg",) * (len(FIGURES) - SHIFTS)

SHOWN = 8
"""The tightest gaps that are told of."""

TOLD = 100.0
"""mm more than the least spare that a gap may have to be told of."""

MEETING = 1e-3
"""mm under which two closest points give no direction that is to be trusted."""

DEPTH = 4
"""Decimals of a depth, mm, that mean something."""

PAST = 0.1
"""mm that a body is drawn out past first contact to see which way the surfaces face there."""

STRAIGHT = 1 - 1e-6
"""Cosine past which the surfaces face the way that it is drawn."""

ASKEW = 0.5
"""Least cosine between that and the way it is drawn for the depth to be put right by it."""


@dataclass(frozen=True, eq=False)
class BarePair:
    """A keep-out of the powertrain, number `mover` of the bay's, one of the chassis, and the gap asked of them."""

    mover: int
    other: BayBody
    asked: GapRule


@dataclass(frozen=True, eq=False)
class BareBay:
    """The keep-outs of a bay alone; `movers` are those of the powertrain, where they are typed.

    `reach`: mm, the furthest that any of them is from the crank's point. `meant`: pairs that are declared to touch
    and so are not judged.
    """

    bay: Bay
    movers: tuple[BayBody, ...]
    pairs: tuple[BarePair, ...]
    reach: float
    meant: tuple[tuple[str, str], ...] = ()

    def standing(self, at: Array) -> tuple[Body, ...]:
        """The bodies of the movers at a position (6,)."""
        place = matrix(place_at(self.bay.powertrain, at))
        return tuple(mover.body.placed(place) for mover in self.movers)


@dataclass(frozen=True, eq=False)
class PlaceGap:
    """The gap of a pair at one position: from `low` to `high`, mm.

    Where they share metal both are how far the first must be drawn out, negative. slope (6,): mm per mm and per
    degree by the closest points p and q. note: what an open scan leaves open."""

    pair: BarePair
    a: str
    b: str
    state: str
    low: float
    high: float
    slope: Array
    p: Vec
    q: Vec
    note: str = ""

    @property
    def needed(self) -> float:
        return self.pair.asked.rest

    @property
    def spare(self) -> float:
        """From the low end, mm."""
        return self.low - self.needed

    @property
    def fouls(self) -> bool:
        """Whether the two share metal or touch, or may do so for all that is known."""
        return self.state in ("hit", "inside", "touch") or bool(self.note)


def bare_bay(bay: Bay) -> BareBay:
    """The keep-outs of a bay as bodies. Raises BadFile for those whose file cannot be used."""
    problems: list[str] = []
    found: list[BayBody] = []
    for row in bay.keep_outs:
        try:
            body = keep_out_body(row, beside=bay.path.parent)
        except InputError as error:
            problems += [f"keep_out {row.name}: {line}" for line in error.problems]
            continue
        found.append(BayBody(name=row.name, what="keep-out", side=row.side, kind=row.kind, body=body, of=row))
    if problems:
        raise BadFile(bay.path, *problems)
    movers = tuple(one for one in found if one.side == "powertrain")
    others = [one for one in found if one.side == "chassis"]
    meant = contacts(bay)
    told: list[tuple[str, str]] = []
    pairs: list[BarePair] = []
    for i, mover in enumerate(movers):
        for other in others:
            if frozenset((mover.name, other.name)) in meant:
                told.append((mover.name, other.name))
            else:
                pairs.append(BarePair(mover=i, other=other, asked=required_gap(bay, mover, other)))
    crank = np.asarray(bay.powertrain.crank_at)
    reach = max((float(np.linalg.norm(one.body.corners - crank, axis=1).max()) for one in movers), default=0.0)
    return BareBay(bay=bay, movers=movers, pairs=tuple(pairs), reach=reach, meant=tuple(told))


def typed_position(powertrain: Powertrain) -> Array:
    """(6,) float: the position that the file types."""
    turns = powertrain.place_roll, powertrain.place_pitch, powertrain.place_yaw
    return np.array((*powertrain.place_at, *turns), dtype=float)


def place_at(powertrain: Powertrain, at: Array) -> Place:
    """Where the powertrain side stands, against where it is typed, at a position (6,)."""
    x, y, z, roll, pitch, yaw = (float(v) for v in at)
    return turned_about(powertrain.crank_at, (roll, pitch, yaw), (x, y, z))


def motion(powertrain: Powertrain, at: Array, point: Array) -> Array:
    """(3, 6) float: how a point of the powertrain that stands at `point` (3,) mm, with the powertrain at `at`,
    moves per mm of each shift and per degree of each turn."""
    x, y, z = (float(v) for v in point - np.asarray(powertrain.crank_at) - at[:SHIFTS])
    axes = (turn(0.0, float(at[4]), float(at[5])).direction((1.0, 0.0, 0.0)),
            turn(0.0, 0.0, float(at[5])).direction((0.0, 1.0, 0.0)),
            (0.0, 0.0, 1.0))  # fmt: skip
    turned = [scale(cross(axis, (x, y, z)), math.radians(1.0)) for axis in axes]
    return np.column_stack((np.eye(3), *turned))


def gap_at(
    bare: BareBay,
    pair: BarePair,
    at: Array,
    *,
    body: Body | None = None,
    cap: float | None = None,
    rough: bool = False,
) -> PlaceGap | None:
    """The gap of a pair at a position (6,), or None where it is surely more than `cap`, mm.

    body: that of the mover, where it is at hand already; rough: by triangles alone, fifty times as quick and off by
    what those of round faces are.
    """
    own = bare.standing(at)[pair.mover] if body is None else body
    found = _by_triangles(own, pair.other.body) if rough else gap(own, pair.other.body, cap=cap)
    if cap is not None and found.low > cap:
        return None
    name, other = bare.movers[pair.mover].name, pair.other.name
    low, high, p, q = found.low, found.high, np.asarray(found.p), np.asarray(found.q)
    if found.state in ("hit", "inside", "touch") or high < MEETING:
        depth, normal, p, q = _drawn_out(own, pair.other.body)
        low = high = round(depth, DEPTH)
    else:
        normal = (p - q) / np.linalg.norm(p - q)
    slope = normal @ motion(bare.bay.powertrain, at, p)
    return PlaceGap(pair=pair, a=name, b=other, state=found.state, low=low, high=high, slope=slope,
                    p=vec(p), q=vec(q), note=_note(found))  # fmt: skip


def _by_triangles(own: Body, other: Body) -> Gap:
    loose, near = by_triangles(own, other)
    held = any(contained_point(*two, clear=True) is not None for two in ((own, other), (other, own)))
    state: State = "inside" if held else "hit" if near.distance == 0 else "far"
    return replace(loose, state=state, low=near.distance, high=near.distance)


def _note(found: Gap) -> str:
    return found.note if found.state in ("far", "clear") else ""


def _drawn_out(own: Body, other: Body) -> tuple[float, Array, Array, Array]:
    """How far, mm and negative, a body must be drawn out of another: the shortest of the axes' ways and of the way
    that their surfaces face where it comes free. How that changes with each mm it moves, (3,); where they meet."""
    best = overlap(own, other, exact=False).pulls[0]
    depth, normal, p, q = _faced(own, other, np.asarray(best.along), best.distance)
    way = normal / np.linalg.norm(normal)
    if float(way @ np.asarray(best.along)) > STRAIGHT:
        return depth, normal, p, q
    straight = pull(own, other, way)
    if straight.distance < best.distance - MEETING:
        depth, normal, p, q = _faced(own, other, way, straight.distance)
    return depth, normal, p, q


def _faced(own: Body, other: Body, way: Array, distance: float) -> tuple[float, Array, Array, Array]:
    out = (distance + PAST) * way
    near = gap(own.placed(moved(out)), other)
    p, q = np.asarray(near.p), np.asarray(near.q)
    facing = (p - q) / max(float(np.linalg.norm(p - q)), MEETING)
    share = float(facing @ way)
    if share < ASKEW:
        return -distance, way, p - out, q
    return near.low / share - distance - PAST, facing / share, p - out, q


def vec(values: Array) -> Vec:
    """Three figures as a plain point, no -0.0 in it."""
    x, y, z = (float(v) + 0.0 for v in values)
    return (x, y, z)


def tightest(
    bare: BareBay, at: Array, *, most: int = 1, within: float = 0.0, rough: bool = False
) -> tuple[PlaceGap, ...]:
    """The gaps with the least spare at a position (6,), least first: at least `most` of them where there are as
    many, and all that have no more than `within` mm more than the least. Others are left out by their boxes."""
    bodies = bare.standing(at)
    by_box = [(by_boxes(bodies[pair.mover], pair.other.body).low - pair.asked.rest, n)
              for n, pair in enumerate(bare.pairs)]  # fmt: skip
    found: list[PlaceGap] = []
    for spare, n in sorted(by_box):
        most_wanted = _most_wanted(found, most, within)
        if spare > most_wanted:
            break
        pair = bare.pairs[n]
        cap = None if math.isinf(most_wanted) else most_wanted + pair.asked.rest
        one = gap_at(bare, pair, at, body=bodies[pair.mover], cap=cap, rough=rough)
        if one is not None:
            found.append(one)
    found.sort(key=lambda one: (one.spare, one.a, one.b))
    limit = _most_wanted(found, most, within)
    return tuple(one for one in found if one.spare <= limit)


def _most_wanted(found: Sequence[PlaceGap], most: int, within: float) -> float:
    """mm: a gap with more spare than this is of no interest."""
    if len(found) < most:
        return math.inf
    spares = sorted(one.spare for one in found)
    return max(spares[most - 1], spares[0] + within)
