"""A body to be cleared: one part, keep-out or scan, made ready once and then placed as often as wanted.

mm; the body's own axes are those of the shape it was made from.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import cadquery as cq
import numpy as np
import trimesh
from manifold3d import Error, Manifold, Mesh64
from numpy.typing import ArrayLike
from OCP.BRep import BRep_Tool
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.TopAbs import TopAbs_SOLID, TopAbs_VERTEX
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Solid
from OCP.TopTools import TopTools_IndexedMapOfShape
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, QhullError

from brackets.clearance import triangles as tri
from brackets.clearance.nearest import Nearest, Tree, between
from brackets.clearance.places import STILL, Array, Ints, Rigid, rigid, spun
from brackets.errors import OutOfRange

Mesh = trimesh.Trimesh | tuple[ArrayLike, ArrayLike]
TOLERANCE = (1e-3, 5.0)  # mm: finer fills the memory, coarser tells nothing
FINE = 4e-4  # mm: two faces this fine are known to 9e-4 mm together, under the 1e-3 promised
FINE_MOST = 300_000  # triangles a finely cut face may have; past that its interval stays wider, and says so
KEPT = 256  # shapes whose triangles are remembered; a bay with its variants has about a hundred


class Core:
    """Everything heavy about a body, in its own axes; shared by all its placements."""

    def __init__(
        self, shape: TopoDS_Shape | None, mesh: tri.Triangles, *, tolerance: float, closed: bool
    ) -> None:
        self.shape, self.mesh, self.tolerance = shape, mesh, tolerance
        self.closed = closed  # only a closed body has an inside
        self._trees: dict[int, Tree] = {}
        self._fine: dict[int, tuple[Tree, float]] = {}

    @cached_property
    def tree(self) -> Tree:
        return Tree(self.mesh.corners, self.mesh.triples)

    def face_tree(self, face: int) -> Tree:
        if face not in self._trees:
            self._trees[face] = Tree(*self.mesh.of_face(face))
        return self._trees[face]

    @cached_property
    def faces(self) -> tuple[TopoDS_Face, ...]:
        return () if self.shape is None else tri.faces_of(self.shape)

    @cached_property
    def solids(self) -> tuple[TopoDS_Solid, ...]:
        if self.shape is None:
            return ()
        found = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(self.shape, TopAbs_SOLID, found)
        return tuple(TopoDS.Solid_s(found.FindKey(i)) for i in range(1, found.Extent() + 1))

    @cached_property
    def deciders(self) -> tuple[BRepClass3d_SolidClassifier, ...]:
        return tuple(BRepClass3d_SolidClassifier(solid) for solid in self.solids)

    @cached_property
    def face_boxes(self) -> tuple[Array, Array]:
        """Low and high corner of each face's triangles, (f, 3) float each."""
        return boxes(self.mesh, self.mesh.corners)

    @cached_property
    def rim(self) -> Array:
        """(k, 3) float: corners enough to find how far the body reaches in any direction."""
        corners = self.mesh.corners[np.unique(self.mesh.triples)]
        if len(corners) < 32:
            return corners
        try:
            return np.asarray(corners[np.sort(ConvexHull(corners).vertices)])
        except QhullError:  # a flat scan has no hull in space
            return corners

    @cached_property
    def lumps(self) -> tuple[Array, ...]:
        """A point (3,) of the skin of each separate lump."""
        if self.solids:
            return tuple(_corner_of(solid) for solid in self.solids)
        t = self.mesh.triples
        links = coo_array(
            (np.ones(2 * len(t)), (np.r_[t[:, 0], t[:, 1]], np.r_[t[:, 1], t[:, 2]])),
            shape=(len(self.mesh.corners),) * 2,
        )
        _, label = connected_components(links, directed=False)
        _, first = np.unique(label[t[:, 0]], return_index=True)
        return tuple(self.mesh.corners[t[i, 0]] for i in first)

    @cached_property
    def shadow(self) -> tuple[Array, Array]:
        """The corners seen along an odd direction, (n, 3) float, and the flat box of each triangle so seen:
        (4, m) float, low x, high x, low y, high y."""
        seen = self.mesh.corners @ self.askew.T
        x, y = (seen[:, axis][self.mesh.triples] for axis in (0, 1))
        return seen, np.array((x.min(axis=1), x.max(axis=1), y.min(axis=1), y.max(axis=1)))

    @property
    def askew(self) -> Array:
        """(3, 3) float: a turn that leaves nothing drawn square on a line of sight."""
        return spun(np.array((2.0, 3.0, 6.0)) / 7.0, 1.2345)

    @cached_property
    def manifold(self) -> Manifold | None:
        """The triangles as a body that can be cut with others, or None where they do not close up."""
        if not self.closed:
            return None
        found = Manifold(Mesh64(self.mesh.corners, self.mesh.triples.astype(np.uint64)))
        if found.status() != Error.NoError or found.is_empty():
            return None
        return found if found.volume() > 0 else None

    def fine_tree(self, face: int) -> tuple[Tree, float]:
        """One face alone in triangles fine enough to decide by, and how far, mm, they may be off it."""
        if face not in self._fine:
            count = int(np.diff(self.mesh.starts)[face])
            step = max(FINE, self.mesh.bounds[face] * count / FINE_MOST)
            fine = tri.of_shape(self.faces[face], float(step), "face")
            self._fine[face] = (Tree(fine.corners, fine.triples), fine.bound)
        return self._fine[face]


def _corner_of(solid: TopoDS_Solid) -> Array:
    spot = BRep_Tool.Pnt_s(TopoDS.Vertex_s(TopExp_Explorer(solid, TopAbs_VERTEX).Current()))
    return np.array((spot.X(), spot.Y(), spot.Z()))


def boxes(mesh: tri.Triangles, corners: Array) -> tuple[Array, Array]:
    """Low and high corner of each face's triangles, with the mesh's corners put where `corners` says."""
    starts = mesh.starts[:-1]
    filled = np.diff(mesh.starts) > 0
    low, high = (np.full((len(starts), 3), v) for v in (np.inf, -np.inf))
    of_each = corners[mesh.triples]
    low[filled] = np.minimum.reduceat(of_each.min(axis=1), starts[filled], axis=0)
    high[filled] = np.maximum.reduceat(of_each.max(axis=1), starts[filled], axis=0)
    return low, high


@dataclass(frozen=True, eq=False)
class Body:
    """A body where it stands. `bound` is how far, mm, the true surface may be from the triangles."""

    core: Core
    place: Rigid = STILL
    name: str = ""

    def placed(
        self, place: ArrayLike | tuple[ArrayLike, ArrayLike] | Rigid, *, name: str | None = None
    ) -> Body:
        """The same body moved from where it stands now; nothing heavy is made again."""
        return Body(self.core, rigid(place) @ self.place, self.name if name is None else name)

    @property
    def bound(self) -> float:
        return self.core.mesh.bound

    @property
    def closed(self) -> bool:
        return self.core.closed

    @property
    def corners(self) -> Array:
        """(n, 3) float mm, bay axes."""
        return self.place.points(self.core.mesh.corners)

    @property
    def triples(self) -> Ints:
        """(m, 3) int into `corners`."""
        return self.core.mesh.triples

    @cached_property
    def box(self) -> Array:
        """(2, 3) float mm: low and high corner of a box, along the bay's axes, that holds the true body."""
        rim = self.place.points(self.core.rim)
        return np.array((rim.min(axis=0) - self.bound, rim.max(axis=0) + self.bound))

    @cached_property
    def tips(self) -> Array:
        """(6, 3) float mm: six points of the body, the furthest each way along the axes."""
        rim = self.place.points(self.core.rim)
        return np.asarray(rim[np.concatenate((rim.argmin(axis=0), rim.argmax(axis=0)))])


def finer(of: Body) -> Body:
    """The same body in triangles ten times as fine, or itself where it is a scan or as fine as it may be."""
    if of.core.shape is None or of.core.tolerance <= TOLERANCE[0] or of.bound <= tri.FLAT:
        return of
    fine = _core_of(of.core.shape, max(TOLERANCE[0], of.core.tolerance / 10), of.name)
    return Body(fine, of.place, of.name)


def skins(a: Body, b: Body) -> Nearest:
    """The nearest points of two bodies' triangles, bay axes."""
    near = between(a.core.tree, b.core.tree, a.place.inverse @ b.place)
    p, q = a.place.points(np.array((near.p, near.q)))
    return Nearest(near.distance, p, q, near.on_a, near.on_b)


_CORES: OrderedDict[tuple[int, float], tuple[TopoDS_Shape, Core]] = OrderedDict()


def body(
    shape_or_mesh: cq.Shape | TopoDS_Shape | Mesh,
    *,
    name: str = "",
    tolerance: float = 0.05,
    place: ArrayLike | tuple[ArrayLike, ArrayLike] | Rigid = STILL,
) -> Body:
    """A solid (triangles within about `tolerance` mm of it, and the true faces kept) or a scan as it is.

    A scan is a trimesh, or corners (n, 3) float mm and triangles (m, 3) int. A shape seen before, in any
    place, is not prepared again. Raises OutOfRange for a mirrored place, an empty shape or a bad mesh.
    """
    if not TOLERANCE[0] <= tolerance <= TOLERANCE[1]:
        raise OutOfRange(
            f"tolerance = {tolerance} mm, must be {TOLERANCE[0]} to {TOLERANCE[1]} mm: of triangles"
        )
    stand = rigid(place)
    if isinstance(shape_or_mesh, cq.Shape):
        return _of_shape(shape_or_mesh.wrapped, name, tolerance, stand)
    if isinstance(shape_or_mesh, TopoDS_Shape):
        return _of_shape(shape_or_mesh, name, tolerance, stand)
    if isinstance(shape_or_mesh, trimesh.Trimesh):
        return _of_scan(shape_or_mesh.vertices, shape_or_mesh.faces, name, stand)
    if isinstance(shape_or_mesh, Sequence) and len(shape_or_mesh) == 2:
        return _of_scan(shape_or_mesh[0], shape_or_mesh[1], name, stand)
    kind = type(shape_or_mesh).__name__
    raise OutOfRange(f"{name or 'body'} = {kind}, must be a shape, a mesh, or corners and triangles")


def _of_shape(shape: TopoDS_Shape | None, name: str, tolerance: float, stand: Rigid) -> Body:
    if shape is None or shape.IsNull():
        raise OutOfRange(f"{name or 'body'} = an empty shape, must have at least one face")
    where = shape.Location().Transformation()
    rows = np.array([[where.Value(i, j) for j in range(1, 5)] for i in range(1, 4)])
    own = rigid((rows[:, :3], rows[:, 3]))
    base = shape.Located(TopLoc_Location())
    return Body(_core_of(base, tolerance, name), stand @ own, name)


def _core_of(base: TopoDS_Shape, tolerance: float, name: str) -> Core:
    key = (hash(base), tolerance)
    kept = _CORES.get(key)
    if kept is None or not kept[0].IsEqual(base):
        closed = TopExp_Explorer(base, TopAbs_SOLID).More()
        core = Core(base, tri.of_shape(base, tolerance, name), tolerance=tolerance, closed=closed)
        kept = _CORES[key] = (base, core)
        if len(_CORES) > KEPT:
            _CORES.popitem(last=False)
    _CORES.move_to_end(key)
    return kept[1]


def _of_scan(corners: ArrayLike, triples: ArrayLike, name: str, stand: Rigid) -> Body:
    what = name or "mesh"
    xyz, ijk = np.array(corners, dtype=float), np.array(triples)
    wrong = []
    if xyz.ndim != 2 or xyz.shape[1] != 3 or not np.isfinite(xyz).all():
        wrong.append(
            f"{what} = corners of shape {xyz.shape}, must be (n, 3) finite numbers: corners of the mesh"
        )
    if ijk.ndim != 2 or ijk.shape[1] != 3 or len(ijk) == 0 or ijk.dtype.kind not in "iu":
        wrong.append(
            f"{what} = triangles of shape {ijk.shape}, must be (m, 3) whole numbers: corners of each"
        )
    elif not wrong and (ijk.min() < 0 or ijk.max() >= len(xyz)):
        wrong.append(f"{what} = triangle corners {ijk.min()} to {ijk.max()}, must be 0 to {len(xyz) - 1}")
    if wrong:
        raise OutOfRange(*wrong)
    used, back = np.unique(ijk, return_inverse=True)
    welded, where_to = _welded(xyz[used])
    whole = where_to[back.reshape(-1, 3)]
    mesh = tri.of_scan(welded, whole)
    if len(mesh.triples) == 0:
        raise OutOfRange(f"{what} = {len(ijk)} triangles without area, must have at least one with area")
    return Body(Core(None, mesh, tolerance=0.0, closed=_shut(whole, len(welded))), stand, name)


def _shut(triples: Ints, size: int) -> bool:
    """True when every side of every triangle has one other running the opposite way."""
    a, b, c = triples.T
    t = triples[(a != b) & (b != c) & (c != a)]
    sides = np.vstack((t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]))
    there, back = (np.sort(sides[:, i] * size + sides[:, 1 - i]) for i in (0, 1))
    return bool(np.array_equal(there, back))


def _welded(xyz: Array) -> tuple[Array, Ints]:
    """Corners written three times over, as STL does, become one each."""
    kept, back = np.unique(xyz + 0.0, axis=0, return_inverse=True)
    return kept, np.asarray(back.reshape(-1), dtype=np.int64)
