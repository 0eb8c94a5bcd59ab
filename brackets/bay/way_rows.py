"""A way in or out as typed: what moves, what is out of its way by then, and its legs.

mm, degrees; x forward, y left, z up. A way in is its way out, driven backwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.params import Checked, deg, mm, point, text, texts
from brackets.pieces import Vec

POWERTRAIN = "powertrain"
SHORTEST = 1e-3
"""Least length of a straight leg, mm, and of a turn, degrees: less is no leg."""


@dataclass(frozen=True, kw_only=True)
class StraightLeg(Checked):
    by: Annotated[Vec, point(3, "straight leg: how far along x, y and z")]

    def rules(self) -> Iterator[str]:
        if sum(c * c for c in self.by) < SHORTEST**2:
            yield "by = 0, 0, 0 mm, must have a length: a straight leg"


@dataclass(frozen=True, kw_only=True)
class TurnLeg(Checked):
    turn: Annotated[float, deg(-360, 360, "turning leg: how far, right-handed about its axis")]
    through: Annotated[Vec, point(3, "turning leg: a point of the bay it turns about")]
    axis: Annotated[Vec, point(3, "turning leg: direction it turns about")]

    def rules(self) -> Iterator[str]:
        if abs(self.turn) < SHORTEST:
            yield f"turn = {self.turn:g} deg, must be more than 0 either way: a turning leg"
        if not any(self.axis):
            yield "axis = 0, 0, 0, must point somewhere: a direction"


LegRow = StraightLeg | TurnLeg


@dataclass(frozen=True, kw_only=True)
class WayRow(Checked):
    name: Annotated[str, text("name of the way in or out")]
    part: Annotated[str, text("what moves: a part, or powertrain")]
    without: Annotated[
        tuple[str, ...], texts("what is out by then: bolts of mounts and bosses, parts, keep-outs", at_most=200)
    ] = ()
    gap: Annotated[float | None, mm(0, 500, "gap wanted on the way; else that of [gap] way")] = None


@dataclass(frozen=True, kw_only=True)
class Way:
    """One row and its legs, each starting where the last one ends."""

    row: WayRow
    legs: tuple[LegRow, ...]
