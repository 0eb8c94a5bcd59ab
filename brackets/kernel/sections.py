"""Closed triangles cut square to an axis: sections, and the outline that a slab of them throws along the axis.

mm. Points of a section are (u, v) in a frame that looks against the axis: u x v is the axis.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from manifold3d import CrossSection, Error, Manifold, Mesh64, OpType
from numpy.typing import NDArray

Points = NDArray[np.float64]
Triples = NDArray[np.int64]

LEVEL = 1e-6
"""mm within which a triangle lies in the plane of a cut."""
SHIFT = 0.01
"""mm by which a cut that lies in a flat face is shifted: finer than anybody cuts foam."""


@dataclass(frozen=True, eq=False)
class SlicedBody:
    """A closed body in the frame of its sections: x is u, y is v, z runs along the axis of the cuts."""

    solid: Manifold

    @cached_property
    def ends(self) -> tuple[float, float]:
        """From and to along the axis, mm."""
        box = self.solid.bounding_box()
        return float(box[2]), float(box[5])

    @cached_property
    def flats(self) -> Points:
        """(k,) mm, rising: the levels of the triangles that lie square to the axis."""
        mesh = self.solid.to_mesh64()
        heights = np.asarray(mesh.vert_properties)[:, 2][np.asarray(mesh.tri_verts)]
        return np.unique(heights[np.ptp(heights, axis=1) <= LEVEL].mean(axis=1))

    def in_a_flat(self, at: float) -> bool:
        """Whether a cut at that level would lie in a flat face."""
        place = int(np.searchsorted(self.flats, at))
        near = self.flats[max(0, place - 1) : place + 1]
        return bool((np.abs(near - at) <= LEVEL).any())

    def section(self, at: float) -> CrossSection:
        """The section at a level; in a flat face the larger of those SHIFT above and below."""
        if not self.in_a_flat(at):
            return self.solid.slice(at)
        return max((self.solid.slice(at + by) for by in (SHIFT, -SHIFT)), key=lambda cut: cut.area())

    def shadows(self, levels: Sequence[float]) -> list[CrossSection]:
        """Between each two neighbours of the rising `levels`, the outline of all that lies there, seen along the
        axis."""
        cuts = [CrossSection() if self.in_a_flat(at) else self.solid.slice(at) for at in levels]
        return [
            joined([slab.project(), below, above])
            for slab, below, above in zip(_slabs(self.solid, levels), cuts, cuts[1:], strict=False)
        ]


def sliced(corners: Points, triples: Triples, frame: Points) -> SlicedBody | None:
    """A body from closed triangles; None where they are no solid.

    corners: (n, 3) mm; triples: (m, 3) int, anticlockwise seen from outside; frame: (3, 3), the directions u, v and
    of the axis as its rows.
    """
    made = Manifold(Mesh64(corners @ frame.T, triples.astype(np.uint64)))
    if made.status() != Error.NoError or made.is_empty() or made.volume() <= 0:
        return None
    return SlicedBody(made)


def _slabs(solid: Manifold, levels: Sequence[float]) -> list[Manifold]:
    """What of a solid lies between each two levels: halved again and again, so that each triangle is cut a few
    times only."""
    if len(levels) < 3:
        above = solid.trim_by_plane((0.0, 0.0, 1.0), levels[0])
        return [above.trim_by_plane((0.0, 0.0, -1.0), -levels[1])]
    half = len(levels) // 2
    upper, lower = solid.split_by_plane((0.0, 0.0, 1.0), levels[half])
    return [*_slabs(lower, levels[: half + 1]), *_slabs(upper, levels[half:])]


def joined(regions: list[CrossSection]) -> CrossSection:
    """All of them as one."""
    return CrossSection.batch_boolean(regions, OpType.Add)
