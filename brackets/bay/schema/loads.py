"""The tables of a bay file that pull at the powertrain or catch it: load cases and snubbers. mm, N, Nm, g."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, direction, mm, number, numbers, point, text, yes_no
from brackets.core.vectors import Vec

COUNTS = ("characteristic", "factored")
GEARS = ("first", "reverse")
WEIGHT = "weight"
"""The case of the weight alone, which every bay has."""
NONE = (0.0, 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class ForceRow(Checked):
    at: Annotated[Vec, point(3, "point of the powertrain it acts at, typed as that side's keep-outs are")]
    force: Annotated[
        tuple[float, ...], numbers(-1e6, 1e6, "force along x, y, z, N", at_least=3, at_most=3)
    ] = NONE
    couple: Annotated[
        tuple[float, ...], numbers(-1e6, 1e6, "couple about x, y, z, right-handed, Nm", at_least=3, at_most=3)
    ] = NONE

    def rules(self) -> Iterator[str]:
        if not any((*self.force, *self.couple)):
            yield "force, couple = 0, at least one of them: what pulls or turns the powertrain"


@dataclass(frozen=True, kw_only=True)
class LoadCaseRow(Checked):
    name: Annotated[str, text("name of the case; that of a gear or of a road case takes its place")]
    felt: Annotated[
        tuple[float, ...],
        numbers(
            -40, 40, "what its mass feels along x, y, z, in g: braking at 1 g [1, 0, 0], a bump of 3 g [0, 0, -3]",
            at_least=3, at_most=3,
        ),
    ] = NONE  # fmt: skip
    weight: Annotated[bool, yes_no("its weight acts beside what is felt; no: felt is all of it, weight in it")] = (
        True
    )
    gear: Annotated[str | None, choice(GEARS, "gear whose drive acts in it")] = None
    part: Annotated[
        float, number(0.01, 10, "part of the full torque in that gear; over 1 for a clutch that is dropped")
    ] = 1.0
    counts: Annotated[str, choice(COUNTS, "whether its loads are as they come or factored already")] = (
        "characteristic"
    )
    why: Annotated[str, text("where its figures are from", longest=300)]

    def rules(self) -> Iterator[str]:
        if self.name == WEIGHT:
            yield f"name = {WEIGHT}, must be another: that is the case of the weight alone"
        if self.part != 1 and self.gear is None:
            yield f"part = {self.part:g}, must be with gear: part of whose torque"


@dataclass(frozen=True, kw_only=True)
class LoadCaseEntry:
    """A load case as typed: its row, and its forces."""

    row: LoadCaseRow
    forces: tuple[ForceRow, ...] = ()


@dataclass(frozen=True, kw_only=True)
class SnubberRow(Checked):
    name: Annotated[str, text("name of the snubber, capture washer or strap")]
    mount: Annotated[str | None, text("mount it belongs to, and stays where that one fails")] = None
    at: Annotated[Vec | None, point(3, "point of the powertrain that meets it, as drawn; else the mount's at")] = (
        None
    )
    direction: Annotated[Vec, direction("which way the powertrain goes to close it")]
    gap: Annotated[float, mm(0, 100, "gap as drawn, with the weight on")]
    gap_back: Annotated[float | None, mm(0, 100, "gap the other way; without it nothing is there")] = None
    stiffness: Annotated[float | None, number(1, 1e7, "once closed, N/mm; without it solid")] = None
    carries: Annotated[bool, yes_no("a pad that carries weight: its gap is then counted with no weight on")] = False

    def rules(self) -> Iterator[str]:
        if self.at is None and self.mount is None:
            yield "at = nothing, must be typed where no mount is: point of the powertrain that meets it"
        if self.carries and self.gap_back is not None:
            yield f"gap_back = {self.gap_back:g} mm, must be none: a pad that carries weight is on one side"
