"""Lines on a wrap: how high they lie, the paper's edge round them, their short and long points.

mm on the flat paper; a line runs from the seam at x = 0 to the seam again.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

from brackets.cope import Wrap
from brackets.outline import Line, Point

LEVEL = 0.005
"""mm: where the cut line comes this near to its highest or lowest it has a short or long point too."""


def height(line: Sequence[Point], x: float) -> float:
    """How high the line lies at `x`."""
    after = min(max(bisect_left(line, x, key=lambda p: p[0]), 1), len(line) - 1)
    (ax, ay), (bx, by) = line[after - 1], line[after]
    return by if bx == ax else ay + (by - ay) * (x - ax) / (bx - ax)


def sky(*lines: Sequence[Point]) -> Callable[[float], float]:
    """The higher of the lines, by x."""
    return lambda x: max(height(line, x) for line in lines if line)


def flap(made: Wrap) -> float:
    """Width of the glue flap, half way round at most."""
    return min(made.overlap, made.width / 2)


def paper_edge(made: Wrap, cut: Sequence[Point], top: float) -> tuple[Line, ...]:
    """All round the paper: the cut line, on over the glue flap, and square across the top."""
    wide = flap(made)
    under = [(x + made.width, y) for x, y in cut[1:] if x < wide]
    if wide > 0:
        under.append((made.width + wide, height(cut, wide)))
    points = [*cut, *under]
    return chain([*points, (points[-1][0], top), (0.0, top), points[0]])


def chain(points: Sequence[Point]) -> tuple[Line, ...]:
    return tuple(Line(a, b) for a, b in pairwise(points) if a != b)


def extremes(cut: Sequence[Point], pick: Callable[[Iterable[float]], float]) -> Iterator[Point]:
    """The short points (`pick` max) or the long ones (min): the middle of every stretch that lies so."""
    best = pick(y for _, y in cut)
    stretches: list[list[Point]] = [[]]
    for p in cut:
        if abs(p[1] - best) <= LEVEL:
            stretches[-1].append(p)
        elif stretches[-1]:
            stretches.append([])
    over_seam = len(stretches) > 1 and stretches[0][:1] == [cut[0]] and stretches[-1][-1:] == [cut[-1]]
    for run in stretches[:-1] if over_seam else stretches:
        if run:
            yield run[0] if over_seam and run is stretches[0] else run[len(run) // 2]


def thinned(line: Sequence[Point]) -> tuple[Point, ...]:
    """The line by points a mm apart, near enough to keep labels off it."""
    found = list(line[:1])
    for p in line[1:-1]:
        if math.dist(p, found[-1]) >= 1.0:
            found.append(p)
    return (*found, *line[-1:])
