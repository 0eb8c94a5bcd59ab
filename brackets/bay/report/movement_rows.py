"""The movement that is cleared, as it is read: how it is known, and how far each way by which case. mm, degrees."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.bay.clear.moving import TRAVEL_WORDS, TURNS
from brackets.bay.fitting import Fit
from brackets.bay.hung.movement import BayMovement, movement_of
from brackets.bay.schema.moves_keys import BOTH, TYPED
from brackets.bay.schema.record import Bay
from brackets.bay.stand.unloaded import no_weight
from brackets.core.schema.reading import stated

MOVEMENT_HEADS = ("movement", "at most", "unit", "by")

LITTLE = 0.005
"""mm or degrees of a movement that are none, as they are printed."""


def moved_as(bay: Bay) -> str:
    """How the movement is known: typed as it stands in the file, or by which cases it is worked out."""
    movement, p = movement_of(bay), bay.powertrain
    typed = (
        f"roll {p.moves_roll:g}, pitch {p.moves_pitch:g}, yaw {p.moves_yaw:g} deg; up {p.moves_up:g},"
        f" down {p.moves_down:g}, fore {p.moves_fore:g}, aft {p.moves_aft:g}, side {p.moves_side:g} mm (typed)"
    )
    not_worked_out = f"; NOT WORKED OUT from its bushes: {movement.problem}" if movement.problem else ""
    if movement.how == TYPED:
        return typed + not_worked_out
    if not movement.worked_out:
        return f"STANDING STILL ONLY: no movement typed{not_worked_out}"
    names = ", ".join(region.name for region in movement.cases if region.name != TYPED)
    said = "typed" if "moves_overshoot" in stated(p) else "not typed"
    made = f"as worked out from its bushes: {names}; overshoot {movement.overshoot:g} ({said})"
    return f"{made}; and as typed, where that is more: {typed}" if movement.how == BOTH else made


def movement_rows(movement: BayMovement) -> Iterator[tuple[str, str, str, str]]:
    """A row under MOVEMENT_HEADS for each way it moves, where it is worked out."""
    if not movement.worked_out:
        return
    words = (*TRAVEL_WORDS, *TURNS)
    for i, (span, by) in enumerate(zip(movement.whole.spans, movement.by, strict=True)):
        for word, far, name in ((words[i][0], span[1], by[1]), (words[i][1], -span[0], by[0])):
            if far > LITTLE:
                yield word, f"{math.ceil(far * 100 - 1e-6) / 100:.2f}", "mm" if i < 3 else "deg", name


def hangs_unloaded(fit: Fit) -> str:
    """Where the powertrain hangs with its weight on a hoist, and what is judged there; "" where it is not known."""
    at, hung = movement_of(fit.bay).unloaded, no_weight(fit.bay)
    if at is None or hung is None:
        return ""
    shift = ", ".join(
        f"{words[0] if far > 0 else words[1]} {abs(far):.2f} mm"
        for far, words in zip(at.shift, TRAVEL_WORDS, strict=True)
        if abs(far) > LITTLE
    )
    turned = math.degrees(math.hypot(*at.turn))
    bolts = ", ".join(one.name for one in fit.bolts if one.unloaded)
    paths = ", ".join(path.name for path in fit.paths if path.unloaded)
    judged = "; ".join(said for said in (bolts and f"bolts {bolts}", paths and f"paths {paths}") if said)
    where = f"{shift or 'as drawn'}, turned {turned:.2f} deg"
    return f"with no weight on it hangs {where}; judged there: {judged or 'nothing'}"
