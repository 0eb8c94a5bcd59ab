"""How far a point, a hole or another outline is from the edge of a plate."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from brackets.core.errors import OutOfRange
from brackets.geometry.crossings import intersections, winding
from brackets.geometry.curve import Outline
from brackets.geometry.segments import TOUCH, Arc, Bounds, Line, Point, Segment, along, minus, unit


@dataclass(frozen=True)
class Nearest:
    """The nearest place on an outline: mm, never negative, and where."""

    distance: float
    point: Point


@dataclass(frozen=True)
class Where:
    """Which side of an outline a point is on; `distance` to the edge in mm, negative outside."""

    side: Literal["inside", "on", "outside"]
    distance: float
    point: Point


@dataclass(frozen=True)
class Between:
    """The least distance between two outlines, mm, and the point on each; 0 where they cross."""

    distance: float
    p: Point
    q: Point


def nearest(o: Outline, p: Point) -> Nearest:
    """The place on the curve nearest to p."""
    best = Nearest(math.inf, p)
    for s in o.segments:
        if _box_gap(s.bounds, (*p, *p)) > best.distance:
            continue
        place = s.point(s.nearest(p))
        far = math.dist(place, p)
        if far < best.distance:
            best = Nearest(far, place)
    return best


def distance(o: Outline, p: Point) -> float:
    """From p to the edge, mm; negative where p is outside the plate."""
    return contains(o, p).distance


def contains(o: Outline, p: Point) -> Where:
    """Side and signed distance of p; within TOUCH of the curve it is on it."""
    near = nearest(o, p)
    inside = winding(o.segments, p) > 0
    signed = near.distance if inside else -near.distance
    if near.distance <= TOUCH:
        return Where("on", signed, near.point)
    return Where("inside" if inside else "outside", signed, near.point)


def distance_between(one: Outline, other: Outline) -> Between:
    """From curve to curve, whether side by side or one within the other."""
    best = Between(math.inf, (0.0, 0.0), (0.0, 0.0))
    for s in one.segments:
        for t in other.segments:
            if _box_gap(s.bounds, t.bounds) >= best.distance:
                continue
            for p, q in _closest(s, t):
                far = math.dist(p, q)
                if far < best.distance:
                    best = Between(far, p, q)
    return best


def hole_edge_distance(o: Outline, centre: Point, d: float) -> float:
    """Metal left between the rim of a hole of diameter d and the nearest edge, mm; negative: breaks out."""
    if not (math.isfinite(d) and d >= 0.0):
        raise OutOfRange(f"hole d = {d:g} mm, must be 0 or more")
    return distance(o, centre) - d / 2.0


def _box_gap(s: Bounds, t: Bounds) -> float:
    """Least distance between two boxes, mm."""
    return math.hypot(
        max(0.0, s[0] - t[2], t[0] - s[2]),
        max(0.0, s[1] - t[3], t[1] - s[3]),
    )


def _closest(s: Segment, t: Segment) -> list[tuple[Point, Point]]:
    """Pairs of points, one of which is the nearest pair of two edges."""
    meets = intersections(s, t)
    if meets:
        return [(meets[0], meets[0])]
    pairs = [(p, t.point(t.nearest(p))) for p in (s.a, s.b)]
    pairs += [(s.point(s.nearest(q)), q) for q in (t.a, t.b)]
    for p in _facing(s, t):
        q = t.point(t.nearest(p))
        pairs.append((s.point(s.nearest(q)), q))
    return pairs


def _facing(s: Segment, t: Segment) -> list[Point]:
    """Places on s where a square line to it can also be square to t, away from all ends."""
    if isinstance(s, Line):
        return [s.point(s.nearest(t.centre))] if isinstance(t, Arc) else []
    if isinstance(t, Line):
        foot = t.point(t.nearest(s.centre))
    elif math.dist(s.centre, t.centre) <= TOUCH:
        return []
    else:
        foot = t.centre
    if math.dist(foot, s.centre) <= TOUCH:
        return []
    way = unit(minus(foot, s.centre))
    return [along(s.centre, way, s.radius), along(s.centre, way, -s.radius)]
