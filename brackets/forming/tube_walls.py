"""The walls of tubes as points: how near two tubes come, and how deep one lies in the other.

A tube counts as filled. Points are (n, 3) float, mm, in the frame of the layout.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, sub, unit
from brackets.forming.tube_run import Run, lines
from brackets.model.bent_tube import corner_angles, setback, straights
from brackets.model.cope import contour, cut_back
from brackets.model.tube import BentTube, Tube, TubeEnd, Which

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    Array = NDArray[np.float64]


AROUND = 72
"""Lines round a tube that are looked at, every 5 degrees: between two of them a 40 mm tube sinks in by 0.02
mm."""

ALONG = 1.0
"""mm between the points of a line."""


def frames(tube: Tube | BentTube) -> tuple[tuple[Place, float], ...]:
    """The straights of a tube in the frame of the layout, with their lengths."""
    if isinstance(tube, BentTube):
        return tuple((tube.place @ line.place, line.length) for line in straights(tube))
    return ((tube.place, tube.length),)


def _cuts(tube: Tube | BentTube, which: Which, i: int, count: int) -> Sequence[TubeEnd]:
    ours = i == (0 if which == "start" else count - 1)
    return tube.cuts(which) if ours else (TubeEnd(),)


def _back(cuts: Sequence[TubeEnd], which: Which, turn: Array, r: Array) -> Array:
    """(n,) mm from the node into the body to the deepest cut, at `turn` radians of the tube on radius `r`."""
    import numpy as np

    found = np.full(np.broadcast(turn, r).shape, -np.inf)
    for cut in cuts:
        if cut.kind == "square":
            found = np.maximum(found, cut.shift)
            continue
        main_r, offset = (cut.r, cut.offset) if cut.kind == "saddle" else (0.0, 0.0)
        phi = (turn - math.radians(cut.clock)) * (1 if which == "start" else -1)
        a = math.radians(cut.angle)
        under = np.maximum(0.0, main_r**2 - (r * np.sin(phi) - offset) ** 2)
        found = np.maximum(found, cut.shift + (r * np.cos(phi) * math.cos(a) + np.sqrt(under)) / math.sin(a))
    return found


@lru_cache(maxsize=16)
def wall_points(tube: Tube | BentTube) -> Array:
    """(n, 3) float: points of the outer and the inner wall, AROUND on every ring."""
    return wall_points_of(tube, AROUND)


def wall_points_of(tube: Tube | BentTube, around: int) -> Array:
    """The same with `around` points on every ring of the straights."""
    import numpy as np

    turn = np.arange(around) * 2 * math.pi / around
    found = []
    stretches = frames(tube)
    for i, (place, far) in enumerate(stretches):
        for r in (tube.od / 2, tube.bore / 2):
            low = _back(_cuts(tube, "start", i, len(stretches)), "start", turn, np.array(r))
            high = far - _back(_cuts(tube, "end", i, len(stretches)), "end", turn, np.array(r))
            steps = max(2, math.ceil(float(np.max(high - low)) / ALONG) + 1)
            z = low + (high - low) * np.linspace(0.0, 1.0, steps)[:, None]
            x = np.broadcast_to(r * np.cos(turn), z.shape)
            y = np.broadcast_to(r * np.sin(turn), z.shape)
            found.append(_outer(place, np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1)))
    for middle, axis, begin, angle in _arcs(tube):
        found.append(_arc_points(tube, middle, axis, begin, angle))
    return np.concatenate(found)


def _outer(place: Place, points: Array) -> Array:
    import numpy as np

    rows = np.array(place.matrix())
    moved: Array = points @ rows[:3, :3].T + rows[:3, 3]
    return moved


def _arcs(tube: Tube | BentTube) -> Iterator[tuple[Vec, Vec, Vec, float]]:
    """Centre, axis, where the centre line begins, and degrees of every bend, in the frame of the layout."""
    if not isinstance(tube, BentTube):
        return
    stretches = frames(tube)
    for (place, far), (after, _), angle in zip(stretches, stretches[1:], corner_angles(tube.points), strict=False):
        axis = unit(cross(place.axis, after.axis))
        begin = place.point((0.0, 0.0, far))
        yield add(begin, scale(cross(axis, place.axis), tube.bend_r)), axis, begin, angle


def _arc_points(tube: Tube | BentTube, middle: Vec, axis: Vec, begin: Vec, angle: float) -> Array:
    import numpy as np

    out = np.array(unit(sub(begin, middle)))
    k, centre = np.array(axis), np.array(middle)
    bend_r = length(sub(begin, middle))
    steps = max(2, math.ceil(setback(min(angle, 170.0), bend_r) * 2 / ALONG))
    t = np.linspace(0, math.radians(angle), steps)[:, None, None]
    turn = (np.arange(AROUND) * 2 * math.pi / AROUND)[None, :, None]
    way = np.cos(t) * out + np.sin(t) * np.cross(k, out)
    walls = [
        centre + (bend_r + r * np.cos(turn)) * way + r * np.sin(turn) * k for r in (tube.od / 2, tube.bore / 2)
    ]
    return np.concatenate([wall.reshape(-1, 3) for wall in walls])


def depth(tube: Tube | BentTube, points: Array) -> Array:
    """(n,) mm how deep each point lies in the filled tube; negative outside."""
    import numpy as np

    deep = [np.minimum(side, end) for side, end in _sunk(tube, points)]
    found: Array = np.max(deep, axis=0)
    return found


def distance_from_tube(tube: Tube | BentTube, points: Array) -> Array:
    """(n,) mm from each point to the filled tube; 0 inside. Beside a coped end, measured along or square to it."""
    import numpy as np

    off = [np.hypot(np.minimum(side, 0.0), np.minimum(end, 0.0)) for side, end in _sunk(tube, points)]
    found: Array = np.min(off, axis=0)
    return found


def _sunk(tube: Tube | BentTube, points: Array) -> Iterator[tuple[Array, Array]]:
    """For each stretch of the tube: (n,) mm under its outer wall, (n,) mm within its ends; negative outside."""
    import numpy as np

    stretches = frames(tube)
    for i, (place, far) in enumerate(stretches):
        rows = np.array(place.matrix())
        x, y, z = ((points - rows[:3, 3]) @ rows[:3, :3]).T
        rho, turn = np.hypot(x, y), np.arctan2(y, x)
        low = _back(_cuts(tube, "start", i, len(stretches)), "start", turn, rho)
        high = far - _back(_cuts(tube, "end", i, len(stretches)), "end", turn, rho)
        yield tube.od / 2 - rho, np.minimum(z - low, high - z)
    for middle, axis, begin, angle in _arcs(tube):
        k, out = np.array(axis), np.array(unit(sub(begin, middle)))
        off = points - np.array(middle)
        h, u, v = off @ k, off @ out, off @ np.cross(k, out)
        rho, turned = np.hypot(u, v), np.arctan2(v, u)
        bend_r = length(sub(begin, middle))
        within = np.minimum(turned, math.radians(angle) - turned) * bend_r
        yield tube.od / 2 - np.hypot(rho - bend_r, h), np.where(within >= 0, np.inf, within)


def about(tube: Tube | BentTube, points: Array, room: float) -> Array:
    """Those of the points that lie in the box round a tube's wall with `room` mm round it."""
    import numpy as np

    wall = wall_points(tube)
    low, high = wall.min(axis=0) - room, wall.max(axis=0) + room
    inside: Array = points[np.all((points >= low) & (points <= high), axis=1)]
    return inside


FEW = 37
"""One in so many points of a wall is looked at first, to leave out all that are farther off than it."""

DEPTH = 0.05
"""mm: less than this is fit-up; a cope's own points lie within rounding of the other tube's wall."""


@dataclass(frozen=True)
class Rod:
    """A round thing with domed ends, for telling quickly what stands clear of what.

    a, b: ends of its axis, mm; od: mm.
    """

    a: Vec
    b: Vec
    od: float


def rod_gap(one: Rod, other: Rod) -> float:
    """The least distance of two rods, mm; negative where they cross.

    one, other: round things with domed ends, as `rods` makes them of a tube.

    >>> rod_gap(Rod((0, 0, 0), (100, 0, 0), 20), Rod((50, 0, 30), (50, 100, 30), 10))
    15.0
    """
    u, v, w = sub(one.b, one.a), sub(other.b, other.a), sub(one.a, other.a)
    a, b, c, d, e = dot(u, u), dot(u, v), dot(v, v), dot(u, w), dot(v, w)
    square = a * c - b * b
    s = min(1.0, max(0.0, (b * e - c * d) / square)) if square > 1e-12 * a * c else 0.0
    t = (b * s + e) / c
    if t < 0:
        t, s = 0.0, min(1.0, max(0.0, -d / a))
    elif t > 1:
        t, s = 1.0, min(1.0, max(0.0, (b - d) / a))
    return length(sub(add(w, scale(u, s)), scale(v, t))) - (one.od + other.od) / 2


def rods(run: Run) -> tuple[Rod, ...]:
    """The straights of a tube as rods from point to point, its bends drawn as corners; mm.

    run: the tube.

    >>> bow = Run("bow", "25x2", ((0, 0, 0), (100, 0, 0), (100, 80, 0)), bend_r=50)
    >>> [(rod.a, rod.b, rod.od) for rod in rods(bow)]
    [((0, 0, 0), (100, 0, 0), 25.0), ((100, 0, 0), (100, 80, 0), 25.0)]
    """
    return tuple(Rod(line.a, line.b, run.od) for line in lines(run))


def gap_between(a: Run, b: Run) -> float:
    """Least distance of two tubes' outer walls, mm, bends drawn as corners; negative where they cross."""
    return min(rod_gap(one, other) for one in rods(a) for other in rods(b))


@lru_cache(maxsize=64)
def common(one: Tube | BentTube, other: Tube | BentTube) -> float | None:
    """How deep a point of either tube's wall lies in the other, mm; None where none does by more than
    DEPTH."""
    import numpy as np

    found = -math.inf
    for a, b in ((one, other), (other, one)):
        points = about(b, wall_points(a), DEPTH)
        if len(points):
            found = max(found, float(np.max(depth(b, points))))
    return found if found > DEPTH else None


@lru_cache(maxsize=64)
def rim(tube: Tube | BentTube, which: Which, cut: TubeEnd, step: float = 5.0) -> tuple[Vec, ...]:
    """Points of the outer line of an end, every `step` degrees where it lies on `cut`, in the layout's frame."""
    frame, far = frames(tube)[0 if which == "start" else -1]
    found = []
    for k in range(round(360 / step)):
        theta = step * k
        back = contour(tube, which, theta, tube.od / 2)
        if cut_back(cut, which, theta, tube.od / 2) < back:
            continue
        z = back if which == "start" else far - back
        a = math.radians(theta)
        found.append(frame.point((tube.od / 2 * math.cos(a), tube.od / 2 * math.sin(a), z)))
    return tuple(found)


@lru_cache(maxsize=64)
def wall_gap(one: Tube | BentTube, other: Tube | BentTube) -> float:
    """Least distance of two tubes as they are cut, mm; 0 where they touch or cross."""
    import numpy as np

    gap = math.inf
    for a, b in ((one, other), (other, one)):
        points = wall_points(a)
        gap = min(gap, float(np.min(distance_from_tube(b, points[::FEW]))))
        near = about(b, points, gap)
        if len(near):
            gap = min(gap, float(np.min(distance_from_tube(b, near))))
    return gap


@lru_cache(maxsize=64)
def rim_gap(tube: Tube | BentTube, which: Which, cut: TubeEnd, other: Tube | BentTube) -> float:
    """Least distance, mm, from the line of an end that lies on `cut` to another tube, as `wall_gap` has it."""
    import numpy as np

    points = rim(tube, which, cut)
    return float(np.min(distance_from_tube(other, np.array(points)))) if points else wall_gap(tube, other)
