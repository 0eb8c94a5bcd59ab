"""Everything the rules say of a part: those of every shop, and those of one shop's tools.

stop: cannot be made with these tools; caution: breaks a named rule or is not in the drawer; advice: the trade's.
"""

from __future__ import annotations

from collections.abc import Iterator

from brackets.core.finding import Finding, worst_first
from brackets.core.kept import keeps
from brackets.forming.shop import Shop, with_coupons
from brackets.forming.shop_file import default
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.rules.bends import bend_findings
from brackets.rules.blanks import blank_findings
from brackets.rules.coating import coating_findings
from brackets.rules.holes import hole_findings
from brackets.rules.joints import ROOT_OPENING, joint_findings
from brackets.rules.stock import rack_findings
from brackets.rules.welds import weld_findings


@keeps("general findings")
def general_findings(
    part: Part, *, low_hydrogen: bool = False, fit_up: float = ROOT_OPENING
) -> tuple[Finding, ...]:
    """What the rules of every shop say of a part in closed form, worst first: holes, joints, welds.

    part: what is judged; low_hydrogen: whether its welding is, which decides the least leg of a weld; fit_up:
    widest gap that is welded, mm.
    Metal that two pieces share shows only in their solids: `write` finds it before a file is written.

    >>> tab = Plate(name="tab", t=6, wall=Wall(outline=rectangle(60, 60), openings=(bolt_hole((17, 0), "M12"),)))
    >>> [(found.code, found.value, found.limit) for found in general_findings(Part(name="tab", pieces=(tab,)))]
    [('edge', 13.0, 16.2)]
    >>> round(60 / 2 - 17, 1), round(1.2 * 13.5, 1)
    (13.0, 16.2)
    """
    found = [finding for piece in part.pieces for finding in hole_findings(piece)]
    welded = weld_findings(part, low_hydrogen=low_hydrogen)
    return worst_first([*joint_findings(part, fit_up=fit_up), *found, *welded])


@keeps("shop findings")
def shop_findings(part: Part, shop: Shop | None = None) -> tuple[Finding, ...]:
    """What a shop's tools and racks say of the pieces of a part, worst first.

    part: what is judged; shop: whose tools, the SAMPLE shop's where it is None.
    Raises InputError where a folded piece cannot be folded at all.

    >>> tab = Plate(name="tab", t=7, wall=Wall(outline=rectangle(60, 60)))
    >>> for finding in shop_findings(Part(name="tab", pieces=(tab,))):
    ...     print(finding.level, finding.sentence)
    caution S235 7 mm is not on the rack; nearest S235 there: 5, 6, 8 mm
    """
    return worst_first(finding for piece in part.pieces for finding in piece_findings(piece, shop))


def part_findings(part: Part, shop: Shop | None = None) -> tuple[Finding, ...]:
    """All that the rules say of a part, worst first: those of every shop, and those of one shop's tools.

    part: what is judged; shop: whose tools and welding, the SAMPLE shop's where it is None.
    Raises InputError where a folded piece cannot be folded at all.

    >>> holes = (bolt_hole((17, 0), "M12"),)
    >>> tab = Plate(name="tab", t=7, wall=Wall(outline=rectangle(60, 60), openings=holes))
    >>> [(finding.level, finding.code) for finding in part_findings(Part(name="tab", pieces=(tab,)))]
    [('stop', 'edge'), ('caution', 'web'), ('caution', 'rack')]
    """
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
    yield from coating_findings(piece, mine)
