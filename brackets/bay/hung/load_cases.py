"""The load cases of a bay: what its powertrain is pulled and turned by beside its weight. N, N mm, mm, bay axes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from brackets.bay.hung.drive import NM, gears_of
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.hung.on_bushes import OnBushes
from brackets.bay.schema.loads import LoadCaseEntry
from brackets.bay.schema.record import Bay
from brackets.core.errors import InputError, joined
from brackets.core.vectors import Vec
from brackets.hang.drive import DriveReaction, drive_reactions
from brackets.hang.load import Load, LoadCase, road_cases

WHY = "full torque of the engine, as typed"
GEARS = {"first": "first gear", "reverse": "reverse"}
SLIPS = ", the tyres slip"


def load_cases_of(bay: Bay, on: OnBushes) -> tuple[LoadCase, ...]:
    """Every load case of a bay; the weight alone is none of them, and is part of each.

    bay: as read; on: the same as the mechanics take it. First gear and reverse, each where its ratio is typed (a
    ratio by default is no figure), the cases of the road where they are asked for, then the bay's own; one of these
    that has the name of another takes its place. Raises InputError with everything that is wrong.
    """
    own, wrong = [], []
    for entry in bay.load_cases:
        try:
            own.append(_own(entry, bay, on))
        except InputError as error:
            wrong.append(error)
    if wrong:
        raise joined(wrong)
    names = {case.name for case in own}
    given = (*_gears(bay, on), *(road_cases() if bay.powertrain.road_cases else ()))
    return (*(case for case in given if case.name not in names), *own)


def _gears(bay: Bay, on: OnBushes) -> Iterator[LoadCase]:
    typed = gears_of(bay)
    for each in _reactions(on, 1.0):
        if each.gear in typed:
            yield LoadCase(name=GEARS[each.gear], loads=each.loads, why=f"{WHY}{SLIPS if each.capped else ''}")


def _reactions(on: OnBushes, part: float) -> tuple[DriveReaction, ...]:
    """Of both gears at a part of the full torque, capped by what the tyres take where that is typed."""
    if on.drive is None:
        return ()
    return drive_reactions(replace(on.drive, torque=part * on.drive.torque), grip=on.grip)


def _own(entry: LoadCaseEntry, bay: Bay, on: OnBushes) -> LoadCase:
    row, place = entry.row, place_of(bay.powertrain)
    loads: list[Load] = []
    why = row.why
    if row.gear is not None:
        if row.gear not in gears_of(bay):
            raise InputError(
                f"load_case {row.name}: gear = {row.gear}, must be one that [powertrain] says: torque, {row.gear}"
                " and what its output needs"
            )
        (found,) = (each for each in _reactions(on, row.part) if each.gear == row.gear)
        loads += found.loads
        why += SLIPS if found.capped else ""
    for i, force in enumerate(entry.forces, 1):
        couple = (force.couple[0] * NM, force.couple[1] * NM, force.couple[2] * NM)
        loads.append(Load(name=f"force {i}", force=_vec(force.force), at=place.point(force.at), couple=couple))
    x, y, z = row.felt
    return LoadCase(
        name=row.name, loads=tuple(loads), felt=(x, y, z if row.weight else z + 1.0), why=why,
        counts="factored" if row.counts == "factored" else "characteristic",
    )  # fmt: skip


def _vec(values: tuple[float, ...]) -> Vec:
    x, y, z = values
    return x, y, z
