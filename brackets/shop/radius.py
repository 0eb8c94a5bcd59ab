"""The least inside radius steel can be bent to without cracking: DIN 6935:1975, as read on a stored page."""

from __future__ import annotations

import math

from brackets.errors import OutOfRange
from brackets.tables import material

DIN = "DIN 6935:1975, least inside radius"

UP_TO = (1.0, 1.5, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0)
"""Thickness up to, mm, one for each column of LEAST."""

LEAST: tuple[tuple[float, tuple[float, ...]], ...] = (
    (390.0, (1, 1.6, 2.5, 3, 5, 6, 8, 10, 12, 16, 20)),
    (490.0, (1.2, 2, 3, 4, 5, 8, 10, 12, 16, 20, 25)),
    (640.0, (1.6, 2.5, 4, 5, 6, 8, 10, 12, 16, 20, 25)),
)
"""Tensile strength under, MPa, and radii, mm, across the grain and up to 120 degrees. S355 (490) is in the last."""

SHARP = 120.0
"""Bend angle, degrees, past which the next thicker row holds."""

STEEL = (7700.0, 8000.0)
"""Density, kg/m3, of what the rule is for."""


def least_radius(name: str, t: float, *, angle: float = 90.0, along: bool = False) -> float | None:
    """Least inside radius, mm; `along`: the bend line runs with the grain. None where the rule does not reach."""
    try:
        metal = material(name)
    except OutOfRange:
        return None
    strength = metal.fu(t)
    if strength is None or not STEEL[0] <= metal.density <= STEEL[1]:
        return None
    radii = next((radii for under, radii in LEAST if strength < under), None)
    row = next((i for i, upto in enumerate(UP_TO) if t <= upto), None)
    if radii is None or row is None:
        return None
    row += bool(along or abs(angle) > SHARP)
    return radii[row] if row < len(radii) else None


def with_grain(line: float, grain: float) -> bool:
    """Whether a bend line at `line` degrees runs more along the rolling direction than across it."""
    off = math.fmod(abs(line - grain), 180.0)
    return min(off, 180.0 - off) < 45.0
