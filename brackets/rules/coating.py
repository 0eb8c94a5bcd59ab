"""What paint, powder or zinc takes off bores, bolt holes and threads: twice its thickness, on the diameter. mm."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.core.finding import Finding
from brackets.core.rulebook.parts import COATED_BORE, COATED_HOLE, COATED_THREAD
from brackets.core.tables.bolt_rows import bolt
from brackets.forming.shop import Shop
from brackets.model.holes import Hole, Slot
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Turned
from brackets.rules.holes import label

ROUNDING = 1e-6


def coating_findings(piece: Piece, shop: Shop) -> Iterator[Finding]:
    """What the shop's coating does to the bores and holes of `piece`; nothing where the shop names none."""
    if not shop.in_holes:
        return
    if isinstance(piece, Turned):
        yield from _bore(piece, shop)
    if isinstance(piece, Plate | Folded):
        for opening in piece.holes():
            lined = isinstance(opening, Hole) and opening.use.lined
            if isinstance(opening, Hole | Slot) and opening.bolt is not None and not lined:
                yield from _hole(piece, opening, opening.bolt, shop)


def _bore(piece: Turned, shop: Shop) -> Iterator[Finding]:
    laid = 2 * shop.in_holes
    if piece.bush is not None:
        least, largest = piece.bush.allowed
        yield COATED_BORE.finding(
            piece=piece.name,
            value=round(least - laid, 6),
            limit=least,
            source_words=shop.coating_by or shop.source,
            sentence=(
                f"{shop.in_holes:g} mm of coating in the bore for the bush leaves {least - laid:.3f} to"
                f" {largest - laid:.3f}: mask it, or bore it out after coating and before the bush goes in"
            ),
        )
    if piece.thread is not None:
        yield _thread(piece.name, f"thread {piece.thread}", shop)


def _hole(piece: Plate | Folded, opening: Hole | Slot, size: str, shop: Shop) -> Iterator[Finding]:
    if isinstance(opening, Hole) and opening.use.threaded:
        yield _thread(piece.name, f"thread {size} ({label(opening)})", shop)
        return
    left, d = opening.d - 2 * shop.in_holes, bolt(size).d
    if COATED_HOLE.under(left, d, slack=ROUNDING):
        ream = "ream" if isinstance(opening, Hole) and opening.use.reamed else "drill"
        yield COATED_HOLE.finding(
            piece=piece.name,
            value=round(left, 6),
            limit=d,
            source_words=shop.coating_by or shop.source,
            sentence=(
                f"{label(opening)}: {opening.d:g} mm less twice {shop.in_holes:g} of coating leaves {left:.2f} for"
                f" {size}: mask it, or {ream} it out after coating"
            ),
        )


def _thread(name: str, what: str, shop: Shop) -> Finding:
    return COATED_THREAD.finding(
        piece=name,
        value=shop.in_holes,
        limit=0.0,
        source_words=shop.coating_by or shop.source,
        sentence=f"{what} gets {shop.in_holes:g} mm of coating: plug it before, or run a tap through after",
    )
