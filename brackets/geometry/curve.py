"""The closed outline of a plate: lines and arcs end to end, anticlockwise, metal on the left.

Its area, centroid and second moments about the origin: ixx = integral of y2, iyy of x2, ixy of x y, in mm4. As a
polyline with the sweep of its arcs, or as a drawn path, for files and paper.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from brackets.core.errors import InputError
from brackets.geometry.crossings import crossings
from brackets.geometry.ellipse import EllipseArc
from brackets.geometry.segments import (
    JOIN,
    TOUCH,
    Arc,
    Bounds,
    Line,
    Point,
    Segment,
    box,
    cross,
    integral,
    minus,
    unit,
)

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


MOST_CROSSINGS = 3
"""How many places one message names."""


@dataclass(frozen=True)
class Outline:
    """A closed outline of lines and arcs, anticlockwise, that does not cross itself; mm.

    segments: its edges in order. Make one with `outline`, `polygon`, `rectangle` and the like, which check all
    that.
    """

    segments: tuple[Segment, ...]

    @cached_property
    def length(self) -> float:
        """mm all the way round."""
        return math.fsum(s.length for s in self.segments)

    @cached_property
    def area(self) -> float:
        """mm2."""
        return moments_of(self.segments).area

    @cached_property
    def bounds(self) -> Bounds:
        """xmin, ymin, xmax, ymax in mm, of the curve itself."""
        boxes = [s.bounds for s in self.segments]
        return box(tuple((b[0], b[1]) for b in boxes) + tuple((b[2], b[3]) for b in boxes))

    @property
    def corners(self) -> tuple[Point, ...]:
        """Where one edge ends and the next begins, mm."""
        return tuple(s.a for s in self.segments)

    def points(self, deflection: float = 0.05) -> tuple[Point, ...]:
        """Closed polygon without the repeated first point; no chord farther than `deflection` mm off."""
        return tuple(p for s in self.segments for p in s.points(deflection)[:-1])

    def map(self, f: Callable[[Point], Point]) -> Outline:
        """The outline moved by `f`, which may turn, shift, mirror and scale evenly; still anticlockwise."""
        flips = _flips(f, self.bounds)
        moved: list[Segment] = []
        for s in self.segments:
            a, b = f(s.a), f(s.b)
            if isinstance(s, Line):
                moved.append(Line(a, b))
            else:
                moved.append(Arc(a, b, f(s.centre), s.ccw is not flips))
        return Outline(turned_back(moved) if flips else tuple(moved))


def turned_back(segments: Iterable[Segment]) -> tuple[Segment, ...]:
    """The same closed run travelled the other way."""
    return tuple(s.reversed() for s in reversed(tuple(segments)))


def outline(segments: Iterable[Segment]) -> Outline:
    """A checked outline from its edges: closed, not crossing itself, anticlockwise.

    segments: lines and arcs of other outlines, end to end in order, either way round.
    Raises InputError, which says what is wrong and where: an edge without length, a gap, a crossing.

    >>> edges = slot((0, 0), (20, 0), 10).segments
    >>> round(outline(edges).area, 3)
    278.54
    >>> outline(edges[:3])
    Traceback (most recent call last):
    brackets.core.errors.InputError: outline is open by 10 mm, must be at most 1e-06 mm: ...
    """
    edges = tuple(segments)
    problems = [p for i, s in enumerate(edges, 1) for p in _edge_problems(i, len(edges), s)]
    if len(edges) < 2:
        problems.append(f"outline = {len(edges)} edges, must be at least 2: a circle is two half arcs")
    if problems:
        raise InputError(*problems)
    joined = _closed(edges)
    found = crossings(joined)
    if found:
        where = ", ".join(show(p) for p in found[:MOST_CROSSINGS])
        more = f" and {len(found) - MOST_CROSSINGS} more" if len(found) > MOST_CROSSINGS else ""
        raise InputError(f"outline crosses or touches itself at {where}{more} mm, must not")
    whole = Outline(joined)
    if abs(whole.area) <= TOUCH * whole.length:
        raise InputError(f"outline at {show(joined[0].a)} mm encloses nothing, must go round some metal")
    return whole if whole.area > 0.0 else Outline(turned_back(joined))


def show(p: Point) -> str:
    """(x, y) to a micron, for messages."""
    return f"({round(p[0], 3):.10g}, {round(p[1], 3):.10g})"


def _edge_problems(number: int, count: int, s: Segment) -> list[str]:
    named = f"edge {number} of {count}"
    numbers = (*s.a, *s.b, *(s.centre if isinstance(s, Arc) else ()))
    if not all(math.isfinite(x) for x in numbers):
        return [f"{named} has a coordinate that is not a number"]
    if math.dist(s.a, s.b) <= JOIN:
        return [f"{named} at {show(s.a)} has no length, must be over {JOIN:g} mm from end to end"]
    if isinstance(s, Arc) and abs(math.dist(s.b, s.centre) - s.radius) > JOIN:
        radii = f"radius {s.radius:.7g} mm at its start, {math.dist(s.b, s.centre):.7g} mm at its end"
        return [f"{named} at {show(s.a)} is no arc: {radii}"]
    return []


def _closed(edges: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """The edges with every end moved onto the start of the next; InputError where a gap is too wide."""
    problems = []
    joined: list[Segment] = []
    for i, s in enumerate(edges):
        start = edges[(i + 1) % len(edges)].a
        gap = math.dist(s.b, start)
        if gap > JOIN:
            problems.append(
                f"outline is open by {gap:.4g} mm, must be at most {JOIN:g} mm: "
                f"edge {i + 1} ends at {show(s.b)}, the next begins at {show(start)}"
            )
        joined.append(Line(s.a, start) if isinstance(s, Line) else Arc(s.a, start, s.centre, s.ccw))
    if problems:
        raise InputError(*problems)
    return tuple(joined)


def _flips(f: Callable[[Point], Point], bounds: Bounds) -> bool:
    """Whether f mirrors; InputError where it is not an even scale of a rigid motion."""
    x, y = bounds[0], bounds[1]
    step = max(bounds[2] - x, bounds[3] - y)
    origin = f((x, y))
    u, v = minus(f((x + step, y)), origin), minus(f((x, y + step)), origin)
    size = math.hypot(*u)
    uneven = abs(size - math.hypot(*v)) + abs(u[0] * v[0] + u[1] * v[1]) / max(size, 1e-300)
    if size <= 0.0 or uneven > 1e-9 * size + 1e-12 * (abs(origin[0]) + abs(origin[1])):
        raise InputError("outline map squashes or shears, must only shift, turn, mirror and scale evenly")
    return cross(u, v) < 0.0


def swept_corners(o: Outline) -> tuple[tuple[float, float, float], ...]:
    """(x, y, sweep) at the start of every edge: mm, and degrees of its arc, anticlockwise positive, or 0."""
    return tuple((*s.a, math.degrees(s.sweep) if isinstance(s, Arc) else 0.0) for s in o.segments)


def svg_path(o: Outline, *, places: int = 4) -> str:
    """Path data in mm with y turned down as paper wants it (W3C SVG 2, chapter 9, from memory)."""

    def show(*values: float) -> str:
        return " ".join(f"{round(v, places) + 0.0:.12g}" for v in values)

    start = o.segments[0].a
    words = [f"M {show(start[0], -start[1])}"]
    for s in o.segments:
        x, y = s.b
        if isinstance(s, Arc):
            long, sense = int(abs(s.sweep) > math.pi), int(not s.ccw)
            words.append(f"A {show(s.radius, s.radius)} 0 {long} {sense} {show(x, -y)}")
        else:
            words.append(f"L {show(x, -y)}")
    return " ".join((*words, "Z"))
