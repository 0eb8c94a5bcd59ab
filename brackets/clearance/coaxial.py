"""Least distance of two faces of revolution about one axis, in closed form.

Both are swept by lines in the half plane (distance from the axis, height along it): no two points of the faces are
nearer than the lines are. mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brackets.clearance.facets import Facets
from brackets.clearance.places import Array, Transform

ASKEW = 1e-5  # mm: how far two axes may part over the length of the faces and still count as one; taken off
ON_CIRCLE = 1e-7  # mm: the solid kernel's own tolerance
FULL = 2 * np.pi - 1e-9  # a circle's parameter runs this far when it is whole


@dataclass(frozen=True, eq=False)
class Profile:
    """A face lies in what `ends` sweep: (2, 2) float mm, ends of a line, each as distance from the axis through
    `centre` along the unit `axis` and height over `centre`."""

    centre: Array
    axis: Array
    ends: Array


def apart(a: Profile, b: Profile, across: Transform) -> float:
    """mm: lower bound of the distance of two faces, b placed at `across` in a's axes; -inf where they have two
    axes. Attained where both faces go all round."""
    other = across.turn @ b.axis
    from_here = across.points(b.centre.reshape(1, 3))[0] - a.centre
    along = float(from_here @ a.axis)
    lean = float(np.linalg.norm(np.cross(a.axis, other)))
    off = float(np.linalg.norm(from_here - along * a.axis)) + 2 * lean * float(np.abs(b.ends).max())
    if off > ASKEW:
        return -np.inf
    sense = 1.0 if other @ a.axis > 0 else -1.0
    return _segments_apart(a.ends, b.ends * (1.0, sense) + (0.0, along)) - off


def profile(facets: Facets, span: tuple[float, float]) -> Profile | None:
    """Profile of a cylinder or cone with ends at `span`, mm, on its axis, a flat disc or ring; None of others."""
    of = facets.of
    if of is None:
        return None
    if of.kind in ("cylinder", "cone"):
        tan = np.tan(of.other) if of.kind == "cone" else 0.0
        ends = np.array([(of.radius + at * tan, at) for at in span])
        return Profile(of.centre, of.frame[2], ends) if (ends[:, 0] >= 0).all() else None
    return _flat_ring(facets) if of.kind == "plane" else None


def _flat_ring(facets: Facets) -> Profile | None:
    """Of a flat face whose border is one whole circle, or two about one centre."""
    circles = [one.circle for one in facets.rims if one.circle is not None and np.ptp(one.at) >= FULL]
    if facets.of is None or len(circles) not in (1, 2) or len(circles) != len(facets.rims):
        return None
    middle, radii = circles[0][0], sorted(radius for _, _, radius in circles)
    out = np.linalg.norm(facets.xyz.reshape(-1, 3) - middle, axis=1)
    on_one = np.abs(out[:, None] - np.array(radii)).min(axis=1) < ON_CIRCLE
    if not on_one.all() or np.linalg.norm(circles[-1][0] - middle) > ON_CIRCLE:
        return None
    inner = radii[0] - 2 * ON_CIRCLE if len(radii) == 2 else 0.0
    ends = np.array(((inner, 0.0), (radii[-1] + 2 * ON_CIRCLE, 0.0)))
    return Profile(middle, facets.of.frame[2], ends)


def _segments_apart(one: Array, other: Array) -> float:
    """mm: distance of two segments (2, 2) in a plane; 0 where they cross."""
    d, e = one[1] - one[0], other[1] - other[0]
    level = d[0] * e[1] - d[1] * e[0]
    if level != 0:
        off = other[0] - one[0]
        s, t = (off[0] * e[1] - off[1] * e[0]) / level, (off[0] * d[1] - off[1] * d[0]) / level
        if 0 <= s <= 1 and 0 <= t <= 1:
            return 0.0
    return min(*(_from_segment(spot, other) for spot in one), *(_from_segment(spot, one) for spot in other))


def _from_segment(spot: Array, segment: Array) -> float:
    way = segment[1] - segment[0]
    square = float(way @ way)
    share = min(1.0, max(0.0, float((spot - segment[0]) @ way) / square)) if square > 0 else 0.0
    return float(np.linalg.norm(spot - segment[0] - share * way))
