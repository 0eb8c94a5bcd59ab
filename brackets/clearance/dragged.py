"""A body dragged along a straight leg, as one heap of triangles: every place on the leg asked about at once.

The least distance over the leg is the distance from what the body's skin sweeps. mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brackets.clearance.cores import Core
from brackets.clearance.nearest import Nearest, Tree, between
from brackets.clearance.places import Array, Ints, Rigid

MOST = 4000  # triangles of the lighter of two bodies; past that the leg is searched instead


@dataclass(frozen=True, eq=False)
class Dragged:
    """The swept triangles, and the share of the leg, 0 or 1, at which each corner stands."""

    tree: Tree
    corners: Array
    triples: Ints
    share: Array

    def share_at(self, spot: Array, triangle: int) -> float:
        """The share of the leg, 0 to 1, at which the body's skin passes a point of a swept triangle."""
        three = self.triples[triangle]
        rows = np.vstack((self.corners[three].T, np.ones(3)))
        parts, *_ = np.linalg.lstsq(rows, np.r_[spot, 1.0], rcond=None)
        return float(np.clip(parts @ self.share[three], 0.0, 1.0))


def drag(core: Core, by: Array) -> Dragged:
    """What the triangles of a body sweep along a move (3,) float, in its own axes."""
    t, n = core.mesh.triples, len(core.mesh.corners)
    sides = np.unique(np.sort(np.vstack((t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]])), axis=1), axis=0)
    i, j = sides.T
    walls = np.vstack((np.column_stack((i, j, j + n)), np.column_stack((i, j + n, i + n))))
    corners = np.vstack((core.mesh.corners, core.mesh.corners + by))
    whole = np.vstack((t, t + n, walls))
    a, b, c = (corners[whole[:, k]] for k in range(3))
    whole = whole[np.linalg.norm(np.cross(b - a, c - a), axis=1) > 0]
    return Dragged(Tree(corners, whole), corners, whole, np.repeat((0.0, 1.0), n))


def least(a: Core, b: Core, across: Rigid, by: Array) -> tuple[float, float] | None:
    """Least distance of two bodies' triangles while a is moved `by` (3,), and the share of the move where it is;
    in a's axes, b standing at `across`. None where both have too many triangles to drag."""
    if min(len(a.mesh.triples), len(b.mesh.triples)) > MOST:
        return None
    near: Nearest
    if len(a.mesh.triples) <= len(b.mesh.triples):
        swept = drag(a, by)
        near = between(swept.tree, b.tree, across)
        return near.distance, swept.share_at(near.p, near.on_a)
    swept = drag(b, across.turn.T @ -by)  # the same as dragging the other the opposite way
    near = between(swept.tree, a.tree, across.inverse)
    return near.distance, swept.share_at(near.p, near.on_a)
