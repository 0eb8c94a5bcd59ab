"""Everything the rules say of a part: those of every shop, and those of one shop's tools.

stop: cannot be made with these tools; caution: breaks a named rule or is not in the drawer; advice: the trade's.
"""

from __future__ import annotations

from collections.abc import Iterator

from brackets.core.finding import Finding, worst_first
from brackets.forming.bend_samples import with_coupons
from brackets.forming.shop import Shop
from brackets.forming.shop_file import default
from brackets.model.folded import Folded
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate
from brackets.rules.bends import bend_findings
from brackets.rules.blanks import blank_findings
from brackets.rules.holes import hole_findings
from brackets.rules.joints import ROOT_OPENING, joint_findings
from brackets.rules.stock import rack_findings
from brackets.rules.welds import weld_findings


def general_findings(
    part: Part, *, low_hydrogen: bool = False, fit_up: float = ROOT_OPENING
) -> tuple[Finding, ...]:
    """Everything the shop rules say of `part` in closed form, worst first; what its solids say is added where they
    are made (`brackets.kernel.shared`).

    `low_hydrogen`: how it is welded, which decides the least leg; `fit_up`: widest gap that is welded, mm.
    """
    found = [finding for piece in part.pieces for finding in hole_findings(piece)]
    welded = weld_findings(part, low_hydrogen=low_hydrogen)
    return worst_first([*joint_findings(part, fit_up=fit_up), *found, *welded])


def shop_findings(part: Part, shop: Shop | None = None) -> tuple[Finding, ...]:
    """Everything the shop says of the pieces of `part`, worst first; of the SAMPLE shop where none is given.

    Raises OutOfRange where a folded piece cannot be folded at all.
    """
    return worst_first(finding for piece in part.pieces for finding in piece_findings(piece, shop))


def part_findings(part: Part, shop: Shop | None = None) -> tuple[Finding, ...]:
    """What holds in every shop, as this one welds, and what it says itself; worst first. Raises as `findings`."""
    mine = default() if shop is None else shop
    welded = general_findings(part, low_hydrogen=mine.welding.low_hydrogen, fit_up=mine.tubing.fit_up)
    return worst_first([*welded, *shop_findings(part, mine)])


def piece_findings(piece: Piece, shop: Shop | None = None) -> Iterator[Finding]:
    """Everything the shop says of one piece, in no order."""
    mine = default() if shop is None else shop
    if isinstance(piece, Folded):
        piece = with_coupons(piece, mine)
        yield from bend_findings(piece, mine)
    if isinstance(piece, Folded | Plate):
        yield from blank_findings(piece, mine)
    yield from rack_findings(piece, mine)
