"""Roller chains by size, and the pitch radius of a sprocket or a toothed pulley by its teeth. mm."""

from __future__ import annotations

import math
from collections.abc import Mapping

CHAIN_PITCHES: Mapping[str, float] = {
    "05B": 8.0, "06B": 9.525, "08A": 12.7, "08B": 12.7, "10A": 15.875, "10B": 15.875, "12A": 19.05, "12B": 19.05,
    "16A": 25.4, "16B": 25.4, "20A": 31.75, "20B": 31.75,
}  # fmt: skip
"""Size by ISO 606: pitch. B by a stored table of DIN 8187, which ISO 606 took over; A from memory."""

CHAIN, BELT = "chain", "belt"
RUN_KINDS = (CHAIN, BELT)


def pitch_radius(kind: str, pitch: float, teeth: int) -> float:
    """Pitch radius, mm, of a wheel with so many teeth.

    kind: "chain", whose links lie round it as a polygon (ISO 606: d = p / sin(180/z)), or "belt", a toothed belt
    whose pitch line is a circle (ISO 5296: d = p z / pi, from memory).
    """
    if kind == CHAIN:
        return pitch / (2 * math.sin(math.pi / teeth))
    return pitch * teeth / (2 * math.pi)
