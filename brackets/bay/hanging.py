"""A bay's powertrain on its bushes: every case, every mount missing, six frequencies, and what is said of them."""

from __future__ import annotations

from dataclasses import dataclass

from brackets.bay.expected_on_bushes import expected_on_bushes
from brackets.bay.hung.load_cases import load_cases_of
from brackets.bay.hung.on_bushes import OnBushes
from brackets.bay.mount_heat import heat_at_mounts, heat_findings
from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding, worst_first
from brackets.core.schema.reading import stated
from brackets.hang.cases import CaseResult, Missing, one_missing, under_cases
from brackets.hang.findings import case_findings, missing_findings, mode_findings
from brackets.hang.vibration import Modes, modes


@dataclass(frozen=True, kw_only=True, eq=False)
class Hanging:
    """A bay on its bushes.

    results: the weight, then every case of the bay; at_idle: whether it says what shakes it at idle, without which
    no frequency is judged; findings: worst first, with what was expected and came out otherwise.
    """

    bay: Bay
    on: OnBushes
    results: tuple[CaseResult, ...]
    missing: tuple[Missing, ...]
    modes: Modes
    findings: tuple[Finding, ...]
    at_idle: bool


def knows_idle(bay: Bay) -> bool:
    """Whether the bay says what shakes it at idle: its cylinders and strokes, or its crank, and its idle."""
    typed = stated(bay.powertrain)
    crank = typed & {"crank_layout", "crank_throws"}
    return "idle" in typed and (bool(crank) or typed >= {"cylinders", "strokes"})


def hanging(bay: Bay, on: OnBushes) -> Hanging:
    """What the mounts of a bay carry, what holds if one fails, and how the powertrain swings.

    bay: as read; on: `on_bushes` of it, or the same with other bushes. Raises InputError with everything that is
    wrong, NotHeldError where nothing holds the powertrain.
    """
    mass, centre = on.mass.kg, on.mass.centroid
    cases = load_cases_of(bay, on)
    results = under_cases(mass, centre, on.mounts, cases, stops=on.stops)
    missing = one_missing(mass, centre, on.mounts, cases, stops=on.stops)
    swings = modes(mass, on.mass.inertia, on.mounts, centre=centre)
    at_idle = knows_idle(bay)
    found = [*case_findings(results), *missing_findings(missing)]
    if at_idle:
        of_modes = mode_findings(swings, on.engine, on.idle)
        found += sorted(of_modes, key=lambda each: (each.code, -(each.value or 0.0)))
    found += heat_findings(heat_at_mounts(bay))
    found += expected_on_bushes(bay, on, cases)
    return Hanging(
        bay=bay, on=on, results=results, missing=missing, modes=swings, findings=worst_first(found), at_idle=at_idle
    )
