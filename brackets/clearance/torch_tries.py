"""A torch held at a corner in the directions that are tried: is one of them free, and if none is, what is met.

Planes show most directions to be free or not worth a look; of the rest triangles are asked. The torch is prisms
round its cylinders, its root at the corner's, z out of it. mm, part's frame.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property, lru_cache

import numpy as np

from brackets.clearance.bodies import Body
from brackets.clearance.parting_planes import ROUNDING, PartingPlanes
from brackets.clearance.places import Array, Ints, Transform
from brackets.clearance.triangles import Tree, between
from brackets.clearance.weld_corners import Corner
from brackets.forming.shop import Torch

SIDES = 24
"""Sides of the prisms that stand for the torch's cylinders, each round its cylinder: 0.9 % wider at their edges."""

LEANS = (0, 2, -2, 4, -4, 1, -1, 3, -3)
"""Quarters of the most that the torch leans across the weld, in the order in which they are tried."""

TRAVELS = (0, 2, -2, 4, -4, 6, -6, 1, -1, 3, -3, 5, -5)
"""Sixths of the most that it leans along the weld."""

TRIED = len(LEANS) * len(TRAVELS)
"""Directions that are tried at a place."""

INTO_METAL = math.radians(5.0)
"""Radians that the wire keeps off either face of its corner."""

WIRE = 1.2
"""mm: diameter of the wire or needle."""

ROOT = 3.0
"""mm from the root that the wire is looked at from: nearer it the weld is."""

REMEMBERED = 4
"""Directions that were free elsewhere, held against planes before all others are."""


class There:
    """All that is in a torch's way, by name: pieces, and what welded seats meet."""

    def __init__(self, bodies: Mapping[str, Body], torch: Torch) -> None:
        self.bodies, self.torch = bodies, torch
        self.free: list[int] = []

    @cached_property
    def planes(self) -> PartingPlanes:
        return PartingPlanes(tuple(self.bodies.values()))

    def meets(self, corner: Corner, absent: frozenset[str]) -> tuple[str, ...]:
        """What is met in the directions that are tried, oftenest first; nothing where one of them is free.

        Those that were free at other places are tried first, the last one before all: most welds have their like.
        """
        at = _At(self, corner, absent)
        before = [way for way in self.free if way in at.ways]
        steps = (
            lambda: at.parted(before[:REMEMBERED]),
            lambda: at.untouched(before[:1]),
            lambda: at.parted(at.ways),
            lambda: at.untouched((*before, *at.furthest)),
        )
        way = next((way for step in steps for way in step()), None)
        if way is None:
            return at.oftenest()
        self.free = [way, *(one for one in self.free if one != way)]
        return ()

    def touches(self, stand: Transform, name: str) -> bool:
        """Whether the torch, standing so, meets a body."""
        one = self.bodies[name]
        if between(one.core.tree, torch_tree(self.torch), one.place.inverse @ stand).distance <= one.bound:
            return True
        return self._holds(stand, one.place.points(one.core.mesh.corners[0]))

    def _holds(self, stand: Transform, spot: Array) -> bool:
        """Whether a point lies in the torch: what it belongs to may be swallowed whole."""
        x, y, z = stand.inverse.points(spot)
        rho = math.hypot(x, y)
        return any(rho <= od / 2 and low <= z <= high for low, high, od in cylinders(self.torch))


class _At:
    """A torch at one corner; `ways`: numbers of the directions that its faces leave, in their order."""

    def __init__(self, there: There, corner: Corner, absent: frozenset[str]) -> None:
        leans, self.turns = directions(there.torch)
        most = max(0.0, corner.opening / 2 - INTO_METAL)
        self.ways = np.flatnonzero(np.abs(leans) <= most).tolist()
        self.there, self.root = there, corner.root
        self.frame = np.column_stack((corner.between, np.cross(corner.along, corner.between), corner.along))
        self.present = [i for i, name in enumerate(there.bodies) if name not in absent]
        self.names = [name for name in there.bodies if name not in absent]
        self.apart: dict[int, list[float]] = {}
        """By direction, mm that planes show between the torch and each of `names`."""
        self.asked: dict[tuple[int, str], bool] = {}

    def stand(self, way: int) -> Transform:
        return Transform(self.frame @ self.turns[way], self.root)

    def parted(self, ways: list[int]) -> list[int]:
        """Those that planes show to be free of everything."""
        axes = self.turns[ways, :, 2] @ self.frame.T
        apart = self.there.planes.apart(_round(self.there.torch), self.root, axes)[:, self.present]
        self.apart.update(zip(ways, apart.tolist(), strict=True))
        return [ways[i] for i in np.flatnonzero((apart > ROUNDING).all(axis=1)).tolist()]

    @property
    def furthest(self) -> list[int]:
        """All directions, that which planes show to be furthest from everything first."""
        return sorted(self.ways, key=lambda way: -min(self.apart[way]))

    def untouched(self, ways: Iterable[int]) -> Iterator[int]:
        """Those that are free of everything, one by one."""
        order = self.names[:]
        return (way for way in ways if self._first(way, order) is None)

    def oftenest(self) -> tuple[str, ...]:
        """What is met in any direction, where none is free, oftenest first."""
        order = self.names[:]
        met = Counter(self._first(way, order) for way in self.ways)
        return tuple(name for name, _ in met.most_common() if name is not None)

    def _first(self, way: int, order: list[str]) -> str | None:
        """The first that is met, which goes before all others: it is likely to be met again."""
        apart = dict(zip(self.names, self.apart[way], strict=True))
        for name in order:
            if apart[name] > ROUNDING:
                continue
            if (way, name) not in self.asked:
                self.asked[way, name] = self.there.touches(self.stand(way), name)
            if self.asked[way, name]:
                order.remove(name)
                order.insert(0, name)
                return name
        return None


@lru_cache(maxsize=8)
def directions(torch: Torch) -> tuple[Array, Array]:
    """Leans across the weld (n,), radians, and the torch's axes x, y, z as columns (n, 3, 3), each told by the way
    between the faces, the way across, and the way along the weld."""
    found: dict[tuple[float, float], Array] = {}
    for lean, travel in itertools.product(LEANS, TRAVELS):
        w, v = math.radians(torch.work * lean / 4), math.radians(torch.travel * travel / 6)
        x = np.array((-math.sin(w), math.cos(w), 0.0))
        z = np.array((math.cos(v) * math.cos(w), math.cos(v) * math.sin(w), math.sin(v)))
        found[w, v] = np.column_stack((x, np.cross(z, x), z))
    nearest = sorted(found.items(), key=lambda one: math.hypot(*one[0]))
    return np.array([w for (w, _), _ in nearest]), np.array([turn for _, turn in nearest])


def cylinders(torch: Torch) -> tuple[tuple[float, float, float], ...]:
    """From, to (mm from the root) and outside of each: wire, nozzle, neck."""
    end = torch.stick_out + torch.nozzle_length
    return (
        (min(ROOT, torch.stick_out / 2), torch.stick_out, WIRE),
        (torch.stick_out, end, torch.nozzle_od),
        (end, torch.length, torch.neck_od),
    )


@lru_cache(maxsize=8)
def _round(torch: Torch) -> tuple[tuple[float, float, float], ...]:
    """The same, round the prisms that stand for them."""
    return tuple((low, high, od / math.cos(math.pi / SIDES)) for low, high, od in cylinders(torch))


@lru_cache(maxsize=8)
def torch_mesh(torch: Torch) -> tuple[Array, Ints]:
    """Corners and triangles of prisms round its cylinders."""
    made = [_prism(od, low, high) for low, high, od in cylinders(torch)]
    starts = itertools.accumulate((len(corners) for corners, _ in made), initial=0)
    triples = [faces + start for (_, faces), start in zip(made, starts, strict=False)]
    return np.vstack([corners for corners, _ in made]), np.vstack(triples)


@lru_cache(maxsize=8)
def torch_tree(torch: Torch) -> Tree:
    return Tree(*torch_mesh(torch))


def _prism(od: float, low: float, high: float) -> tuple[Array, Ints]:
    """Corners and triangles of a prism round a cylinder about z."""
    turn = np.arange(SIDES) * (math.tau / SIDES)
    r = od / 2 / math.cos(math.pi / SIDES)
    ring = np.column_stack((r * np.cos(turn), r * np.sin(turn)))
    corners = [np.column_stack((ring, np.full(SIDES, z))) for z in (low, high)]
    faces = []
    for i in range(SIDES):
        j = (i + 1) % SIDES
        faces += [(i, j, SIDES + j), (i, SIDES + j, SIDES + i)]
        faces += [(2 * SIDES, j, i), (2 * SIDES + 1, SIDES + i, SIDES + j)]
    middles = np.array(((0.0, 0.0, low), (0.0, 0.0, high)))
    return np.vstack((*corners, middles)), np.array(faces, dtype=np.int64)
