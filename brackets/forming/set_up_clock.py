"""How a tube is turned about its axis when it is set up: which line of its clock points up.

Degrees are the tube's own, those of its wraps and landing lines: from the clock line, 0, round its axis (from start
to end) from x towards y. Of a bent tube they are those of its first straight.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.core.vectors import dot
from brackets.forming.set_up_datum import ALONG, Datum, axes_of
from brackets.forming.set_up_dimension import SetUpDimension
from brackets.forming.wrap import is_square
from brackets.model.cope import ENDS
from brackets.model.landing import on_round
from brackets.model.part import Part
from brackets.model.tube import BentTube, Tube

UPRIGHT = 60.0
"""Degrees to A above which a tube has no side that is up, and is turned by x instead."""


def of_clock(part: Part, tube: Tube | BentTube, datum: Datum) -> Iterator[SetUpDimension]:
    """Which line of its clock points to +z of the datum, square to its axis as it is seen along it; to +x of one
    that stands steeper than 60 degrees. Nothing of a tube that may be turned as one likes."""
    if not is_turned(part, tube):
        return
    axis = axes_of(tube)[0]
    lean = abs(datum.direction(axis.way)[2])
    upright = lean > math.sin(math.radians(UPRIGHT)) + ALONG
    to, word = (datum.frame.x, "x") if upright else (datum.frame.axis, "z")
    value = math.degrees(math.atan2(dot(to, tube.place.up), dot(to, tube.place.x))) % 360.0
    value = 0.0 if 360.0 - value < ALONG else value
    what = f"clock{' of straight 1' if isinstance(tube, BentTube) else ''}: line towards +{word}"
    yield SetUpDimension(piece=tube.name, what=what, kind="clock", value=value, to=axis)


def is_turned(part: Part, tube: Tube | BentTube) -> bool:
    """Whether it matters how a tube is turned: it is bent, an end is cut to something, or something stands on one
    side of it."""
    if isinstance(tube, BentTube) or not all(is_square(tube, which) for which in ENDS):
        return True
    return any(one.clock is not None for one in on_round(tube, part))
