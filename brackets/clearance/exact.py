"""True distance between two faces of solids, or a face and some triangles of a scan, by the solid kernel.

The caller holds the kernel to the interval that the triangles give; see `pairs`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.Extrema import Extrema_ExtFlag_MIN
from OCP.gp import gp_Pnt
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape

from brackets.clearance.places import Array, Rigid


@dataclass(frozen=True, eq=False)
class Exact:
    """mm, and the points on the first and the second shape in the frame the shapes were given in."""

    distance: float
    p: Array
    q: Array


def apart(a: TopoDS_Shape, b: TopoDS_Shape) -> Exact | None:
    """The kernel's distance, or None where it gives up."""
    ask = BRepExtrema_DistShapeShape()
    ask.SetMultiThread(False)
    ask.SetFlag(Extrema_ExtFlag_MIN)
    ask.LoadS1(a)
    ask.LoadS2(b)
    ask.Perform()
    if not ask.IsDone() or ask.NbSolution() == 0:
        return None
    p, q = ask.PointOnShape1(1), ask.PointOnShape2(1)
    return Exact(float(ask.Value()), np.array((p.X(), p.Y(), p.Z())), np.array((q.X(), q.Y(), q.Z())))


def stood(face: TopoDS_Face, place: Rigid) -> TopoDS_Shape:
    """The face where its body stands."""
    return face.Moved(place.location)


def flat(corners: Array) -> TopoDS_Face:
    """One triangle (3, 3) float as a face."""
    round_it = BRepBuilderAPI_MakePolygon(*(gp_Pnt(*(float(v) for v in xyz)) for xyz in corners), True)
    return BRepBuilderAPI_MakeFace(round_it.Wire(), True).Face()
