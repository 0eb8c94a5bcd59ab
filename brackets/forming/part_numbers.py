"""The numbers of a part's pieces and welds, one for all its papers: piece list, balloons, weld table, weld symbols.

Pieces that are equal share a number; they are numbered from 1 in the order of the part. Every weld has its own,
from 1 in the order of the part's welds, as `welds` in facts.json has them; on its piece's sheet it is W1 and on.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace
from typing import Any

from brackets.core.place import HERE
from brackets.core.vectors import scale, sub, unit
from brackets.forming.cut_list import CutItem, cut_item
from brackets.model.kinds import kind_of
from brackets.model.part import Part
from brackets.model.piece import BOUGHT, Piece
from brackets.model.plate import Plate, TubeSeat
from brackets.model.weld import Weld

ALIKE = 6
"""Decimals of a mm to which two pieces are compared: finer than any tool, coarser than rounding."""


@dataclass(frozen=True, kw_only=True)
class ListedPiece:
    """One line of the piece list: pieces `names` that are equal, as the cut list has them (`item`)."""

    number: int
    names: tuple[str, ...]
    item: CutItem

    @property
    def section(self) -> str:
        """What it is cut from: "plate 6", "tube 38 x 3", or what is bought."""
        bought = self.item.kind == "other" or self.item.section.startswith(BOUGHT)
        return self.item.section if bought else f"{self.item.kind} {self.item.section}"

    @property
    def kg(self) -> float:
        """Of all of them."""
        return self.item.kg * len(self.names)


def piece_list(part: Part) -> tuple[ListedPiece, ...]:
    """Every piece of a part, equal ones together; what is bought too."""
    found: dict[Any, list[Piece]] = {}
    for piece in part.pieces:
        shape = (kind_of(piece), _rounded(astuple(replace(_plain(piece), name="", place=HERE))))
        found.setdefault(shape, []).append(piece)
    return tuple(
        ListedPiece(number=number, names=tuple(piece.name for piece in like), item=cut_item(part.name, like[0]))
        for number, like in enumerate(found.values(), 1)
    )


def _plain(piece: Piece) -> Piece:
    """The piece with every tube it is cut to told from where its axis passes the lower face, upwards: then ears on
    either side of a rail are one piece."""
    if not isinstance(piece, Plate) or not piece.wall.seats:
        return piece
    return replace(piece, wall=replace(piece.wall, seats=tuple(map(_from_below, piece.wall.seats))))


def _from_below(seat: TubeSeat) -> TubeSeat:
    axis = unit(seat.axis if seat.axis[2] > 0 else scale(seat.axis, -1.0))
    return replace(seat, at=sub(seat.at, scale(axis, seat.at[2] / axis[2])), axis=axis)


def piece_numbers(part: Part) -> dict[str, int]:
    """The number of each piece, by its name."""
    return {name: listed.number for listed in piece_list(part) for name in listed.names}


@dataclass(frozen=True)
class NumberedWeld:
    """A weld of a part: its `number` in the part, and what the sheet of its own piece calls it."""

    number: int
    on_sheet: str
    weld: Weld


def numbered_welds(welds: Sequence[Weld]) -> tuple[NumberedWeld, ...]:
    """The welds of a part in their order, each with its number."""
    counted: Counter[str] = Counter()
    found = []
    for number, weld in enumerate(welds, 1):
        counted[weld.piece] += 1
        found.append(NumberedWeld(number, f"{weld.piece} W{counted[weld.piece]}", weld))
    return tuple(found)


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, ALIKE) + 0.0
    return tuple(_rounded(inner) for inner in value) if isinstance(value, tuple) else value
