"""Planes that part a tool made of cylinders in a line from bodies: where one does, no triangle need be asked.

The planes lie outside all of a body, along its largest faces, along the edges between them and square to the axes.
A tool that keeps off such a plane keeps off the body for certain; of one that does not nothing is said. mm.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np

from brackets.clearance.bodies import Body
from brackets.clearance.places import Array

MOST = 24
"""Planes along faces of a body: past its largest, hardly any parts what the others do not."""

EDGED = 6
"""Largest faces of a body between any two of which a plane lies."""

SAME = 1e3
"""Steps of a unit normal's components within which two faces look the same way."""

ROUNDING = 1e-6
"""mm that a tool must be off a plane for it to be certain: more than arithmetic takes."""

Cylinder = tuple[float, float, float]
"""From, to along the tool's axis and outside diameter, mm."""


class PartingPlanes:
    """The planes of some bodies where they stand, in their order."""

    def __init__(self, bodies: Sequence[Body]) -> None:
        each = [_planes(one) for one in bodies]
        self.normals = np.vstack([normals for normals, _ in each])
        self.offsets = np.concatenate([offsets for _, offsets in each])
        self.starts = np.cumsum([0, *(len(offsets) for _, offsets in each)])[:-1]

    def apart(self, cylinders: Sequence[Cylinder], tip: Array, axes: Array) -> Array:
        """(n, bodies) mm: how far the tool is from each body at least, with its origin at `tip` (3,) and its axis,
        out of the work, along each of `axes` (n, 3), unit vectors; what is less than nothing proves nothing."""
        low, high, od = (np.array(sizes)[:, None, None] for sizes in zip(*cylinders, strict=True))
        rise = axes @ self.normals.T
        across = np.sqrt(np.maximum(0.0, 1.0 - rise * rise))
        lowest = (np.minimum(low * rise, high * rise) - od / 2 * across).min(axis=0)
        found = lowest + (self.normals @ tip - self.offsets)
        return np.asarray(np.maximum.reduceat(found, self.starts, axis=1))


def _planes(one: Body) -> tuple[Array, Array]:
    """Unit normals (k, 3) and how far along each the true body reaches at most, (k,) mm."""
    corners = one.corners
    a, b, c = (corners[one.triples[:, i]] for i in range(3))
    across = np.cross(b - a, c - a)
    area = np.linalg.norm(across, axis=1)
    normals, area = across[area > 0] / area[area > 0, None], area[area > 0]
    alike = (normals * SAME).round().astype(np.int64)
    _, first, of = np.unique(alike, axis=0, return_index=True, return_inverse=True)
    largest = np.argsort(-np.bincount(of.reshape(-1), area), kind="stable")[:MOST]
    chosen = normals[first[largest]]
    between = np.array([a + b for a, b in itertools.combinations(chosen[:EDGED], 2)]).reshape(-1, 3)
    size = np.linalg.norm(between, axis=1)
    chosen = np.vstack((chosen, between[size > 0.1] / size[size > 0.1, None], np.eye(3), -np.eye(3)))
    return chosen, (corners @ chosen.T).max(axis=0) + one.bound
