"""Shapes in which the powertrain of a bay swings on its bushes, as the page moves it: a turn and a shift each."""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.bay.hung.on_bushes import on_bushes
from brackets.bay.schema.record import Bay
from brackets.core.errors import InputError
from brackets.hang.mount import lever
from brackets.hang.vibration import modes

SHOWN = 10.0
"""mm that the mount which goes furthest goes in the picture of a mode: a shape has no size of its own."""


def mode_shapes(bay: Bay) -> list[dict[str, Any]]:
    """Each mode with its name, the point it is about, mm, its turn as a vector, radians, and its shift, mm; none
    where the bay does not say what it weighs and hangs on."""
    try:
        on = on_bushes(bay)
        found = modes(on.mass.kg, on.mass.inertia, on.mounts, centre=on.mass.centroid)
    except InputError:
        return []
    centre = np.asarray(on.mass.centroid)
    made = []
    for i, hz in enumerate(map(float, found.hz)):
        shape = np.asarray(found.shapes[i])
        far = max(float(np.linalg.norm(lever(mount.position - centre) @ shape)) for mount in on.mounts)
        if far > 0:
            shape = shape * (SHOWN / far)
        way, share = found.chief(i)
        made.append(
            {
                "name": f"{hz:.1f} Hz, {share:.0%} {way}",
                "about": [float(c) for c in centre],
                "turn": [float(c) for c in shape[3:]],
                "shift": [float(c) for c in shape[:3]],
            }
        )
    return made
