"""A moving and a fixed body on one leg of a path: boxes, arms and the least distance over a straight leg. mm."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from brackets.clearance.bodies import Body, finer
from brackets.clearance.legs import Leg, StraightLeg
from brackets.clearance.near_faces import finer_near
from brackets.clearance.pairs import ROUNDING
from brackets.clearance.places import Array, Transform
from brackets.clearance.sums import swept_distance


class MovingBody:
    """A moving body at the start of the first leg, with what all its pairs ask of it, worked out once."""

    def __init__(self, body: Body) -> None:
        self.body = body
        self._boxes: dict[tuple[int, float], tuple[Array, Array]] = {}
        self._arms: dict[int, Array] = {}

    @cached_property
    def finer(self) -> MovingBody:
        fine = finer(self.body)
        return self if fine is self.body else MovingBody(fine)

    def swept_box(self, leg: Leg, start: Transform, most: float) -> tuple[Array, Array]:
        """Low and high corner, mm, of a box round a straight leg as far as `most`."""
        key = (id(leg), most)
        if key not in self._boxes:
            ends = [self.body.placed(leg.place(at) @ start).box for at in (0.0, most)]
            self._boxes[key] = np.minimum(ends[0][0], ends[1][0]), np.maximum(ends[0][1], ends[1][1])
        return self._boxes[key]

    def arms(self, leg: Leg, start: Transform) -> Array:
        """(n,) float mm: of its hull's corners from the axis of a leg."""
        if id(leg) not in self._arms:
            self._arms[id(leg)] = leg.arms(start.points(self.body.place.points(self.body.core.hull_points)))
        return self._arms[id(leg)]


class PathPair:
    """A moving and a fixed body; `given` are the two before they are made finer."""

    def __init__(self, moving: MovingBody, b: Body) -> None:
        self.moving, self.b, self.given = moving, b, (moving.body, b)
        self.at = (0, 0.0)
        self._swept: dict[tuple[int, float], tuple[float, float] | None] = {}

    @property
    def a(self) -> Body:
        return self.moving.body

    @property
    def slack(self) -> float:
        return self.a.bound + self.b.bound + ROUNDING

    def refine(self) -> bool:
        """Use finer triangles for both, where there are any; whether there were."""
        return self._use(self.moving.finer, finer(self.b))

    def refine_near(self, drive: Sequence[Leg], within: float) -> bool:
        """The same for distances up to `within` mm on the way alone: the faces that they are of are enough."""
        a, b = finer_near(self.a, self.b, drive, within)
        return self._use(self.moving.finer if a is None else MovingBody(a), finer(self.b) if b is None else b)

    def _use(self, moving: MovingBody, b: Body) -> bool:
        changed = moving.body is not self.a or b is not self.b
        self.moving, self.b = moving, b
        if changed:
            self._swept.clear()
        return changed

    def swept_distance(self, leg: Leg, start: Transform, most: float) -> tuple[float, float] | None:
        """Least distance by triangles over a straight leg as far as `most`, and how far along it is."""
        if not isinstance(leg, StraightLeg):
            return None
        key = (id(leg), most)
        if key not in self._swept:
            stands = start @ self.a.place
            by = stands.turn.T @ np.asarray(leg.by) * (most / leg.length)
            found = swept_distance(self.a.core, self.b.core, stands.inverse @ self.b.place, by)
            self._swept[key] = None if found is None else (found[0], found[1] * most)
        return self._swept[key]

    def past_by_boxes(self, leg: Leg, start: Transform, most: float, clear: float) -> bool:
        """True when the box round a straight leg as far as `most` is `clear` mm from the obstacle's."""
        if leg.unit != "mm":
            return False
        low, high = self.moving.swept_box(leg, start, most)
        return bool(np.any(low > self.b.box[1] + clear) or np.any(high < self.b.box[0] - clear))

    def boxes_apart(self, leg: Leg, start: Transform) -> float:
        """mm: lower bound of the gap over a whole leg, from the boxes alone."""
        if leg.unit == "mm":
            low, high = self.moving.swept_box(leg, start, leg.length)
            carried = 0.0
        else:
            low, high = self.a.placed(leg.place(leg.length / 2) @ start).box
            carried = leg.carried(self.moving.arms(leg, start), leg.length / 2)
        apart = np.maximum(np.maximum(self.b.box[0] - high, low - self.b.box[1]), 0.0)
        return max(0.0, float(np.linalg.norm(apart)) - carried - ROUNDING)
