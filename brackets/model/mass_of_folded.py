"""Moments of folded plate: its walls (outline times thickness, less openings), and its bends.

A bend is a sector of a hollow cylinder, a little larger than the metal of the flat strip, allowance by t, that
was bent into it. The mass is the strip's, spread over the sector at density (r + K t) / (r + t/2).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import lru_cache
from itertools import combinations
from typing import assert_never

from brackets.core.errors import InputError
from brackets.geometry.curve import Outline
from brackets.geometry.distance import contains, distance_between
from brackets.geometry.regions import Region
from brackets.geometry.segments import TOUCH, Arc, Line, Segment, integral
from brackets.model.fold_tree import Bend
from brackets.model.fold_zones import zones
from brackets.model.holes import Hole, Opening, Slot, Window
from brackets.model.mass_of_plate import seated_moments
from brackets.model.moments import Moments3
from brackets.model.plate import Folded, Wall

LEAST_LEAN = 1.0
"""Degrees between a tube and the plate: flatter than this its oval is 57 times as long as it is wide."""


def wall_moments(wall: Wall, t: float) -> Moments3:
    """Moments of the wall from z = 0 to z = t of its own frame, density 1.

    Raises InputError where t is not a thickness, an opening is not wholly inside the outline or meets another
    opening, or a tube seat leaves nothing, leaves no metal at its `keep`, meets another tube seat, or parts the
    wall through some of its thickness only.
    """
    problems = [*_thickness(t), *_openings(wall), *_seats(wall)]
    if problems:
        raise InputError(*problems)
    whole = wall.metal
    if not wall.seats:
        return Moments3.prism(whole.moments, 0.0, t)
    return seated_moments(whole, wall.seats, t)


def called(opening: Opening, number: int) -> str:
    """What a message calls an opening: what it is, its name, and where."""
    named = f" {opening.name}" if opening.name else f" {number}"
    match opening:
        case Hole():
            return f"hole{named} d = {opening.d:g} mm at ({opening.at[0]:g}, {opening.at[1]:g})"
        case Slot():
            (ax, ay), (bx, by) = opening.a, opening.b
            return f"slot{named} d = {opening.d:g} mm from ({ax:g}, {ay:g}) to ({bx:g}, {by:g})"
        case Window():
            return f"window{named}"
        case _:
            assert_never(opening)


def _thickness(t: float) -> Iterator[str]:
    if not (math.isfinite(t) and t > 0):
        yield f"t = {t:g} mm, must be over 0: plate thickness"


def _openings(wall: Wall) -> Iterator[str]:
    shapes = [(called(opening, n), opening.outline) for n, opening in enumerate(wall.openings)]
    for name, shape in shapes:
        if not inside(wall.outline, shape):
            yield f"{name}, must lie wholly inside the outline of its plate: an opening"
    for (name, shape), (other, second) in combinations(shapes, 2):
        if _meet(shape, second):
            yield f"{name}, must not meet {other}: openings of one plate"


def inside(outline: Outline, opening: Outline) -> bool:
    """Whether the opening lies in the outline and nowhere touches it."""
    (x0, y0, x1, y1), (u0, v0, u1, v1) = outline.bounds, opening.bounds
    if not (x0 < u0 and y0 < v0 and u1 < x1 and v1 < y1):
        return False
    start = opening.segments[0].a
    return contains(outline, start).side == "inside" and distance_between(outline, opening).distance > TOUCH


def _meet(one: Outline, other: Outline) -> bool:
    (x0, y0, x1, y1), (u0, v0, u1, v1) = one.bounds, other.bounds
    if x1 < u0 or u1 < x0 or y1 < v0 or v1 < y0:
        return False
    return distance_between(one, other).distance <= TOUCH or inside(one, other) or inside(other, one)


def _seats(wall: Wall) -> Iterator[str]:
    for n, seat in enumerate(wall.seats):
        what = f"tube seat {n}"
        if not all(map(math.isfinite, (*seat.at, *seat.axis, *seat.keep))):
            yield f"at = {seat.at}, axis = {seat.axis}, keep = {seat.keep}, must be finite numbers: {what}"
            continue
        if not (math.isfinite(seat.r) and seat.r > 0):
            yield f"r = {seat.r:g} mm, must be over 0: {what}"
        flat, up = math.hypot(seat.axis[0], seat.axis[1]), abs(seat.axis[2])
        lean = math.degrees(math.atan2(up, flat))
        if not lean >= LEAST_LEAN:
            yield f"axis = {seat.axis}, must leave the plane of the plate by {LEAST_LEAN:g} deg or more: {what}"


RULE = 20
"""Gauss points an edge: sines and cosines over at most 150 degrees, squared, to below 1e-16."""

ARC_STEP = math.pi / 4
"""Longest piece of an arc for one rule, radians."""


def folded_moments(piece: Folded) -> Moments3:
    """Moments of the folded solid in the piece's own frame. Raises InputError as `zones` does."""
    return _moments(piece, lambda bend: 1.0)


def folded_mass_moments(piece: Folded) -> Moments3:
    """Moments of the metal, density 1 on the flat, in the piece's own frame."""
    return _moments(piece, lambda bend: bend.rate / (bend.inside_radius + bend.t / 2))


def _moments(piece: Folded, density: Callable[[Bend], float]) -> Moments3:
    left = zones(piece)
    total = Moments3()
    for node, walls in zip(left.tree.walls, left.walls, strict=True):
        for wall in walls:
            total += wall_moments(wall, piece.t).moved(node.place)
    for bend, regions in zip(left.tree.bends, left.bends, strict=True):
        for region in regions:
            total += sector_moments(bend, region).scaled(density(bend)).moved(bend.place)
    return total


def sector_moments(bend: Bend, region: Region) -> Moments3:
    """Moments of a region of the strip once it is bent, in the bend's frame.

    A point x along the bend and y across the strip lies at the angle y / rate: the integrals along the radius
    are powers, those over the region run round its edges (Green), where sine and cosine integrate exactly.
    """
    r, big, c = bend.inside_radius, bend.inside_radius + bend.t, bend.centre
    down = -1.0 if bend.angle > 0 else 1.0
    one, two, three = ((big**n - r**n) / n for n in (2, 3, 4))
    sums = _over(region, bend.rate)
    area, u, uu, s, co, us, uc, ss, cc, sc = sums
    return Moments3(
        volume=one * area,
        x=one * u,
        y=two * s,
        z=c * one * area + down * two * co,
        xx=one * uu,
        xy=two * us,
        zx=c * one * u + down * two * uc,
        yy=three * ss,
        yz=c * two * s + down * three * sc,
        zz=c * c * one * area + 2 * c * down * two * co + three * cc,
    )


@lru_cache(maxsize=256)
def _over(region: Region, rate: float) -> tuple[float, ...]:
    """Integrals over the region, y as an angle: 1, x, x2, sin, cos, x sin, x cos, sin2, cos2, sin cos."""
    terms = [_edge(part, rate) for edge in region.edges for part in _parts(edge)]
    return tuple(math.fsum(column) / rate for column in zip(*terms, strict=True))


def _parts(edge: Segment) -> tuple[Segment, ...]:
    if isinstance(edge, Line):
        return (edge,)
    count = max(1, math.ceil(abs(edge.sweep) / ARC_STEP))
    return tuple(edge.part(i / count, (i + 1) / count) for i in range(count))


def _edge(edge: Segment, rate: float) -> tuple[float, ...]:
    """One edge's share: the integral of (the integrand's integral over x) dy along it."""

    def along(power: int, turn: Callable[[float, float], float]) -> float:
        def integrand(s: float) -> float:
            x, y = edge.point(s)
            _, rise = _rise(edge, s)
            sin, cos = math.sin(y / rate), math.cos(y / rate)
            return x**power / power * turn(sin, cos) * rise

        return integral(integrand, 0.0, 1.0, RULE)

    return (
        along(1, lambda s, c: 1.0),
        along(2, lambda s, c: 1.0),
        along(3, lambda s, c: 1.0),
        along(1, lambda s, c: s),
        along(1, lambda s, c: c),
        along(2, lambda s, c: s),
        along(2, lambda s, c: c),
        along(1, lambda s, c: s * s),
        along(1, lambda s, c: c * c),
        along(1, lambda s, c: s * c),
    )


def _rise(edge: Segment, s: float) -> tuple[float, float]:
    """Derivatives of x and y by s, which goes from 0 to 1 along the edge; mm."""
    if isinstance(edge, Arc):
        (x, y), (cx, cy) = edge.point(s), edge.centre
        return -(y - cy) * edge.sweep, (x - cx) * edge.sweep
    return edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]
