"""Which side of a closed run of edges a point is on.

The winding number of the polygon of the chords, corrected by the cap over each chord the point lies in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from brackets.outline.ellipse import Ellipse, EllipseArc
from brackets.outline.segments import Arc, Line, Point, cross, minus

Edge = Line | Arc | EllipseArc


def winding(edges: Iterable[Edge], p: Point) -> int:
    """How many times closed runs of edges go anticlockwise round p; on the curve either side's answer."""
    turns = 0
    for e in edges:
        left = _left(e.a, e.b, p)
        if e.a[1] <= p[1] < e.b[1] and left:
            turns += 1
        elif e.b[1] <= p[1] < e.a[1] and not left:
            turns -= 1
        if isinstance(e, Line):
            continue
        if left is not (e.sweep > 0.0) and _round_part(e, p):
            turns += 1 if e.sweep > 0.0 else -1
    return turns


def _left(a: Point, b: Point, p: Point) -> bool:
    """Whether p is left of the chord; exactly on it, as though p were moved a hair right and up."""
    side = cross(minus(b, a), minus(p, a))
    if side != 0.0:
        return side > 0.0
    return b[1] < a[1] or (b[1] == a[1] and b[0] > a[0])


def _round_part(e: Arc | EllipseArc, p: Point) -> bool:
    """Whether p is inside the whole circle or oval of a curved edge."""
    if isinstance(e, Arc):
        return math.dist(p, e.centre) < e.radius
    return math.hypot(*Ellipse(e.centre, e.semi_a, e.semi_b, e.angle).local(p)) < 1.0
