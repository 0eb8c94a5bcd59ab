"""How near two tubes of a layout come, and how deep one lies in the other, by points on their walls."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from brackets.cope import contour, cut_back
from brackets.layout.runs import Run, lines
from brackets.layout.walls import about, depth, frames, off, wall_points
from brackets.pieces import BentTube, Tube, TubeEnd, Vec
from brackets.pieces.tube import Which
from brackets.pieces.vectors import add, dot, length, scale, sub

FEW = 37
"""One in so many points of a wall is looked at first, to leave out all that are farther off than it."""

DEPTH = 0.05
"""mm: less than this is fit-up; a cope's own points lie within rounding of the other tube's wall."""


@dataclass(frozen=True)
class Rod:
    """A round thing from `a` to `b`, its ends taken as domes: for telling quickly what stands clear of what."""

    a: Vec
    b: Vec
    od: float


def rod_gap(one: Rod, other: Rod) -> float:
    """Least distance of two rods, mm; negative where they cross."""
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
    """The straights of a run as rods, bends drawn as corners."""
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


def rim(tube: Tube | BentTube, which: Which, cut: TubeEnd, step: float = 5.0) -> list[Vec]:
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
    return found


@lru_cache(maxsize=64)
def wall_gap(one: Tube | BentTube, other: Tube | BentTube) -> float:
    """Least distance of two tubes as they are cut, mm; 0 where they touch or cross."""
    import numpy as np

    gap = math.inf
    for a, b in ((one, other), (other, one)):
        points = wall_points(a)
        gap = min(gap, float(np.min(off(b, points[::FEW]))))
        near = about(b, points, gap)
        if len(near):
            gap = min(gap, float(np.min(off(b, near))))
    return gap


def rim_gap(tube: Tube | BentTube, which: Which, cut: TubeEnd, other: Tube | BentTube) -> float:
    """Least distance, mm, from the line of an end that lies on `cut` to another tube, as `wall_gap` has it."""
    import numpy as np

    points = rim(tube, which, cut)
    return float(np.min(off(other, np.array(points)))) if points else wall_gap(tube, other)
