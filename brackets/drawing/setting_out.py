"""What a folded blank is set out and checked by: bend lines from the edge, slots, legs over the outsides. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.core.figures import figure
from brackets.core.place import Place
from brackets.drawing.record import Table
from brackets.forming.flat_pattern import Blank
from brackets.geometry.segments import Point
from brackets.model.fold_tree import Bend, tree
from brackets.model.holes import Slot
from brackets.model.plate import Flange, Folded

LEVEL = 1e-6
"""mm: a bend line this near to level lies level."""


def line_at(bend: Bend, at: Place) -> str:
    """Where the bend line lies: from the left or the lower edge of the blank, or by its ends where it is at a
    slant."""
    (ax, ay), (bx, by) = (at.point((*p, 0.0))[:2] for p in bend.line)
    if abs(ax - bx) < LEVEL:
        return f"left {ax:.2f}"
    if abs(ay - by) < LEVEL:
        return f"lower {ay:.2f}"
    return f"{ax:.2f}, {ay:.2f} to {bx:.2f}, {by:.2f}"


def slot_table(found: Blank, at: Place) -> Iterator[Table]:
    """What a slot is set out by; nothing where there are none."""
    rows = []
    for number, hole in enumerate(found.holes, 1):
        if isinstance(hole.opening, Slot):
            (ax, ay), (bx, by) = (at.point((*c, 0.0))[:2] for c in hole.centres)
            turn = f"{math.degrees(math.atan2(by - ay, bx - ax)) % 180.0:.1f}"
            ends = (f"{ax:.2f}, {ay:.2f}", f"{bx:.2f}, {by:.2f}")
            rows.append((str(number), figure(hole.opening.d), f"{hole.opening.whole:.2f}", turn, *ends, ""))
    if rows:
        columns = ("no.", "width", "length over all", "degrees", "one centre x, y", "other centre x, y", "measured")
        yield Table("Slots", columns, tuple(rows))


def legs(piece: Folded) -> Iterator[tuple[str, float]]:
    """What is measured over the outsides once it is bent, mm: of every wall, square to each bend that it hangs on
    or that hangs on it, from outside to outside or to the free edge.

    Up to a bend of 90 degrees the outside is where the outer faces would meet, (r + t) tan(A/2) from the line where
    the wall's flat ends; beyond that the bend's own outside, r + t from it.
    """
    for node in tree(piece).walls:
        bends = [((f.start, f.end), f) for f in piece.flanges if f.parent == node.number]
        if node.number:
            own = piece.flanges[node.number - 1]
            bends.append((((0.0, 0.0), (own.width, 0.0)), own))
        done: list[Point] = []
        for (a, b), _ in bends:
            far = math.dist(a, b)
            way = ((a[1] - b[1]) / far, (b[0] - a[0]) / far)
            if any(abs(way[0] * v[1] - way[1] * v[0]) < 1e-9 for v in done):
                continue
            done.append(way)
            heights = [way[0] * x + way[1] * y for x, y in node.wall.outline.points(0.01)]
            ends = [min(heights), max(heights)]
            reach = ends[1] - ends[0]
            for (p, q), flange in bends:
                lies = [way[0] * x + way[1] * y for x, y in (p, q)]
                if abs(lies[0] - lies[1]) < LEVEL and min(abs(lies[0] - end) for end in ends) < LEVEL:
                    reach += _outside(flange, piece.t)
            name = "base" if node.number == 0 else f"flange {node.number}"
            yield f"{name}, outside, square to its bend", reach


def _outside(flange: Flange, t: float) -> float:
    """From a bend's tangent line to the outside of the wall beyond it, mm."""
    turn = abs(flange.angle)
    return (flange.inside_radius + t) * (1.0 if turn > 90.0 else math.tan(math.radians(turn) / 2))
