"""Geometry of a body that is costly to make: triangles, trees, faces, lumps; each made once, on first use.

mm, in the axes of the shape it was made from; shared by every placement of the body.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from manifold3d import Error, Manifold, Mesh64
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.TopAbs import TopAbs_SOLID, TopAbs_VERTEX
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Face, TopoDS_Shape, TopoDS_Solid
from OCP.TopTools import TopTools_IndexedMapOfShape
from scipy.spatial import ConvexHull, QhullError

from brackets.clearance import exact
from brackets.clearance import triangles as tri
from brackets.clearance.facets import of_face, of_triangles
from brackets.clearance.hulls import Hull, hulls_of
from brackets.clearance.metal import Metal, metals_of
from brackets.clearance.places import Array, Bools, Ints, spun
from brackets.clearance.proven import Skin, skin
from brackets.clearance.scan import Scan, in_order
from brackets.clearance.triangles import Tree
from brackets.core.errors import InputError
from brackets.core.identity import identity
from brackets.core.kept import kept
from brackets.kernel.brep import content_of
from brackets.kernel.components import components


class Core:
    """The costly geometry of a body, in its own axes; shared by all its placements."""

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
        content: str | None = None,
    ) -> None:
        self.shape, self.tolerance, self._scan, self._name = shape, tolerance, scan, name
        self.closed = closed  # without it, what is inside is told by the winding number, or not at all
        self.scanned = scanned  # the side an open scan was seen from, where that was said
        self.notes = () if order is None else order.notes
        self._order = order
        self._trees: dict[int, Tree] = {}
        self._parts: dict[int, exact.Parts] = {}
        self._skins: dict[int, Skin] = {}
        self._made_of = content

    def identity(self) -> str:
        """What it is, whatever has been worked out of it."""
        return self._content

    @cached_property
    def _content(self) -> str:
        if self._made_of is not None:
            return self._made_of
        if self.shape is not None:
            return identity("solid", content_of(self.shape), self.tolerance)
        mesh, order = self.mesh, self._order
        opened = () if order is None else (order.corners, order.triples, order.lids, order.given)
        return identity("scan", mesh.corners, mesh.triples, mesh.starts, opened, self.closed, self.scanned)

    @cached_property
    def mesh(self) -> tri.Triangles:
        if self._scan is not None:
            return self._scan
        return kept("triangles", lambda: replace(self._cut_up, cuts=()), self)

    @cached_property
    def _cut_up(self) -> tri.Triangles:
        """The triangles with the faces they were cut from, which only a proof asks for."""
        return tri.of_shape(self.shape, self.tolerance, self._name)

    @cached_property
    def span(self) -> Array:
        """(k, 3) float mm: points whose convex hull contains the true body. The same whatever else has been
        computed."""
        if self.shape is None:
            return self.hull_points
        box = Bnd_Box()
        BRepBndLib.Add_s(self.shape, box, False)
        if box.IsVoid():
            raise InputError(f"{self._name or 'body'} = a shape of no size, must have at least one face")
        x0, y0, z0, x1, y1, z1 = box.Get()
        return np.array([(x, y, z) for x in (x0, x1) for y in (y0, y1) for z in (z0, z1)])

    @cached_property
    def vertices(self) -> Array:
        """(k, 3) float mm: points on the body's surface that cost little: its vertices."""
        if self.shape is None:
            return self.hull_points
        found = TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(self.shape, TopAbs_VERTEX, found)
        if found.IsEmpty():
            return self.hull_points
        spots = (BRep_Tool.Pnt_s(TopoDS.Vertex_s(found.FindKey(i))) for i in range(1, found.Extent() + 1))
        return np.array([spot.Coord() for spot in spots])

    @cached_property
    def tree(self) -> Tree:
        return Tree(self.mesh.corners, self.mesh.triples)

    @cached_property
    def shell(self) -> tuple[Array, Ints, int]:
        """Corners (n, 3) mm and triangles (k, 3) of a closed surface (its winding number is whole everywhere), and
        how many of the triangles, the last ones, are lids over its openings."""
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
        """The lids as a tree: a body that crosses a lid reaches through an opening. None where there are no
        lids."""
        return Tree(self.shell[0], self.lids) if len(self.lids) else None

    def prepare(self) -> None:
        """Compute now what the first query would: for timing, and before workers are started."""
        _ = self.tree, self.span, self.vertices, self.face_boxes, self.hulls, self.metals

    def face_tree(self, face: int) -> Tree:
        if len(self.mesh.bounds) == 1:
            return self.tree
        if face not in self._trees:
            self._trees[face] = Tree(*self.mesh.of_face(face))
        return self._trees[face]

    @cached_property
    def faces(self) -> tuple[TopoDS_Face, ...]:
        return () if self.shape is None else tri.faces_of(self.shape)

    @cached_property
    def hulls(self) -> tuple[Hull, ...]:
        """Of each solid, from its edges; none of a scan, or where one cannot be told."""
        return () if self.shape is None else hulls_of(self.shape, self.faces)

    @cached_property
    def metals(self) -> tuple[Metal, ...]:
        """Of each solid, to tell points in it without triangles; none where that cannot be told."""
        return metals_of(self.hulls, self.solids, len(self.faces))

    def face_parts(self, face: int) -> exact.Parts:
        """A face of the solid with what `exact` needs to know of it."""
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
    def classifiers(self) -> tuple[BRepClass3d_SolidClassifier, ...]:
        return tuple(BRepClass3d_SolidClassifier(solid) for solid in self.solids)

    @cached_property
    def face_boxes(self) -> tuple[Array, Array]:
        """Low and high corner of each face's triangles, (f, 3) float each."""
        return boxes(self.mesh, self.mesh.corners)

    @cached_property
    def hull_points(self) -> Array:
        """(k, 3) float mm: corners of the convex hull of the triangles, or all corners where these are few."""
        corners = self.mesh.corners[np.unique(self.mesh.triples)]
        if len(corners) < 32:
            return corners
        try:
            return np.asarray(corners[np.sort(ConvexHull(corners).vertices)])
        except QhullError:  # a flat scan has no hull in space
            return corners

    @cached_property
    def lumps(self) -> tuple[Array, ...]:
        """A point (3,) mm on the surface of each connected component."""
        if self.solids:
            return tuple(_corner_of(solid) for solid in self.solids)
        t = self.mesh.triples
        _, label = components(len(self.mesh.corners), t[:, :2].T.reshape(-1), t[:, 1:].T.reshape(-1))
        _, first = np.unique(label[t[:, 0]], return_index=True)
        return tuple(self.mesh.corners[t[i, 0]] for i in first)

    @cached_property
    def projected(self) -> tuple[Array, Array]:
        """Corners of `shell` in `ray_frame`, (n, 3) float mm, and the box of each triangle across the ray, (4, m)
        float mm: low x, high x, low y, high y."""
        corners, triples, _ = self.shell
        seen = corners @ self.ray_frame.T
        x, y = (seen[:, axis][triples] for axis in (0, 1))
        return seen, np.array((x.min(axis=1), x.max(axis=1), y.min(axis=1), y.max(axis=1)))

    @property
    def ray_frame(self) -> Array:
        """(3, 3) float: rotation into the axes in which rays run along z; askew, so that rays miss edges drawn
        square."""
        return spun(np.array((2.0, 3.0, 6.0)) / 7.0, 1.2345)

    @cached_property
    def manifold(self) -> Manifold | None:
        """The triangles as a solid for booleans, or None where they are not closed."""
        if not self.closed:
            return None
        found = Manifold(Mesh64(self.mesh.corners, self.mesh.triples.astype(np.uint64)))
        if found.status() != Error.NoError or found.is_empty():
            return None
        return found if found.volume() > 0 else None

    def of_faces(self, faces: Sequence[int], tolerance: float) -> Core:
        """Some faces of the solid by themselves, with triangles within `tolerance` mm."""
        chosen, builder = TopoDS_Compound(), BRep_Builder()
        builder.MakeCompound(chosen)
        for face in faces:
            builder.Add(chosen, self.faces[face])
        content = identity("faces", self, list(faces), tolerance)
        return Core(chosen, None, tolerance=tolerance, closed=False, name=self._name, content=content)

    def triangle_count_at(self, times: float, faces: Sequence[int] | None = None) -> float:
        """Estimated number of triangles of the body, or of some of its faces, at a tolerance `times` finer."""
        counts = np.diff(self.mesh.starts) * np.where(self._bends_one_way, np.sqrt(times), times)
        return float(counts.sum() if faces is None else counts[list(faces)].sum())

    @cached_property
    def _bends_one_way(self) -> Bools:
        """(f,) whether each face is curved in one direction only."""
        return np.array([exact.bends_one_way(face) for face in self.faces])

    def skin(self, face: int) -> Skin:
        """A face of the solid, or a patch of a scan, in the form `proven` works on."""
        if face not in self._skins:
            mesh = self.mesh
            if self.shape is not None:
                facets = of_face(*self._cut_up.cuts[face])
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
