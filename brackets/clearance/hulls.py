"""Convex hulls of solids, from their edges: no triangle is needed.

No point inside a plane, a cylinder, a cone or a surface of extrusion is a corner of the hull: a straight line of
the face runs through it. So vertices, arcs and what holds the other edges make the hull, with the whole ball or
ring of each sphere and torus and the poles of each spline. It may be larger than the body's own, as where a dome is
less than half a ball, never smaller. mm, the axes of the shape.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepTopAdaptor import BRepTopAdaptor_FClass2d
from OCP.GeomAbs import (
    GeomAbs_BSplineCurve,
    GeomAbs_BSplineSurface,
    GeomAbs_Circle,
    GeomAbs_Cone,
    GeomAbs_Cylinder,
    GeomAbs_Ellipse,
    GeomAbs_Line,
    GeomAbs_Plane,
    GeomAbs_Sphere,
    GeomAbs_SurfaceOfExtrusion,
    GeomAbs_Torus,
)
from OCP.gp import gp_Pnt2d
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_IN, TopAbs_ON, TopAbs_ShapeEnum, TopAbs_SOLID
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape, TopoDS_Vertex
from OCP.TopTools import TopTools_IndexedMapOfShape

from brackets.clearance.places import Array
from brackets.clearance.surfaces import Surface, surface

Vec = tuple[float, float, float]

RULED = (GeomAbs_Plane, GeomAbs_Cylinder, GeomAbs_Cone, GeomAbs_SurfaceOfExtrusion)
LOOSE = 1e-4  # mm: edges that lie off their faces by more say too little of them
ON_FACE = 1e-6  # mm: a point this near a face is on it
FINE = 1e-7  # of a face's parameters: a point this near its border is on it
CHORDS = 48  # of an ellipse
FULL = -2.0  # cosine of half an arc that goes all round: less than any


class Unknown(Exception):  # noqa: N818  (an answer, not an error)
    """The hull of a shape cannot be told from its edges."""


@dataclass(frozen=True, eq=False)
class Arcs:
    """Arcs of circles: centre, axis and unit vector to the middle (a, 3), radius mm, cosine of half the arc, and
    the radius of a ring round it (a,)."""

    centre: Array
    axis: Array
    middle: Array
    radius: Array
    half: Array
    thick: Array


@dataclass(frozen=True, eq=False)
class Hull:
    """Balls (middle `spots` (k, 3), radius `swell` (k,)) and arcs whose convex hull contains a solid.

    at: numbers of the faces that each ball and then each arc belongs to; sure: whether it lies on the body by
    itself; sides: pairs of balls that a straight edge joins; faces by their number; loose: mm, the edges lie off
    their faces by no more.
    """

    spots: Array
    swell: Array
    arcs: Arcs
    at: tuple[frozenset[int], ...]
    sure: tuple[bool, ...]
    sides: frozenset[frozenset[int]]
    faces: Mapping[int, TopoDS_Face]
    loose: float

    @cached_property
    def box(self) -> Array:
        """(2, 3) float mm: lowest and highest corner of what holds it."""
        swell, reach = self.swell[:, None], (self.arcs.radius + self.arcs.thick)[:, None]
        low = np.concatenate((self.spots - swell, self.arcs.centre - reach))
        high = np.concatenate((self.spots + swell, self.arcs.centre + reach))
        return np.array((low.min(axis=0), high.max(axis=0)))

    @cached_property
    def _trims(self) -> dict[int, tuple[Surface, BRepTopAdaptor_FClass2d]]:
        return {}

    @cached_property
    def middles(self) -> Array:
        """(k + a, 3) float mm: of the balls, then of the arcs."""
        return np.concatenate((self.spots, self.arcs.centre))

    @cached_property
    def thick(self) -> Array:
        """(k + a,) float mm: radius of each ball, and of the ring round each arc."""
        return np.concatenate((self.swell, self.arcs.thick))

    @cached_property
    def ways(self) -> Array:
        """(2 a, 3) float: axes of the arcs, then the unit vectors to their middles."""
        return np.concatenate((self.arcs.axis, self.arcs.middle))

    def holds(self, spot: Array, of: Sequence[int]) -> int | None:
        """The face of the body that `spot` lies on, a point between points of the balls and arcs `of`; None where
        that is not sure."""
        if len(of) == 1 and self.sure[of[0]]:
            return min(self.at[of[0]])
        common = frozenset.intersection(*(self.at[i] for i in of))
        if common and len(of) == 2 and frozenset(of) in self.sides:
            return min(common)
        near = frozenset.union(*(self.at[i] for i in of)) - common
        for some in (common, near, self.faces.keys() - common - near):
            for face in sorted(some):
                if self.is_on(face, spot):
                    return face
        return None

    def is_on(self, face: int, spot: Array) -> bool:
        if face not in self._trims:
            self._trims[face] = surface(self.faces[face]), BRepTopAdaptor_FClass2d(self.faces[face], FINE)
        lies_on, trim = self._trims[face]
        foot = lies_on.foot(spot)
        if foot is None or float(np.abs(foot - spot).max()) > ON_FACE:
            return False
        return trim.Perform(gp_Pnt2d(*lies_on.parameters(foot)), True) in (TopAbs_IN, TopAbs_ON)


def hulls_of(shape: TopoDS_Shape, faces: Sequence[TopoDS_Face]) -> tuple[Hull, ...]:
    """Of each solid, or of all of a shape with faces outside of solids; none where one cannot be told."""
    whole = _each(shape, TopAbs_FACE)
    own = [_each(solid, TopAbs_FACE) for solid in _keys(_each(shape, TopAbs_SOLID))]
    if sum(some.Extent() for some in own) != len(faces):
        own = [whole]
    try:
        return tuple(_hull({n - 1: faces[n - 1] for n in map(whole.FindIndex, _keys(some))}) for some in own)
    except Unknown:
        return ()


def _each(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> TopTools_IndexedMapOfShape:
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, kind, found)
    return found


def _keys(found: TopTools_IndexedMapOfShape) -> list[TopoDS_Shape]:
    return [found.FindKey(i) for i in range(1, found.Extent() + 1)]


@dataclass(frozen=True)
class _Arc:
    """Centre, axis, middle; radius, cosine of half of it, thickness; its faces, and whether it is an edge."""

    frame: tuple[Vec, Vec, Vec]
    sizes: tuple[float, float, float]
    of: frozenset[int]
    is_edge: bool


class _Gathered:
    """What the edges and faces of a solid add to its hull."""

    def __init__(self) -> None:
        self.corners, self.edges = TopTools_IndexedMapOfShape(), TopTools_IndexedMapOfShape()
        self.at_corner: list[set[int]] = []
        self.at_edge: list[set[int]] = []
        self.ends: list[tuple[int, ...]] = []
        self.balls: list[tuple[Vec, float, frozenset[int]]] = []
        self.arcs: list[_Arc] = []
        self.loose = 0.0

    def edge(self, edge: TopoDS_Edge, face: int) -> None:
        found = self.edges.Add(edge) - 1
        if found == len(self.at_edge):
            self.at_edge.append(set())
            ends = TopExp.FirstVertex_s(edge), TopExp.LastVertex_s(edge)
            self.ends.append(tuple(self.corner(end) for end in ends))
            self.loose = max(self.loose, BRep_Tool.Tolerance_s(edge))
        self.at_edge[found].add(face)
        for end in self.ends[found]:
            self.at_corner[end].add(face)

    def corner(self, vertex: TopoDS_Vertex) -> int:
        if vertex.IsNull():
            raise Unknown
        found = int(self.corners.Add(vertex)) - 1
        if found == len(self.at_corner):
            self.at_corner.append(set())
            self.loose = max(self.loose, BRep_Tool.Tolerance_s(vertex))
        return found


def _hull(faces: dict[int, TopoDS_Face]) -> Hull:
    seen = _Gathered()
    for number, face in faces.items():
        walk = TopExp_Explorer(face, TopAbs_EDGE)
        while walk.More():
            seen.edge(TopoDS.Edge_s(walk.Current()), number)
            walk.Next()
        _bulge(seen, face, number)
    sides = set()
    for i, at in enumerate(seen.at_edge):
        edge = TopoDS.Edge_s(seen.edges.FindKey(i + 1))
        if not BRep_Tool.Degenerated_s(edge) and _bow(seen, BRepAdaptor_Curve(edge), frozenset(at)):
            sides.add(frozenset(seen.ends[i]))
    if seen.loose > LOOSE or not seen.at_corner:
        raise Unknown
    corners = (TopoDS.Vertex_s(corner) for corner in _keys(seen.corners))
    spots = [BRep_Tool.Pnt_s(corner).Coord() for corner in corners]
    balls, arcs = seen.balls, seen.arcs
    lines = (np.array([arc.frame[k] for arc in arcs], dtype=float).reshape(-1, 3) for k in range(3))
    sizes = (np.array([arc.sizes[k] for arc in arcs], dtype=float) for k in range(3))
    return Hull(
        np.array([*spots, *(middle for middle, _, _ in balls)], dtype=float).reshape(-1, 3),
        np.array([*(0.0 for _ in spots), *(radius for _, radius, _ in balls)]),
        Arcs(*lines, *sizes),
        (*map(frozenset, seen.at_corner), *(of for _, _, of in balls), *(arc.of for arc in arcs)),
        (*(True for _ in spots), *(False for _ in balls), *(arc.is_edge for arc in arcs)),
        frozenset(sides),
        faces,
        seen.loose,
    )


def _bulge(seen: _Gathered, face: TopoDS_Face, number: int) -> None:
    """Adds what holds the inside of a face that no straight line of it runs through."""
    adaptor = BRepAdaptor_Surface(face, False)
    kind, of = adaptor.GetType(), frozenset((number,))
    if kind in RULED:
        return
    if kind == GeomAbs_Sphere:
        ball = adaptor.Sphere()
        seen.balls.append((ball.Location().Coord(), ball.Radius(), of))
    elif kind == GeomAbs_Torus:
        ring = adaptor.Torus()
        frame = (ring.Location().Coord(), ring.Axis().Direction().Coord(), ring.XAxis().Direction().Coord())
        seen.arcs.append(_Arc(frame, (ring.MajorRadius(), FULL, ring.MinorRadius()), of, False))
    elif kind == GeomAbs_BSplineSurface:
        spline = adaptor.BSpline()
        if spline.IsURational() or spline.IsVRational():
            raise Unknown
        for i in range(1, spline.NbUPoles() + 1):
            for j in range(1, spline.NbVPoles() + 1):
                seen.balls.append((spline.Pole(i, j).Coord(), 0.0, of))
    else:
        raise Unknown


def _bow(seen: _Gathered, curve: BRepAdaptor_Curve, of: frozenset[int]) -> bool:
    """Adds what holds an edge besides its ends; whether it is straight."""
    kind = curve.GetType()
    if kind == GeomAbs_Line:
        return True
    first, last = curve.FirstParameter(), curve.LastParameter()
    if kind == GeomAbs_Circle:
        circle = curve.Circle()
        centre, radius = circle.Location().Coord(), circle.Radius()
        x, y, z = ((a - b) / radius for a, b in zip(curve.Value((first + last) / 2).Coord(), centre, strict=True))
        half = FULL if last - first > 2 * math.pi - 1e-9 else math.cos((last - first) / 2)
        frame = (centre, circle.Axis().Direction().Coord(), (x, y, z))
        seen.arcs.append(_Arc(frame, (radius, half, 0.0), of, True))
    elif kind == GeomAbs_Ellipse:
        sag = curve.Ellipse().MajorRadius() * ((last - first) / CHORDS) ** 2 / 8
        for at in np.linspace(first, last, CHORDS + 1).tolist():
            seen.balls.append((curve.Value(at).Coord(), sag, of))
    elif kind == GeomAbs_BSplineCurve and not curve.BSpline().IsRational():
        spline = curve.BSpline()
        seen.balls += [(spline.Pole(i).Coord(), 0.0, of) for i in range(1, spline.NbPoles() + 1)]
    else:
        raise Unknown
    return False
