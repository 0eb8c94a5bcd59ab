"""The surface a face lies on: its points, its support in a direction, and how far a chord can be off it.

All in closed form for planes, cylinders, cones, spheres and tori; from the derivative's control points for splines;
for anything else the second derivatives are sampled, and `proven` is False. mm and radians, the face's own axes.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import (
    GeomAbs_BSplineSurface,
    GeomAbs_Cone,
    GeomAbs_Cylinder,
    GeomAbs_Plane,
    GeomAbs_Sphere,
    GeomAbs_Torus,
)
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopoDS import TopoDS_Face

from brackets.clearance.places import Array

KINDS = {
    GeomAbs_Plane: "plane",
    GeomAbs_Cylinder: "cylinder",
    GeomAbs_Cone: "cone",
    GeomAbs_Sphere: "sphere",
    GeomAbs_Torus: "torus",
}
GRID = 9  # places each way at which the bend of a surface without a closed form is sampled
UNPROVEN = 1.5  # how much more than sampled its bend is taken to be: a margin, no bound


@dataclass(frozen=True, eq=False)
class Surface:
    """A surface without its trim. `frame` (3, 3) float: a row for each of its own axes; `radius`: of a cylinder or
    sphere, of a cone where v is 0, of a torus from its axis to the middle of its tube; `other`: half angle of a
    cone, radius of a torus' tube. `bend`: no second derivative (uu, uv, vv), mm, is longer on a free form."""

    kind: str
    centre: Array
    frame: Array
    radius: float
    other: float
    adaptor: BRepAdaptor_Surface
    bend: tuple[float, float, float] = (0.0, 0.0, 0.0)
    proven: bool = True

    def points(self, uv: Array) -> Array:
        """(n, 3) float at parameters (n, 2)."""
        if self.kind == "free":
            return np.array([self.adaptor.Value(float(u), float(v)).Coord() for u, v in uv]).reshape(-1, 3)
        u, v = uv.T
        if self.kind == "plane":
            return np.asarray(self.centre + uv @ self.frame[:2])
        out, along = {
            "cylinder": lambda: (np.full_like(u, self.radius), v),
            "cone": lambda: (self.radius + v * math.sin(self.other), v * math.cos(self.other)),
            "sphere": lambda: (self.radius * np.cos(v), self.radius * np.sin(v)),
            "torus": lambda: (self.radius + self.other * np.cos(v), self.other * np.sin(v)),
        }[self.kind]()
        return np.asarray(self.centre + np.column_stack((out * np.cos(u), out * np.sin(u), along)) @ self.frame)

    def sags(self, uv: Array) -> Array:
        """(m,) float mm: no point of the surface over a triangle of parameters (m, 3, 2) is further than this from
        the flat triangle on its corners. By Taylor: |S - sum l_i S_i| <= 1/2 sum l_i |D2S (d_i, d_i)|, and
        sum l_i a_i b_i <= (span of a) (span of b) / 4."""
        if self.kind == "plane":
            return np.zeros(len(uv))
        du, dv = np.ptp(uv, axis=1).T
        uu, mixed, vv = self._bends(uv[:, :, 1])
        return np.asarray((uu * du * du + 2 * mixed * du * dv + vv * dv * dv) / 8)

    def side_sags(self, uv: Array) -> Array:
        """(m, 3) float mm: what each side of triangles (m, 3, 2) gives to `sags`, to see which is best halved."""
        d = np.abs(uv[:, (1, 2, 0)] - uv)
        uu, mixed, vv = (np.asarray(part)[..., None] for part in self._bends(uv[:, :, 1]))
        du, dv = d[..., 0], d[..., 1]
        return np.asarray((uu * du * du + 2 * mixed * du * dv + vv * dv * dv) / 8)

    def _bends(self, v: Array) -> tuple[Array | float, Array | float, Array | float]:
        """No second derivative over triangles with these v (m, 3) is longer: by u twice, by both, by v twice."""
        if self.kind == "cylinder":
            return self.radius, 0.0, 0.0
        if self.kind == "cone":
            sine = math.sin(self.other)
            return np.abs(self.radius + v * sine).max(axis=1), abs(sine), 0.0
        if self.kind == "sphere":
            low, high = v.min(axis=1), v.max(axis=1)
            cosine = np.where((low < 0) & (high > 0), 1.0, np.cos(v).max(axis=1))
            return self.radius * cosine, self.radius * np.abs(np.sin(v)).max(axis=1), self.radius
        if self.kind == "torus":
            return self.radius + self.other, self.other, self.other
        return self.bend

    def chord(self, xyz: Array) -> float:
        """mm: how far the surface over triangles (m, 3, 3), corners on it, is from them at most.

        The triangles of a face share their sides, so what carries each point of them straight out (from the axis,
        the centre, the middle of the tube) onto the surface leaves no gap between them, and goes no further than
        this. Cylinder and cone: the sagitta of the widest angle a triangle spans. Sphere: a point of a triangle
        within a circle of radius R is r - sqrt(r2 - R2) under it at most, and R <= longest side / sqrt 3 (Jung)."""
        if self.kind == "plane" or not len(xyz):
            return 0.0
        if self.kind == "sphere":
            side = np.square(xyz - xyz[:, (1, 2, 0)]).sum(axis=2).max()
            left = self.radius * self.radius - side / 3
            return float(self.radius - math.sqrt(left)) if left > 0 else self.radius
        local = (xyz - self.centre) @ self.frame.T
        out = np.hypot(local[..., 0], local[..., 1])
        turn = _widest(np.where(out > 1e-9, np.arctan2(local[..., 1], local[..., 0]), np.nan))
        if self.kind == "torus":
            tube = _widest(np.arctan2(local[..., 2], out - self.radius))
            most = (self.radius + self.other) * turn**2 + 2 * self.other * turn * tube + self.other * tube**2
            return float(most.max() / 8)
        tilt = math.cos(self.other) if self.kind == "cone" else 1.0
        return float((out.max(axis=1) * (1 - np.cos(np.minimum(turn, math.pi) / 2))).max() * tilt)

    def foot(self, spot: Array) -> Array | None:
        """The nearest point (3,) of the surface without its trim; None for a free form."""
        if self.kind == "free":
            return None
        x, y, z = self.frame @ (spot - self.centre)
        out = math.hypot(x, y)
        cosine, sine = (x / out, y / out) if out > 1e-12 else (1.0, 0.0)
        if self.kind == "plane":
            local = (x, y, 0.0)
        elif self.kind == "sphere":
            far = max(math.hypot(out, z), 1e-12)
            local = (self.radius * x / far, self.radius * y / far, self.radius * z / far)
        elif self.kind == "cylinder":
            local = (self.radius * cosine, self.radius * sine, z)
        elif self.kind == "torus":
            over = out - self.radius
            far = max(math.hypot(over, z), 1e-12)
            ring = self.radius + self.other * over / far
            local = (ring * cosine, ring * sine, self.other * z / far)
        else:
            tan = self.other
            v = (out - self.radius) * math.sin(tan) + z * math.cos(tan)
            ring = self.radius + v * math.sin(tan)
            local = (ring * cosine, ring * sine, v * math.cos(tan))
        return np.asarray(self.centre + np.array(local) @ self.frame)

    def parameters(self, spot: Array) -> tuple[float, float]:
        """u and v of a point (3,) of the surface; of no free form."""
        x, y, z = (self.frame @ (spot - self.centre)).tolist()
        if self.kind == "plane":
            return x, y
        u = math.atan2(y, x)
        if self.kind == "sphere":
            return u, math.atan2(z, math.hypot(x, y))
        if self.kind == "torus":
            return u, math.atan2(z, math.hypot(x, y) - self.radius)
        if self.kind == "cylinder":
            return u, z
        v = z / math.cos(self.other)
        return (u if self.radius + v * math.sin(self.other) >= 0 else u + math.pi), v

    def reach(self, way: Array, span: tuple[float, float]) -> float:
        """mm along the unit direction `way`: no point of a turned surface between the lengths `span` along its axis
        goes further. inf for planes and free forms."""
        base, (x, y, z) = float(self.centre @ way), self.frame @ way
        across = math.hypot(x, y)
        if self.kind == "sphere":
            return base + self.radius
        if self.kind == "torus":
            return base + self.radius * across + self.other
        if self.kind in ("cylinder", "cone"):
            tan = math.tan(self.other) if self.kind == "cone" else 0.0
            return max(base + at * float(z) + abs(self.radius + at * tan) * across for at in span)
        return math.inf


def _widest(angles: Array) -> Array:
    """(m,) float: the widest of the differences between the angles (m, 3) of each triangle, turned to within pi."""
    apart = np.abs(angles - angles[:, (1, 2, 0)])
    apart = np.where(apart > math.pi, 2 * math.pi - apart, apart)
    return np.asarray(np.nan_to_num(apart, nan=0.0).max(axis=1))


def surface(face: TopoDS_Face) -> Surface:
    """What a face lies on."""
    adaptor = BRepAdaptor_Surface(face, False)
    kind = KINDS.get(adaptor.GetType(), "free")
    if kind == "free":
        bend, proven = _bend(face, adaptor)
        return Surface(kind, np.zeros(3), np.eye(3), 0.0, 0.0, adaptor, bend, proven)
    form: Any = getattr(adaptor, kind.capitalize())()
    stand = form.Position()
    rows = np.array([way.Coord() for way in (stand.XDirection(), stand.YDirection(), stand.Direction())])
    sizes: dict[str, Callable[[], tuple[float, float]]] = {
        "plane": lambda: (0.0, 0.0),
        "cylinder": lambda: (form.Radius(), 0.0),
        "cone": lambda: (form.RefRadius(), form.SemiAngle()),
        "sphere": lambda: (form.Radius(), 0.0),
        "torus": lambda: (form.MajorRadius(), form.MinorRadius()),
    }
    radius, other = sizes[kind]()
    return Surface(kind, np.array(stand.Location().Coord()), rows, radius, other, adaptor)


def _bend(face: TopoDS_Face, adaptor: BRepAdaptor_Surface) -> tuple[tuple[float, float, float], bool]:
    """The longest second derivatives of a free form, and whether that is a bound: for a spline of one polynomial
    with plain weights it is, since a spline lies in the hull of its control points, and so do its derivatives."""
    if adaptor.GetType() == GeomAbs_BSplineSurface:
        found = _spline_bend(adaptor.BSpline())
        if found is not None:
            return found, True
    us = np.linspace(adaptor.FirstUParameter(), adaptor.LastUParameter(), GRID)
    vs = np.linspace(adaptor.FirstVParameter(), adaptor.LastVParameter(), GRID)
    most = [0.0, 0.0, 0.0]
    spot, d = gp_Pnt(), [gp_Vec() for _ in range(5)]
    for u in us:
        for v in vs:
            adaptor.D2(float(u), float(v), spot, d[0], d[1], d[2], d[3], d[4])
            for k, second in enumerate((d[2], d[4], d[3])):
                most[k] = max(most[k], float(second.Magnitude()))
    return (UNPROVEN * most[0], UNPROVEN * most[1], UNPROVEN * most[2]), False


def _spline_bend(spline: Any) -> tuple[float, float, float] | None:
    """Longest control points of the second derivatives; None where weights or a kink leave no bound."""
    if spline.IsURational() or spline.IsVRational() or spline.IsUPeriodic() or spline.IsVPeriodic():
        return None
    rows, columns = range(1, spline.NbUPoles() + 1), range(1, spline.NbVPoles() + 1)
    poles = np.array([[spline.Pole(i, j).Coord() for j in columns] for i in rows])
    us = _flat([(spline.UKnot(i), spline.UMultiplicity(i)) for i in range(1, spline.NbUKnots() + 1)])
    vs = _flat([(spline.VKnot(i), spline.VMultiplicity(i)) for i in range(1, spline.NbVKnots() + 1)])
    p, q = spline.UDegree(), spline.VDegree()
    turned = poles.swapaxes(0, 1)
    uu = twice(poles, us, p)
    vv = twice(turned, vs, q)
    by_u = once(poles, us, p)
    mixed = None if by_u is None else once(by_u.swapaxes(0, 1), vs, q)
    if uu is None or vv is None or mixed is None:
        return None
    return longest(uu), longest(mixed), longest(vv)


def _flat(knots: list[tuple[float, int]]) -> Array:
    return np.repeat([value for value, _ in knots], [many for _, many in knots])


def once(poles: Array, knots: Array, degree: int) -> Array | None:
    """Control points (n - 1, ...) of the derivative along the first axis of a spline's (n, ...); None at a kink."""
    if degree == 0 or len(poles) < 2:
        return np.zeros_like(poles[:1])
    n = len(poles) - 1
    width = knots[degree + 1 : degree + 1 + n] - knots[1 : 1 + n]
    if np.any(width <= 0):
        return None
    return np.asarray(degree * np.diff(poles, axis=0) / width.reshape(-1, *([1] * (poles.ndim - 1))))


def twice(poles: Array, knots: Array, degree: int) -> Array | None:
    """The same of the second derivative."""
    first = once(poles, knots, degree)
    return None if first is None else once(first, knots[1:-1], degree - 1)


def longest(vectors: Array) -> float:
    return float(np.sqrt(np.square(vectors).sum(axis=-1)).max(initial=0.0))
