"""How far a point is from a piece's metal, and whether a plane or a cylinder separates two pieces; closed form.

A plate lies between its faces, outside its tube seats and its round holes; a tube beyond what its ends are cut to
and outside its bore. Where the other piece lies wholly on the far side the two at most touch. mm, part's frame.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, assert_never

from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, sub, unit
from brackets.forming import fold_clash as clash
from brackets.geometry.curve import Outline
from brackets.geometry.shapes import rotate
from brackets.model import bent_tube as bent
from brackets.model.cope import contour, contours, extent
from brackets.model.holes import Hole
from brackets.model.kinds import known
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, TubeEnd, Turned, Which

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


RIM = 360
"""Points of each contour of a tube's cut end: one a degree, 0.5 mm apart on a 60 mm tube."""


Outside = Callable[[Vec, float], float | None]
"""mm from a point to the metal of a piece, 0 or less inside; where that is no more than the second argument, it may
be more than it is and no more than that. None where a piece has only a solid."""


def outside(piece: Piece, p: Vec) -> float | None:
    """mm from `p` to the metal of `piece`, 0 or less inside; None for an Odd piece, which has only a solid.

    Beside an edge that is cut to a round tube the figure may be too small, never too large; an opening that
    reaches over a bend counts as filled there. Past a coped end it is taken to points of the
    end's two contours, and up to 3 % too large.
    """
    return outside_of(piece)(p, -math.inf)


def outside_of(piece: Piece) -> Outside:
    """`outside` for many points of one piece: what it needs of the piece is worked out once."""
    here = piece.place.local
    match known(piece):
        case Plate(wall=wall, t=t):
            return lambda p, _: clash.outside_of_wall(wall.metal, t, wall.seats, here(p))
        case Folded() as folded:
            metal = clash.FoldedMetal(folded)
            return lambda p, enough: metal.outside(here(p), enough)
        case Turned() as turned:
            return lambda p, _: _turned(turned, here(p))
        case Tube() | BentTube() as tube:
            return lambda p, _: _tube(tube, here(p))
        case CustomPiece():
            return lambda _p, _: None
        case other:
            assert_never(other)


def _both(side: float, end: float) -> float:
    """From two distances square to each other, either less than 0 within."""
    return max(side, end) if max(side, end) <= 0 else math.hypot(max(side, 0.0), max(end, 0.0))


def _turned(piece: Turned, p: Vec) -> float:
    rho, z, found = math.hypot(p[0], p[1]), 0.0, math.inf
    for step in piece.steps:
        side = max(step.bore / 2 - rho if step.bore else -math.inf, rho - step.od / 2)
        found = min(found, _both(side, max(z - p[2], p[2] - z - step.length)))
        z += step.length
    return found


def _tube(tube: Tube | BentTube, p: Vec) -> float:
    lines = _lines(tube)
    found = min(_straight(tube, i, p) for i in range(len(lines)))
    for one, other in zip(lines, lines[1:], strict=False):
        found = min(found, _bend(tube, one, other, p))
    return found


def _lines(tube: Tube | BentTube) -> tuple[bent.StraightSegment, ...]:
    return (
        bent.straights(tube)
        if isinstance(tube, BentTube)
        else (bent.StraightSegment(place=HERE, length=tube.length),)
    )


def _straight(tube: Tube | BentTube, i: int, p: Vec) -> float:
    lines = _lines(tube)
    line, first, last = lines[i], i == 0, i == len(lines) - 1
    x, y, z = line.place.local(p)
    rho, theta = math.hypot(x, y), math.degrees(math.atan2(y, x))
    r = min(max(rho, tube.bore / 2), tube.od / 2)
    side = max(tube.bore / 2 - rho, rho - tube.od / 2)
    before = (contour(tube, "start", theta, r) if first else 0.0) - z
    after = z - line.length + (contour(tube, "end", theta, r) if last else 0.0)
    found = _both(side, max(before, after))
    if found > 0 and before > 0 and first:
        found = min(found, _to_rim(tube, "start", p))
    if found > 0 and after > 0 and last:
        found = min(found, _to_rim(tube, "end", p))
    return found


def _to_rim(tube: Tube | BentTube, which: Which, p: Vec) -> float:
    """mm from `p` to the nearest point of an end's two contours."""
    off = _rim(tube, which) - p
    return math.sqrt(float((off * off).sum(axis=1).min()))


@lru_cache(maxsize=64)
def _rim(tube: Tube | BentTube, which: Which) -> NDArray[np.float64]:
    """Points (2 RIM, 3) of an end's outer and inner contour, in the tube's frame."""
    import numpy as np

    line = _lines(tube)[0 if which == "start" else -1]
    round_it = np.arange(RIM) * (360.0 / RIM)
    turn = np.radians(round_it)
    found = []
    for r in (tube.od / 2, tube.bore / 2):
        back = contours(tube, which, round_it, r)
        z = back if which == "start" else line.length - back
        found.append(np.column_stack((r * np.cos(turn), r * np.sin(turn), z)))
    axes = np.array((line.place.x, line.place.up, line.place.axis))
    placed: NDArray[np.float64] = np.concatenate(found) @ axes + line.place.at
    return placed


def _bend(tube: Tube | BentTube, one: bent.StraightSegment, other: bent.StraightSegment, p: Vec) -> float:
    """From the bend between two straights; past its ends the straights are nearer."""
    assert isinstance(tube, BentTube)
    axis = unit(cross(one.place.axis, other.place.axis))
    begin = one.place.point((0.0, 0.0, one.length))
    centre = add(begin, scale(cross(axis, one.place.axis), tube.bend_r))
    out, off = unit(sub(begin, centre)), sub(p, centre)
    u, v = dot(off, out), dot(off, cross(axis, out))
    most = math.atan2(length(cross(one.place.axis, other.place.axis)), dot(one.place.axis, other.place.axis))
    if not 0 <= math.atan2(v, u) <= most:
        return math.inf
    ring = math.hypot(math.hypot(u, v) - tube.bend_r, dot(off, axis))
    return max(tube.bore / 2 - ring, ring - tube.od / 2)


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
