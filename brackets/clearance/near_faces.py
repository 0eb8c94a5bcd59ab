"""The faces of two bodies that may come near each other on the legs of a path, with finer triangles.

Finer triangles of a whole body cost as much as all that is asked of them on a path, where a few faces decide. mm.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brackets.clearance.bodies import Body, finer
from brackets.clearance.cores import boxes
from brackets.clearance.legs import Leg, StraightLeg, starts
from brackets.clearance.pairs import ROUNDING, box_gaps
from brackets.clearance.places import Array, Bools

FEW = 0.5
"""Of the faces of a body: where more of them are near, the whole body is made finer, once for all its pairs."""


def finer_near(
    moving: Body, fixed: Body, drive: Sequence[Leg], within: float
) -> tuple[Body | None, Body | None]:
    """Of either body, those faces that come within `within` mm of the other on the way, with finer triangles; None
    where these are most of its faces, or a leg turns."""
    if not all(isinstance(leg, StraightLeg) for leg in drive):
        return None, None
    ours, theirs = near_faces(moving, fixed, drive, within)
    return _finer(moving, ours), _finer(fixed, theirs)


def near_faces(moving: Body, fixed: Body, drive: Sequence[Leg], within: float) -> tuple[Bools, Bools]:
    """(f,) and (g,) bool: the faces of either body that may come within `within` mm of the other on straight legs.

    The others are further than that from it all the way, so that no distance up to `within` is one of theirs."""
    low, high = _swept_boxes(moving, drive)
    other_low, other_high = boxes(fixed.core.mesh, fixed.corners)
    ours, theirs = moving.core.mesh.bounds, fixed.core.mesh.bounds
    reach = ours[:, None] + theirs[None, :] + within + ROUNDING
    near = box_gaps(low, high, other_low, other_high) <= reach
    return np.any(near, axis=1), np.any(near, axis=0)


def _swept_boxes(moving: Body, drive: Sequence[Leg]) -> tuple[Array, Array]:
    """Low and high corner of a box round all that each face passes, (f, 3) float mm, bay axes."""
    ends = [begin.move for begin in starts(drive)]
    ends.append(drive[-1].place(drive[-1].length).move + ends[-1])
    low, high = boxes(moving.core.mesh, moving.corners)
    return low + np.min(ends, axis=0), high + np.max(ends, axis=0)


def _finer(of: Body, near: Bools) -> Body | None:
    count = np.count_nonzero(near)
    if of.core.shape is None or not 0 < count <= FEW * len(near):
        return None
    return finer(of, np.flatnonzero(near).tolist())
