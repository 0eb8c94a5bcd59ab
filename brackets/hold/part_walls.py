"""The flat walls of a part's plates, where they stand in the part, and which of them a point is on. mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec
from brackets.geometry.regions import Region
from brackets.hold.check import Array
from brackets.hold.held import vec
from brackets.model.fold_tree import tree
from brackets.model.holes import Point
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate, Wall


@dataclass(frozen=True, eq=False)
class PlacedWall:
    """A wall of a plate: `number` 0 is the base; its `place` in the part, z = 0 its lower face, `t` mm thick."""

    number: int
    wall: Wall
    place: Place
    t: float

    def flat(self, point: Array) -> Point:
        """x and y of a point of the part."""
        x, y, _ = self.place.local(vec(point))
        return (x, y)

    def middle(self, at: Point) -> Array:
        """The point of the part half way through the wall at x and y."""
        return np.array(self.place.point((*at, self.t / 2)))

    def distance(self, point: Array) -> float:
        """mm from the wall's metal to a point of the part, 0 on it; openings are not looked at."""
        x, y, z = self.place.local(vec(point))
        out = max(0.0, -self._filled.distance((x, y)))
        return float(np.hypot(out, max(0.0, -z, z - self.t)))

    @cached_property
    def _filled(self) -> Region:
        """The outline without its openings."""
        return Region(self.wall.outline)

    @cached_property
    def metal(self) -> Region:
        """The outline with its openings cut out."""
        return Region(self.wall.outline, tuple(opening.outline for opening in self.wall.openings))

    def components(self, vector: Array) -> tuple[Array, Array, Array]:
        """(cases,) each: of vectors (cases, 3) along the wall's x, y and z."""
        x, y, z = (np.asarray(vector @ np.array(way)) for way in (self.place.x, self.place.up, self.place.axis))
        return x, y, z


@lru_cache(maxsize=64)
def walls_of(piece: Piece) -> tuple[PlacedWall, ...]:
    """Every wall of a plate; none of another piece."""
    if isinstance(piece, Plate):
        return (PlacedWall(0, piece.wall, piece.place @ HERE, piece.t),)
    if isinstance(piece, Folded):
        return tuple(
            PlacedWall(node.number, node.wall, piece.place @ node.place, piece.t) for node in tree(piece).walls
        )
    return ()


def wall_at(piece: Piece, point: Array | Vec) -> PlacedWall:
    """The wall that a point is on, or the nearest; piece: plate or folded."""
    return nearest_wall(walls_of(piece), point)


def nearest_wall(walls: Sequence[PlacedWall], point: Array | Vec) -> PlacedWall:
    """The same of walls that are known."""
    return walls[0] if len(walls) == 1 else min(walls, key=lambda one: one.distance(np.asarray(point)))


def children(piece: Folded, number: int) -> Iterator[int]:
    """The numbers of a wall and of all that hang on it."""
    yield number
    for i, flange in enumerate(piece.flanges, 1):
        if flange.parent == number:
            yield from children(piece, i)
