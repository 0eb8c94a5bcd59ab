"""Folding in a picture: which wall or bend every point belongs to, and the mesh folded as far as asked.

The page moves each wall and bend by the tree the blank is made from; mm, in the piece's own frame.

1 is folded as made, 0 is flat. Every corner knows its wall (n) or its bend (128 + n); the unstretched layer of
a bend keeps its length. mm, in the piece's own frame.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.core.place import Place
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance
from brackets.model.fold_tree import Bend, Node, tree
from brackets.model.plate import Folded

Points = NDArray[np.float64]

ALIKE = 1e-9
"""mm by which a point must be less far outside a zone than outside one before it, to belong to it."""

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
    spots, which = np.unique(points, axis=0, return_inverse=True)
    zone, best = _deepest(piece, spots, far_too=False)
    lost = best > ALIKE  # in no zone
    if lost.any():
        zone[lost], _ = _deepest(piece, spots[lost], far_too=True)
    return np.asarray(zone[which.reshape(-1)])


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
    for i in np.flatnonzero((level < NEAR) & (far_too | (beside <= NEAR))):
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


Floats = NDArray[np.float64]
Zones = NDArray[np.uint8]

FLAT = 1e-4
"""Below this share a bend is flat: its radius would be the allowance over an angle of nothing."""


class Hinged:
    """A piece of which every wall is hung on its bend; `share` of the bend is made."""

    def __init__(self, hinges: Mapping[str, Any], share: float) -> None:
        self.t, self.bends = float(hinges["t"]), tuple(hinges["bends"])
        self.share = 0.0 if share < FLAT else share
        made_walls, made_bends = self._places(1.0)
        self._walls, self._frames = self._places(self.share)
        self._back = {i: np.linalg.inv(m) for i, m in enumerate(made_walls)}
        self._back |= {129 + i: np.linalg.inv(m) for i, m in enumerate(made_bends)}

    def moved(self, points: Floats, zones: Zones, normals: Floats) -> tuple[Floats, Floats]:
        """(n, 3) float each: where points (n, 3) of these zones (n,) are, mm, and where their normals point."""
        at, way = points.copy(), normals.copy()
        for zone in np.unique(zones):
            mine = zones == zone
            back = self._back[int(zone)]
            p = points[mine] @ back[:3, :3].T + back[:3, 3]
            n = normals[mine] @ back[:3, :3].T
            if zone < 128:
                now = self._walls[int(zone)]
            else:
                now = self._frames[int(zone) - 129]
                p, turn = self._bent(self.bends[int(zone) - 129], p)
                n = _about_x(n, turn)
            at[mine] = p @ now[:3, :3].T + now[:3, 3]
            way[mine] = n @ now[:3, :3].T
        return at, way

    def lines(self) -> Floats:
        """(k, 2, 3) float: the middle of every bend along its outside."""
        found = []
        for bend, frame in zip(self.bends, self._frames, strict=True):
            ends, _ = self._bent(bend, np.array(bend["line"], dtype=float))
            found.append(ends @ frame[:3, :3].T + frame[:3, 3])
        return np.array(found).reshape(-1, 2, 3)

    def _places(self, share: float) -> tuple[list[Floats], list[Floats]]:
        """Frames of the walls and of the bends, each (4, 4) float."""
        walls, bends = [np.eye(4)], []
        for bend in self.bends:
            at = walls[bend["parent"]] @ np.array(bend["place"], dtype=float).reshape(4, 4).T
            bends.append(at)
            walls.append(at @ self._beyond(bend, share))
        return walls, bends

    def _inside(self, bend: Mapping[str, Any], share: float) -> float:
        return float(bend["allowance"] / (math.radians(abs(bend["angle"])) * share) - bend["k"] * self.t)

    def _beyond(self, bend: Mapping[str, Any], share: float) -> Floats:
        """From a bend's frame to that of the wall beyond it."""
        made = np.eye(4)
        if share < FLAT:
            made[1, 3] = bend["allowance"]
            return made
        turn = math.radians(bend["angle"]) * share
        far = self._inside(bend, share) + (self.t if bend["angle"] > 0 else 0.0)
        made[1:3, 1:3] = (math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))
        made[1:3, 3] = far * abs(math.sin(turn)), math.copysign(far * (1 - math.cos(turn)), bend["angle"])
        return made

    def _bent(self, bend: Mapping[str, Any], p: Floats) -> tuple[Floats, Floats]:
        """Points (n, 3) of a bend as made, in its frame, where they are now; and by how much each has turned."""
        up, whole = math.copysign(1.0, bend["angle"]), math.radians(abs(bend["angle"]))
        axis = self.t + bend["inside"] if up > 0 else -bend["inside"]
        z = (axis - p[:, 2]) * up
        turn, depth = np.arctan2(p[:, 1], z), np.hypot(p[:, 1], z) - bend["inside"]
        if self.share < FLAT:
            y = turn / whole * bend["allowance"]
            return np.column_stack((p[:, 0], y, self.t - depth if up > 0 else depth)), -turn * up
        r = self._inside(bend, self.share)
        centre = self.t + r if up > 0 else -r
        y = (r + depth) * np.sin(turn * self.share)
        return (
            np.column_stack((p[:, 0], y, centre - up * (r + depth) * np.cos(turn * self.share))),
            -turn * up * (1 - self.share),
        )


def _about_x(ways: Floats, turn: Floats) -> Floats:
    c, s = np.cos(turn), np.sin(turn)
    return np.column_stack((ways[:, 0], c * ways[:, 1] - s * ways[:, 2], s * ways[:, 1] + c * ways[:, 2]))
