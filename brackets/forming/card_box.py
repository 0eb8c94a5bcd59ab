"""A box that is closed all round as a piece that folds up from one sheet: outside sizes are the box's.

Front and back are as wide as the box and cover the ends of left and right, the lid lies between all four. mm; its
frame: x to the right, y to the back, z up, the corner at left, front, bottom at the origin.
"""

from __future__ import annotations

import math

from brackets.forming.card_stock import Card
from brackets.geometry.segments import Point
from brackets.geometry.shapes import rectangle
from brackets.model.bend_allowance import setback
from brackets.model.fold_tree import SHARPEST
from brackets.model.plate import Flange, Folded, Wall

PLAY = 0.2
"""mm left round the lid, and at the ends of left and right, so that they go in: common practice, no source."""

FLAPS = ("bottom", "front", "back", "left", "right", "lid")
SLEEVE = ("bottom", "front", "back", "lid")
"""What the panels of a closed box are called, in their order, and those of one with open ends."""


def box(name: str, sizes: tuple[float, float, float], card: Card, *, open_ends: bool = False) -> Folded:
    """A box of these outside sizes along x, y, z, of that card; with `open_ends` left and right are left out."""
    x, y, z = sizes
    t = card.t
    back = setback(90.0, SHARPEST, t)
    wide, deep, tall = x - 2 * back, y - 2 * back, z - back
    tucked = y - 2 * t - 2 * PLAY
    lid = x if open_ends else x - 2 * t - 2 * PLAY
    middle = x / 2, y / 2

    def flap(parent: int, start: Point, end: Point, long: float, high: float) -> Flange:
        over = math.dist(start, end) / 2
        wall = Wall(outline=rectangle(long, high, centre=(over, high / 2)))
        return Flange(parent=parent, start=start, end=end, inside_radius=SHARPEST, wall=wall)

    flaps = [
        flap(0, (x - back, back), (back, back), x, tall),
        flap(0, (back, y - back), (x - back, y - back), x, tall - back),
    ]
    if not open_ends:
        low, high = middle[1] - tucked / 2, middle[1] + tucked / 2
        flaps += [
            flap(0, (back, low), (back, high), tucked, tall),
            flap(0, (x - back, high), (x - back, low), tucked, tall),
        ]
    hung = min(lid, wide)
    at = (wide - hung) / 2
    flaps.append(flap(2, (at, tall - back), (at + hung, tall - back), lid, y - back - t - PLAY))
    base = Wall(outline=rectangle(wide, deep, centre=middle))
    return Folded(name=name, base=base, flanges=tuple(flaps), t=t, k=0.5, material="card")
