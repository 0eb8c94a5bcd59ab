"""Whether a body is swallowed whole by another: the distance between two skins cannot tell.

Points in bay axes, mm.
"""

from __future__ import annotations

import numpy as np
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN

from brackets.clearance.bodies import Body
from brackets.clearance.places import Array, Ints

ON_SKIN = 1e-6  # mm: a point nearer the skin than this counts as on it, not in it
AT_ONCE = 200_000  # triangles looked at together, to bound the memory a scan takes


def holds(outer: Body, spot: Array) -> bool:
    """True when a point is in the material of a closed body; an open scan holds nothing."""
    if not outer.closed:
        return False
    own = outer.place.inverse.points(spot.reshape(1, 3))[0]
    if outer.core.solids:
        for decide in outer.core.deciders:
            decide.Perform(gp_Pnt(*(float(v) for v in own)), ON_SKIN)
            if decide.State() == TopAbs_IN:
                return True
        return False
    return turns_round(outer.core.mesh.corners, outer.core.mesh.triples, own) >= 0.5


def turns_round(corners: Array, triples: Ints, spot: Array) -> float:
    """How many times a mesh closes round a point: 1 inside, 0 outside, whatever its triangles' sense."""
    total = 0.0
    for start in range(0, len(triples), AT_ONCE):
        a, b, c = (corners[triples[start : start + AT_ONCE, i]] - spot for i in range(3))
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        top = np.einsum("ij,ij->i", a, np.cross(b, c))
        ab, bc, ca = (np.einsum("ij,ij->i", u, v) for u, v in ((a, b), (b, c), (c, a)))
        total += float(np.arctan2(top, la * lb * lc + ab * lc + bc * la + ca * lb).sum())
    return abs(total) / (2 * np.pi)


def swallowed(inner: Body, outer: Body) -> Array | None:
    """A point of a lump of `inner` that is inside `outer`, given that their skins do not meet; else None."""
    if not outer.closed:
        return None
    low, high = outer.box
    if np.any(inner.box[0] > high) or np.any(inner.box[1] < low):
        return None
    for spot in inner.core.lumps:
        here = inner.place.points(spot.reshape(1, 3))[0]
        if np.all(here >= low) and np.all(here <= high) and holds(outer, here):
            return np.asarray(here)
    return None
