"""Which side of an open scan a point is on: that of its nearest triangle.

mm, in the scan's own axes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from brackets.clearance.cores import Core
from brackets.clearance.nearest import Tree, between
from brackets.clearance.places import STILL, Array, Ints

SPECK = 1e-6  # mm: a triangle this small stands for a point
SAME = 1e-7  # of a triangle's side: a nearest point this near its border belongs to the neighbours too
ONE = np.array([[0, 1, 2]], dtype=np.int64)


def behind(core: Core, spots: Array) -> NDArray[np.bool_]:
    """(n,) bool: whether each of the points (n, 3) is behind the scan's nearest triangle.

    On an edge or a corner the normals of the triangles that meet there count, each by its angle there: Baerentzen
    and Aanaes, IEEE Trans. Visualization and Computer Graphics 11 (2005) 243; from memory, tested on closed forms.
    """
    return np.array([_behind(core, spot) for spot in spots], dtype=bool)


def _behind(core: Core, spot: Array) -> bool:
    speck = spot + SPECK * np.array(((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    near = between(core.tree, Tree(speck, ONE), STILL)
    corners, triples = core.mesh.corners, core.mesh.triples
    three = triples[near.on_a]
    shares = np.linalg.lstsq(np.vstack((corners[three].T, np.ones(3))), np.r_[near.p, 1.0], rcond=None)[0]
    on = three[shares > SAME * max(1.0, float(np.abs(shares).max()))]
    meet = triples[np.all([(triples == corner).any(axis=1) for corner in on], axis=0)]
    return bool((spot - near.p) @ _normal(corners, meet, on) < 0)


def _normal(corners: Array, triples: Ints, on: Ints) -> Array:
    """(3,) float: the normals of triangles that share a corner, an edge or a face, by their angle there."""
    total = np.zeros(3)
    for three in triples:
        a, b, c = corners[three]
        normal = np.cross(b - a, c - a)
        weight = 1.0
        if len(on) == 1:
            here = int(np.flatnonzero(three == on[0])[0])
            u, v = (corners[three[(here + k) % 3]] - corners[on[0]] for k in (1, 2))
            weight = float(np.arctan2(np.linalg.norm(np.cross(u, v)), u @ v))
        total += weight * normal / np.linalg.norm(normal)
    return total
