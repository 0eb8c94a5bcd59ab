"""At which heights the oval of a slanted tube passes a corner of a plate or touches an edge.

Seen squeezed so that the oval is the unit circle: it moves straight and evenly from the lower to the upper face,
so that a point of the plate is on it at the roots of a quadratic in the height.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from brackets.outline import Arc, Ellipse, Line, Point, Segment

SAMPLES = 48
"""Places looked at on each arc; two touches nearer than that are left to the halving of intervals."""

SAME = 1e-9
"""Heights nearer than this, as a part of the thickness, are one."""

STEPS = 60
"""Halvings that bring any bracket below rounding."""


def heights(edges: Sequence[Segment], low: Ellipse, high: Ellipse, t: float) -> tuple[float, ...]:
    """Rising heights over 0 and below t; `low` and `high` are the oval on the lower and the upper face."""
    shift = low.local(high.centre)
    if math.hypot(*shift) == 0:
        return ()
    found = sorted(t * s for edge in edges for s in _of_edge(edge, low, shift) if SAME < s < 1 - SAME)
    kept: list[float] = []
    for z in found:
        if not kept or z - kept[-1] > SAME * t:
            kept.append(z)
    return tuple(kept)


def _of_edge(edge: Segment, oval: Ellipse, shift: Point) -> Iterator[float]:
    """Parts of the way from the lower to the upper face."""
    for root in _passing(oval.local(edge.a), shift):
        yield root[0]
    if isinstance(edge, Line):
        yield from _touching_line(edge, oval, shift)
    else:
        yield from _touching_arc(edge, oval, shift)


def _passing(p: Point, shift: Point) -> tuple[tuple[float, int], ...]:
    """When the moving unit circle passes p, with which of the two roots it is."""
    ww = shift[0] ** 2 + shift[1] ** 2
    middle = (p[0] * shift[0] + p[1] * shift[1]) / ww
    off = (p[0] * shift[1] - p[1] * shift[0]) ** 2 / ww
    if off >= 1:
        return ()
    half = math.sqrt((1 - off) / ww)
    return ((middle - half, 0), (middle + half, 1))


def _touching_line(edge: Line, oval: Ellipse, shift: Point) -> Iterator[float]:
    (ax, ay), (bx, by) = oval.local(edge.a), oval.local(edge.b)
    run = math.hypot(bx - ax, by - ay)
    dx, dy = (bx - ax) / run, (by - ay) / run
    closing = dx * shift[1] - dy * shift[0]
    if closing == 0:
        return
    for side in (-1.0, 1.0):
        s = (dx * ay - dy * ax + side) / closing
        foot = (s * shift[0] - ax) * dx + (s * shift[1] - ay) * dy
        if 0 <= foot <= run:
            yield s


def _touching_arc(edge: Arc, oval: Ellipse, shift: Point) -> Iterator[float]:
    for branch in (0, 1):
        last: tuple[float, float] | None = None
        for i in range(SAMPLES + 1):
            at = i / SAMPLES
            slope = _slope(edge, oval, shift, at, branch)
            if slope is not None and last is not None and last[1] * slope <= 0:
                yield from _root(edge, oval, shift, (last[0], at), branch)
            last = None if slope is None else (at, slope)


def _root(edge: Arc, oval: Ellipse, shift: Point, bracket: tuple[float, float], branch: int) -> Iterator[float]:
    low, high = bracket
    start = _slope(edge, oval, shift, low, branch)
    for _ in range(STEPS):
        middle = (low + high) / 2
        slope = _slope(edge, oval, shift, middle, branch)
        if slope is None or start is None:
            return
        if start * slope > 0:
            low = middle
        else:
            high = middle
    roots = _passing(oval.local(edge.point((low + high) / 2)), shift)
    if roots:
        yield roots[branch][0]


def _slope(edge: Arc, oval: Ellipse, shift: Point, at: float, branch: int) -> float | None:
    """How the unit circle runs against the arc where it passes the arc's point at `at`: 0 where they touch."""
    p = oval.local(edge.point(at))
    roots = _passing(p, shift)
    if not roots:
        return None
    s = roots[branch][0]
    x, y = edge.tangent(at)
    ahead = oval.local((oval.centre[0] + x, oval.centre[1] + y))
    return (p[0] - s * shift[0]) * ahead[0] + (p[1] - s * shift[1]) * ahead[1]
