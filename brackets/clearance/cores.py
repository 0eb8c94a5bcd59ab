"""What is heavy about a body, made once and only when asked for: triangles, trees, faces, lumps.

mm, in the axes of the shape it was made from; shared by every placement of the body.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
from manifold3d import Error, Manifold, Mesh64
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.TopAbs import TopAbs_SOLID, TopAbs_VERTEX
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Solid
from OCP.TopTools import TopTools_IndexedMapOfShape
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import ConvexHull, QhullError

from brackets.clearance import exact
from brackets.clearance import triangles as tri
from brackets.clearance.facets import of_face, of_triangles
from brackets.clearance.nearest import Tree
from brackets.clearance.places import Array, Ints, spun
from brackets.clearance.proven import Skin, skin
from brackets.clearance.scan import Scan, in_order
from brackets.core.errors import InputError


class Core:
    """Everything heavy about a body, in its own axes; shared by all its placements."""

    def __init__(
        self,
        shape: TopoDS_Shape | None,
        scan: tri.Triangles | None,
        *,
        tolerance: float,
        closed: bool,
        name: str,
        order: Scan | None = None,
        scanned: str | None = None,
    ) -> None:
        self.shape, self.tolerance, self._scan, self._name = shape, tolerance, scan, name
        self.closed = closed  # without it, what is inside is told by the winding number, or not at all
        self.scanned = scanned  # the side an open scan was seen from, where that was said
        self.notes = () if order is None else order.notes
        self._order = order
        self._trees: dict[int, Tree] = {}
        self._parts: dict[int, exact.Parts] = {}
        self._skins: dict[int, Skin] = {}

    @cached_property
    def mesh(self) -> tri.Triangles:
        if self._scan is not None:
            return self._scan
        return tri.of_shape(self.shape, self.tolerance, self._name)

    @cached_property
    def span(self) -> Array:
        """(k, 3) float: points whose hull holds the true body; the same whatever was asked for before."""
        if self.shape is None:
            return self.rim
        box = Bnd_Box()
        BRepBndLib.Add_s(self.shape, box, False)
        if box.IsVoid():
            raise InputError(f"{self._name or 'body'} = a shape of no size, must have at least one face")
        x0, y0, z0, x1, y1, z1 = box.Get()
        return np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1)])

    @cached_property
    def marks(self) -> Array:
        """(k, 3) float: points of the body's skin, cheaply had."""
        if self.shape is None:
            return self.rim
        found = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(self.shape, TopAbs_VERTEX, found)
        if found.IsEmpty():
            return self.rim
        spots = (BRep_Tool.Pnt_s(TopoDS.Vertex_s(found.FindKey(i))) for i in range(1, found.Extent() + 1))
        return np.array([spot.Coord() for spot in spots])

    @cached_property
    def tree(self) -> Tree:
        return Tree(self.mesh.corners, self.mesh.triples)

    @cached_property
    def shell(self) -> tuple[Array, Ints, int]:
        """Corners (n, 3) and triangles (k, 3) that go round every point a whole number of times, and how many of
        these, the last ones, are lids over what is open."""
        none = np.zeros((0, 3), dtype=np.int64)
        order = self._order
        if order is not None or self.closed:
            lids = none if order is None else order.lids
            return self.mesh.corners, np.vstack((self.mesh.triples, lids)), len(lids)
        order = in_order(self.mesh.corners, self.mesh.triples)  # faces without a solid
        own = int(np.count_nonzero(order.given >= 0))
        return order.corners, np.vstack((order.triples, order.lids)), len(order.triples) - own + len(order.lids)

    @property
    def lids(self) -> Ints:
        """(k, 3) int: the lids alone, into the corners of `shell`."""
        _, triples, count = self.shell
        return triples[len(triples) - count :]

    @cached_property
    def lid_tree(self) -> Tree | None:
        """The lids as a tree: what reaches through them reaches through a hole. None where there are none."""
        return Tree(self.shell[0], self.lids) if len(self.lids) else None

    def prepare(self) -> None:
        """Make now what a first query would make: for timing, and before workers are started."""
        _ = self.tree, self.span, self.marks, self.face_boxes

    def face_tree(self, face: int) -> Tree:
        if len(self.mesh.bounds) == 1:
            return self.tree
        if face not in self._trees:
            self._trees[face] = Tree(*self.mesh.of_face(face))
        return self._trees[face]

    @cached_property
    def faces(self) -> tuple[TopoDS_Face, ...]:
        return () if self.shape is None else tri.faces_of(self.shape)

    def face_parts(self, face: int) -> exact.Parts:
        """One true face, taken apart."""
        if face not in self._parts:
            low, high = self.face_boxes
            bound = float(self.mesh.bounds[face])
            self._parts[face] = exact.parts(
                self.faces[face], low[face], high[face], self.face_tree(face), bound
            )
        return self._parts[face]

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
        corners, triples, _ = self.shell
        seen = corners @ self.askew.T
        x, y = (seen[:, axis][triples] for axis in (0, 1))
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

    def finely(self, times: float) -> float:
        """About how many triangles the body would have at a tolerance so many times finer."""
        counts = np.diff(self.mesh.starts)
        one_way = np.array([exact.bends_one_way(face) for face in self.faces])
        return float((counts * np.where(one_way, np.sqrt(times), times)).sum())

    def skin(self, face: int) -> Skin:
        """One true face, or a patch of a scan, as what a distance is proven from."""
        if face not in self._skins:
            mesh = self.mesh
            if mesh.cuts:
                facets = of_face(*mesh.cuts[face])
            else:
                facets = of_triangles(mesh.corners[mesh.triples[mesh.starts[face] : mesh.starts[face + 1]]])
            self._skins[face] = skin(facets, float(mesh.bounds[face]))
        return self._skins[face]


def _corner_of(solid: TopoDS_Solid) -> Array:
    spot = BRep_Tool.Pnt_s(TopoDS.Vertex_s(TopExp_Explorer(solid, TopAbs_VERTEX).Current()))
    return np.array((spot.X(), spot.Y(), spot.Z()))


def boxes(mesh: tri.Triangles, corners: Array) -> tuple[Array, Array]:
    """Low and high (f, k) of each face's triangles in each column of `corners` (n, k): where the mesh's stand."""
    starts = mesh.starts[:-1]
    filled = np.diff(mesh.starts) > 0
    low, high = (np.full((len(starts), corners.shape[1]), v) for v in (np.inf, -np.inf))
    of_each = corners[mesh.triples]
    low[filled] = np.minimum.reduceat(of_each.min(axis=1), starts[filled], axis=0)
    high[filled] = np.maximum.reduceat(of_each.max(axis=1), starts[filled], axis=0)
    return low, high
