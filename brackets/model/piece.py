"""What every piece has (name, place, material, stock), seats, and the custom piece.

A custom piece is made by a function of the user's own: it has a solid and a mass, and no flat pattern.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal, Self, assert_never

from brackets.core.place import HERE, Place
from brackets.model.holes import Opening
from brackets.model.weld import Edge

BOUGHT, THREADED_BAR = "bought nut ", "threaded bar "
"""What the stock of a piece begins with that is bought as it is, and that is cut from threaded bar."""


@dataclass(frozen=True, kw_only=True)
class Piece:
    """One thing that is cut and then welded or bolted in; `place` puts its own frame into the part's.

    `stock` says in words what it is cut from where the sizes do not (a bought washer, a bar); "bought nut M12" is
    no cut of anything and goes among what is to be bought.
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


SeatKind = Literal["face", "bush", "round", "boss", "bolt"]
"""face: flat against flat, z out of the material; bush: z the bush axis, origin the bush centre, or of a
bobbin z out of the flat that it stands on, origin on that; round: on a tube, origin on the tube's axis, z along
it, y from the tube towards the part; boss: on a threaded boss, origin on the mating face, z out of the material
(into the casting); bolt: of a bolt that holds the part on the chassis, origin on the mating face, z along the bolt
out of the material."""


def faces(kind: SeatKind) -> bool:
    """Whether what meets a seat looks at it, z opposed; else the two coincide."""
    match kind:
        case "face" | "boss" | "bolt":
            return True
        case "bush" | "round":
            return False
        case _:
            assert_never(kind)


@dataclass(frozen=True, kw_only=True)
class Seat:
    """A named place on a part; `d` is the diameter that matters there (bush, tube or hole), `bolt` its bolt."""

    name: str
    place: Place
    kind: SeatKind
    d: float | None = None
    bolt: str | None = None


Plain = float | int | str | bool


@dataclass(frozen=True, kw_only=True)
class CustomPiece(Piece):
    """A piece whose solid a function of the user's own makes; it has a mass and no flat pattern.

    function: a function at the top of a module, as "module:name", that returns a cadquery shape in the piece's
    frame; args: plain values it is called with; other_hand: its solid is mirrored once it is made.
    """

    function: str
    args: tuple[Plain, ...] = ()
    other_hand: bool = False

    def _other_hand(self) -> Self:
        return replace(self, other_hand=not self.other_hand)
