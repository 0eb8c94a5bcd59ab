"""Whether a body is swallowed whole by another: the distance between two skins cannot tell.

Points in bay axes, mm.
"""

from __future__ import annotations

import math

import numpy as np
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN

from brackets.clearance.bodies import Body
from brackets.clearance.cores import Core
from brackets.clearance.places import Array

ON_SKIN = 1e-6  # mm: a point nearer the skin than this counts as on it, not in it
GRAZE = 1e-9  # share of a triangle: a ray this near a side of one is not counted on, and angles are summed instead


def holds(outer: Body, spot: Array, *, clear: bool = False) -> bool:
    """True when a point is in the material of a closed body; an open scan holds nothing.

    `clear`: the point is known to be further from the triangles than they can be off, so that they can tell;
    the kernel's own word costs a hundred times as much.
    """
    if not outer.closed:
        return False
    own = outer.place.inverse.points(spot.reshape(1, 3))[0]
    if outer.core.solids and not clear:
        for decide in outer.core.deciders:
            decide.Perform(gp_Pnt(*(float(v) for v in own)), ON_SKIN)
            if decide.State() == TopAbs_IN:
                return True
        return False
    return abs(turns_round(outer.core, own)) >= 1


def turns_round(core: Core, spot: Array) -> int:
    """How many times closed triangles go round a point: counted along one ray, askew to everything drawn square."""
    seen, boxes = core.shadow
    x, y, z = core.askew @ spot
    hit = np.flatnonzero((boxes[0] <= x) & (boxes[1] >= x) & (boxes[2] <= y) & (boxes[3] >= y))
    a, b, c = (seen[core.mesh.triples[hit, i]] - (x, y, z) for i in range(3))
    weights = [u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] for u, v in ((b, c), (c, a), (a, b))]
    whole = weights[0] + weights[1] + weights[2]
    size = np.abs(weights).max(axis=0, initial=0.0)
    if np.any(np.abs(weights) <= GRAZE * size):
        return _by_angles(core, spot)
    inside = (np.sign(weights[0]) == np.sign(weights[1])) & (np.sign(weights[1]) == np.sign(weights[2]))
    above = (weights[0] * a[:, 2] + weights[1] * b[:, 2] + weights[2] * c[:, 2]) * np.sign(whole) > 0
    return int(np.sign(whole)[inside & above].sum())


def _by_angles(core: Core, spot: Array) -> int:
    a, b, c = (core.mesh.corners[core.mesh.triples[:, i]] - spot for i in range(3))
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    top = np.einsum("ij,ij->i", a, np.cross(b, c))
    ab, bc, ca = (np.einsum("ij,ij->i", u, v) for u, v in ((a, b), (b, c), (c, a)))
    total = np.arctan2(top, la * lb * lc + ab * lc + bc * la + ca * lb).sum()
    return round(float(total) / (2 * math.pi))


def swallowed(inner: Body, outer: Body, *, clear: bool = False) -> Array | None:
    """A point of a lump of `inner` that is inside `outer`, given that their skins do not meet; else None.

    `clear`: their triangles are further apart than both can be off.
    """
    if not outer.closed:
        return None
    low, high = outer.box
    if np.any(inner.box[0] > high) or np.any(inner.box[1] < low):
        return None
    for spot in inner.core.lumps:
        here = inner.place.points(spot.reshape(1, 3))[0]
        if np.all(here >= low) and np.all(here <= high) and holds(outer, here, clear=clear):
            return np.asarray(here)
    return None
