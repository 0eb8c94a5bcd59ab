"""Volume and moments of turned pieces: rings stacked along the axis."""

from __future__ import annotations

import math
from itertools import pairwise

from brackets.errors import OutOfRange
from brackets.mass.record import Moments3
from brackets.outline import Moments
from brackets.pieces import Turned


def solid_moments(piece: Turned) -> Moments3:
    """Moments of the solid in the piece's own frame. Raises OutOfRange where the steps make no single solid."""
    check(piece)
    whole, z = Moments3(), 0.0
    for step in piece.steps:
        whole += Moments3.prism(ring(step.od, step.bore), z, z + step.length)
        z += step.length
    return whole


def ring(od: float, bore: float) -> Moments:
    """Moments of the ring between two circles about the origin."""
    second = math.pi / 64 * (od**2 + bore**2) * (od + bore) * (od - bore)
    return Moments(math.pi / 4 * (od + bore) * (od - bore), (0.0, 0.0), second, second, 0.0)


def check(piece: Turned) -> None:
    """Refuse steps that are no metal, or that leave the piece in two (OutOfRange, every one at once)."""
    problems = [] if piece.steps else ["steps = none, at least one: a turned piece"]
    for n, step in enumerate(piece.steps, 1):
        of = f"step {n} of {len(piece.steps)}"
        if not (math.isfinite(step.length) and step.length > 0):
            problems.append(f"length = {step.length:g} mm, must be over 0: {of}")
        if not (math.isfinite(step.od) and step.od > 0):
            problems.append(f"od = {step.od:g} mm, must be over 0: {of}")
        elif not 0 <= step.bore < step.od:
            problems.append(f"bore = {step.bore:g} mm, must be 0 to less than od = {step.od:g} mm: {of}")
    if not problems:
        for n, (low, high) in enumerate(pairwise(piece.steps), 1):
            if low.bore >= high.od or high.bore >= low.od:
                problems.append(
                    f"bore = {max(low.bore, high.bore):g} mm, must be less than od = "
                    f"{min(low.od, high.od):g} mm: steps {n} and {n + 1} would not hold together"
                )
    if problems:
        raise OutOfRange(*problems)
