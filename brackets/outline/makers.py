"""Plate outlines from a few numbers: polygon, rectangle, circle, slot, hexagon."""

from __future__ import annotations

import math
from collections.abc import Sequence

from brackets.errors import OutOfRange
from brackets.outline.curve import Outline, outline, show
from brackets.outline.segments import JOIN, Arc, Line, Point, Segment, along, cross, dot, minus, unit

SLACK = 1e-9
"""mm: how far two roundings that share an edge may overlap; rounding in the sum of their lengths."""


def polygon(points: Sequence[Point], radius: float = 0.0, *, radii: Sequence[float] | None = None) -> Outline:
    """Straight edges through the points, in either order, every corner rounded by a tangent arc.

    `radii` gives one radius a corner in the order of the points, instead of one `radius` for all, mm.
    A radius that does not fit is refused with the largest that does.
    """
    corners = _corners(points)
    count = len(corners)
    if radii is not None and len(radii) != count:
        raise OutOfRange(f"radii = {len(radii)} values, must be one for each of {count} corners")
    rounds = [float(r) for r in radii] if radii is not None else [float(radius)] * count
    _positive(**{f"radius at corner {i} of {count}": r for i, r in enumerate(rounds, 1)}, zero=True)
    slopes = [_half_turn(corners, i) for i in range(count)]
    _fitting(corners, rounds, slopes, shared=radii is None)
    return outline(_run(corners, [r * t for r, t in zip(rounds, slopes, strict=True)], arcs=True))


def chamfered(points: Sequence[Point], leg: float, *, legs: Sequence[float] | None = None) -> Outline:
    """Straight edges through the points, every corner cut off `leg` mm back along both its edges."""
    corners = _corners(points)
    count = len(corners)
    if legs is not None and len(legs) != count:
        raise OutOfRange(f"legs = {len(legs)} values, must be one for each of {count} corners")
    backs = [float(c) for c in legs] if legs is not None else [float(leg)] * count
    _positive(**{f"chamfer at corner {i} of {count}": c for i, c in enumerate(backs, 1)}, zero=True)
    _fitting(corners, backs, [1.0] * count, shared=legs is None, what="chamfer")
    return outline(_run(corners, backs, arcs=False))


def rectangle(w: float, h: float, *, centre: Point = (0.0, 0.0), radius: float = 0.0) -> Outline:
    """w along x, h along y, about `centre`, corners rounded, mm."""
    _positive(w=w, h=h)
    (x, y), dx, dy = centre, w / 2.0, h / 2.0
    return polygon(((x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy)), radius)


def circle(centre: Point, r: float) -> Outline:
    """Two half arcs from the right-hand point, mm."""
    _positive(r=r)
    _placed(centre=centre)
    right, left = (centre[0] + r, centre[1]), (centre[0] - r, centre[1])
    return Outline((Arc(right, left, centre), Arc(left, right, centre)))


def slot(a: Point, b: Point, width: float) -> Outline:
    """An obround: two half circles about a and b, and the tangent lines between them, mm."""
    _positive(width=width)
    _placed(a=a, b=b)
    if math.dist(a, b) <= JOIN:
        raise OutOfRange(f"slot from {show(a)} to {show(b)} has no length: use a circle {width:g} mm across")
    way, r = unit(minus(b, a)), width / 2.0
    out = (way[1], -way[0])
    p, q, s, t = along(a, out, r), along(b, out, r), along(b, out, -r), along(a, out, -r)
    return Outline((Line(p, q), Arc(q, s, b), Line(s, t), Arc(t, p, a)))


def hexagon(across_flats: float, *, centre: Point = (0.0, 0.0), angle: float = 0.0) -> Outline:
    """A nut: flats at top and bottom and a corner on +x, turned by `angle` degrees, mm."""
    _positive(across_flats=across_flats)
    r, (x, y) = across_flats / math.sqrt(3.0), centre
    turns = [math.radians(angle + 60.0 * k) for k in range(6)]
    return polygon([(x + r * math.cos(t), y + r * math.sin(t)) for t in turns])


def _positive(*, zero: bool = False, **values: float) -> None:
    problems = [
        f"{name} = {value:g} mm, must be {'0 or more' if zero else 'over 0'}"
        for name, value in values.items()
        if not (math.isfinite(value) and (value > 0.0 or (zero and value == 0.0)))
    ]
    if problems:
        raise OutOfRange(*problems)


def _placed(**places: Point) -> None:
    problems = [
        f"{name} = ({x:g}, {y:g}), must be two numbers in mm"
        for name, (x, y) in places.items()
        if not (math.isfinite(x) and math.isfinite(y))
    ]
    if problems:
        raise OutOfRange(*problems)


def _corners(points: Sequence[Point]) -> tuple[Point, ...]:
    corners = tuple((float(x), float(y)) for x, y in points)
    count = len(corners)
    if count < 3:
        raise OutOfRange(f"polygon = {count} points, must be at least 3")
    problems = [
        f"point {i} of {count} has a coordinate that is not a number"
        for i, p in enumerate(corners, 1)
        if not (math.isfinite(p[0]) and math.isfinite(p[1]))
    ]
    problems += [
        f"point {i} of {count} at {show(p)} repeats the one before it"
        for i, p in enumerate(corners, 1)
        if math.dist(p, corners[i - 2]) <= JOIN
    ]
    if problems:
        raise OutOfRange(*problems)
    return corners


def _half_turn(corners: Sequence[Point], i: int) -> float:
    """Tangent of half the turn at a corner: how far back a rounding of radius 1 begins."""
    u = unit(minus(corners[i], corners[i - 1]))
    v = unit(minus(corners[(i + 1) % len(corners)], corners[i]))
    return abs(math.tan(math.atan2(cross(u, v), dot(u, v)) / 2.0))


def _fitting(
    corners: Sequence[Point],
    sizes: Sequence[float],
    slopes: Sequence[float],
    *,
    shared: bool,
    what: str = "radius",
) -> None:
    """OutOfRange where the roundings at the two ends of an edge are longer than the edge.

    The larger of the two is named; where one size serves all corners, the tightest corner is.
    """
    count = len(corners)
    rooms = [math.dist(corners[i], corners[(i + 1) % count]) for i in range(count)]
    backs = [size * slope for size, slope in zip(sizes, slopes, strict=True)]
    problems: dict[int, float] = {}
    for i in range(count):
        for j, room in (((i + 1) % count, rooms[i]), (i - 1, rooms[i - 1])):
            if backs[i] + backs[j] > room + SLACK and backs[i] >= backs[j]:
                largest = room / (slopes[i] + slopes[j]) if shared else max(0.0, room - backs[j]) / slopes[i]
                problems[i] = min(largest, problems.get(i, math.inf))
    if shared and problems:
        tightest = min(problems, key=lambda i: problems[i])
        problems = {tightest: problems[tightest]}
    if problems:
        raise OutOfRange(
            *(
                f"{what} at corner {i + 1} of {count} {show(corners[i])} = {sizes[i]:.6g} mm, "
                f"must be at most {math.floor(largest * 1e4) / 1e4:.10g} mm: "
                f"its edges are {rooms[i - 1]:.6g} and {rooms[i]:.6g} mm long"
                for i, largest in problems.items()
            )
        )


def _run(corners: Sequence[Point], backs: Sequence[float], *, arcs: bool) -> list[Segment]:
    """Edges shortened by the roundings, with an arc or a straight cut at each corner that has one."""
    count = len(corners)
    ways = [unit(minus(corners[(i + 1) % count], corners[i])) for i in range(count)]
    starts = [along(corners[i], ways[i], backs[i]) for i in range(count)]
    ends = [along(corners[i], ways[i - 1], -backs[i]) for i in range(count)]
    run: list[Segment] = []
    for i in range(count):
        j = (i + 1) % count
        if math.dist(starts[i], ends[j]) > JOIN:
            run.append(Line(starts[i], ends[j]))
        else:
            starts[i] = ends[j] = starts[i] if j else ends[j]
        if math.dist(ends[j], starts[j]) > JOIN:
            run.append(_round(ends[j], starts[j], ways[i], ways[j]) if arcs else Line(ends[j], starts[j]))
    return run


def _round(a: Point, b: Point, before: Point, after: Point) -> Arc:
    """The arc from a to b that is tangent to both ways of travel."""
    turn = math.atan2(cross(before, after), dot(before, after))
    r = math.dist(a, b) / (2.0 * math.sin(turn / 2.0))
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    chord = unit(minus(b, a))
    return Arc(a, b, along(middle, (-chord[1], chord[0]), r * math.cos(turn / 2.0)), turn > 0.0)
