"""Volume and moments of a wall of plate: its outline times the thickness, less openings and tube seats."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from brackets.errors import OutOfRange
from brackets.mass.record import Moments3
from brackets.mass.slices import seated_moments
from brackets.outline import TOUCH, Outline, Region, contains, distance_between
from brackets.pieces import Hole, Opening, Slot, Wall

LEAST_LEAN = 1.0
"""Degrees between a tube and the plate: flatter than this its oval is 57 times as long as it is wide."""


def wall_moments(wall: Wall, t: float) -> Moments3:
    """Moments of the wall from z = 0 to z = t of its own frame, density 1.

    Raises OutOfRange where t is not a thickness, an opening is not wholly inside the outline or meets another
    opening, or a tube seat leaves nothing, leaves no metal at its `keep`, meets another tube seat, or parts the
    wall through some of its thickness only.
    """
    problems = [*_thickness(t), *_openings(wall), *_seats(wall)]
    if problems:
        raise OutOfRange(*problems)
    whole = Region(wall.outline, tuple(opening.outline for opening in wall.openings))
    if not wall.seats:
        return Moments3.prism(whole.moments, 0.0, t)
    return seated_moments(whole, wall.seats, t)


def called(opening: Opening, number: int) -> str:
    """What a message calls an opening: what it is, its name, and where."""
    named = f" {opening.name}" if opening.name else f" {number}"
    if isinstance(opening, Hole):
        return f"hole{named} d = {opening.d:g} mm at ({opening.at[0]:g}, {opening.at[1]:g})"
    if isinstance(opening, Slot):
        (ax, ay), (bx, by) = opening.a, opening.b
        return f"slot{named} d = {opening.d:g} mm from ({ax:g}, {ay:g}) to ({bx:g}, {by:g})"
    return f"window{named}"


def _thickness(t: float) -> Iterator[str]:
    if not (math.isfinite(t) and t > 0):
        yield f"t = {t:g} mm, must be over 0: plate thickness"


def _openings(wall: Wall) -> Iterator[str]:
    shapes = [(called(opening, n), opening.outline) for n, opening in enumerate(wall.openings)]
    for name, shape in shapes:
        if not inside(wall.outline, shape):
            yield f"{name}, must lie wholly inside the outline of its plate: an opening"
    for (name, shape), (other, second) in combinations(shapes, 2):
        if _meet(shape, second):
            yield f"{name}, must not meet {other}: openings of one plate"


def inside(outline: Outline, opening: Outline) -> bool:
    """Whether the opening lies in the outline and nowhere touches it."""
    (x0, y0, x1, y1), (u0, v0, u1, v1) = outline.bounds, opening.bounds
    if not (x0 < u0 and y0 < v0 and u1 < x1 and v1 < y1):
        return False
    start = opening.segments[0].a
    return contains(outline, start).side == "inside" and distance_between(outline, opening).distance > TOUCH


def _meet(one: Outline, other: Outline) -> bool:
    (x0, y0, x1, y1), (u0, v0, u1, v1) = one.bounds, other.bounds
    if x1 < u0 or u1 < x0 or y1 < v0 or v1 < y0:
        return False
    return distance_between(one, other).distance <= TOUCH or inside(one, other) or inside(other, one)


def _seats(wall: Wall) -> Iterator[str]:
    for n, seat in enumerate(wall.seats):
        what = f"tube seat {n}"
        if not all(map(math.isfinite, (*seat.at, *seat.axis, *seat.keep))):
            yield f"at = {seat.at}, axis = {seat.axis}, keep = {seat.keep}, must be finite numbers: {what}"
            continue
        if not (math.isfinite(seat.r) and seat.r > 0):
            yield f"r = {seat.r:g} mm, must be over 0: {what}"
        flat, up = math.hypot(seat.axis[0], seat.axis[1]), abs(seat.axis[2])
        lean = math.degrees(math.atan2(up, flat))
        if not lean >= LEAST_LEAN:
            yield f"axis = {seat.axis}, must leave the plane of the plate by {LEAST_LEAN:g} deg or more: {what}"
