"""One pair while one of the two moves: the cells of the movement still open, and what is known so far.

mm and radians; distances here are between triangles, the caller takes off how far those may be off.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brackets.clearance.bodies import Body, skins
from brackets.clearance.gaps import Gap, by_triangles
from brackets.clearance.inside import contained_point, not_told
from brackets.clearance.motion import Movement
from brackets.clearance.pairs import ROUNDING
from brackets.clearance.places import Array
from brackets.clearance.sums import MinkowskiSum, minkowski_sum_of_hull, minkowski_sum_of_triangles
from brackets.clearance.triangles import Nearest, between

PAD = 1e-4  # mm: a travel that is nothing one way is widened this much that way, so that hulls have a volume
SumMaker = Callable[[Body, Array, Array], MinkowskiSum | None]
STARTS = 6  # of the nearest places looked at, from so many the movement is followed down to its worst
STEPS = 60  # looks on one way down
SHORT = 1e-3  # of a half width of the movement: a shorter step ends the way down
ROOM = 1e-3  # mm: over PAD and rounding, which the cells of a search may be short by
CLOSER = 0.25  # of the width asked for: a find must better the least by this to have its travel worked out


@dataclass(frozen=True, eq=False)
class Cell:
    """Part of a movement: its middle and half widths (n + 3,) float, and the least the distance can be in it."""

    mid: Array
    half: Array
    low: float


def furthest(a: Body, moves: Movement) -> float:
    """mm: no point of a body is carried further from where it stands."""
    return moves.reach(a.place.points(a.core.hull_points)).most(np.abs(moves.limits).max(axis=1))


def least_by_boxes(a: Body, b: Body, span: float) -> float:
    """mm: no less lies between two bodies while no point of a is carried further than `span`."""
    apart = np.maximum(np.maximum(b.box[0] - a.box[1], a.box[0] - b.box[1]), 0.0)
    return max(0.0, float(np.linalg.norm(apart)) - span)


def not_told_over(a: Body, b: Body, moves: Movement, worst: Array | None = None) -> str:
    """What an open body leaves open at rest, at either end of each freedom, or at the worst place found; in a
    sentence, or nothing."""
    if a.closed and b.closed:
        return ""
    places = [np.zeros(len(moves.limits))]
    for axis, ends in enumerate(moves.limits):
        for end in set(ends.tolist()) - {0.0}:
            places.append(places[0].copy())
            places[-1][axis] = end
    places += [] if worst is None else [worst]
    for at in places:
        said = not_told(a.placed(moves.place(moves.allowed(at))), b)
        if said:
            return said
    return ""


class MovingPair:
    """A moving body a and an obstacle b; a cell matters while it may hold less than `needed`, or than `best`, mm,
    the least that is known of other pairs."""

    def __init__(
        self, a: Body, b: Body, moves: Movement, within: float, needed: float, best: float = math.inf
    ) -> None:
        self.a, self.b, self.moves, self.needed, self.best = a, b, moves, needed, best
        self.slack = a.bound + b.bound + ROUNDING
        self.width = max(within - 2 * self.slack, within / 5)
        self.turns = moves.turning
        self.reach = moves.reach(a.place.points(a.core.hull_points))
        low, high = moves.limits.T
        self.root = Cell((low + high) / 2, (high - low) / 2, 0.0)
        self.span = self.carried(np.abs(moves.limits).max(axis=1))
        self.floor = least_by_boxes(a, b, self.span)
        self.least = math.inf
        self.high = math.inf
        self.at: Array | None = None
        self.near: Nearest | None = None
        self.minkowski: MinkowskiSum | None = None
        self.travels: Array = np.zeros((0, 3))
        self.plans: list[SumMaker] = [minkowski_sum_of_hull, minkowski_sum_of_triangles]
        self.looks = 0
        self.settled = True
        self.seen: list[tuple[float, Array]] = []

    def carried(self, half: Array) -> float:
        """mm: the furthest any point of the body moves from its place at the middle of a cell this wide."""
        return self.reach.most(half)

    def matters(self, low: float) -> bool:
        """Whether a cell with this lower bound can still change the result of the pair."""
        return low < self.high - self.width and self.counts(low)

    def counts(self, low: float) -> bool:
        """Whether a gap of this much by triangles may be less than needed, or the least of all."""
        return not self.enough(low) or low <= self.best

    def enough(self, low: float) -> bool:
        """Whether a gap of this much by triangles is surely as much as needed."""
        return low - self.slack - self.moves.any_way >= self.needed

    def keep(self, low: float) -> None:
        """Give up a cell with lower bound `low`: the pair's result is no better known than that."""
        self.least = min(self.least, low)

    def no_less_than(self) -> float:
        """mm: no bound that a search finds, cell by cell, is under this, after one look at the middle."""
        at = self._look_at_the_middle()
        if self.high <= 0:
            return 0.0
        carried = self.carried(self.root.half + np.abs(at - self.root.mid))
        return max(0.0, self.high - carried - self.slack - self.moves.any_way - ROOM)

    def _look_at_the_middle(self) -> Array:
        at = self.moves.allowed(self.root.mid)
        self._look_inside_too(at)
        return at

    def _look_inside_too(self, at: Array) -> None:
        """The distance at one place, none where one of the two is inside the other."""
        stands = self.a.placed(self.moves.place(at))
        self._look(at)
        if self.high > self.slack and (
            contained_point(stands, self.b, clear=True) is not None
            or contained_point(self.b, stands, clear=True) is not None
        ):
            self.high = 0.0

    def start(self) -> list[Cell]:
        """The whole movement as one cell, after one look at its middle."""
        self._look_at_the_middle()
        if self.high <= 0:
            self.keep(0.0)
            return []
        if not np.any(self.root.half[self.turns :] > 0):
            self.plans = []
        return self._begin(0.0)

    def _begin(self, low: float) -> list[Cell]:
        """The whole movement as one cell, with the next Minkowski sum that takes the travel into the obstacle; when
        none is left, the travel is searched as the turns are."""
        mid, half = self.root.mid.copy(), self.root.half.copy()
        mid[self.turns :] = half[self.turns :] = 0.0
        while self.plans:
            self.minkowski = self._sum(self.plans.pop(0), mid)
            if self.minkowski is None:
                continue
            least = self._look_over_travel(mid)
            if self.high - least <= CLOSER * self.width or not self.plans:
                return [Cell(mid, half, max(low, least - self.carried(half)))]
        self.minkowski = None
        return self._cell(self.root.mid, self.root.half, low)

    def split(self, cell: Cell) -> list[Cell]:
        """The two halves of a cell, cut across the freedom that moves the body furthest."""
        axis = int(self.reach.terms(cell.half).argmax())
        if self.minkowski is not None and self.carried(cell.half) < CLOSER * self.width:
            return self._begin(cell.low)  # nothing left to turn, and no travel is found that reaches so low
        half = cell.half.copy()
        half[axis] /= 2
        found = []
        for side in (-1, 1):
            mid = cell.mid.copy()
            mid[axis] += side * half[axis]
            found += self._cell(mid, half, cell.low)
        return found

    def same(self, cell: Cell) -> list[Cell]:
        """A cell of another pair with the same movement, looked at by this one; nothing where the two take travels
        in another way."""
        travelling = bool(np.any(cell.half[self.turns :] > 0))
        able = self.minkowski is None if travelling else self.minkowski is not None or not self.spans_travel
        return self._cell(cell.mid, cell.half, 0.0) if able else []

    @property
    def spans_travel(self) -> bool:
        """Whether the movement has a travel."""
        return bool(np.any(self.root.half[self.turns :] > 0))

    def loosely(self, stands: Body) -> Gap:
        return by_triangles(stands, self.b)[0]

    def _cell(self, mid: Array, half: Array, low: float) -> list[Cell]:
        if self.minkowski is not None:
            return [Cell(mid, half, max(low, self._look_over_travel(mid) - self.carried(half)))]
        at = self.moves.allowed(mid)
        if np.any(np.abs(at - mid) > half):  # none of the cell is within the bush's round travel
            return []
        distance = self._look(at)
        return [Cell(mid, half, max(low, distance - self.carried(half + np.abs(at - mid))))]

    def _look(self, at: Array) -> float:
        """The distance with the body at one place of the movement, kept if it is the least so far."""
        self.looks += 1
        near = skins(self.a.placed(self.moves.place(at)), self.b)
        self.seen.append((near.distance, at))
        if near.distance < self.high:
            self.high, self.at, self.near = near.distance, at, near
        return near.distance

    def descend(self) -> None:
        """Descent of the distance from the nearest places looked at, over turns and travels at once and within what
        is allowed: the minimum need not be at a corner of the movement."""
        far: list[Array] = []
        wide = self.root.half.clip(1e-12)
        for _, at in sorted(self.seen, key=lambda one: one[0]):
            if len(far) == STARTS or self.high == 0:
                break
            if all(float(np.abs((at - other) / wide).max()) > 2 * CLOSER for other in far):
                far.append(at)
                self._down(at)

    def _down(self, at: Array) -> None:
        """Steps along the gradient of the distance; along one freedom after another where it has a crease."""
        half = self.root.half
        here, step = self._near(at), 0.5
        alone = np.vstack((np.diag(half), -np.diag(half)))[np.tile(half > 0, 2)]
        for _ in range(STEPS):
            if step < SHORT or here[0] == 0:
                return
            slope = self._slope(at, here[1], here[2]) * half
            most = max(float(np.abs(slope).max()), 1e-12)
            for way in (-half * np.sign(slope), -half * slope / most, *alone):
                there = self.moves.allowed(at + step * way)
                found = self._near(there)
                if found[0] < here[0] - 1e-9:
                    at, here = there, found
                    break
            else:
                step /= 2

    def _near(self, at: Array) -> tuple[float, Array, Array]:
        """Distance and nearest points, bay axes, with the body at one place of the movement."""
        self.looks += 1
        near = skins(self.a.placed(self.moves.place(at)), self.b)
        if near.distance < self.high:
            self.high, self.at, self.near = near.distance, at, near
        return near.distance, near.p, near.q

    def _slope(self, at: Array, p: Array, q: Array) -> Array:
        """(n + 3,) float: gradient of the distance, mm per radian for each turn and mm per mm for each travel."""
        away = p - q
        unit = away / max(float(np.linalg.norm(away)), 1e-12)
        return np.asarray(self.moves.rates(at, p) @ unit)

    def _look_over_travel(self, mid: Array) -> float:
        """The least distance over every travel, with the turns of one place."""
        assert self.minkowski is not None
        self.looks += 1
        near = between(self.minkowski.tree, self.a.core.tree, self.moves.place(mid) @ self.a.place)
        if near.distance < self.high - CLOSER * self.width or (near.distance == 0 and self.high > 0):
            travel = self.minkowski.travel(near.p, near.on_a, self.travels)
            at = mid.copy()
            at[self.turns :] = self.moves.frame @ travel
            self._look(self.moves.allowed(at))
        return near.distance

    def _sum(self, make: SumMaker, mid: Array) -> MinkowskiSum | None:
        """The Minkowski sum of the obstacle and the travels; None where the body is wholly inside it."""
        span = self.root.half[self.turns :]
        spare = span.clip(PAD) - span
        pad = np.array(np.meshgrid(*np.column_stack((-spare, spare)))).reshape(3, -1).T @ self.moves.frame
        self.travels = np.unique((self.moves.travels()[:, None] + pad[None]).reshape(-1, 3), axis=0)
        made = make(self.b, self.travels, self.a.box + ((-self.span - self.high,), (self.span + self.high,)))
        spots = (self.moves.place(mid) @ self.a.place).points(np.array(self.a.core.lumps))
        return None if made is None or made.holds(spots) else made
