"""How hot the places of a bay's bushes become, as typed, against what the bushes' rows allow. Degrees C."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding
from brackets.core.rulebook.hang import MOUNT_HEAT

UNIT = "deg C"
RUBBER = "natural rubber takes some 70 deg C for long, 100 at the most"
POLY = "poly takes some 70 to 80 deg C for long"
TYPICAL = {
    "bonded rubber": RUBBER,
    "rubber, three pieces": RUBBER,
    "rubber bobbin": RUBBER,
    "poly, two halves": POLY,
    "poly, three pieces": POLY,
    "poly bobbin": POLY,
}
"""By the kind of a bush, for advice only: nothing is judged by it. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class MountHeat:
    """A mount whose place has its heat typed.

    place: hottest that it becomes there; allowed: hottest that the bush may become by its row, None where the row
    does not say; degrees C. kind: of the bush.
    """

    mount: str
    bush: str
    kind: str
    place: float
    allowed: float | None

    @property
    def spare(self) -> float | None:
        """Degrees that the place stays below what is allowed; None where that is not known."""
        return None if self.allowed is None else self.allowed - self.place


def heat_at_mounts(bay: Bay) -> tuple[MountHeat, ...]:
    """Every mount of which the file says how hot its place becomes, in its order."""
    made = []
    for row in bay.mounts:
        if row.heat is not None:
            bush = bay.bush_of(row)
            made.append(
                MountHeat(mount=row.name, bush=row.bush, kind=bush.kind, place=row.heat, allowed=bush.heat)
            )
    return tuple(made)


def heat_findings(found: Iterable[MountHeat]) -> Iterator[Finding]:
    """A stop where a place becomes hotter than the row allows; advice where the row says nothing: Findings."""
    for one in found:
        here = f"its place becomes {one.place:g} {UNIT}, as typed"
        if one.allowed is None:
            typical = f": {TYPICAL[one.kind]}" if one.kind in TYPICAL else ""
            sentence = f"{here}; bush {one.bush} does not say what it may become, not judged{typical}"
            yield MOUNT_HEAT.finding(level="advice", piece=one.mount, sentence=sentence, about=(one.mount,))
        elif MOUNT_HEAT.over(one.place, one.allowed):
            sentence = f"{here}; the row of bush {one.bush} allows {one.allowed:g}: shield it, or move it"
            yield MOUNT_HEAT.finding(
                level="stop", piece=one.mount, value=one.place, limit=one.allowed, sentence=sentence,
                about=(one.mount,),
            )  # fmt: skip
