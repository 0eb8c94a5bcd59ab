"""Moments of straight and bent tubes: the full tube from node to node, less what the ends' cuts take off.

A line along the tube enters the metal once, so both ends can be taken apart. Across one cut the height is linear
along the acute direction x, which integrates in closed form; y is left, with square-root corners where the walls
and the half-intersection rule begin, and is integrated by the rule of Takahasi and Mori. Of several cuts at one
end the deepest counts on every line.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from brackets.core.place import Place, turned
from brackets.core.vectors import add, cross, scale, unit
from brackets.model.bent_tube import check_bent, corner_angles, straights
from brackets.model.cope import check_tube, leaning
from brackets.model.moments import Moments3
from brackets.model.tube import BentTube, Tube, TubeEnd, Which

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    Array = NDArray[np.float64]


STEP = 1 / 32
REACH = 3.25
"""Step and end of the double exponential rule: its last weight is 1e-17 of the first; square roots at or just
beyond an end of the interval come out to 1e-14."""


@cache
def double_exponential() -> tuple[tuple[float, float], ...]:
    """(place, weight) on -1 to 1: Takahasi and Mori's rule, dense at both ends."""
    count = round(REACH / STEP)
    rows = []
    for k in range(-count, count + 1):
        t = k * STEP
        u = math.pi / 2 * math.sinh(t)
        rows.append((math.tanh(u), STEP * math.pi / 2 * math.cosh(t) / math.cosh(u) ** 2))
    return tuple(rows)


LOOKS = 720
"""Places round the tube where the order of two cuts is looked at; crossings closer than half a degree are
both missed, and the metal between them (under 1e-6 of a tube) with them."""

RADII = 33
"""Radii through the wall where the number of crossings is counted; where it changes is then found exactly."""

HALVINGS = 60
"""Bisections from half a degree to rounding."""

POINTS = 24
"""Gauss points from break to break, dense at both by a cubic change of place."""


def several(cuts: Sequence[tuple[TubeEnd, float]], outer: float, inner: float) -> Moments3:
    """The metal between the node's plane and the deepest of the cuts, each with its clock in degrees.

    In the node's frame: z into the body, clock from x towards y.
    """
    import numpy as np

    total = np.zeros(10)
    for lo, hi in pairwise(_stops(cuts, outer, inner)):
        half, middle = (hi - lo) / 2, (hi + lo) / 2
        for x, weight in double_exponential():
            total += half * weight * _ring(cuts, middle + half * x)
    return Moments3.of_values(*(float(value) for value in total))


def _stops(cuts: Sequence[tuple[TubeEnd, float]], outer: float, inner: float) -> list[float]:
    """Radii between which the ring's integral is smooth: where overhangs begin and crossings come or go."""
    found = {inner, outer}
    found |= {abs(cut.r + side * cut.offset) for cut, _ in cuts if cut.kind == "saddle" for side in (-1, 1)}
    radii = [inner + (outer - inner) * k / (RADII - 1) for k in range(RADII)]
    counts = [len(_crossed(cuts, r)) for r in radii]
    for k in range(RADII - 1):
        lo, hi = radii[k], radii[k + 1]
        if counts[k] != counts[k + 1]:
            for _ in range(HALVINGS):
                middle = (lo + hi) / 2
                lo, hi = (middle, hi) if len(_crossed(cuts, middle)) == counts[k] else (lo, middle)
            found.add(lo)
    return sorted(r for r in found if inner <= r <= outer)


def height(cut: TubeEnd, clock: float, r: float, turn: Array) -> Array:
    """(n,) mm from the node's plane to the cut, at `turn` (n,) radians on radius `r`."""
    import numpy as np

    if cut.kind == "square":
        return np.full_like(turn, cut.shift)
    main_r, offset = (cut.r, cut.offset) if cut.kind == "saddle" else (0.0, 0.0)
    phi = turn - math.radians(clock)
    under = np.maximum(0.0, main_r**2 - (r * np.sin(phi) - offset) ** 2)
    found: Array = (
        r * np.cos(phi) * leaning(cut.angle) + np.sqrt(under) / math.sin(math.radians(cut.angle)) + cut.shift
    )
    return found


def _ring(cuts: Sequence[tuple[TubeEnd, float]], r: float) -> Any:
    import numpy as np

    turns, weights = _places(_breaks(cuts, r))
    z = np.max([height(cut, clock, r, turns) for cut, clock in cuts], axis=0)
    x, y, w = r * np.cos(turns), r * np.sin(turns), r * weights
    one, two, three = w * z, w * z**2 / 2, w * z**3 / 3
    terms = (one, x * one, y * one, two, x * x * one, y * y * one, three, x * y * one, y * two, x * two)
    return np.array([float(term.sum()) for term in terms])


def _places(breaks: Array) -> tuple[Array, Array]:
    import numpy as np

    at, weight = np.polynomial.legendre.leggauss(POINTS)
    t = (at + 1) / 2
    place, slope = t * t * (3 - 2 * t), 3 * t * (1 - t) * weight
    lo, wide = breaks[:-1, None], np.diff(breaks)[:, None]
    return (lo + wide * place).ravel(), (wide * slope).ravel()


def _breaks(cuts: Sequence[tuple[TubeEnd, float]], r: float) -> Array:
    import numpy as np

    found = [np.linspace(0, 2 * math.pi, 9)]
    for cut, clock in cuts:
        if cut.kind == "saddle":
            turns = [math.pi / 2, -math.pi / 2]
            for side in ((cut.offset - cut.r) / r, (cut.offset + cut.r) / r):
                if abs(side) < 1:
                    turns += [math.asin(side), math.pi - math.asin(side)]
            found.append(np.array(turns) + math.radians(clock))
    found.append(_crossed(cuts, r))
    return np.unique(np.concatenate([*(turns % (2 * math.pi) for turns in found), [2 * math.pi]]))


def _crossed(cuts: Sequence[tuple[TubeEnd, float]], r: float) -> Array:
    import numpy as np

    grid = np.linspace(0, 2 * math.pi, LOOKS + 1)
    pairs = [(one, other) for i, one in enumerate(cuts) for other in cuts[i + 1 :]]
    return np.concatenate([_crossings(one, other, r, grid) for one, other in pairs])


def _crossings(one: tuple[TubeEnd, float], other: tuple[TubeEnd, float], r: float, grid: Array) -> Array:
    import numpy as np

    def lead(turn: Array) -> Array:
        return height(*one, r, turn) - height(*other, r, turn)

    over = lead(grid) > 0
    where = np.flatnonzero(over[1:] != over[:-1])
    lo, hi, lo_over = grid[where], grid[where + 1], over[where]
    for _ in range(HALVINGS):
        middle = (lo + hi) / 2
        same = (lead(middle) > 0) == lo_over
        lo, hi = np.where(same, middle, lo), np.where(same, hi, middle)
    return lo


def tube_moments(tube: Tube) -> Moments3:
    """Moments about the tube's own origin, density 1. Raises InputError where its sizes make no sense."""
    check_tube(tube)
    far = Place((0.0, 0.0, tube.length), (0.0, 0.0, -1.0), (0.0, -1.0, 0.0))
    whole = ring(tube.od / 2, tube.bore / 2, tube.length)
    return whole - end_moments(tube, "start") - end_moments(tube, "end").moved(far)


def ring(outer: float, inner: float, length: float) -> Moments3:
    """A square-ended tube of two radii from z = 0 to `length`."""
    area = math.pi * (outer**2 - inner**2)
    second = math.pi / 4 * (outer**4 - inner**4) * length
    return Moments3(volume=area * length, z=area * length**2 / 2, xx=second, yy=second, zz=area * length**3 / 3)


def end_moments(tube: Tube | BentTube, which: Which) -> Moments3:
    """What an end's cuts take off beyond its node; negative where the tube reaches beyond it.

    In a frame at the node: z into the body, x as the tube's own x (so y is turned over at the far end).
    """
    sense = 1.0 if which == "start" else -1.0
    cuts = tube.cuts(which)
    if len(cuts) > 1:

        return several([(cut, sense * cut.clock) for cut in cuts], tube.od / 2, tube.bore / 2)
    return one_cut(cuts[0], tube.od / 2, tube.bore / 2).moved(turned(sense * cuts[0].clock))


def one_cut(cut: TubeEnd, outer: float, inner: float) -> Moments3:
    """The metal between the node's plane and one cut: x to the acute side, z into the body."""
    if cut.kind == "square":
        return ring(outer, inner, cut.shift)
    main_r, offset = (cut.r, cut.offset) if cut.kind == "saddle" else (0.0, 0.0)
    lean, sine = leaning(cut.angle), math.sin(math.radians(cut.angle))
    rows = []
    for y, weight in _nodes((-outer, -inner, inner, outer, offset - main_r, offset + main_r), outer):
        wide, narrow = math.sqrt(max(0.0, outer**2 - y * y)), math.sqrt(max(0.0, inner**2 - y * y))
        m0, m2 = 2 * (wide - narrow) * weight, 2 / 3 * (wide**3 - narrow**3) * weight
        h = math.sqrt(max(0.0, main_r**2 - (y - offset) ** 2)) / sine + cut.shift
        zz = lean**2 * m2 + h * h * m0
        rows.append(
            (
                *(h * m0, lean * m2, y * h * m0, zz / 2),
                *(h * m2, y * y * h * m0, h * (h * h * m0 + 3 * lean**2 * m2) / 3),
                *(y * lean * m2, y * zz / 2, lean * h * m2),
            )
        )
    return Moments3.of_values(*(math.fsum(column) for column in zip(*rows, strict=True)))


def _nodes(breaks: Iterable[float], outer: float) -> Iterator[tuple[float, float]]:
    """Places and weights from -outer to outer, dense at every break between."""
    stops = sorted({at for at in breaks if -outer <= at <= outer})
    for lo, hi in pairwise(stops):
        half, middle = (hi - lo) / 2, (hi + lo) / 2
        for x, weight in double_exponential():
            yield middle + half * x, half * weight


def bent_tube_moments(tube: BentTube) -> Moments3:
    """Moments about the tube's own origin, density 1. Raises InputError where it cannot be bent or cut."""
    check_bent(tube)
    outer, inner = tube.od / 2, tube.bore / 2
    lines = straights(tube)
    found = Moments3()
    for line in lines:
        found += ring(outer, inner, line.length).moved(line.place)
    for (line, after), angle in zip(pairwise(lines), corner_angles(tube.points), strict=True):
        axis = unit(cross(line.place.axis, after.place.axis))
        middle = add(line.place.point((0.0, 0.0, line.length)), scale(cross(axis, line.place.axis), tube.bend_r))
        # x from the bend's centre to where it begins, z the bend's own axis
        out = scale(cross(axis, line.place.axis), -1.0)
        found += arc(outer, inner, tube.bend_r, angle).moved(Place(middle, axis, cross(axis, out)))
    last = lines[-1]
    far = last.place @ Place((0.0, 0.0, last.length), (0.0, 0.0, -1.0), (0.0, -1.0, 0.0))
    return found - end_moments(tube, "start") - end_moments(tube, "end").moved(far)


def arc(outer: float, inner: float, bend_r: float, angle: float) -> Moments3:
    """A ring of tube bent round z from x towards y by `angle` degrees, its centre line `bend_r` from z.

    Closed form: a section of area A and second moment I turned about an axis in its plane.
    """
    t = math.radians(angle)
    area = math.pi * (outer**2 - inner**2)
    second = math.pi / 4 * (outer**4 - inner**4)
    square = bend_r**2 * area + second  # integral of rho^2 over the section, and of rho^3 beneath
    cube = bend_r**3 * area + 3 * bend_r * second
    sine, cosine = math.sin(t), math.cos(t)
    return Moments3(
        volume=bend_r * area * t,
        x=square * sine,
        y=square * (1 - cosine),
        xx=cube * (t + sine * cosine) / 2,
        yy=cube * (t - sine * cosine) / 2,
        xy=cube * sine**2 / 2,
        zz=_axial(outer, inner, bend_r) * t,
    )


def _axial(outer: float, inner: float, bend_r: float) -> float:
    """Integral of rho z^2 over the section: rho is odd about the centre line, so only bend_r counts."""
    return bend_r * math.pi / 4 * (outer**4 - inner**4)
