"""Whether a foreign file's coordinates can be meant: how far out, how small, which unit would make sense; mm."""

from __future__ import annotations

import math

from brackets.clearance.places import Array

UNIT_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}
MOST = 100_000.0
"""How far from the origin, mm, a keep-out may reach: a hundred metres is no vehicle; beyond it rounding shows."""
LEAST = 1.0
"""The smallest keep-out, mm across: nothing that is scanned or bought is smaller."""
LIKELY = (30.0, 10_000.0)
"""mm across: a bolt to a whole chassis; a unit that brings a file in here is a likely one. Common practice."""


def strange(low: Array, high: Array, unit: str | None, *, named: str) -> str:
    """A line that refuses a box from `low` to `high`, (3,) float each in mm; nothing where it can be meant.

    unit: what the file's numbers were said to be; None where the file says it itself.
    """
    far = max(float(abs(low).max()), float(abs(high).max()))
    across = float(math.dist(low.tolist(), high.tolist()))
    if not far <= MOST:
        return f"{named}, reaches {far:.3g} mm from the origin, must be within {MOST:g} mm: {_hint(across, unit)}"
    if across < LEAST:
        return f"{named}, is {across:.3g} mm across, must be {LEAST:g} mm or more: {_hint(across, unit)}"
    return ""


def _hint(across: float, unit: str | None) -> str:
    if unit is None:
        return "is the unit in the file right?"
    own = across / UNIT_MM[unit]
    likely = [u for u, mm in UNIT_MM.items() if u != unit and LIKELY[0] <= own * mm <= LIKELY[1]]
    if not likely:
        return f"is unit = {unit} right? No unit makes sense of it: is the file damaged?"
    return f"is unit = {unit} right? In {' or '.join(likely)} it would be {own * UNIT_MM[likely[0]]:.4g} mm across"
