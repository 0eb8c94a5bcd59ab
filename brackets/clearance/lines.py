"""Where straight lines go into a body and come out of it, by the body's triangles. mm."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance.bodies import Body
from brackets.clearance.places import Array, direction


def crossings(body: Body, starts: ArrayLike, along: ArrayLike) -> tuple[Array, ...]:
    """For each of `starts` (n, 3): (k,) float mm along the unit direction, rising, where the line meets the skin
    ahead of it. Off by the triangles' bound; a line through the edge of two triangles may count there twice."""
    way, corners = direction(along, "along"), body.corners
    a, b, c = (corners[body.triples[:, i]] for i in range(3))
    side, other = b - a, c - a
    across = np.cross(way, other)
    level = np.einsum("ij,ij->i", side, across)
    kept = np.abs(level) > 0  # the others lie along the line
    a, side, other, across, level = a[kept], side[kept], other[kept], across[kept], level[kept]
    found = []
    for start in np.asarray(starts, dtype=float):
        off = start - a
        u = np.einsum("ij,ij->i", off, across) / level
        near = np.flatnonzero((u >= 0) & (u <= 1))
        turned = np.cross(off[near], side[near])
        v = turned @ way / level[near]
        far = np.einsum("ij,ij->i", other[near], turned) / level[near]
        found.append(np.sort(far[(v >= 0) & (u[near] + v <= 1) & (far >= 0)]))
    return tuple(found)
