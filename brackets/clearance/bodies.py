"""A body to be cleared: one part, keep-out or scan, made ready once and then placed as often as wanted.

mm; the body's own axes are those of the shape it was made from. Also where straight lines enter and leave it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import cadquery as cq
import numpy as np
from numpy.typing import ArrayLike
from OCP.TopAbs import TopAbs_FACE, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape

from brackets.clearance import triangles as tri
from brackets.clearance.cores import Core
from brackets.clearance.places import IDENTITY, Array, Ints, Transform, direction, transform
from brackets.clearance.scan import in_order
from brackets.clearance.triangles import Nearest, between
from brackets.core.errors import InputError, OutOfRange
from brackets.core.kept import keeps, kept
from brackets.core.recent import Recent

if TYPE_CHECKING:
    import trimesh
    Mesh = trimesh.Trimesh | tuple[ArrayLike, ArrayLike]


TOLERANCE = (1e-3, 5.0)  # mm: finer fills the memory, coarser tells nothing
FINER_MOST = 20_000  # triangles of a body that is cut finer; the kernel's time goes up with the square
SEEN_FROM = ("outside", "inside")  # which side of its skin a scan was made from
KEPT = 256  # shapes whose triangles are remembered; a bay with its variants has about a hundred


@dataclass(frozen=True, eq=False)
class Body:
    """A body at its placement. `bound` mm: the true surface is no further than this from the triangles; `doubts`:
    remarks about the file it came from."""

    core: Core
    place: Transform = IDENTITY
    name: str = ""
    doubts: tuple[str, ...] = ()

    def placed(
        self, place: ArrayLike | tuple[ArrayLike, ArrayLike] | Transform, *, name: str | None = None
    ) -> Body:
        """The same body moved from its present placement; the costly geometry is shared, not made again."""
        return Body(self.core, transform(place) @ self.place, self.name if name is None else name, self.doubts)

    def identity(self) -> object:
        """What it is and where it stands, with what messages call it."""
        return self.core, self.place, self.name, self.doubts

    @property
    def bound(self) -> float:
        return self.core.mesh.bound

    @property
    def closed(self) -> bool:
        return self.core.closed

    @property
    def notes(self) -> tuple[str, ...]:
        """What was found wrong with a scan and mended, in sentences."""
        return self.core.notes

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
        span = self.place.points(self.core.span)
        return np.array((span.min(axis=0), span.max(axis=0)))

    @cached_property
    def tips(self) -> Array:
        """(6, 3) float mm: the extreme vertices along each axis, two an axis."""
        corners = self.place.points(self.core.vertices)
        return np.asarray(corners[np.concatenate((corners.argmin(axis=0), corners.argmax(axis=0)))])


def finer(of: Body, faces: Sequence[int] | None = None) -> Body:
    """The same body, or those faces of it alone, with triangles ten times as fine; the body itself where it is a
    scan or the triangles would be too many."""
    core = of.core
    if core.shape is None or core.tolerance <= TOLERANCE[0] or of.bound <= tri.FLAT:
        return of
    if core.triangle_count_at(10, faces) > FINER_MOST:
        return of
    fine = max(TOLERANCE[0], core.tolerance / 10)
    found = _core_of(core.shape, fine, of.name) if faces is None else core.of_faces(faces, fine)
    return Body(found, of.place, of.name, of.doubts)


def skins(a: Body, b: Body) -> Nearest:
    """The nearest points of two bodies' triangles, bay axes."""
    across = a.place.inverse @ b.place
    near = kept("nearest", lambda: between(a.core.tree, b.core.tree, across), a.core, b.core, across)
    p, q = a.place.points(np.array((near.p, near.q)))
    return Nearest(near.distance, p, q, near.on_a, near.on_b)


_CORES: Recent[tuple[int, float], tuple[TopoDS_Shape, Core]] = Recent(KEPT)


def body(
    shape_or_mesh: cq.Shape | TopoDS_Shape | Mesh,
    *,
    name: str = "",
    tolerance: float = 0.05,
    place: ArrayLike | tuple[ArrayLike, ArrayLike] | Transform = IDENTITY,
    scanned: str | None = None,
    doubts: tuple[str, ...] = (),
) -> Body:
    """A body to be cleared, made ready from a solid or a scan and placed.

    shape_or_mesh: a solid (by `shape`), a trimesh, or corners (n, 3) float mm and triangles (m, 3) int; name: what
    results call it; tolerance: mm, about, within which the triangles of a solid lie, 0.001 to 5 (its true faces are
    kept too); place: where it stands, as for `transform`; scanned: the side a scan was seen from, "outside" (what
    it encloses is metal), "inside" (what it encloses is room) or None (not known; matters where it is open);
    doubts: what is to be said of its file. A scan is put in order first; a shape seen before, in any place, is not
    prepared again. Raises InputError for a mirrored place, an empty shape, a bad mesh, and another `tolerance` or
    `scanned`.

    >>> block = body(shape(plate(rectangle(20, 10), 5)), name="block", place=Place(at=(0, 0, 12)).matrix())
    >>> block.box.round(3).tolist(), block.closed  # lowest and highest corner
    ([[-10.0, -5.0, 12.0], [10.0, 5.0, 17.0]], True)
    """
    if scanned not in (None, *SEEN_FROM):
        raise InputError(f"scanned = {scanned}, must be {' or '.join(SEEN_FROM)}: the side a scan was seen from")
    if not TOLERANCE[0] <= tolerance <= TOLERANCE[1]:
        raise OutOfRange(
            f"tolerance = {tolerance} mm, must be {TOLERANCE[0]} to {TOLERANCE[1]} mm: of triangles"
        )
    stand = transform(place)
    if isinstance(shape_or_mesh, cq.Shape):
        return replace(_of_shape(shape_or_mesh.wrapped, name, tolerance, stand), doubts=doubts)
    if isinstance(shape_or_mesh, TopoDS_Shape):
        return replace(_of_shape(shape_or_mesh, name, tolerance, stand), doubts=doubts)
    if isinstance(shape_or_mesh, Sequence) and len(shape_or_mesh) == 2:
        return _of_scan(shape_or_mesh[0], shape_or_mesh[1], name, stand, scanned, doubts)
    if hasattr(shape_or_mesh, "vertices") and hasattr(shape_or_mesh, "faces"):
        return _of_scan(shape_or_mesh.vertices, shape_or_mesh.faces, name, stand, scanned, doubts)
    kind = type(shape_or_mesh).__name__
    raise InputError(f"{name or 'body'} = {kind}, must be a shape, a mesh, or corners and triangles")


def forget() -> None:
    """Forget every remembered shape."""
    _CORES.clear()


def _of_shape(shape: TopoDS_Shape | None, name: str, tolerance: float, stand: Transform) -> Body:
    if shape is None or shape.IsNull() or not TopExp_Explorer(shape, TopAbs_FACE).More():
        raise InputError(f"{name or 'body'} = an empty shape, must have at least one face")
    where = shape.Location().Transformation()
    rows = np.array([[where.Value(i, j) for j in range(1, 5)] for i in range(1, 4)])
    own = transform((rows[:, :3], rows[:, 3]))
    base = shape.Located(TopLoc_Location())
    return Body(_core_of(base, tolerance, name), stand @ own, name)


def _core_of(base: TopoDS_Shape, tolerance: float, name: str) -> Core:
    key = (hash(base), tolerance)
    seen = _CORES.get(key)
    if seen is None or not seen[0].IsEqual(base):
        closed = TopExp_Explorer(base, TopAbs_SOLID).More()
        seen = _CORES.put(key, (base, Core(base, None, tolerance=tolerance, closed=closed, name=name)))
    return seen[1]


def _of_scan(
    corners: ArrayLike,
    triples: ArrayLike,
    name: str,
    stand: Transform,
    scanned: str | None = None,
    doubts: tuple[str, ...] = (),
) -> Body:
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
        raise InputError(*wrong)
    used, back = np.unique(ijk, return_inverse=True)
    welded, where_to = _welded(xyz[used])
    whole = where_to[back.reshape(-1, 3)]
    if not tri.areas(welded, whole).any():
        raise InputError(f"{what} = {len(ijk)} triangles without area, must have at least one with area")
    found = in_order(welded, whole.astype(np.int64))
    mesh = tri.of_scan(found.corners, found.triples)
    mesh = replace(mesh, given=found.given[mesh.given])
    seen = scanned if len(found.lids) else None
    core = Core(None, mesh, tolerance=0.0, closed=not len(found.lids), name=name, order=found, scanned=seen)
    return Body(core, stand, name, doubts)


def _welded(xyz: Array) -> tuple[Array, Ints]:
    """Merge corners that are written once for each triangle, as STL does."""
    xyz = np.ascontiguousarray(xyz + 0.0)
    bits = xyz.view(np.int64)
    _, first, back = np.unique((bits * tri.SPREAD).sum(axis=1), return_index=True, return_inverse=True)
    if not np.array_equal(xyz[first][back], xyz):  # two corners with one key
        _, first, back = np.unique(xyz, axis=0, return_index=True, return_inverse=True)
    return xyz[first], np.asarray(back.reshape(-1), dtype=np.int64)


@keeps("crossings")
def crossings(body: Body, starts: ArrayLike, along: ArrayLike) -> tuple[Array, ...]:
    """For each of `starts` (n, 3): the distances (k,) mm, rising, at which the line along `along` meets the
    surface ahead.

    Within the triangles' bound; a line through the common edge of two triangles may count there twice.
    """
    way, corners = direction(along, "along"), body.corners
    a, b, c = (corners[body.triples[:, i]] for i in range(3))
    side, other = b - a, c - a
    across = np.cross(way, other)
    level = np.einsum("ij,ij->i", side, across)
    kept = np.abs(level) > 0  # the others lie along the line
    a, side, other, across, level = a[kept], side[kept], other[kept], across[kept], level[kept]
    found = []
    for start in np.asarray(starts, dtype=float):
        off = start - a
        u = np.einsum("ij,ij->i", off, across) / level
        near = np.flatnonzero((u >= 0) & (u <= 1))
        turned = np.cross(off[near], side[near])
        v = turned @ way / level[near]
        far = np.einsum("ij,ij->i", other[near], turned) / level[near]
        found.append(np.sort(far[(v >= 0) & (u[near] + v <= 1) & (far >= 0)]))
    return tuple(found)
