"""How well a part cut to a rail meets it: the widest gap along its welds there, not only the smallest.

mm, bay axes. A rail is typed as a tube or a box, so that the distance to it is closed form.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from brackets.bay.powertrain import place_of
from brackets.bay.record import Bay
from brackets.bay.rows import KeepOut
from brackets.bay.seating import box_place
from brackets.bay.standing import Standing, Stood
from brackets.edges import points
from brackets.pieces import HERE, Place, Vec
from brackets.pieces.vectors import add, dot, length, scale, sub, unit

ALONG = 41
"""Points along each welded edge: a weld of 80 mm is looked at every 2."""

BUSH_SEATS = ("bush", "boss")
"""Seats that are not cut to a rail."""


@dataclass(frozen=True, kw_only=True)
class FitUp:
    """A part on what it is cut to: the widest gap along the edges it is welded by, mm, and where."""

    part: str
    onto: str
    widest: float
    at: Vec


def fit_ups_of(stood: Stood) -> tuple[FitUp, ...]:
    """Every part that is welded onto a keep-out its mount names, widest first; parts without such welds are not
    there."""
    parts = {part.name: part for part in stood.parts}
    found = [one for part, onto in _pairs(stood.bay) if part in parts and (one := _one(stood, parts[part], onto))]
    return tuple(sorted(found, key=lambda one: (-one.widest, one.part)))


def _pairs(bay: Bay) -> Iterator[tuple[str, KeepOut]]:
    for mount in bay.mounts:
        for part, onto in (
            (mount.chassis_part, mount.chassis_onto),
            (mount.powertrain_part, mount.powertrain_onto),
        ):
            if part is not None and onto is not None:
                yield part, bay.keep_out_by_name[onto]


def _one(stood: Stood, standing: Standing, onto: KeepOut) -> FitUp | None:
    part = standing.part
    seats = {seat.name for seat in part.seats if seat.kind not in BUSH_SEATS}
    place = place_of(stood.bay.powertrain) if onto.side == "powertrain" else HERE
    spots = [
        spot
        for weld in part.welds
        if weld.onto in seats
        for spot in points(part.piece(weld.piece), weld.edge, ALONG)
    ]
    if not spots:
        return None
    widest, at = max((off(onto, place, spot), spot) for spot in spots)
    return FitUp(part=standing.name, onto=onto.name, widest=max(0.0, widest), at=at)


def off(keep_out: KeepOut, place: Place, spot: Vec) -> float:
    """mm from a point to the outside of a tube or box standing at `place`; less than nothing inside it."""
    if keep_out.box_from is not None and keep_out.box_to is not None:
        local = (place @ box_place(keep_out)).local(spot)
        over = [max(lo - c, c - hi) for c, lo, hi in zip(local, keep_out.box_from, keep_out.box_to, strict=True)]
        return max(over) if max(over) <= 0 else math.hypot(*(max(0.0, o) for o in over))
    assert keep_out.tube_from is not None
    assert keep_out.tube_to is not None
    start, end = place.point(keep_out.tube_from), place.point(keep_out.tube_to)
    way = unit(sub(end, start))
    along = dot(sub(spot, start), way)
    across = length(sub(spot, add(start, scale(way, along)))) - (keep_out.tube_od or 0.0) / 2
    past = max(-along, along - length(sub(end, start)))
    if past <= 0:
        return across
    return max(past, across) if across <= 0 else math.hypot(past, across)
