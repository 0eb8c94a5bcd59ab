"""A line on a body that moves against one that stays, each a point and an axis: the two joints of a shaft between
them, or the two sprockets of a chain.

Where the turns of the movement are known, every figure here is greatest at a corner of the box of travels: an angle
to a fixed direction and a distance from a plane are no greater inside a box than at its corners, and what a pair of
Cardan joints leaves grows as the product of both cosines falls, whose square root is concave along the shaft. So
the turns alone are searched, cell by cell: none carries a point further from its middle than its arms allow. mm,
degrees, bay axes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from brackets.clearance.greatest import Most, greatest
from brackets.clearance.link_moves import turned
from brackets.clearance.motion import Moves, Turn
from brackets.clearance.places import Array, Point, direction, point
from brackets.core.errors import InputError
from brackets.core.kept import keeps

FINE = 0.05
"""How wide an interval may stay, mm and degrees: finer than anybody measures a shaft."""

RIGHT = 90.0
"""Degrees past which no angle is followed: nothing is driven round such a corner."""

NOTHING = 1e-12
"""Cosine, and mm, that count as this much: what is less than it is rounding."""


@dataclass(frozen=True, eq=False)
class _Cells:
    """Of k cells, in the middle and by how much it changes at most; m corners of the travel. `at_moving`,
    `at_fixed` (k, m): angle of the shaft to the axis that moves and to the one that stays; `axes` (k,): between the
    two axes; radians. `moving_out`, `fixed_out` (k, m): how far the moving point is out of the plane of the one
    that stays, and the one that stays out of the moving one's, mm."""

    at_moving: Array
    moving_most: Array
    at_fixed: Array
    fixed_most: Array
    axes: Array
    axes_most: Array
    moving_out: Array
    moving_out_most: Array
    fixed_out: Array
    fixed_out_most: Array


Corners = Callable[[_Cells], tuple[Array, Array]]
"""Values in the middle of each cell at each corner of the travel (k, m), and what they are at most in the cell."""


@dataclass(frozen=True)
class ShaftLines:
    """A point and an axis that a movement carries, and a point and an axis that stay, each axis with its sense;
    made by `shaft` or `chain`.

    Raises InputError for a movement with `any_way` or `round`, as bushes have, and for points that are one.
    """

    moves: Moves | None
    moving: Point
    moving_axis: Point
    fixed: Point
    fixed_axis: Point

    def __post_init__(self) -> None:
        if self.moves is not None and (self.moves.any_way or self.moves.round is not None):
            raise InputError("moves = with any_way or round, must be turns and travels: movement of a shaft's end")
        if math.dist(self.moving, self.fixed) < NOTHING:
            raise InputError("points = one and the same, must be apart: the two ends of a shaft or chain")

    @cached_property
    def _engine(self) -> Moves:
        return Moves() if self.moves is None else self.moves

    @cached_property
    def _axes(self) -> tuple[Array, Array]:
        return direction(self.moving_axis, "moving_axis"), direction(self.fixed_axis, "fixed_axis")

    @cached_property
    def _length(self) -> float:
        return math.dist(self.moving, self.fixed)

    @cached_property
    def _travels(self) -> Array:
        return self._engine.travels()

    @cached_property
    def _arms(self) -> tuple[Array, Array, Array, Array]:
        """(n,) or (m, n) float: of the moving point and the moving axis about each turn; of the fixed point at each
        corner of the travel and of the fixed axis as the moving body sees them."""
        engine, centre = self._engine, np.asarray(self._engine.about)
        back = Moves(turns=tuple(Turn(t.axis, -t.high, -t.low) for t in reversed(engine.turns)))
        spin = Moves(turns=engine.turns)
        away = np.asarray(self.fixed) - centre - self._travels
        return (
            engine.arms(np.asarray(self.moving, dtype=float)[None])[0],
            spin.arms(self._axes[0][None])[0],
            back.arms(away)[:, ::-1],
            back.arms(self._axes[1][None])[0, ::-1],
        )

    def _cells(self, at: Array, half: Array) -> _Cells:
        engine, centre = self._engine, np.asarray(self._engine.about)
        body, _ = turned(engine, at)
        start, (own, other_axis) = np.asarray(self.moving, dtype=float) - centre, self._axes
        away = np.asarray(self.fixed, dtype=float) - centre - self._travels
        axis, arm = body @ own, body @ start
        way = away - arm[:, None]
        apart = np.maximum(np.linalg.norm(way, axis=2), NOTHING)
        chord = 2 * np.sin(np.minimum(half, math.pi) / 2)
        own_arms, spin, seen, other = self._arms
        carried, swung = chord @ own_arms, chord @ spin
        carried_seen, swung_seen = chord @ seen.T, chord @ other
        both = _angle(axis, other_axis)
        moved = _turn_by(carried[:, None] / apart)
        axes_most = np.minimum(_turn_by(swung / 2), _turn_by(swung_seen / 2)) * 2
        fixed_out = np.minimum(carried, swung_seen * float(np.linalg.norm(start)))
        moving_out = np.minimum(carried_seen, swung[:, None] * np.linalg.norm(away, axis=1))
        one = np.abs(way @ other_axis)
        two = np.abs((way * axis[:, None]).sum(axis=2))
        return _Cells(
            at_moving=_angle(way, axis[:, None]),
            moving_most=np.minimum(_turn_by(carried_seen / apart), moved + 2 * _turn_by(swung / 2)[:, None]),
            at_fixed=_angle(way, other_axis),
            fixed_most=moved,
            axes=both,
            axes_most=axes_most,
            moving_out=one,
            moving_out_most=one + fixed_out[:, None],
            fixed_out=two,
            fixed_out_most=two + moving_out,
        )

    def at_rest(self) -> ShaftRest:
        """Every figure as it is typed."""
        points = np.asarray(self.moving, dtype=float)[None], self._axes[0][None]
        found = figures_at_rest(*points, np.asarray(self.fixed, dtype=float), self._axes[1])
        one, two, left, axes, ahead, beside = (float(figure) for figure in found[:, 0])
        return ShaftRest(
            at_moving=one, at_fixed=two, left=left, axes=axes, out=max(abs(ahead), abs(beside)), length=self._length
        )

    @keeps("most of a line")
    def _most(self, corners: Corners) -> Most | None:
        engine = self.moves
        if engine is None:
            return None
        count, arms = len(engine.turns), self._arms

        def figure(at: Array, half: Array) -> tuple[Array, Array]:
            now, top = corners(self._cells(at, half))
            return np.asarray(now.max(axis=1)), np.asarray(top.max(axis=1))

        weights = arms[0] / self._length + arms[1]
        low, high, worst = greatest(engine.limits[:count], weights, figure, FINE)
        now, _ = corners(self._cells(worst[None], np.zeros((1, count))))
        travel = self._travels[int(now[0].argmax())] @ engine.frame.T
        return Most(low, high, engine.position(np.r_[worst, travel]))

    def most_at_moving(self) -> Most | None:
        """The most that the joint at the end that moves bends by, degrees; None where nothing moves."""
        return self._most(_bend_at_moving)

    def most_at_fixed(self) -> Most | None:
        """The same of the joint at the end that stays."""
        return self._most(_bend_at_fixed)

    def most_left(self) -> Most | None:
        """The most of what the two joints leave of each other's unevenness, as the angle of one, degrees."""
        return self._most(_left)

    def most_axes(self) -> Most | None:
        """The most angle between the two axes, degrees, 0 to 90."""
        return self._most(_between_axes)

    def most_out(self) -> Most | None:
        """The most that either point is out of the plane of the other, square to its axis there, mm."""
        ends = self.most_moving_out(), self.most_fixed_out()
        return max((one for one in ends if one is not None), key=lambda one: one.high, default=None)

    def most_moving_out(self) -> Most | None:
        """The most that the moving point is out of the plane of the one that stays, square to its axis, mm."""
        return self._most(_moving_out)

    def most_fixed_out(self) -> Most | None:
        """The most that the point that stays is out of the plane of the moving one, square to its axis, mm."""
        return self._most(_fixed_out)


@dataclass(frozen=True, kw_only=True)
class ShaftRest:
    """At rest: `at_moving`, `at_fixed`, bend of either joint; `left`: of both, as the angle of one; `axes`: between
    the two axes; degrees, 90 at most. `out`: the further that either point is out of the other's plane; `length`:
    between the points; mm."""

    at_moving: float
    at_fixed: float
    left: float
    axes: float
    out: float
    length: float


def figures_at_rest(moving: Array, moving_axes: Array, fixed: Array, fixed_axis: Array) -> Array:
    """(6, n) float: of n places of the point and axis that move, (n, 3) each, against the point and axis that stay,
    (3,): bend at the moving point and at the fixed one, what both leave as the angle of one, angle of the axes,
    degrees; how far the moving point is out of the fixed one's plane and the fixed out of the other's, mm either
    way. Axes are unit vectors with their sense."""
    way = fixed - moving
    one, two = _angle(way, moving_axes), _angle(way, fixed_axis)
    axes = _angle(moving_axes, fixed_axis)
    bent = (_degrees(figure) for figure in (one, two, left_of_pair(one, two, axes), axes))
    return np.stack((*bent, way @ fixed_axis, (way * moving_axes).sum(axis=1)))


def left_of_pair(one: Array, two: Array, axes: Array) -> Array:
    """Angle of the single Cardan joint that is as uneven as two in a row, radians, 0 to a right angle.

    one, two: bend of the joints; axes: angle between the shafts that drive and are driven, radians, each seen along
    the shaft between; its forks stand in line. With h = cos one cos two and g = cos axes the ratio r of the two
    speeds at their least and most, which for one joint is the cosine of its angle, follows from
    (1 - r)^2 / r = (1 - g) (1 + g - 2 h) / h: nothing is left where the axes are parallel, nor where both bends are
    alike and in one plane. From tan(driven) = tan(driving) cos(bend), which holds for each joint.
    """
    return _left_over(np.cos(one) * np.cos(two), np.asarray(axes))


def _left_over(h: Array, axes: Array) -> Array:
    h = np.maximum(h, NOTHING)
    x = np.maximum(4 * np.sin(axes / 2) ** 2 * (np.cos(axes / 2) ** 2 - h) / h, 0.0)
    uneven = x / np.maximum(np.sqrt(x + x * x / 4) + x / 2, NOTHING**2)  # 1 - r
    return np.asarray(2 * np.arcsin(np.sqrt(np.clip(uneven, 0.0, 1.0) / 2)))


def _left(cells: _Cells) -> tuple[Array, Array]:
    """The least product of cosines leaves the most, and of one product the angle between the axes whose cosine it
    is; in a cell the one it can have that is nearest to that."""
    axes, axes_most = cells.axes[:, None], cells.axes_most[:, None]
    now = left_of_pair(cells.at_moving, cells.at_fixed, axes)
    one = np.minimum(cells.at_moving + cells.moving_most, math.pi / 2)
    two = np.minimum(cells.at_fixed + cells.fixed_most, math.pi / 2)
    h = np.cos(one) * np.cos(two)
    worst = np.clip(np.arccos(h), np.maximum(axes - axes_most, 0.0), np.minimum(axes + axes_most, math.pi))
    return _degrees(now), _degrees(np.maximum(_left_over(h, worst), now))


def _bend_at_moving(cells: _Cells) -> tuple[Array, Array]:
    return _bent(cells.at_moving, cells.moving_most)


def _bend_at_fixed(cells: _Cells) -> tuple[Array, Array]:
    return _bent(cells.at_fixed, cells.fixed_most)


def _between_axes(cells: _Cells) -> tuple[Array, Array]:
    return _bent(cells.axes[:, None], cells.axes_most[:, None])


def _moving_out(cells: _Cells) -> tuple[Array, Array]:
    return cells.moving_out, cells.moving_out_most


def _fixed_out(cells: _Cells) -> tuple[Array, Array]:
    return cells.fixed_out, cells.fixed_out_most


def _bent(angle: Array, more: Array) -> tuple[Array, Array]:
    return _degrees(angle), _degrees(angle + more)


def _degrees(radians: Array) -> Array:
    return np.asarray(np.minimum(np.degrees(radians), RIGHT))


def _angle(one: Array, other: Array) -> Array:
    """Between vectors along the last axis, radians; true near none, where the arc cosine is not."""
    across = np.linalg.norm(np.cross(one, other), axis=-1)
    return np.asarray(np.arctan2(across, (one * other).sum(axis=-1)))


def _turn_by(share: Array) -> Array:
    """Radians whose sine is `share`, a right angle from 1 on."""
    return np.asarray(np.arcsin(np.minimum(share, 1.0)))


def shaft(moves: Moves | None, *, moving: Point, moving_axis: Point, fixed: Point, fixed_axis: Point) -> ShaftLines:
    """The two joints of a shaft, each with the axis of what it is bolted to; which way an axis is typed says
    nothing, both are taken along the shaft."""
    way = np.asarray(fixed, dtype=float) - np.asarray(moving, dtype=float)
    return ShaftLines(moves, moving, _along(moving_axis, way), fixed, _along(fixed_axis, way))


def chain(moves: Moves | None, *, moving: Point, moving_axis: Point, fixed: Point, fixed_axis: Point) -> ShaftLines:
    """The middles of two sprockets with their axes; which way an axis is typed says nothing."""
    return ShaftLines(moves, moving, moving_axis, fixed, _along(fixed_axis, direction(moving_axis, "moving_axis")))


def _along(axis: Point, way: Array) -> Point:
    found = direction(axis, "axis")
    return point(found if float(found @ way) >= 0 else -found)


VIEWS = ("front", "side", "plan")
"""The views square to x, y and z."""


def in_view(one: Point, other: Point, axis: int) -> float:
    """Angle between two directions as they are seen along x, y or z (`axis` 0, 1, 2), degrees, 0 to 90."""
    u, v = ([c for i, c in enumerate(vector) if i != axis] for vector in (one, other))
    return math.degrees(math.atan2(abs(u[0] * v[1] - u[1] * v[0]), abs(u[0] * v[0] + u[1] * v[1])))


def views_of(way: Point) -> tuple[int, int]:
    """The two views a shaft shows its length in: side and plan of one that lies fore and aft, and so on."""
    longest = max(range(3), key=lambda i: abs(way[i]))
    one, other = (i for i in (1, 2, 0) if i != longest)
    return one, other


def between_planes(axis: Point, other: Point, way: Point) -> tuple[float, float, float]:
    """Bend of two joints with these axes on a shaft along `way`, and between the planes they bend in, 0 to 90,
    degrees."""
    along = np.asarray(way, dtype=float)
    ends = [np.asarray(_along(one, along)) for one in (axis, other)]
    across = [np.cross(end, along) for end in ends]
    one, two, planes = _angle(np.stack((*ends, across[0])), np.stack((along, along, across[1])))
    return math.degrees(one), math.degrees(two), math.degrees(min(planes, math.pi - planes))
