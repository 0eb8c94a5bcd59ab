"""Regions of movement as clearance sweeps them: of the whole powertrain, of each load case, and of one bush.

Which case moves a pair to its least gap: the one within whose own region the pair comes nearest; of a pair that
is followed no further than to show that it is far enough, of links, and of what moves by itself as well, the one
that carries its nearest points furthest together, to the first order. mm, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brackets.bay.hung.movement import NONE, Region, largest_turn, movement_of, radial_axial
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount
from brackets.bay.stand.hardware import bush_of
from brackets.clearance.bodies import Body
from brackets.clearance.gaps import by_triangles
from brackets.clearance.motion import Moves, Turn, bush_moves
from brackets.clearance.places import Array, point
from brackets.clearance.sweeps import no_less_than, sweep
from brackets.core.vectors import Vec, unit

WITHIN = 0.5
"""How wide the interval of the least gap in one case may stay, mm."""

AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))

RADIALLY, ENDWAYS, EVERY_WAY = "radially", "endways", "radially and endways"


def moves_in(region: Region, about: Vec) -> Moves:
    """Every place of a region, which turns about a point, mm, where it does not say which itself."""
    turns = tuple(Turn(axis, low, high) for axis, (low, high) in zip(AXES, region.turns, strict=True))
    at = about if region.about is None else region.about
    return Moves(point(at), turns, region.travel, region.along)


def moves_of(bay: Bay) -> Moves | None:
    """The movement of the powertrain that is cleared, or None where the file gives none. Raises BadFile where the
    movement worked out is asked for and cannot be."""
    movement = movement_of(bay)
    return None if movement.how == NONE else moves_in(movement.whole, movement.about)


@dataclass(frozen=True)
class CaseMoves:
    """A load case, or "typed", and every place within its region."""

    name: str
    moves: Moves


def cases_of(bay: Bay) -> tuple[CaseMoves, ...]:
    """Each case by itself; none where nothing is worked out."""
    movement = movement_of(bay)
    if not movement.worked_out:
        return ()
    return tuple(CaseMoves(region.name, moves_in(region, movement.about)) for region in movement.cases)


def case_of(a: Body, b: Body, cases: Sequence[CaseMoves]) -> str:
    """Name of the case that moves a body to its least gap from another; "" where there are none."""
    if len(cases) < 2:
        return cases[0].name if cases else ""
    floors = [no_less_than(a, b, case.moves) for case in cases]
    best, nearest = math.inf, 0
    for i in sorted(range(len(cases)), key=lambda i: floors[i]):
        if floors[i] <= best:  # else it surely comes less near
            best, nearest = min((best, nearest), (sweep(a, b, cases[i].moves, WITHIN).high, i))
    return cases[nearest].name


def nearest_case(cases: Sequence[CaseMoves], p: Vec, q: Vec) -> str:
    """Name of the case that carries the point p of what moves furthest towards q, to the first order."""
    if not cases:
        return ""
    way = np.subtract(q, p)
    size = float(np.linalg.norm(way))
    if size == 0:
        return max(cases, key=lambda case: float(np.abs(case.moves.limits[3:]).max())).name
    return cases[int(_carried(cases, np.asarray(p), way / size).argmax())].name


def _carried(cases: Sequence[CaseMoves], p: Array, way: Array) -> Array:
    """(k,) float mm: furthest that each case carries a point along a unit direction; a turn carries it by the arm
    from its axis crossed with that direction."""
    limits = np.array([case.moves.limits for case in cases])
    turned = np.cross(p - np.array([case.moves.about for case in cases]), way)
    each = limits * np.hstack((turned, np.broadcast_to(way, turned.shape)))[:, :, None]
    return np.asarray(each.max(axis=2).sum(axis=1))


@dataclass(frozen=True, kw_only=True)
class BushWay:
    """One way in which the halves of a mount move: mm at most square to its axis and along it, and the case that
    moves them so far, "" for the travel of the bush's row."""

    by: str
    radial: float = 0.0
    axial: float = 0.0
    case: str = ""

    @property
    def endwise(self) -> bool:
        """Whether the gap that is asked is that between their ends."""
        return self.by != RADIALLY

    def moves(self, axis: Vec) -> Moves:
        return bush_moves(axis, radial=self.radial, axial=self.axial)


def bush_ways(bay: Bay, mount: Mount, a: Body, b: Body) -> tuple[BushWay, ...]:
    """How two halves of a mount move: radially and endways each by the travel of the bush's row; where movement is
    worked out by that, where it is more, and by both at once.

    What is worked out is counted from where the bush carries nothing, and has in it how far a tilt of the bush
    carries what of one half may come near the other.
    """
    row = bush_of(bay, mount)
    regions = movement_of(bay).mounts.get(mount.name, ())
    radial, axial = BushWay(by=RADIALLY, radial=row.travel_radial), BushWay(by=ENDWAYS, axial=row.travel_axial)
    if not regions:
        return radial, axial
    worked = [(*radial_axial(region, unit(mount.axis)), region) for region in regions]
    near = _near(a, b, mount.at, max(r + x for r, x, _ in worked), max(largest_turn(one) for one in regions))
    each = []
    for r, x, region in worked:
        tilted = math.radians(largest_turn(region)) * near
        each.append((r + tilted, x + tilted, region.name))
    most_r, case_r = max((r, name) for r, _, name in each)
    most_x, case_x = max((x, name) for _, x, name in each)
    if most_r > radial.radial:
        radial = BushWay(by=RADIALLY, radial=most_r, case=case_r)
    if most_x > axial.axial:
        axial = BushWay(by=ENDWAYS, axial=most_x, case=case_x)
    case = max((math.hypot(r, x), name) for r, x, name in each)[1]
    return radial, axial, BushWay(by=EVERY_WAY, radial=most_r, axial=most_x, case=case)


def _near(a: Body, b: Body, at: Vec, travel: float, turn: float) -> float:
    """mm: no point of a that may come as near to b as both are at rest is further from `at`; travel: mm that `at`
    moves at most; turn: degrees."""
    middle = np.asarray(at)
    furthest = float(np.linalg.norm(np.abs(a.box - middle).max(axis=0)))
    span = travel + math.radians(turn) * furthest + by_triangles(a, b)[0].high
    low, high = np.maximum(a.box[0], b.box[0] - span), np.minimum(a.box[1], b.box[1] + span)
    if np.any(low > high):
        return 0.0
    return float(np.linalg.norm(np.maximum(np.abs(low - middle), np.abs(high - middle))))
