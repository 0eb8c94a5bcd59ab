"""The load cases of a bay: what its powertrain is pulled and turned by beside its weight. N, N mm, mm, bay axes."""

from __future__ import annotations

from brackets.bay.on_bushes import OnBushes
from brackets.bay.schema.record import Bay
from brackets.core.schema.reading import stated
from brackets.hang.drive import drive_reactions
from brackets.hang.load import LoadCase

WHY = "full torque of the engine, as typed"
GEARS = {"first": "first gear", "reverse": "reverse"}


def load_cases_of(bay: Bay, on: OnBushes) -> tuple[LoadCase, ...]:
    """Every load case of a bay; the weight alone is none of them, and is part of each.

    bay: as read; on: the same as the mechanics take it. First gear and reverse, each where its ratio is typed: a
    ratio by default is no figure.
    """
    return _gears(bay, on)


def _gears(bay: Bay, on: OnBushes) -> tuple[LoadCase, ...]:
    typed = stated(bay.powertrain)
    if on.drive is None or (bay.powertrain.layout == "transaxle" and "final" not in typed):
        return ()
    return tuple(
        LoadCase(
            name=GEARS[each.gear], loads=each.loads, why=f"{WHY}{', the tyres slip' if each.capped else ''}"
        )
        for each in drive_reactions(on.drive, grip=on.grip)
        if each.gear in typed
    )
