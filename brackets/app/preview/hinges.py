"""Which wall or bend every point of a folded piece belongs to, so that a picture can fold and unfold it.

The page moves each wall and bend by the tree the blank is made from; mm, in the piece's own frame.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.core.place import Place
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance
from brackets.model.fold_tree import Bend, Node, Tree, tree
from brackets.model.folded import Folded

Points = NDArray[np.float64]

NEAR = 0.02
"""mm: a point this little outside a wall may as well be in it: both sides of a tangent line move alike there."""


def hinges(piece: Folded) -> dict[str, Any]:
    """What the page needs of the tree: for each bend its parent, frame in the parent's wall, and sizes."""
    whole = tree(piece)
    return {
        "t": piece.t,
        "bends": [
            {
                "parent": bend.parent,
                "angle": bend.angle,
                "inside": bend.inside_radius,
                "k": bend.k,
                "allowance": bend.allowance,
                "place": column_major(whole.walls[bend.parent].place.inverse() @ bend.place),
                "line": [list(p) for p in outside_line(bend)],
            }
            for bend in whole.bends
        ],
    }


def zone_of(piece: Folded, points: Points) -> NDArray[np.uint8]:
    """(n,) int: 0 the base, n the n-th flange, and 128 + n the bend it hangs on.

    A point belongs to where it is deepest inside, or least far outside.
    """
    whole = tree(piece)
    best = np.full(len(points), np.inf)
    zone = np.zeros(len(points), dtype=np.uint8)
    for number, off in _offs(whole, piece.t, points):
        closer = off < best - 1e-9
        zone[closer], best[closer] = number, off[closer]
    return zone


def column_major(place: Place) -> list[float]:
    """The sixteen figures of a place as pictures want them, column after column."""
    rows = place.matrix()
    return [rows[i][j] for j in range(4) for i in range(4)]


def outside_line(bend: Bend) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """The middle of a bend along its outside face, in the bend's frame, mm."""
    half, r = math.radians(abs(bend.angle)) / 2, bend.inside_radius + bend.t
    y = r * math.sin(half)
    z = bend.centre - math.copysign(r * math.cos(half), bend.angle)
    return (0.0, y, z), (bend.width, y, z)


def _offs(whole: Tree, t: float, points: Points) -> list[tuple[int, Points]]:
    found = [(node.number, _off_wall(node, t, points)) for node in whole.walls]
    return found + [(128 + bend.number, _off_bend(bend, points)) for bend in whole.bends]


def _local(place: Place, points: Points) -> Points:
    rows = np.array(place.matrix())
    return np.asarray((points - rows[:3, 3]) @ rows[:3, :3])


def _off_wall(node: Node, t: float, points: Points) -> Points:
    """How far outside a wall each point is, mm."""
    p = _local(node.place, points)
    level = np.maximum(np.maximum(-p[:, 2], p[:, 2] - t), 0.0)
    off = np.full(len(points), np.inf)
    for i in np.flatnonzero(level < NEAR):
        off[i] = max(level[i], _outside(node.wall.outline, (float(p[i, 0]), float(p[i, 1]))))
    return off


def _outside(outline: Outline, p: tuple[float, float]) -> float:
    return max(0.0, -distance(outline, p))


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
