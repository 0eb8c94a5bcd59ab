"""How a bar with a bush at each end moves: one end on what stands still, the other on a body that moves.

The bar keeps its length. It points from the fixed bush's centre at the moved one's, turned there by the smallest
turn, so that it does not spin about itself, and what the two centres are further apart than it is long is shared by
both bushes alike. So where it stands follows from where the moved centre is; seen from the body that moves, from
where the other centre goes, and from its spin about itself as that body turns. mm, radians, bay axes.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from brackets.clearance.motion import Movement, Moves, Position, Reach, ReachOfPoints, Turn
from brackets.clearance.places import Array, Point, Transform, spun
from brackets.core.errors import InputError

SHORTEST = 2.0
"""A bar is at least so many times as long as its moved end goes from rest: it turns by 30 degrees at most."""

STEP = 1e-5
"""Of a freedom, for the rate of a point: the way down to the worst place asks for no more."""

PARTS = 6
"""Parts that each turn is looked into by, to tell how far a centre reaches: a hundredth of a mm too far at most."""

TRIES = 4
"""Steps towards the place of the movement with a centre where it is asked for."""


def smallest_turn(one: Array, other: Array) -> Array:
    """(3, 3) float: the smallest turn that takes one unit direction to another, less than half a turn off."""
    x, y, z = np.cross(one, other)
    cross = np.array(((0.0, -z, y), (z, 0.0, -x), (-y, x, 0.0)))
    return np.asarray(np.eye(3) + cross + cross @ cross / (1.0 + float(one @ other)))


def turned(moves: Moves, at: Array) -> tuple[Array, Array]:
    """(k, 3, 3) float: how the body is turned at places (k, n) of a movement; (k, m, 3): what each of its m turns
    spins it about there."""
    outer, spins = np.broadcast_to(np.eye(3), (len(at), 3, 3)), np.zeros((len(at), len(moves.turns), 3))
    for i in reversed(range(len(moves.turns))):
        axis = np.asarray(moves.turns[i].axis)
        spins[:, i] = outer @ axis
        x, y, z = axis
        cross = np.array(((0.0, -z, y), (z, 0.0, -x), (-y, x, 0.0)))
        angle = at[:, i, None, None]
        outer = outer @ (np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * (cross @ cross))
    return outer, spins


@dataclass(frozen=True, eq=False)
class Region:
    """Where a centre can be, mm, and how far the bar can spin, radians: low and high (4, 2) float of a box, and the
    points with ways @ p <= most; nothing outside is a place of the movement, little inside is none."""

    limits: Array
    ways: Array
    most: Array

    def misses(self, mid: Array, half: Array) -> bool:
        """Whether none of the cell with this middle and these half widths, (4,) float each, lies in it."""
        return bool(np.any(self.ways @ mid[:3] - np.abs(self.ways) @ half[:3] > self.most))


@dataclass(frozen=True, eq=False)
class ReachOfBar:
    """Of points of a bar, `far` mm or less from its middle, over a part of the movement."""

    moves: LinkMoves
    far: float

    def most(self, half: Array) -> float:
        """The middle goes half as far as the centre that moves, the bar turns as far as that makes it point another
        way, or 1 / cos of half its angle from rest further; from the body that moves its turns come on top."""
        moves, count = self.moves, len(self.moves.turns)
        angle = 2 * math.asin(min(1.0, moves.end.most(half) / (2 * moves.near))) * moves.spin
        middle = moves.end
        if moves.seen_from_engine:
            angle += float(half[:count].sum())
            middle = moves.other_end
        return middle.most(half) / 2 + self.far * 2 * math.sin(min(math.pi, angle) / 2)

    def terms(self, half: Array) -> Array:
        return self.moves.end.terms(half)


@dataclass(frozen=True)
class LinkMoves:
    """All the places of a bar with one bush at `fixed`, on what stands still, and the other at `moving`, on a body
    with `engine` as its movement. `seen_from_engine`: the places are in the axes of that body, as it stands at
    rest.

    Raises InputError where the bar is too short for the movement.
    """

    engine: Moves
    fixed: Point
    moving: Point
    seen_from_engine: bool = False
    any_way: float = 0.0

    def __post_init__(self) -> None:
        if self.engine.any_way or self.engine.round is not None:
            raise InputError(
                "movement = travel any way or round, turns and travel: of the body that a bar is held by"
            )
        apart = float(np.linalg.norm(self._line))
        least = max(SHORTEST * self.span, 1.0)
        if apart < least:
            raise InputError(
                f"bush centres = {apart:.1f} mm apart, {least:.1f} or more: one of them moves by up to"
                f" {self.span:.1f} mm"
            )

    @property
    def turns(self) -> tuple[Turn, ...]:
        return self.engine.turns

    @property
    def turning(self) -> int:
        """Every freedom: none of them shifts the bar as a whole."""
        return len(self.engine.limits)

    @property
    def frame(self) -> Array:
        return self.engine.frame

    @property
    def limits(self) -> Array:
        return self.engine.limits

    @cached_property
    def _line(self) -> Array:
        return np.asarray(np.asarray(self.moving) - np.asarray(self.fixed))

    @property
    def apart(self) -> float:
        """mm from bush centre to bush centre at rest."""
        return float(np.linalg.norm(self._line))

    @cached_property
    def span(self) -> float:
        """mm: no further is the moved bush's centre carried from rest."""
        return self.end.most(np.abs(self.limits).max(axis=1))

    @cached_property
    def end(self) -> ReachOfPoints:
        """What carries the moved bush's centre."""
        return self.engine.reach(np.array([self.moving]))

    @cached_property
    def other_end(self) -> ReachOfPoints:
        """What carries the fixed bush's centre, seen from the body: no more is used of where on it that is than how
        far from `about`."""
        travel = float(np.linalg.norm(np.abs(self.limits[len(self.turns) :]).max(axis=1)))
        arm = float(np.linalg.norm(np.asarray(self.fixed) - np.asarray(self.engine.about))) + travel
        return ReachOfPoints(np.full((1, len(self.turns)), arm))

    @property
    def near(self) -> float:
        """mm: no nearer do the two centres come."""
        return self.apart - self.span

    @property
    def spin(self) -> float:
        """How many times further than its direction the bar turns at most."""
        return 1.0 / math.cos(math.asin(self.span / self.apart) / 2)

    def place(self, at: Array) -> Transform:
        body = self.engine.place(at)
        fixed, moving = np.asarray(self.fixed), np.asarray(self.moving)
        there = body.points(moving[None])[0]
        away = there - fixed
        turn = smallest_turn(self._line / self.apart, away / float(np.linalg.norm(away)))
        stands = Transform(turn, (fixed + there) / 2 - turn @ (fixed + moving) / 2)
        return body.inverse @ stands if self.seen_from_engine else stands

    def position(self, at: Array) -> Position:
        return self.engine.position(at)

    def reach(self, points: Array) -> Reach:
        middle = (np.asarray(self.fixed) + np.asarray(self.moving)) / 2
        return ReachOfBar(self, float(np.linalg.norm(points - middle, axis=1).max()))

    def rates(self, at: Array, now: Array) -> Array:
        """(n, 3) float: by small steps, of the point of the bar that stands at `now`."""
        return rates_by_steps(self, at, now)

    def travels(self) -> Array:
        return np.zeros((1, 3))

    def allowed(self, at: Array) -> Array:
        return self.engine.allowed(at)

    @property
    def stays(self) -> Array:
        """(3,) float: the centre that stays where it is."""
        return np.asarray(self.moving if self.seen_from_engine else self.fixed)

    @property
    def goes(self) -> Array:
        """(3,) float: the centre that goes about, at rest."""
        return np.asarray(self.fixed if self.seen_from_engine else self.moving)

    def gone(self, at: Array) -> Array:
        """(3,) float: the centre that goes about, at one place of the movement."""
        body = self.engine.place(at)
        return np.asarray((body.inverse if self.seen_from_engine else body).points(self.goes[None])[0])

    def bar(self, where: Array) -> Transform:
        """The bar with that centre at where[:3], spun by where[3] about itself, whether or not it can be there."""
        line, away = self.goes - self.stays, where[:3] - self.stays
        unit = away / float(np.linalg.norm(away))
        turn = smallest_turn(line / self.apart, unit)
        if where[3]:
            turn = spun(unit, float(where[3])) @ turn
        return Transform(turn, (self.stays + where[:3]) / 2 - turn @ (self.stays + self.goes) / 2)

    def reached(self, where: Array) -> Array:
        """(n,) float: a place of the movement that brings the centre as near to `where` (3,) as some steps get
        it."""
        from scipy.optimize import lsq_linear

        at = self.allowed(np.zeros(len(self.limits)))
        free = self.limits[:, 1] > self.limits[:, 0]
        for _ in range(TRIES):
            now = self.gone(at)
            slope = np.array(
                [(self.gone(at + s) - self.gone(at - s)) / (2 * STEP) for s in np.eye(len(at))[free] * STEP]
            )
            bounds = (self.limits[free] - at[free, None]).T
            by = lsq_linear(slope.T, where - now, bounds=(bounds[0] - 1e-12, bounds[1] + 1e-12)).x
            at = at.copy()
            at[free] += by
            at = self.allowed(at)
        return at

    @cached_property
    def region(self) -> Region:
        """Everywhere the centre that goes about can be, by how far it can go each of so many ways."""
        cells, half = self._parts()
        body, spins = turned(self.engine, cells)
        count = len(self.turns)
        about = np.asarray(self.engine.about)
        travel = np.array(list(itertools.product(*self.limits[count:].tolist()))) @ self.frame
        start = self.goes - about
        sides = start[None] - travel if self.seen_from_engine else start[None]
        bent = float(np.linalg.norm(sides, axis=1).max()) * float(half.sum()) ** 2 / 2
        ways = self._ways()
        most = np.full(len(ways), -math.inf)
        for way_i, way in enumerate(ways):
            if self.seen_from_engine:  # way . T^-1 (centre - about - travel) = (T way) . (centre - about - travel)
                to = body @ way
                value = to @ sides.T
                slope = np.abs(np.cross(spins, to[:, None]) @ sides.T)
            else:
                arm = body @ start
                value = (arm @ way)[:, None] + travel @ way
                slope = np.abs(np.cross(spins, arm[:, None]) @ way)[..., None]
            most[way_i] = float((value + np.einsum("i,kic->kc", half, slope)).max()) + bent + float(about @ way)
        box = np.array([(-most[2 * i + 1], most[2 * i]) for i in range(3)])
        spin = 0.0
        if self.seen_from_engine:
            spin = self._spin()
        return Region(np.vstack((box, (-spin, spin))), ways, most)

    def _spin(self) -> float:
        """Radians: no further is the bar spun about itself, seen from the body that turns.

        The body's turn back is a twist about the bar and a swing of it; swing and the bar's own are carried round a
        triangle of directions, whose area comes on top. Twist: by the product of the turns as quaternions, whose
        terms of two turns and more are no longer than their sines multiplied. Area: sides a and b give no more than
        2 asin(tan a/2 tan b/2).
        """
        line = self._line / self.apart
        angles = [math.radians(max(abs(t.low), abs(t.high))) for t in self.turns]
        sines = [math.sin(angle / 2) for angle in angles]
        whole, swing = sum(angles), math.asin(self.span / self.apart)
        about = sum(s * abs(float(np.asarray(t.axis) @ line)) for s, t in zip(sines, self.turns, strict=True))
        about += math.prod(1 + s for s in sines) - 1 - sum(sines) + math.sin(whole / 2) * 2 * math.sin(swing / 2)
        area = 2 * math.asin(min(1.0, math.tan(swing / 2) * math.tan(whole / 2)))
        return 2 * math.atan2(about, math.cos(whole / 2)) + area

    def _parts(self) -> tuple[Array, Array]:
        """(k, n) float: the middles of the parts that the turns are looked into by, no travel; half widths (m,)."""
        count = len(self.turns)
        low, high = self.limits[:count].T
        half = (high - low) / 2 / PARTS
        axes = [
            low[i] + half[i] * (2 * np.arange(PARTS) + 1) if half[i] > 0 else low[i : i + 1] for i in range(count)
        ]
        cells = np.array(list(itertools.product(*axes))).reshape(-1, count)
        return np.hstack((cells, np.zeros((len(cells), len(self.limits) - count)))), half

    def _ways(self) -> Array:
        """(w, 3) float: unit ways, along the axes both ways first, square to each two of the freedoms after."""
        rest = np.zeros(len(self.limits))
        rates = np.array([self.gone(rest + s) - self.gone(rest - s) for s in np.eye(len(rest)) * STEP]) / (2 * STEP)
        free = rates[self.limits[:, 1] > self.limits[:, 0]]
        eye = [s * row for row in np.eye(3) for s in (1.0, -1.0)]
        more = [np.array(c, dtype=float) for c in itertools.product((-1, 0, 1), repeat=3) if np.abs(c).sum() > 1]
        square = [np.cross(a, b) for a, b in itertools.combinations(free, 2)]
        more += [s * n for n in square for s in (1.0, -1.0) if np.linalg.norm(n) > 1e-6]
        return np.array([w / np.linalg.norm(w) for w in (*eye, *more)])


def rates_by_steps(moves: Movement, at: Array, now: Array) -> Array:
    """(n, 3) float: by small steps, how fast the point of the body that stands at `now` goes with each freedom."""
    rest = moves.place(at).inverse.points(now[None])
    found = np.zeros((len(at), 3))
    for i, step in enumerate(np.eye(len(at)) * STEP):
        found[i] = (moves.place(at + step).points(rest)[0] - moves.place(at - step).points(rest)[0]) / (2 * STEP)
    return found
