"""A part or a scan as triangles, each with a word on how far the true surface may be from it.

Triangles turn anticlockwise seen from outside; mm, in the shape's own axes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GeomAbs import (
    GeomAbs_Cone,
    GeomAbs_Cylinder,
    GeomAbs_Line,
    GeomAbs_Plane,
    GeomAbs_Sphere,
    GeomAbs_Torus,
)
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from brackets.clearance.places import Array, Ints
from brackets.errors import KernelFailed

FLAT = (
    1e-6  # mm: a flat face with straight edges is its own triangles; what is left is the kernel's tolerance
)
MARGIN = 1.1  # the kernel's own word on its error may be short; no violation seen in sampling, not proven
TURN = 0.5  # radians between neighbouring chords: keeps small holes and fillets round
IN_PARALLEL = True  # all processors at once; the triangles are the same, bit by bit (measured)
PATCH = 128  # triangles of a scan kept together: few enough to look at one by one, enough to prune by


@dataclass(frozen=True, eq=False)
class Triangles:
    """Corners (n, 3) float, triangles (m, 3) int sorted by face, where each face starts (f + 1,) int,
    how far each face's true surface may be from its triangles (f,) float mm, and the number each
    triangle had in what the user gave (m,) int."""

    corners: Array
    triples: Ints
    starts: Ints
    bounds: Array
    given: Ints

    @property
    def bound(self) -> float:
        return float(self.bounds.max())

    def of_face(self, face: int) -> tuple[Array, Ints]:
        """The face's own corners and triangles, renumbered."""
        part = self.triples[self.starts[face] : self.starts[face + 1]]
        used, back = np.unique(part, return_inverse=True)
        return self.corners[used], back.reshape(-1, 3)

    def face_of(self, triangle: int) -> int:
        return int(np.searchsorted(self.starts, triangle, side="right")) - 1


def faces_of(shape: TopoDS_Shape) -> tuple[TopoDS_Face, ...]:
    """Every face once, in the order the kernel keeps them."""
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_FACE, found)
    return tuple(TopoDS.Face_s(found.FindKey(i)) for i in range(1, found.Extent() + 1))


def clean_copy(shape: TopoDS_Shape) -> TopoDS_Shape:
    """The shape without any triangles it may remember, so that the answer does not depend on its history."""
    return BRepBuilderAPI_Copy(shape, False, False).Shape()


def of_shape(shape: TopoDS_Shape, tolerance: float, name: str) -> Triangles:
    """Triangles of every face, at most about `tolerance` mm off the true surface; the bound says how much."""
    copy = clean_copy(shape)
    BRepMesh_IncrementalMesh(copy, tolerance, False, TURN, IN_PARALLEL)
    corners: list[Array] = []
    triples: list[Ints] = []
    bounds: list[float] = []
    starts = [0]
    count = 0
    for number, face in enumerate(faces_of(copy)):
        where = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face, where)
        if mesh is None or mesh.NbTriangles() == 0:
            raise KernelFailed(name or "shape", "triangles", f"face {number}", "the kernel made none")
        xyz = np.array([mesh.Node(i).Coord() for i in range(1, mesh.NbNodes() + 1)])
        ijk = np.array([mesh.Triangle(i).Get() for i in range(1, mesh.NbTriangles() + 1)], dtype=np.int64) - 1
        if not where.IsIdentity():
            xyz = _placed(xyz, where)
        if face.Orientation() == TopAbs_REVERSED:
            ijk = ijk[:, ::-1]
        bounds.append(_bound(face, xyz, ijk, tolerance, mesh.Deflection()))
        corners.append(xyz)
        triples.append(ijk + count)
        count += len(xyz)
        starts.append(starts[-1] + len(ijk))
    if not corners:
        raise KernelFailed(name or "shape", "triangles", "no faces", "nothing to measure from")
    found, where_to = _weld(np.vstack(corners))
    whole = where_to[np.vstack(triples)]
    face_of = np.repeat(np.arange(len(bounds)), np.diff(starts))
    good = (whole[:, 0] != whole[:, 1]) & (whole[:, 1] != whole[:, 2]) & (whole[:, 2] != whole[:, 0])
    whole, face_of = whole[good], face_of[good]
    return Triangles(
        found, whole, np.searchsorted(face_of, np.arange(len(bounds) + 1)), np.array(bounds), face_of
    )


def _placed(xyz: Array, where: TopLoc_Location) -> Array:
    motion = where.Transformation()
    rows = np.array([[motion.Value(i, j) for j in range(1, 5)] for i in range(1, 4)])
    return np.asarray(xyz @ rows[:, :3].T + rows[:, 3])


def _weld(corners: Array) -> tuple[Array, Ints]:
    """Corners that two faces share become one; the kernel gives them the same coordinates to rounding."""
    keys = np.round(corners, 7)
    _, first, back = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    return corners[first], np.asarray(back.reshape(-1), dtype=np.int64)


def _bound(face: TopoDS_Face, xyz: Array, ijk: Ints, tolerance: float, reported: float) -> float:
    surface = BRepAdaptor_Surface(face, False)
    if surface.GetType() == GeomAbs_Plane and _straight(face):
        return FLAT
    return MARGIN * max(tolerance, reported, _measured(surface, xyz, ijk))


def _straight(face: TopoDS_Face) -> bool:
    walk = TopExp_Explorer(face, TopAbs_EDGE)
    while walk.More():
        edge = TopoDS.Edge_s(walk.Current())
        if not BRep_Tool.Degenerated_s(edge) and BRepAdaptor_Curve(edge).GetType() != GeomAbs_Line:
            return False
        walk.Next()
    return True


def _measured(surface: BRepAdaptor_Surface, xyz: Array, ijk: Ints) -> float:
    """mm: how far the middles of the triangles and of their sides are off a turned surface, 0 for others."""
    a, b, c = xyz[ijk[:, 0]], xyz[ijk[:, 1]], xyz[ijk[:, 2]]
    tests = np.vstack(((a + b) / 2, (b + c) / 2, (c + a) / 2, (a + b + c) / 3))
    kind = surface.GetType()
    if kind == GeomAbs_Sphere:
        ball = surface.Sphere()
        centre = ball.Location()
        away = np.linalg.norm(tests - (centre.X(), centre.Y(), centre.Z()), axis=1)
        return float(np.abs(away - ball.Radius()).max())
    if kind not in (GeomAbs_Cylinder, GeomAbs_Cone, GeomAbs_Torus):
        return 0.0
    form = {GeomAbs_Cylinder: surface.Cylinder, GeomAbs_Cone: surface.Cone, GeomAbs_Torus: surface.Torus}[
        kind
    ]()
    spot, way = form.Position().Location(), form.Position().Direction()
    unit = np.array((way.X(), way.Y(), way.Z()))
    along = (tests - (spot.X(), spot.Y(), spot.Z())) @ unit
    out = np.linalg.norm(tests - (spot.X(), spot.Y(), spot.Z()) - along[:, None] * unit, axis=1)
    if kind == GeomAbs_Cylinder:
        off = out - form.Radius()
    elif kind == GeomAbs_Cone:
        half = form.SemiAngle()
        off = (out - form.RefRadius()) * np.cos(half) - along * np.sin(half)
    else:
        off = np.hypot(out - form.MajorRadius(), along) - form.MinorRadius()
    return float(np.abs(off).max())


def areas(corners: Array, triples: Ints) -> Array:
    """(m,) float mm2: twice the area of each triangle."""
    a, b, c = (corners[triples[:, i]] for i in range(3))
    return np.asarray(np.linalg.norm(np.cross(b - a, c - a), axis=1))


def of_scan(corners: Array, triples: Ints) -> Triangles:
    """A scan as it is, cut into patches of neighbours; its triangles are its surface, so the bound is 0."""
    given = np.flatnonzero(areas(corners, triples))
    order = given[_neighbours(corners[triples[given]].mean(axis=1))]
    starts = np.append(np.arange(0, len(order), PATCH), len(order))
    return Triangles(corners, triples[order], starts, np.zeros(len(starts) - 1), order)


def _neighbours(points: Array) -> Ints:
    """An order in which points near each other come together: the bits of x, y and z interleaved."""
    low, high = points.min(axis=0), points.max(axis=0)
    grid = ((points - low) / max(float((high - low).max()), 1e-12) * 1023).astype(np.int64)
    key = np.zeros(len(points), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            key |= ((grid[:, axis] >> bit) & 1) << (3 * bit + axis)
    return np.argsort(key, kind="stable")
