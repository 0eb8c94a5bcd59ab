"""What is said of parts that stand in a scan by no more than it is true by."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.pairs import Pair
from brackets.bay.record import Bay
from brackets.bay.scan_contact import allowed_depths
from brackets.findings import PRACTICE, Finding


def scan_findings(bay: Bay, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """Advice for every part that stands in a scan by no more than is allowed: how deep, and by what."""
    allowed = allowed_depths(bay)
    for pair in pairs:
        limit = allowed.get(frozenset((pair.a, pair.b)))
        if pair.state == "contact" and limit is not None and pair.deep:
            yield Finding(
                level="advice",
                code="scan",
                piece=f"{pair.a} | {pair.b}",
                about=(pair.a, pair.b),
                value=pair.deep,
                limit=limit.mm,
                source=PRACTICE,
                sentence=(
                    f"stands {pair.deep:.2f} mm in it as scanned, {limit.mm:g} allowed ({limit.whence}): they are"
                    " declared to touch"
                ),
            )
