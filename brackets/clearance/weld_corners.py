"""The corner that a fillet lies in, at places of a weld: its root, and the ways along and between its two faces.

A circle round the weld's edge, square to it, is followed through the triangles of the two pieces that are welded:
between leaving the one and entering the other it runs in the air of the corner. mm, part's frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from brackets.clearance.places import Array, Bools, Ints

NARROWEST = math.radians(10.0)
"""Radians: less air between two faces, or faces that look at each other as squarely, are their fit-up and no corner
to weld in."""

PARALLEL = 0.1
"""Sine of the angle between two faces under which they are one, and meet nowhere."""

AT_ONCE = 300_000
"""Boxes of triangles that are held against places at once: a few MB."""


@dataclass(frozen=True, eq=False)
class Corner:
    """`root` (3,) mm where its two faces meet; unit vectors (3,) `along` the weld and `between` the faces, out of
    the corner; `opening`, radians from face to face through the air."""

    root: Array
    along: Array
    between: Array
    opening: float


@dataclass(frozen=True)
class _Crossing:
    """Where the circle passes a face: its angle, the face's normal in the circle's plane, whose it is, whether it
    goes in."""

    angle: float
    normal: tuple[float, float]
    owner: int
    enters: bool


@dataclass(frozen=True, eq=False)
class _Circles:
    """Circles of a `radius`, mm: middles `at`, ways `along` through them, axes `e1`, `e2` of each plane; (n, 3)."""

    at: Array
    along: Array
    e1: Array
    e2: Array
    radius: float


class Pair:
    """The triangles (k, 3, 3) of two closed meshes that are welded, with whose each is, its box and its normal."""

    def __init__(self, one: Array, other: Array) -> None:
        self.triangles = np.vstack((one, other))
        self.owners = np.repeat(np.arange(2), (len(one), len(other)))
        self.low, self.high = self.triangles.min(axis=1), self.triangles.max(axis=1)
        a, b, c = self.triangles.swapaxes(0, 1)
        self.normals = np.cross(b - a, c - a)

    def near(self, at: Array, radius: float) -> tuple[Ints, Ints]:
        """Numbers of places `at` (n, 3) and of triangles whose boxes meet a cube `radius` mm either way of it."""
        each = max(1, AT_ONCE // len(self.low))
        found = []
        for start in range(0, len(at), each):
            low, high = (at[start : start + each, None] + by for by in (-radius, radius))
            place, triangle = np.nonzero(((self.low <= high) & (self.high >= low)).all(axis=2))
            found.append((place + start, triangle))
        places, triangles = zip(*found, strict=True)
        return np.concatenate(places), np.concatenate(triangles)


def corners_along(pair: Pair, at: Array, along: Array, radius: float) -> list[tuple[Corner, ...]]:
    """At each place every corner between the metal of the two that a circle of `radius` mm round it passes through,
    the one whose root is nearest first; at, along: (n, 3), of a weld's edge, n not 0."""
    e1 = _square_to(along)
    circles = _Circles(at, along, e1, np.cross(along, e1), radius)
    found = [list(_corners(crossings, circles, i)) for i, crossings in enumerate(_crossings(pair, circles))]
    for corners, middle in zip(found, at, strict=True):
        corners.sort(key=lambda corner: math.dist(corner.root, middle))
    return [tuple(corners) for corners in found]


def _square_to(along: Array) -> Array:
    across = np.cross(along, np.eye(3)[np.abs(along).argmin(axis=1)])
    return np.asarray(across / np.linalg.norm(across, axis=1)[:, None])


def _corners(crossings: list[_Crossing], circles: _Circles, number: int) -> Iterator[Corner]:
    """Of one circle, by angle."""
    crossings.sort(key=lambda c: c.angle)
    inside = {owner: _inside_before(crossings, owner) for owner in (0, 1)}
    for one, other in zip(crossings, [*crossings[1:], *crossings[:1]], strict=True):
        inside[one.owner] += 1 if one.enters else -1
        if one.owner == other.owner or one.enters or not other.enters or any(inside.values()):
            continue
        opening = (other.angle - one.angle) % math.tau
        is_slot = _dot(one.normal, other.normal) < -math.cos(NARROWEST)
        if opening > NARROWEST and not is_slot:
            yield _corner(one, other, circles, number)


def _inside_before(crossings: Sequence[_Crossing], owner: int) -> int:
    """How many times the circle is inside `owner` before its first crossing: never under 0 after it."""
    depth = least = 0
    for crossing in crossings:
        if crossing.owner == owner:
            depth += 1 if crossing.enters else -1
            least = min(least, depth)
    return -least


def _crossings(pair: Pair, circles: _Circles) -> list[list[_Crossing]]:
    """Where each circle passes the triangles."""
    found: list[list[_Crossing]] = [[] for _ in circles.at]
    place, number = pair.near(circles.at, circles.radius)
    off = pair.triangles[number] - circles.at[place, None]
    height = _times(off, circles.along[place])
    above = height >= 0
    cut = above.any(axis=1) & ~above.all(axis=1)
    place, number, off, height, above = place[cut], number[cut], off[cut], height[cut], above[cut]
    axes = circles.e1[place], circles.e2[place]
    flat = np.stack([_times(off, axis) for axis in axes], axis=-1)
    normals = pair.normals[number]
    normal = np.stack([np.einsum("ij,ij->i", normals, axis) for axis in axes], axis=-1)
    size = np.linalg.norm(normal, axis=1)
    which, spots = _on_circle(*_ends(flat, height, above), circles.radius)
    for i, (x, y) in zip(which.tolist(), spots.tolist(), strict=True):
        if size[i] == 0.0:
            continue
        across = (float(normal[i, 0] / size[i]), float(normal[i, 1] / size[i]))
        found[place[i]].append(
            _Crossing(
                angle=math.atan2(y, x),
                normal=across,
                owner=int(pair.owners[number[i]]),
                enters=_dot(across, (-y, x)) < 0,
            )
        )
    return found


def _times(points: Array, way: Array) -> Array:
    """(m, 3): of each point of m triangles (m, 3, 3) how far it lies along the triangle's own way (m, 3)."""
    return np.asarray(np.matmul(points, way[:, :, None])[:, :, 0])


def _ends(flat: Array, height: Array, above: Bools) -> tuple[Array, Array]:
    """Where a circle's plane crosses two edges of each triangle that it cuts, in their order, (m, 2) each."""
    follow = [1, 2, 0]
    crossed = above != above[:, follow]
    rows = np.arange(len(flat))
    edges = np.argsort(~crossed, axis=1, kind="stable")
    ends = []
    for edge in (edges[:, 0], edges[:, 1]):
        after = (edge + 1) % 3
        share = height[rows, edge] / (height[rows, edge] - height[rows, after])
        ends.append(flat[rows, edge] + share[:, None] * (flat[rows, after] - flat[rows, edge]))
    return ends[0], ends[1]


def _on_circle(a: Array, b: Array, radius: float) -> tuple[Ints, Array]:
    """Where segments (m, 2) cross the circle round the origin: numbers of segments, and (n, 2) mm; of the ends of
    each the first counts."""
    way = b - a
    square, half = np.einsum("ij,ij->i", way, way), np.einsum("ij,ij->i", a, way)
    root = half * half - square * (np.einsum("ij,ij->i", a, a) - radius * radius)
    those = np.flatnonzero((square != 0.0) & (root > 0.0))
    half, square, root = half[those], square[those], np.sqrt(root[those])
    share = np.column_stack(((-half - root) / square, (-half + root) / square))
    at, way_out = np.nonzero((share >= 0.0) & (share < 1.0))
    which = those[at]
    return which, a[which] + share[at, way_out][:, None] * way[which]


def _dot(a: tuple[float, float], b: tuple[float, float]) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _corner(one: _Crossing, other: _Crossing, circles: _Circles, number: int) -> Corner:
    """The corner between two faces: its root where their tangents meet, the circle's middle where they do not near
    it."""
    radius, e1, e2 = circles.radius, circles.e1[number], circles.e2[number]
    first, last = ((radius * math.cos(c.angle), radius * math.sin(c.angle)) for c in (one, other))
    (ax, ay), (bx, by) = one.normal, other.normal
    across = ax * by - ay * bx
    x = y = 0.0
    if abs(across) > PARALLEL:
        off, away = _dot(one.normal, first), _dot(other.normal, last)
        meet = (off * by - ay * away) / across, (ax * away - off * bx) / across
        if math.hypot(*meet) < radius:
            x, y = meet
    begins, ends = (math.atan2(spot[1] - y, spot[0] - x) for spot in (first, last))
    opening = (ends - begins) % math.tau
    middle = begins + opening / 2
    return Corner(
        root=circles.at[number] + x * e1 + y * e2,
        along=circles.along[number],
        between=math.cos(middle) * e1 + math.sin(middle) * e2,
        opening=opening,
    )
