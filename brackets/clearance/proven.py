"""Bounds of the distance of two faces: low is proven by the faces' geometry, high is the distance of two points of
them.

First what costs little: a plane between the two faces, one round face inside another, or faces of revolution
about one axis. Where that does not decide, the triangles that may be nearest are halved until the rest of their sag
does not matter. mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from brackets.clearance import coaxial
from brackets.clearance.facets import Facets, of_triangles
from brackets.clearance.places import Array, Ints, Transform
from brackets.clearance.surfaces import Surface
from brackets.clearance.triangle_distance import apart

WANT = 4e-4  # mm: a distance known this well is settled: under the 1e-3 promised, with both ends rounded
MOST = 20_000  # pairs of triangles open at once; past that the interval stays as wide as it is, and says so
BLOCK = 2_000_000  # pairs of triangles looked at in one go
FEW = 200  # triangles of a flat face or patch that is looked at corner by corner
RING = 24  # chords of a ring to begin with
ROUNDS = 40  # halvings; each quarters what is left of the sag in a round face after two


@dataclass(frozen=True, eq=False)
class Skin:
    """A face, or a patch of a scan, as distances are proven from it. `bound` mm: its distance from `facets`;
    `span`: its ends along its own axis, mm."""

    facets: Facets
    bound: float
    span: tuple[float, float]
    circles: tuple[tuple[Array, Array, float], ...] = ()

    @property
    def of(self) -> Surface | None:
        return self.facets.of

    @property
    def proven(self) -> bool:
        return (self.of is None or self.of.proven) and all(rim.proven for rim in self.facets.rims)

    @cached_property
    def core(self) -> tuple[Facets, float]:
        return core(self)

    @cached_property
    def rims(self) -> tuple[tuple[Array, Array, float], ...]:
        """Circles (centre, axis, radius mm) whose convex hull contains the face; a ball has axis 0; empty where
        unknown."""
        if self.of is None or (self.of.kind == "plane" and len(self.circles) == len(self.facets.rims)):
            if len(self.facets.xyz) > FEW:
                return ()
            corners = np.unique(self.facets.xyz.reshape(-1, 3), axis=0)
            return (*((spot, np.zeros(3), 0.0) for spot in corners), *self.circles)
        if self.of.kind == "sphere":
            return ((self.of.centre, np.zeros(3), self.of.radius),)
        if self.of.kind in ("cylinder", "cone"):
            tan = np.tan(self.of.other) if self.of.kind == "cone" else 0.0
            axis = self.of.frame[2]
            return tuple((self.of.centre + at * axis, axis, abs(self.of.radius + at * tan)) for at in self.span)
        return ()

    @cached_property
    def profile(self) -> coaxial.Profile | None:
        return coaxial.profile(self.facets, self.span)

    def reach(self, way: Array) -> float:
        """mm: greatest extent of the face along the unit direction `way`, in its own axes."""
        xyz = self.facets.xyz.reshape(-1, 3) @ way
        if self.of is None:
            return float(xyz.max())
        if self.of.kind == "plane":
            level = float(np.linalg.norm(self.of.frame[:2] @ way))
            by_rim = float(xyz.max()) + self.bound * level
            return min(by_rim, self._by_circles(way, float(xyz.max())))
        return min(float(xyz.max()) + self.bound, self.of.reach(way, self.span))

    def _by_circles(self, way: Array, corners: float) -> float:
        """The same for a plane face bounded by straight lines and circles: extent of its corners and whole
        circles."""
        if len(self.circles) < len(self.facets.rims):
            return np.inf
        rims = (c @ way + r * np.sqrt(1 - min(1.0, float(axis @ way) ** 2)) for c, axis, r in self.circles)
        return float(max((corners, *rims)))


def skin(facets: Facets, bound: float) -> Skin:
    of = facets.of
    if of is None:
        return Skin(facets, bound, (0.0, 0.0))
    along = (facets.xyz.reshape(-1, 3) - of.centre) @ of.frame[2]
    rim = max((one.deviation for one in facets.rims), default=0.0)
    circles = tuple(one.circle for one in facets.rims if one.circle is not None)
    return Skin(facets, bound, (float(along.min()) - rim, float(along.max()) + rim), circles)


@dataclass(frozen=True, eq=False)
class Proven:
    """The distance is between low and high, mm; p on the first and q on the second, in the first one's axes, are
    `high` apart."""

    low: float
    high: float
    p: Array
    q: Array


def plane_between(a: Skin, b: Skin, across: Transform, way: Array) -> float:
    """mm: along `way`, in a's axes, where b starts less where a ends: a lower bound of the distance where
    positive."""
    length = float(np.linalg.norm(way))
    if length < 1e-12:
        return -np.inf
    unit = way / length
    return float(unit @ across.move) - b.reach(-(across.turn.T @ unit)) - a.reach(unit)


def _about_one_axis(a: Skin, b: Skin, across: Transform) -> float:
    if a.profile is None or b.profile is None:
        return -np.inf
    return coaxial.apart(a.profile, b.profile, across)


def one_within(a: Skin, b: Skin, across: Transform) -> float:
    """mm: lower bound of the distance between a round face and one inside it, from its centre or axis; -inf where
    that decides nothing.

    The depth of a point in a sphere, cylinder or cone is least at an end of what is inside.
    """
    found = -np.inf
    for outer, inner, to_outer in ((a, b, across), (b, a, across.inverse)):
        if outer.of is None or outer.of.kind not in ("sphere", "cylinder", "cone"):
            continue
        depths = [
            _depth(outer.of, to_outer.points(middle.reshape(1, 3))[0], to_outer.turn @ axis, radius)
            for middle, axis, radius in inner.rims
        ]
        found = max(found, min(depths, default=-np.inf))
    return found


def _depth(outer: Surface, middle: Array, axis: Array, radius: float) -> float:
    """mm: least depth of a circle's points in a round surface; a circle with axis (0, 0, 0) is a ball."""
    spot, tilt = outer.frame @ (middle - outer.centre), outer.frame @ axis
    out = float(np.hypot(spot[0], spot[1]))
    if outer.kind == "sphere":
        if not tilt.any():
            return outer.radius - float(np.linalg.norm(spot)) - radius
        along = float(spot @ tilt)
        return outer.radius - float(np.hypot(along, np.linalg.norm(spot - along * tilt) + radius))
    if outer.kind == "cylinder":
        return outer.radius - out - radius
    sine, cosine = np.sin(outer.other), np.cos(outer.other)
    there = outer.radius * cosine + spot[2] * sine - out * cosine
    if not tilt.any():
        return float(there - radius)
    return float(there - radius * cosine - radius * abs(sine) * np.hypot(tilt[0], tilt[1]))


def core(of: Skin) -> tuple[Facets, float]:
    """Where the centre of a ball rolls that fills a round face, and its radius: centre of a sphere, axis of a
    cylinder, circle of a torus; any other face is its own core with radius 0. No point of the face is further from
    the core than the radius."""
    lies_on = of.of
    if lies_on is None or lies_on.kind not in ("sphere", "cylinder", "torus"):
        return of.facets, 0.0
    if lies_on.kind == "torus":
        ring = replace(lies_on, other=0.0)
        turn = np.linspace(0, 2 * np.pi, RING + 1)
        uv = np.zeros((RING, 3, 2))
        uv[:, 0, 0], uv[:, 1, 0], uv[:, 2, 0] = turn[:-1], turn[1:], turn[1:]
        plain = of_triangles(ring.points(uv.reshape(-1, 2)).reshape(-1, 3, 3))
        return Facets(ring, (), uv, plain.xyz, plain.rim, plain.at), lies_on.other
    ends = np.array(of.span if lies_on.kind == "cylinder" else (0.0, 0.0))
    line = lies_on.centre + ends[:, None] * lies_on.frame[2]
    return of_triangles(line[None, (0, 1, 1)]), lies_on.radius


def least(a: Skin, b: Skin, across: Transform, ways: Sequence[Array], ceiling: float, want: float) -> Proven:
    """Low and high of the distance of two faces; distances over `ceiling` mm need no exact figure.

    ways: directions (3,) in which a separating plane is tried. high is inf where no two points were looked for.
    """
    by_planes = (plane_between(a, b, across, way) for way in ways)
    low = max(_about_one_axis(a, b, across), one_within(a, b, across), *by_planes)
    if low >= ceiling - want:
        return Proven(low, np.inf, np.zeros(3), np.zeros(3))
    (core_a, radius_a), (core_b, radius_b) = a.core, b.core
    round_it = radius_a + radius_b
    if round_it > 0:
        found = by_halving(
            core_a, core_b, across, ceiling=ceiling + round_it, want=want, enough=ceiling + round_it - want
        )
        low = max(low, found.low - round_it)
        if low >= ceiling - want:
            return Proven(low, np.inf, np.zeros(3), np.zeros(3))
    found = by_halving(a.facets, b.facets, across, ceiling=ceiling, want=want)
    return found if found.low > low else replace(found, low=low)


def towards(a: Skin, b: Skin, across: Transform, p: Array, q: Array) -> tuple[Array, Array]:
    """The nearest points of the untrimmed surfaces, by alternating projection: good for a direction, not for a
    distance."""
    if a.of is None or b.of is None or "free" in (a.of.kind, b.of.kind):
        return p, q
    back = across.inverse
    for _ in range(8):
        foot = b.of.foot(back.points(p.reshape(1, 3))[0])
        if foot is None:
            break
        q = across.points(foot.reshape(1, 3))[0]
        foot = a.of.foot(q)
        if foot is None:
            break
        p = foot
    return p, q


def by_halving(
    a: Facets, b: Facets, across: Transform, *, ceiling: float, want: float, enough: float = -np.inf
) -> Proven:
    """Low and high of the distance, by halving triangles that may be nearer than `ceiling` less `want` mm. Stops
    early where the distance is surely less than `enough`."""
    i, j, low = _may_win(a, b, across, ceiling - want)
    high, p, q = np.inf, np.zeros(3), np.zeros(3)
    for _ in range(ROUNDS):
        if not len(i):
            break
        there = across.points(b.xyz[j].reshape(-1, 3)).reshape(-1, 3, 3)
        distance, ps, qs = apart(a.xyz[i], there)
        slack = a.deviation[i] + b.deviation[j]
        k = int((distance + slack).argmin())
        if distance[k] + slack[k] < high:
            high, p, q = float(distance[k] + slack[k]), ps[k], qs[k]
        lows = distance - slack
        opened = lows < min(high, ceiling) - want
        low = min(low, float(lows[~opened].min(initial=np.inf)))
        i, j, lows = i[opened], j[opened], lows[opened]
        if len(i) > MOST or high < enough:
            break
        a, i, j = _halved(a, i, j, want / 8)
        b, j, i = _halved(b, j, i, want / 8)
    return Proven(min(low, float(lows.min())) if len(i) else low, high, p, q)


def _may_win(a: Facets, b: Facets, across: Transform, reach: float) -> tuple[Ints, Ints, float]:
    """Pairs of triangles that may be nearer than `reach` mm, and a lower bound for all others, both by bounding
    balls."""
    (ma, ra), (mb, rb) = a.balls, b.balls
    mb = across.points(mb)
    firsts, seconds, spared = [], [], np.inf
    rows = max(1, BLOCK // max(1, len(mb)))
    for start in range(0, len(ma), rows):
        here = slice(start, start + rows)
        away = np.sqrt(np.square(ma[here, None] - mb[None]).sum(axis=2)) - ra[here, None] - rb[None]
        near = away < reach
        i, j = np.nonzero(near)
        firsts.append(i + start)
        seconds.append(j)
        spared = min(spared, float(away[~near].min(initial=np.inf)))
    return np.concatenate(firsts), np.concatenate(seconds), spared


def _halved(one: Facets, mine: Ints, theirs: Ints, least: float) -> tuple[Facets, Ints, Ints]:
    """The open triangles, those with a deviation over `least` mm halved, and the pairs of them."""
    used, back = np.unique(mine, return_inverse=True)
    kept = one.some(used)
    coarse = kept.deviation > least
    if not coarse.any():
        return kept, back, theirs
    halves = kept.some(coarse).halved()
    fine = kept.some(~coarse)
    place = np.where(coarse, np.cumsum(coarse) - 1 + len(fine.xyz), np.cumsum(~coarse) - 1)
    again = coarse[back]
    found = place[back]
    mine = np.concatenate((found, found[again] + int(coarse.sum())))
    return fine.joined(halves), mine, np.concatenate((theirs, theirs[again]))
