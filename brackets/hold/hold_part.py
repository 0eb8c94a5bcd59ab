"""Whether a part holds under its load cases: loads through its record to its supports, and a check at each place."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.core.errors import InputError
from brackets.hold.held import Held
from brackets.hold.part_cases import HoldSettings, PartCase
from brackets.model.part import Part


def hold_part(part: Part, cases: Sequence[PartCase], settings: HoldSettings | None = None) -> Held:
    """A part under its load cases: checks, what is refused, stiffness at its loaded seats, stress ranges.

    part: with its pieces, welds and seats; cases: one or more; settings: with what it is judged, the defaults where
    None. Raises InputError with everything that is wrong: no case, an unknown seat, two cases of a name.
    """
    raise InputError("hold_part = under way, must be worked out: load path of a part")
