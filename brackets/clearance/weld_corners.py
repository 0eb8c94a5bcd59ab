"""The corner that a fillet lies in, at one place of a weld: its root, and the ways along and between its two faces.

A circle round the weld's edge, square to it, is followed through the triangles of the two pieces that are welded:
between leaving the one and entering the other it runs in the air of the corner. mm, part's frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from brackets.clearance.places import Array, Ints

NARROWEST = math.radians(10.0)
"""Radians: less air between two faces, or faces that look at each other as squarely, are their fit-up and no corner
to weld in."""

PARALLEL = 0.1
"""Sine of the angle between two faces under which they are one, and meet nowhere."""


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
    """Where the circle passes a face: its angle, that of the face's normal, whose it is, whether it goes in."""

    angle: float
    normal: Array
    owner: int
    enters: bool


class Pair:
    """The triangles (k, 3, 3) of two closed meshes that are welded, with whose each is and its box."""

    def __init__(self, one: Array, other: Array) -> None:
        self.triangles = np.vstack((one, other))
        self.owners = np.repeat(np.arange(2), (len(one), len(other)))
        self.low, self.high = self.triangles.min(axis=1), self.triangles.max(axis=1)

    def near(self, at: Array, radius: float) -> tuple[Array, Ints]:
        """Those whose boxes meet a cube `radius` mm round `at`, and whose they are."""
        meet = np.flatnonzero(((self.low <= at + radius) & (self.high >= at - radius)).all(axis=1))
        return self.triangles[meet], self.owners[meet]


def corners_at(pair: Pair, at: Array, along: Array, radius: float) -> tuple[Corner, ...]:
    """Every corner between the metal of the two that a circle of `radius` mm round `at` passes through, the one
    whose root is nearest to `at` first; at, along: (3,), of a weld's edge."""
    e1 = _square_to(along)
    e2 = np.cross(along, e1)
    near = pair.near(at, radius)
    crossings = sorted(_crossings(*near, at, along, (e1, e2), radius), key=lambda c: c.angle)
    inside = {owner: _inside_before(crossings, owner) for owner in (0, 1)}
    found = []
    for one, other in zip(crossings, [*crossings[1:], *crossings[:1]], strict=True):
        inside[one.owner] += 1 if one.enters else -1
        opening = (other.angle - one.angle) % math.tau
        is_corner = one.owner != other.owner and not one.enters and other.enters and opening > NARROWEST
        is_slot = float(one.normal @ other.normal) < -math.cos(NARROWEST)
        if is_corner and not is_slot and not any(inside.values()):
            found.append((one, other))
    corners = [_corner(one, other, at, along, (e1, e2), radius) for one, other in found]
    return tuple(sorted(corners, key=lambda corner: float(np.linalg.norm(corner.root - at))))


def _square_to(along: Array) -> Array:
    aside = np.eye(3)[int(np.argmin(np.abs(along)))]
    across = np.cross(along, aside)
    return np.asarray(across / np.linalg.norm(across))


def _inside_before(crossings: list[_Crossing], owner: int) -> int:
    """How many times the circle is inside `owner` before its first crossing: never under 0 after it."""
    depth = least = 0
    for crossing in crossings:
        if crossing.owner == owner:
            depth += 1 if crossing.enters else -1
            least = min(least, depth)
    return -least


def _crossings(
    triangles: Array, owners: Ints, at: Array, along: Array, axes: tuple[Array, Array], radius: float
) -> Iterator[_Crossing]:
    """Where the circle passes the triangles."""
    height = (triangles - at) @ along
    above = height >= 0
    cut = above.any(axis=1) & ~above.all(axis=1)
    triangles, height, above, owners = triangles[cut], height[cut], above[cut], owners[cut]
    normals = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    flat = np.stack([(triangles - at) @ axis for axis in axes], axis=-1)
    for i in range(len(triangles)):
        ends = []
        for j in range(3):
            k = (j + 1) % 3
            if above[i, j] != above[i, k]:
                share = height[i, j] / (height[i, j] - height[i, k])
                ends.append(flat[i, j] + share * (flat[i, k] - flat[i, j]))
        normal = np.array([float(normals[i] @ axis) for axis in axes])
        size = float(np.linalg.norm(normal))
        if size == 0.0:
            continue
        for spot in _on_circle(ends[0], ends[1], radius):
            around = np.array((-spot[1], spot[0]))
            yield _Crossing(
                angle=math.atan2(spot[1], spot[0]),
                normal=normal / size,
                owner=int(owners[i]),
                enters=float(normal @ around) < 0,
            )


def _on_circle(a: Array, b: Array, radius: float) -> Iterator[Array]:
    """Where a segment crosses the circle round the origin; of its ends the first counts."""
    way = b - a
    square, half, rest = float(way @ way), float(a @ way), float(a @ a) - radius * radius
    root = half * half - square * rest
    if square == 0.0 or root <= 0.0:
        return
    for sign in (-1.0, 1.0):
        share = (-half + sign * math.sqrt(root)) / square
        if 0.0 <= share < 1.0:
            yield a + share * way


def _corner(
    one: _Crossing, other: _Crossing, at: Array, along: Array, axes: tuple[Array, Array], radius: float
) -> Corner:
    """The corner between two faces: its root where their tangents meet, `at` where they do not near it."""
    spots = [radius * np.array((math.cos(c.angle), math.sin(c.angle))) for c in (one, other)]
    root = np.zeros(2)
    faces = np.array((one.normal, other.normal))
    if abs(float(np.linalg.det(faces))) > PARALLEL:
        meet = np.linalg.solve(faces, np.array([float(n @ s) for n, s in zip(faces, spots, strict=True)]))
        if float(np.linalg.norm(meet)) < radius:
            root = meet
    first, last = (math.atan2(*(spot - root)[::-1]) for spot in spots)
    opening = (last - first) % math.tau
    middle = first + opening / 2
    return Corner(
        root=at + root[0] * axes[0] + root[1] * axes[1],
        along=along,
        between=math.cos(middle) * axes[0] + math.sin(middle) * axes[1],
        opening=opening,
    )
