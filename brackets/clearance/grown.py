"""An obstacle grown by every travel a body may make, so that the travel need not be searched.

The least distance from a + t to b over all travels t is the distance from a to b grown by -t: nothing is lost
where the grown obstacle is exactly that, and nothing is promised too much where it is larger.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, QhullError

from brackets.clearance.bodies import Body
from brackets.clearance.nearest import Tree
from brackets.clearance.places import Array, Ints

PIECES = 600  # triangles of a hollow obstacle that are grown one by one; past that the travel is searched


@dataclass(frozen=True, eq=False)
class Grown:
    """The grown obstacle as a tree, the piece each of its triangles belongs to, and for each piece its corners
    before it was grown and its sides after, (s, 4) float: outward normal and offset."""

    tree: Tree
    pieces: tuple[Array, ...]
    sides: tuple[Array, ...]
    piece_of: Ints

    def holds(self, spots: Array) -> bool:
        """True when one of the points (n, 3) is inside a piece."""
        return any(bool(np.any(np.all(spots @ s[:, :3].T + s[:, 3] < 0, axis=1))) for s in self.sides)

    def travel(self, spot: Array, triangle: int, travels: Array) -> Array:
        """The travel t for which `spot` + t lies on the obstacle itself, (3,) float; spot is on the grown one."""
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
        # least misfit: spot is on the grown obstacle only to rounding
        slack = np.vstack((np.hstack((np.eye(3), -np.eye(3))), np.zeros((2, 6))))
        cost = np.r_[np.zeros(k + n), np.ones(6)]
        found = linprog(cost, A_eq=np.hstack((rows, slack)), b_eq=np.r_[spot - base, 1.0, 1.0])
        if found.x is None:
            return np.asarray(travels.mean(axis=0))
        return np.asarray(found.x[k : k + n] @ travels)


def hull(body: Body, travels: Array, _: Array) -> Grown | None:
    """The body's hull grown: exact for a convex body, and wherever another is met from outside its hollows."""
    corners = body.place.points(body.core.rim)
    made = _hull_of(corners, travels)
    if made is None:
        return None
    xyz, triples, sides = made
    return Grown(Tree(xyz, triples), (corners,), (sides,), np.zeros(len(triples), dtype=np.int64))


def by_triangles(body: Body, travels: Array, reach: Array) -> Grown | None:
    """Each of the body's triangles that comes into the box `reach` (2, 3), grown; None where they are too many."""
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
    return Grown(tree, tuple(chosen), tuple(sides for _, _, sides in parts), piece_of)


def _hull_of(corners: Array, travels: Array) -> tuple[Array, Ints, Array] | None:
    sums = (corners[:, None] - travels[None]).reshape(-1, 3)
    try:
        made = ConvexHull(sums)
    except QhullError:  # travel along one line only: nothing with a volume
        return None
    used, back = np.unique(made.simplices, return_inverse=True)
    return sums[used], np.asarray(back.reshape(-1, 3), dtype=np.int64), np.asarray(made.equations)
