"""Strength of one row: the checks by hand of its part under load cases, and the user's own limits as rules too."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from brackets.core.finding import Finding
from brackets.hold.held_part import BracketStiffness, HeldPart, findings_of, held_part, hold_settings
from brackets.hold.hold_part import hold_part
from brackets.hold.typed import HoldRow
from brackets.variants.strength import Strength, Used, strength_of

if TYPE_CHECKING:
    from brackets.bay.stand.placed_part import PlacedBay
    from brackets.model.part import Part
    from brackets.variants.holding import Holding

Told = dict[str, Any]
"""What it adds to the result of a row."""
RANGE = "stress range you entered"
STIFFNESS = "stiffness you entered"


def of_bay(stood: PlacedBay, parts: frozenset[str]) -> tuple[Told, tuple[Finding, ...]]:
    """Strength of a part of a bay and its other hands, under the bay's load cases, and what is to be said of it."""
    from brackets.bay.held_parts import held_bay

    typed = HoldRow() if stood.bay.holding is None else stood.bay.holding
    held = held_bay(stood, only=parts)
    return told(strength(held.parts, typed)), held.findings


def of_part(part: Part, holding: Holding) -> tuple[Told, tuple[Finding, ...]]:
    """Strength of a recipe's part under the load cases typed for it, and what is to be said of it."""
    held = hold_part(part, holding.cases, hold_settings(holding.typed, part))
    stiff = () if holding.bush is None else tuple(
        BracketStiffness(
            part=part.name, mount=one.seat, seat=one.seat, way=one.least_way, stiffness=one.least,
            bush=holding.bush, assumed=one.assumed,
        )
        for one in held.stiffness
    )  # fmt: skip
    found = held_part(part.name, held, holding.typed, stiff)
    return told(strength((found,), holding.typed)), tuple(findings_of(found, holding.typed))


def told(found: Strength) -> Told:
    """What the result of a row gains."""
    return {"strength": found.record}


def strength(parts: Sequence[HeldPart], typed: HoldRow) -> Strength:
    """The strength of a row: every clause, and the own limits, where each is used most in any of its parts."""
    refused = [f"{part.name}: {why}" for part in parts for why in part.refused]
    for part in parts:
        if part.held is not None:
            refused += [f"{part.name}: {one.place}: {one.problem}" for one in part.held.refused]
    if typed.least_stiffness is not None:
        refused += [
            f"{part.name}: how stiff it is at its bush is not known" for part in parts
            if part.held is not None and not part.stiffness
        ]  # fmt: skip
    yours = dict.fromkeys(f"{part.name}: {one.place}" for part in parts for one in part.yours)
    return strength_of((u for part in parts for u in _used(part, typed)), dict.fromkeys(refused), yours)


def _used(part: HeldPart, typed: HoldRow) -> Iterator[Used]:
    for place, case, check in () if part.held is None else part.held.checks:
        yield Used(rule=check.clause, of=f"{part.name}: {place}", case=case, utilisation=check.worst)
    if part.weld_range is not None and typed.stress_range is not None:
        most, one = part.weld_range
        between = " and ".join(one.cases)
        yield Used(
            rule=RANGE, of=f"{part.name}: {one.name}", case=between, utilisation=most / typed.stress_range
        )
    if typed.least_stiffness is not None:
        for each in part.stiffness:
            yield Used(
                rule=STIFFNESS, of=f"{part.name}: {each.mount}", case="",
                utilisation=typed.least_stiffness / each.times if each.times > 0 else float("inf"),
            )  # fmt: skip
