"""Distance between two triangle meshes, and the nearest points.

Only distances are taken from the collision library. Its depth, its signed distance, its test whether two
meshes collide and its continuous collision are not: each is silently wrong for meshes
(see tests/test_clearance_traps).
"""

from __future__ import annotations

from dataclasses import dataclass

import fcl
import numpy as np

from brackets.clearance.places import Array, Ints, Transform

_ASK = fcl.DistanceRequest(True, False)


class Tree:
    """A tree of bounding boxes over triangles, made once; distances can be asked for any placement."""

    def __init__(self, corners: Array, triples: Ints) -> None:
        model = fcl.BVHModel()
        model.beginModel(len(triples), len(corners))
        model.addSubModel(corners, triples)
        model.endModel()
        # two handles kept for good: making one costs a pass over all the corners, and is never given back
        self.still, self.loose = fcl.CollisionObject(model), fcl.CollisionObject(model)


@dataclass(frozen=True, eq=False)
class Nearest:
    """Distance mm (0 where triangles cross), the nearest point and triangle of each mesh."""

    distance: float
    p: Array
    q: Array
    on_a: int
    on_b: int


def between(a: Tree, b: Tree, across: Transform) -> Nearest:
    """Distance and nearest points in a's own axes, b placed at `across`; where the two cross, p = q near there."""
    b.loose.setTransform(fcl.Transform(across.turn, across.move))
    found = fcl.DistanceResult()
    distance = float(fcl.distance(a.still, b.loose, _ASK, found))
    p, q = (np.asarray(v, dtype=float) for v in found.nearest_points)
    if distance <= 0:
        return Nearest(0.0, (p + q) / 2, (p + q) / 2, int(found.b1), int(found.b2))
    return Nearest(distance, p, q, int(found.b1), int(found.b2))
