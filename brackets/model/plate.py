"""Pieces of plate: flat, and folded from one plate about bend lines.

Its own frame: outline in x and y, lower face at z = 0, upper face at z = t.

Every wall has its own frame: x along the bend line, y away from it, z = 0 the face that was down on the bench,
z = t the other. A bend turns the flange towards +z of its parent where the angle is positive, away where it is
negative. The flange's frame starts at the far tangent line of the bend.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal, Self

from brackets.core.vectors import Vec
from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region
from brackets.geometry.shapes import mirror_x, translate
from brackets.model.holes import Opening, Point, flipped
from brackets.model.piece import Piece
from brackets.model.weld import Along, Edge


@dataclass(frozen=True, kw_only=True)
class TubeSeat:
    """An edge cut to a round tube that lies across the plate: everything within `r` of the tube's axis goes.

    `at` and `axis` are in the wall's own frame (z = 0 its lower face); the axis must leave the plane, so that
    each slice through the thickness is cut by an ellipse. Where the tube would part the plate in two, the piece
    that holds `keep` stays.
    """

    at: Vec
    axis: Vec
    r: float
    keep: tuple[float, float]

    def mirrored(self) -> TubeSeat:
        at, axis = self.at, self.axis
        return replace(
            self,
            at=(-at[0] + 0.0, at[1], at[2]),
            axis=(-axis[0] + 0.0, axis[1], axis[2]),
            keep=flipped(self.keep),
        )

    def shifted(self, dx: float) -> TubeSeat:
        at, keep = self.at, self.keep
        return replace(self, at=(at[0] + dx, at[1], at[2]), keep=(keep[0] + dx, keep[1]))


@dataclass(frozen=True, kw_only=True)
class Wall:
    """A flat region of plate: what a plate is made of, and what each wall of a folded piece is.

    Raises TypeError where an opening is none: later nobody could say which line of a recipe it came from.
    """

    outline: Outline
    openings: tuple[Opening, ...] = ()
    seats: tuple[TubeSeat, ...] = ()

    def __post_init__(self) -> None:
        for opening in self.openings:
            if not isinstance(opening, Opening):
                raise TypeError(f"an opening is a {type(opening).__name__}, must be: a Hole, a Slot or a Window")

    @cached_property
    def metal(self) -> Region:
        """Its outline with the openings out of it; what a tube seat takes is not taken off."""
        return Region(self.outline, tuple(opening.outline for opening in self.openings))

    def mirrored(self) -> Wall:
        return Wall(
            outline=mirror_x(self.outline),
            openings=tuple(o.mirrored() for o in self.openings),
            seats=tuple(s.mirrored() for s in self.seats),
        )

    def shifted(self, dx: float) -> Wall:
        """The same wall, moved by `dx` mm along x."""
        return Wall(
            outline=translate(self.outline, dx, 0.0),
            openings=tuple(o.shifted(dx) for o in self.openings),
            seats=tuple(s.shifted(dx) for s in self.seats),
        )


@dataclass(frozen=True, kw_only=True)
class Plate(Piece):
    """A flat plate: one wall of thickness `t`, mm, lower face at z = 0 of its own frame."""

    wall: Wall
    t: float

    def _other_hand(self) -> Self:
        return replace(self, wall=self.wall.mirrored())

    def holes(self) -> Iterator[Opening]:
        return iter(self.wall.openings)


@dataclass(frozen=True, kw_only=True)
class Relief:
    """What is cut out beside the end of a bend so that the metal does not tear there, laid out on the flat.

    rect: `width` beside the bend, from the flange's tangent line `depth` mm into the parent; obround: the same
    with a round bottom; round: a hole of diameter `width` about the end of the parent's tangent line, `depth`
    mm into the parent.
    """

    kind: Literal["rect", "obround", "round"] = "obround"
    width: float
    depth: float = 0.0
    ends: Literal["both", "start", "end"] = "both"

    def mirrored(self) -> Relief:
        return replace(self, ends=_OTHER_END[self.ends])


_OTHER_END: dict[str, Literal["both", "start", "end"]] = {"both": "both", "start": "end", "end": "start"}


@dataclass(frozen=True, kw_only=True)
class Flange:
    """A wall that hangs on the line `start` to `end` of its parent's frame.

    `parent` is 0 for the base, n for the n-th flange. Away from the parent is to the LEFT of start to end. The
    line is where the parent's flat ends (near tangent line); the wall's frame has x from `start` to `end` and
    starts under `start`. `angle` is the bend angle in degrees (what the metal is turned by), up to 150 either
    way; `inside_radius` in mm. `k` is the K-factor of this bend where it is not the piece's, `k_note` says in
    words where it comes from (a coupon). Openings of a wall may reach over its bend lines: they are laid out on
    the flat and cut whatever they meet there.
    """

    parent: int = 0
    start: Point
    end: Point
    angle: float = 90.0
    inside_radius: float
    wall: Wall
    relief: Relief | None = None
    k: float | None = None
    k_note: str = ""

    @property
    def width(self) -> float:
        """Length of the bend line, mm."""
        return math.dist(self.start, self.end)

    def mirrored(self, parent_width: float = 0.0) -> Flange:
        """The other hand; `parent_width` is the width of the flange it hangs on, 0 where that is the base."""
        (ax, ay), (bx, by) = flipped(self.end), flipped(self.start)
        return replace(
            self,
            relief=None if self.relief is None else self.relief.mirrored(),
            start=(ax + parent_width, ay),
            end=(bx + parent_width, by),
            wall=self.wall.mirrored().shifted(self.width),
        )


@dataclass(frozen=True, kw_only=True)
class Folded(Piece):
    """A folded plate of thickness `t`; `k` is the fixed K-factor, or None for DIN 6935.

    `grain` is the rolling direction, degrees in the base's frame from x towards y, or None where nobody says.
    """

    base: Wall
    flanges: tuple[Flange, ...]
    t: float
    k: float | None = None
    grain: float | None = None

    def _other_hand(self) -> Self:
        return replace(
            self,
            base=self.base.mirrored(),
            flanges=tuple(
                flange.mirrored(self.flanges[flange.parent - 1].width if flange.parent else 0.0)
                for flange in self.flanges
            ),
            grain=None if self.grain is None else (180.0 - self.grain) % 180.0,
        )

    def mirrored_edge(self, edge: Edge) -> Edge:
        other = edge.mirrored()
        if isinstance(other, Along) and other.wall > 0:
            width = self.flanges[other.wall - 1].width
            ends = [(x + width, y) for x, y in (other.start, other.end)]
            return replace(other, start=ends[0], end=ends[1])
        return other

    def walls(self) -> Iterator[Wall]:
        yield self.base
        for flange in self.flanges:
            yield flange.wall

    def holes(self) -> Iterator[Opening]:
        for wall in self.walls():
            yield from wall.openings
