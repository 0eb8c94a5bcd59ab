"""The distance of two bodies whose hulls lie apart: a plane between the hulls proves it, two points show it.

Points of the difference of two hulls (Gilbert, Johnson, Keerthi, IEEE J. Robotics and Automation 4 (1988) 193)
are gathered until none lies further along the shortest vector than that vector. The plane across it leaves the
hulls to its sides, so the low end is proven; the high end counts only where both points lie on the bodies. mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from brackets.clearance.hull_points import FacingHulls, Met
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


def between(
    a: Sequence[Hull], b: Sequence[Hull], across: Transform, limit: float = math.inf
) -> Apart | None:
    """The distance of two bodies by the hulls of their solids, in a's axes, b placed at `across`; None where two
    hulls meet, or where they are not known.

    limit: mm, a distance that is surely more is not looked at closer.
    """
    if not a or not b:
        return None
    if len(a) == len(b) == 1:
        return _of_two(a[0], b[0], across, limit)
    found: list[Apart] = []
    high = math.inf
    for least, i, j in _nearest_boxes(a, b, across):
        if least >= high:
            break
        of_two = _of_two(a[i], b[j], across, min(limit, high))
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


def _of_two(a: Hull, b: Hull, across: Transform, limit: float) -> Apart | None:
    """The same of two solids."""
    off = ROUNDING + a.loose + b.loose
    facing = FacingHulls(a, b, across)
    way = facing.middle_to_middle
    held: list[Met] = []
    low, near, size, shares = -math.inf, math.inf, math.sqrt(_dot(way, way)), [1.0]
    for _ in range(STEPS):
        if size < APART:
            return None
        unit = (way[0] / size, way[1] / size, way[2] / size)
        met = facing.furthest(unit)
        low = max(low, _dot(unit, met.apart))
        if low - off > limit:
            return Apart(low - off, math.inf, np.array(met.p), np.array(met.q), (-1, -1))
        before = [one.apart for one in held]
        if near - low <= WITHIN or met.apart in before:
            break
        spots = [met.apart, *before]
        found = nearest(spots)
        if found is None:
            return None
        some, among = found
        spot = _mixed(among, [spots[k] for k in some])
        size = math.sqrt(_dot(spot, spot))
        if size >= near:
            break
        every = [met, *held]
        way, near, shares, held = spot, size, among, [every[k] for k in some]
    if low < APART:
        return None
    on_a = np.array(_mixed(shares, [one.p for one in held]))
    on_b = np.array(_mixed(shares, [one.q for one in held]))
    ours = a.holds(on_a, [one.of_p for one in held])
    theirs = None
    if ours is not None:
        theirs = b.holds(across.inverse.points(on_b[None])[0], [one.of_q for one in held])
    if ours is None or theirs is None:
        return Apart(low - off, math.inf, on_a, on_b, (-1, -1))
    return Apart(low - off, float(np.linalg.norm(on_b - on_a)) + off, on_a, on_b, (ours, theirs))


def _mixed(shares: Sequence[float], spots: Sequence[Vec]) -> Vec:
    x = y = z = 0.0
    for share, spot in zip(shares, spots, strict=True):
        x, y, z = x + share * spot[0], y + share * spot[1], z + share * spot[2]
    return (x, y, z)


def nearest(spots: Sequence[Vec]) -> tuple[tuple[int, ...], list[float]] | None:
    """Which of up to four points, the first among them, span what of their hull is nearest to the origin, and with
    what shares; None where the hull holds the origin."""
    first, *rest = spots
    best = _dot(first, first)
    found: tuple[tuple[int, ...], list[float]] = (0,), [1.0]
    if not rest:
        return found
    sides = [_less(spot, first) for spot in rest]
    squares = [_dot(side, side) for side in sides]
    for k, (side, square) in enumerate(zip(sides, squares, strict=True)):
        share = -_dot(first, side) / square if square > 0 else 0.0
        if 0 < share < 1:
            foot = _off(first, share, side)
            if (away := _dot(foot, foot)) < best:
                best, found = away, ((0, k + 1), [1.0 - share, share])
    if len(sides) < 2:
        return found
    turned = [_cross(first, side) for side in sides]
    ups = []
    for i, j in _PAIRS[: len(sides) * (len(sides) - 1) // 2]:
        up = _cross(sides[i], sides[j])
        ups.append(up)
        whole = _dot(up, up)
        if whole <= FLAT * squares[i] * squares[j]:
            continue
        s, t = -_dot(turned[j], up) / whole, _dot(turned[i], up) / whole
        if s > 0 and t > 0 and s + t < 1:
            foot = _off(_off(first, s, sides[i]), t, sides[j])
            if (away := _dot(foot, foot)) < best:
                best, found = away, ((0, i + 1, j + 1), [1.0 - (s + t), s, t])
    return None if len(sides) == 3 and _holds_origin(first, sides[0], squares, ups) else found


_PAIRS = ((0, 1), (0, 2), (1, 2))
"""Which two of up to three sides span a triangle, those of two first."""


def _holds_origin(spot: Vec, side: Vec, squares: Sequence[float], ups: Sequence[Vec]) -> bool:
    """Whether the origin is strictly within a tetrahedron: of its corner `spot` and its three sides from there the
    first one, the squares of all, and the cross products of each _PAIRS."""
    ab, ac, bc = ups
    whole = _dot(side, bc)
    if whole * whole <= FLAT * squares[0] * squares[1] * squares[2]:
        return False
    shares = (-_dot(spot, bc) / whole, _dot(spot, ac) / whole, -_dot(spot, ab) / whole)
    return min(shares) > 0 and sum(shares) < 1


def _off(spot: Vec, share: float, side: Vec) -> Vec:
    return (spot[0] + share * side[0], spot[1] + share * side[1], spot[2] + share * side[2])


def _less(a: Vec, b: Vec) -> Vec:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _dot(a: Vec, b: Vec) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vec, b: Vec) -> Vec:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
