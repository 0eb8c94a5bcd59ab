"""The outline round the holes: a string pulled tight about circles."""

from __future__ import annotations

import math
from collections.abc import Iterable

from brackets.errors import OutOfRange
from brackets.outline.curve import Outline, outline
from brackets.outline.makers import circle
from brackets.outline.segments import JOIN, TOUCH, Arc, Line, Point, Segment, along, dot

Circle = tuple[float, float, float]
"""x, y, r in mm."""


def round_hull(circles: Iterable[Circle]) -> Outline:
    """Tangent lines and arcs round circles (x, y, r), r 0 or more, mm."""
    given = [(float(x), float(y), float(r)) for x, y, r in circles]
    problems = [
        f"circle {i} of {len(given)} r = {c[2]:g} mm, must be 0 or more"
        for i, c in enumerate(given, 1)
        if not (all(math.isfinite(v) for v in c) and c[2] >= 0.0)
    ]
    if not given:
        problems.append("outline round the holes = 0 circles, must be at least 1")
    if problems:
        raise OutOfRange(*problems)
    rims = _not_within_another(given)
    if len(rims) == 1:
        x, y, r = rims[0]
        return circle((x, y), r)
    sides = sorted(_sides(rims))
    run: list[Segment] = []
    for (_, _, j, line), (_, _, _, after) in zip(sides, (*sides[1:], sides[0]), strict=True):
        run.append(line)
        if math.dist(line.b, after.a) > JOIN:
            run.append(Arc(line.b, after.a, rims[j][:2]))
    return outline(run)


def _not_within_another(circles: list[Circle]) -> list[Circle]:
    kept: list[Circle] = []
    for c in sorted(circles, key=lambda c: -c[2]):
        if all(math.dist(c[:2], k[:2]) + c[2] > k[2] + TOUCH for k in kept):
            kept.append(c)
    return kept


def _sides(rims: list[Circle]) -> list[tuple[float, int, int, Line]]:
    """Every tangent with all circles on its left: (angle of its outward side, from, to, line)."""
    sides = []
    for i, p in enumerate(rims):
        for j, q in enumerate(rims):
            if i == j:
                continue
            out = _outward(p, q)
            line = Line(along(p[:2], out, p[2]), along(q[:2], out, q[2]))
            if _is_side(rims, i, j, out):
                sides.append((math.atan2(out[1], out[0]), i, j, line))
    return sides


def _outward(p: Circle, q: Circle) -> Point:
    """Unit vector square to the tangent that runs from p to q with both on its left."""
    far = math.dist(p[:2], q[:2])
    lean = (p[2] - q[2]) / far
    upright = math.sqrt((1.0 - lean) * (1.0 + lean))
    dx, dy = (q[0] - p[0]) / far, (q[1] - p[1]) / far
    return (lean * dx + upright * dy, lean * dy - upright * dx)


def _is_side(rims: list[Circle], i: int, j: int, out: Point) -> bool:
    """Whether no circle passes the tangent, and none touches it before its start or past its end."""
    p, q = rims[i], rims[j]
    way = (-out[1], out[0])
    level, start, end = dot(p[:2], out) + p[2], dot(p[:2], way), dot(q[:2], way)
    for k, c in enumerate(rims):
        if k in (i, j):
            continue
        past = dot(c[:2], out) + c[2] - level
        if past > TOUCH:
            return False
        if past > -TOUCH and not start < dot(c[:2], way) < end:
            return False
    return True


