"""How near and how far a moving point gets to one that stays: intervals that hold the true distances.

With the turns known, the travels are a box and both distances follow in closed form. The turns are searched in
cells: none carries the point further from its middle than the point's arms allow. mm, degrees, bay axes.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from brackets.clearance.motion import Moves
from brackets.clearance.places import Array, Point, vector
from brackets.core.errors import InputError
from brackets.core.kept import keeps

WITHIN = 0.1
"""mm: how wide an interval may stay."""

CELLS = 100_000
"""Cells open at one time, at most; past it the intervals are handed back as they are, true but wider."""


@dataclass(frozen=True)
class PointDistance:
    """The straight distance of two points: at rest, and the least and the most of it over a movement, each as
    (low, high) mm, the ends nearer the other interval being found at a place that is allowed."""

    rest: float
    least: tuple[float, float]
    most: tuple[float, float]


@keeps("point distance")
def point_distance(moving: Point, fixed: Point, moves: Moves | None, within: float = WITHIN) -> PointDistance:
    """Least and most straight distance of a fixed point from one that a movement carries.

    moving, fixed: (3,) mm, as they are at rest; moves: None where nothing moves; within: mm, how wide each interval
    may stay. Returns a PointDistance. Raises InputError for a movement with `any_way` or `round`, as bushes have.

    >>> found = point_distance((0, 0, 100), (0, 0, 0), powertrain_moves((0, 0, 0), up=10, side=30))
    >>> found.rest, found.least, round(found.most[1], 3)  # 110 up and 30 across
    (100.0, (100.0, 100.0), 114.018)
    """
    p, q = vector(moving, "moving"), vector(fixed, "fixed")
    rest = float(np.linalg.norm(p - q))
    if moves is None:
        return PointDistance(rest, (rest, rest), (rest, rest))
    if moves.any_way or moves.round is not None:
        raise InputError("moves = with any_way or round, must be turns and travels: movement of a point")
    return PointDistance(rest, _end(p, q, moves, within, sign=1), _end(p, q, moves, within, sign=-1))


def _end(p: Array, q: Array, moves: Moves, within: float, *, sign: int) -> tuple[float, float]:
    """(low, high) of the least distance, or with sign -1 of the most."""
    count = len(moves.turns)
    low, high = moves.limits[:count].T if count else (np.zeros(0), np.zeros(0))
    arms = moves.arms(p[None])[0]
    mids, halves = ((low + high) / 2)[None], ((high - low) / 2)[None]
    best = np.inf
    while True:
        found = sign * _at(p, q, moves, mids, sign)
        bounds = found - 2 * np.sin(np.minimum(halves, np.pi) / 2) @ arms
        best = min(best, float(found.min()))
        least = min(best, float(bounds.min()))
        kept = bounds < best - within
        if not kept.any() or 2 * int(kept.sum()) > CELLS:
            low_end, high_end = sorted((sign * least, sign * best))
            return max(0.0, low_end), high_end
        mids, halves = _halved(mids[kept], halves[kept], arms)


def _halved(mids: Array, halves: Array, arms: Array) -> tuple[Array, Array]:
    """Every cell cut in two across the turn that carries the point furthest."""
    rows, axis = np.arange(len(mids)), np.argmax(halves * arms, axis=1)
    halves = halves.copy()
    halves[rows, axis] /= 2
    shift = np.zeros_like(mids)
    shift[rows, axis] = halves[rows, axis]
    return np.concatenate((mids - shift, mids + shift)), np.concatenate((halves, halves))


def _at(p: Array, q: Array, moves: Moves, angles: Array, sign: int) -> Array:
    """(k,) float mm: least (sign 1) or most (-1) distance over every travel, at each (k, n) of the turns."""
    centre = np.asarray(moves.about)
    turned = np.tile(p - centre, (len(angles), 1))
    for i, turn in enumerate(moves.turns):
        axis = np.asarray(turn.axis)
        c, s = np.cos(angles[:, i])[:, None], np.sin(angles[:, i])[:, None]
        turned = c * turned + s * np.cross(axis, turned) + (1 - c) * np.outer(turned @ axis, axis)
    away = (turned + centre - q) @ moves.frame.T
    low, high = moves.limits[len(moves.turns) :].T
    if sign > 0:
        return np.asarray(np.linalg.norm(away + np.clip(-away, low, high), axis=1))
    corners = np.array(list(itertools.product(*zip(low, high, strict=True))))
    return np.asarray(np.linalg.norm(away[:, None] + corners[None], axis=2).max(axis=1))
