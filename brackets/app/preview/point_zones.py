"""Which wall or bend of a folded piece every point of its mesh belongs to; mm, in the piece's own frame.

Every corner knows its wall (n) or its bend (128 + n), by which `folding.py` and the page move it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np
from numpy.typing import NDArray

from brackets.core.place import Place
from brackets.geometry.crossings import turns_of
from brackets.geometry.curve import Outline
from brackets.geometry.distance import nearest
from brackets.model.fold_tree import Bend, Node, tree
from brackets.model.plate import Folded

Points = NDArray[np.float64]

ALIKE = 1e-9
"""mm by which a point must be less far outside a zone than outside one before it, to belong to it."""

NEAR = 0.02
"""mm: a point this little outside a wall may as well be in it: both sides of a tangent line move alike there."""


def zone_of(piece: Folded, points: Points) -> NDArray[np.uint8]:
    """(n,) int: 0 the base, n the n-th flange, and 128 + n the bend it hangs on.

    A point belongs to where it is deepest inside, or least far outside.
    """
    spots, which = np.unique(points, axis=0, return_inverse=True)
    zone, best = _deepest(piece, spots, far_too=False)
    lost = best > ALIKE  # in no zone
    if lost.any():
        zone[lost], _ = _deepest(piece, spots[lost], far_too=True)
    return np.asarray(zone[which.reshape(-1)])


def outside(outline: Outline, points: Points) -> Points:
    """How far outside an outline points (n, 2) are, mm: (n,), 0 for those inside."""
    off, turns = np.zeros(len(points)), np.zeros(len(points), dtype=int)
    for edge in outline.segments:
        turns += turns_of(edge, points[:, 0], points[:, 1], np.hypot)
    for i in np.flatnonzero(turns <= 0):
        off[i] = nearest(outline, (float(points[i, 0]), float(points[i, 1]))).distance
    return off


def _deepest(piece: Folded, spots: Points, *, far_too: bool) -> tuple[NDArray[np.uint8], Points]:
    """The zone of each point, and how far outside it the point is, mm. Zones further than NEAR off are looked at
    `far_too`: one that a point lies in comes before them."""
    best = np.full(len(spots), np.inf)
    zone = np.zeros(len(spots), dtype=np.uint8)
    for number, off_zone in _zones(piece, far_too=far_too):
        open_ = np.flatnonzero(best > ALIKE)  # nothing is closer than what a point lies in already
        off = off_zone(spots[open_])
        closer = off < best[open_] - ALIKE
        mine = open_[closer]
        zone[mine], best[mine] = number, off[closer]
    return zone, best


def _zones(piece: Folded, *, far_too: bool) -> Iterator[tuple[int, Callable[[Points], Points]]]:
    """Each zone with what tells how far outside it points are."""
    whole = tree(piece)
    yield from ((node.number, partial(_off_wall, node, piece.t, far_too)) for node in whole.walls)
    yield from ((128 + bend.number, partial(_off_bend, bend)) for bend in whole.bends)


def _local(place: Place, points: Points) -> Points:
    rows = np.array(place.matrix())
    return np.asarray((points - rows[:3, 3]) @ rows[:3, :3])


def _off_wall(node: Node, t: float, far_too: bool, points: Points) -> Points:
    """How far outside a wall each point is, mm; infinite where it is off the wall's plane, and where it is off its
    box, unless `far_too`."""
    p = _local(node.place, points)
    level = np.maximum(np.maximum(-p[:, 2], p[:, 2] - t), 0.0)
    off = np.full(len(points), np.inf)
    x0, y0, x1, y1 = node.wall.outline.bounds
    beside = np.maximum(np.maximum(x0 - p[:, 0], p[:, 0] - x1), np.maximum(y0 - p[:, 1], p[:, 1] - y1))
    near = np.flatnonzero((level < NEAR) & (far_too | (beside <= NEAR)))
    off[near] = np.maximum(level[near], outside(node.wall.outline, p[near, :2]))
    return off


def _off_bend(bend: Bend, points: Points) -> Points:
    """How far outside the sector of a bend each point is, mm."""
    p = _local(bend.place, points)
    z = (bend.centre - p[:, 2]) * math.copysign(1.0, bend.angle)
    turn, r = np.arctan2(p[:, 1], z), np.hypot(p[:, 1], z)
    most = math.radians(abs(bend.angle))
    away = [
        bend.inside_radius - r,
        r - bend.inside_radius - bend.t,
        -turn * r,
        (turn - most) * r,
        -p[:, 0],
        p[:, 0] - bend.width,
    ]
    return np.asarray(np.maximum(np.max(away, axis=0), 0.0))
