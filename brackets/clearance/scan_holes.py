"""The holes of a scan, each with its place and size, and those up to a stated size closed.

mm. A hole is a loop of edges that one triangle runs along and no other runs back. It is closed by a fan about a
point in its middle: exact where the hole is flat, elsewhere off by no more than the hole is wide.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial.distance import cdist

from brackets.clearance.places import Array, Ints
from brackets.clearance.scan import CRACK, Hole, holes

ROWS = 1000
"""Points of a loop whose distances to all others are taken at once."""


@dataclass(frozen=True, eq=False)
class ScanHole:
    """One hole: its middle `at` (3,), and its `size`, the longest straight line across it, mm. Of a crack, whose
    hydraulic diameter is CRACK or less, the size is that diameter. `loose`: the edge of a triangle that no other
    joins."""

    at: Array
    size: float
    loose: bool
    loop: Hole

    @property
    def crack(self) -> bool:
        """Whether it is long and narrow, so that nothing that is cleared fits through."""
        return self.loop.width <= CRACK


@dataclass(frozen=True, eq=False)
class ClosedScan:
    """Corners (n, 3) mm and triangles (m, 3) with the `closed` holes filled; `left` are larger. Largest first."""

    corners: Array
    triples: Ints
    closed: tuple[ScanHole, ...]
    left: tuple[ScanHole, ...]


def scan_holes(corners: Array, triples: Ints) -> tuple[ScanHole, ...]:
    """Every hole of the triangles (m, 3) int of `corners` (n, 3) mm, the largest first."""
    start, end, alone = _rim(triples, len(corners))
    found = []
    for loop in holes(corners, start, end):
        chord = _longest(corners[loop.corners])
        size = min(chord, loop.width) if loop.width <= CRACK else chord
        loose = len(loop.corners) == 3 and bool(alone[loop.corners].all())
        found.append(ScanHole(loop.middle, size, loose, loop))
    return tuple(sorted(found, key=lambda one: (-one.size, *one.at.tolist())))


def closed_up_to(corners: Array, triples: Ints, size: float) -> ClosedScan:
    """The scan with every hole of `size` mm or less closed."""
    found = scan_holes(corners, triples)
    fits = [one for one in found if one.size <= size]
    middles, fans = [np.zeros((0, 3))], [triples]
    for number, one in enumerate(fits, len(corners)):
        ring = one.loop.corners
        fans.append(np.column_stack((np.roll(ring, -1), ring, np.full(len(ring), number))))
        middles.append(one.loop.middle[None, :])
    left = tuple(one for one in found if one.size > size)
    return ClosedScan(np.vstack((corners, *middles)), np.vstack(fans), tuple(fits), left)


def _rim(triples: Ints, many: int) -> tuple[Ints, Ints, Array]:
    """Start and end of every edge without one that runs back, and which corners belong to no shared edge."""
    u, v = triples.reshape(-1), np.roll(triples, -1, axis=1).reshape(-1)
    key = np.minimum(u, v) * many + np.maximum(u, v)
    each, back, times = np.unique(key, return_inverse=True, return_counts=True)
    net = np.bincount(back.reshape(-1), weights=np.where(u < v, 1, -1)).astype(np.int64)
    low, high = np.divmod(np.repeat(each, np.abs(net)), many)
    forward = np.repeat(net > 0, np.abs(net))
    alone = np.ones(many, dtype=bool)
    alone[np.concatenate(np.divmod(each[times > 1], many))] = False
    return np.where(forward, low, high), np.where(forward, high, low), alone


def _longest(points: Array) -> float:
    """mm: the farthest that two of the points (k, 3) are apart."""
    starts = range(0, len(points), ROWS)
    return float(max(cdist(points[i : i + ROWS], points).max() for i in starts))
