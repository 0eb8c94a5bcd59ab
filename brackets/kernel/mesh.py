"""Solids as triangles, with an honest bound on how far the triangles lie off the solid.

mm, in the frame of the part; triangles run anticlockwise seen from outside. Equal pieces give equal triangles,
whatever was meshed before: only copies without triangles are meshed.
"""

from __future__ import annotations

from brackets.kernel.solids import own_shape, shape_key  # first: it says in plain words which library is missing

# isort: split
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from cadquery.occ_impl.shapes import Shape
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Cylinder, GeomAbs_Line, GeomAbs_Plane
from OCP.gp import gp_Pnt, gp_Pnt2d
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape

from brackets.core.errors import InputError, KernelFailed
from brackets.core.kept import keeps
from brackets.core.place import HERE, Place
from brackets.kernel.components import components
from brackets.kernel.patches import Patch, in_parallel, patch, rows_of
from brackets.model.part import Part
from brackets.model.piece import Piece

FINEST = 1e-4
"""mm: below this a mesh of a hand's breadth runs to millions of triangles and says nothing more."""

SAMPLED = 1.25
"""How much more than measured the triangles of a surface that is neither flat nor round may be off: it is
measured at the middle of every triangle and edge, where a shallow arc is farthest, and rounded up by a quarter."""

TRIES = 4
"""How often the kernel is asked for half the deflection before the bound that was reached is reported."""

ONE = 1e-6
"""mm within which two nodes are one: the kernel itself joins points at 1e-7."""

REMEMBERED = 512
"""Meshes kept in memory, of some thousand triangles each."""

Points = NDArray[np.float64]
Triples = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Mesh:
    """`vertices` (n, 3) float mm, `faces` (m, 3) int rows of vertices.

    No point of the triangles is farther than `deflection` mm from the solid's skin, and none of the skin from
    the triangles.
    """

    vertices: Points
    faces: Triples
    deflection: float

    def moved(self, place: Place) -> Mesh:
        """The same triangles set at `place`."""
        if place == HERE:
            return self
        rows = np.array(place.matrix())
        return Mesh(_fixed(self.vertices @ rows[:3, :3].T + rows[:3, 3]), self.faces, self.deflection)

    @property
    def corners(self) -> Points:
        """(m, 3, 3) float: the three corners of each triangle."""
        return self.vertices[self.faces]


def mesh(thing: Piece | Part, *, tolerance: float = 0.02, angle: float = 0.2) -> Mesh:
    """The surface of a piece or a part as triangles, each piece closed in itself; mm, in the part's frame.

    thing: a piece, or a part, whose pieces come one after the other; tolerance: how far the triangles may be off,
    mm, 0.0001 or more; angle: between the normals of neighbours on a curve, radians, over 0 to a right angle.
    Returns `vertices` (n, 3) float, `faces` (m, 3) int, and `deflection`, how far off they are, mm.
    Raises InputError where these make no sense, KernelFailed where a piece does not come out closed.

    >>> block = Plate(name="block", t=6, wall=Wall(outline=rectangle(100, 50)))
    >>> len(mesh(block).vertices), len(mesh(block).faces), mesh(block).deflection
    (8, 12, 0.0)
    """
    if isinstance(thing, Part):
        return together([mesh(piece, tolerance=tolerance, angle=angle) for piece in thing.pieces])
    problems = []
    if not (math.isfinite(tolerance) and tolerance >= FINEST):
        problems.append(f"tolerance = {tolerance:g} mm, must be {FINEST:g} or more: how far triangles may be off")
    if not 0 < angle <= math.pi / 2:
        problems.append(f"angle = {angle:g} rad, must be over 0 to {math.pi / 2:.4g}: of neighbouring triangles")
    if problems:
        raise InputError(*problems)
    try:
        own = _of_piece(shape_key(thing), float(tolerance), float(angle))
    except KernelFailed as failed:
        raise KernelFailed(thing.name, failed.operation, failed.size, failed.reason) from failed
    return own.moved(thing.place)


def together(meshes: Sequence[Mesh]) -> Mesh:
    """Several meshes as one, in their order."""
    if not meshes:
        return Mesh(_fixed(np.zeros((0, 3))), np.zeros((0, 3), dtype=np.int64), 0.0)
    starts = np.cumsum([0, *(len(m.vertices) for m in meshes[:-1])])
    faces = np.vstack([m.faces + start for m, start in zip(meshes, starts, strict=True)])
    faces.flags.writeable = False
    return Mesh(_fixed(np.vstack([m.vertices for m in meshes])), faces, max(m.deflection for m in meshes))


def of_shape(shape: Shape | TopoDS_Shape, *, tolerance: float = 0.02, angle: float = 0.2) -> Mesh:
    """Triangles of any shape of the kernel, such as one read from a file; closed where the shape is."""
    wrapped = shape.wrapped if isinstance(shape, Shape) else shape
    ask = tolerance / 2
    for _ in range(TRIES):
        found = _triangles(wrapped, ask, angle)
        if found.deflection <= tolerance:
            break
        ask /= 2
    return found


@lru_cache(maxsize=REMEMBERED)
@keeps("mesh")
def _of_piece(piece: Piece, tolerance: float, angle: float) -> Mesh:
    found = of_shape(own_shape(piece), tolerance=tolerance, angle=angle)
    loose = open_edges(found.faces)
    if loose:
        raise KernelFailed(
            "", "mesh", f"tolerance {tolerance:g} mm", f"{loose} edges are not shared by two triangles"
        )
    return found


def open_edges(faces: Triples) -> int:
    """How many edges are not run along once each way: 0 where the triangles are closed."""
    ways = np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    key = ways[:, 0] * (faces.max(initial=0) + 1) + ways[:, 1]
    back = ways[:, 1] * (faces.max(initial=0) + 1) + ways[:, 0]
    unique, counts = np.unique(key, return_counts=True)
    return int((counts != 1).sum() + (~np.isin(back, unique)).sum())


def _triangles(shape: TopoDS_Shape, deflection: float, angle: float) -> Mesh:
    bare = BRepBuilderAPI_Copy(shape, True, False).Shape()
    BRepMesh_IncrementalMesh(bare, deflection, False, angle, in_parallel())
    nodes: list[Points] = []
    triples: list[Triples] = []
    off, count = 0.0, 0
    for face in _faces(bare):
        cut = patch(face)
        if cut is None:
            raise KernelFailed("", "mesh", f"deflection {deflection:g} mm", "a face has no triangles")
        off = max(off, _off_surface(face, cut) + _off_edges(face, cut))
        nodes.append(cut.corners)
        triples.append(cut.triples + count)
        count += len(cut.corners)
    return _merged(np.vstack(nodes), np.vstack(triples), off)


def _merged(nodes: Points, triples: Triples, off: float) -> Mesh:
    """Faces put together where the kernel gave the nodes of a shared edge to both its faces."""
    which, first = _same(nodes)
    order = np.argsort(first)
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    faces = rank[which][triples]
    faces = faces[(faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])]
    faces.flags.writeable = False
    return Mesh(_fixed(nodes[first[order]]), faces, off)


def _same(nodes: Points) -> tuple[Triples, Triples]:
    """For each node which point it is, and for each point the first of its nodes.

    A face that the kernel keeps with a placement of its own gives the same node rounded in another way, so nodes
    nearer than ONE are one.
    """
    from scipy.spatial import cKDTree

    _, first, which = np.unique(nodes, axis=0, return_index=True, return_inverse=True)
    which = which.ravel()
    near = cKDTree(nodes[first]).query_pairs(ONE, output_type="ndarray")
    if len(near) == 0:
        return which, first
    count, group = components(len(first), near[:, 0], near[:, 1])
    earliest = np.full(count, len(nodes))
    np.minimum.at(earliest, group, first)
    return group[which], earliest


def _off_surface(face: TopoDS_Face, cut: Patch) -> float:
    """mm: the farthest that triangles of a face lie off the surface it is on."""
    points, rows = cut.corners, cut.triples
    surface = BRepAdaptor_Surface(face, False)
    kind = surface.GetType()
    if kind == GeomAbs_Plane:
        return 0.0
    a, b = _sides(rows)
    middles = (points[a] + points[b]) / 2
    if kind == GeomAbs_Cylinder:
        round_ = surface.Cylinder()
        axis = np.array(_xyz(round_.Axis().Direction()))
        out = np.cross(middles - np.array(_xyz(round_.Location())), axis)
        return float(np.abs(np.linalg.norm(out, axis=1) - round_.Radius()).max())
    flat = rows_of(gp_Pnt2d.Coord, map(cut.kept.UVNode, range(1, len(points) + 1)), len(points), 2)
    uvs = np.vstack([(flat[a] + flat[b]) / 2, flat[rows].mean(axis=1)])
    there = rows_of(gp_Pnt.Coord, map(surface.Value, uvs[:, 0].tolist(), uvs[:, 1].tolist()), len(uvs), 3)
    spots = np.vstack([middles, points[rows].mean(axis=1)])
    return SAMPLED * float(np.linalg.norm(there - spots, axis=1).max())


def _sides(rows: Triples) -> tuple[Triples, Triples]:
    """Both ends of every edge of the triangles, each edge once."""
    ways = np.sort(np.vstack([rows[:, [0, 1]], rows[:, [1, 2]], rows[:, [2, 0]]]), axis=1)
    low, high = np.divmod(np.unique(ways[:, 0] * (rows.max() + 1) + ways[:, 1]), rows.max() + 1)
    return low, high


def _off_edges(face: TopoDS_Face, cut: Patch) -> float:
    """mm: the farthest that the rim of a face's triangles lies off the curves that bound the face."""
    off = 0.0
    for edge in _edges(face):
        run = BRep_Tool.PolygonOnTriangulation_s(edge, cut.kept, cut.place)
        if BRep_Tool.Degenerated_s(edge) or run is None or not run.HasParameters():
            continue
        curve = BRepAdaptor_Curve(edge)
        at = np.array([run.Parameter(i + 1) for i in range(run.NbNodes())])
        if curve.GetType() == GeomAbs_Line:
            continue
        if curve.GetType() == GeomAbs_Circle:
            off = max(off, curve.Circle().Radius() * float(1 - np.cos(np.abs(np.diff(at)).max() / 2)))
            continue
        ends = np.array([_xyz(curve.Value(float(u))) for u in at])
        there = np.array([_xyz(curve.Value(float(u))) for u in (at[1:] + at[:-1]) / 2])
        off = max(off, SAMPLED * float(np.linalg.norm(there - (ends[1:] + ends[:-1]) / 2, axis=1).max()))
    return off


def _faces(shape: TopoDS_Shape) -> Iterable[TopoDS_Face]:
    explorer = TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        yield TopoDS.Face_s(explorer.Current())
        explorer.Next()


def _edges(face: TopoDS_Face) -> Iterable[TopoDS_Edge]:
    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        yield TopoDS.Edge_s(explorer.Current())
        explorer.Next()


def _xyz(p: object) -> tuple[float, float, float]:
    return (p.X(), p.Y(), p.Z())  # type: ignore[attr-defined]


def _fixed(points: Points) -> Points:
    points.flags.writeable = False
    return points
