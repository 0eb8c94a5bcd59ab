"""Volume and mass moments of folded plate: its walls, and its bends as sectors of a hollow cylinder.

The solid and the metal differ in the bends: unstretched metal of the flat strip, allowance by t, ends up in a
sector that is a little larger. The mass is the strip's, spread over the sector at density (r + K t) / (r + t/2).
"""

from __future__ import annotations

import math
from collections.abc import Callable

from brackets.fold import Bend, zones
from brackets.mass.record import Moments3
from brackets.mass.wall import wall_moments
from brackets.outline import Arc, Line, Region, Segment
from brackets.outline.quadrature import integral
from brackets.pieces import Folded

RULE = 20
"""Gauss points an edge: sines and cosines over at most 150 degrees, squared, to below 1e-16."""

ARC_STEP = math.pi / 4
"""Longest piece of an arc for one rule, radians."""


def solid_moments(piece: Folded) -> Moments3:
    """Moments of the folded solid in the piece's own frame. Raises OutOfRange as `brackets.fold.zones` does."""
    return _moments(piece, lambda bend: 1.0)


def mass_moments(piece: Folded) -> Moments3:
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
    """How x and y grow with s, mm over the whole edge."""
    if isinstance(edge, Arc):
        (x, y), (cx, cy) = edge.point(s), edge.centre
        return -(y - cy) * edge.sweep, (x - cx) * edge.sweep
    return edge.b[0] - edge.a[0], edge.b[1] - edge.a[1]
