"""Area, centroid and second moments of plate outlines.

About the origin: ixx = integral of y2, iyy of x2, ixy of x y, in mm4; anticlockwise is positive.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from brackets.outline.ellipse import EllipseArc
from brackets.outline.quadrature import integral
from brackets.outline.segments import Arc, Line, Point, cross, minus, unit

if TYPE_CHECKING:
    from brackets.outline.curve import Outline

SHORT = 1.0
"""rad, half a sweep: below it the closed form of a cap loses digits to cancellation; Gauss points do not."""
GAUSS_POINTS = 12
"""Integrates the cap of a half sweep up to 1 rad to below 1e-17 of its size."""


@dataclass(frozen=True)
class Moments:
    """Area mm2, centroid mm, second moments mm4 about the origin; add metal with +, take holes off with -."""

    area: float
    centroid: Point
    ixx: float
    iyy: float
    ixy: float

    def __add__(self, other: Moments) -> Moments:
        return self._with(other, 1.0)

    def __sub__(self, other: Moments) -> Moments:
        return self._with(other, -1.0)

    def _with(self, other: Moments, sign: float) -> Moments:
        area = self.area + sign * other.area
        qx = self.area * self.centroid[0] + sign * other.area * other.centroid[0]
        qy = self.area * self.centroid[1] + sign * other.area * other.centroid[1]
        centroid = (qx / area, qy / area) if area != 0.0 else (0.0, 0.0)
        return Moments(
            area,
            centroid,
            self.ixx + sign * other.ixx,
            self.iyy + sign * other.iyy,
            self.ixy + sign * other.ixy,
        )

    def shift(self, dx: float, dy: float) -> Moments:
        """Of the same shape moved by (dx, dy) mm."""
        a, (cx, cy) = self.area, self.centroid
        return Moments(
            a,
            (cx + dx, cy + dy),
            self.ixx + a * dy * (2.0 * cy + dy),
            self.iyy + a * dx * (2.0 * cx + dx),
            self.ixy + a * (cx * dy + dx * cy + dx * dy),
        )

    @property
    def central(self) -> Moments:
        """The same shape moved so that its centroid is the origin."""
        return self.shift(-self.centroid[0], -self.centroid[1])


NOTHING = Moments(0.0, (0.0, 0.0), 0.0, 0.0, 0.0)


def moments(o: Outline) -> Moments:
    """Of the metal inside an outline, to about 1e-14 of its size."""
    return moments_of(o.segments)


def moments_of(segments: Iterable[Line | Arc | EllipseArc]) -> Moments:
    """Of what a closed run of edges goes round; negative where it runs clockwise.

    The polygon of the chords by Green's theorem, and on each curved edge the cap over its chord: both are
    taken about the middle of the corners, so that nothing large cancels, and moved to the origin last.
    """
    edges = tuple(segments)
    x0 = math.fsum(s.a[0] for s in edges) / len(edges)
    y0 = math.fsum(s.a[1] for s in edges) / len(edges)
    near = (x0, y0)
    terms = [_triangle(minus(s.a, near), minus(s.b, near)) for s in edges]
    terms += [_cap(s, near) for s in edges if not isinstance(s, Line)]
    area, qx, qy, ixx, iyy, ixy = (math.fsum(column) for column in zip(*terms, strict=True))
    if area == 0.0:
        return NOTHING
    return Moments(area, (qx / area, qy / area), ixx, iyy, ixy).shift(x0, y0)


Sums = tuple[float, float, float, float, float, float]


def _triangle(p: Point, q: Point) -> Sums:
    """Area, first moments of x and y, ixx, iyy, ixy of the triangle from the origin over a chord."""
    twice = cross(p, q)
    (x, y), (u, v) = p, q
    return (
        twice / 2.0,
        twice * (x + u) / 6.0,
        twice * (y + v) / 6.0,
        twice * (y * y + y * v + v * v) / 12.0,
        twice * (x * x + x * u + u * u) / 12.0,
        twice * (x * (2.0 * y + v) + u * (y + 2.0 * v)) / 24.0,
    )


def _cap(s: Arc | EllipseArc, near: Point) -> Sums:
    """The same sums for the metal between a curved edge and its chord."""
    mx, my = minus(((s.a[0] + s.b[0]) / 2.0, (s.a[1] + s.b[1]) / 2.0), near)
    (px, py), (qx, qy) = _cap_axes(s)
    scale = math.copysign(abs(px * qy - py * qx), s.sweep)
    area, first, out, across = (scale * m for m in unit_cap(abs(s.sweep) / 2.0))
    return (
        area,
        mx * area + px * first,
        my * area + py * first,
        my * my * area + 2.0 * my * py * first + py * py * out + qy * qy * across,
        mx * mx * area + 2.0 * mx * px * first + px * px * out + qx * qx * across,
        mx * my * area + (mx * py + my * px) * first + px * py * out + qx * qy * across,
    )


def _cap_axes(s: Arc | EllipseArc) -> tuple[Point, Point]:
    """What the unit circle's outward and sideways vectors become at the middle of a curved edge."""
    if isinstance(s, EllipseArc):
        return s.axes_at((s.t0 + s.t1) / 2.0)
    ex, ey = unit(minus(s.b, s.a))
    r = math.copysign(s.radius, s.sweep)
    return (r * ey, -r * ex), (r * ex, r * ey)


@lru_cache(maxsize=4096)
def unit_cap(half: float) -> tuple[float, float, float, float]:
    """A cap of the unit circle, `half` its sweep in radians, about the middle of its chord.

    Area, first moment away from the chord, second moment away from it, second moment along it.
    """
    sin, cos = math.sin(half), math.cos(half)
    if half > SHORT:
        area, lens = half - sin * cos, sin**3 * cos
        first = 2.0 / 3.0 * sin**3 - cos * area
        return area, first, area * (0.25 + cos * cos) - 5.0 / 6.0 * lens, area / 4.0 - lens / 6.0

    def height(t: float) -> float:
        return 2.0 * math.sin((half + t) / 2.0) * math.sin((half - t) / 2.0)

    return (
        integral(lambda t: height(t) * math.cos(t), -half, half, GAUSS_POINTS),
        integral(lambda t: height(t) ** 2 / 2.0 * math.cos(t), -half, half, GAUSS_POINTS),
        integral(lambda t: height(t) ** 3 / 3.0 * math.cos(t), -half, half, GAUSS_POINTS),
        integral(lambda t: height(t) * math.sin(t) ** 2 * math.cos(t), -half, half, GAUSS_POINTS),
    )
