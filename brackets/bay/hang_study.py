"""What `brackets hang` says of a bay besides what its mounts carry: where to weld them, how far it moves and within
what scatter, what its driveline becomes, what comes through at idle, and what changes the worst figure most.

mm, degrees, N, Hz; axes of the bay.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from brackets.bay.hang_driveline import DrivelineFigure, driveline_under
from brackets.bay.hanging import Hanging
from brackets.bay.hung.mount_frames import place_of
from brackets.core.schema.reading import stated
from brackets.core.vectors import Vec, unit
from brackets.hang.findings import isolation_limit
from brackets.hang.mount import Array
from brackets.hang.response import LOSS, transmitted
from brackets.hang.scatter import reaction_range
from brackets.hang.sensitivity import Figure, Slope, case_slopes, mode_slopes, worst_figures
from brackets.hang.set_height import SetHeight, set_height
from brackets.hang.statics import NotHeldError

NM = 1000.0
"""N mm in one Nm."""
SPEEDS = 121
"""Speeds that what comes through is worked out at."""
FASTEST = 4.0
"""Times idle: as far as pictures over speed go; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class CaseMovement:
    """One case: how far the centre of mass goes (mm) and the powertrain turns (degrees, as a rotation vector) from
    the place as drawn, with the least and most of each over the scatter of the bushes; forces: of each mount, the
    least and most size of its force over the scatter, N. low, high and forces are None where no bound is known."""

    case: str
    moved: tuple[float, ...]
    low: tuple[float, ...] | None
    high: tuple[float, ...] | None
    forces: tuple[tuple[float, float], ...] | None


@dataclass(frozen=True, kw_only=True, eq=False)
class Through:
    """What of a firing couple of 1 Nm about the crank comes through, over the engine's speed.

    speeds (n,) turns a minute; forces (n, mounts) N for each Nm; order: times a turn that the couple comes; names:
    of the mounts; loss: loss factor of the bushes; idle, slowly (mounts,): at idle, and of a couple at rest.
    """

    speeds: Array
    forces: Array
    order: float
    names: tuple[str, ...]
    loss: float
    idle: Array
    slowly: Array


@dataclass(frozen=True, kw_only=True)
class Movers:
    """One of the worst figures and what each change of a mount does to it, the most first."""

    figure: Figure
    slopes: tuple[Slope, ...]


@dataclass(frozen=True, kw_only=True, eq=False)
class HangStudy:
    """set_height: None where nothing holds the powertrain one way or its bounds are not known; movements: a case
    each; driveline: empty without shafts and chains; through: as of `through_of`;
    movers: of the worst load, travel and frequency; without load and travel where the weight only balances it."""

    hung: Hanging
    set_height: SetHeight | None
    movements: tuple[CaseMovement, ...]
    driveline: tuple[DrivelineFigure, ...]
    through: Through | None
    movers: tuple[Movers, ...]


def hang_study(hung: Hanging) -> HangStudy:
    """All of it, of a bay that is worked out."""
    stops = hung.results[0].found.stops
    mass, centre, mounts = hung.on.mass.kg, hung.on.mass.centroid, hung.on.mounts
    try:
        height = set_height(mass, centre, mounts, stops=stops)
    except NotHeldError:
        height = None
    return HangStudy(
        hung=hung, set_height=height, movements=movements_of(hung),
        driveline=driveline_under(hung.bay, hung.results),
        through=through_of(hung), movers=_movers(hung),
    )  # fmt: skip


def movements_of(hung: Hanging) -> tuple[CaseMovement, ...]:
    """How far each case moves the powertrain, and what scattered bushes make of that and of the loads."""
    made = []
    mass, centre, mounts = hung.on.mass.kg, hung.on.mass.centroid, hung.on.mounts
    for result in hung.results:
        moved = _mm_deg(result.found.moved)
        case = result.case
        try:
            spread = reaction_range(
                mass, centre, mounts, case.loads, stops=result.found.stops, felt=case.felt
            )
        except NotHeldError:
            made.append(CaseMovement(case=case.name, moved=moved, low=None, high=None, forces=None))
            continue
        low, high = (_mm_deg(end) for end in spread.moved)
        forces = tuple(_sizes(*ends) for ends in zip(*spread.forces, strict=True))
        made.append(CaseMovement(case=case.name, moved=moved, low=low, high=high, forces=forces))
    return tuple(made)


def _mm_deg(movement: Array) -> tuple[float, ...]:
    return (*map(float, movement[:3]), *map(float, np.degrees(movement[3:])))


def _sizes(low: Array, high: Array) -> tuple[float, float]:
    """Least and most length of a vector in a box."""
    nearest = np.where((low < 0) & (high > 0), 0.0, np.minimum(np.abs(low), np.abs(high)))
    return float(np.linalg.norm(nearest)), float(np.linalg.norm(np.maximum(np.abs(low), np.abs(high))))


def through_of(hung: Hanging) -> Through | None:
    """What comes through of the firing couple; None where it is not typed how the engine idles, or where nothing
    holds the powertrain one way."""
    if not hung.at_idle or not hung.modes.hz[0] > 0:
        return None
    on = hung.on
    couple = NM * np.asarray(crank_axis(hung))
    order = on.engine.firing_order
    speeds = np.unique(np.append(np.linspace(0.0, FASTEST * on.idle, SPEEDS), on.idle))
    found = transmitted(
        on.mass.kg, on.mass.inertia, on.mounts, order * speeds / 60, couple=couple, centre=on.mass.centroid
    )
    at = int(np.flatnonzero(speeds == on.idle)[0])
    return Through(
        speeds=speeds, forces=found.strength, order=order, names=found.names, loss=LOSS,
        idle=found.strength[at], slowly=found.strength[0],
    )  # fmt: skip


def crank_axis(hung: Hanging) -> Vec:
    """Direction of the crank where the powertrain stands, of length 1 however long it is typed."""
    return unit(place_of(hung.bay.powertrain).direction(hung.bay.powertrain.crank_axis))


def crank_typed(hung: Hanging) -> bool:
    return "crank_axis" in stated(hung.bay.powertrain)


def _movers(hung: Hanging) -> tuple[Movers, ...]:
    on, results = hung.on, hung.results
    most = isolation_limit(on.engine, on.idle) if hung.at_idle else None
    made = []
    for figure in worst_figures(results, hung.modes if hung.at_idle else None, most):
        if figure.kind == "frequency":
            found = mode_slopes(figure, on.mass.kg, on.mass.inertia, on.mounts, centre=on.mass.centroid)
        else:
            result = next(result for result in results if result.case.name == figure.case)
            try:
                found = case_slopes(figure, result, on.mass.kg, stops=result.found.stops)
            except NotHeldError:
                continue
        made.append(Movers(figure=figure, slopes=found))
    return tuple(made)


def by_what(movers: Movers) -> Mapping[str, Slope]:
    """The strongest stiffness, place and angle of one figure, those that do nothing left out."""
    kinds = {"stiffness": ("stiffness",), "place": ("x", "y", "z"), "angle": ("about x", "about y", "about z")}
    found = {}
    for kind, whats in kinds.items():
        best = max((slope for slope in movers.slopes if slope.what in whats), key=lambda slope: abs(slope.effect))
        if abs(best.effect) > NOTHING * movers.figure.value:
            found[kind] = best
    return found


NOTHING = 1e-6
"""Part of a figure: a change of it that is only rounding."""
