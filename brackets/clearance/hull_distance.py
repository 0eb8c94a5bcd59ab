"""The distance of two bodies whose hulls lie apart: a plane between the hulls proves it, two points show it.

Points of the difference of two hulls (Gilbert, Johnson, Keerthi, IEEE J. Robotics and Automation 4 (1988) 193)
are gathered until none lies further along the shortest vector than that vector. The plane across it leaves the
hulls to its sides, so the low end is proven; the high end counts only where both points lie on the bodies. mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from brackets.clearance.hulls import Hull, Vec
from brackets.clearance.places import Array, Transform

WITHIN = 1e-6  # mm: between the vector and the plane across it, where the search ends
STEPS = 60  # of the search; ten to twenty are usual
ROUNDING = 1e-6  # mm: of the arithmetic, and the kernel's tolerance for a point on a curve
FLAT = 1e-24  # square of the sine between sides that span nothing
APART = 1e-3  # mm: hulls nearer than this are left to what tells touching from sharing

@dataclass(frozen=True, eq=False)
class Apart:
    """The distance of two bodies is at least `low` mm; `high`, inf where none is sure, is that of p on the first
    and q on the second; `faces`: of each, the one it is on."""

    low: float
    high: float
    p: Array
    q: Array
    faces: tuple[int, int]


class _Met(NamedTuple):
    """Points furthest towards each other along a direction, q - p, and the ball or arc each is of."""

    apart: Vec
    p: Vec
    q: Vec
    of_p: int
    of_q: int


def between(
    a: Sequence[Hull], b: Sequence[Hull], across: Transform, limit: float = math.inf
) -> Apart | None:
    """The distance of two bodies by the hulls of their solids, in a's axes, b placed at `across`; None where two
    hulls meet, or where they are not known.

    limit: mm, a distance that is surely more is not looked at closer.
    """
    if not a or not b:
        return None
    found: list[Apart] = []
    high = math.inf
    for least, i, j in _nearest_boxes(a, b, across):
        if least >= high:
            break
        of_two = _of_two(a[i], b[j].moved(across), b[j], across, min(limit, high))
        if of_two is None:
            return None
        found.append(of_two)
        high = min(high, of_two.high)
    best = min(found, key=lambda one: (one.high, one.low))
    return replace(best, low=min(one.low for one in found))


def _nearest_boxes(a: Sequence[Hull], b: Sequence[Hull], across: Transform) -> list[tuple[float, int, int]]:
    """Pairs of hulls, nearest first, with the least that their boxes are apart, mm."""
    ours, theirs = (np.array([hull.box for hull in of]) for of in (a, b))
    middle, half = across.points(theirs.mean(axis=1)), (theirs[:, 1] - theirs[:, 0]) / 2 @ np.abs(across.turn).T
    clear = np.maximum((middle - half)[None] - ours[:, None, 1], ours[:, None, 0] - (middle + half)[None])
    least = np.linalg.norm(np.maximum(clear, 0.0), axis=2)
    order = np.argsort(least, axis=None, kind="stable").tolist()
    return [(float(least.flat[k]), *divmod(k, len(b))) for k in order]


def _of_two(a: Hull, b: Hull, own: Hull, across: Transform, limit: float) -> Apart | None:
    """The same of two solids, b the second one moved, `own` as it is."""
    off = ROUNDING + a.loose + b.loose
    way = _vec((b.box[0] + b.box[1] - a.box[0] - a.box[1]) / 2)
    held: list[_Met] = []
    low, near, size, shares = -math.inf, math.inf, math.sqrt(_dot(way, way)), [1.0]
    for _ in range(STEPS):
        if size < APART:
            return None
        unit = (way[0] / size, way[1] / size, way[2] / size)
        (p, i), (q, j) = a.furthest(unit), b.furthest((-unit[0], -unit[1], -unit[2]))
        here = _less(q, p)
        low = max(low, _dot(unit, here))
        if low - off > limit:
            return Apart(low - off, math.inf, np.array(p), np.array(q), (-1, -1))
        if near - low <= WITHIN or any(here == one.apart for one in held):
            break
        found = nearest([here, *(one.apart for one in held)])
        if found is None:
            return None
        every, kept = [_Met(here, p, q, i, j), *held], found[0]
        spot = _mixed(found[1], [every[k].apart for k in kept])
        size = math.sqrt(_dot(spot, spot))
        if size >= near:
            break
        way, near, shares, held = spot, size, found[1], [every[k] for k in kept]
    if low < APART:
        return None
    on_a = np.array(_mixed(shares, [one.p for one in held]))
    on_b = np.array(_mixed(shares, [one.q for one in held]))
    mine = a.holds(on_a, [one.of_p for one in held])
    other = None if mine is None else own.holds(across.inverse.points(on_b[None])[0], [one.of_q for one in held])
    if mine is None or other is None:
        return Apart(low - off, math.inf, on_a, on_b, (-1, -1))
    return Apart(low - off, float(np.linalg.norm(on_b - on_a)) + off, on_a, on_b, (mine, other))


def _mixed(shares: Sequence[float], spots: Sequence[Vec]) -> Vec:
    x = y = z = 0.0
    for share, spot in zip(shares, spots, strict=True):
        x, y, z = x + share * spot[0], y + share * spot[1], z + share * spot[2]
    return (x, y, z)


def _vec(of: Array) -> Vec:
    x, y, z = of.tolist()
    return x, y, z


def nearest(spots: Sequence[Vec]) -> tuple[tuple[int, ...], list[float]] | None:
    """Which of up to four points, the first among them, span what of their hull is nearest to the origin, and with
    what shares; None where the hull holds the origin."""
    first, *rest = spots
    sides = [_less(spot, first) for spot in rest]
    best = _dot(first, first)
    found: tuple[tuple[int, ...], list[float]] = (0,), [1.0]
    for some in _SUBSETS[len(rest)]:
        shares = _shares(first, [sides[k] for k in some])
        if shares is None:
            continue
        if len(some) == 3:
            return None
        foot = first
        for share, k in zip(shares, some, strict=True):
            side = sides[k]
            foot = (foot[0] + share * side[0], foot[1] + share * side[1], foot[2] + share * side[2])
        square = _dot(foot, foot)
        if square < best:
            best, found = square, ((0, *(k + 1 for k in some)), [1.0 - sum(shares), *shares])
    return found


_SUBSETS: tuple[tuple[tuple[int, ...], ...], ...] = (
    (),
    ((0,),),
    ((0,), (1,), (0, 1)),
    ((0,), (1,), (2,), (0, 1), (0, 2), (1, 2), (0, 1, 2)),
)
"""By how many points there are besides the first: which of them may span the nearest with it."""


def _shares(spot: Vec, sides: Sequence[Vec]) -> list[float] | None:
    """By how much of each side the nearest point to the origin is off `spot`; None where it is not strictly between
    them all."""
    if len(sides) == 1:
        (side,) = sides
        square = _dot(side, side)
        share = -_dot(spot, side) / square if square > 0 else 0.0
        return [share] if 0 < share < 1 else None
    if len(sides) == 2:
        a, b = sides
        up = _cross(a, b)
        whole = _dot(up, up)
        if whole <= FLAT * _dot(a, a) * _dot(b, b):
            return None
        s, t = -_dot(_cross(spot, b), up) / whole, -_dot(_cross(a, spot), up) / whole
        return [s, t] if s > 0 and t > 0 and s + t < 1 else None
    a, b, c = sides
    bc, ca, ab = _cross(b, c), _cross(c, a), _cross(a, b)
    whole = _dot(a, bc)
    if whole * whole <= FLAT * _dot(a, a) * _dot(b, b) * _dot(c, c):
        return None
    found = [-_dot(spot, each) / whole for each in (bc, ca, ab)]
    return found if min(found) > 0 and sum(found) < 1 else None


def _less(a: Vec, b: Vec) -> Vec:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vec, b: Vec) -> Vec:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
