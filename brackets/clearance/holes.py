"""The holes of a scan: directed edges without an opposite one, sorted into closed loops.

As many such edges enter a corner as leave it, whatever else is wrong with the scan, so that they always make closed
loops. mm.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from brackets.clearance.places import Array, Ints


@dataclass(frozen=True, eq=False)
class Hole:
    """A loop of corner numbers (k,), directed as in the triangles round it; the middle (3,) of the fan that closes
    it, the fan's area mm2, and the hole's size: diagonal of its box, mm."""

    corners: Ints
    middle: Array
    area: float
    size: float
    length: float

    @property
    def width(self) -> float:
        """mm: the hydraulic diameter, 4 area / length: that of a round hole, twice the width of a crack."""
        return 4 * self.area / self.length if self.length > 0 else 0.0


def holes(corners: Array, start: Ints, end: Ints) -> list[Hole]:
    """The loops of directed edges from `start` to `end`, corner numbers (k,) each."""
    return [_hole(corners, np.array(loop)) for loop in _loops(corners, start, end)]


def _hole(corners: Array, ring: Ints) -> Hole:
    at = corners[ring]
    ahead = np.roll(at, -1, axis=0)
    step = np.linalg.norm(ahead - at, axis=1)
    whole = float(step.sum())
    middle = ((at + ahead) / 2 * step[:, None]).sum(axis=0) / whole if whole > 0 else at.mean(axis=0)
    area = float(np.linalg.norm(np.cross(at - middle, ahead - middle), axis=1).sum() / 2)
    size = float(np.linalg.norm(at.max(axis=0) - at.min(axis=0)))
    return Hole(ring, middle, area, size, whole)


def _loops(corners: Array, start: Ints, end: Ints) -> list[list[int]]:
    """Loops found by following the edges; a loop ends where a corner comes again. At a corner with several edges
    on, the one that turns back most is taken: it belongs to the same hole."""
    ways: dict[int, list[int]] = defaultdict(list)
    for u, v in zip(start.tolist(), end.tolist(), strict=True):
        ways[u].append(v)
    found: list[list[int]] = []
    for first in start.tolist():
        while ways[first]:
            path, seen = [first], {first: 0}
            while path and ways[path[-1]]:
                here = path[-1]
                on = ways[here]
                there = on.pop(_back(corners, path, on) if len(on) > 1 and len(path) > 1 else -1)
                if there in seen:
                    at = seen[there]
                    found.append(path[at:])
                    for gone in path[at + 1 :]:
                        del seen[gone]
                    del path[at + 1 :]
                else:
                    seen[there] = len(path)
                    path.append(there)
    return found


def _back(corners: Array, path: list[int], on: list[int]) -> int:
    here = corners[path[-1]]
    came = corners[path[-2]] - here
    away = corners[on] - here
    lengths = np.linalg.norm(away, axis=1) * np.linalg.norm(came)
    return int((away @ came / np.maximum(lengths, 1e-300)).argmax())
