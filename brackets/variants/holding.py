"""With what the strength of the rows of a family is judged. N, N mm, mm, MPa.

Of a part of a bay all of it is in the bay's own file; of a recipe alone it is typed with the family.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from brackets.core.errors import InputError

if TYPE_CHECKING:
    from brackets.hold.part_cases import PartCase
    from brackets.hold.typed import HoldRow

Depth = Literal["row", "rules", "strength", "all"]
"""How far a row is worked out: row, as the rows of a family are; rules, mass and rules alone; strength, these and
the checks by hand; all, with solids and gaps too."""

ASKED = {
    "cases": "load cases = none, must be typed, each characteristic or factored: without them nothing is claimed",
    "stress_range": "stress_range = not typed, must be the largest stress range at any weld, MPa: without it the"
    " lightest is the first to crack",
    "least_stiffness": "least_stiffness = not typed, must be times the bush's: without it the lightest is the"
    " softest",
    "bush": "bush_stiffness = not typed, must be N/mm of the bush at the loaded seats: for the least stiffness",
}
"""What the lightest that holds is refused without."""


@dataclass(frozen=True, kw_only=True)
class Holding:
    """Load cases of a recipe's part, with what it is judged, and the user's own limits.

    typed: the table [hold]; cases: as `hold_part` takes them, none of a part of a bay, whose file has them; in_bay:
    whether that types any; bush: N/mm of the bush at every seat that is loaded, of a recipe alone.
    """

    typed: HoldRow
    cases: tuple[PartCase, ...] = ()
    bush: float | None = None
    in_bay: bool = False

    @property
    def judges(self) -> bool:
        """Whether there is a load case: without one nothing is said of strength."""
        return self.in_bay or bool(self.cases)

    @property
    def missing(self) -> Iterator[str]:
        """What must be typed before a lightest that holds is looked for."""
        there = {
            "cases": self.judges,
            "stress_range": self.typed.stress_range is not None,
            "least_stiffness": self.typed.least_stiffness is not None,
            "bush": self.in_bay or self.bush is not None,
        }
        return (said for name, said in ASKED.items() if not there[name])


def refuse_unasked(holding: Holding | None) -> None:
    """Raises InputError with everything that must be typed before a lightest that holds is looked for."""
    lines = tuple(list(ASKED.values())[:3]) if holding is None else tuple(holding.missing)
    if lines:
        raise InputError(*lines)
