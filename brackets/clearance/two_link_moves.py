"""How one bar moves as seen from another, both with an end on the same body that moves. mm, bay axes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brackets.clearance.link_moves import LinkMoves, rates_by_steps
from brackets.clearance.motion import Position, Reach, Turn
from brackets.clearance.places import Array, Transform


@dataclass(frozen=True, eq=False)
class ReachOfTwo:
    """Of the points of two bars that one body moves: no distance between them changes by more than both go."""

    one: Reach
    other: Reach

    def most(self, half: Array) -> float:
        return self.one.most(half) + self.other.most(half)

    def terms(self, half: Array) -> Array:
        return self.one.terms(half) + self.other.terms(half)


@dataclass(frozen=True, eq=False)
class TwoLinkMoves:
    """All the places of the bar `one` as they are seen from the bar `other`, both on the same body that moves.

    points: (k, 3) float mm, that hold the other bar where it stands at rest.
    """

    one: LinkMoves
    other: LinkMoves
    points: Array

    @property
    def any_way(self) -> float:
        return 0.0

    @property
    def turns(self) -> tuple[Turn, ...]:
        return self.one.turns

    @property
    def turning(self) -> int:
        return self.one.turning

    @property
    def frame(self) -> Array:
        return self.one.frame

    @property
    def limits(self) -> Array:
        return self.one.limits

    def place(self, at: Array) -> Transform:
        return self.other.place(at).inverse @ self.one.place(at)

    def position(self, at: Array) -> Position:
        return self.one.position(at)

    def reach(self, points: Array) -> Reach:
        return ReachOfTwo(self.one.reach(points), self.other.reach(self.points))

    def rates(self, at: Array, now: Array) -> Array:
        """(n, 3) float: as `LinkMoves.rates`."""
        return rates_by_steps(self, at, now)

    def travels(self) -> Array:
        return np.zeros((1, 3))

    def allowed(self, at: Array) -> Array:
        return self.one.allowed(at)
