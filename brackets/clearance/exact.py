"""True distance between two faces of solids, or a face and some triangles of a scan, by the solid kernel.

Two faces are taken apart: the faces themselves, a face and an edge, a face and a corner by the kernel; two edges
by `curves`, where the kernel is slow. What the triangles say is too far is not asked about. The caller holds the
outcome to the interval that the triangles give.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepExtrema import BRepExtrema_DistanceSS
from OCP.Extrema import Extrema_ExtAlgo_Grad, Extrema_ExtFlag_MIN
from OCP.GeomAbs import GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_EDGE, TopAbs_ShapeEnum, TopAbs_VERTEX
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from brackets.clearance import curves
from brackets.clearance.places import Array, Transform
from brackets.clearance.triangles import Tree, between

FINE = 1e-7  # mm: the kernel's own
ROOM = 1e-4  # mm: parts of a face this much further away than the best so far are still looked at
ONE = np.array(((0, 1, 2),))
EVERYWHERE = Bnd_Box()
EVERYWHERE.SetWhole()


@dataclass(frozen=True, eq=False)
class Exact:
    """Distance, mm, and the points on the first and the second shape in the first one's axes."""

    distance: float
    p: Array
    q: Array


@dataclass(frozen=True, eq=False)
class Piece:
    """An edge or a corner of a face: its chain as a tree, and `deviation` mm, by which it may be off the chain."""

    shape: TopoDS_Shape
    tree: Tree
    deviation: float
    curve: curves.Curve | None = None


@dataclass(frozen=True, eq=False)
class Parts:
    """A face with its triangles and the distance, mm, it may be from them; box (2, 3) float mm holds the face; own
    axes."""

    face: TopoDS_Face
    box: Array
    tree: Tree
    bound: float

    @cached_property
    def pieces(self) -> tuple[Piece, ...]:
        """Edges, then corners."""
        return tuple(piece for piece, _ in self._with_chains)

    @cached_property
    def balls(self) -> tuple[Array, Array]:
        """Middle (k, 3) and radius (k,) float mm of a ball round each of `pieces`."""
        middles = [(chain.min(axis=0) + chain.max(axis=0)) / 2 for _, chain in self._with_chains]
        reach = [
            float(np.sqrt(np.square(chain - middle).sum(axis=1).max())) + piece.deviation
            for (piece, chain), middle in zip(self._with_chains, middles, strict=True)
        ]
        return np.array(middles).reshape(-1, 3), np.array(reach)

    @cached_property
    def _with_chains(self) -> tuple[tuple[Piece, Array], ...]:
        edges = (TopoDS.Edge_s(edge) for edge in _each(self.face, TopAbs_EDGE))
        drawn = [curves.curve(edge) for edge in edges if not BRep_Tool.Degenerated_s(edge)]
        found = [(Piece(one.edge, _chained(one.points), one.deviation, one), one.points) for one in drawn]
        for corner in _each(self.face, TopAbs_VERTEX):
            spot = np.array(BRep_Tool.Pnt_s(TopoDS.Vertex_s(corner)).Coord()).reshape(1, 3)
            found.append((Piece(corner, _chained(spot), FINE), spot))
        return tuple(found)

    @cached_property
    def bends(self) -> int:
        return curvature_directions(self.face)


def _each(face: TopoDS_Face, kind: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(face, kind, found)
    return (found.FindKey(i) for i in range(1, found.Extent() + 1))


def _chained(points: Array) -> Tree:
    """A chain (k, 3) float, or a point, as triangles without area."""
    count = max(len(points) - 1, 1)
    rows = np.empty((count, 3), dtype=np.int64)
    rows[:, 0] = np.arange(count)
    rows[:, 1] = rows[:, 2] = np.arange(1, count + 1) % len(points)
    return Tree(points, rows)


def apart(a: Parts, b: Parts, across: Transform, limit: float) -> Exact | None:
    """The distance of two faces, b's body placed at `across` in a's axes; None where the kernel finds none.

    limit: mm, an upper bound of the distance; pairs of pieces that are surely further apart are left out.
    """
    there, back = across.location, across.inverse
    near_a, near_b = _near(a, b, back, limit), _near(b, a, across, limit)
    best: Exact | None = None
    for found in _by_edges(near_a, near_b, across, limit):
        best = _nearer(best, found)
    stood = b.face.Moved(there)
    for near, flipped in ((near_a, False), (near_b, True)):
        for least, piece in near:
            reach = limit if best is None else min(limit, best.distance)
            if least > reach + ROOM:
                continue
            one, other = (a.face, piece.shape.Moved(there)) if flipped else (piece.shape, stood)
            best = _nearer(best, _kernel(one, other, reach + 10 * ROOM))
    if a.bends + b.bends <= 1:
        return best  # a plane and what a straight line lies in are nearest where an edge of one is
    reach = limit if best is None else min(limit, best.distance)
    return _nearer(best, _kernel(a.face, stood, reach + 10 * ROOM))


def _near(one: Parts, other: Parts, across: Transform, limit: float) -> list[tuple[float, Piece]]:
    """Edges and corners of a face closer than `limit` (mm) to `other`, placed at `across`, each with a lower bound
    (mm) of its distance."""
    middles, radii = one.balls
    if not len(radii):
        return []
    middles = across.points(middles)
    clear = np.maximum(np.maximum(middles - other.box[1], other.box[0] - middles), 0.0)
    rough = np.sqrt(np.square(clear).sum(axis=1)) - radii
    found = []
    for i in np.flatnonzero(rough <= limit + ROOM).tolist():
        piece = one.pieces[i]
        least = between(other.tree, piece.tree, across).distance - piece.deviation - other.bound - FINE
        if least <= limit + ROOM:
            found.append((least, piece))
    return found


def _nearer(one: Exact | None, other: Exact | None) -> Exact | None:
    if one is None or other is None:
        return one or other
    return one if one.distance <= other.distance else other


def _by_edges(
    near_a: list[tuple[float, Piece]], near_b: list[tuple[float, Piece]], across: Transform, limit: float
) -> Iterator[Exact]:
    for least_a, ours in near_a:
        for least_b, theirs in near_b:
            if ours.curve is None or theirs.curve is None or max(least_a, least_b) > limit + ROOM:
                continue
            found = curves.apart(ours.curve, theirs.curve, across, limit + ROOM)
            if found is not None:
                limit = min(limit, found[0])
                yield Exact(*found)


def _kernel(a: TopoDS_Shape, b: TopoDS_Shape, limit: float) -> Exact | None:
    """The kernel's distance of two pieces without their borders."""
    ask = BRepExtrema_DistanceSS(
        a, b, EVERYWHERE, EVERYWHERE, limit, FINE, Extrema_ExtFlag_MIN, Extrema_ExtAlgo_Grad
    )
    if not ask.IsDone() or ask.Seq1Value().Length() == 0:
        return None
    p, q = (seq.First().Point().Coord() for seq in (ask.Seq1Value(), ask.Seq2Value()))
    return Exact(float(ask.DistValue()), np.array(p), np.array(q))


def bends_one_way(face: TopoDS_Face) -> bool:
    """True for planes, cylinders and cones: the number of triangles grows at most with the root of the fineness."""
    return curvature_directions(face) <= 1


def curvature_directions(face: TopoDS_Face) -> int:
    """Number of directions in which a surface curves: 0 for a plane, 1 for a cylinder or cone, 2 for any other."""
    kind = BRepAdaptor_Surface(face, False).GetType()
    return 0 if kind == GeomAbs_Plane else 1 if kind in (GeomAbs_Cylinder, GeomAbs_Cone) else 2


def flat(corners: Array) -> Parts:
    """One triangle (3, 3) float as a face."""
    round_it = BRepBuilderAPI_MakePolygon(*(gp_Pnt(*(float(v) for v in xyz)) for xyz in corners), True)
    face = BRepBuilderAPI_MakeFace(round_it.Wire(), True).Face()
    return Parts(face, np.array((corners.min(axis=0), corners.max(axis=0))), Tree(corners, ONE), FINE)


def parts(face: TopoDS_Face, low: Array, high: Array, tree: Tree, bound: float) -> Parts:
    """A face of a body with the box of its triangles, the triangles, and the distance, mm, the face may be from
    them."""
    return Parts(face, np.array((low - bound, high + bound)), tree, bound)
