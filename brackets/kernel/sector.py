"""The solid of a bend: a region of the flat strip rolled round the bend's axis.

In the bend's frame: x along the bend, y away from the parent, z the parent's. The inner and outer faces are exact
cylinders; edges along or across the strip become lines, circles and flat faces, every other edge becomes a face
ruled from the low to the high face (Bezier curves), square through the plate.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

import numpy as np
from cadquery.occ_impl.shapes import Solid
from numpy.typing import NDArray
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeVertex
from OCP.Geom import (
    Geom_BezierCurve,
    Geom_BezierSurface,
    Geom_Circle,
    Geom_CylindricalSurface,
    Geom_Plane,
    Geom_Surface,
)
from OCP.Geom2d import Geom2d_BezierCurve, Geom2d_BSplineCurve, Geom2d_Curve, Geom2d_Line
from OCP.gp import gp_Ax2, gp_Ax3, gp_Dir, gp_Dir2d, gp_Pnt, gp_Pnt2d
from OCP.TColgp import TColgp_Array1OfPnt, TColgp_Array1OfPnt2d, TColgp_Array2OfPnt
from OCP.TColStd import TColStd_Array1OfInteger, TColStd_Array1OfReal
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire

from brackets.geometry.curve import turned_back
from brackets.geometry.regions import Region
from brackets.geometry.segments import Line, Point, Segment
from brackets.model.fold_tree import Bend

DEGREE = 14
"""Of the polynomial that stands for a rolled edge: good to 1e-11 mm over a step of 45 degrees."""

Array = NDArray[np.float64]


def rise(u: float, t: float) -> Geom2d_BSplineCurve:
    """The line v = 0 to 1 at u, run through in t: the edge up through the plate is measured in mm."""
    poles = TColgp_Array1OfPnt2d(1, 2)
    poles.SetValue(1, gp_Pnt2d(u, 0.0))
    poles.SetValue(2, gp_Pnt2d(u, 1.0))
    knots, often = TColStd_Array1OfReal(1, 2), TColStd_Array1OfInteger(1, 2)
    knots.SetValue(1, 0.0)
    knots.SetValue(2, t)
    often.SetValue(1, 2)
    often.SetValue(2, 2)
    return Geom2d_BSplineCurve(poles, knots, often, 1)


@cache
def fit() -> tuple[Array, Array]:
    """Where along an edge to look, 0 to 1, and what turns the places found there into Bezier poles."""
    steps = (1 - np.cos(np.pi * np.arange(DEGREE + 1) / DEGREE)) / 2
    bernstein = np.array(
        [[math.comb(DEGREE, i) * s**i * (1 - s) ** (DEGREE - i) for i in range(DEGREE + 1)] for s in steps]
    )
    return steps, np.linalg.inv(bernstein)


def points(poles: Array) -> TColgp_Array1OfPnt:
    """The poles of a curve."""
    array = TColgp_Array1OfPnt(1, len(poles))
    for i, (x, y, z) in enumerate(poles.tolist(), 1):
        array.SetValue(i, gp_Pnt(x, y, z))
    return array


def points_flat(poles: Array) -> TColgp_Array1OfPnt2d:
    """The poles of a curve on a surface."""
    array = TColgp_Array1OfPnt2d(1, len(poles))
    for i, (u, v) in enumerate(poles.tolist(), 1):
        array.SetValue(i, gp_Pnt2d(u, v))
    return array


def grid(low: Array, high: Array) -> TColgp_Array2OfPnt:
    """The poles of a face ruled from the low curve to the high one."""
    array = TColgp_Array2OfPnt(1, len(low), 1, 2)
    for column, poles in ((1, low), (2, high)):
        for i, (x, y, z) in enumerate(poles.tolist(), 1):
            array.SetValue(i, column, gp_Pnt(x, y, z))
    return array


ARC_STEP = math.pi / 4
"""Longest piece of a slanted or round edge, radians of its own arc or of the bend."""

STRAIGHT = 1e-9
"""mm: an edge that strays less than this runs along or across the strip: rounding of coordinates up to 1 m."""

TOLERANCE = 1e-7
"""mm: of edges on their surfaces, the kernel's own."""

HERE = TopLoc_Location()


def sector(bend: Bend, region: Region) -> Solid:
    """The solid of one region of the bend's strip, its cut ends towards both walls included."""
    roll = _Roll(bend)
    loops = [region.outer.segments, *(turned_back(hole.segments) for hole in region.holes)]
    sides = [[_Side.of(roll, part) for edge in loop for part in roll.parts(edge)] for loop in loops]
    build = BRep_Builder()
    shell, solid = TopoDS_Shell(), TopoDS_Solid()
    build.MakeShell(shell)
    for high in (False, True):
        build.Add(shell, roll.cylinder(sides, high=high))
    for loop in sides:
        for side in loop:
            build.Add(shell, side.face)
    shell.Closed(True)
    build.MakeSolid(solid)
    build.Add(solid, shell)
    return Solid(solid)


@dataclass(frozen=True)
class _Joint:
    """A corner of the region: its vertices on the low and the high face and the edge up from one to the other."""

    low: TopoDS_Vertex
    high: TopoDS_Vertex
    up: TopoDS_Edge


@dataclass(frozen=True)
class _Side:
    """An edge of the region: its copies on the low and high faces, both from a to b, and the face between."""

    low: TopoDS_Edge
    high: TopoDS_Edge
    face: TopoDS_Face

    @classmethod
    def of(cls, roll: _Roll, edge: Segment) -> _Side:
        a, b = roll.joint(edge.a), roll.joint(edge.b)
        if isinstance(edge, Line) and abs(edge.b[0] - edge.a[0]) <= STRAIGHT:
            low, high, surface = _across(roll, edge, a, b)
        elif isinstance(edge, Line) and abs(edge.b[1] - edge.a[1]) <= STRAIGHT:
            low, high, surface = _along(roll, edge, a, b)
        else:
            low, high, surface = _ruled(roll, edge, a, b)
        around = _wire((low, b.up, _back(high), _back(a.up)))
        return cls(low, high, BRepBuilderAPI_MakeFace(surface, around, False).Face())


class _Roll:
    """The map from the flat strip to the bend; remembers the corners it has made."""

    def __init__(self, bend: Bend) -> None:
        self.bend = bend
        self.up = bend.angle > 0
        self.sense = 1.0 if self.up else -1.0
        r, big = bend.inside_radius, bend.inside_radius + bend.t
        self.low, self.high = (big, r) if self.up else (r, big)
        self.joints: dict[Point, _Joint] = {}
        axes = gp_Ax3(gp_Pnt(0.0, 0.0, bend.centre), gp_Dir(self.sense, 0.0, 0.0), gp_Dir(0.0, 0.0, -self.sense))
        self.surfaces = {high: Geom_CylindricalSurface(axes, self.radius(high)) for high in (False, True)}

    def radius(self, high: bool) -> float:
        return self.high if high else self.low

    def at(self, p: Point, r: float) -> gp_Pnt:
        turn = p[1] / self.bend.rate
        return gp_Pnt(p[0], r * math.sin(turn), self.bend.centre - self.sense * r * math.cos(turn))

    def uv(self, p: Point) -> gp_Pnt2d:
        """Angle from the parent's tangent line, and height along the cylinder's axis."""
        return gp_Pnt2d(p[1] / self.bend.rate, self.sense * p[0])

    def joint(self, p: Point) -> _Joint:
        if p not in self.joints:
            low, high = (BRepBuilderAPI_MakeVertex(self.at(p, r)).Vertex() for r in (self.low, self.high))
            self.joints[p] = _Joint(low, high, BRepBuilderAPI_MakeEdge(low, high).Edge())
        return self.joints[p]

    def parts(self, edge: Segment) -> tuple[Segment, ...]:
        """An edge in pieces that one polynomial can follow."""
        if isinstance(edge, Line):
            if min(abs(edge.b[0] - edge.a[0]), abs(edge.b[1] - edge.a[1])) <= STRAIGHT:
                return (edge,)
            turn = abs(edge.b[1] - edge.a[1]) / self.bend.rate
        else:
            turn = max(abs(edge.sweep), edge.length / self.bend.rate)
        count = max(1, math.ceil(turn / ARC_STEP))
        return tuple(edge.part(i / count, (i + 1) / count) for i in range(count))

    def pinned(self, edge: TopoDS_Edge, curve: Geom2d_Curve, high: bool) -> TopoDS_Edge:
        """The edge with its curve on the low or high cylinder."""
        BRep_Builder().UpdateEdge(edge, curve, self.surfaces[high], HERE, TOLERANCE)
        return edge

    def cylinder(self, loops: list[list[_Side]], *, high: bool) -> TopoDS_Face:
        """The low or high face. Angle and height run round the other way than x and y where the bend goes up."""
        maker = None
        for loop in loops:
            edges = [side.high if high else side.low for side in loop]
            around = _wire([_back(e) for e in reversed(edges)] if self.up else edges)
            if maker is None:
                maker = BRepBuilderAPI_MakeFace(self.surfaces[high], around, False)
            else:
                maker.Add(around)
        assert maker is not None
        face = maker.Face()
        return face if high is not self.up else _reversed_face(face)


def _reversed_face(face: TopoDS_Face) -> TopoDS_Face:
    return TopoDS.Face(face.Reversed())


def _back(edge: TopoDS_Edge) -> TopoDS_Edge:
    return TopoDS.Edge(edge.Reversed())


def _wire(edges: Iterable[TopoDS_Edge]) -> TopoDS_Wire:
    build, wire = BRep_Builder(), TopoDS_Wire()
    build.MakeWire(wire)
    for edge in edges:
        build.Add(wire, edge)
    wire.Closed(True)
    return wire


Made = tuple[TopoDS_Edge, TopoDS_Edge, Geom_Surface]


def _across(roll: _Roll, edge: Line, a: _Joint, b: _Joint) -> Made:
    """An edge across the strip: circles about the bend's axis, and the flat face between them."""
    way = 1.0 if edge.b[1] > edge.a[1] else -1.0
    x, start = edge.a[0], edge.a[1] / roll.bend.rate
    run = abs(edge.b[1] / roll.bend.rate - start)
    axes = gp_Ax2(
        gp_Pnt(x, 0.0, roll.bend.centre),
        gp_Dir(way * roll.sense, 0.0, 0.0),
        gp_Dir(0.0, math.sin(start), -roll.sense * math.cos(start)),
    )
    made = []
    for high, first, last in ((False, a.low, b.low), (True, a.high, b.high)):
        curve = BRepBuilderAPI_MakeEdge(Geom_Circle(axes, roll.radius(high)), first, last, 0.0, run).Edge()
        flat = Geom2d_Line(gp_Pnt2d(start, roll.sense * x), gp_Dir2d(way, 0.0))
        made.append(roll.pinned(curve, flat, high))
    plane = Geom_Plane(roll.at(edge.a, roll.low), gp_Dir(way, 0.0, 0.0))
    return made[0], made[1], plane


def _along(roll: _Roll, edge: Line, a: _Joint, b: _Joint) -> Made:
    """An edge along the strip: lines, and the flat face between them."""
    way = 1.0 if edge.b[0] > edge.a[0] else -1.0
    made = []
    for high, first, last in ((False, a.low, b.low), (True, a.high, b.high)):
        flat = Geom2d_Line(roll.uv(edge.a), gp_Dir2d(0.0, way * roll.sense))
        made.append(roll.pinned(BRepBuilderAPI_MakeEdge(first, last).Edge(), flat, high))
    turn = edge.a[1] / roll.bend.rate
    out = gp_Dir(0.0, -way * math.cos(turn), -way * roll.sense * math.sin(turn))
    return made[0], made[1], Geom_Plane(roll.at(edge.a, roll.low), out)


def _ruled(roll: _Roll, edge: Segment, a: _Joint, b: _Joint) -> Made:
    """Any other edge: one polynomial for each cylinder, and the face ruled from one to the other."""
    steps, solve = fit()
    on_strip = np.array([edge.point(float(s)) for s in steps])
    turn = on_strip[:, 1] / roll.bend.rate
    flat = solve @ np.column_stack([turn, roll.sense * on_strip[:, 0]])
    poles = []
    for r in (roll.low, roll.high):
        z = roll.bend.centre - roll.sense * r * np.cos(turn)
        poles.append(solve @ np.column_stack([on_strip[:, 0], r * np.sin(turn), z]))
    made = []
    for high, first, last in ((False, a.low, b.low), (True, a.high, b.high)):
        curve = Geom_BezierCurve(points(poles[high]))
        solid_edge = BRepBuilderAPI_MakeEdge(curve, first, last, 0.0, 1.0).Edge()
        made.append(roll.pinned(solid_edge, Geom2d_BezierCurve(points_flat(flat)), high))
    surface = Geom_BezierSurface(grid(poles[0], poles[1]))
    build = BRep_Builder()
    build.UpdateEdge(made[0], Geom2d_Line(gp_Pnt2d(0.0, 0.0), gp_Dir2d(1.0, 0.0)), surface, HERE, TOLERANCE)
    build.UpdateEdge(made[1], Geom2d_Line(gp_Pnt2d(0.0, 1.0), gp_Dir2d(1.0, 0.0)), surface, HERE, TOLERANCE)
    for joint, u in ((a, 0.0), (b, 1.0)):
        build.UpdateEdge(joint.up, rise(u, roll.bend.t), surface, HERE, TOLERANCE)
    return made[0], made[1], surface
