"""What a bay file says its parts should use of the rule of strength, against what came out.

Utilisation: found over allowed, the higher of both columns.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from brackets.bay.expected import NOTHING
from brackets.bay.schema.asked import EXPECTED_OF_HOLD, ExpectedRow
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import EXPECTED
from brackets.hold.held_part import HeldPart


def expected_to_hold(rows: Sequence[ExpectedRow], parts: Sequence[HeldPart]) -> Iterator[Finding]:
    """A caution for each row that did not come out as typed, or that names what is not there.

    rows: all of the bay file; parts: those that were judged. A row of a part that was not is passed over.
    """
    judged = {part.name: part for part in parts}
    for row in rows:
        (name, *_) = row.of
        if row.what not in EXPECTED_OF_HOLD or name not in judged:
            continue
        found = _most(row, judged[name])
        where = name if row.place is None else f"{name}: {row.place}"
        asked = f"{row.value:g} within {row.within:g}" + (f" ({row.how})" if row.how else "")
        if found is None:
            yield EXPECTED.finding(
                piece=where, about=(name,), limit=row.value, unit="",
                sentence=f"utilisation: {NOTHING}, or no check of it was made, expected {asked}",
            )  # fmt: skip
        elif not abs(found - row.value) <= row.within:
            yield EXPECTED.finding(
                piece=where, about=(name,), value=found, limit=row.value, unit="",
                sentence=f"utilisation: {found:.4g}, expected {asked}",
            )  # fmt: skip


def _most(row: ExpectedRow, part: HeldPart) -> float | None:
    """The most used of the checks that the row names; None where there is none."""
    checks = () if part.held is None else part.held.checks
    used = [
        one.check.worst for one in checks
        if (row.place is None or row.place == one.place)
        and (row.clause is None or row.clause in one.check.clause)
    ]  # fmt: skip
    return max((math.inf if math.isnan(one) else one for one in used), default=None)
