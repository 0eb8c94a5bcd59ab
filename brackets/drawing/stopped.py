"""What is written across a drawing that must not be cut, and where."""

from __future__ import annotations

import math

from brackets.drawing.record import Drawing, width
from brackets.findings import PRINTED
from brackets.outline import Bounds, Point

ACROSS = PRINTED["stop"]
"""The words."""

SHARE = 0.9
"""Of the diagonal that the words take."""

HIGH = 0.25
"""Of the shorter side, at most: the height of the words."""


def across(box: Bounds) -> tuple[Point, float, float]:
    """Lower left end, size (mm) and turn (degrees, anticlockwise) of the words along the diagonal of a box."""
    x0, y0, x1, y1 = box
    wide, tall = x1 - x0, y1 - y0
    size = min(SHARE * math.hypot(wide, tall) / width(ACROSS, 1.0), HIGH * min(wide, tall))
    turn = math.atan2(tall, wide)
    reach, under = width(ACROSS, size) / 2, 0.35 * size
    at = (
        (x0 + x1) / 2 - reach * math.cos(turn) + under * math.sin(turn),
        (y0 + y1) / 2 - reach * math.sin(turn) - under * math.cos(turn),
    )
    return at, size, math.degrees(turn)


def across_drawing(drawing: Drawing) -> tuple[Point, float, float]:
    """The same across what is drawn, without its words."""
    boxes = [stroke.bounds for stroke in drawing.strokes]
    low = [min(box[i] for box in boxes) for i in (0, 1)]
    high = [max(box[i] for box in boxes) for i in (2, 3)]
    return across((low[0], low[1], high[0], high[1]))
