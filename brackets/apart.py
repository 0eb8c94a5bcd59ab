"""Whether a plane or a cylinder parts two pieces, in closed form: then they share no metal, and no kernel is asked.

A plate lies between its faces, outside its tube seats and its round holes; a tube beyond what its ends are cut to
and outside its bore. Where the other piece lies wholly on the far side the two at most touch. mm, part's frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from brackets.cope.curve import extent
from brackets.outline import Outline, rotate
from brackets.pieces import Hole, Piece, Place, Plate, Tube, TubeEnd, Turned, Vec
from brackets.pieces.tube import Which
from brackets.pieces.vectors import add, cross, dot, length, scale, sub, unit

TOUCHING = 1e-6
"""mm that a piece may pass what parts it from another by: rounding of places, a thousandth of a hundredth."""


@dataclass(frozen=True)
class Half:
    """A plane through `at` that a piece lies behind: none of it is farther along `out`."""

    at: Vec
    out: Vec


@dataclass(frozen=True)
class Bar:
    """An endless cylinder of radius `r` round `axis` through `at` that a piece lies outside of."""

    at: Vec
    axis: Vec
    r: float


def apart(one: Piece, other: Piece) -> bool:
    """Whether the two are known to share no metal; False says nothing."""
    return any(_beyond(b, part) for a, b in ((one, other), (other, one)) for part in partings(a))


def partings(piece: Piece) -> Iterator[Half | Bar]:
    """Planes and cylinders that `piece` keeps to one side of."""
    if isinstance(piece, Plate):
        yield from _slab(piece.place, piece.t)
        for seat in piece.wall.seats:
            yield _bar(piece.place, seat.at, seat.axis, seat.r)
        for opening in piece.wall.openings:
            if isinstance(opening, Hole):
                yield _bar(piece.place, (*opening.at, 0.0), (0.0, 0.0, 1.0), opening.d / 2)
    elif isinstance(piece, Turned):
        yield from _slab(piece.place, piece.length)
        yield _bar(piece.place, (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), min(step.bore for step in piece.steps) / 2)
    elif isinstance(piece, Tube):
        yield _bar(piece.place, (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), piece.bore / 2)
        for which in ("start", "end"):
            for cut in piece.cuts(which):
                yield _end(piece, which, cut)


def _slab(place: Place, t: float) -> Iterator[Half]:
    yield Half(place.at, scale(place.axis, -1.0))
    yield Half(place.point((0.0, 0.0, t)), place.axis)


def _bar(place: Place, at: Vec, axis: Vec, r: float) -> Bar:
    return Bar(place.point(at), place.direction(unit(axis)), r)


def _end(tube: Tube, which: Which, cut: TubeEnd) -> Half | Bar:
    """What one cut of an end keeps the tube away from, as `TubeEnd` defines it."""
    w = (0.0, 0.0, 1.0) if which == "start" else (0.0, 0.0, -1.0)
    node = add((0.0, 0.0, 0.0 if which == "start" else tube.length), scale(w, cut.shift))
    clock, a = math.radians(cut.clock), math.radians(90.0 if cut.kind == "square" else cut.angle)
    c = (math.cos(clock), math.sin(clock), 0.0)
    if cut.kind == "saddle":
        along = add(scale(w, math.cos(a)), scale(c, math.sin(a)))
        return _bar(tube.place, add(node, scale(cross(w, c), cut.offset)), along, cut.r)
    out = sub(scale(c, math.cos(a)), scale(w, math.sin(a)))
    return Half(tube.place.point(node), tube.place.direction(out))


def _beyond(piece: Piece, part: Half | Bar) -> bool:
    """Whether `piece` lies wholly on the far side."""
    if isinstance(part, Half):
        least = _least(piece, part.out)
        return least is not None and least >= dot(part.at, part.out) - TOUCHING
    if not isinstance(piece, Turned | Tube) or not part.r:
        return False
    far = max(step.od for step in piece.steps) / 2 if isinstance(piece, Turned) else piece.od / 2
    ends = (piece.place.at, piece.place.point((0.0, 0.0, piece.length)))
    astray = max(length(cross(sub(p, part.at), part.axis)) for p in ends)
    if length(cross(piece.place.axis, part.axis)) > TOUCHING:
        return False
    return far + astray <= part.r + TOUCHING


def _least(piece: Piece, way: Vec) -> float | None:
    """Least distance along `way` of any point of `piece`, mm from the origin; None where it is not known."""
    x, y, z = piece.place.local_direction(way)
    side, start = math.hypot(x, y), dot(piece.place.at, way)
    if isinstance(piece, Plate):
        return start + min(0.0, z * piece.t) + _least_flat(piece.wall.outline, x, y, side)
    if isinstance(piece, Turned):
        at, found = 0.0, math.inf
        for step in piece.steps:
            found = min(found, min(z * at, z * (at + step.length)) - side * step.od / 2)
            at += step.length
        return start + found
    if isinstance(piece, Tube):
        low, high = (extent(piece, which, (piece.od / 2, piece.bore / 2))[0] for which in ("start", "end"))
        return start + min(z * low, z * (piece.length - high)) - side * piece.od / 2
    return None


def _least_flat(outline: Outline, x: float, y: float, side: float) -> float:
    if side == 0:
        return 0.0
    return side * rotate(outline, -math.degrees(math.atan2(y, x))).bounds[0]
