"""What to cut away of a flat plate so that a round tube passes through it: the no-bevel cut.

Every slice through the thickness wants its own oval; they are one oval, shifted. A cut square through the plate
must take all of them, and leaves a gap of lean x thickness on one face.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.errors import OutOfRange
from brackets.outline import Arc, Ellipse, EllipseArc, Line, Outline, Point, Segment, circle
from brackets.pieces import TubeSeat
from brackets.pieces.vectors import unit

FINE = 1e-4
"""mm: how far the arcs of an oval cut may lie from the oval; a tenth of what a wire cutter holds."""

UPRIGHT = 1e-12
"""Lean below which a tube stands square on the plate: its shift over 1 m of thickness is a rounding."""


def slanted(seat: TubeSeat, z: float) -> Ellipse:
    """The oval the tube leaves at height `z`. Raises OutOfRange where the tube lies along the plate."""
    x, y, up = unit(seat.axis)
    if abs(up) < UPRIGHT:
        raise OutOfRange(f"axis = {seat.axis}, must leave the plane of the plate: a tube seat")
    far = (z - seat.at[2]) / up
    centre = (seat.at[0] + far * x, seat.at[1] + far * y)
    return Ellipse(centre, seat.r / abs(up), seat.r, math.degrees(math.atan2(y, x)))


def no_bevel(seat: TubeSeat, t: float) -> Outline:
    """The outline to cut square through a plate from z = 0 to z = t: all the ovals together, in arcs."""
    low, high = slanted(seat, 0.0), slanted(seat, t)
    step = (high.centre[0] - low.centre[0], high.centre[1] - low.centre[1])
    if math.hypot(*step) <= UPRIGHT * t:
        return circle(low.centre, seat.r)
    turn = math.radians(low.angle)
    ahead = step[0] * math.cos(turn) + step[1] * math.sin(turn) > 0
    first, second = (high, low) if ahead else (low, high)
    lead = first.arc(-math.pi / 2, math.pi / 2)
    trail = second.arc(math.pi / 2, 1.5 * math.pi)
    edges: list[Segment] = [*arcs(lead), Line(lead.b, trail.a), *arcs(trail), Line(trail.b, lead.a)]
    return Outline(tuple(_closed(edges)))


def arcs(curve: EllipseArc) -> tuple[Arc, ...]:
    """Circular arcs end to end along an oval, none farther than FINE from it."""
    count = 2
    while True:
        parts = [curve.part(i / count, (i + 1) / count) for i in range(count)]
        found = [_through(part.a, part.point(0.5), part.b) for part in parts]
        if all(_off(arc, part) <= FINE for arc, part in zip(found, parts, strict=True)):
            return tuple(found)
        count *= 2


def _off(arc: Arc, part: EllipseArc) -> float:
    return max(abs(math.dist(part.point(s), arc.centre) - arc.radius) for s in (0.2, 0.25, 0.3, 0.75))


def _through(a: Point, m: Point, b: Point) -> Arc:
    """The arc from a over m to b."""
    (ux, uy), (vx, vy) = (m[0] - a[0], m[1] - a[1]), (b[0] - a[0], b[1] - a[1])
    twice = 2 * (ux * vy - uy * vx)
    uu, vv = ux * ux + uy * uy, vx * vx + vy * vy
    centre = (a[0] + (vy * uu - uy * vv) / twice, a[1] + (ux * vv - vx * uu) / twice)
    return Arc(a, b, centre, twice > 0)


def _closed(edges: list[Segment]) -> Iterator[Segment]:
    """The edges with each end moved onto the next start, roundings apart."""
    for edge, after in zip(edges, (*edges[1:], edges[0]), strict=True):
        if isinstance(edge, Arc):
            yield Arc(edge.a, after.a, edge.centre, edge.ccw)
        else:
            yield Line(edge.a, after.a)
