"""The closed outline of a plate: lines and arcs end to end, anticlockwise, metal on the left."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from brackets.errors import OutOfRange
from brackets.outline.meet import crossings
from brackets.outline.moments import moments_of
from brackets.outline.segments import JOIN, TOUCH, Arc, Bounds, Line, Point, Segment, box, cross, minus

MOST_CROSSINGS = 3
"""How many places one message names."""


@dataclass(frozen=True)
class Outline:
    """Closed, anticlockwise, not self-crossing; make one with `outline` or a maker, which check that."""

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
    """A checked outline from edges in order, either way round; OutOfRange says what is wrong and where."""
    edges = tuple(segments)
    problems = [p for i, s in enumerate(edges, 1) for p in _edge_problems(i, len(edges), s)]
    if len(edges) < 2:
        problems.append(f"outline = {len(edges)} edges, must be at least 2: a circle is two half arcs")
    if problems:
        raise OutOfRange(*problems)
    joined = _closed(edges)
    found = crossings(joined)
    if found:
        where = ", ".join(show(p) for p in found[:MOST_CROSSINGS])
        more = f" and {len(found) - MOST_CROSSINGS} more" if len(found) > MOST_CROSSINGS else ""
        raise OutOfRange(f"outline crosses or touches itself at {where}{more} mm, must not")
    whole = Outline(joined)
    if abs(whole.area) <= TOUCH * whole.length:
        raise OutOfRange(f"outline at {show(joined[0].a)} mm encloses nothing, must go round some metal")
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
    """The edges with every end moved onto the start of the next; OutOfRange where a gap is too wide."""
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
        raise OutOfRange(*problems)
    return tuple(joined)


def _flips(f: Callable[[Point], Point], bounds: Bounds) -> bool:
    """Whether f mirrors; OutOfRange where it is not an even scale of a rigid motion."""
    x, y = bounds[0], bounds[1]
    step = max(bounds[2] - x, bounds[3] - y)
    origin = f((x, y))
    u, v = minus(f((x + step, y)), origin), minus(f((x, y + step)), origin)
    size = math.hypot(*u)
    uneven = abs(size - math.hypot(*v)) + abs(u[0] * v[0] + u[1] * v[1]) / max(size, 1e-300)
    if size <= 0.0 or uneven > 1e-9 * size + 1e-12 * (abs(origin[0]) + abs(origin[1])):
        raise OutOfRange("outline map squashes or shears, must only shift, turn, mirror and scale evenly")
    return cross(u, v) < 0.0
