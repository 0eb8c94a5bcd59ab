"""The bore of a cup: which size it has before welding, and to which limits it is finished.

mm, on the diameter. A cup shrinks and goes out of round when it is welded, so it is left under size and bored,
reamed or honed out once it is cold: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

from brackets.findings import PRACTICE, Finding
from brackets.pieces import BushBore
from brackets.tables.fits import Limits, hole_limits

TOLERANCE = "H7"
"""What a housing for a pressed bush is bored to where nobody says: common practice, no source."""

STOCK = 0.5
"""mm left in a cup to finish it by after welding: common practice, no source."""


def bush_bore(
    size: float, *, own: float, limits: Limits | None = None, stock: float = STOCK, slip: bool = False
) -> BushBore:
    """How a bore of nominal `size` is made in a tube whose `own` bore is that; `stock` 0 is bored before welding.

    `limits` are those of TOLERANCE where none are given. A tube whose own bore leaves less than the stock is left
    as it is.
    """
    to = hole_limits(size, TOLERANCE) if limits is None else limits
    return BushBore(
        size=size,
        lower=to.lower,
        upper=to.upper,
        tolerance=to.named,
        source=to.source,
        now=min(size, max(own, round(size - stock, 6))),
        stock=stock,
        slip=slip,
    )


def bore_findings(bore: BushBore, piece: str) -> Iterator[Finding]:
    """What to mind of a bore: too little left in it, or bored before it is welded."""
    if not bore.after_welding:
        yield Finding(
            level="advice",
            code="bore first",
            piece=piece,
            source=PRACTICE,
            sentence="a cup bored before welding shrinks out of round: weld on a dummy bush, bore or ream after",
        )
    elif bore.left < bore.stock - 1e-6:
        yield Finding(
            level="advice",
            code="bore stock",
            piece=piece,
            value=bore.left,
            limit=bore.stock,
            source=PRACTICE,
            sentence=(
                f"the tube's own bore {bore.now:g} leaves {bore.left:g} of {bore.stock:g} mm to finish it by after "
                "welding: a thicker wall leaves more"
            ),
        )
