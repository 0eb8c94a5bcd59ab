"""What a bay file says should come out on the bushes, worked out by other means, against what did.

N, Hz, mm, degrees; axes of the bay.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from brackets.bay.expected import NOTHING
from brackets.bay.hang_driveline import driveline_moved, moved_place
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.hung.on_bushes import OnBushes
from brackets.bay.schema.asked import EXPECTED_OF_HANG, POWERTRAIN, ExpectedRow
from brackets.bay.schema.loads import WEIGHT
from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import EXPECTED
from brackets.core.vectors import Vec, unit
from brackets.hang.load import LoadCase
from brackets.hang.mount import Array, Mount
from brackets.hang.set_height import set_height
from brackets.hang.statics import NotHeldError, Reactions, reactions
from brackets.hang.vibration import modes

UNITS = {"up": "N", "force": "N", "mode": "Hz", "turns": "deg"}
"""Of all others mm, of a drive that of its figure."""
CENTRE = "centre of mass"
"""What moves, by this name, where no mount or end is meant."""


def expected_on_bushes(bay: Bay, on: OnBushes, cases: Sequence[LoadCase]) -> Iterator[Finding]:
    """A caution for each row that did not come out as typed, or that names what is not there.

    on: of the bay; cases: of the bay. What is left out for a row (`without`) carries nothing from the start.
    """
    for row in bay.expected:
        if row.what not in EXPECTED_OF_HANG:
            continue
        found, unit_ = _Asked(bay, on, cases, row).found()
        asked = f"{row.value:g} {unit_} within {row.within:g}" + (f" ({row.how})" if row.how else "")
        what = _what(row)
        if isinstance(found, str):
            yield EXPECTED.finding(
                piece=" | ".join(row.of), limit=row.value, sentence=f"{what}: {found}, expected {asked}",
                unit=unit_,
            )  # fmt: skip
        elif abs(found - row.value) > row.within:
            yield EXPECTED.finding(
                piece=" | ".join(row.of), value=found, limit=row.value, unit=unit_,
                sentence=f"{what}: {found:.6g} {unit_}, expected {asked}",
            )  # fmt: skip


def _what(row: ExpectedRow) -> str:
    if row.what == "mode":
        told = f"mode {row.of[0]}"
    else:
        along = "" if row.along is None else f" along ({', '.join(f'{part:g}' for part in row.along)})"
        told = f"{row.what}{along}" + ("" if row.what == "weld" else f" in case {row.case}")
    return told if row.without is None else f"{told}, without {row.without}"


@dataclass(frozen=True)
class _Asked:
    """One row of one bay."""

    bay: Bay
    on: OnBushes
    cases: Sequence[LoadCase]
    row: ExpectedRow

    @cached_property
    def mounts(self) -> tuple[Mount, ...]:
        return tuple(mount for mount in self.on.mounts if mount.name != self.row.without)

    def found(self) -> tuple[float | str, str]:
        """The figure, or in words why there is none; and its unit."""
        row, unit_ = self.row, UNITS.get(self.row.what, "mm")
        if row.without is not None and row.without not in [mount.name for mount in self.on.mounts]:
            return NOTHING, unit_
        mass = self.on.mass
        if row.what == "mode":
            hz = modes(mass.kg, mass.inertia, self.mounts, centre=mass.centroid).hz
            return float(hz[int(row.of[0]) - 1]), unit_
        if row.case not in (WEIGHT, *(case.name for case in self.cases)):
            return NOTHING, unit_
        try:
            if row.what == "drive":
                return self._drive()
            return self._weld() if row.what == "weld" else self._in_case(), unit_
        except NotHeldError:
            return "nothing holds the powertrain", unit_

    def _in_case(self) -> float | str:
        row = self.row
        found = self._reactions()
        if row.what == "turns":
            turned = np.degrees(found.moved[3:])
            return _size(turned, row.along) if row.of == (POWERTRAIN,) else NOTHING
        if row.what == "moves":
            at = self._point()
            if at is None:
                return NOTHING
            arm = np.subtract(at, found.centre)
            return _size(found.moved[:3] + np.cross(found.moved[3:], arm), row.along)
        there = [mount.name for mount in found.mounts]
        if row.of[0] not in there:
            return NOTHING
        force = found.forces[there.index(row.of[0])]
        return float(force[2]) if row.what == "up" else float(np.linalg.norm(force))

    def _reactions(self) -> Reactions:
        case = next((each for each in self.cases if each.name == self.row.case), None)
        loads, felt = ((), (0.0, 0.0, 0.0)) if case is None else (case.loads, case.felt)
        mass = self.on.mass
        return reactions(mass.kg, mass.centroid, self.mounts, loads, stops=self.on.stops, felt=felt)

    def _weld(self) -> float | str:
        mass = self.on.mass
        height = set_height(mass.kg, mass.centroid, self.mounts, stops=self.on.stops)
        welds = (one.weld for one in height.mounts if one.mount == self.row.of[0])
        return next((_size(np.array(weld), self.row.along) for weld in welds), NOTHING)

    def _point(self) -> Vec | None:
        """Of the powertrain where it stands; None where nothing is called that."""
        (name,), bay = self.row.of, self.bay
        place = place_of(bay.powertrain)
        if self.row.at is not None:
            return place.point(self.row.at)
        mounts = [row.at for row in bay.mounts if row.name == name]
        ends = [
            *(row.powertrain for row in bay.slacks if row.name == name),
            *(row.powertrain_at for row in bay.shafts if row.name == name),
            *(row.powertrain_at for row in bay.chains if row.name == name),
            *(row.at for row in bay.props if row.name == name),
        ]
        found = [*mounts, *(place.point(end) for end in ends)]
        if name == CENTRE:
            x, y, z = map(float, self.on.mass.centroid)
            found.append((x, y, z))
        return found[0] if found else None

    def _drive(self) -> tuple[float | str, str]:
        name, what = self.row.of
        for one in driveline_moved(self.bay, [moved_place(self._reactions())]):
            if (one.drive, one.of.what) == (name, what):
                return one.cases[0], one.of.unit
        return NOTHING, "mm"


def _size(of: Array, along: Vec | None) -> float:
    """How much of it lies along a direction; without one its size."""
    return float(np.linalg.norm(of)) if along is None else float(of @ np.array(unit(along)))
