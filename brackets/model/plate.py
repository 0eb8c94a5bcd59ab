"""A flat piece of plate: an outline, openings, and edges cut to round tubes.

Its own frame: outline in x and y, lower face at z = 0, upper face at z = t.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Self

from brackets.core.vectors import Vec
from brackets.geometry.curve import Outline
from brackets.geometry.shapes import mirror_x, translate
from brackets.model.holes import Opening, flipped
from brackets.model.piece import Piece


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
