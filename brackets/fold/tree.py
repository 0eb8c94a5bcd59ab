"""Where every wall and bend of a folded piece stands: folded up, and laid out flat.

A wall's frame: x along its bend line, y away from it, z = 0 the face that was down on the bench. The flat is the
frame of the base; places on it have z up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from brackets.errors import OutOfRange
from brackets.fold.allowance import bend_allowance
from brackets.fold.checks import line_problems, value_problems
from brackets.fold.lines import line_place
from brackets.outline import Point
from brackets.pieces import HERE, Folded, Place, Wall

REMEMBERED = 1024
"""Trees kept: a family has some hundreds of folded pieces."""


@dataclass(frozen=True)
class Node:
    """A wall: `place` of its frame in the piece, `flat` of its frame on the flat; `number` 0 is the base."""

    number: int
    wall: Wall
    place: Place
    flat: Place


@dataclass(frozen=True)
class Bend:
    """The bend to wall `number`: a strip `width` by `allowance` between its tangent lines.

    Its frame: x along the parent's tangent line, y away from the parent, z the parent's; `place` in the piece,
    `flat` on the flat. `k_note` says where `k` comes from.
    """

    number: int
    parent: int
    width: float
    angle: float
    inside_radius: float
    t: float
    k: float
    k_note: str
    allowance: float
    place: Place
    flat: Place

    @property
    def rate(self) -> float:
        """mm on the flat for each radian of bend: the radius of the unstretched layer."""
        return self.inside_radius + self.k * self.t

    @property
    def centre(self) -> float:
        """z of the bend's axis in its own frame, mm."""
        return self.t + self.inside_radius if self.angle > 0 else -self.inside_radius

    @property
    def line(self) -> tuple[Point, Point]:
        """Middle of the strip on the flat, where the punch comes down, mm."""
        return self.on_flat((0.0, self.allowance / 2)), self.on_flat((self.width, self.allowance / 2))

    def on_flat(self, p: Point) -> Point:
        """`p` of the strip on the flat."""
        x, y, _ = self.flat.point((p[0], p[1], 0.0))
        return (x, y)

    def beyond(self) -> Place:
        """The frame of the wall that hangs on it, in the bend's frame."""
        turn = math.radians(self.angle)
        far = self.inside_radius + (self.t if self.angle > 0 else 0.0)
        return Place(
            (0.0, far * abs(math.sin(turn)), math.copysign(far, self.angle) * (1 - math.cos(turn))),
            (0.0, -math.sin(turn), math.cos(turn)),
            (0.0, math.cos(turn), math.sin(turn)),
        )


@dataclass(frozen=True)
class Tree:
    """Walls by number, and bends by number less one."""

    walls: tuple[Node, ...]
    bends: tuple[Bend, ...]
    t: float

    def children(self, number: int) -> Iterator[Bend]:
        """Bends that start on wall `number`."""
        return (bend for bend in self.bends if bend.parent == number)


def tree(piece: Folded) -> Tree:
    """Walls and bends of `piece`, in the piece's own frame and on the flat.

    Raises OutOfRange with everything that is wrong: an angle past 150 degrees, a bend line that is not on the
    edge of its parent, a flange whose outline does not start on its bend line, two bends on one stretch of edge.
    """
    return _tree(replace(piece, name="", place=HERE, material="", stock=""))


@lru_cache(maxsize=REMEMBERED)
def _tree(piece: Folded) -> Tree:
    problems = list(value_problems(piece))
    if problems:
        raise OutOfRange(*problems)
    nodes = [Node(0, piece.base, HERE, HERE)]
    bends: list[Bend] = []
    for i, flange in enumerate(piece.flanges, 1):
        parent = nodes[flange.parent]
        at = line_place(flange.start, flange.end)
        fixed = piece.k if flange.k is None else flange.k
        allowance = bend_allowance(flange.angle, flange.inside_radius, piece.t, fixed)
        k = (allowance / math.radians(abs(flange.angle)) - flange.inside_radius) / piece.t
        bend = Bend(
            number=i,
            parent=flange.parent,
            width=math.dist(flange.start, flange.end),
            angle=flange.angle,
            inside_radius=flange.inside_radius,
            t=piece.t,
            k=k if fixed is None else fixed,
            k_note=flange.k_note or ("DIN 6935" if fixed is None else "K given"),
            allowance=allowance,
            place=parent.place @ at,
            flat=parent.flat @ at,
        )
        bends.append(bend)
        over = Place((0.0, allowance, 0.0))
        nodes.append(Node(i, flange.wall, bend.place @ bend.beyond(), bend.flat @ over))
    problems = list(line_problems(piece, bends))
    if problems:
        raise OutOfRange(*problems)
    return Tree(tuple(nodes), tuple(bends), piece.t)
