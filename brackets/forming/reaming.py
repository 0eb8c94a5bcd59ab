"""A shop's own stock for the reamer takes the place of the usual one."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from brackets.forming.bend_samples import with_coupons
from brackets.forming.shop import Shop
from brackets.model.folded import Folded
from brackets.model.holes import Hole, Opening
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate, Wall

P = TypeVar("P", bound=Piece)


def as_made_in(shop: Shop, part: Part) -> Part:
    """The part as this shop makes it: bends by its own bent strips, pivot holes under size by its own stock."""
    pieces = (with_coupons(piece, shop) if isinstance(piece, Folded) else piece for piece in part.pieces)
    return replace(part, pieces=tuple(with_ream_stock(piece, shop.ream_stock) for piece in pieces))


def with_ream_stock(piece: P, stock: float) -> P:
    """The piece with `stock` mm of diameter left in every pivot hole that does not say how much itself."""
    if isinstance(piece, Plate):
        return replace(piece, wall=_wall(piece.wall, stock))
    if isinstance(piece, Folded):
        flanges = tuple(replace(flange, wall=_wall(flange.wall, stock)) for flange in piece.flanges)
        return replace(piece, base=_wall(piece.base, stock), flanges=flanges)
    return piece


def _wall(wall: Wall, stock: float) -> Wall:
    return replace(wall, openings=tuple(_left(opening, stock) for opening in wall.openings))


def _left(opening: Opening, stock: float) -> Opening:
    if isinstance(opening, Hole) and opening.use.reamed and opening.ream is None:
        return replace(opening, ream=stock)
    return opening
