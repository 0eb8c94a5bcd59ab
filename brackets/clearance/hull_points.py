"""Points of two hulls that lie furthest towards each other along a direction: what their distance is searched by.

The second hull is mirrored in the origin, so that the rows of both are multiplied by the direction at once. mm, the
first hull's axes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from brackets.clearance.hulls import Hull, Vec
from brackets.clearance.places import Array, Transform

ALONG_AXIS = 1e-9  # of the direction's part across an arc's axis: with less, all of the arc is furthest


class Met(NamedTuple):
    """Points furthest towards each other along a direction, q - p, and the ball or arc each is of."""

    apart: Vec
    p: Vec
    q: Vec
    of_p: int
    of_q: int


class FacingHulls:
    """Two hulls, b placed at `across` in a's axes.

    Rows are a's balls and arcs, then b's in reverse, so that the arcs of both follow each other.
    """

    def __init__(self, a: Hull, b: Hull, across: Transform) -> None:
        there, turned = -across.points(b.middles)[::-1], -(b.ways @ across.turn.T)
        ours, theirs = len(a.arcs.radius), len(b.arcs.radius)
        axes = (a.ways[:ours], turned[:theirs][::-1])
        middles = (a.ways[ours:], turned[theirs:][::-1])
        self._rows = np.concatenate((a.middles, there, *axes, *middles))
        self._thick = np.concatenate((a.thick, b.thick[::-1]))
        self._radius = np.concatenate((a.arcs.radius, b.arcs.radius[::-1]))
        self._half = np.concatenate((a.arcs.half, b.arcs.half[::-1]))
        self._first, self._split, self._count = len(a.spots), len(a.middles), len(self._thick)
        self._some_thick = bool(self._thick.any())

    @property
    def middle_to_middle(self) -> Vec:
        """mm: from the middle of a's box to that of b's."""
        reach = self._thick.copy()
        reach[self._first :][: len(self._radius)] += self._radius
        low, high = self._rows[: self._count] - reach[:, None], self._rows[: self._count] + reach[:, None]
        mirrored = -high[self._split :].max(axis=0) - low[self._split :].min(axis=0)
        x, y, z = ((mirrored - low[: self._split].min(axis=0) - high[: self._split].max(axis=0)) / 2).tolist()
        return x, y, z

    def furthest(self, way: Vec) -> Met:
        """The point of a furthest along the unit vector `way`, and that of b furthest the other way."""
        count, arcs = self._count, len(self._radius)
        along = self._rows @ np.array(way)
        reach = along[:count]
        if self._some_thick:
            reach = reach + self._thick
        up = wide = along[count : count + arcs]
        if arcs:
            wide = np.sqrt(np.maximum(1.0 - up * up, 0.0))
            by_arc = reach[self._first : self._first + arcs]
            by_arc += self._radius * wide
            by_arc[along[count + arcs :] < self._half * wide] = -np.inf
        i, j = int(reach[: self._split].argmax()), int(reach[: self._split - 1 : -1].argmax())
        p, (x, y, z) = self._spot(i, way, up, wide), self._spot(count - 1 - j, way, up, wide)
        return Met((-x - p[0], -y - p[1], -z - p[2]), p, (-x, -y, -z), i, j)

    def _spot(self, row: int, way: Vec, up: Array, wide: Array) -> Vec:
        """The point furthest along `way` of the ball or arc in a row."""
        x, y, z = self._rows[row].tolist()
        arc = row - self._first
        if 0 <= arc < len(wide):
            over, turns, radius = float(wide[arc]), self._count + arc, float(self._radius[arc])
            if over > ALONG_AXIS:
                off, (u, v, w) = float(up[arc]), self._rows[turns].tolist()
                u, v, w = (way[0] - off * u) / over, (way[1] - off * v) / over, (way[2] - off * w) / over
            else:
                u, v, w = self._rows[turns + len(wide)].tolist()
            x, y, z = x + radius * u, y + radius * v, z + radius * w
        if not self._some_thick or not (thick := float(self._thick[row])):
            return x, y, z
        return (x + thick * way[0], y + thick * way[1], z + thick * way[2])
