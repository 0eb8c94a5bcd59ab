"""Swept volumes and Minkowski sums: the least distance over a straight leg, or over a range of travel, at once.

Over a leg it is the distance to the surface that the body sweeps. Over all travels t of a it is the distance from a
to the Minkowski sum of b and -t: exact where the sum is exact, never too large elsewhere. mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull, QhullError

from brackets.clearance.bodies import Body
from brackets.clearance.cores import Core
from brackets.clearance.places import Array, Ints, Transform
from brackets.clearance.triangles import Nearest, Tree, between
from brackets.core.kept import keeps
from brackets.core.recent import Recent

MOST = 20_000  # triangles of the lighter of two bodies, as many as a finer one has; past that the leg is searched


@dataclass(frozen=True, eq=False)
class SweptVolume:
    """Triangles of the swept volume, and for each corner whether it is at the start (0) or the end (1) of the
    leg."""

    tree: Tree
    corners: Array
    triples: Ints
    share: Array

    def share_at(self, spot: Array, triangle: int) -> float:
        """The share of the leg, 0 to 1, at which the body's surface passes a point (3,) of a swept triangle."""
        three = self.triples[triangle]
        rows = np.vstack((self.corners[three].T, np.ones(3)))
        parts, *_ = np.linalg.lstsq(rows, np.r_[spot, 1.0], rcond=None)
        return float(np.clip(parts @ self.share[three], 0.0, 1.0))


SWEPT = 24  # swept volumes that are remembered, of some 5 MB at most: what stands is swept anew for each part
_SWEPT: Recent[tuple[str, bytes], SweptVolume] = Recent(SWEPT)


def swept_volume(core: Core, by: Array) -> SweptVolume:
    """Volume swept by the triangles of a body along a move (3,) mm, in its own axes."""
    return _SWEPT.made((core.identity(), by.tobytes()), lambda: _swept_volume(core, by))


def _swept_volume(core: Core, by: Array) -> SweptVolume:
    t, n = core.mesh.triples, len(core.mesh.corners)
    sides = np.unique(np.sort(np.vstack((t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]])), axis=1), axis=0)
    i, j = sides.T
    walls = np.vstack((np.column_stack((i, j, j + n)), np.column_stack((i, j + n, i + n))))
    corners = np.vstack((core.mesh.corners, core.mesh.corners + by))
    whole = np.vstack((t, t + n, walls))
    a, b, c = (corners[whole[:, k]] for k in range(3))
    whole = whole[np.linalg.norm(np.cross(b - a, c - a), axis=1) > 0]
    return SweptVolume(Tree(corners, whole), corners, whole, np.repeat((0.0, 1.0), n))


@keeps("swept distance")
def swept_distance(a: Core, b: Core, across: Transform, by: Array) -> tuple[float, float] | None:
    """Least distance of two bodies' triangles while a is moved `by` (3,), and the share of the move where it is;
    in a's axes, b placed at `across`. None where both have too many triangles to sweep."""
    if min(len(a.mesh.triples), len(b.mesh.triples)) > MOST:
        return None
    near: Nearest
    if len(a.mesh.triples) <= len(b.mesh.triples):
        swept = swept_volume(a, by)
        near = between(swept.tree, b.tree, across)
        return near.distance, swept.share_at(near.p, near.on_a)
    swept = swept_volume(b, across.turn.T @ -by)  # the same as moving the other the opposite way
    near = between(swept.tree, a.tree, across.inverse)
    return near.distance, swept.share_at(near.p, near.on_a)


PIECES = 600  # triangles of a hollow obstacle that are summed one by one; past that the travel is searched


@dataclass(frozen=True, eq=False)
class MinkowskiSum:
    """The Minkowski sum of an obstacle and the travels, as a tree of convex pieces: which piece each triangle is
    of, and for each piece the obstacle's own corners and the sum's sides, (s, 4) float: outward normal and
    offset."""

    tree: Tree
    pieces: tuple[Array, ...]
    sides: tuple[Array, ...]
    piece_of: Ints

    def holds(self, spots: Array) -> bool:
        """True when one of the points (n, 3) is inside a piece."""
        return any(bool(np.any(np.all(spots @ s[:, :3].T + s[:, 3] < 0, axis=1))) for s in self.sides)

    def travel(self, spot: Array, triangle: int, travels: Array) -> Array:
        """The travel t for which `spot` + t lies on the obstacle itself, (3,) float; spot is on the sum."""
        from scipy.optimize import linprog  # seldom asked for: half of what scipy takes to load

        corners = self.pieces[int(self.piece_of[triangle])]
        k, n = len(corners), len(travels)
        base = corners.mean(axis=0)
        rows = np.vstack(
            (
                np.hstack(((corners - base).T, -travels.T)),
                np.r_[np.ones(k), np.zeros(n)],
                np.r_[np.zeros(k), np.ones(n)],
            )
        )
        # least misfit: spot is on the sum only to rounding
        slack = np.vstack((np.hstack((np.eye(3), -np.eye(3))), np.zeros((2, 6))))
        cost = np.r_[np.zeros(k + n), np.ones(6)]
        found = linprog(cost, A_eq=np.hstack((rows, slack)), b_eq=np.r_[spot - base, 1.0, 1.0])
        if found.x is None:
            return np.asarray(travels.mean(axis=0))
        return np.asarray(found.x[k : k + n] @ travels)


def minkowski_sum_of_hull(body: Body, travels: Array, _: Array) -> MinkowskiSum | None:
    """Sum of the body's convex hull: exact for a convex body, and where another is met outside its hollows."""
    corners = body.place.points(body.core.hull_points)
    made = _hull_of(corners, travels)
    if made is None:
        return None
    xyz, triples, sides = made
    return MinkowskiSum(Tree(xyz, triples), (corners,), (sides,), np.zeros(len(triples), dtype=np.int64))


def minkowski_sum_of_triangles(body: Body, travels: Array, reach: Array) -> MinkowskiSum | None:
    """Sum of each of the body's triangles that comes into the box `reach` (2, 3); None where they are too many."""
    corners = body.corners
    each = corners[body.triples]
    low, high = travels.min(axis=0), travels.max(axis=0)
    near = np.all(each.min(axis=1) - high <= reach[1], axis=1) & np.all(
        each.max(axis=1) - low >= reach[0], axis=1
    )
    chosen = each[near]
    if not 0 < len(chosen) <= PIECES:
        return None
    made = [_hull_of(three, travels) for three in chosen]
    if any(one is None for one in made):
        return None
    parts = [one for one in made if one is not None]
    starts = np.cumsum([0, *(len(xyz) for xyz, _, _ in parts)])
    triples = np.vstack([ijk + start for (_, ijk, _), start in zip(parts, starts, strict=False)])
    tree = Tree(np.vstack([xyz for xyz, _, _ in parts]), triples)
    piece_of = np.repeat(np.arange(len(parts)), [len(ijk) for _, ijk, _ in parts])
    return MinkowskiSum(tree, tuple(chosen), tuple(sides for _, _, sides in parts), piece_of)


def _hull_of(corners: Array, travels: Array) -> tuple[Array, Ints, Array] | None:
    sums = (corners[:, None] - travels[None]).reshape(-1, 3)
    try:
        made = ConvexHull(sums)
    except QhullError:  # travel along one line only: nothing with a volume
        return None
    used, back = np.unique(made.simplices, return_inverse=True)
    return sums[used], np.asarray(back.reshape(-1, 3), dtype=np.int64), np.asarray(made.equations)
