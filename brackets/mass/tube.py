"""Moments of straight tubes: a full tube from node to node, less what each end's cuts take off.
 A line along the tube enters the metal once, so both ends can be taken apart. Across one cut the height is
linear along the acute direction x and depends otherwise on y alone; x integrates in closed form, and y is
left, with square-root corners where the walls and the half-intersection rule begin.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import pairwise

from brackets.cope import check_tube, leaning
from brackets.mass.double_exponential import double_exponential
from brackets.mass.record import Moments3
from brackets.pieces import BentTube, Place, Tube, TubeEnd
from brackets.pieces.place import turned
from brackets.pieces.tube import Which


def solid_moments(tube: Tube) -> Moments3:
    """Moments about the tube's own origin, density 1. Raises OutOfRange where its sizes make no sense."""
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
        from brackets.mass.tube_cuts import several

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
