"""What a part can stand on: a keep-out as the metal that seats and welds find under them.

mm, bay axes. Boxes and tubes are closed form; a mesh or a STEP file is asked by its triangles.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from brackets.bay.powertrain import place_of
from brackets.bay.record import Bay
from brackets.bay.rows import KeepOut
from brackets.bay.seating import box_place
from brackets.clearance import Body
from brackets.clearance.places import Array
from brackets.pieces import HERE, Place, Vec
from brackets.pieces.vectors import add, dot, length, scale, sub, unit

AT_ONCE = 200_000
"""Pairs of point and triangle that are worked on at once: some 50 MB."""


@dataclass(frozen=True, eq=False)
class Ground:
    """A keep-out where it stands, with its body; `place` is that of the side it is fixed to."""

    keep_out: KeepOut
    place: Place
    body: Body

    @property
    def name(self) -> str:
        return self.keep_out.name

    @property
    def is_box(self) -> bool:
        return self.keep_out.box_from is not None

    @property
    def is_tube(self) -> bool:
        return self.keep_out.tube_from is not None

    def off(self, spots: Array, reach: float) -> Array:
        """(n,) mm from points (n, 3) to its metal, less than nothing inside a box or tube; of triangles, where
        none is within `reach` mm, infinite."""
        if self.is_box or self.is_tube:
            return np.array([off(self.keep_out, self.place, (x, y, z)) for x, y, z in spots.tolist()])
        return self._off_triangles(spots, reach)

    @cached_property
    def _triangles(self) -> Array:
        return np.asarray(self.body.corners[self.body.triples])

    def _off_triangles(self, spots: Array, reach: float) -> Array:
        from scipy.spatial import cKDTree
        from trimesh.triangles import closest_point

        closest: Callable[[Array, Array], Array] = closest_point
        found = np.full(len(spots), np.inf)
        low, high = spots.min(axis=0) - reach, spots.max(axis=0) + reach
        corners = self._triangles
        near = corners[((corners.max(axis=1) >= low) & (corners.min(axis=1) <= high)).all(axis=1)]
        if not len(near):
            return found
        middles = near.mean(axis=1)
        largest = float(np.linalg.norm(near - middles[:, None, :], axis=2).max())
        step = max(1, AT_ONCE // len(near))
        tree = cKDTree(middles)
        for start in range(0, len(spots), step):
            some = spots[start : start + step]
            lists = tree.query_ball_point(some, reach + largest)
            which = np.repeat(np.arange(len(some)), [len(each) for each in lists])
            if len(which):
                met = closest(near[np.concatenate(lists).astype(int)], some[which])
                far = np.linalg.norm(met - some[which], axis=1)
                np.minimum.at(found, start + which, np.where(far <= reach, far, np.inf))
        return found


def ground(bay: Bay, keep_out: KeepOut, body: Body) -> Ground:
    """A keep-out of the bay where its side stands."""
    place = place_of(bay.powertrain) if keep_out.side == "powertrain" else HERE
    return Ground(keep_out, place, body)


def off(keep_out: KeepOut, place: Place, spot: Vec) -> float:
    """mm from a point to the outside of a tube or box standing at `place`; less than nothing inside it."""
    if keep_out.box_from is not None and keep_out.box_to is not None:
        local = (place @ box_place(keep_out)).local(spot)
        over = [max(lo - c, c - hi) for c, lo, hi in zip(local, keep_out.box_from, keep_out.box_to, strict=True)]
        return max(over) if max(over) <= 0 else math.hypot(*(max(0.0, o) for o in over))
    across, past = beside_and_past(keep_out, place, spot)
    if past <= 0:
        return across
    return max(past, across) if across <= 0 else math.hypot(past, across)


def beside_and_past(keep_out: KeepOut, place: Place, spot: Vec) -> tuple[float, float]:
    """mm that a point is outside a tube, square to its axis, and past its nearer end; less than nothing within."""
    assert keep_out.tube_from is not None
    assert keep_out.tube_to is not None
    start, end = place.point(keep_out.tube_from), place.point(keep_out.tube_to)
    way = unit(sub(end, start))
    along = dot(sub(spot, start), way)
    across = length(sub(spot, add(start, scale(way, along)))) - (keep_out.tube_od or 0.0) / 2
    return across, max(-along, along - length(sub(end, start)))
