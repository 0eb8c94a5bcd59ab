"""Gussets between a plate and a tube that stands on it: how far they may rise beside the cup and below a bend.

Corners are in the plate's frame, rods in the part's, mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from brackets.core.place import Place
from brackets.core.schema.bounds import at_most
from brackets.core.vectors import dot, sub, unit
from brackets.forming.flanges import Corner
from brackets.forming.tube_walls import Rod, rod_gap

LEAST = 1.0
"""mm from a gusset to the cup, for both welds: common practice, no source."""

SHORTEST = 12.0
"""mm that a gusset rises at least: its heel and nose are as long."""

FOUND = 1e-6
"""mm within which the most that a gusset may rise is found."""


def gusset_rise_problems(
    corners: Sequence[Corner], *, place: Place, cup: Rod, first_straight: float
) -> Iterator[str]:
    """A line where gussets stand in the cup or reach past the first bend of their tube, with what they may be.

    corners: of one size; place: of the plate; cup: as a rod of its outside; first_straight: of the tube from the
    corners' foot, mm.
    """

    def to_cup(corner: Corner) -> float:
        toe = (*corner.toe, corner.foot[2])
        edges = (corner.heel, corner.tip), (corner.tip, corner.high), (corner.high, toe)
        rods = (Rod(place.point(a), place.point(b), corner.t) for a, b in edges)
        return min(rod_gap(rod, cup) for rod in rods) - LEAST

    def to_bend(corner: Corner) -> float:
        return first_straight - dot(sub(corner.high, corner.foot), unit(corner.way))

    past = ((to_cup, "the gusset stands in the cup"), (to_bend, "the gusset reaches past the tube's first bend"))
    found = [(_most_rise(corner, room), why) for corner in corners for room, why in past]
    if not found:
        return
    most, why = min(found)
    rise = corners[0].rise
    if most < SHORTEST:
        yield f"gussets = {len(corners)}, fewer: with gusset_rise = {SHORTEST:g} mm {why}"
    elif most < rise:
        yield at_most("gusset_rise", rise, most, why)


def _most_rise(corner: Corner, room: Callable[[Corner], float]) -> float:
    """mm that a gusset may rise, at most as it does, with room of 0 or more, which falls as it rises."""
    if room(corner) >= 0:
        return corner.rise
    low, high = 0.0, corner.rise
    while high - low > FOUND:
        middle = (low + high) / 2
        low, high = (middle, high) if room(replace(corner, rise=middle)) >= 0 else (low, middle)
    return low
