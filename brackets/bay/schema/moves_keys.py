"""The keys of [powertrain] moves: how far it moves on its bushes as typed, and which movement is cleared."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, deg, mm, number

BOTH, TYPED, WORKED_OUT = "both", "typed", "worked out"
TAKEN = (BOTH, TYPED, WORKED_OUT)


@dataclass(frozen=True, kw_only=True)
class MovesKeys(Checked):
    moves_about: Annotated[str, choice(("centre of mass", "crank"), "what it rocks about")] = "centre of mass"
    moves_roll: Annotated[float, deg(0, 30, "rocks in roll, each way")] = 0.0
    moves_pitch: Annotated[float, deg(0, 30, "rocks in pitch, each way")] = 0.0
    moves_yaw: Annotated[float, deg(0, 30, "rocks in yaw, each way")] = 0.0
    moves_up: Annotated[float, mm(0, 100, "moves up")] = 0.0
    moves_down: Annotated[float, mm(0, 100, "moves down")] = 0.0
    moves_fore: Annotated[float, mm(0, 100, "moves forward")] = 0.0
    moves_aft: Annotated[float, mm(0, 100, "moves back")] = 0.0
    moves_side: Annotated[float, mm(0, 100, "moves to either side")] = 0.0
    moves_taken: Annotated[
        str,
        choice(TAKEN, "what is cleared where load cases give a movement too: typed, worked out, or as far as both"),
    ] = BOTH
    moves_overshoot: Annotated[
        float, number(1, 3, "worked out: how far a load swings it, of how far it moves it where it stays on")
    ] = 1.0
