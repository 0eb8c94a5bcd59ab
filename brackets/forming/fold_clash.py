"""How near the walls and bends of a folded piece come to each other, folded: where they run into each other.

Points on the skin of one are measured to the solid of the other; patches of skin that cannot come nearer than
the nearest point found are left out, the others are quartered. Openings in a bend and cuts to round tubes are
taken as filled: a gap is never found larger than it is.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import Protocol

from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec, cross, length, sub, unit
from brackets.geometry.crossings import winding
from brackets.geometry.regions import Region
from brackets.geometry.segments import Segment
from brackets.model.fold_tree import Bend, Node
from brackets.model.fold_zones import Zones, zones
from brackets.model.plate import Folded, TubeSeat

FINE = 0.02
"""mm: patches are not quartered below this; a gap is known to twice as much and COARSE of itself."""

COARSE = 0.02
"""Part of a gap that it may be found too large: two parallel walls would else be looked at to the last FINE."""

LOOKS = 6000
"""Most patches looked at for one pair, nearest first: parallel walls a hair apart; a pair takes some 0.2 s."""

Skin = tuple[Callable[[float, float], Vec], float, float, float, float]
"""A patch: (u, v) to a point of the piece, and u0, u1, v0, v1 in mm along the skin."""


@dataclass(frozen=True)
class Near:
    """Two parts that come within the gap asked for: `gap` mm, negative where they share metal."""

    first: str
    second: str
    gap: float
    at: Vec


def near(piece: Folded, within: float) -> tuple[Near, ...]:
    """Pairs of walls and bends nearer than `within` mm, nearest first; those that meet at a bend left out.

    Raises InputError as `brackets.model.fold_zones` does.
    """
    bodies = list(_bodies(zones(piece)))
    found = []
    for one, other in itertools.combinations(bodies, 2):
        if _meet(one, other) or _apart(one, other) >= within:
            continue
        gap, at = _nearest(one, other, within)
        if gap < within:
            found.append(Near(one.name, other.name, gap, at))
    return tuple(sorted(found, key=lambda pair: pair.gap))


class FoldedMetal:
    """The metal of a folded piece, for points in the piece's own frame.

    Openings in a bend are taken as filled, cuts to round tubes are taken off the walls. Raises InputError as
    `brackets.model.fold_zones` does.
    """

    def __init__(self, piece: Folded) -> None:
        self._bodies = list(_kept(replace(piece, name="", place=HERE, material="", stock="")))

    def outside(self, p: Vec, enough: float = -math.inf) -> float:
        """mm from `p` to the metal, 0 or less inside; where that is no more than `enough`, perhaps more than it is
        and no more than `enough`."""
        found = math.inf
        for i, body in enumerate(self._bodies):
            found = min(found, _outside(body, p))
            if found <= enough:
                self._bodies.insert(0, self._bodies.pop(i))  # the next point is most often of the same wall
                return found
        return found


def _outside(body: _Body, p: Vec) -> float:
    if isinstance(body, _WallBody):
        return outside_of_wall(body.region, body.t, body.seats, body.place.local(p))
    return body.outside(p)


def outside_of_wall(region: Region, t: float, seats: tuple[TubeSeat, ...], p: Vec) -> float:
    """mm from `p`, in the wall's own frame, to a wall `t` thick, 0 or less inside; next to a tube seat it may be
    too little, never too much."""
    over = max(-p[2], p[2] - t)
    if over >= 0 and winding(region.edges, (p[0], p[1])) > 0:
        plain = over  # over the metal, however far from its edge
    else:
        beside = -region.distance((p[0], p[1]))
        plain = max(over, beside) if max(over, beside) <= 0 else math.hypot(max(over, 0.0), max(beside, 0.0))
    if not seats:
        return plain
    return max([plain, *(seat.r - length(cross(sub(p, seat.at), unit(seat.axis))) for seat in seats)])


@lru_cache(maxsize=256)
def _kept(piece: Folded) -> tuple[_Body, ...]:
    return tuple(_bodies(zones(piece)))


class _Body(Protocol):
    """A wall or a bend in the piece. `wall` is None for a bend; `bends` are those it is, or hangs on or carries."""

    name: str
    wall: int | None
    bends: frozenset[int]
    place: Place

    def skin(self) -> Iterator[Skin]: ...

    def outside(self, p: Vec) -> float:
        """How far a point is outside the body, mm, negative inside."""
        ...

    @property
    def corners(self) -> list[Vec]:
        """Points of the piece whose box, in the body's frame, holds the body."""
        ...


class _WallBody:
    def __init__(
        self, node: Node, region: Region, t: float, bends: frozenset[int], seats: tuple[TubeSeat, ...]
    ) -> None:
        self.name = f"flange {node.number}" if node.number else "the base"
        self.wall: int | None = node.number
        self.bends, self.place, self.region, self.t, self.seats = bends, node.place, region, t, seats
        self.box = region.outer.bounds

    def skin(self) -> Iterator[Skin]:
        x0, y0, x1, y1 = self.box
        for z in (0.0, self.t):
            yield partial(self._face, z), x0, x1, y0, y1
        for edge in self.region.edges:
            yield partial(self._side, edge), 0.0, edge.length, 0.0, self.t

    def _face(self, z: float, u: float, v: float) -> Vec:
        return self.place.point((u, v, z))

    def _side(self, edge: Segment, u: float, v: float) -> Vec:
        return self.place.point((*edge.point(u / edge.length), v))

    def outside(self, p: Vec) -> float:
        return outside_of_wall(self.region, self.t, (), self.place.local(p))

    @property
    def corners(self) -> list[Vec]:
        x0, y0, x1, y1 = self.box
        return [self.place.point((x, y, z)) for x in (x0, x1) for y in (y0, y1) for z in (0.0, self.t)]


class _BendBody:
    def __init__(self, bend: Bend, beside: frozenset[int]) -> None:
        self.name = f"the bend to flange {bend.number}"
        self.wall: int | None = None
        self.beside = beside
        self.bends, self.place, self.bend = frozenset({bend.number}), bend.place, bend
        self.turn = math.radians(abs(bend.angle))
        self.radii = bend.inside_radius, bend.inside_radius + bend.t
        self.down = -1.0 if bend.angle > 0 else 1.0

    def _at(self, x: float, turn: float, r: float) -> Vec:
        z = self.bend.centre + self.down * r * math.cos(turn)
        return self.place.point((x, r * math.sin(turn), z))

    def _round(self, r: float, u: float, v: float) -> Vec:
        return self._at(u, v / r, r)

    def _end(self, x: float, u: float, v: float) -> Vec:
        return self._at(x, v / self.radii[1], u)

    def skin(self) -> Iterator[Skin]:
        inner, outer = self.radii
        for r in self.radii:
            yield partial(self._round, r), 0.0, self.bend.width, 0.0, r * self.turn
        for x in (0.0, self.bend.width):
            # v runs at the outer radius, so that no step on the skin is longer than its step in v.
            yield partial(self._end, x), inner, outer, 0.0, outer * self.turn

    def outside(self, p: Vec) -> float:
        x, y, z = self.place.local(p)
        inner, outer = self.radii
        down = self.down * (z - self.bend.centre)
        turn, far = math.atan2(y, down), math.hypot(y, down)
        beside = max(-x, x - self.bend.width)
        if 0 <= turn <= self.turn:
            over = max(inner - far, far - outer)
            if max(over, beside) <= 0:
                return max(over, beside)
            return math.hypot(max(over, 0.0), max(beside, 0.0))
        ends = []
        for end in (0.0, self.turn):
            out = y * math.sin(end) + down * math.cos(end)
            aside = y * math.cos(end) - down * math.sin(end)
            ends.append(math.hypot(aside, max(inner - out, out - outer, 0.0), max(beside, 0.0)))
        return min(ends)

    @property
    def corners(self) -> list[Vec]:
        far = self.radii[1]
        z0, z1 = sorted((self.bend.centre, self.bend.centre + self.down * far))
        back = far * max(0.0, -math.cos(self.turn))
        z0, z1 = (z0, z1 + back) if self.down < 0 else (z0 - back, z1)
        spots = itertools.product((0.0, self.bend.width), (0.0, far), (z0, z1))
        return [self.place.point(spot) for spot in spots]


def _bodies(left: Zones) -> Iterator[_Body]:
    bends = left.tree.bends
    for node, walls in zip(left.tree.walls, left.walls, strict=True):
        touching = {b.number for b in bends if b.parent == node.number} | {node.number} - {0}
        for wall in walls:
            region = wall.metal
            yield _WallBody(node, region, left.tree.t, frozenset(touching), wall.seats)
    for bend in bends:
        beside = (b.number for b in bends if {b.parent, b.number} & {bend.parent, bend.number})
        yield _BendBody(bend, frozenset(beside))


def _meet(one: _Body, other: _Body) -> bool:
    """Whether two bodies hang together: walls by a bend, a bend by its walls, bends by a wall between them."""
    if isinstance(one, _BendBody) and isinstance(other, _BendBody):
        return bool(one.bends & other.beside)
    return one.wall == other.wall or bool(one.bends & other.bends)


def _apart(one: _Body, other: _Body) -> float:
    """A gap the two cannot be under, from their boxes in each other's frames."""
    found = 0.0
    for a, b in ((one, other), (other, one)):
        mine = [a.place.local(p) for p in a.corners]
        theirs = [a.place.local(p) for p in b.corners]
        for axis in range(3):
            lo, hi = min(p[axis] for p in mine), max(p[axis] for p in mine)
            low, high = min(p[axis] for p in theirs), max(p[axis] for p in theirs)
            found = max(found, low - hi, lo - high)
    return found


def _nearest(one: _Body, other: _Body, within: float) -> tuple[float, Vec]:
    """The least gap, if under `within`, and where."""
    best, where = within, (0.0, 0.0, 0.0)
    order = itertools.count()
    heap: list[tuple[float, int, Skin]] = []
    looks = 0

    def look(patch: Skin) -> None:
        nonlocal best, where
        at, u0, u1, v0, v1 = patch
        p = at((u0 + u1) / 2, (v0 + v1) / 2)
        reach = math.hypot(u1 - u0, v1 - v0) / 2
        if one.outside(p) > reach:
            return
        gap = other.outside(p)
        if gap < best and one.outside(p) <= FINE / 2:
            best, where = gap, p
        if gap - reach < best and 2 * reach > FINE:
            heapq.heappush(heap, (gap - reach, next(order), patch))

    for patch in one.skin():
        look(patch)
    while heap:
        floor, _, (at, u0, u1, v0, v1) = heapq.heappop(heap)
        if floor >= best - FINE - COARSE * abs(best) or looks >= LOOKS:
            break
        looks += 4
        u, v = (u0 + u1) / 2, (v0 + v1) / 2
        if u1 - u0 > 2 * (v1 - v0):
            halves = [(u0, u, v0, v1), (u, u1, v0, v1)]
        elif v1 - v0 > 2 * (u1 - u0):
            halves = [(u0, u1, v0, v), (u0, u1, v, v1)]
        else:
            halves = [(u0, u, v0, v), (u, u1, v0, v), (u0, u, v, v1), (u, u1, v, v1)]
        for half in halves:
            look((at, *half))
        if best < -FINE:
            break
    return best, where
