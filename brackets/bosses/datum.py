"""The set-up's punch marks: do the two taped diagonals agree with the drawing and with one another. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brackets.bosses.record import Floats
from brackets.errors import OutOfRange


@dataclass(frozen=True)
class Square:
    """Four marks and their diagonals, mm.

    `ahead`: how far one long side stands ahead of the other if the marks form a parallelogram, from
    d1² − d2² = 4 · a · b · sin(lean); positive where the first diagonal is the longer.
    """

    pairs: tuple[tuple[int, int], tuple[int, int]]
    taped: tuple[float, float]
    drawn: tuple[float, float]
    difference: float  # of the two taped, beyond what the drawn ones differ by
    ahead: float
    allowed: float

    @property
    def off(self) -> tuple[float, float]:
        """Each taped diagonal less the drawn one."""
        return self.taped[0] - self.drawn[0], self.taped[1] - self.drawn[1]

    @property
    def agrees(self) -> bool:
        """Whether nothing is off by more than is allowed."""
        return max(abs(self.difference), *(abs(o) for o in self.off)) <= self.allowed


def square(marks: Floats, taped: tuple[float, float], allowed: float) -> Square:
    """The check of four marks (4, 3) float mm; the first diagonal is the one that starts at the first mark.

    The diagonals are the two pairs of marks whose distances add up to most. Raises OutOfRange for marks in a line.
    """
    p = np.asarray(marks, dtype=np.float64)
    if p.shape != (4, 3):
        raise OutOfRange(f"marks has shape {p.shape}, must be (4, 3) mm: four punch marks")
    spread = np.linalg.svd(p - p.mean(axis=0), compute_uv=False)
    if spread[1] <= 1e-6 * max(float(spread[0]), 1e-9):
        raise OutOfRange("marks = all in a line, must be the corners of a quadrilateral: four punch marks")
    ways = (((0, 3), (1, 2)), ((0, 2), (1, 3)), ((0, 1), (2, 3)))
    pairs = max(ways, key=lambda w: sum(math.dist(p[i], p[j]) for i, j in w))
    drawn = tuple(math.dist(p[i], p[j]) for i, j in pairs)
    (a, _), (b, c) = pairs
    long = max(math.dist(p[a], p[b]), math.dist(p[a], p[c]))
    more = (taped[0] ** 2 - drawn[0] ** 2) - (taped[1] ** 2 - drawn[1] ** 2)
    return Square(
        pairs=pairs,
        taped=taped,
        drawn=(drawn[0], drawn[1]),
        difference=(taped[0] - drawn[0]) - (taped[1] - drawn[1]),
        ahead=more / (4.0 * long),
        allowed=allowed,
    )
