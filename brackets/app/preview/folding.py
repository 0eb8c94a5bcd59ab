"""Folding in a picture: what the page needs to move the walls and bends of a piece, and its mesh folded so far.

By the tree the blank is made from: 1 is folded as made, 0 is flat; the unstretched layer of a bend keeps its
length.
Which wall or bend a point belongs to says `point_zones.py`. mm, in the piece's own frame.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.core.place import Place
from brackets.model.fold_tree import Bend, tree
from brackets.model.plate import Folded


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
