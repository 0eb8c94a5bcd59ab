"""Moments of bent tubes: straights, arcs of a ring, less what the ends' cuts take off."""

from __future__ import annotations

import math
from itertools import pairwise

from brackets.cope.bent import check_bent, corner_angles, straights
from brackets.mass.record import Moments3
from brackets.mass.tube import end_moments, ring
from brackets.pieces import BentTube, Place
from brackets.pieces.vectors import add, cross, scale, unit


def solid_moments(tube: BentTube) -> Moments3:
    """Moments about the tube's own origin, density 1. Raises OutOfRange where it cannot be bent or cut."""
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
