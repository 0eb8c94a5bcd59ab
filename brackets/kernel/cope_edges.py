"""Coped edges drawn along the end curve itself, where the kernel's own are not good enough.

The kernel finds where a branch meets the main tube by stepping; where the two surfaces touch (a branch flush with
the main tube's side) or the half-intersection rule begins, its steps go astray by more than the volume's check
allows. The curve is known in closed form, so it is put there.

What needs it, measured: of 300 random saddles 5 are off by more than 1e-9 of their volume without it, whatever the
seam, and are refused; all 5 are flush with the main tube's side (such as radius 27.8546 on 42.8365, 14.9819 off
centre, at 90 degrees). With it none is, and the worst is off by 4.3e-10; it costs a seventh of the time.
"""

from __future__ import annotations

import math

import numpy as np
from cadquery.occ_impl.geom import Vector
from cadquery.occ_impl.shapes import Solid
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_BSplineCurve, GeomAbs_Cylinder
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Vertex
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape

from brackets.core.errors import KernelFailed
from brackets.core.place import Place
from brackets.kernel.trim import TOLERANCE, Points, drawn_along, fitted_along
from brackets.model.cope import end_curve
from brackets.model.tube import TubeEnd

SNAP = 2e-3
"""Radians round the tube within which an edge's end is taken for a corner of the end curve: the kernel places a
point where surfaces touch only to the root of its 1e-7 mm."""

ON = 1e-5
"""mm by which a face's radius or axis may be off and still be the tube's own wall."""


FLUSH = 1e-9
"""Relative: a branch this near to flush with the main tube's side is flush; radians: corners this near are one."""


def corners(cut: TubeEnd, r: float) -> tuple[tuple[float, bool], ...]:
    """Radians from the acute side where the end curve on radius `r` has a corner, and whether it overhangs there.

    A corner is where the branch begins to overhang the main tube; where it just touches its side it does not.
    """
    found: list[tuple[float, bool]] = []
    for side in (cut.offset - cut.r, cut.offset + cut.r):
        if abs(abs(side) - r) <= FLUSH * r:
            found.append((math.copysign(math.pi / 2, side), False))
        elif abs(side) < r:
            lies = math.asin(side / r)
            found += [(lies, True), (math.pi - lies, True)]
    return tuple(found)


def exact(solid: Solid, cut: TubeEnd, node: Place, walls: tuple[float, float]) -> Solid:
    """The same solid, the edges that one saddle left on the tube's walls drawn along its end curve, in place.

    `node`: the cut's own frame, z into the body, x to the acute side; `walls`: outer and inner radius. Raises
    KernelFailed where the kernel split an edge at a point where the surfaces touch.
    """
    around = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(solid.wrapped, TopAbs_EDGE, TopAbs_FACE, around)
    for i in range(1, around.Extent() + 1):
        edge = TopoDS.Edge_s(around.FindKey(i))
        faces = [TopoDS.Face_s(face) for face in around.FindFromIndex(i)]
        if len(faces) != 2 or BRepAdaptor_Curve(edge).GetType() != GeomAbs_BSplineCurve:
            continue
        radii = [r for r in (_wall_radius(face, node, walls) for face in faces) if r is not None]
        if len(radii) == 1:
            _draw(edge, faces, cut, node, radii[0])
    return solid


def _wall_radius(face: TopoDS_Face, node: Place, walls: tuple[float, float]) -> float | None:
    """Which of the tube's radii the face is, or None where it is no wall of it."""
    surface = BRepAdaptor_Surface(face, False)
    if surface.GetType() != GeomAbs_Cylinder:
        return None
    cylinder = surface.Cylinder()
    axis, at = cylinder.Axis().Direction(), cylinder.Axis().Location()
    if abs(abs(Vector(axis.X(), axis.Y(), axis.Z()).dot(Vector(*node.axis))) - 1) > ON:
        return None
    x, y, _ = node.local((at.X(), at.Y(), at.Z()))
    near = [r for r in walls if abs(cylinder.Radius() - r) < ON]
    return near[0] if near and math.hypot(x, y) < ON else None


def _draw(edge: TopoDS_Edge, faces: list[TopoDS_Face], cut: TubeEnd, node: Place, r: float) -> None:
    curve = BRepAdaptor_Curve(edge)
    ends = curve.FirstParameter(), curve.LastParameter()
    rows = np.array(node.matrix())
    kernels = np.array([_array(curve.Value(t)) for t in np.linspace(*ends, 33)])
    local = (kernels - rows[:3, 3]) @ rows[:3, :3]
    turns = np.unwrap(np.arctan2(local[:, 1], local[:, 0]))
    (first, open_first), (last, open_last) = (_snapped(float(t), cut, r) for t in (turns[0], turns[-1]))
    if abs(first - last) < FLUSH:
        raise KernelFailed("", "saddle", f"r {cut.r:g}, offset {cut.offset:g}", "the cut left an edge of no length")
    if abs(local[16, 2] - _height(turns[16:17], cut, r)[0]) > 1.0:
        return

    def on_edge(at: Points) -> Points:
        part = (at - ends[0]) / (ends[1] - ends[0])
        turn = first + (last - first) * _paced(part, open_first, open_last)
        points = np.column_stack([r * np.cos(turn), r * np.sin(turn), _height(turn, cut, r)])
        moved: Points = points @ rows[:3, :3].T + rows[:3, 3]
        return moved

    spline = fitted_along(on_edge, ends)
    if spline is None or not drawn_along(edge, faces, on_edge, spline):
        return
    tips = on_edge(np.array(ends))
    for vertex, tip in ((TopExp.FirstVertex_s(edge), tips[0]), (TopExp.LastVertex_s(edge), tips[1])):
        _moved(vertex, tip)


def _paced(part: Points, open_first: bool, open_last: bool) -> Points:
    """How far round the edge is, 0 to 1: slowly where it runs straight up, so that its height is smooth there."""
    if open_first and open_last:
        return part * part * (3 - 2 * part)
    if open_first:
        return part * part
    return 1 - (1 - part) ** 2 if open_last else part


def _height(turn: Points, cut: TubeEnd, r: float) -> Points:
    return end_curve(np.degrees(turn), branch_r=r, main_r=cut.r, angle=cut.angle, offset=cut.offset)


def _snapped(turn: float, cut: TubeEnd, r: float) -> tuple[float, bool]:
    """The corner that an edge's end is, and whether the curve runs straight up there; else the end itself."""
    for corner, opens in corners(cut, r):
        off = (turn - corner + math.pi) % (2 * math.pi) - math.pi
        if abs(off) < SNAP:
            return turn - off, opens
    return turn, False


def _moved(vertex: TopoDS_Vertex, to: Points) -> None:
    """Puts the vertex where the edge now ends, as tight as the kernel allows."""
    if np.linalg.norm(_array(BRep_Tool.Pnt_s(vertex)) - to) > 0:
        BRep_Builder().UpdateVertex(vertex, gp_Pnt(*(float(v) for v in to)), TOLERANCE)


def _array(p: gp_Pnt) -> Points:
    return np.array((p.X(), p.Y(), p.Z()))
