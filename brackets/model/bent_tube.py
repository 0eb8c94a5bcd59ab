"""Bent tubes on the bender: straights, arcs, tangent marks, and how far the tube is turned between bends.

The neutral line of a round tube lies on its centre line, so an arc is as long as the centre-line radius
says (common practice, no source; a former that stretches the tube wants a measured allowance). A frame is
carried from straight to straight without twist: it turns about the bend's own axis and about nothing else,
like a line scribed along the tube.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, degrees_between, dot, length, scale, sub, unit
from brackets.model.cope import ENDS, cut_problems, extent, size_problems, tube_place
from brackets.model.tube import BentTube

STRAIGHT_ON = 1e-6
"""Degrees under which a corner is no bend."""

MOST_BEND = 170.0
"""Degrees: a hairpin is beyond a hand bender (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class StraightSegment:
    """A straight of a bent tube: `place` has its origin where the straight's metal begins (a node or the
    end of a bend), z along it, x the carried clock line; `length` mm to the next bend or the end node."""

    place: Place
    length: float


@dataclass(frozen=True, kw_only=True)
class Bend:
    """One bend, in the order of the tube.

    `angle` degrees; `arc` mm of centre line; `start` and `end` are its tangent marks, mm of centre line
    from the long point of the tube's start; `towards` the degrees of the tube's own of the line that ends up
    inside the bend; `turn` how far that line lies from the inside of the bend before, from x towards y, -180 to
    180, 0 for the first. On a bender that bends one way, the tube is turned back by as much: seen from its start
    end, anticlockwise where `turn` is positive.
    """

    angle: float
    arc: float
    start: float
    end: float
    turn: float
    towards: float


def carried(place: Place, to: Vec) -> Place:
    """The frame turned, with no twist, until its z points along `to`."""
    a, b = place.axis, unit(to)
    axis = cross(a, b)
    sine, cosine = length(axis), dot(a, b)
    if sine == 0:
        return place
    k = scale(axis, 1 / sine)
    up = place.up
    turned = add(add(scale(up, cosine), scale(cross(k, up), sine)), scale(k, dot(k, up) * (1 - cosine)))
    return Place(place.at, b, turned)


def frames(points: tuple[Vec, ...], first: Place) -> tuple[Place, ...]:
    """The frame of every straight, its origin at the straight's first point; the first one's x is that of
    `first`."""
    found = [Place(points[0], sub(points[1], points[0]), first.up)]
    for a, b in pairwise(points[1:]):
        turned = carried(found[-1], sub(b, a))
        found.append(Place(a, turned.axis, turned.up))
    return tuple(found)


def corner_angles(points: tuple[Vec, ...]) -> tuple[float, ...]:
    """Degrees each corner bends the tube by."""
    return tuple(degrees_between(a, b) for a, b in pairwise(sub(b, a) for a, b in pairwise(points)))


def setback(angle: float, bend_r: float) -> float:
    """Distance from a corner to its tangent marks, mm."""
    return bend_r * math.tan(math.radians(angle) / 2)


def straights(tube: BentTube) -> tuple[StraightSegment, ...]:
    """The straights of a bent tube, in its own frame."""
    return _straights(tube.points, tube.bend_r)


@lru_cache(maxsize=256)
def _straights(points: tuple[Vec, ...], bend_r: float) -> tuple[StraightSegment, ...]:
    """Asked again for every point of a rim and of a weld."""
    backs = [0.0, *(setback(angle, bend_r) for angle in corner_angles(points)), 0.0]
    found = []
    for i, frame in enumerate(frames(points, Place())):
        whole = length(sub(points[i + 1], points[i]))
        place = Place(add(frame.at, scale(frame.axis, backs[i])), frame.axis, frame.up)
        found.append(StraightSegment(place=place, length=whole - backs[i] - backs[i + 1]))
    return tuple(found)


def bends(tube: BentTube) -> tuple[Bend, ...]:
    """What the bender is set to, bend by bend."""
    lines, angles = straights(tube), corner_angles(tube.points)
    at = -_ends(tube)[0]
    found: list[Bend] = []
    for i, angle in enumerate(angles):
        at += lines[i].length
        arc = math.radians(angle) * tube.bend_r
        x, y, _ = lines[i].place.local_direction(lines[i + 1].place.axis)
        towards = math.degrees(math.atan2(y, x)) % 360.0
        before = found[-1].towards if found else towards
        turn = (towards - before + 180.0) % 360.0 - 180.0
        found.append(Bend(angle=angle, arc=arc, start=at, end=at + arc, turn=turn, towards=towards))
        at += arc
    return tuple(found)


def centre_length(tube: BentTube) -> float:
    """Length of the centre line from node to node, mm."""
    arcs = sum(math.radians(angle) * tube.bend_r for angle in corner_angles(tube.points))
    return sum(line.length for line in straights(tube)) + arcs


def cut_length(tube: BentTube) -> float:
    """What is sawn off for a bent tube, mm: straights and arcs, over both long points."""
    low, high = _ends(tube)
    return centre_length(tube) - low - high


def _ends(tube: BentTube) -> tuple[float, float]:
    """How far the outer contour reaches back into the body at least, at either end; negative beyond the
    node."""
    walls = (tube.od / 2,)
    return extent(tube, "start", walls)[0], extent(tube, "end", walls)[0]


def check_bent(tube: BentTube) -> None:
    """Refuses a bent tube that cannot be made (InputError): sizes, points, bends, or cuts that reach a
    bend."""
    problems = size_problems(tube.od, tube.wall)
    problems += [
        line for which in ("start", "end") for cut in tube.cuts(which) for line in cut_problems(cut, which)
    ]
    if len(tube.points) < 3:
        problems.append(f"points = {len(tube.points)}, three or more: the corners of a bent tube")
    elif any(length(sub(a, b)) == 0 for a, b in pairwise(tube.points)):
        problems.append("points = two that are one, each must differ from the next: the corners of a bent tube")
    if not tube.od / 2 < tube.bend_r < math.inf:
        problems.append(f"bend_r = {tube.bend_r:g} mm, must be over {tube.od / 2:g} mm: radius of the centre line")
    if problems:
        raise InputError(*problems)
    home = tube_place(tube.points[0], tube.points[1]).axis
    if length(tube.points[0]) > 1e-9 or abs(home[2] - 1) > 1e-9:
        problems.append(f"points = {tube.points[0]}, {tube.points[1]}: the origin, then a point on +z of the tube")
    for i, angle in enumerate(corner_angles(tube.points), 1):
        if not STRAIGHT_ON < angle <= MOST_BEND:
            problems.append(f"bend {i} = {angle:g} deg, must be above 0, to {MOST_BEND:g}: a bent tube")
    problems = problems or _short(tube)
    if problems:
        raise InputError(*problems)


def _short(tube: BentTube) -> list[str]:
    lines = straights(tube)
    need = [0.0] * len(lines)
    for which, i in zip(ENDS, (0, -1), strict=True):
        need[i] = extent(tube, which, (tube.od / 2, tube.bore / 2))[1]
    return [
        f"straight {i} = {line.length:.4g} mm, must be {least:.4g} mm or more: what its bends and its cut leave"
        for i, (line, least) in enumerate(zip(lines, need, strict=True), 1)
        if line.length < max(0.0, least) - 1e-9
    ]
