"""What every piece has: a name, a place in its part, a material, and what it is cut from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Self

from brackets.pieces.holes import Opening
from brackets.pieces.place import HERE, Place
from brackets.pieces.weld import Edge


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One thing that is cut and then welded or bolted in; `place` puts its own frame into the part's.

    `stock` says in words what it is cut from where the sizes do not (a bought washer, a bar).
    """

    name: str
    place: Place = HERE
    material: str = "S235"
    stock: str = ""

    def placed(self, place: Place) -> Self:
        """The same piece with its part set at `place`."""
        return replace(self, place=place @ self.place)

    def renamed(self, name: str) -> Self:
        return replace(self, name=name)

    def mirrored(self) -> Self:
        """The other hand, mirrored in the part's plane x = 0: a new piece, never a mirrored placement."""
        return replace(self._other_hand(), place=self.place.mirrored())

    def _other_hand(self) -> Self:
        return self

    def mirrored_edge(self, edge: Edge) -> Edge:
        """Where `edge` of this piece lies on the other hand."""
        return edge.mirrored()

    def holes(self) -> Iterator[Opening]:
        """Every opening of the piece; walls of a folded piece one after the other."""
        return iter(())
