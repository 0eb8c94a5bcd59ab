"""What a shop has, read from its profile, and what of a part it cannot make or had better not.

stop: cannot be made with these tools; caution: breaks a named rule or is not in the drawer; advice: the trade's.
"""

from __future__ import annotations

from collections.abc import Iterator

from brackets.findings import Finding, worst_first
from brackets.findings import findings as of_every_shop
from brackets.part import Part
from brackets.pieces import Folded, Piece, Plate
from brackets.shop.bends import bend_findings
from brackets.shop.blanks import blank_findings
from brackets.shop.coupons import with_coupons
from brackets.shop.rack import rack_findings
from brackets.shop.radius import least_radius
from brackets.shop.read import PAPERS, default, load, parse
from brackets.shop.reaming import as_made_in
from brackets.shop.record import NO_TOOLS, Brake, Coupon, Die, Former, Sheet, Shop, Stick, Tubing, Welding

__all__ = [
    "NO_TOOLS",
    "PAPERS",
    "Brake",
    "Coupon",
    "Die",
    "Former",
    "Sheet",
    "Shop",
    "Stick",
    "Tubing",
    "Welding",
    "as_made_in",
    "default",
    "findings",
    "least_radius",
    "load",
    "parse",
    "part_findings",
    "piece_findings",
    "with_coupons",
]


def findings(part: Part, shop: Shop | None = None) -> tuple[Finding, ...]:
    """Everything the shop says of the pieces of `part`, worst first; of the SAMPLE shop where none is given.

    Raises OutOfRange where a folded piece cannot be folded at all.
    """
    return worst_first(finding for piece in part.pieces for finding in piece_findings(piece, shop))


def part_findings(part: Part, shop: Shop | None = None) -> tuple[Finding, ...]:
    """What holds in every shop, as this one welds, and what it says itself; worst first. Raises as `findings`."""
    mine = default() if shop is None else shop
    welded = of_every_shop(part, low_hydrogen=mine.welding.low_hydrogen, fit_up=mine.tubing.fit_up)
    return worst_first([*welded, *findings(part, mine)])


def piece_findings(piece: Piece, shop: Shop | None = None) -> Iterator[Finding]:
    """Everything the shop says of one piece, in no order."""
    mine = default() if shop is None else shop
    if isinstance(piece, Folded):
        piece = with_coupons(piece, mine)
        yield from bend_findings(piece, mine)
    if isinstance(piece, Folded | Plate):
        yield from blank_findings(piece, mine)
    yield from rack_findings(piece, mine)
