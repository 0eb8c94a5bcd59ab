"""A section across a folded plate with all walls that it cuts: strips of one thickness, elastic. N, N mm, mm, MPa.

What a plane cuts of each wall's middle is a strip; bends between them are left out. Open sections: twist is carried
by the strips alone and about the middle, warping is not counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.hold.check import Array, Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import Metal
from brackets.hold.part_walls import PlacedWall, walls_of
from brackets.hold.plate_lines import intervals
from brackets.hold.plates import SECTIONS
from brackets.model.plate import Folded

LEANS = 0.5
"""Of a wall's direction along the cut's normal: a wall that faces it more is not cut across."""
NEXT_TO = 2.5
"""Inside radius and thickness together, times this: how far apart strips with a bend between them may lie."""
OUTSTAND, INTERNAL = 14.0, 42.0
"""Times epsilon: width over thickness of class 3, EN 1993-1-1:2005 table 5.2."""


@dataclass(frozen=True, eq=False)
class Strips:
    """A section: ends (k, 2, 2) mm of the middle lines of its strips, in the axes u, v of the cut; t mm thick.

    origin, u, v: (3,) each, where the cut lies in the part.
    """

    ends: Array
    t: float
    origin: Array
    u: Array
    v: Array

    @property
    def lengths(self) -> Array:
        return np.asarray(np.linalg.norm(self.ends[:, 1] - self.ends[:, 0], axis=1))

    @property
    def area(self) -> float:
        """mm2."""
        return float(self.lengths.sum() * self.t)

    @property
    def middle(self) -> Array:
        """(2,) mm, its centroid in u and v."""
        return np.asarray((self.lengths[:, None] * self.ends.mean(axis=1)).sum(axis=0) / self.lengths.sum())

    @property
    def centre(self) -> Array:
        """(3,) mm, the same in the part."""
        u, v = self.middle
        return np.asarray(self.origin + u * self.u + v * self.v)

    @property
    def second(self) -> Array:
        """(2, 2) mm4: integrals of u u, u v and v v about the centroid, thickness included."""
        total = np.zeros((2, 2))
        for (a, b), far in zip(self.ends - self.middle, self.lengths, strict=True):
            c, d = (a + b) / 2, b - a
            across = np.array([-d[1], d[0]]) / far
            own = np.outer(d, d) / 12 + np.outer(across, across) * self.t**2 / 12
            total += far * self.t * (np.outer(c, c) + own)
        return total

    @property
    def torsion(self) -> float:
        """mm4, of the strips alone."""
        return float((self.lengths * self.t**3).sum() / 3)

    @property
    def sheared(self) -> tuple[float, float]:
        """mm2 that count in shear along u and along v."""
        ways = (self.ends[:, 1] - self.ends[:, 0]) / self.lengths[:, None]
        along = (self.lengths * self.t)[:, None] * ways**2
        u, v = along.sum(axis=0)
        return float(max(u, self.t**2)), float(max(v, self.t**2))

    @property
    def corners(self) -> Array:
        """(n, 2) mm from the centroid: the outermost fibres of every strip."""
        found = []
        for (a, b), far in zip(self.ends - self.middle, self.lengths, strict=True):
            d = (b - a) / far
            out = np.array([-d[1], d[0]]) * self.t / 2
            found += [a + out, a - out, b + out, b - out]
        return np.array(found)


def strips_across(piece: Folded, number: int, at: Array, normal: Array) -> Strips | None:
    """The section of a folded piece by the plane through `at` square to `normal`, (3,) each, from wall `number` on
    over all walls next to one another; None where it does not cut that wall."""
    walls = walls_of(piece)
    v = np.array(walls[number].place.axis)
    u = np.cross(v, normal)
    cut = {wall.number: _cut(wall, at, normal, u, v) for wall in walls}
    found = {number: cut[number]} if len(cut[number]) else {}
    if not found:
        return None
    for flange_number, flange in enumerate(piece.flanges, 1):
        for one, other in ((flange.parent, flange_number), (flange_number, flange.parent)):
            if one in found and other not in found and len(cut[other]):
                near, far = found[one].reshape(-1, 1, 2), cut[other].reshape(1, -1, 2)
                gap = float(np.linalg.norm(near - far, axis=2).min())
                if gap <= NEXT_TO * (flange.inside_radius + piece.t):
                    found[other] = cut[other]
    return Strips(np.concatenate(list(found.values())), piece.t, at, u, v)


def _cut(wall: PlacedWall, at: Array, normal: Array, u: Array, v: Array) -> Array:
    """(k, 2, 2) in u and v: what the plane cuts of a wall's middle."""
    nx, ny, nz = (float(normal @ np.array(way)) for way in (wall.place.x, wall.place.up, wall.place.axis))
    size = float(np.hypot(nx, ny))
    if abs(nz) > LEANS:
        return np.zeros((0, 2, 2))
    level = float((at - np.array(wall.place.at)) @ normal) - nz * wall.t / 2
    start, way = (level * nx / size**2, level * ny / size**2), (-ny / size, nx / size)
    strips = []
    for run in intervals(wall.metal, start, way):
        ends = [wall.middle((start[0] + far * way[0], start[1] + far * way[1])) - at for far in run]
        strips.append([[end @ u, end @ v] for end in ends])
    return np.array(strips) if strips else np.zeros((0, 2, 2))


@np.errstate(all="ignore")
def folded_section(
    strips: Strips,
    *,
    force: Any,
    moment: Any,
    metal: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A section across a folded plate under all at once, elastically: EN 1993-1-1:2005 6.2.1(5), class 3 or better.

    strips: the section; force: (cases, 3) N; moment: (cases, 3) N mm about its centroid, in the part's axes; metal:
    of the plate; name: what it is asked for; factors: partial factors.
    Raises InputError with everything that is wrong.
    """
    scope = Scope(f"folded section of {metal.name}", name=name, factors=factors)
    metal.steel_only(scope, SECTIONS)
    limit = (OUTSTAND if len(strips.ends) > 1 else INTERNAL) * float(metal.epsilon)
    widest = float(strips.lengths.max())
    for far in strips.lengths:
        most = INTERNAL * float(metal.epsilon) if far == widest else limit
        scope.figure("width / t", far / strips.t, "", most=most, why=f"{SECTIONS} table 5.2: class 3 at the least")
    push, bend = np.asarray(force, dtype=np.float64), np.asarray(moment, dtype=np.float64)
    normal = np.cross(strips.u, strips.v)
    wanted = np.stack([-(bend @ strips.v), bend @ strips.u])
    slopes = np.linalg.solve(strips.second, wanted)
    direct = np.abs((push @ normal) / strips.area + strips.corners @ slopes).max(axis=0)
    along_u, along_v = strips.sheared
    cut = 1.5 * (np.abs(push @ strips.u) / along_u + np.abs(push @ strips.v) / along_v)
    cut = cut + np.abs(bend @ normal) * strips.t / strips.torsion
    return scope.check(
        lambda by: (np.sqrt(direct**2 + 3 * cut**2), metal.fy / by.m0),
        clause=f"{SECTIONS} 6.2.1(5), folded section, all at once, elastic",
        formula="square root of (stress along squared + 3 x shear stress squared) against yield / gamma_M0",
        unit="MPa",
        uses=("m0",),
        notes=(
            "largest stress along and largest shear stress taken at one point",
            "twist by the strips alone, about the middle of the section; warping and bends between walls left out",
        ),
    )


def spine_way(wall: PlacedWall, points: Sequence[Array]) -> tuple[Array, Array]:
    """A line over a wall, along which its places lie most apart, of the wall's x and y: a point of it and its
    direction, (3,) each."""
    flat = np.array([wall.flat(point) for point in points])
    low, high = flat.min(axis=0), flat.max(axis=0)
    x_long = (high - low)[0] >= (high - low)[1]
    middle = wall.middle((float((low + high)[0] / 2), float((low + high)[1] / 2)))
    return middle, np.array(wall.place.x if x_long else wall.place.up)
