"""What stands in a bay: one part, and all of them with what is bought."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from brackets.bay.bought import Bought
from brackets.bay.misfits import Misfit
from brackets.bay.record import Bay
from brackets.findings import Finding
from brackets.mirror import Hand
from brackets.params import Checked
from brackets.part import Part
from brackets.recipe_file import Recipe


@dataclass(frozen=True, kw_only=True)
class Standing:
    """One part in the bay: built, placed, with what was worked out for it and what its rules say."""

    name: str
    side: str
    kind: str
    part: Part
    recipe: Recipe
    params: Checked
    worked_out: Mapping[str, object]
    findings: tuple[Finding, ...]
    misfits: tuple[Misfit, ...] = ()
    hand: Hand | None = None


@dataclass(frozen=True, kw_only=True)
class Stood:
    """A whole bay, standing."""

    bay: Bay
    parts: tuple[Standing, ...]
    bought: tuple[Bought, ...]
    left_out: tuple[str, ...]
    notes: tuple[str, ...]
