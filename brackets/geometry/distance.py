"""How far a point or an outline is from an outline, and the outline a fixed distance outside or inside another.

mm, outside positive.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from brackets.core.errors import InputError, OutOfRange
from brackets.geometry.crossings import Edge, intersections, winding
from brackets.geometry.curve import Outline
from brackets.geometry.regions import SAMPLES, Region, regions_of
from brackets.geometry.segments import (
    TOUCH,
    Arc,
    Bounds,
    Line,
    Point,
    Segment,
    along,
    apart,
    cross,
    dot,
    minus,
    unit,
)
from brackets.geometry.split import ALIGNED, SNAP, Joints, loops, pieces


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


HALVINGS = 30
"""Steps to find the largest inward offset for the message; gives it to a millionth of the plate's width."""


def offset(o: Outline, d: float) -> Outline:
    """The outline at a fixed distance outside or inside another; round about the corners that it goes round.

    o: the outline; d: distance, mm, outside where positive, inside where negative.
    Raises InputError where nothing is left, or where the result is not one outline without holes.

    >>> offset(rectangle(100, 50), -5).area
    3600.0
    >>> round(offset(rectangle(100, 50), 5).area, 2), round(110 * 60 - (4 - 3.14159265) * 5**2, 2)
    (6578.54, 6578.54)
    """
    found = offset_all(o, d)
    pockets = sum(len(region.holes) for region in found)
    if len(found) > 1:
        raise InputError(f"offset = {d:g} mm gives {len(found)} pieces, must give 1")
    if pockets:
        raise InputError(f"offset = {d:g} mm closes round {pockets} pockets, must close round none")
    return found[0].outer


def offset_all(o: Outline, d: float) -> tuple[Region, ...]:
    """All that lies within d mm of o (+), or deeper than that in it (-), largest piece first."""
    if not math.isfinite(d):
        raise InputError(f"offset = {d:g} mm, must be a number")
    if d == 0.0:
        return (Region(o),)
    found = _offset(o, d)
    if not found:
        deepest = math.floor(_deepest(o, -d) * 1e3) / 1e3
        raise OutOfRange(f"offset = {d:g} mm leaves nothing, must be over -{deepest:g} mm")
    return found


def _offset(o: Outline, d: float) -> tuple[Region, ...]:
    raw = [*_sides(o, d), *_corners(o, d)]
    joints = Joints()
    found: list[Edge] = []
    for i, s in enumerate(raw):
        others = [t for j, t in enumerate(raw) if j != i and not apart(s.bounds, t.bounds)]
        parts = pieces(s, [p for t in others for p in intersections(s, t)], joints)
        found += [e for e in parts if all(_clear(o, d, e.point(f)) for f in SAMPLES)]
    return regions_of(loops(_once(found)))


def _clear(o: Outline, d: float, p: Point) -> bool:
    """Whether p is no nearer to o than d, on the side asked for."""
    signed = distance(o, p)
    return signed >= -d - TOUCH if d < 0.0 else signed <= -d + TOUCH


def _sides(o: Outline, d: float) -> Iterable[Segment]:
    """Every edge moved to its right by d; an arc too tight for that has none."""
    for s in o.segments:
        if isinstance(s, Arc):
            r = s.radius + (d if s.ccw else -d)
            if r <= TOUCH:
                continue
            a = _out(s, 0.0, d)
            b = _out(s, 1.0, d)
            yield Arc(a, b, s.centre, s.ccw)
        else:
            yield Line(_out(s, 0.0, d), _out(s, 1.0, d))


def _corners(o: Outline, d: float) -> Iterable[Segment]:
    """A round about every corner that the offset goes round the outside of."""
    for before, after in zip((o.segments[-1], *o.segments[:-1]), o.segments, strict=True):
        a, b = _out(before, 1.0, d), _out(after, 0.0, d)
        if _turn(before, after) * d > 0.0 and math.dist(a, b) > SNAP:
            yield Arc(a, b, after.a, d > 0.0)


def _turn(before: Segment, after: Segment) -> float:
    """Positive where the way bends to the left; where it comes straight back, by which side the metal is on."""
    u, v = before.tangent(1.0), after.tangent()
    side = cross(u, v)
    if dot(u, v) < 0.0 and abs(side) < ALIGNED:
        return -before.curvature - after.curvature
    return side


def _out(s: Segment, f: float, d: float) -> Point:
    x, y = s.tangent(f)
    return along(s.point(f), (y, -x), d)


def _once(edges: Iterable[Edge]) -> list[Edge]:
    """Doubled edges kept once; two that run opposite ways on one another leave no metal and go."""
    kept: list[Edge] = []
    for e in edges:
        if any(_alike(e, k) for k in kept):
            continue
        back = next((k for k in kept if _alike(e.reversed(), k)), None)
        if back is None:
            kept.append(e)
        else:
            kept.remove(back)
    return kept


def _alike(e: Edge, k: Edge) -> bool:
    return e.a == k.a and e.b == k.b and math.dist(e.point(0.5), k.point(0.5)) <= SNAP


def _deepest(o: Outline, too_deep: float) -> float:
    """The largest inward offset that leaves something, mm."""
    lo, hi = 0.0, too_deep
    for _ in range(HALVINGS):
        middle = (lo + hi) / 2.0
        lo, hi = (middle, hi) if _leaves_some(o, middle) else (lo, middle)
    return lo


def _leaves_some(o: Outline, deep: float) -> bool:
    """Whether an inward offset leaves more than a thread too thin to follow."""
    try:
        return bool(_offset(o, -deep))
    except InputError:
        return False
