"""What a part weighs itself: each of its pieces at its centre of mass, under the pull of each case. N, N mm, mm."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

import numpy as np

from brackets.hold.part_cases import PartCase
from brackets.hold.part_loads import Applied
from brackets.model import mass
from brackets.model.part import Part

NOT_COUNTED = "the weight of the part itself is not counted: nothing but what loads it or a pin holds it"


def weights_of(part: Part, cases: Sequence[PartCase], bodies: Collection[str]) -> Iterator[Applied]:
    """The weight of every piece of a part that is among `bodies`, mass times the pull of each case; none where no
    case has a pull. What lies loose at a bolt hangs on what holds the part, not on the part."""
    pull = np.array([case.pull for case in cases])
    if not pull.any():
        return
    for piece in part.pieces:
        if piece.name in bodies:
            of = mass.of(piece)
            at = np.array(of.centroid)
            force = of.kg * pull
            row = np.concatenate([force, np.cross(at, force)], axis=1)
            yield Applied(piece.name, f"weight of {piece.name}", at, row)
