"""Outlines as edges, wires and faces of the kernel; in the plane z = 0."""

from __future__ import annotations

import math
from collections.abc import Iterable

from cadquery import Face, Solid
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Wire

from brackets.errors import KernelFailed
from brackets.outline import Arc, Line, Outline, Segment


def wire(outline: Outline) -> TopoDS_Wire:
    """The outline as a closed wire, anticlockwise seen from +z; a full circle is one edge."""
    circle = full_circle(outline)
    edges = [circle] if circle is not None else [edge(segment) for segment in outline.segments]
    maker = BRepBuilderAPI_MakeWire()
    for one in edges:
        maker.Add(one)
    if not maker.IsDone() or not maker.Wire().Closed():
        raise KernelFailed("outline", "wire", f"{len(edges)} edges", f"not closed ({maker.Error().name})")
    return maker.Wire()


def full_circle(outline: Outline) -> TopoDS_Edge | None:
    """The edge of an outline that is one whole circle, else None."""
    arcs = outline.segments
    first = arcs[0]
    if not isinstance(first, Arc) or not all(
        isinstance(a, Arc) and a.centre == first.centre and a.ccw for a in arcs
    ):
        return None
    if not math.isclose(sum(a.sweep for a in arcs if isinstance(a, Arc)), math.tau):
        return None
    axes = gp_Ax2(_at(first.centre), gp_Dir(0.0, 0.0, 1.0))
    edge: TopoDS_Edge = BRepBuilderAPI_MakeEdge(gp_Circ(axes, first.radius)).Edge()
    return edge


def edge(segment: Segment) -> TopoDS_Edge:
    """A straight or circular edge; an arc goes through its middle, so that its ends stay where they are."""
    if isinstance(segment, Line):
        return BRepBuilderAPI_MakeEdge(_at(segment.a), _at(segment.b)).Edge()
    arc = GC_MakeArcOfCircle(_at(segment.a), _at(segment.point(0.5)), _at(segment.b))
    return BRepBuilderAPI_MakeEdge(arc.Value()).Edge()


def face(outline: Outline, openings: Iterable[Outline] = ()) -> Face:
    """The flat face inside the outline and outside the openings, its normal +z."""
    maker = BRepBuilderAPI_MakeFace(wire(outline), True)
    for opening in openings:
        maker.Add(TopoDS.Wire_s(wire(opening).Reversed()))
    if not maker.IsDone():
        raise KernelFailed("outline", "face", f"{len(outline.segments)} edges", maker.Error().name)
    return Face(maker.Face())


def slab(outline: Outline, openings: Iterable[Outline], t: float) -> Solid:
    """The outline, less its openings, from z = 0 to z = t."""
    return Solid(BRepPrimAPI_MakePrism(face(outline, openings).wrapped, gp_Vec(0.0, 0.0, t)).Shape())


def _at(p: tuple[float, float]) -> gp_Pnt:
    return gp_Pnt(p[0], p[1], 0.0)
