"""Whether the movement that is cleared is all that the powertrain may do: by its bushes, and small enough."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.bay.hung.movement import NONE, largest_turn, movement_of
from brackets.bay.schema.moves_keys import TYPED, WORKED_OUT
from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import MOVEMENT
from brackets.hang.cases import LARGEST_TURN


def movement_findings(bay: Bay) -> Iterator[Finding]:
    """A stop where the powertrain turns further than the sum is good for, or over, or nothing holds it; a caution
    where there are load cases and nothing could be worked out, and where no case pulls it some way and nothing is
    typed either."""
    movement = movement_of(bay)
    cleared = f"{'no movement' if movement.how == NONE else 'only the movement typed'} is cleared"
    if movement.turned is not None:
        yield MOVEMENT.finding(
            piece="powertrain",
            about=("powertrain",),
            level="stop",
            value=movement.turned,
            limit=LARGEST_TURN,
            sentence=f"turns by {movement.turned:.0f} deg under its load cases: its mounts do not hold it upright,"
            f" and {cleared}",
        )
    elif movement.loose:
        yield MOVEMENT.finding(
            piece="powertrain",
            about=("powertrain",),
            level="stop",
            sentence=f"{movement.problem}: it turns over or comes away under its load cases, and {cleared}; type"
            " every mount and snubber there is",
        )
    elif movement.problem:
        yield MOVEMENT.finding(
            piece="powertrain",
            about=("powertrain",),
            level="caution",
            sentence=f"there are load cases, but no movement by them: {movement.problem}",
        )
    worked = [(largest_turn(region), region.name) for region in movement.cases if region.name != TYPED]
    most, name = max(worked, default=(0.0, ""))
    if most > LARGEST_TURN:
        yield MOVEMENT.finding(
            piece="powertrain",
            about=("powertrain",),
            level="stop",
            value=most,
            limit=LARGEST_TURN,
            sentence=f"turns by up to {most:.1f} deg in case {name}: beyond what small movements say, so that it"
            " may move further than is cleared",
        )
    if movement.how == WORKED_OUT and movement.lacking:
        yield MOVEMENT.finding(
            piece="powertrain",
            about=("powertrain",),
            level="caution",
            sentence=f"no load case pulls it {', '.join(movement.lacking)}, and no movement is typed: what moves it"
            " that way is not cleared",
        )
