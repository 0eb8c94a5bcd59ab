"""The centre line of a round piece of a part, from its start to its end. mm.

A bend is followed by chords, so that a bent tube is looked at along its bends too, as a straight beam there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.hold.check import Array
from brackets.model import bent_tube
from brackets.model.tube import BentTube, Tube, Turned

BEND_STEPS = 6
"""Chords of a bend along which its moments are looked at."""


@dataclass(frozen=True, eq=False)
class Spine:
    """The centre line of a tube as corners (n, 3) mm, the mm along it of each."""

    at: Array
    far: Array

    def station(self, point: Array) -> float:
        """mm along it of the place nearest to a point."""
        best, found = np.inf, 0.0
        for i in range(len(self.at) - 1):
            a, b = self.at[i], self.at[i + 1]
            way = b - a
            part = float(np.clip((point - a) @ way / (way @ way), 0.0, 1.0))
            off = float(np.linalg.norm(point - a - part * way))
            if off < best - 1e-9:
                best, found = off, float(self.far[i] + part * (self.far[i + 1] - self.far[i]))
        return found

    def point(self, far: float) -> Array:
        """The point at mm along it, (3,)."""
        return np.array([np.interp(far, self.far, self.at[:, i]) for i in range(3)])

    def way(self, far: float) -> Array:
        """Direction there, (3,)."""
        i = int(np.clip(np.searchsorted(self.far, far, side="right") - 1, 0, len(self.far) - 2))
        run = self.at[i + 1] - self.at[i]
        return np.asarray(run / np.linalg.norm(run))


def spine_of(piece: Tube | BentTube | Turned) -> Spine:
    """The centre line of a round piece from its start to its end."""
    if isinstance(piece, BentTube):
        corners: list[Any] = []
        runs = bent_tube.straights(piece)
        for i, run in enumerate(runs):
            here = piece.place @ run.place
            start, end = here.at, here.point((0.0, 0.0, run.length))
            if corners:
                corners += _bend(corners[-1], start, runs[i - 1].place, run.place, piece)
            corners += [start, end]
    else:
        corners = [piece.place.at, piece.place.point((0.0, 0.0, piece.length))]
    at = np.array(corners)
    keep = np.r_[True, np.linalg.norm(np.diff(at, axis=0), axis=1) > 1e-6]
    at = at[keep]
    far = np.r_[0.0, np.cumsum(np.linalg.norm(np.diff(at, axis=0), axis=1))]
    return Spine(at, far)


def _bend(a: Any, b: Any, before: Any, after: Any, piece: BentTube) -> Iterator[Any]:
    """Points of an arc from tangent mark to tangent mark."""
    p, q = np.array(a), np.array(b)
    first = np.array(piece.place.direction(before.axis))
    last = np.array(piece.place.direction(after.axis))
    turn = np.arccos(np.clip(first @ last, -1, 1))
    inward = last - (last @ first) * first
    inward = inward / np.linalg.norm(inward)
    for i in range(1, BEND_STEPS):
        angle = turn * i / BEND_STEPS
        yield tuple(p + piece.bend_r * (np.sin(angle) * first + (1 - np.cos(angle)) * inward))
    assert np.linalg.norm(p + piece.bend_r * (np.sin(turn) * first + (1 - np.cos(turn)) * inward) - q) < 1e-3
