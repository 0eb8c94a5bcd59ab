"""What of a bay is made of card: its parts, its keep-outs as boxes and wraps, its bushes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from brackets.bay.hung.block import block_of
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.errors import InputError
from brackets.core.names import allowed
from brackets.core.units import shown
from brackets.core.vectors import length, sub
from brackets.drawing.record import Title
from brackets.forming.card_stock import Card
from brackets.mockups.card_part import CardMockUp, KeepOutShape, card, keep_outs_card, like_pieces, mock_up
from brackets.model.piece import Piece
from brackets.output import cut_files

BUSHES = ("bush", "sleeve")
"""What is bought for a mount that is made of card: bolts are put in as they are."""


def bay_cards(
    bay: Bay, of: Card, *, part: str | None, keep_outs: bool, bushes: bool
) -> tuple[CardMockUp, ...]:
    """The mock-ups of a bay: a part each, then its keep-outs and its bushes if asked for.

    Raises InputError for a part that is not there, BadFile where a part cannot be built.
    """
    names = [entry.row.name for entry in bay.parts]
    if part is not None and part not in names:
        raise InputError(f"--part = {shown(part)}, {allowed(part, names)}: a part of the bay")
    stood = placed_bay(bay, known_only=True)
    found = []
    for one in stood.parts:
        if part in (None, one.name):
            title = cut_files.title(
                one.name,
                one.params,
                bay.shop_of(one.name),
                worked_out=one.worked_out,
                unfilled=one.unfilled,
                hand=one.hand,
            )
            made = card(
                replace(one.part, name=one.name),
                thickness=of.t,
                crease=of.crease,
                sheet=of.sheet,
                title=title,
                findings=one.findings,
            )
            found.append(made)
    if keep_outs:
        shapes = [shape_of(keep_out) for keep_out in bay.keep_outs]
        found.append(keep_outs_card("keep-outs", shapes, of, Title(part=f"{bay.name}, keep-outs")))
    if bushes:
        found.append(_bushes(stood, of))
    return tuple(found)


def _bushes(stood: PlacedBay, of: Card) -> CardMockUp:
    def pieces() -> Iterator[tuple[str, Piece]]:
        for bought in stood.bought:
            if bought.what in BUSHES:
                for piece in bought.part.pieces:
                    yield bought.name if len(bought.part.pieces) == 1 else f"{bought.name} {piece.name}", piece

    return mock_up("bushes", of, Title(part=f"{stood.bay.name}, bushes"), like_pieces(pieces()), ())


def shape_of(keep_out: KeepOut) -> KeepOutShape:
    """A keep-out as card is to have it; corners sharp, a channel closed: the larger body."""
    block = block_of(keep_out)
    if block is not None:
        return KeepOutShape(name=keep_out.name, sizes=block.sizes, rail=block.is_rail)
    if keep_out.tube_from is not None and keep_out.tube_to is not None and keep_out.tube_od is not None:
        long = length(sub(keep_out.tube_to, keep_out.tube_from))
        return KeepOutShape(name=keep_out.name, od=keep_out.tube_od, length=long)
    return KeepOutShape(name=keep_out.name, reason="a mesh or a STEP file does not fold: cut it in stations")
