"""The card that a mock-up is made of: its thickness, what a fold does to a leg, its sheets; as it is typed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.core.errors import OutOfRange
from brackets.core.schema.bounds import at_most
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import mm, section

LEAST, MOST = 0.1, 12.0
"""mm: the thinnest and the thickest card."""

@dataclass(frozen=True, kw_only=True)
class Card:
    """What is folded: `t` thick; `crease` is how far a fold of 90 degrees carries a leg out, mm.

    The crease is the depth of the hinge under the outside face: 0 where the card is cut from the inside and hinges
    on its outer skin, `t` where it is cut from the outside down to the inner skin, half of `t` where it is scored
    and crushed (common practice, no source; the test fold tells). `sheet`: length and width there is, None where
    nobody says. Raises OutOfRange for one that is no card.
    """

    t: float = 1.0
    crease: float = 0.5
    sheet: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        problems = []
        if not LEAST <= self.t <= MOST:
            problems.append(f"thickness = {self.t:g} mm, must be {LEAST:g} to {MOST:g} mm: of the card")
        elif not 0 <= self.crease <= self.t:
            allowed = f"must be 0 to {self.t:g} mm"
            problems.append(f"crease = {self.crease:g} mm, {allowed}: what a fold of 90 degrees adds to a leg")
        if problems:
            raise OutOfRange(*problems)

    @classmethod
    def of(cls, t: float, crease: float | None = None, sheet: tuple[float, float] | None = None) -> Card:
        """Card of that thickness, scored half through where nobody measured a test fold."""
        return cls(t=t, crease=t / 2 if crease is None else crease, sheet=sheet)


@dataclass(frozen=True, kw_only=True)
class CardRow(Checked):
    thickness: Annotated[float, mm(LEAST, MOST, "thickness of the card")] = 1.0
    crease: Annotated[float | None, mm(0, MOST, "what a fold of 90 degrees adds to a leg outside")] = None
    sheet: Annotated[tuple[float, float] | None, section(100, 5000, "length and width of a sheet of card")] = None

    def rules(self) -> Iterator[str]:
        if self.crease is not None and self.crease > self.thickness:
            yield at_most("crease", self.crease, self.thickness, "thickness of the card")
