"""The movement that is worked out, told about points of the powertrain where something is measured.

A region is a box of turns and of the travel of one point. What a case turns and what it shifts go together: about
another point the box leaves more room than there is, while the travel of a point that is asked for is bounded by
itself, along the directions it is asked for. mm, degrees, axes of the bay.
"""

from __future__ import annotations

from collections.abc import Sequence

from brackets.bay.hung.load_cases import load_cases_of
from brackets.bay.hung.movement import WorkedAbout, bounds_on_bushes, movement_of, told_about_spots
from brackets.bay.hung.on_bushes import on_bushes
from brackets.bay.hung.spots import Spot
from brackets.bay.schema.record import Bay


def worked_about(bay: Bay, spots: Sequence[Spot]) -> tuple[WorkedAbout, ...]:
    """What is worked out of a bay's movement, about other points of its powertrain.

    bay: whose movement is worked out; spots: each a point, mm, where the powertrain stands, and the directions that
    its travel is wanted along. Each holds every place that the movement worked out has, as the one about `about` of
    the bay's movement does.
    """
    known = dict(movement_of(bay).spots)
    more = tuple(spot for spot in dict.fromkeys(spots) if spot not in known)
    if more:
        on = on_bushes(bay)
        x, y, z = map(float, on.mass.centroid)
        found = bounds_on_bushes(
            on.mass.kg, (x, y, z), on.mounts, load_cases_of(bay, on), on.stops, [at for at, _ in more],
            bay.powertrain.moves_overshoot, [along for _, along in more],
        )  # fmt: skip
        known.update(zip(more, told_about_spots(found, more, 0, (x, y, z)), strict=True))
    return tuple(known[spot] for spot in spots)
