"""How a tube's end must be cut, worked out from where the tube lies and what it meets.

Everything is given in one frame; angles of the answer are counted in the tube's own frame (z along the
tube from its start, x the clock line).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, square_to, sub, unit
from brackets.model.tube import TubeEnd, Which

SQUARE_WITHIN = 1e-9
"""Degrees and mm under which an angle counts as 90 and an offset as 0: rounding of points typed to nine
figures, a millionth of what a saw can do. A solid kernel does better on a clean 90 than on one nearly
so."""

UPRIGHT = 0.9
"""Cosine between tube and z beyond which the clock line is taken from x instead of z."""


@dataclass(frozen=True)
class EndTarget:
    """One cut worked out: the `cut`, and the node's distance `z`, mm, along the tube's own axis."""

    cut: TubeEnd
    z: float


def tube_place(start: Vec, end: Vec, *, up: Vec | None = None) -> Place:
    """The frame of a tube from `start` to `end`: origin at the start, z along it, y as near `up` as can be.

    `up` not given: z of the frame the points are in, or its x for a tube that stands nearly along z. Raises
    InputError where the points are one.
    """
    along = sub(end, start)
    if not length(along) > SQUARE_WITHIN:
        raise InputError(f"end = {end}, must not be the point the tube starts from: a tube between two points")
    if up is None:
        up = (0.0, 0.0, 1.0) if abs(unit(along)[2]) < UPRIGHT else (1.0, 0.0, 0.0)
    return Place(start, along, up)


def end_at(tube: Place, which: Which, *, at: Vec, axis: Vec, main_r: float) -> EndTarget:
    """The saddle of a tube (its frame `tube`) coped to a round tube of outer radius `main_r`.

    `at` is any point of the other tube's axis, `axis` its direction, either way round. At 90 degrees both
    sides are acute alike, and the clock points along `axis`. Raises InputError where the axes are parallel.
    """
    w = _into_body(tube, which)
    main = unit(axis)
    side = cross(w, main)
    if length(side) <= math.sin(math.radians(1e-6)):
        raise InputError(f"axis = {axis}, must not be parallel to the tube: what its {which} is coped to")
    if dot(main, w) < 0 and not _is_square(main, w):
        main = scale(main, -1.0)
    acute = unit(square_to(main, w))
    offset_way = cross(w, acute)
    apart = sub(at, tube.at)
    offset = dot(apart, offset_way)
    # along the tube to the foot of the common perpendicular
    lean = dot(main, w)
    along = dot(apart, w) - lean / dot(main, acute) * dot(apart, acute)
    cut = TubeEnd(
        kind="saddle",
        angle=_angle(lean, dot(main, acute)),
        r=float(main_r),
        offset=0.0 if abs(offset) < SQUARE_WITHIN else offset,
        clock=_clock(tube, acute),
    )
    return EndTarget(cut, along if which == "start" else -along)


def plane_at(tube: Place, which: Which, *, at: Vec, normal: Vec) -> EndTarget:
    """The cut of a tube (its frame `tube`) to the plane through `at` with `normal`, either way round.

    Raises InputError where the tube lies along the plane.
    """
    w = _into_body(tube, which)
    n = unit(normal)
    if dot(n, w) < 0:
        n = scale(n, -1.0)
    if dot(n, w) <= math.sin(math.radians(1e-6)):
        raise InputError(f"normal = {normal}, must not be square to the tube: the plane its {which} is cut to")
    z = dot(sub(at, tube.at), n) / dot(tube.axis, n)
    across = square_to(n, w)
    angle = _angle(length(across), dot(n, w))
    if angle == 90:
        return EndTarget(TubeEnd(kind="plane"), z)
    return EndTarget(TubeEnd(kind="plane", angle=angle, clock=_clock(tube, scale(unit(across), -1.0))), z)


def _into_body(tube: Place, which: Which) -> Vec:
    return tube.axis if which == "start" else scale(tube.axis, -1.0)


def _is_square(main: Vec, w: Vec) -> bool:
    return abs(math.degrees(math.asin(max(-1.0, min(1.0, dot(main, w)))))) < SQUARE_WITHIN


def _angle(lean: float, across: float) -> float:
    angle = math.degrees(math.atan2(across, lean))
    return 90.0 if abs(angle - 90.0) < SQUARE_WITHIN else angle


def _clock(tube: Place, acute: Vec) -> float:
    x, y, _ = tube.local_direction(acute)
    clock = math.degrees(math.atan2(y, x))
    nearest = round(clock)
    if abs(clock - nearest) < SQUARE_WITHIN:
        clock = float(nearest)
    return clock % 360.0


def axis_of(tube: Place, cut: TubeEnd, which: Which, *, node: float) -> tuple[Vec, Vec]:
    """What a saddle's cut was worked out from: a point of the main axis and its direction, in the outer
    frame."""
    w = _into_body(tube, which)
    clock = math.radians(cut.clock)
    acute = tube.direction((math.cos(clock), math.sin(clock), 0.0))
    angle = math.radians(cut.angle)
    at = add(tube.point((0.0, 0.0, node)), scale(w, cut.shift))
    return (
        add(at, scale(cross(w, acute), cut.offset)),
        add(scale(w, math.cos(angle)), scale(acute, math.sin(angle))),
    )
