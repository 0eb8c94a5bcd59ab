"""Straight and circular edges of a plate, and Gauss-Legendre points for integrals along them.

mm on the plane, x right, y up; an arc is anticlockwise when `ccw`; `s` runs 0 to 1 along an edge.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property


@cache
def gauss(count: int) -> tuple[tuple[float, float], ...]:
    """(place, weight) on -1 to 1; exact for polynomials up to degree 2 count - 1."""
    rows = []
    for i in range(count):
        x = math.cos(math.pi * (i + 0.75) / (count + 0.5))
        slope = 1.0
        for _ in range(8):
            value, before = 1.0, 0.0
            for k in range(1, count + 1):
                value, before = ((2 * k - 1) * x * value - (k - 1) * before) / k, value
            slope = count * (x * value - before) / (x * x - 1.0)
            x -= value / slope
        rows.append((x, 2.0 / ((1.0 - x * x) * slope * slope)))
    return tuple(rows)


def integral(f: Callable[[float], float], lo: float, hi: float, count: int) -> float:
    """Integral of f from lo to hi by one Gauss rule."""
    half, middle = (hi - lo) / 2.0, (hi + lo) / 2.0
    return half * math.fsum(w * f(middle + half * x) for x, w in gauss(count))


Point = tuple[float, float]
Bounds = tuple[float, float, float, float]
"""xmin, ymin, xmax, ymax in mm."""

TOUCH = 1e-7
"""mm: nearer than this is touching; a thousandth of what a wire cutter holds, far above rounding at 1 m."""
JOIN = 1e-6
"""mm: largest gap between the end of one edge and the start of the next; figures typed to 6 places close."""
FINEST = 1e-6
"""mm: finest deflection of a drawn curve; below it the points are nearer than they can be told apart."""


def dot(u: Point, v: Point) -> float:
    return u[0] * v[0] + u[1] * v[1]


def cross(u: Point, v: Point) -> float:
    return u[0] * v[1] - u[1] * v[0]


def minus(p: Point, q: Point) -> Point:
    return (p[0] - q[0], p[1] - q[1])


def along(p: Point, step: Point, far: float) -> Point:
    return (p[0] + far * step[0], p[1] + far * step[1])


def unit(v: Point) -> Point:
    far = math.hypot(*v)
    return (v[0] / far, v[1] / far)


@dataclass(frozen=True)
class Line:
    """A straight edge from a to b."""

    a: Point
    b: Point

    @cached_property
    def length(self) -> float:
        """mm."""
        return math.dist(self.a, self.b)

    @property
    def curvature(self) -> float:
        """1/mm; a straight edge has none."""
        return 0.0

    @cached_property
    def bounds(self) -> Bounds:
        return box((self.a, self.b))

    def point(self, s: float) -> Point:
        if s == 1.0:
            return self.b
        return along(self.a, minus(self.b, self.a), s)

    def points(self, deflection: float) -> tuple[Point, ...]:
        """Both ends, whatever the deflection in mm."""
        return (self.a, self.b)

    def tangent(self, s: float = 0.0) -> Point:
        """Unit vector of travel."""
        return unit(minus(self.b, self.a))

    def nearest(self, p: Point) -> float:
        """Where along the edge p is nearest, 0 to 1."""
        run = minus(self.b, self.a)
        return min(1.0, max(0.0, dot(minus(p, self.a), run) / dot(run, run)))

    def distance(self, p: Point) -> float:
        """From p to the nearest point of the edge, mm: asked a hundred times a weld, so it is worked out in one."""
        (ax, ay), (bx, by), (px, py) = self.a, self.b, p
        run, rise = bx - ax, by - ay
        s = ((px - ax) * run + (py - ay) * rise) / (run * run + rise * rise)
        if s >= 1.0:
            return math.dist(self.b, p)
        s = max(0.0, s)
        return math.dist((ax + s * run, ay + s * rise), p)

    def part(self, s0: float, s1: float) -> Line:
        return Line(self.point(s0), self.point(s1))

    def reversed(self) -> Line:
        return Line(self.b, self.a)


@dataclass(frozen=True)
class Arc:
    """A circular edge from a to b about `centre`, shorter than a full turn (a circle is two half arcs)."""

    a: Point
    b: Point
    centre: Point
    ccw: bool = True

    @cached_property
    def radius(self) -> float:
        """mm."""
        return math.dist(self.a, self.centre)

    @cached_property
    def sweep(self) -> float:
        """Radians from a to b, positive anticlockwise."""
        u, v = minus(self.a, self.centre), minus(self.b, self.centre)
        turn = math.atan2(cross(u, minus(self.b, self.a)), dot(u, v))
        if self.ccw and turn < 0.0:
            return turn + math.tau
        if not self.ccw and turn > 0.0:
            return turn - math.tau
        return turn

    @property
    def length(self) -> float:
        """mm."""
        return self.radius * abs(self.sweep)

    @property
    def curvature(self) -> float:
        """1/mm, positive where the edge bends to the left."""
        return math.copysign(1.0 / self.radius, self.sweep)

    @cached_property
    def bounds(self) -> Bounds:
        (cx, cy), r = self.centre, self.radius
        quadrants = ((cx + r, cy), (cx, cy + r), (cx - r, cy), (cx, cy - r))
        return box((self.a, self.b, *(p for p in quadrants if 0.0 < self.at(p) < 1.0)))

    def point(self, s: float) -> Point:
        if s == 0.0:
            return self.a
        if s == 1.0:
            return self.b
        turn = s * self.sweep
        (ux, uy), cos, sin = minus(self.a, self.centre), math.cos(turn), math.sin(turn)
        return (self.centre[0] + ux * cos - uy * sin, self.centre[1] + ux * sin + uy * cos)

    def points(self, deflection: float) -> tuple[Point, ...]:
        """From a to b, no chord farther than `deflection` mm from the arc."""
        sag = min(max(deflection, FINEST), self.radius)
        step = 4.0 * math.asin(math.sqrt(sag / (2.0 * self.radius)))
        count = max(1, math.ceil(abs(self.sweep) / step - 1e-9))
        return tuple(self.point(i / count) for i in range(count + 1))

    def tangent(self, s: float = 0.0) -> Point:
        """Unit vector of travel."""
        ux, uy = unit(minus(self.point(s), self.centre))
        return (-uy, ux) if self.ccw else (uy, -ux)

    def at(self, p: Point) -> float:
        """Where along the arc the direction from its centre to p falls; beyond 1 or below 0 it misses.

        The part of the circle the arc leaves out is shared between its two ends.
        """
        u, w = minus(self.a, self.centre), minus(p, self.centre)
        turn = math.atan2(cross(u, w), dot(u, w))
        sweep = abs(self.sweep)
        turn = turn if self.ccw else -turn
        spare = (math.tau - sweep) / 2.0
        if turn < -spare:
            turn += math.tau
        elif turn > sweep + spare:
            turn -= math.tau
        return turn / sweep

    def nearest(self, p: Point) -> float:
        """Where along the edge p is nearest, 0 to 1; the start for the centre itself."""
        if p == self.centre:
            return 0.0
        return min(1.0, max(0.0, self.at(p)))

    def distance(self, p: Point) -> float:
        """From p to the nearest point of the edge, mm."""
        return math.dist(self.point(self.nearest(p)), p)

    def part(self, s0: float, s1: float) -> Arc:
        return Arc(self.point(s0), self.point(s1), self.centre, self.ccw)

    def reversed(self) -> Arc:
        return Arc(self.b, self.a, self.centre, not self.ccw)


Segment = Line | Arc


def box(points: tuple[Point, ...]) -> Bounds:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys))


def apart(s: Bounds, t: Bounds, slack: float = JOIN) -> bool:
    """Whether two boxes stay more than `slack` mm from each other."""
    return (
        s[0] - slack > t[2] or t[0] - slack > s[2] or s[1] - slack > t[3] or t[1] - slack > s[3]
    )
