"""Volume and moments of a wall of plate: its outline times the thickness, less openings and tube seats."""

from __future__ import annotations

import math

from brackets.errors import OutOfRange
from brackets.mass.record import Moments3
from brackets.outline import moments
from brackets.pieces import Wall


def wall_moments(wall: Wall, t: float) -> Moments3:
    """Moments of the wall from z = 0 to z = t of its own frame."""
    if not (math.isfinite(t) and t > 0):
        raise OutOfRange(f"t = {t:g} mm, must be over 0: plate thickness")
    area = moments(wall.outline)
    for opening in wall.openings:
        area -= moments(opening.outline)
    return Moments3.prism(area, 0.0, t)
