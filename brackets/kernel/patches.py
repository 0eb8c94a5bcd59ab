"""The triangles the kernel keeps on a face, as arrays: mm, as the face stands."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepLib import BRepLib_ToolTriangulatedShape
from OCP.gp import gp_Dir, gp_Pnt
from OCP.Poly import Poly_Triangle, Poly_Triangulation
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Face

_forked = False
"""Whether this process was forked: then the kernel's threads are not there, and work handed to them never ends."""


def in_parallel() -> bool:
    """Whether the kernel may cut up the faces of a solid on all processors.

    The triangles are the same, bit by bit, as on one (measured on every shipped recipe).
    """
    return not _forked


def _note_fork() -> None:
    global _forked
    _forked = True


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_note_fork)

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Patch:
    """`corners` (n, 3) float; `triples` (m, 3) int rows of them, anticlockwise seen from outside the metal."""

    kept: Poly_Triangulation
    place: TopLoc_Location
    corners: Floats
    triples: Whole

    def normals(self, face: TopoDS_Face) -> Floats:
        """(n, 3) float: the surface's own at each corner, to either side."""
        BRepLib_ToolTriangulatedShape.ComputeNormals_s(face, self.kept)
        found = rows_of(gp_Dir.Coord, map(self.kept.Normal, range(1, len(self.corners) + 1)), len(self.corners), 3)
        return found if self.place.IsIdentity() else found @ _motion(self.place)[:, :3].T


def patch(face: TopoDS_Face) -> Patch | None:
    """What a face was cut up into; None where it was not."""
    place = TopLoc_Location()
    kept = BRep_Tool.Triangulation_s(face, place)
    if kept is None or kept.NbTriangles() == 0:
        return None
    count = kept.NbNodes()
    corners, triples = rows_of(gp_Pnt.Coord, map(kept.Node, range(1, count + 1)), count, 3), _triples(kept)
    if not place.IsIdentity():
        rows = _motion(place)
        corners = corners @ rows[:, :3].T + rows[:, 3]
    if face.Orientation() == TopAbs_REVERSED:
        triples = triples[:, ::-1]
    return Patch(kept, place, corners, triples)


_last: tuple[TopLoc_Location, Floats] | None = None
"""What `_motion` gave last: all faces of a solid stand at one place."""


def _motion(place: TopLoc_Location) -> Floats:
    global _last
    known = _last
    if known is None or not known[0].IsEqual(place):
        motion = place.Transformation()
        rows = np.array([[motion.Value(i, j) for j in range(1, 5)] for i in range(1, 4)])
        known = _last = (place, rows)
    return known[1]


def _triples(kept: Poly_Triangulation) -> Whole:
    each = map(Poly_Triangle.Get, map(kept.Triangle, range(1, kept.NbTriangles() + 1)))
    return np.fromiter(chain.from_iterable(each), np.int64, 3 * kept.NbTriangles()).reshape(-1, 3) - 1


def rows_of(
    figures: Callable[[object], Iterable[float]], things: Iterable[object], count: int, wide: int
) -> Floats:
    """(count, wide) float: the `figures` of each of the `count` things.

    Figure by figure into one array: twice as quick as by way of a list (measured).
    """
    each = map(figures, things)
    return np.fromiter(chain.from_iterable(each), np.float64, wide * count).reshape(-1, wide)
