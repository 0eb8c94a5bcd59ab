"""Whether the parts of a bay hold: the loads of every mount and case led through each part, and what is to be said.

Without load cases nothing is claimed. N, N mm, mm, MPa, axes of the bay.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brackets.bay.expected_to_hold import expected_to_hold
from brackets.bay.held_loads import BayLoads, loads_of, part_cases, springs_at
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import LINK, Mount
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.core.errors import InputError, OutOfRange
from brackets.core.finding import Finding, worst_first
from brackets.hold.held import SeatStiffness
from brackets.hold.held_part import BracketStiffness, HeldPart, findings_of, held_part, hold_settings, press_of
from brackets.hold.hold_part import hold_worst
from brackets.hold.part_cases import HoldSettings, PressFit
from brackets.hold.typed import HoldRow
from brackets.model.part import Part

ASKS = (
    "no load case is typed: nothing is said of strength; type what the powertrain feels, as bump, braking and"
    " cornering, and whether these are characteristic or factored"
)
NOT_LOADED = "no mount is on it: its loads are not known, so nothing is said of its strength"
NOT_UPRIGHT = "its loads are not known, as the mounts do not hold the powertrain upright"
COUNTED = ("characteristic loads", "factored loads")
"""How the notes begin that say which cases are counted how: of a bay that is said once."""
WAYS = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
NO_SPRING = 1e-9
"""Of the stiffest direction: a bush that does not hold this way."""


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
    def welded(self) -> bool:
        """Whether any weld has a stress range."""
        return any(part.held is not None and part.held.weld_ranges for part in self.parts)

    @property
    def worst(self) -> HeldPart | None:
        """The part with the check of which most is used."""
        return next((part for part in self.parts if part.worst is not None), None)


def held_bay(stood: PlacedBay, *, only: frozenset[str] | None = None) -> BayHeld:
    """Every part of a standing bay under the load cases of the bay.

    stood: by `placed_bay`; only: names of parts, all where None. Where no load case is typed, `asks` says so and
    nothing else is said. Raises InputError where there is nothing to hang or nothing holds the powertrain.
    """
    loads = loads_of(stood.bay)
    return held_under(stood, loads, only=only) if loads.cases else BayHeld(asks=(ASKS,))


def held_under(stood: PlacedBay, loads: BayLoads, *, only: frozenset[str] | None = None) -> BayHeld:
    """The same under these loads; where they turn the powertrain over, no part is checked by them."""
    bay = stood.bay
    typed = HoldRow() if bay.holding is None else bay.holding
    asked = [part for part in stood.parts if only is None or part.name in only]
    if loads.turned:
        return BayHeld(
            parts=tuple(
                HeldPart(name=part.name, refused=(NOT_UPRIGHT if bay.mounts_of(part.name) else NOT_LOADED,))
                for part in sorted(asked, key=lambda part: part.name)
            ),
            cases=_cases(loads),
            findings=loads.turned,
            notes=tuple(dict.fromkeys((*_notes(stood, loads, typed), *loads.on.notes))),
        )
    parts = [_held_part(bay, loads, part, typed) for part in asked]
    found = [finding for part in parts for finding in findings_of(part, typed)]
    found += expected_to_hold(bay.expected, parts)
    return BayHeld(
        parts=tuple(sorted(parts, key=lambda part: (-_rank(part.utilisation), part.name))),
        cases=_cases(loads),
        findings=worst_first(found),
        notes=tuple(
            dict.fromkeys(
                (*_notes(stood, loads, typed), *_by_other_means(stood, parts, typed), *loads.on.notes)
            )
        ),
    )


def _cases(loads: BayLoads) -> tuple[tuple[str, str, str], ...]:
    return tuple((case.name, case.counted, case.why) for case in loads.cases)


def _held_part(bay: Bay, loads: BayLoads, placed: PlacedPart, typed: HoldRow) -> HeldPart:
    name, part = placed.name, placed.part
    factor = 1.0 if typed.load_factor is None else typed.load_factor
    try:
        cases = part_cases(bay, loads, part, name, load_factor=factor, own_weight=typed.own_weight)
        if not cases:
            return HeldPart(name=name, refused=(NOT_LOADED,))
        held = hold_worst(
            part, cases, settings_of(bay, part, name, typed), told=[case.name for case in loads.cases]
        )
    except InputError as error:
        return HeldPart(name=name, refused=error.problems)
    held = replace(held, notes=tuple(note for note in held.notes if not note.startswith(COUNTED)))
    return held_part(name, held, typed, tuple(_stiffness(bay, loads, name, held.stiffness)))


def settings_of(bay: Bay, part: Part, name: str, typed: HoldRow) -> HoldSettings:
    """With what one part of a bay is judged: the table [hold], the bolts of its mounts, the walls it stands on.

    A press fit is the mount's own, else that of all bushes where the bush is larger than the inside of its shell;
    of smaller ones none is known.
    """
    sits = [(mount, getattr(mount, f"{side}_seat"), side) for mount, side in bay.mounts_of(name)]
    fits = {mount.name: fit for mount, _, _ in sits if (fit := press_at(bay, mount, typed)) is not None}
    return replace(
        hold_settings(typed, part),
        grades={seat: mount.bolt_class for mount, seat, _ in sits},
        press={seat: fits[mount.name] for mount, seat, side in sits if mount.cup == side and mount.name in fits},
        onto_t=_wall_under(bay, name) if typed.onto_t is None else typed.onto_t,
    )  # fmt: skip


def press_at(bay: Bay, mount: Mount, typed: HoldRow) -> PressFit | None:
    """The press fit of the bush of one mount; None where none is known. Raises OutOfRange for a shell that is no
    smaller than the bush that the mount's own press fit is of."""
    od, own, of_all = bay.bush_of(mount).od, press_of(mount), press_of(typed)
    if own is not None:
        if own.shell_id >= od:
            raise OutOfRange(
                f"press.shell = {own.shell_id:g} mm, must be under {od:g} mm, outside of its bush: press fit of"
                f" {mount.name}"
            )
        return own if own.friction is not None else replace(own, friction=typed.press_friction)
    return of_all if of_all is not None and od > of_all.shell_id else None


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
    sits = {getattr(mount, f"{side}_seat"): mount for mount, side in bay.mounts_of(name) if side != LINK}
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


def _notes(stood: PlacedBay, loads: BayLoads, typed: HoldRow) -> Iterator[str]:
    told = ", ".join(f"{case.name} ({case.counted})" for case in loads.cases)
    yield f"load cases: {told}"
    if any(case.counted == "characteristic" for case in loads.cases):
        if typed.load_factor is None:
            yield "characteristic loads are judged as they come: no load_factor is typed"
        else:
            yield f"characteristic loads are multiplied by {typed.load_factor:g}, as typed"
    if not typed.own_weight:
        own, hung = sum(part.part.mass.kg for part in stood.parts), loads.on.mass.kg
        yield (
            f"the weight of the parts themselves, {own:.1f} kg beside {hung:.1f} kg that hangs on them, is not"
            " added to what their bushes push: [hold] own_weight adds it"
        )
    pushing = [(case.name, name, push) for case in loads.cases for name, push in case.stops.items()]
    for case, name, push in pushing:
        yield f"case {case}: stop {name} pushes with {push:.0f} N, which is led through no part"


def _by_other_means(stood: PlacedBay, parts: Sequence[HeldPart], typed: HoldRow) -> Iterator[str]:
    """What the user judged in place of a clause, and what of it nothing was left to judge of."""
    yours = dict.fromkeys((part.name, one.place, one.problem) for part in parts for one in part.yours)
    for name, place, problem in yours:
        yield f"{name}: {place}: judged by you by other means, as typed; not checked here: {problem}"
    named = {f"{name}: {place}" for name, place, _ in yours}
    not_asked = {part.name for part in stood.parts} - {part.name for part in parts}
    for each in typed.by_other_means:
        if each not in named and each.partition(":")[0] not in not_asked:
            yield f"by_other_means names {each}: nothing there is left unchecked"


def _rank(utilisation: float) -> float:
    return math.inf if math.isnan(utilisation) else utilisation
