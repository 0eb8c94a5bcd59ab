"""One pair while a bar between two bushes moves: cells of where its moved bush centre can be, and of its spin.

A cell may hold places that no movement brings the bar to, so what is known of it counts for the low end alone; the
high end is found at places of the movement. mm and radians.
"""

from __future__ import annotations

import math

import numpy as np

from brackets.clearance.bodies import Body, skins
from brackets.clearance.link_moves import LinkMoves
from brackets.clearance.moving_pair import CLOSER, Cell, MovingPair
from brackets.clearance.places import Array

WIDEST = math.pi / 3
"""The bar's furthest from its direction at rest for which a cell says anything; wider ones are cut first."""


TRIES = 10
"""Cells for which a place of the movement is looked for; from the worst of those the distance is followed down."""


class LinkPair(MovingPair):
    """A bar a and an obstacle b; cells are of three mm and a spin about itself, radians."""

    def __init__(
        self, a: Body, b: Body, moves: LinkMoves, within: float, needed: float, best: float = math.inf
    ) -> None:
        super().__init__(a, b, moves, within, needed, best)
        self.link = moves
        rim = a.place.points(a.core.hull_points)
        line = (moves.goes - moves.stays) / moves.apart
        out = rim - (moves.goes + moves.stays) / 2
        self.far = float(np.linalg.norm(out, axis=1).max())
        self.round = float(np.linalg.norm(out - np.outer(out @ line, line), axis=1).max())
        self.line = line
        self.tries = 0

    def start(self) -> list[Cell]:
        self._look_inside_too(self.moves.allowed(np.zeros(len(self.moves.limits))))
        if self.high <= 0:
            self.keep(0.0)
            return []
        low, high = self.link.region.limits.T
        return self._part((low + high) / 2, (high - low) / 2, self.floor)

    def split(self, cell: Cell) -> list[Cell]:
        if self._carried(cell.mid, cell.half) < CLOSER * self.width:
            self.keep(cell.low)
            return []
        axis = int(np.r_[cell.half[:3], self.round * cell.half[3]].argmax())
        half = cell.half.copy()
        half[axis] /= 2
        found = []
        for side in (-1, 1):
            mid = cell.mid.copy()
            mid[axis] += side * half[axis]
            found += self._part(mid, half, cell.low)
        return found

    def _part(self, mid: Array, half: Array, low: float) -> list[Cell]:
        if self.link.region.misses(mid, half):
            return []
        carried = self._carried(mid, half)
        if math.isinf(carried):
            return [Cell(mid, half, low)]
        self.looks += 1
        found = skins(self.a.placed(self.link.bar(mid)), self.b).distance
        if found < self.high - CLOSER * self.width and self.tries < TRIES:
            self.tries += 1
            self._look(self.link.reached(mid[:3]))
            if self.tries == TRIES and self.at is not None:
                self._down(self.at)
        return [Cell(mid, half, max(low, found - carried))]

    def _carried(self, mid: Array, half: Array) -> float:
        """mm: no point of the bar is further from where it is in the middle of the cell; infinite where the cell is
        too wide to tell."""
        r, away = float(np.linalg.norm(half[:3])), mid[:3] - self.link.stays
        apart = float(np.linalg.norm(away))
        near = apart - r
        if near <= r:
            return math.inf
        swung = 2 * math.asin(r / (2 * near))
        rest = math.acos(max(-1.0, min(1.0, float(away @ self.line) / apart))) + swung
        if rest > WIDEST:
            return math.inf
        turned = swung / math.cos(rest / 2)
        return r / 2 + self.far * 2 * math.sin(min(math.pi, turned) / 2) + self.round * 2 * math.sin(half[3] / 2)
