"""The oval a round tube leaves in a plate that it passes through at a slant.

Parameter t in radians: the point is the centre + a cos t along the a-axis + b sin t across it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from brackets.core.errors import InputError
from brackets.geometry.segments import FINEST, Bounds, Point, box, dot, integral, minus, unit

LENGTH_RULE = 24
"""Gauss points a step; steps of at most 1/8 turn (finer on a flat oval) give the length to below 1e-12."""
STEPS_A_TURN = 64
"""Places tried before the nearest one is closed in on; enough for an oval 30 times as long as wide."""
HALVINGS = 50


@dataclass(frozen=True)
class EllipseArc:
    """Part of an oval from t0 to t1 radians, anticlockwise when t1 > t0; `angle` of the a-axis in degrees."""

    centre: Point
    semi_a: float
    semi_b: float
    angle: float
    t0: float
    t1: float
    ends: tuple[Point, Point] | None = field(default=None, compare=False)

    @cached_property
    def _axes(self) -> tuple[Point, Point]:
        turn = math.radians(self.angle)
        cos, sin = math.cos(turn), math.sin(turn)
        return (self.semi_a * cos, self.semi_a * sin), (-self.semi_b * sin, self.semi_b * cos)

    @cached_property
    def a(self) -> Point:
        """Start, mm."""
        return self.ends[0] if self.ends is not None else self.spot(self.t0)

    @cached_property
    def b(self) -> Point:
        """End, mm."""
        return self.ends[1] if self.ends is not None else self.spot(self.t1)

    @property
    def sweep(self) -> float:
        """t1 - t0, radians."""
        return self.t1 - self.t0

    @cached_property
    def length(self) -> float:
        """mm, to below 1e-12 of it."""
        long, short = max(self.semi_a, self.semi_b), min(self.semi_a, self.semi_b)
        steps = math.ceil(8.0 * abs(self.sweep) / math.tau * max(1.0, math.sqrt(long / short)))
        span = self.sweep / steps

        def speed(t: float) -> float:
            return math.hypot(self.semi_a * math.sin(t), self.semi_b * math.cos(t))

        marks = [self.t0 + i * span for i in range(steps)]
        return abs(math.fsum(integral(speed, t, t + span, LENGTH_RULE) for t in marks))

    def spot(self, t: float) -> Point:
        """The oval at t radians, mm."""
        (px, py), (qx, qy) = self.axes_at(t)
        return (self.centre[0] + px, self.centre[1] + py)

    def axes_at(self, t: float) -> tuple[Point, Point]:
        """From the centre to the oval at t, and the way it runs there per radian, mm."""
        (ux, uy), (vx, vy) = self._axes
        cos, sin = math.cos(t), math.sin(t)
        return (ux * cos + vx * sin, uy * cos + vy * sin), (vx * cos - ux * sin, vy * cos - uy * sin)

    def point(self, s: float) -> Point:
        if s == 0.0:
            return self.a
        if s == 1.0:
            return self.b
        return self.spot(self.t0 + s * self.sweep)

    def tangent(self, s: float = 0.0) -> Point:
        """Unit vector of travel."""
        x, y = unit(self.axes_at(self.t0 + s * self.sweep)[1])
        return (x, y) if self.sweep > 0.0 else (-x, -y)

    @property
    def curvature(self) -> float:
        """1/mm at the start, positive where the edge bends to the left."""
        speed = math.hypot(self.semi_a * math.sin(self.t0), self.semi_b * math.cos(self.t0))
        return math.copysign(self.semi_a * self.semi_b / speed**3, self.sweep)

    def points(self, deflection: float) -> tuple[Point, ...]:
        """From a to b, no chord farther than `deflection` mm from the curve."""
        long = max(self.semi_a, self.semi_b)
        step = 4.0 * math.asin(math.sqrt(min(max(deflection, FINEST), long) / (2.0 * long)))
        count = max(1, math.ceil(abs(self.sweep) / step - 1e-9))
        return tuple(self.point(i / count) for i in range(count + 1))

    @cached_property
    def bounds(self) -> Bounds:
        (ux, uy), (vx, vy) = self._axes
        lo, hi = sorted((self.t0, self.t1))
        peaks = []
        for u, v in ((ux, vx), (uy, vy)):
            first = math.atan2(v, u)
            peaks += [first + math.pi * k for k in range(-8, 9) if lo < first + math.pi * k < hi]
        return box((self.a, self.b, *(self.spot(t) for t in peaks)))

    def nearest(self, p: Point) -> float:
        """Where along the edge p is nearest, 0 to 1."""
        count = max(2, math.ceil(STEPS_A_TURN * abs(self.sweep) / math.tau))
        best = min(range(count + 1), key=lambda i: math.dist(self.point(i / count), p))
        lo, hi = max(0.0, (best - 1) / count), min(1.0, (best + 1) / count)
        for _ in range(HALVINGS):
            middle = (lo + hi) / 2.0
            place, way = self.point(middle), self.tangent(middle)
            ahead = dot(minus(p, place), way) > 0.0
            lo, hi = (middle, hi) if ahead else (lo, middle)
        return min((0.0, 1.0, (lo + hi) / 2.0), key=lambda s: math.dist(self.point(s), p))

    def distance(self, p: Point) -> float:
        """From p to the nearest point of the edge, mm."""
        return math.dist(self.point(self.nearest(p)), p)

    def part(self, s0: float, s1: float) -> EllipseArc:
        lo, hi = self.t0 + s0 * self.sweep, self.t0 + s1 * self.sweep
        return EllipseArc(
            self.centre, self.semi_a, self.semi_b, self.angle, lo, hi, (self.point(s0), self.point(s1))
        )

    def reversed(self) -> EllipseArc:
        return EllipseArc(
            self.centre, self.semi_a, self.semi_b, self.angle, self.t1, self.t0, (self.b, self.a)
        )


@dataclass(frozen=True)
class Ellipse:
    """A whole oval: centre, semi-axes a and b in mm, angle of the a-axis in degrees anticlockwise from x."""

    centre: Point
    a: float
    b: float
    angle: float = 0.0

    def __post_init__(self) -> None:
        problems = [
            f"ellipse {name} = {value:g} mm, must be over 0"
            for name, value in (("a", self.a), ("b", self.b))
            if not (math.isfinite(value) and value > 0.0)
        ]
        problems += [
            f"ellipse {name} = {value:g} {unit}, must be a number"
            for name, value, unit in (
                ("centre x", self.centre[0], "mm"),
                ("centre y", self.centre[1], "mm"),
                ("angle", self.angle, "deg"),
            )
            if not math.isfinite(value)
        ]
        if problems:
            raise InputError(*problems)

    def arc(self, t0: float = 0.0, t1: float = math.tau) -> EllipseArc:
        """Part of the oval from t0 to t1 radians."""
        return EllipseArc(self.centre, self.a, self.b, self.angle, t0, t1)

    @property
    def loop(self) -> tuple[EllipseArc, EllipseArc]:
        """All the way round, anticlockwise, in two halves that share their ends exactly."""
        start, half = self.arc().spot(0.0), self.arc().spot(math.pi)
        first = EllipseArc(self.centre, self.a, self.b, self.angle, 0.0, math.pi, (start, half))
        second = EllipseArc(self.centre, self.a, self.b, self.angle, math.pi, math.tau, (half, start))
        return first, second

    @property
    def area(self) -> float:
        """mm2."""
        return math.pi * self.a * self.b

    @property
    def length(self) -> float:
        """mm all the way round."""
        return self.arc().length

    @property
    def bounds(self) -> Bounds:
        """xmin, ymin, xmax, ymax in mm."""
        return self.arc().bounds

    def points(self, deflection: float = 0.05) -> tuple[Point, ...]:
        """Closed polygon without the repeated first point."""
        return self.arc().points(deflection)[:-1]

    def local(self, p: Point) -> Point:
        """p seen from the oval squeezed to the unit circle: inside where its length is below 1."""
        turn = math.radians(self.angle)
        cos, sin = math.cos(turn), math.sin(turn)
        x, y = p[0] - self.centre[0], p[1] - self.centre[1]
        return ((x * cos + y * sin) / self.a, (y * cos - x * sin) / self.b)

    def gap(self, p: Point) -> float:
        """How far p lies outside the oval, mm, negative inside: exact on the curve, first order near it."""
        u, v = self.local(p)
        level = (math.hypot(u, v) - 1.0) * (math.hypot(u, v) + 1.0)
        slope = 2.0 * math.hypot(u / self.a, v / self.b)
        return level / slope if slope > 0.0 else -min(self.a, self.b)
