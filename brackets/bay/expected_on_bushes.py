"""What a bay file says should come out on the bushes, worked out by other means, against what did.

N and Hz; axes of the bay.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from brackets.bay.expected import NOTHING
from brackets.bay.hung.on_bushes import OnBushes
from brackets.bay.schema.asked import EXPECTED_OF_HANG, ExpectedRow
from brackets.bay.schema.loads import WEIGHT
from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import EXPECTED
from brackets.hang.load import LoadCase
from brackets.hang.mount import Mount
from brackets.hang.statics import NotHeldError, reactions
from brackets.hang.vibration import modes


def expected_on_bushes(bay: Bay, on: OnBushes, cases: Sequence[LoadCase]) -> Iterator[Finding]:
    """A caution for each row that did not come out as typed, or that names what is not there.

    on: of the bay; cases: of the bay. What is left out for a row (`without`) carries nothing from the start.
    """
    for row in bay.expected:
        if row.what not in EXPECTED_OF_HANG:
            continue
        found = _found(row, on, cases)
        unit = "Hz" if row.what == "mode" else "N"
        asked = f"{row.value:g} {unit} within {row.within:g}" + (f" ({row.how})" if row.how else "")
        what = _what(row)
        if isinstance(found, str):
            yield EXPECTED.finding(
                piece=" | ".join(row.of), limit=row.value, sentence=f"{what}: {found}, expected {asked}",
                unit=unit,
            )  # fmt: skip
        elif abs(found - row.value) > row.within:
            yield EXPECTED.finding(
                piece=" | ".join(row.of), value=found, limit=row.value, unit=unit,
                sentence=f"{what}: {found:.6g} {unit}, expected {asked}",
            )  # fmt: skip


def _what(row: ExpectedRow) -> str:
    told = f"mode {row.of[0]}" if row.what == "mode" else f"{row.what} in case {row.case}"
    return told if row.without is None else f"{told}, without {row.without}"


def _found(row: ExpectedRow, on: OnBushes, cases: Sequence[LoadCase]) -> float | str:
    """The figure; in words, why there is none."""
    mounts: tuple[Mount, ...] = on.mounts
    names = [mount.name for mount in mounts]
    if row.without is not None:
        if row.without not in names:
            return NOTHING
        mounts = tuple(mount for mount in mounts if mount.name != row.without)
    mass, centre = on.mass.kg, on.mass.centroid
    if row.what == "mode":
        return float(modes(mass, on.mass.inertia, mounts, centre=centre).hz[int(row.of[0]) - 1])
    case = next((each for each in cases if each.name == row.case), None)
    (name,) = row.of
    there = [mount.name for mount in mounts]
    if name not in there or (case is None and row.case != WEIGHT):
        return NOTHING
    loads, felt = ((), (0.0, 0.0, 0.0)) if case is None else (case.loads, case.felt)
    try:
        found = reactions(mass, centre, mounts, loads, stops=on.stops, felt=felt)
    except NotHeldError:
        return "nothing holds the powertrain"
    force = found.forces[there.index(name)]
    return float(force[2]) if row.what == "up" else float(np.linalg.norm(force))
