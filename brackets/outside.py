"""How far a point is from the metal of a piece, in closed form: whether a weld's line lies on what it is welded to.

mm, in the frame of the part; 0 or less on the metal and in it.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING

from brackets.cope import bent, contour, contours
from brackets.fold import clash
from brackets.outline import Region
from brackets.pieces import HERE, BentTube, Folded, Odd, Piece, Plate, Tube, Turned, Vec
from brackets.pieces.tube import Which
from brackets.pieces.vectors import add, cross, dot, length, scale, sub, unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RIM = 360
"""Points of each contour of a tube's cut end: one a degree, 0.5 mm apart on a 60 mm tube."""


def outside(piece: Piece, p: Vec) -> float | None:
    """mm from `p` to the metal of `piece`, 0 or less inside; None for an Odd piece, which has only a solid.

    Beside an edge that is cut to a round tube the figure may be too small, never too large; an opening that
    reaches over a bend counts as filled there. Past a coped end it is taken to points of the
    end's two contours, and up to 3 % too large.
    """
    local = piece.place.local(p)
    if isinstance(piece, Plate):
        flat = Region(piece.wall.outline, tuple(opening.outline for opening in piece.wall.openings))
        return clash.outside_of_wall(flat, piece.t, piece.wall.seats, local)
    if isinstance(piece, Folded):
        return clash.outside(piece, local)
    if isinstance(piece, Turned):
        return _turned(piece, local)
    if isinstance(piece, Tube | BentTube):
        return _tube(piece, local)
    assert isinstance(piece, Odd)
    return None


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


def _lines(tube: Tube | BentTube) -> tuple[bent.Straight, ...]:
    return bent.straights(tube) if isinstance(tube, BentTube) else (bent.Straight(place=HERE, length=tube.length),)


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


def _bend(tube: Tube | BentTube, one: bent.Straight, other: bent.Straight, p: Vec) -> float:
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
