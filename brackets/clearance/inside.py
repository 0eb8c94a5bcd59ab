"""Whether a body is contained in another: the distance between two surfaces cannot tell.

Points in bay axes, mm. An open scan has no inside of its own: whether a point is in what it was made from is told
by its winding number, the share of the view from there that it fills; near a whole number that is plain. Behind
which side of an open scan a point is: that of its nearest triangle.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN

from brackets.clearance.bodies import Body
from brackets.clearance.cores import Core
from brackets.clearance.pairs import ROUNDING
from brackets.clearance.places import IDENTITY, Array, Ints
from brackets.clearance.scan import solid_angles, winding
from brackets.clearance.triangles import Tree, between
from brackets.core.kept import keeps

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
    near = between(core.tree, _speck(spot), IDENTITY)
    corners, triples = core.mesh.corners, core.mesh.triples
    three = triples[near.on_a]
    shares = np.linalg.lstsq(np.vstack((corners[three].T, np.ones(3))), np.r_[near.p, 1.0], rcond=None)[0]
    on = three[shares > SAME * max(1.0, float(np.abs(shares).max()))]
    meet = triples[np.all([(triples == corner).any(axis=1) for corner in on], axis=0)]
    return bool((spot - near.p) @ _normal(corners, meet, on) < 0)


def _speck(spot: Array) -> Tree:
    """A triangle in place of a point (3,): no point of it is further than SPECK."""
    return Tree(spot + SPECK * np.array(((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))), ONE)


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


ON_SKIN = 1e-6  # mm: a point nearer the skin than this counts as on it, not in it
GRAZE = 1e-9  # share of a triangle: a ray this near a side of one is not counted on, and angles are summed instead
PLAINLY = 0.1  # a winding number this near a whole one is taken for it; a cube short of a triangle has 0.917
LIDS = 400_000  # points times lids looked at together: keeps the arrays within some tens of MB
SOME, MANY = 32, 256  # corners of a body looked at besides its outermost points; where it reaches through a hole

Stand = Literal["out", "in", "not told"]


def holds(outer: Body, spot: Array, *, clear: bool = False) -> bool:
    """True when a point (3,), bay axes, is in the material of a closed body.

    Further from the triangles than their error, which is `clear` where that is known, the triangles decide; the
    kernel's classifier takes a hundred times as long.
    """
    own = outer.place.inverse.points(spot.reshape(1, 3))[0]
    if outer.core.solids and not (clear or _off_skin(outer.core, own)):
        for classifier in outer.core.classifiers:
            classifier.Perform(gp_Pnt(*(float(v) for v in own)), ON_SKIN)
            if classifier.State() == TopAbs_IN:
                return True
        return False
    return abs(ray_winding_number(outer.core, own)) >= 1


def _off_skin(core: Core, own: Array) -> bool:
    """Whether a point (3,) in a body's own axes is further from its triangles than their error."""
    near = between(core.tree, _speck(own), IDENTITY)
    return near.distance > core.mesh.bound + SPECK + ROUNDING


def ray_winding_number(core: Core, spot: Array) -> int:
    """Winding number of a closed surface (an open scan with its lids) about a point (3,) in its own axes.

    Counted along one ray, which runs askew so that it meets no edge of a part drawn square; where it passes too
    near an edge, solid angles are summed instead.
    """
    seen, boxes = core.projected
    x, y, z = core.ray_frame @ spot
    hit = np.flatnonzero((boxes[0] <= x) & (boxes[1] >= x) & (boxes[2] <= y) & (boxes[3] >= y))
    a, b, c = (seen[core.shell[1][hit, i]] - (x, y, z) for i in range(3))
    weights = [u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0] for u, v in ((b, c), (c, a), (a, b))]
    whole = weights[0] + weights[1] + weights[2]
    size = np.abs(weights).max(axis=0, initial=0.0)
    if np.any(np.abs(weights) <= GRAZE * size):
        return round(winding(*core.shell[:2], spot))
    inside = (np.sign(weights[0]) == np.sign(weights[1])) & (np.sign(weights[1]) == np.sign(weights[2]))
    above = (weights[0] * a[:, 2] + weights[1] * b[:, 2] + weights[2] * c[:, 2]) * np.sign(whole) > 0
    return int(np.sign(whole)[inside & above].sum())


def winding_number(core: Core, spots: Array, *, one_lump: bool = False) -> Array:
    """(n,) float: winding number of an open scan, without its lids, about each of the points (n, 3) in its own
    axes.

    one_lump: the points belong to one connected body that crosses neither scan nor lids, so that one ray does for
    all.
    """
    corners, _, count = core.shell
    low, high = core.span.min(axis=0), core.span.max(axis=0)
    boxed = np.all((spots >= low) & (spots <= high), axis=1)
    whole = np.zeros(len(spots))
    if one_lump:
        whole[:] = ray_winding_number(core, spots[0]) if boxed.all() else 0
    else:
        whole[boxed] = [ray_winding_number(core, spot) for spot in spots[boxed]]
    each = max(1, LIDS // max(1, count))
    for at in range(0, len(spots) if count else 0, each):
        a, b, c = (corners[core.lids[:, i]] - spots[at : at + each, None] for i in range(3))
        whole[at : at + each] -= solid_angles(a, b, c).sum(axis=1)
    return whole


def stands(inner: Body, outer: Body) -> tuple[Stand, Array]:
    """Whether `inner` is inside the part that an open scan was made from, given that their surfaces do not meet;
    with a point (3,) of it that is inside, or that cannot be decided."""
    core = outer.core
    across = outer.place.inverse @ inner.place
    if core.scanned == "inside":
        return "out", inner.place.points(np.array(inner.core.lumps[:1]))[0]
    reaches = core.lid_tree is not None and between(core.lid_tree, inner.core.tree, across).distance == 0
    spots = across.points(_looked_at(inner.core, MANY if reaches else SOME))
    whole = not reaches and len(inner.core.lumps) == 1  # then it is all on one side
    around = winding_number(core, spots, one_lump=whole)
    near = np.rint(around)
    plain, held = np.abs(around - near) <= PLAINLY, near != 0
    if core.scanned == "outside":
        held[~plain] = behind(core, spots[~plain])
        plain[:], reaches = True, False
    told: Stand = "not told"
    if held[plain].all() and plain.any() and (whole or plain.all()):
        told = "in"
    elif plain.all() and not held.any() and not reaches:
        told = "out"
    at = int((plain & held).argmax() if told == "in" else (~plain).argmax())
    return told, outer.place.points(spots[at : at + 1])[0]


def _looked_at(core: Core, some: int) -> Array:
    """(n, 3) float mm: a point of every lump, the extreme vertices along each axis, and about `some` others."""
    vertices = core.vertices
    ends = vertices[np.concatenate((vertices.argmin(axis=0), vertices.argmax(axis=0)))]
    return np.vstack((np.array(core.lumps), ends, vertices[:: max(1, len(vertices) // some)]))


@keeps("not told")
def not_told(a: Body, b: Body) -> str:
    """A sentence where it cannot be decided whether one of two bodies is inside the other, else "". Their surfaces
    do not meet."""
    for inner, outer in ((a, b), (b, a)):
        if not outer.closed and stands(inner, outer)[0] == "not told":
            one, other = inner.name or "the other body", outer.name or "a scan"
            return f"{other}: open there, so that it cannot be told whether {one} is inside"
    return ""


def contained_point(inner: Body, outer: Body, *, clear: bool = False) -> Array | None:
    """A point (3,) of `inner` that is inside `outer`, given that their surfaces do not meet; else None.

    `clear`: their triangles are further apart than the error of both together.
    """
    if not outer.closed:
        told, spot = stands(inner, outer)
        return spot if told == "in" else None
    low, high = outer.box
    if np.any(inner.box[0] > high) or np.any(inner.box[1] < low):
        return None
    return _lump_within(inner, outer, clear)


@keeps("contained point")
def _lump_within(inner: Body, outer: Body, clear: bool) -> Array | None:
    low, high = outer.box
    for spot in inner.core.lumps:
        here = inner.place.points(spot.reshape(1, 3))[0]
        if np.all(here >= low) and np.all(here <= high) and holds(outer, here, clear=clear):
            return np.asarray(here)
    return None
