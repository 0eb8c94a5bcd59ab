"""Centre lines of what is round and measured to in the set-up views: a line from the side, a cross on end."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from brackets.drawing.pictures import Laid, bounds_of
from brackets.drawing.record import Stroke
from brackets.drawing.view_directions import ABOVE, FRONT, LEFT, Views, in_view
from brackets.forming.set_up import SetUp
from brackets.forming.set_up_datum import Feature
from brackets.geometry.segments import Bounds, Point


def centre_lines(found: SetUp, views: Views, laid: Mapping[str, Laid]) -> Iterator[Stroke]:
    """Of every axis that is measured to, once in each view in which its piece has lines."""
    done = set()
    for one in found.dimensions:
        to = one.to
        if not isinstance(to, Feature) or to.kind != "axis":
            continue
        for view in (FRONT, ABOVE, LEFT):
            piece = next(seen for seen in views[view] if seen.piece == to.piece)
            way = in_view(view, found.datum.direction(to.way))
            p = in_view(view, found.datum.local(to.at))
            key = (view, *(round(c, 3) for c in p))
            if key in done or not (piece.visible or piece.hidden):
                continue
            done.add(key)
            yield from _axis(laid[view], p, way, bounds_of((piece,)))


def _axis(laid: Laid, p: Point, way: Point, box: Bounds) -> Iterator[Stroke]:
    size = math.hypot(*way)
    if size < 1e-6:
        x, y = laid.point(p)
        for dx, dy in ((2.5, 0.0), (0.0, 2.5)):
            yield Stroke.line("axis", (x - dx, y - dy), (x + dx, y + dy))
        return
    u = (way[0] / size, way[1] / size)
    along = [(c - p[0]) * u[0] + (d - p[1]) * u[1] for c in (box[0], box[2]) for d in (box[1], box[3])]
    beyond = 2.0 / laid.scale
    ends = [(p[0] + t * u[0], p[1] + t * u[1]) for t in (min(along) - beyond, max(along) + beyond)]
    yield Stroke.line("axis", laid.point(ends[0]), laid.point(ends[1]))
