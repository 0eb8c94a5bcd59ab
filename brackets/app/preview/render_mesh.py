"""What the eye sees of a solid: triangles with the surface's own normals, the edges a scriber would follow.

mm, in the frame of the shape. Every face has corners of its own, so that a sharp edge stays sharp in the light.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from cadquery.occ_impl.shapes import Shape
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Cylinder, GeomAbs_Line, GeomAbs_Plane
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedDataMapOfShapeListOfShape, TopTools_IndexedMapOfShape

from brackets.core.errors import KernelFailed
from brackets.kernel.patches import in_parallel, patch

LIVE = (0.1, 0.2)
"""mm and radians on a screen that waits: a tenth of a millimetre is under a pixel for a part a hand wide."""
SAVED = (0.02, 0.05)
"""mm and radians in a file that is looked at closely and made once."""

Floats = NDArray[np.float32]
Whole = NDArray[np.uint32]


@dataclass(frozen=True, eq=False)
class RenderMesh:
    """positions (n, 3) float, normals (n, 3) float of length 1, triples (m, 3) int, segments (k, 2, 3) float.

    `faces`: where each face's triangles start, and what it is: (start, kind, point, direction, radius);
    `runs`: the same for edges and their segments. kind is "flat", "round", "line", "circle" or "curve"; the point
    and direction are the plane's, the cylinder's axis or the circle's centre and axis; of a line, its two ends.
    Exact, from the solid's own surfaces and curves, where the triangles are not; of a scan there are none.
    """

    positions: NDArray[np.float64]
    normals: NDArray[np.float64]
    triples: Whole
    segments: NDArray[np.float64]
    faces: tuple[tuple[object, ...], ...]
    runs: tuple[tuple[object, ...], ...]


def mesh_of_shape(
    shape: Shape | TopoDS_Shape, *, deflection: float = LIVE[0], angle: float = LIVE[1]
) -> RenderMesh:
    """The mesh of any shape of the kernel. Raises KernelFailed where a face gets no triangles."""
    bare = BRepBuilderAPI_Copy(shape.wrapped if isinstance(shape, Shape) else shape, True, False).Shape()
    BRepMesh_IncrementalMesh(bare, deflection, False, angle, in_parallel())
    positions, normals, triples = [], [], []
    faces: list[tuple[object, ...]] = []
    count = first = 0
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(bare, TopAbs_FACE, found)
    for i in range(1, found.Extent() + 1):
        face = TopoDS.Face_s(found.FindKey(i))
        surface = _surface(face)
        points, outward, rows = _face(face, surface)
        faces.append((first, *surface))
        positions.append(points)
        normals.append(outward)
        triples.append(rows + count)
        count += len(points)
        first += len(rows)
    if not positions:
        raise KernelFailed("", "picture", "no faces", "there is nothing to show")
    segments, runs = _edges(bare, found, positions)
    return RenderMesh(
        np.vstack(positions),
        np.vstack(normals),
        np.vstack(triples).astype(np.uint32),
        segments,
        tuple(faces),
        runs,
    )


def mesh_of_triangles(corners: NDArray[np.float64], rows: NDArray[np.int64]) -> RenderMesh:
    """The mesh of a scan or of a common body: shaded as one surface, with edges where it turns by more than 30
    degrees."""
    points = corners[rows].reshape(-1, 3)
    across = np.cross(points[1::3] - points[::3], points[2::3] - points[::3])
    size = np.linalg.norm(across, axis=1, keepdims=True)
    outward = across / np.where(size > 0, size, 1.0)
    return RenderMesh(
        points,
        _shaded(rows, across, outward),
        np.arange(len(points), dtype=np.uint32).reshape(-1, 3),
        _creases(corners, rows, outward),
        ((0, "curve", None, None, None),),
        ((0, "line", None, None, None),),
    )


SHARP = np.cos(np.radians(30.0))
"""Neighbouring triangles of a scan that turn by less are one surface to the eye."""


def _shaded(
    rows: NDArray[np.int64], across: NDArray[np.float64], outward: NDArray[np.float64]
) -> NDArray[np.float64]:
    """A normal for every corner of every triangle (3 m, 3): the mean, by area, of its own and of those that meet it
    there and are no sharper to it than an edge is."""
    at = rows.ravel()
    order = np.argsort(at, kind="stable")
    _, first, size = np.unique(at[order], return_index=True, return_counts=True)
    place = np.arange(len(at)) - np.repeat(first, size)
    first, size, owner = np.repeat(first, size), np.repeat(size, size), order // 3
    total, left, step = across[owner].copy(), np.flatnonzero(size > 1), 1
    while len(left):  # every corner with the next but one, but two ... at the same point
        other = owner[first[left] + (place[left] + step) % size[left]]
        near = np.einsum("ij,ij->i", outward[owner[left]], outward[other]) > SHARP
        total[left[near]] += across[other[near]]
        step += 1
        left = left[size[left] > step]
    long = np.linalg.norm(total, axis=1, keepdims=True)
    made = np.empty_like(total)
    made[order] = total / np.where(long > 0, long, 1.0)
    return made


def _creases(
    corners: NDArray[np.float64], rows: NDArray[np.int64], outward: NDArray[np.float64]
) -> NDArray[np.float64]:
    sides = np.vstack([rows[:, [0, 1]], rows[:, [1, 2]], rows[:, [2, 0]]])
    owner = np.tile(np.arange(len(rows)), 3)
    keys = np.sort(sides, axis=1)
    order = np.lexsort((keys[:, 1], keys[:, 0]))
    keys, owner = keys[order], owner[order]
    pair = np.all(keys[1:] == keys[:-1], axis=1)
    turn = np.einsum("ij,ij->i", outward[owner[1:]], outward[owner[:-1]])
    sharp = keys[1:][pair & (turn < SHARP)]
    return np.asarray(corners[sharp].reshape(-1, 2, 3), dtype=np.float64)


def _face(
    face: TopoDS_Face, surface: tuple[object, ...]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.int64]]:
    """Corners, normals out of the material and triangles of a face."""
    cut = patch(face)
    if cut is None:
        raise KernelFailed("", "picture", "one face", "the kernel gave it no triangles")
    points, rows = cut.corners, cut.triples
    outward = _across_known(points, surface)
    if outward is None:
        outward = cut.normals(face)
    if np.einsum("ij,ij->", _across(points, rows), outward[rows].sum(axis=1)) < 0:
        outward = -outward
    return points, outward, rows


def _across_known(points: NDArray[np.float64], surface: tuple[object, ...]) -> NDArray[np.float64] | None:
    """Normals of a plane or a cylinder, to either side; None for other surfaces."""
    kind, at, way, _ = surface
    if kind not in ("flat", "round"):
        return None
    axis = np.asarray(way, dtype=np.float64)
    axis /= np.linalg.norm(axis)
    if kind == "flat":
        return np.tile(axis, (len(points), 1))
    out = points - np.asarray(at, dtype=np.float64)
    out -= np.outer(out @ axis, axis)
    return np.asarray(out / np.linalg.norm(out, axis=1, keepdims=True))


def _across(points: NDArray[np.float64], rows: NDArray[np.int64]) -> NDArray[np.float64]:
    a, b, c = (points[rows[:, i]].T for i in range(3))
    (ux, uy, uz), (vx, vy, vz) = b - a, c - a
    return np.stack([uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx], axis=1)


def _surface(face: TopoDS_Face) -> tuple[object, ...]:
    surface = BRepAdaptor_Surface(face, False)
    kind = surface.GetType()
    if kind == GeomAbs_Plane:
        plane = surface.Plane()
        way = _xyz(plane.Axis().Direction())
        sign = -1.0 if face.Orientation() == TopAbs_REVERSED else 1.0
        if not plane.Direct():
            sign = -sign
        return "flat", _short(_xyz(plane.Location())), _way(tuple(sign * c for c in way)), None
    if kind == GeomAbs_Cylinder:
        axis = surface.Cylinder().Axis()
        return (
            "round",
            _short(_xyz(axis.Location())),
            _way(_xyz(axis.Direction())),
            round(surface.Cylinder().Radius(), 6),
        )
    return "curve", None, None, None


def _edges(
    shape: TopoDS_Shape, faces: TopTools_IndexedMapOfShape, corners: list[NDArray[np.float64]]
) -> tuple[NDArray[np.float64], tuple[tuple[object, ...], ...]]:
    """Segments along every edge that is not a seam, and what each edge is; `corners` of each of `faces`."""
    owners = TopTools_IndexedDataMapOfShapeListOfShape()
    TopExp.MapShapesAndAncestors_s(shape, TopAbs_EDGE, TopAbs_FACE, owners)
    segments: list[NDArray[np.float64]] = []
    runs: list[tuple[object, ...]] = []
    count = 0
    for i in range(1, owners.Extent() + 1):
        edge, of = TopoDS.Edge_s(owners.FindKey(i)), owners.FindFromIndex(i)
        if BRep_Tool.Degenerated_s(edge) or of.IsEmpty():
            continue
        face = TopoDS.Face_s(of.First())
        if BRep_Tool.IsClosed_s(edge, face):
            continue
        along = _along(edge, face)
        if along is None:
            continue
        run = corners[faces.FindIndex(face) - 1][along]
        runs.append((count, *_curve(edge)))
        segments.append(np.stack([run[:-1], run[1:]], axis=1))
        count += len(run) - 1
    return (np.vstack(segments) if segments else np.zeros((0, 2, 3))), tuple(runs)


def _along(edge: TopoDS_Edge, face: TopoDS_Face) -> list[int] | None:
    """Which corners of the face's triangles an edge runs along."""
    place = TopLoc_Location()
    run = BRep_Tool.PolygonOnTriangulation_s(edge, BRep_Tool.Triangulation_s(face, place), place)
    if run is None or run.NbNodes() < 2:
        return None
    return [run.Node(i) - 1 for i in range(1, run.NbNodes() + 1)]


def _curve(edge: TopoDS_Edge) -> tuple[object, ...]:
    curve = BRepAdaptor_Curve(edge)
    if curve.GetType() == GeomAbs_Line:
        first, last = (_xyz(curve.Value(at)) for at in (curve.FirstParameter(), curve.LastParameter()))
        return "line", _short(first), _short(last), None
    if curve.GetType() == GeomAbs_Circle:
        round_ = curve.Circle()
        return (
            "circle",
            _short(_xyz(round_.Location())),
            _way(_xyz(round_.Axis().Direction())),
            round(round_.Radius(), 6),
        )
    return "curve", None, None, None


def _short(p: tuple[float, ...]) -> list[float]:
    """A point, mm, to a millionth."""
    return [round(c, 6) + 0.0 for c in p]


def _way(p: tuple[float, ...]) -> list[float]:
    """A direction: a metre along it is off by less than a millionth of a mm."""
    return [round(c, 10) + 0.0 for c in p]


def _xyz(p: object) -> tuple[float, float, float]:
    return (p.X(), p.Y(), p.Z())  # type: ignore[attr-defined]
