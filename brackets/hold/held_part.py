"""One part under its loads: what was found of it, the user's own limits beside it, and what is to be said.

N, N mm, mm, MPa, axes of the part as it was given.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from brackets.core.finding import Finding
from brackets.core.rulebook.held import BRACKET_STIFFNESS, OWN_LIMIT, STRENGTH, STRENGTH_SCOPE, WELD_RANGE
from brackets.core.vectors import Vec
from brackets.hold.factors import Factors
from brackets.hold.held import Held, PartCheck, PartRefusal
from brackets.hold.part_cases import HoldSettings, PressFit
from brackets.hold.shown import used, way_said
from brackets.hold.stress_ranges import StressRange
from brackets.hold.typed import HoldRow, PressTyped
from brackets.model.part import Part

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
    """One part of a bay: what was found of it; refused: why nothing was; yours: what no clause covers and the user
    judged by other means, which `held` does not count as refused."""

    name: str
    held: Held | None = None
    refused: tuple[str, ...] = ()
    yours: tuple[PartRefusal, ...] = ()
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


def held_part(name: str, held: Held, typed: HoldRow, stiffness: tuple[BracketStiffness, ...]) -> HeldPart:
    """What was found of a part, without the places that no clause covers and the user judged by other means."""
    yours = tuple(one for one in held.refused if f"{name}: {one.place}" in typed.by_other_means)
    left = tuple(one for one in held.refused if one not in yours)
    return HeldPart(name=name, held=replace(held, refused=left), yours=yours, stiffness=stiffness)


def hold_settings(typed: HoldRow, part: Part) -> HoldSettings:
    """With what a part is judged by the table [hold] alone, every bush of it pressed in alike."""
    fit = press_of(typed)
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


def press_of(typed: PressTyped) -> PressFit | None:
    """The press fit of the bushes, or of the bush of one mount, where it is typed."""
    if typed.press_least is None or typed.press_most is None or typed.press_shell is None:
        return None
    return PressFit(
        least=typed.press_least, most=typed.press_most, shell_id=typed.press_shell, friction=typed.press_friction
    )


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
                sentence=f"at its bush {one.stiffness:.0f} N/mm along {way_said(one.way)}, {one.times:.1f} times"
                f" the bush's {one.bush:.0f}: wants {typed.times:g} times, loads and movement count it as rigid",
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
