"""What is left of a plate that a round tube runs through at a slant: lines, arcs and parts of an ellipse.

Where a circle crosses the ellipse: real roots of a trigonometric sum of the second order.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass

from brackets.geometry.crossings import TANGENT, Edge
from brackets.geometry.curve import NOTHING, Moments, moments_of
from brackets.geometry.ellipse import Ellipse, EllipseArc
from brackets.geometry.regions import SAMPLES, Region, Shape, depth, nested, side_of
from brackets.geometry.segments import TOUCH, Arc, Line, Point, Segment, along, apart, cross, dot, minus
from brackets.geometry.split import Joints, Loop, loops, pieces

Sum = tuple[float, float, float, float, float]
"""(e, c, s, c2, s2): e + c cos t + s sin t + c2 cos 2t + s2 sin 2t."""

NEAR_CIRCLE = 1e-3
"""How far a root may lie off the unit circle and still be tried; a double root is known only to about 1e-8."""
ROUNDS = 200
"""Most steps of the root finder; it takes about 10, for a double root 50."""
STEPS = 12
"""Newton's steps from a root known to 1e-8 at worst; 2 are enough, the rest cost nothing."""
FLAT = 1e-15
"""A sum smaller than this beside the largest one it can be is rounding: the curves are the same there."""


def value(f: Sum, t: float) -> float:
    e, c, s, c2, s2 = f
    return e + c * math.cos(t) + s * math.sin(t) + c2 * math.cos(2.0 * t) + s2 * math.sin(2.0 * t)


def slope(f: Sum, t: float) -> float:
    _, c, s, c2, s2 = f
    return -c * math.sin(t) + s * math.cos(t) - 2.0 * c2 * math.sin(2.0 * t) + 2.0 * s2 * math.cos(2.0 * t)


def bend(f: Sum, t: float) -> float:
    _, c, s, c2, s2 = f
    return -c * math.cos(t) - s * math.sin(t) - 4.0 * c2 * math.cos(2.0 * t) - 4.0 * s2 * math.sin(2.0 * t)


def candidates(f: Sum) -> tuple[float, ...]:
    """Angles near every real root, and near every place where the sum only just reaches or misses 0."""
    e, c, s, c2, s2 = f
    first, second = complex(c, -s) / 2.0, complex(c2, -s2) / 2.0
    roots = _roots([second, first, complex(e, 0.0), first.conjugate(), second.conjugate()])
    return tuple(cmath.phase(z) for z in roots if abs(abs(z) - 1.0) < NEAR_CIRCLE)


def least_near(f: Sum, t: float) -> float:
    """Where the sum stops falling or rising, by Newton's method from t."""
    for _ in range(STEPS):
        curve = bend(f, t)
        if curve == 0.0:
            return t
        t -= _short(slope(f, t) / curve)
    return t


def root_near(f: Sum, t: float) -> float:
    """Where the sum is 0, by Newton's method from t."""
    for _ in range(STEPS):
        rise = slope(f, t)
        if rise == 0.0:
            return t
        t -= _short(value(f, t) / rise)
    return t


def _short(step: float) -> float:
    return min(0.1, max(-0.1, step))


def _roots(coefficients: list[complex]) -> list[complex]:
    """Roots of a polynomial, highest power first, all at once by the Aberth method; [] where it is nothing."""
    top = max(abs(c) for c in coefficients)
    while coefficients and abs(coefficients[0]) <= FLAT * top:
        coefficients = coefficients[1:]
    degree = len(coefficients) - 1
    if degree < 1:
        return []
    roots = [cmath.rect(1.0 + 0.1 * k, 0.4 + math.tau * k / degree) for k in range(degree)]
    for _ in range(ROUNDS):
        moved = 0.0
        for k, z in enumerate(roots):
            p, dp = coefficients[0], 0.0 + 0.0j
            for coefficient in coefficients[1:]:
                dp = dp * z + p
                p = p * z + coefficient
            if p == 0.0:
                continue
            ratio = p / dp if dp != 0.0 else p
            pull = sum(1.0 / (z - w) for j, w in enumerate(roots) if j != k and z != w)
            step = ratio / (1.0 - ratio * pull)
            roots[k] = z - step
            moved = max(moved, abs(step))
        if moved < 1e-15:
            break
    return roots


@dataclass(frozen=True)
class CutPiece:
    """A piece of plate with edges that may be parts of an oval: its outside, and holes running clockwise."""

    outer: Loop
    holes: tuple[Loop, ...] = ()

    @property
    def edges(self) -> Loop:
        """All edges with the metal on their left."""
        return self.outer + tuple(e for hole in self.holes for e in hole)

    @property
    def cut_edges(self) -> tuple[EllipseArc, ...]:
        """The edges the tube meets."""
        return tuple(e for e in self.edges if isinstance(e, EllipseArc))

    @property
    def moments(self) -> Moments:
        """Of the metal."""
        total = moments_of(self.outer)
        for hole in self.holes:
            total = total + moments_of(hole)
        return total

    def distance(self, p: Point) -> float:
        """From p to the nearest edge, mm, negative where p is not in the metal."""
        return depth(self.edges, p)


def cut_ellipse(o: Shape, ellipse: Ellipse, *, keep: Point | None = None) -> tuple[CutPiece, ...]:
    """The pieces left outside an oval, largest first; () where all is inside it.

    With `keep`, only the piece that contains that point, or else is nearest to it.
    """
    edges = o.edges if isinstance(o, Region) else o.segments
    kept = loops(_cut_edges(edges, ellipse))
    found = tuple(CutPiece(outer, tuple(holes)) for outer, holes in nested(kept))
    if keep is None or len(found) < 2:
        return found
    return (max(found, key=lambda piece: piece.distance(keep)),)


def moments_outside(o: Shape, ellipse: Ellipse, *, keep: Point | None = None) -> Moments:
    """Of what is left of o outside an oval; with `keep`, of the piece at that point alone."""
    total = NOTHING
    for piece in cut_ellipse(o, ellipse, keep=keep):
        total = total + piece.moments
    return total


def oval_meets(s: Segment, ellipse: Ellipse) -> tuple[Point, ...]:
    """Where an edge crosses or touches an oval, mm; its own ends too where they lie on it."""
    found = [p for p in (s.a, s.b) if abs(ellipse.gap(p)) <= TOUCH]
    if apart(s.bounds, ellipse.bounds):
        return ()
    for p in _on_line(s, ellipse) if isinstance(s, Line) else _on_circle(s, ellipse):
        near = s.point(s.nearest(p))
        if math.dist(near, p) <= TOUCH and all(math.dist(p, q) > TOUCH for q in found):
            found.append(p)
    return tuple(found)


def _on_line(s: Line, ellipse: Ellipse) -> list[Point]:
    u = ellipse.local(s.a)
    v = minus(ellipse.local(s.b), u)
    run = math.hypot(*v)
    foot, off = -dot(u, v) / run**2, abs(cross(u, v)) / run
    way = minus(s.b, s.a)
    middle = along(s.a, way, foot)
    if abs(ellipse.gap(middle)) <= TANGENT:
        return [middle]
    if off >= 1.0:
        return []
    half = math.sqrt((1.0 - off) * (1.0 + off)) / run
    return [along(s.a, way, foot - half), along(s.a, way, foot + half)]


def _on_circle(s: Arc, ellipse: Ellipse) -> list[Point]:
    f, start = _level_round(s, ellipse)

    def spot(t: float) -> Point:
        return along(s.centre, (math.cos(t + start), math.sin(t + start)), s.radius)

    found: list[Point] = []
    for t in candidates(f):
        peak = spot(least_near(f, t))
        if abs(ellipse.gap(peak)) <= TANGENT and math.dist(peak, spot(t)) <= s.radius * 1e-3:
            p = peak
        else:
            p = spot(root_near(f, t))
            if abs(ellipse.gap(p)) > TANGENT:
                continue
        if all(math.dist(p, q) > TOUCH for q in found):
            found.append(p)
    return found


def _level_round(s: Arc, ellipse: Ellipse) -> tuple[Sum, float]:
    """(x/a)2 + (y/b)2 - 1 of the oval, going round the circle of an arc; and the angle of the a-axis, radians."""
    cx, cy = ellipse.local(s.centre)
    p, q = s.radius / ellipse.a, s.radius / ellipse.b
    level = (math.hypot(cx, cy) - 1.0) * (math.hypot(cx, cy) + 1.0)
    even, odd = (p * p + q * q) / 2.0, (p - q) * (p + q) / 2.0
    return (level + even, 2.0 * cx * p, 2.0 * cy * q, odd, 0.0), math.radians(ellipse.angle)


def _cut_edges(edges: Sequence[Segment], ellipse: Ellipse) -> list[Edge]:
    """The plate's edges outside the oval and the oval's inside the plate, metal on the left."""
    joints = Joints()
    meets = [oval_meets(s, ellipse) for s in edges]
    plate = [e for s, at in zip(edges, meets, strict=True) for e in pieces(s, at, joints)]
    on_oval: list[Point] = []
    for p in (joints.snap(p) for at in meets for p in at):
        if p not in on_oval:
            on_oval.append(p)
    kept = [e for e in plate if _is_outside(e, ellipse)]
    for oval in _oval_edges(ellipse, on_oval):
        if side_of(oval, edges) == "in":
            kept.append(oval.reversed())
    return kept


def _is_outside(e: Edge, ellipse: Ellipse) -> bool:
    """Whether a piece of edge runs outside the oval, or along it with the metal outside."""
    for f in SAMPLES:
        gap = ellipse.gap(e.point(f))
        if abs(gap) > TOUCH:
            return gap > 0.0
    return side_of(e, ellipse.loop) == "against"


def _oval_edges(ellipse: Ellipse, at: Sequence[Point]) -> tuple[EllipseArc, ...]:
    """The oval cut at points on it, anticlockwise, in parts of at most about half a turn where it is whole."""
    if not at:
        return ellipse.loop
    marks = sorted((math.atan2(v, u) % math.tau, p) for p in at for u, v in (ellipse.local(p),))
    if len(marks) == 1:
        t, _ = marks[0]
        marks.append((t + math.pi, ellipse.arc().spot(t + math.pi)))
    first = (marks[0][0] + math.tau, marks[0][1])
    return tuple(
        EllipseArc(ellipse.centre, ellipse.a, ellipse.b, ellipse.angle, t0, t1, (p, q))
        for (t0, p), (t1, q) in zip(marks, (*marks[1:], first), strict=True)
    )
