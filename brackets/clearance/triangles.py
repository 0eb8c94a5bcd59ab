"""Bodies as triangles, each with how far the true surface may be from it, and the distance of two such meshes.

Only distances are taken from the collision library. Its depth, its signed distance, its test whether two
meshes collide and its continuous collision are not: each is silently wrong for meshes
(see tests/test_clearance_traps).

Triangles run anticlockwise seen from outside; mm, in the shape's own axes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import fcl
import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.IMeshTools import (
    IMeshTools_MeshAlgoType_Delabella,
    IMeshTools_MeshAlgoType_Watson,
    IMeshTools_Parameters,
)
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from brackets.clearance.facets import rims_of
from brackets.clearance.places import Array, Bools, Ints, Transform
from brackets.clearance.surfaces import surface
from brackets.core.errors import KernelFailed
from brackets.core.recent import Recent
from brackets.kernel.patches import Patch, in_parallel, patch

_ASK = fcl.DistanceRequest(True, False)
BOXES = 1e-6  # mm: rounding of the distance between two boxes


WHOLE = 500_000  # triangles that get one tree; it takes half a kB for each
BLOCK = 32_768  # triangles of a larger mesh that get a tree of their own once they may be the nearest
TREES = 12  # such trees of one mesh that are kept


class Tree:
    """A tree of bounding boxes over triangles, made once; distances can be asked for any placement.

    Of more than WHOLE triangles, in an order in which neighbours come together, only those blocks get one that may
    be the nearest to something."""

    def __init__(self, corners: Array, triples: Ints) -> None:
        self.starts = range(0, len(triples), BLOCK) if len(triples) > WHOLE else range(1)
        self._mesh = corners, triples
        self._made: Recent[int, Tree] = Recent(TREES)
        if len(self.starts) > 1:
            return
        model = fcl.BVHModel()
        model.beginModel(len(triples), len(corners))
        model.addSubModel(corners, triples)
        model.endModel()
        # two handles kept for good: making one costs a pass over all the corners, and is never given back
        self.still, self.loose = fcl.CollisionObject(model), fcl.CollisionObject(model)

    @cached_property
    def boxes(self) -> tuple[Array, Array]:
        """Low and high corner of each block, (k, 3) float mm each."""
        corners, triples = self._mesh
        size = BLOCK if len(self.starts) > 1 else len(triples)
        each = [corners[triples[start:][:size]] for start in self.starts]
        low, high = (np.array([end(one, axis=(0, 1)) for one in each]) for end in (np.min, np.max))
        return low, high

    def block(self, number: int) -> Tree:
        """The tree of one block; of the whole where that is one."""
        if len(self.starts) == 1:
            return self
        return self._made.made(number, lambda: self._cut_out(number))

    def _cut_out(self, number: int) -> Tree:
        corners, triples = self._mesh
        used, back = np.unique(triples[self.starts[number] :][:BLOCK], return_inverse=True)
        return Tree(corners[used], back.reshape(-1, 3))


@dataclass(frozen=True, eq=False)
class Nearest:
    """Distance mm (0 where triangles cross), the nearest point and triangle of each mesh."""

    distance: float
    p: Array
    q: Array
    on_a: int
    on_b: int


def between(a: Tree, b: Tree, across: Transform) -> Nearest:
    """Distance and nearest points in a's own axes, b placed at `across`; where the two cross, p = q near there."""
    if len(a.starts) * len(b.starts) > 1:
        return _between_blocks(a, b, across)
    b.loose.setTransform(fcl.Transform(across.turn, across.move))
    found = fcl.DistanceResult()
    distance = float(fcl.distance(a.still, b.loose, _ASK, found))
    p, q = (np.asarray(v, dtype=float) for v in found.nearest_points)
    if distance <= 0:
        return Nearest(0.0, (p + q) / 2, (p + q) / 2, int(found.b1), int(found.b2))
    return Nearest(distance, p, q, int(found.b1), int(found.b2))


def _between_blocks(a: Tree, b: Tree, across: Transform) -> Nearest:
    """The same, block by block: the nearest by their boxes first, until no other can be nearer."""
    (a_low, a_high), (b_low, b_high) = a.boxes, b.boxes
    centre, half = across.points((b_low + b_high) / 2), (b_high - b_low) / 2 @ np.abs(across.turn).T
    apart = np.maximum(a_low[:, None] - (centre + half), (centre - half) - a_high[:, None])
    least = np.linalg.norm(np.maximum(apart, 0.0), axis=2) - BOXES
    best: Nearest | None = None
    for i, j in zip(*np.unravel_index(np.argsort(least, axis=None, kind="stable"), least.shape), strict=True):
        if best is not None and (best.distance == 0 or least[i, j] > best.distance):
            break
        found = between(a.block(int(i)), b.block(int(j)), across)
        if best is None or found.distance < best.distance:
            best = replace(found, on_a=found.on_a + a.starts[int(i)], on_b=found.on_b + b.starts[int(j)])
    assert best is not None
    return best


FLAT = (
    1e-6  # mm: a flat face with straight edges is its own triangles; what is left is the kernel's tolerance
)
TURN = 0.5  # radians between neighbouring chords: keeps small holes and fillets round
SPREAD = np.array((0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9), dtype=np.uint64).astype(np.int64)
PATCH = 128  # triangles of a scan kept together: few enough to look at one by one, enough to prune by


@dataclass(frozen=True, eq=False)
class Triangles:
    """Corners (n, 3) float, triangles (m, 3) int sorted by face, where each face starts (f + 1,) int,
    how far each face's true surface may be from its triangles (f,) float mm, the number each triangle had in what
    the user gave (m,) int, whether the first is proven (f,) bool, and what the kernel cut each face up into."""

    corners: Array
    triples: Ints
    starts: Ints
    bounds: Array
    given: Ints
    proven: Bools
    cuts: tuple[tuple[TopoDS_Face, Patch], ...] = ()

    @cached_property
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
    """The shape without triangulation, so that the result does not depend on earlier meshing."""
    return BRepBuilderAPI_Copy(shape, False, False).Shape()


def of_shape(shape: TopoDS_Shape, tolerance: float, name: str) -> Triangles:
    """Triangles of every face, at most about `tolerance` mm off the true surface; the bound says how much."""
    copy = _cut_up(shape, tolerance)
    corners: list[Array] = []
    rows: list[Ints] = []
    bounds: list[float] = []
    proven: list[bool] = []
    cuts: list[tuple[TopoDS_Face, Patch]] = []
    starts = [0]
    count = 0
    for number, face in enumerate(faces_of(copy)):
        cut = patch(face)
        if cut is None:
            raise KernelFailed(name or "shape", "triangles", f"face {number}", "the kernel made none")
        xyz = cut.corners
        bound, sure = _bound(face, cut, tolerance)
        bounds.append(bound)
        proven.append(sure)
        cuts.append((face, cut))
        corners.append(xyz)
        rows.append(cut.triples + count)
        count += len(xyz)
        starts.append(starts[-1] + len(cut.triples))
    if not corners:
        raise KernelFailed(name or "shape", "triangles", "no faces", "nothing to measure from")
    found, where_to = _weld(np.vstack(corners))
    whole = where_to[np.vstack(rows)]
    face_of = np.repeat(np.arange(len(bounds)), np.diff(starts))
    good = (whole[:, 0] != whole[:, 1]) & (whole[:, 1] != whole[:, 2]) & (whole[:, 2] != whole[:, 0])
    whole, face_of = whole[good], face_of[good]
    return Triangles(
        found,
        whole,
        np.searchsorted(face_of, np.arange(len(bounds) + 1)),
        np.array(bounds),
        face_of,
        np.array(proven),
        tuple(cuts),
    )


def _cut_up(shape: TopoDS_Shape, tolerance: float) -> TopoDS_Shape:
    """A copy with triangles, by the kernel's quicker way, or by its usual one where that leaves a face without."""
    for way in (IMeshTools_MeshAlgoType_Delabella, IMeshTools_MeshAlgoType_Watson):
        copy, ask = clean_copy(shape), IMeshTools_Parameters()
        ask.Deflection, ask.Angle, ask.InParallel, ask.MeshAlgo = tolerance, TURN, in_parallel(), way
        BRepMesh_IncrementalMesh(copy, ask)
        cut = (BRep_Tool.Triangulation_s(face, TopLoc_Location()) for face in faces_of(copy))
        if all(mesh is not None and mesh.NbTriangles() for mesh in cut):
            break
    return copy


def _weld(corners: Array) -> tuple[Array, Ints]:
    """Corners that two faces share become one; the kernel gives them the same coordinates to rounding."""
    grid = np.round(corners * 1e7).astype(np.int64)
    key = (grid * SPREAD).sum(axis=1)  # wraps round; two corners with one key are told apart below
    _, first, back = np.unique(key, return_index=True, return_inverse=True)
    if not np.array_equal(grid[first][back], grid):
        _, first, back = np.unique(grid, axis=0, return_index=True, return_inverse=True)
    return corners[first], np.asarray(back.reshape(-1), dtype=np.int64)


def _bound(face: TopoDS_Face, cut: Patch, tolerance: float) -> tuple[float, bool]:
    """mm from the face to its triangles at most, never less than what was asked for unless all of it is straight;
    and whether that is proven. What a curve that bounds the face bulges from its chords comes on top."""
    lies_on, rims = surface(face), rims_of(face, cut)
    if lies_on.kind == "plane" and not rims:
        return FLAT, True
    rim = max((one.deviation for one in rims), default=0.0)
    proven = lies_on.proven and all(one.proven for one in rims)
    if lies_on.kind == "free":
        flat = np.array([cut.kept.UVNode(i + 1).Coord() for i in range(len(cut.corners))])
        return max(tolerance, float(lies_on.sags(flat[cut.triples]).max()) + rim), proven
    return max(tolerance, lies_on.chord(cut.corners[cut.triples]) + rim), proven


def areas(corners: Array, triples: Ints) -> Array:
    """(m,) float mm2: twice the area of each triangle."""
    a, b, c = (corners[triples[:, i]] for i in range(3))
    return np.asarray(np.linalg.norm(np.cross(b - a, c - a), axis=1))


def of_scan(corners: Array, triples: Ints) -> Triangles:
    """A scan as it is, in patches of neighbouring triangles; the triangles are its surface, so the bound is 0."""
    given = np.flatnonzero(areas(corners, triples))
    order = given[_neighbours(corners[triples[given]].mean(axis=1))]
    starts = np.append(np.arange(0, len(order), PATCH), len(order))
    count = len(starts) - 1
    return Triangles(corners, triples[order], starts, np.zeros(count), order, np.ones(count, dtype=bool))


def _neighbours(points: Array) -> Ints:
    """Order in which points near each other come together: Morton order, the bits of x, y and z interleaved."""
    low, high = points.min(axis=0), points.max(axis=0)
    grid = ((points - low) / max(float((high - low).max()), 1e-12) * 1023).astype(np.int64)
    key = np.zeros(len(points), dtype=np.int64)
    for bit in range(10):
        for axis in range(3):
            key |= ((grid[:, axis] >> bit) & 1) << (3 * bit + axis)
    return np.argsort(key, kind="stable")
