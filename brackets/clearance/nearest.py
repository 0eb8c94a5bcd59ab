"""Distance between two heaps of triangles, and the two points that have it.

Only distances are taken from the collision library. Its depth, its signed distance, its word on whether two
meshes collide and its continuous collision are not: each is silently wrong for meshes
(see tests/test_clearance_traps).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeAlias

import fcl
import numpy as np

from brackets.clearance.places import Array, Ints, Rigid

Standing: TypeAlias = Any  # a placed tree: the collision library has no types
_ASK = fcl.DistanceRequest(True, False)


class Tree:
    """Triangles sorted into a tree of boxes once, asked for distances from any placement afterwards."""

    def __init__(self, corners: Array, triples: Ints) -> None:
        model = fcl.BVHModel()
        model.beginModel(len(triples), len(corners))
        model.addSubModel(corners, triples)
        model.endModel()
        self._model = model

    def at(self, place: Rigid) -> Standing:
        """The tree standing somewhere, as `between` wants it."""
        return fcl.CollisionObject(self._model, fcl.Transform(place.turn, place.move))


@dataclass(frozen=True, eq=False)
class Nearest:
    """Distance mm (0 where triangles cross), the point on each heap, the triangle on each heap."""

    distance: float
    p: Array
    q: Array
    on_a: int
    on_b: int


def between(a: Standing, b: Standing) -> Nearest:
    """The nearest points of two placed trees, in bay axes; where they cross, p = q = a point near the crossing."""
    found = fcl.DistanceResult()
    distance = float(fcl.distance(a, b, _ASK, found))
    p, q = (np.asarray(v, dtype=float) for v in found.nearest_points)
    if distance <= 0:
        return Nearest(0.0, (p + q) / 2, (p + q) / 2, int(found.b1), int(found.b2))
    return Nearest(distance, p, q, int(found.b1), int(found.b2))
