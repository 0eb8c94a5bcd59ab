"""Bend lines on the straight edges of outlines."""

from __future__ import annotations

import math

from brackets.outline import JOIN, Line, Outline, Point, Segment
from brackets.pieces import Place

STRAIGHT = 1e-9
"""mm: how far a corner may stand off the line past it and still be none; rounding of coordinates up to 1 m."""


def line_place(start: Point, end: Point) -> Place:
    """The frame of a bend line in its parent: x from start to end, y to the left of it."""
    far = math.dist(start, end)
    x, y = (end[0] - start[0]) / far, (end[1] - start[1]) / far
    return Place((start[0], start[1], 0.0), (0.0, 0.0, 1.0), (-y, x, 0.0))


def stretch(outline: Outline, start: Point, end: Point) -> int | None:
    """Which edge of `outline` runs straight over `start` and on to `end`; None where none does."""
    for i, edge in enumerate(outline.segments):
        if isinstance(edge, Line) and _along(edge, start, end):
            return i
    return None


def _along(edge: Line, start: Point, end: Point) -> bool:
    (x, y), (u, v) = edge.tangent(), (end[0] - start[0], end[1] - start[1])
    if x * u + y * v <= 0:
        return False
    return all(math.dist(edge.point(edge.nearest(p)), p) <= JOIN for p in (start, end))


def straightened(outline: Outline) -> Outline:
    """The same outline without corners in the middle of a straight edge."""
    return Outline(merged(outline.segments))


def merged(edges: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """A closed run of edges with straight ones that carry on the one before them made one."""
    run: list[Segment] = []
    for edge in edges:
        if run and _carries_on(run[-1], edge):
            run[-1] = Line(run[-1].a, edge.b)
        else:
            run.append(edge)
    while len(run) > 2 and _carries_on(run[-1], run[0]):
        run[0] = Line(run[-1].a, run[0].b)
        run.pop()
    return tuple(run)


def _carries_on(before: Segment, after: Segment) -> bool:
    """Whether the joint of two straight edges lies on the line between their far ends, to a rounding."""
    if not (isinstance(before, Line) and isinstance(after, Line)):
        return False
    whole = math.dist(before.a, after.b)
    if whole < max(before.length, after.length):
        return False
    (ax, ay), (bx, by), (px, py) = before.a, after.b, before.b
    off = abs((bx - ax) * (py - ay) - (by - ay) * (px - ax)) / whole
    return off <= STRAIGHT
