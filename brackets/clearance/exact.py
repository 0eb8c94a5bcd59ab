"""True distance between two faces of solids, or a face and some triangles of a scan, by the solid kernel.

Two faces are taken apart: the faces themselves, a face and an edge, a face and a corner by the kernel; two edges
by `curves`, where the kernel is slow. The caller holds the outcome to the interval that the triangles give.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepExtrema import BRepExtrema_DistanceSS
from OCP.Extrema import Extrema_ExtAlgo_Grad, Extrema_ExtFlag_MIN
from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_EDGE, TopAbs_VERTEX
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Vertex
from OCP.TopTools import TopTools_IndexedMapOfShape

from brackets.clearance import curves
from brackets.clearance.places import Array, Rigid

FINE = 1e-7  # mm: the kernel's own
ROOM = 1e-4  # mm: parts of a face this much further away than the best so far are still looked at
EVERYWHERE = Bnd_Box()
EVERYWHERE.SetWhole()


@dataclass(frozen=True, eq=False)
class Exact:
    """mm, and the points on the first and the second shape in the first one's axes."""

    distance: float
    p: Array
    q: Array


@dataclass(frozen=True, eq=False)
class Parts:
    """A face with its edges and corners; box (2, 3) float holds it, in its own axes."""

    face: TopoDS_Face
    box: Array

    @cached_property
    def edges(self) -> tuple[curves.Curve, ...]:
        found = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(self.face, TopAbs_EDGE, found)
        each = (TopoDS.Edge_s(found.FindKey(i)) for i in range(1, found.Extent() + 1))
        return tuple(curves.curve(edge) for edge in each if not BRep_Tool.Degenerated_s(edge))

    @cached_property
    def corners(self) -> tuple[tuple[TopoDS_Vertex, Array], ...]:
        found = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(self.face, TopAbs_VERTEX, found)
        each = (TopoDS.Vertex_s(found.FindKey(i)) for i in range(1, found.Extent() + 1))
        return tuple((vertex, np.array(BRep_Tool.Pnt_s(vertex).Coord())) for vertex in each)


def apart(a: Parts, b: Parts, across: Rigid, limit: float) -> Exact | None:
    """The distance of two faces, b's body standing at `across` in a's axes; None where none is found.

    limit: mm, known to be no less than the distance; what is surely further is not looked at.
    """
    there, back = across.location, across.inverse
    best: Exact | None = None
    for found in _by_edges(a, b, across, limit):
        best = _nearer(best, found)
    for parts, face, way, flipped in ((a, b, back, False), (b, a, across, True)):
        stood = None
        for shape, points, off in _pieces(parts):
            reach = limit if best is None else min(limit, best.distance)
            if _box_gap(way.points(points), face.box) - off > reach + ROOM:
                continue
            if stood is None:
                stood = b.face.Moved(there)
            one, other = (a.face, shape.Moved(there)) if flipped else (shape, stood)
            best = _nearer(best, _kernel(one, other, reach + 10 * ROOM))
    reach = limit if best is None else min(limit, best.distance)
    return _nearer(best, _kernel(a.face, b.face.Moved(there), reach + 10 * ROOM))


def _nearer(one: Exact | None, other: Exact | None) -> Exact | None:
    if one is None or other is None:
        return one or other
    return one if one.distance <= other.distance else other


def _by_edges(a: Parts, b: Parts, across: Rigid, limit: float) -> Iterator[Exact]:
    near_b = [one for one in b.edges if _box_gap(across.points(one.points), a.box) - one.off <= limit + ROOM]
    back = across.inverse
    for ours in a.edges if near_b else ():
        if _box_gap(back.points(ours.points), b.box) - ours.off > limit + ROOM:
            continue
        for theirs in near_b:
            found = curves.apart(ours, theirs, across, limit + ROOM)
            if found is not None:
                limit = min(limit, found[0])
                yield Exact(*found)


def _pieces(parts: Parts) -> Iterator[tuple[TopoDS_Shape, Array, float]]:
    """Each edge and corner with points on it and how far it may be from their box, mm."""
    for one in parts.edges:
        yield one.edge, one.points, one.off
    for vertex, spot in parts.corners:
        yield vertex, spot.reshape(1, 3), FINE


def _box_gap(points: Array, box: Array) -> float:
    clear = np.maximum(np.maximum(points.min(axis=0) - box[1], box[0] - points.max(axis=0)), 0.0)
    return float(np.linalg.norm(clear))


def _kernel(a: TopoDS_Shape, b: TopoDS_Shape, limit: float) -> Exact | None:
    """The kernel on two pieces alone, without their borders."""
    ask = BRepExtrema_DistanceSS(
        a, b, EVERYWHERE, EVERYWHERE, limit, FINE, Extrema_ExtFlag_MIN, Extrema_ExtAlgo_Grad
    )
    if not ask.IsDone() or ask.Seq1Value().Length() == 0:
        return None
    p, q = (seq.First().Point().Coord() for seq in (ask.Seq1Value(), ask.Seq2Value()))
    return Exact(float(ask.DistValue()), np.array(p), np.array(q))


def bends_one_way(face: TopoDS_Face) -> bool:
    """True for a face that takes few triangles however finely it is cut: flat, cylinder or cone."""
    return BRepAdaptor_Surface(face, False).GetType() in (GeomAbs_Plane, GeomAbs_Cylinder, GeomAbs_Cone)


def flat(corners: Array) -> Parts:
    """One triangle (3, 3) float as a face."""
    round_it = BRepBuilderAPI_MakePolygon(*(gp_Pnt(*(float(v) for v in xyz)) for xyz in corners), True)
    face = BRepBuilderAPI_MakeFace(round_it.Wire(), True).Face()
    return Parts(face, np.array((corners.min(axis=0), corners.max(axis=0))))


def parts(face: TopoDS_Face, low: Array, high: Array, bound: float) -> Parts:
    """A face of a body, with the box its triangles fill and how far it may be out of that."""
    return Parts(face, np.array((low - bound, high + bound)))
