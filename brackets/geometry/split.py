"""Edges cut where others meet them, and the pieces put together again into closed loops."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import product

from brackets.core.errors import InputError
from brackets.geometry.crossings import Edge
from brackets.geometry.curve import moments_of, show
from brackets.geometry.segments import TOUCH, Arc, Line, Point, cross, dot, minus

SNAP = 2.0 * TOUCH
"""mm: two meeting points this near are one; twice TOUCH, as each may be off its edge by TOUCH."""
ALIGNED = 1e-6
"""rad: edges that leave a joint this nearly side by side are told apart by how they bend."""

Loop = tuple[Edge, ...]


CELL = 1e-3
"""mm: side of the squares by which meeting points are found again; far over SNAP, so that few lie near a border."""


@dataclass
class Joints:
    """Meeting points, each kept once."""

    points: list[Point] = field(default_factory=list)
    _cells: dict[tuple[int, int], list[int]] = field(init=False, repr=False, default_factory=dict)
    """Which points, by number and rising, lie in a square of side CELL or nearer to it than SNAP."""

    def __post_init__(self) -> None:
        for number, p in enumerate(self.points):
            self._place(number, p)

    def snap(self, p: Point) -> Point:
        """The first of the points that is no further than SNAP from `p`; else `p`, which is one from then on."""
        for number in self._cells.get((_cell(p[0]), _cell(p[1])), ()):
            if math.dist(p, q := self.points[number]) <= SNAP:
                return q
        self._place(len(self.points), p)
        self.points.append(p)
        return p

    def _place(self, number: int, p: Point) -> None:
        columns, rows = (range(_cell(c - 2 * SNAP), _cell(c + 2 * SNAP) + 1) for c in p)
        for cell in product(columns, rows):
            self._cells.setdefault(cell, []).append(number)


def _cell(along: float) -> int:
    return math.floor(along / CELL)


def pieces(edge: Line | Arc, at: Iterable[Point], joints: Joints) -> list[Edge]:
    """An edge cut at points that lie on it, every end on a joint; pieces too short to keep are dropped."""
    marks = sorted((edge.nearest(p), p) for p in at)
    ends = [(0.0, edge.a), *(m for m in marks if 0.0 < m[0] < 1.0), (1.0, edge.b)]
    snapped = [(s, joints.snap(p)) for s, p in ends]
    found: list[Edge] = []
    last_s, last = snapped[0]
    for s, p in snapped[1:]:
        if p == last:
            continue
        if isinstance(edge, Line):
            found.append(Line(last, p))
        else:
            part = Arc(last, p, edge.centre, edge.ccw)
            if abs(part.sweep - (s - last_s) * edge.sweep) < math.pi:
                found.append(part)
        last_s, last = s, p
    return found


def loops(edges: Iterable[Edge]) -> tuple[Loop, ...]:
    """Closed loops from edges whose ends agree exactly, metal on the left of each.

    Pieces that touch at a point come apart, and so does a hole that touches the outside.
    """
    leaving: dict[Point, list[Edge]] = {}
    for e in edges:
        leaving.setdefault(e.a, []).append(e)
    found: list[Loop] = []
    while leaving:
        start = next(iter(leaving))
        run = [_take(leaving, leaving[start][0])]
        while run[-1].b != start or start in leaving:
            choices = leaving.get(run[-1].b)
            if choices is None:
                raise InputError(
                    f"outlines do not close at {show(run[-1].b)} mm: "
                    f"they run along one another nearer than {TOUCH:g} mm there, move one"
                )
            run.append(_take(leaving, _next(run[-1], choices)))
        found += _simple(run)
    return tuple(merged(loop) for loop in found if not _sliver(loop))


def merged(loop: Loop) -> Loop:
    """The loop with runs of the same line or circle made one edge again."""
    run: list[Edge] = []
    for e in loop:
        one = _one_edge(run[-1], e) if run else None
        if one is None:
            run.append(e)
        else:
            run[-1] = one
    while len(run) > 2 and (one := _one_edge(run[-1], run[0])) is not None:
        run = [one, *run[1:-1]]
    return tuple(run)


def _take(leaving: dict[Point, list[Edge]], edge: Edge) -> Edge:
    choices = leaving[edge.a]
    choices.remove(edge)
    if not choices:
        del leaving[edge.a]
    return edge


def _next(arriving: Edge, choices: Sequence[Edge]) -> Edge:
    """The edge that shuts the corner of metal on the left: the first one clockwise from the way back."""
    if len(choices) == 1:
        return choices[0]
    back = arriving.reversed()

    def turn(e: Edge) -> tuple[float, float]:
        u, v = back.tangent(), e.tangent()
        clockwise = -math.atan2(cross(u, v), dot(u, v))
        bend = back.curvature - e.curvature
        if abs(clockwise) < ALIGNED:
            return (0.0, bend) if bend > 0.0 else (math.tau, bend)
        return (round((clockwise % math.tau) / ALIGNED) * ALIGNED, bend)

    return min(choices, key=turn)


def _simple(run: Sequence[Edge]) -> list[Loop]:
    """A closed run cut into loops that visit no point twice."""
    found: list[Loop] = []
    path: list[Edge] = []
    for e in run:
        path.append(e)
        starts = [i for i, earlier in enumerate(path) if earlier.a == e.b]
        if starts:
            found.append(tuple(path[starts[-1] :]))
            del path[starts[-1] :]
    return found


def _sliver(loop: Loop) -> bool:
    """Whether a loop is thinner than can be told from nothing."""
    return abs(moments_of(loop).area) <= TOUCH * math.fsum(e.length for e in loop)


def _one_edge(first: Edge, second: Edge) -> Edge | None:
    """Two edges end to end as one, where they are parts of one line or circle."""
    if isinstance(first, Line) and isinstance(second, Line):
        whole = Line(first.a, second.b)
        if dot(first.tangent(), second.tangent()) > 0.0 and whole.length > 0.0:
            off = abs(cross(whole.tangent(), minus(first.b, first.a)))
            return whole if off <= TOUCH / 10.0 else None
        return None
    if isinstance(first, Arc) and isinstance(second, Arc):
        same = math.dist(first.centre, second.centre) <= TOUCH / 10.0 and first.ccw is second.ccw
        if same and abs(first.sweep) + abs(second.sweep) < math.tau - 1e-3:
            return Arc(first.a, second.b, first.centre, first.ccw)
    return None
