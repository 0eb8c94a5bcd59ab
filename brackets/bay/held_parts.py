"""Whether the parts of a bay hold: the loads of every mount and case led through each part, and what is to be said.

Without load cases nothing is claimed. N, N mm, mm, MPa, axes of the bay.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from brackets.bay.held_loads import BayLoads, loads_of, part_cases, springs_at
from brackets.bay.schema.holding import HoldRow
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.core.errors import InputError
from brackets.core.finding import Finding, worst_first
from brackets.core.rulebook.held import BRACKET_STIFFNESS, OWN_LIMIT, STRENGTH, STRENGTH_SCOPE, WELD_RANGE
from brackets.core.vectors import Vec
from brackets.hold.factors import Factors
from brackets.hold.held import Held, PartCheck, SeatStiffness
from brackets.hold.hold_part import hold_part
from brackets.hold.part_cases import HoldSettings, PressFit
from brackets.hold.shown import used, way_said
from brackets.hold.stress_ranges import StressRange
from brackets.model.part import Part

ASKS = (
    "no load case is typed: nothing is said of strength; type what the powertrain feels, as bump, braking and"
    " cornering, and whether these are characteristic or factored"
)
NOT_LOADED = "no mount is on it: its loads are not known, so nothing is said of its strength"
WAYS = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
NO_SPRING = 1e-9
"""Of the stiffest direction: a bush that does not hold this way."""
TOLD = 3
"""Places of a part named in one sentence."""


@dataclass(frozen=True, kw_only=True)
class BracketStiffness:
    """How stiff a part is at a bush along `way`, N/mm, beside the bush: `times` as stiff, the least of all ways."""

    part: str
    mount: str
    seat: str
    way: Vec
    stiffness: float
    bush: float
    assumed: tuple[str, ...] = ()

    @property
    def times(self) -> float:
        return self.stiffness / self.bush


@dataclass(frozen=True, kw_only=True, eq=False)
class HeldPart:
    """One part of a bay: what was found of it; refused: why nothing was."""

    name: str
    held: Held | None = None
    refused: tuple[str, ...] = ()
    stiffness: tuple[BracketStiffness, ...] = ()

    @property
    def worst(self) -> PartCheck | None:
        """The check that uses most of what it is allowed."""
        return self.held.checks[0] if self.held is not None and self.held.checks else None

    @property
    def utilisation(self) -> float:
        """Of the worst check, 0 where there is none."""
        return 0.0 if self.worst is None else self.worst.check.worst

    @property
    def weld_range(self) -> tuple[float, StressRange] | None:
        """The largest stress range of any of its welds, MPa, across or along, and which it is."""
        found = [(max(one.across, one.along), one) for one in (self.held.weld_ranges if self.held else ())]
        return max(found, key=lambda pair: pair[0], default=None)


@dataclass(frozen=True, kw_only=True, eq=False)
class BayHeld:
    """The parts of a bay under its load cases, those that use most first.

    asks: what has to be typed before anything is said; cases: each with whether its loads are characteristic or
    factored, and where they are from.
    """

    parts: tuple[HeldPart, ...] = ()
    cases: tuple[tuple[str, str, str], ...] = ()
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()
    asks: tuple[str, ...] = ()

    @property
    def worst(self) -> HeldPart | None:
        return next((part for part in self.parts if part.worst is not None), None)


def held_bay(stood: PlacedBay, *, only: frozenset[str] | None = None) -> BayHeld:
    """Every part of a standing bay under the load cases of the bay.

    stood: by `placed_bay`; only: names of parts, all where None. Where no load case is typed, `asks` says so and
    nothing else is said. Raises InputError where there is nothing to hang or nothing holds the powertrain.
    """
    bay = stood.bay
    loads = loads_of(bay)
    if not loads.cases:
        return BayHeld(asks=(ASKS,))
    typed = HoldRow() if bay.holding is None else bay.holding
    parts = [
        _held_part(bay, loads, part, typed) for part in stood.parts if only is None or part.name in only
    ]
    found = [finding for part in parts for finding in findings_of(part, typed)]
    return BayHeld(
        parts=tuple(sorted(parts, key=lambda part: (-_rank(part), part.name))),
        cases=tuple((case.name, case.counted, case.why) for case in loads.cases),
        findings=worst_first(found),
        notes=tuple(dict.fromkeys((*_notes(bay, loads, typed), *loads.on.notes))),
    )


def _held_part(bay: Bay, loads: BayLoads, placed: PlacedPart, typed: HoldRow) -> HeldPart:
    name, part = placed.name, placed.part
    factor = 1.0 if typed.load_factor is None else typed.load_factor
    try:
        cases = part_cases(bay, loads, part, name, load_factor=factor)
        if not cases:
            return HeldPart(name=name, refused=(NOT_LOADED,))
        held = hold_part(part, cases, settings_of(bay, part, name, typed))
    except InputError as error:
        return HeldPart(name=name, refused=error.problems)
    return HeldPart(name=name, held=held, stiffness=tuple(_stiffness(bay, loads, name, held.stiffness)))


def settings_of(bay: Bay, part: Part, name: str, typed: HoldRow) -> HoldSettings:
    """With what one part of a bay is judged: the table [hold], the bolts of its mounts, the walls it stands on."""
    sits = [(mount, getattr(mount, f"{side}_seat"), side) for mount, side in bay.mounts_of(name)]
    fit = _press(typed)
    return replace(
        hold_settings(typed, part),
        grades={seat: mount.bolt_class for mount, seat, _ in sits},
        press={} if fit is None else {seat: fit for mount, seat, side in sits if mount.cup == side},
        onto_t=_wall_under(bay, name) if typed.onto_t is None else typed.onto_t,
    )


def hold_settings(typed: HoldRow, part: Part) -> HoldSettings:
    """With what a part is judged by the table [hold] alone, every bush of it pressed in alike."""
    fit = _press(typed)
    return HoldSettings(
        factors=Factors(
            m0=typed.gamma_m0, m1=typed.gamma_m1, m2=typed.gamma_m2, m3=typed.gamma_m3, m5=typed.gamma_m5,
            own=typed.own_factor,
        ),
        load_factor=1.0 if typed.load_factor is None else typed.load_factor,
        joints=typed.joints,  # type: ignore[arg-type]
        grade=typed.grade,
        preload=typed.preload,
        surface=typed.surface,  # type: ignore[arg-type]
        engaged={} if typed.engaged is None else {seat.name: typed.engaged for seat in part.seats},
        casting=typed.casting,
        press={} if fit is None else {seat.name: fit for seat in part.seats},
        onto_metal=typed.onto_metal,
        onto_t=typed.onto_t,
        tubes_made=typed.tubes_made,  # type: ignore[arg-type]
    )  # fmt: skip


def _press(typed: HoldRow) -> PressFit | None:
    """The press fit of the bushes, where it is typed."""
    if typed.press_least is None or typed.press_most is None or typed.press_shell is None:
        return None
    return PressFit(
        least=typed.press_least, most=typed.press_most, shell_id=typed.press_shell, friction=typed.press_friction
    )


def _wall_under(bay: Bay, part: str) -> float | None:
    """The thinnest wall of the keep-outs that a part's mounts stand it on, mm."""
    named = [mount.onto(side) for mount, side in bay.mounts_of(part)]
    onto = [bay.keep_out_by_name[name] for name in named if name is not None and name in bay.keep_out_by_name]
    walls = [wall for one in onto for wall in (one.rail_wall, one.tube_wall, one.wall) if wall is not None]
    return min(walls, default=None)


def _stiffness(
    bay: Bay, loads: BayLoads, name: str, found: tuple[SeatStiffness, ...]
) -> Iterator[BracketStiffness]:
    """At each bush the way in which the bracket is least stiff beside it."""
    sits = {getattr(mount, f"{side}_seat"): mount for mount, side in bay.mounts_of(name)}
    for each in found:
        if each.seat not in sits:
            continue
        mount = sits[each.seat]
        spring = springs_at(loads, mount.name if mount.link_part is None else str(mount.link_part)).outer[0]
        most = float(np.abs(spring).max())
        ways = [*zip(WAYS, each.along, strict=True), (each.least_way, each.least)]
        told = []
        for way, stiffness in ways:
            bush = float(np.array(way) @ spring @ np.array(way))
            if bush > NO_SPRING * most and math.isfinite(stiffness):
                told.append(
                    BracketStiffness(
                        part=name, mount=mount.name, seat=each.seat, way=way, stiffness=stiffness, bush=bush,
                        assumed=each.assumed,
                    )
                )  # fmt: skip
        if told:
            yield min(told, key=lambda one: one.times)


def findings_of(part: HeldPart, typed: HoldRow) -> Iterator[Finding]:
    """What to say of one part: each clause where more is used than it allows, what none covers, the own limits."""
    told: set[str] = set()
    for place, case, check in () if part.held is None else part.held.checks:
        rule = f"{place}: {check.clause}"
        if check.meets or rule in told:
            continue
        told.add(rule)
        yield STRENGTH.finding(
            piece=f"{part.name}: {place}", value=check.worst, limit=1.0, about=(part.name,),
            sentence=f"case {case}: utilisation {used(check.worst)}, at most 1",
            source_words=check.clause,
        )  # fmt: skip
    yield from _unchecked(part)
    yield from _range(part, typed)
    for one in part.stiffness:
        if BRACKET_STIFFNESS.under(one.times, typed.times):
            yield BRACKET_STIFFNESS.finding(
                piece=f"{part.name}: {one.mount}", value=one.times, limit=typed.times, about=(part.name, one.mount),
                source=OWN_LIMIT if typed.least_stiffness is not None else BRACKET_STIFFNESS.breaches[0].source,
                sentence=f"at its bush {one.stiffness:.0f} N/mm along {way_said(one.way)}, {one.times:.1f} times the"
                f" bush's {one.bush:.0f}: wants {typed.times:g} times, loads and movement count it as rigid",
            )  # fmt: skip


def _unchecked(part: HeldPart) -> Iterator[Finding]:
    """One line a part of what no clause covers."""
    lines = list(part.refused)
    if part.held is not None:
        lines += dict.fromkeys(f"{one.place}: {one.problem}" for one in part.held.refused)
    if lines:
        more = f"; and {len(lines) - TOLD} more" if len(lines) > TOLD else ""
        yield STRENGTH_SCOPE.finding(
            piece=part.name, about=(part.name,), sentence=f"not checked: {'; '.join(lines[:TOLD])}{more}"
        )


def _range(part: HeldPart, typed: HoldRow) -> Iterator[Finding]:
    if part.weld_range is None or typed.stress_range is None:
        return
    most, one = part.weld_range
    if WELD_RANGE.over(most, typed.stress_range):
        yield WELD_RANGE.finding(
            piece=f"{part.name}: {one.name}", value=most, limit=typed.stress_range, about=(part.name,),
            sentence=f"between {one.cases[0]} and {one.cases[1]} its stress changes by {most:.1f} MPa, your limit"
            f" is {typed.stress_range:g} MPa; fatigue is not computed",
        )  # fmt: skip


def _notes(bay: Bay, loads: BayLoads, typed: HoldRow) -> Iterator[str]:
    told = ", ".join(f"{case.name} ({case.counted})" for case in loads.cases)
    yield f"load cases: {told}"
    if any(case.counted == "characteristic" for case in loads.cases):
        if typed.load_factor is None:
            yield "characteristic loads are judged as they come: no load_factor is typed"
        else:
            yield f"characteristic loads are multiplied by {typed.load_factor:g}, as typed"
    yield "the weight of the parts themselves is not added to what their bushes push"
    pushing = [(case.name, name, push) for case in loads.cases for name, push in case.stops.items()]
    for case, name, push in pushing:
        yield f"case {case}: stop {name} pushes with {push:.0f} N, which is led through no part"


def _rank(part: HeldPart) -> float:
    return math.inf if math.isnan(part.utilisation) else part.utilisation
