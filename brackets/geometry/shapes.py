"""Outlines from a few numbers (polygon, rectangle, circle, slot, hexagon, hull of circles), shifted or turned."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from brackets.core.errors import InputError, OutOfRange
from brackets.geometry.curve import Outline, outline, show
from brackets.geometry.segments import JOIN, TOUCH, Arc, Line, Point, Segment, along, cross, dot, minus, unit

SLACK = 1e-9
"""mm: how far two roundings that share an edge may overlap; rounding in the sum of their lengths."""


def polygon(points: Sequence[Point], radius: float = 0.0, *, radii: Sequence[float] | None = None) -> Outline:
    """An outline of straight edges through points, every corner rounded by a tangent arc.

    points: corners in order, either way round, (x, y) in mm; radius: of every corner, mm; radii: one radius a
    corner in the order of the points, instead of `radius`.
    Raises InputError for a radius that does not fit, with the largest that does, and where the outline crosses
    itself.

    >>> polygon([(0, 0), (40, 0), (0, 30)]).area
    600.0
    >>> polygon([(0, 0), (40, 0), (0, 30)], radius=11)
    Traceback (most recent call last):
    brackets.core.errors.OutOfRange: radius at corner 2 of 3 (40, 0) = 11 mm, must be at most 10 mm: ...
    """
    corners = _corners(points)
    count = len(corners)
    if radii is not None and len(radii) != count:
        raise InputError(f"radii = {len(radii)} values, must be one for each of {count} corners")
    rounds = [float(r) for r in radii] if radii is not None else [float(radius)] * count
    _positive(**{f"radius at corner {i} of {count}": r for i, r in enumerate(rounds, 1)}, zero=True)
    slopes = [_half_turn(corners, i) for i in range(count)]
    _fitting(corners, rounds, slopes, shared=radii is None)
    return outline(_run(corners, [r * t for r, t in zip(rounds, slopes, strict=True)], arcs=True))


def chamfered(points: Sequence[Point], leg: float, *, legs: Sequence[float] | None = None) -> Outline:
    """An outline of straight edges through points, every corner cut off.

    points: corners in order, either way round, (x, y) in mm; leg: how far back each corner is cut along both its
    edges, mm; legs: one for each corner in the order of the points, instead of `leg`.
    Raises InputError for a leg that does not fit, with the largest that does.

    >>> chamfered([(0, 0), (100, 0), (100, 50), (0, 50)], 10).area
    4800.0
    """
    corners = _corners(points)
    count = len(corners)
    if legs is not None and len(legs) != count:
        raise InputError(f"legs = {len(legs)} values, must be one for each of {count} corners")
    backs = [float(c) for c in legs] if legs is not None else [float(leg)] * count
    _positive(**{f"chamfer at corner {i} of {count}": c for i, c in enumerate(backs, 1)}, zero=True)
    _fitting(corners, backs, [1.0] * count, shared=legs is None, what="chamfer")
    return outline(_run(corners, backs, arcs=False))


def rectangle(w: float, h: float, *, centre: Point = (0.0, 0.0), radius: float = 0.0) -> Outline:
    """A rectangle, its edges along x and y.

    w, h: width along x and height along y, mm; centre: (x, y), mm; radius: of the four corners, mm.
    Raises InputError where a size is not over 0 or the radius does not fit.

    >>> rectangle(100, 50).area, rectangle(100, 50, centre=(10, 0)).bounds
    (5000.0, (-40.0, -25.0, 60.0, 25.0))
    """
    _positive(w=w, h=h)
    (x, y), dx, dy = centre, w / 2.0, h / 2.0
    return polygon(((x - dx, y - dy), (x + dx, y - dy), (x + dx, y + dy), (x - dx, y + dy)), radius)


def circle(centre: Point, r: float) -> Outline:
    """A circle, as two half arcs from its right-hand point.

    centre: (x, y), mm; r: radius, mm.
    Raises InputError where `r` is not over 0.

    >>> round(circle((0, 0), 10).length, 3)
    62.832
    """
    _positive(r=r)
    _placed(centre=centre)
    right, left = (centre[0] + r, centre[1]), (centre[0] - r, centre[1])
    return Outline((Arc(right, left, centre), Arc(left, right, centre)))


def slot(a: Point, b: Point, width: float) -> Outline:
    """A slot with round ends: two half circles and the straight lines between them.

    a, b: centres of the two ends, (x, y), mm; width: across the slot, mm.
    Raises InputError where `width` is not over 0 or the centres are one point.

    >>> round(slot((0, 0), (20, 0), 10).length, 3), round(2 * 20 + 3.14159265 * 10, 3)
    (71.416, 71.416)
    """
    _positive(width=width)
    _placed(a=a, b=b)
    if math.dist(a, b) <= JOIN:
        raise InputError(f"slot from {show(a)} to {show(b)} has no length: use a circle {width:g} mm across")
    way, r = unit(minus(b, a)), width / 2.0
    out = (way[1], -way[0])
    p, q, s, t = along(a, out, r), along(b, out, r), along(b, out, -r), along(a, out, -r)
    return Outline((Line(p, q), Arc(q, s, b), Line(s, t), Arc(t, p, a)))


def hexagon(across_flats: float, *, centre: Point = (0.0, 0.0), angle: float = 0.0) -> Outline:
    """A hexagon, as of a nut: flats at top and bottom and a corner on +x.

    across_flats: mm; centre: (x, y), mm; angle: degrees it is turned by, anticlockwise.
    Raises InputError where `across_flats` is not over 0.

    >>> round(hexagon(18).area, 2), round(18**2 * 3**0.5 / 2, 2)
    (280.59, 280.59)
    """
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
        raise InputError(*problems)


def _placed(**places: Point) -> None:
    problems = [
        f"{name} = ({x:g}, {y:g}), must be two numbers in mm"
        for name, (x, y) in places.items()
        if not (math.isfinite(x) and math.isfinite(y))
    ]
    if problems:
        raise InputError(*problems)


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
        raise InputError(*problems)
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


Circle = tuple[float, float, float]
"""x, y, r in mm."""


def round_hull(circles: Iterable[Circle]) -> Outline:
    """The convex outline round circles: arcs of them, and the tangent lines from one to the next.

    circles: (x, y, r) each, mm; r may be 0 for a sharp corner.
    Raises InputError where there is no circle or a radius is negative.

    >>> round(round_hull([(0, 0, 10), (50, 0, 10)]).length, 3), round(2 * 50 + 3.14159265 * 20, 3)
    (162.832, 162.832)
    """
    given = [(float(x), float(y), float(r)) for x, y, r in circles]
    problems = [
        f"circle {i} of {len(given)} r = {c[2]:g} mm, must be 0 or more"
        for i, c in enumerate(given, 1)
        if not (all(math.isfinite(v) for v in c) and c[2] >= 0.0)
    ]
    if not given:
        problems.append("outline round the holes = 0 circles, must be at least 1")
    if problems:
        raise InputError(*problems)
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


def translate(o: Outline, dx: float, dy: float) -> Outline:
    """Moved by (dx, dy) mm."""
    return o.map(lambda p: (p[0] + dx, p[1] + dy))


def rotate(o: Outline, angle: float, *, about: Point = (0.0, 0.0)) -> Outline:
    """Turned by `angle` degrees anticlockwise; quarter turns are exact."""
    cos, sin = _quarter(angle)

    def turn(p: Point) -> Point:
        x, y = p[0] - about[0], p[1] - about[1]
        return (about[0] + x * cos - y * sin, about[1] + x * sin + y * cos)

    return o.map(turn)


def mirror_x(o: Outline) -> Outline:
    """Left and right swapped: x becomes -x."""
    return o.map(lambda p: (0.0 - p[0], p[1]))


def mirror_y(o: Outline) -> Outline:
    """Up and down swapped: y becomes -y."""
    return o.map(lambda p: (p[0], 0.0 - p[1]))


def scale(o: Outline, factor: float, *, about: Point = (0.0, 0.0)) -> Outline:
    """Every length times `factor`."""
    if not (math.isfinite(factor) and factor > 0.0):
        raise OutOfRange(f"scale = {factor:g}, must be over 0")
    return o.map(lambda p: (about[0] + factor * (p[0] - about[0]), about[1] + factor * (p[1] - about[1])))


def _quarter(angle: float) -> Point:
    turns, rest = divmod(angle, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(turns) % 4]
    return (math.cos(math.radians(angle)), math.sin(math.radians(angle)))
