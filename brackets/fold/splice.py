"""The edge of the blank, walked from wall to wall over the bends: no joining of shapes, so nothing is rounded."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.errors import OutOfRange
from brackets.fold.lines import merged, straightened
from brackets.fold.tree import Bend, Tree
from brackets.fold.zones import laid, strip
from brackets.outline import JOIN, Line, Outline, Point, Segment, common, crossings
from brackets.outline.segments import apart

SHARED = 1e-6
"""mm2: zones that have less than this in common only touch."""

BOX_SLACK = -1e-6
"""mm: boxes that overlap by less than this only touch."""


def whole_outline(tree: Tree) -> Outline:
    """Outer edge of the uncut blank on the flat. Raises OutOfRange where the blank would overlap itself."""
    edges = merged(tuple(_run(tree, 0)))
    found = crossings(edges)
    if found:
        shared = ", ".join(
            f"{_zone(tree, i)} and {_zone(tree, j)} by {area:.4g} mm2" for i, j, area in overlaps(tree)
        )
        where = shared or f"they touch at ({found[0][0]:.6g}, {found[0][1]:.6g}) mm"
        raise OutOfRange(f"flanges overlap on the flat, must not: {where}")
    return Outline(edges)


def overlaps(tree: Tree) -> tuple[tuple[int, int, float], ...]:
    """Pairs of walls that overlap on the flat, each with its half of the bend it hangs on: numbers and mm2."""
    parts: list[tuple[int, Outline]] = [(n.number, laid(n.wall.outline, n.flat)) for n in tree.walls]
    parts += [(b.number, laid(strip(b), b.flat)) for b in tree.bends]
    found: dict[tuple[int, int], float] = {}
    for k, (i, a) in enumerate(parts):
        for j, b in parts[k + 1 :]:
            if i == j or apart(a.bounds, b.bounds, BOX_SLACK):
                continue
            area = math.fsum(region.area for region in common(a, b))
            if area > SHARED:
                pair = (min(i, j), max(i, j))
                found[pair] = found.get(pair, 0.0) + area
    return tuple((i, j, area) for (i, j), area in sorted(found.items()))


def _zone(tree: Tree, number: int) -> str:
    return f"flange {number}" if number else "the base"


def _run(tree: Tree, number: int) -> Iterator[Segment]:
    """The edge of wall `number` and all that hangs on it; a flange's from one end of its bend to the other."""
    node = tree.walls[number]
    outline = laid(straightened(node.wall.outline), node.flat)
    gates = [_Gate(tree, bend) for bend in tree.children(number)]
    entry = _Entry(tree.bends[number - 1]) if number else None
    edges: list[Segment] = []
    start = 0
    for edge in outline.segments:
        if not isinstance(edge, Line):
            edges.append(edge)
            continue
        here: list[_Gate | _Entry] = [gate for gate in gates if gate.on(edge)]
        if entry is not None and entry.on(edge):
            here.append(entry)
        last = edge.a
        for gate in sorted(here, key=lambda gate: edge.nearest(gate.first)):
            edges += _line(last, gate.first)
            if isinstance(gate, _Entry):
                start = len(edges)
            else:
                edges += gate.run()
            last = gate.last
        edges += _line(last, edge.b)
    return iter(edges[start:] + edges[:start])


class _Gate:
    """Where the edge leaves a wall for the flange on `bend`, and comes back."""

    def __init__(self, tree: Tree, bend: Bend) -> None:
        self.tree, self.bend = tree, bend
        self.first, self.last = bend.on_flat((bend.width, 0.0)), bend.on_flat((0.0, 0.0))

    def on(self, edge: Line) -> bool:
        return _on(edge, self.first, self.last)

    def run(self) -> Iterator[Segment]:
        far = self.bend.on_flat((self.bend.width, self.bend.allowance))
        back = self.bend.on_flat((0.0, self.bend.allowance))
        yield Line(self.first, far)
        yield from _run(self.tree, self.bend.number)
        yield Line(back, self.last)


class _Entry:
    """The stretch of a flange's edge that hangs on its bend."""

    def __init__(self, bend: Bend) -> None:
        self.first = bend.on_flat((0.0, bend.allowance))
        self.last = bend.on_flat((bend.width, bend.allowance))

    def on(self, edge: Line) -> bool:
        return _on(edge, self.first, self.last)


def _on(edge: Line, first: Point, last: Point) -> bool:
    (x, y), run = edge.tangent(), (last[0] - first[0], last[1] - first[1])
    return x * run[0] + y * run[1] > 0 and all(
        math.dist(edge.point(edge.nearest(p)), p) <= JOIN for p in (first, last)
    )


def _line(a: Point, b: Point) -> Iterator[Line]:
    if math.dist(a, b) > JOIN:
        yield Line(a, b)
