"""The triangles of a face with their parameters, each with a proven bound of the face's distance, and how they are
halved.

The face over a triangle is at most `deviation` mm from it: the sag of the surface over those parameters, and, at
the rim, the sag of the bounding curve from its chord. Halving a side puts a new corner on the true surface, or on
the true curve, so that the bound shrinks with the square of the side. mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.Geom2dAdaptor import Geom2dAdaptor_Curve
from OCP.GeomAbs import GeomAbs_BSplineCurve, GeomAbs_Circle, GeomAbs_Ellipse, GeomAbs_Line
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face

from brackets.clearance.places import Array, Bools, Ints
from brackets.clearance.surfaces import UNPROVEN, Surface, longest, surface, twice
from brackets.kernel.patches import Patch

SAMPLES = 17  # places at which the bend of a bounding curve without a closed form is sampled


@dataclass(frozen=True, eq=False)
class Rim:
    """A curve that bounds a face and is not straight in its parameters: no second derivative is longer than `bend`.
    `nodes` are the corners of the triangles along it, `at` their places on it."""

    drawn: Any
    bend: float
    proven: bool
    nodes: list[int]
    at: list[float]
    circle: tuple[Array, Array, float] | None = None  # its middle, its axis and radius, where it is one

    @property
    def deviation(self) -> float:
        """mm: the curve is no further from its chords."""
        return self.bend * float(np.square(np.diff(self.at)).max(initial=0.0)) / 8


@dataclass(frozen=True, eq=False)
class Facets:
    """Parameters uv (n, 3, 2), corners xyz (n, 3, 3), deviation (n,) float mm; the rim each side from corner k to
    the next is a chord of (n, 3) int, -1 for none, and from where to where on it (n, 3, 2) float."""

    of: Surface | None
    rims: tuple[Rim, ...]
    uv: Array
    xyz: Array
    rim: Ints
    at: Array

    @cached_property
    def bulges(self) -> Array:
        """(n, 3) float mm: sag of the bounding curve from each side that is its chord."""
        if not self.rims:
            return np.zeros(self.rim.shape)
        bend = np.array([*(one.bend for one in self.rims), 0.0])[self.rim]
        return np.asarray(bend * np.square(self.at[..., 1] - self.at[..., 0]) / 8)

    @cached_property
    def deviation(self) -> Array:
        """(n,) float mm: the face over a triangle is no further from it."""
        if self.of is None:
            return np.zeros(len(self.xyz))
        return np.asarray(self.of.sags(self.uv) + self.bulges.max(axis=1))

    @cached_property
    def balls(self) -> tuple[Array, Array]:
        """Centre (n, 3) and radius (n,) mm of a ball round each triangle that holds the face over it."""
        middle = self.xyz.mean(axis=1)
        reach = np.sqrt(np.square(self.xyz - middle[:, None]).sum(axis=2).max(axis=1))
        return middle, reach + self.deviation

    def some(self, which: Ints | Bools) -> Facets:
        return Facets(self.of, self.rims, self.uv[which], self.xyz[which], self.rim[which], self.at[which])

    def joined(self, more: Facets) -> Facets:
        pairs = ((getattr(self, name), getattr(more, name)) for name in ("uv", "xyz", "rim", "at"))
        return Facets(self.of, self.rims, *(np.concatenate(both) for both in pairs))

    def halved(self) -> Facets:
        """Twice as many: triangle i becomes i and i + n, cut across the side with the largest sag."""
        assert self.of is not None
        n, each = len(self.uv), np.arange(len(self.uv))
        side = (self.of.side_sags(self.uv) + self.bulges).argmax(axis=1)
        turn = (side[:, None] + np.arange(3)) % 3  # the side to halve goes from corner 0 to corner 1
        uv, xyz = self.uv[each[:, None], turn], self.xyz[each[:, None], turn]
        rim, at = self.rim[each[:, None], turn], self.at[each[:, None], turn]
        middle = (uv[:, 0] + uv[:, 1]) / 2
        half = at[:, 0].mean(axis=1)
        for i in np.flatnonzero(rim[:, 0] >= 0).tolist():
            spot = self.rims[rim[i, 0]].drawn.Value(float(half[i]))
            middle[i] = spot.X(), spot.Y()
        there = self.of.points(middle)
        # of a line, whose third corner is one of the other two, each half is a line again
        thirds = [np.all(uv[:, 2] == uv[:, k], axis=1)[:, None] for k in (1, 0)]
        uv_1, uv_2 = (np.where(line, middle, uv[:, 2]) for line in thirds)
        xyz_1, xyz_2 = (np.where(line, there, xyz[:, 2]) for line in thirds)
        none, naught = np.full(n, -1), np.zeros((n, 2))
        first, second = at[:, 0].copy(), at[:, 0].copy()
        first[:, 1] = second[:, 0] = half
        return Facets(
            self.of,
            self.rims,
            np.concatenate((np.stack((uv[:, 0], middle, uv_1), 1), np.stack((middle, uv[:, 1], uv_2), 1))),
            np.concatenate((np.stack((xyz[:, 0], there, xyz_1), 1), np.stack((there, xyz[:, 1], xyz_2), 1))),
            np.concatenate((np.stack((rim[:, 0], none, rim[:, 2]), 1), np.stack((rim[:, 0], rim[:, 1], none), 1))),
            np.concatenate((np.stack((first, naught, at[:, 2]), 1), np.stack((second, at[:, 1], naught), 1))),
        )


def of_triangles(xyz: Array) -> Facets:
    """Facets of scan triangles (n, 3, 3), which are the surface themselves: deviation 0."""
    n = len(xyz)
    return Facets(None, (), np.zeros((n, 3, 2)), xyz, np.full((n, 3), -1), np.zeros((n, 3, 2)))


def of_face(face: TopoDS_Face, cut: Patch) -> Facets:
    """Facets of the triangles a face was cut up into, with those of no area (at a pole): they have parameters
    too."""
    lies_on, rims = surface(face), rims_of(face, cut)
    flat = np.array([cut.kept.UVNode(i + 1).Coord() for i in range(len(cut.corners))])
    rim, at = np.full(cut.triples.shape, -1), np.zeros((*cut.triples.shape, 2))
    along = {
        (i, j): (number, s, t)
        for number, one in enumerate(rims)
        for i, j, s, t in zip(one.nodes, one.nodes[1:], one.at, one.at[1:], strict=False)
    }
    if along:
        for k, triple in enumerate(cut.triples.tolist()):
            for side in range(3):
                i, j = triple[side], triple[(side + 1) % 3]
                if (i, j) in along:
                    rim[k, side], *at[k, side] = along[i, j]
                elif (j, i) in along:
                    rim[k, side], at[k, side, 1], at[k, side, 0] = along[j, i]
    return Facets(lies_on, rims, flat[cut.triples], cut.corners[cut.triples], rim, at)


def rims_of(face: TopoDS_Face, cut: Patch) -> tuple[Rim, ...]:
    """The bounding curves of a face that are not straight in its parameters."""
    found = []
    walk = TopExp_Explorer(face, TopAbs_EDGE)
    while walk.More():
        edge = TopoDS.Edge_s(walk.Current())
        walk.Next()
        if BRep_Tool.Degenerated_s(edge):
            continue
        drawn = BRep_Tool.CurveOnSurface_s(edge, face, 0.0, 0.0)
        run = BRep_Tool.PolygonOnTriangulation_s(edge, cut.kept, cut.place)
        if drawn is None or run is None or not run.HasParameters():
            continue
        if Geom2dAdaptor_Curve(drawn).GetType() == GeomAbs_Line:
            continue
        curve = BRepAdaptor_Curve(edge)
        each = range(1, run.NbNodes() + 1)
        nodes, at = [run.Node(i) - 1 for i in each], [run.Parameter(i) for i in each]
        found.append(Rim(drawn, *_bend(curve), nodes, at, _circle(curve)))
    return tuple(found)


def _circle(curve: BRepAdaptor_Curve) -> tuple[Array, Array, float] | None:
    if curve.GetType() != GeomAbs_Circle:
        return None
    round_it = curve.Circle()
    middle, axis = round_it.Location().Coord(), round_it.Axis().Direction().Coord()
    return np.array(middle), np.array(axis), round_it.Radius()


def _bend(curve: BRepAdaptor_Curve) -> tuple[float, bool]:
    """The longest second derivative of a curve, mm, and whether that is a bound."""
    kind = curve.GetType()
    if kind == GeomAbs_Line:
        return 0.0, True
    if kind == GeomAbs_Circle:
        return curve.Circle().Radius(), True
    if kind == GeomAbs_Ellipse:
        return curve.Ellipse().MajorRadius(), True
    if kind == GeomAbs_BSplineCurve:
        spline = curve.BSpline()
        if not (spline.IsRational() or spline.IsPeriodic()):
            poles = np.array([spline.Pole(i).Coord() for i in range(1, spline.NbPoles() + 1)])
            knots = [(spline.Knot(i), spline.Multiplicity(i)) for i in range(1, spline.NbKnots() + 1)]
            flat = np.repeat([value for value, _ in knots], [many for _, many in knots])
            second = twice(poles, flat, spline.Degree())
            if second is not None:
                return longest(second), True
    spot, first, second_there, most = gp_Pnt(), gp_Vec(), gp_Vec(), 0.0
    for t in np.linspace(curve.FirstParameter(), curve.LastParameter(), SAMPLES):
        curve.D2(float(t), spot, first, second_there)
        most = max(most, float(second_there.Magnitude()))
    return UNPROVEN * most, False
