"""Where two edges meet, and whether a point is inside a closed run of edges (its winding number)."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any

from brackets.geometry.ellipse import Ellipse, EllipseArc
from brackets.geometry.segments import TOUCH, Arc, Line, Point, Segment, along, apart, cross, dot, minus

Edge = Line | Arc | EllipseArc


def winding(edges: Iterable[Edge], p: Point) -> int:
    """How many times closed runs of edges go anticlockwise round p; on the curve either side's answer."""
    turns, (x, y) = 0, p
    for e in edges:
        low, high = e.a[1], e.b[1]
        if low <= y < high or high <= y < low:
            turns += turns_of(e, x, y)
        elif isinstance(e, EllipseArc) or (isinstance(e, Arc) and math.dist(p, e.centre) < e.radius):
            turns += turns_of(e, x, y)  # as most do not
    return turns


def turns_of(e: Edge, x: Any, y: Any, hypot: Callable[[Any, Any], Any] = math.hypot) -> Any:
    """What an edge adds to how many times its run goes anticlockwise round (x, y), as an integer. A point exactly
    on the chord counts as though it were moved a hair right and up.

    x, y: two figures; of a line or an arc also arrays (n,), with numpy's `hypot`, for n answers.
    """
    (ax, ay), (bx, by) = e.a, e.b
    side = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
    left = (side > 0.0) | ((side == 0.0) & (by < ay or (by == ay and bx > ax)))
    rises, falls = (ay <= y) & (y < by), (by <= y) & (y < ay)
    turns = rises * left - falls * (1 - left)
    if isinstance(e, Line):
        return turns
    if isinstance(e, Arc):
        inside = hypot(x - e.centre[0], y - e.centre[1]) < e.radius
    else:
        inside = math.hypot(*Ellipse(e.centre, e.semi_a, e.semi_b, e.angle).local((x, y))) < 1.0
    anticlockwise = e.sweep > 0.0
    return turns + (inside & (left != anticlockwise)) * (1 if anticlockwise else -1)


TANGENT = 1e-9
"""mm: a line or circle that passes this near to touching touches once; two points so near one another would
only be rounding (a 1e-9 mm overlap on a 50 mm circle is 0.6 um wide)."""


def intersections(s: Segment, t: Segment) -> tuple[Point, ...]:
    """Points where two edges meet, mm; edges that run along one another give the ends of the shared run."""
    if apart(s.bounds, t.bounds):
        return ()
    found: list[Point] = []
    for edge, other in ((s, t), (t, s)):
        for p in (edge.a, edge.b):
            if math.dist(other.point(other.nearest(p)), p) <= TOUCH:
                _add(found, p)
    for p in _crossings(s, t):
        if all(math.dist(e.point(e.nearest(p)), p) <= TOUCH for e in (s, t)):
            _add(found, p)
    return tuple(found)


def crossings(segments: Sequence[Segment]) -> tuple[Point, ...]:
    """Where a closed run of edges crosses or touches itself, other than from one edge to the next, mm."""
    found: list[Point] = []
    count = len(segments)
    bounds = [s.bounds for s in segments]
    for i in range(count):
        for j in range(i + 1, count):
            if apart(bounds[i], bounds[j]):
                continue
            joints = []
            if j == i + 1:
                joints.append(segments[i].b)
            if (j + 1) % count == i:
                joints.append(segments[i].a)
            for p in intersections(segments[i], segments[j]):
                if all(math.dist(p, joint) > 10.0 * TOUCH for joint in joints):
                    _add(found, p)
    return tuple(found)


def _add(found: list[Point], p: Point) -> None:
    if all(math.dist(p, q) > TOUCH for q in found):
        found.append(p)


def _crossings(s: Segment, t: Segment) -> tuple[Point, ...]:
    """Where the whole lines or circles behind two edges cross or touch; none where they are the same."""
    if isinstance(s, Line):
        return _line_line(s, t) if isinstance(t, Line) else _line_circle(s, t)
    return _line_circle(t, s) if isinstance(t, Line) else _circle_circle(s, t)


def _line_line(s: Line, t: Line) -> tuple[Point, ...]:
    u, v = minus(s.b, s.a), minus(t.b, t.a)
    slope = cross(u, v)
    if abs(slope) <= 1e-12 * s.length * t.length:
        return ()
    return (along(s.a, u, cross(minus(t.a, s.a), v) / slope),)


def _line_circle(s: Line, t: Arc) -> tuple[Point, ...]:
    way = s.tangent()
    middle = dot(minus(t.centre, s.a), way)
    foot = along(s.a, way, middle)
    off = abs(cross(way, minus(t.centre, s.a)))
    if off > t.radius + TANGENT:
        return ()
    if off > t.radius - TANGENT:
        return (foot,)
    half = math.sqrt((t.radius - off) * (t.radius + off))
    return (along(foot, way, -half), along(foot, way, half))


def _circle_circle(s: Arc, t: Arc) -> tuple[Point, ...]:
    r, q, gap = s.radius, t.radius, math.dist(s.centre, t.centre)
    if gap <= TOUCH and abs(r - q) <= TOUCH:
        return ()
    if gap > r + q + TANGENT or gap < abs(r - q) - TANGENT or gap == 0.0:
        return ()
    step = minus(t.centre, s.centre)
    way = (step[0] / gap, step[1] / gap)
    reach = (gap + (r - q) * (r + q) / gap) / 2.0
    if gap > r + q - TANGENT:
        return (along(s.centre, way, r),)
    if gap < abs(r - q) + TANGENT:
        return (along(s.centre, way, r if r > q else -r),)
    half = math.sqrt(max(0.0, (r - reach) * (r + reach)))
    foot = along(s.centre, way, reach)
    side = (-way[1], way[0])
    return (along(foot, side, -half), along(foot, side, half))
