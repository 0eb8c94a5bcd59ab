"""Moments of plate cut to slanted round tubes, slice by slice through the thickness.

Every slice is exact. What is summed over the thickness is smooth between the heights at which the ellipse passes
a corner or touches an edge (roots of a quadratic), and is integrated by Gauss's rule from one to the next.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from functools import partial

from brackets.core.errors import InputError
from brackets.core.kept import keeps
from brackets.geometry.crossings import winding
from brackets.geometry.curve import Moments, moments
from brackets.geometry.ellipse import Ellipse
from brackets.geometry.ovals import CutPiece, cut_ellipse
from brackets.geometry.regions import Region
from brackets.geometry.segments import Arc, Line, Point, Segment, apart, gauss
from brackets.model.fold_zones import slanted
from brackets.model.moments import Moments3
from brackets.model.plate import TubeSeat

SAMPLES = 48
"""Places looked at on each arc; two touches nearer than that are left to the halving of intervals."""

SAME = 1e-9
"""Heights nearer than this, as a part of the thickness, are one."""

STEPS = 60
"""Halvings that bring any bracket below rounding."""


def heights(edges: Sequence[Segment], low: Ellipse, high: Ellipse, t: float) -> tuple[float, ...]:
    """Rising heights over 0 and below t; `low` and `high` are the oval on the lower and the upper face."""
    shift = low.local(high.centre)
    if math.hypot(*shift) == 0:
        return ()
    found = sorted(t * s for edge in edges for s in _of_edge(edge, low, shift) if SAME < s < 1 - SAME)
    kept: list[float] = []
    for z in found:
        if not kept or z - kept[-1] > SAME * t:
            kept.append(z)
    return tuple(kept)


def _of_edge(edge: Segment, oval: Ellipse, shift: Point) -> Iterator[float]:
    """Parts of the way from the lower to the upper face."""
    for root in _passing(oval.local(edge.a), shift):
        yield root[0]
    if isinstance(edge, Line):
        yield from _touching_line(edge, oval, shift)
    else:
        yield from _touching_arc(edge, oval, shift)


def _passing(p: Point, shift: Point) -> tuple[tuple[float, int], ...]:
    """Where the unit circle, carried along `shift`, passes the point p: parts of `shift`, each with its root."""
    ww = shift[0] ** 2 + shift[1] ** 2
    middle = (p[0] * shift[0] + p[1] * shift[1]) / ww
    off = (p[0] * shift[1] - p[1] * shift[0]) ** 2 / ww
    if off >= 1:
        return ()
    half = math.sqrt((1 - off) / ww)
    return ((middle - half, 0), (middle + half, 1))


def _touching_line(edge: Line, oval: Ellipse, shift: Point) -> Iterator[float]:
    (ax, ay), (bx, by) = oval.local(edge.a), oval.local(edge.b)
    run = math.hypot(bx - ax, by - ay)
    dx, dy = (bx - ax) / run, (by - ay) / run
    closing = dx * shift[1] - dy * shift[0]
    if closing == 0:
        return
    for side in (-1.0, 1.0):
        s = (dx * ay - dy * ax + side) / closing
        foot = (s * shift[0] - ax) * dx + (s * shift[1] - ay) * dy
        if 0 <= foot <= run:
            yield s


def _touching_arc(edge: Arc, oval: Ellipse, shift: Point) -> Iterator[float]:
    for branch in (0, 1):
        last: tuple[float, float] | None = None
        for i in range(SAMPLES + 1):
            at = i / SAMPLES
            slope = _slope(edge, oval, shift, at, branch)
            if slope is not None and last is not None and last[1] * slope <= 0:
                yield from _root(edge, oval, shift, (last[0], at), branch)
            last = None if slope is None else (at, slope)


def _root(edge: Arc, oval: Ellipse, shift: Point, bracket: tuple[float, float], branch: int) -> Iterator[float]:
    low, high = bracket
    start = _slope(edge, oval, shift, low, branch)
    for _ in range(STEPS):
        middle = (low + high) / 2
        slope = _slope(edge, oval, shift, middle, branch)
        if slope is None or start is None:
            return
        if start * slope > 0:
            low = middle
        else:
            high = middle
    roots = _passing(oval.local(edge.point((low + high) / 2)), shift)
    if roots:
        yield roots[branch][0]


def _slope(edge: Arc, oval: Ellipse, shift: Point, at: float, branch: int) -> float | None:
    """How the unit circle runs against the arc where it passes the arc's point at `at`: 0 where they touch."""
    p = oval.local(edge.point(at))
    roots = _passing(p, shift)
    if not roots:
        return None
    s = roots[branch][0]
    x, y = edge.tangent(at)
    ahead = oval.local((oval.centre[0] + x, oval.centre[1] + y))
    return (p[0] - s * shift[0]) * ahead[0] + (p[1] - s * shift[1]) * ahead[1]


ORDERS = (5, 8, 12, 18)
"""Gauss points tried one after the other; where the last two still differ the interval is halved."""

SETTLED = 1e-13
"""Relative difference of two rules, of moments measured in the wall's own size: rounding of some 100 slices."""

HALVINGS = 10
"""Thinnest interval, as halvings of the one begun with: a thousandth of it."""

BESIDE = 1e-9
"""How far beside a critical height, as a part of the thickness, slices are compared to see metal come or go."""

JUMP = 1e-6
"""Largest change of area across a critical height, as a part of the area, that is no parting of the wall."""

SPOTS = 16
"""Points on each cut edge that are looked at to see that two tubes cut different metal."""


def seated_moments(whole: Region, seats: Sequence[TubeSeat], t: float) -> Moments3:
    """Moments of `whole` from z = 0 to z = t less what the tubes take. Raises InputError as `wall_moments` does."""
    taken = [_cut_moments(whole, seat, t, f"tube seat {n}") for n, seat in enumerate(seats)]
    if len(seats) > 1:
        _apart(whole, seats, t)
    uncut = Moments3.prism(whole.moments, 0.0, t)
    total = uncut
    for left in taken:
        total = total + left - uncut
    return total


@keeps("moments of a cut wall")
def _cut_moments(whole: Region, seat: TubeSeat, t: float, name: str) -> Moments3:
    """What is left of `whole` by one tube; openings that the tube does not come near are taken off at the end."""
    (x0, y0, x1, y1), (u0, v0, u1, v1) = slanted(seat, 0.0).bounds, slanted(seat, t).bounds
    swept = (min(x0, u0), min(y0, v0), max(x1, u1), max(y1, v1))
    near = tuple(hole for hole in whole.holes if not apart(hole.bounds, swept))
    clear = tuple(hole for hole in whole.holes if hole not in near)
    if any(winding(hole.segments, seat.keep) for hole in clear):
        raise _keep_gone(seat, 0.0, name)
    slice_ = partial(_kept, Region(whole.outer, near), seat, name)
    left = _through(slice_, Region(whole.outer, near), seat, t, name)
    kept = slice_(0.0).edges
    for hole in clear:
        if winding(kept, hole.segments[0].a) > 0:
            left -= Moments3.prism(moments(hole), 0.0, t)
    return left


def _through(slice_: Callable[[float], CutPiece], whole: Region, seat: TubeSeat, t: float, name: str) -> Moments3:
    """The moments of all slices from z = 0 to z = t."""
    if math.hypot(seat.axis[0], seat.axis[1]) == 0:
        return Moments3.prism(slice_(0.0).moments, 0.0, t)
    inner = heights(whole.edges, slanted(seat, 0.0), slanted(seat, t), t)
    for z in inner:
        below, above = (slice_(z + side * BESIDE * t).moments.area for side in (-1.0, 1.0))
        if abs(below - above) > JUMP * whole.area:
            raise InputError(
                f"r = {seat.r:g} mm, must part the wall through all of its thickness or none: {name}, "
                f"which parts it only to one side of z = {z:.4g} mm"
            )
    size = math.hypot(*(hi - lo for lo, hi in zip(whole.outer.bounds[:2], whole.outer.bounds[2:], strict=True)), t)
    scales = _scales(whole.area * t, size)
    ends = (0.0, *inner, t)
    total = Moments3()
    for low, high in zip(ends, ends[1:], strict=False):
        total += _between(slice_, low, high, scales=scales, halvings=HALVINGS, name=name)
    return total


def _between(
    slice_: Callable[[float], CutPiece],
    low: float,
    high: float,
    *,
    scales: Sequence[float],
    halvings: int,
    name: str,
) -> Moments3:
    """The moments between two heights, to SETTLED."""
    before = _rule(slice_, low, high, ORDERS[0])
    for order in ORDERS[1:]:
        now = _rule(slice_, low, high, order)
        off = max(abs(a - b) / s for a, b, s in zip(now.values(), before.values(), scales, strict=True))
        if off <= SETTLED:
            return now
        before = now
    if halvings == 0:
        raise InputError(
            f"{name}, must clear the edges of its plate or cut them: "
            f"it only just touches one between z = {low:.6g} and {high:.6g} mm"
        )
    middle = (low + high) / 2
    parts = [
        _between(slice_, a, b, scales=scales, halvings=halvings - 1, name=name)
        for a, b in ((low, middle), (middle, high))
    ]
    return parts[0] + parts[1]


def _rule(slice_: Callable[[float], CutPiece], low: float, high: float, order: int) -> Moments3:
    """One Gauss rule; heights are crowded at both ends so that a square root there does not slow it."""
    total = [0.0] * 10
    for place, weight in gauss(order):
        s = (place + 1) / 2
        z = low + (high - low) * s * s * (3 - 2 * s)
        dz = weight / 2 * (high - low) * 6 * s * (1 - s)
        for i, value in enumerate(_slab(slice_(z).moments, z)):
            total[i] += dz * value
    return Moments3.of_values(*total)


def _slab(area: Moments, z: float) -> tuple[float, ...]:
    """Increase of the ten values of a Moments3 per mm of height, by a slice with moments `area` at height `z`."""
    a, (cx, cy) = area.area, area.centroid
    x, y = a * cx, a * cy
    return (a, x, y, a * z, area.iyy, area.ixx, a * z * z, area.ixy, y * z, x * z)


def _scales(volume: float, size: float) -> tuple[float, ...]:
    return (volume, *[volume * size] * 3, *[volume * size * size] * 6)


def _kept(whole: Region, seat: TubeSeat, name: str, z: float) -> CutPiece:
    """The slice at height z. Raises InputError where nothing is left at the point to keep."""
    left = cut_ellipse(whole, slanted(seat, z))
    if not left:
        raise InputError(f"r = {seat.r:g} mm, must leave some of the wall: {name}")
    for piece in left:
        if winding(piece.edges, seat.keep) > 0:
            return piece
    raise _keep_gone(seat, z, name)


def _keep_gone(seat: TubeSeat, z: float, name: str) -> InputError:
    x, y = seat.keep
    return InputError(f"keep = ({x:g}, {y:g}), must lie in the metal that is left at z = {z:.4g} mm: {name}")


def _apart(whole: Region, seats: Sequence[TubeSeat], t: float) -> None:
    """Refuse tubes that cut the same metal (InputError): what each takes could then not be added up."""
    for z in (0.0, t / 2, t):
        left = [_kept(whole, seat, f"tube seat {n}", z) for n, seat in enumerate(seats)]
        for n, one in enumerate(left):
            for m, other in enumerate(left):
                spots = (e.point((i + 0.5) / SPOTS) for e in one.cut_edges for i in range(SPOTS))
                if n != m and any(winding(other.edges, p) <= 0 for p in spots):
                    raise InputError(f"tube seats {min(n, m)} and {max(n, m)} meet, must cut different metal")
