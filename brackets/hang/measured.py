"""What is known of one stiffness: its figure, its least and most, and how; a measured one from readings.

N/mm, or N mm/rad for turning.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from brackets.core.errors import InputError


@dataclass(frozen=True, kw_only=True)
class Known:
    """A stiffness `value` between `low` and `high`, and `how` it is known; N/mm or N mm/rad."""

    value: float
    low: float
    high: float
    how: str

    @classmethod
    def about(cls, value: float, pm: float, how: str) -> Known:
        """`value` plus or minus the part `pm` of it."""
        return cls(value=value, low=value * (1 - pm), high=value * (1 + pm), how=how)


def measured_stiffness(
    points: Sequence[tuple[float, float]],
    *,
    load: float | None = None,
    load_pm: float = 0.0,
    travel_pm: float = 0.0,
) -> Known:
    """Stiffness of a bush from what was measured in a press or with weights, N/mm.

    points: travel mm and load N of each reading, at least two, in any order; load: N that the mount carries, about
    which the slope is wanted, None for all of the range; load_pm, travel_pm: how well either is read, either way.
    With a load the slope is that between the readings on both sides of it, else that of the straight line of least
    squares. Least and most add what the readings' ± can make of the slope's two ends, and with three readings or
    more twice the standard error of the line.
    Raises InputError with everything that is wrong.

    >>> found = measured_stiffness([(0, 0), (1, 290), (2, 610), (3, 960)], load=500, travel_pm=0.02)
    >>> round(found.value), round(found.low), round(found.high)
    (320, 308, 333)
    """
    readings = sorted((float(x), float(y)) for x, y in points)
    if wrong := _refused(readings, load, load_pm, travel_pm):
        raise InputError(*wrong)
    if load is not None:
        i = next(i for i in range(1, len(readings)) if load <= readings[i][1])
        readings = readings[i - 1 : i + 1]
    count = len(readings)
    middle_x, middle_y = (sum(r[k] for r in readings) / count for k in (0, 1))
    square = sum((x - middle_x) ** 2 for x, _ in readings)
    slope = sum((x - middle_x) * (y - middle_y) for x, y in readings) / square
    left = sum((y - middle_y - slope * (x - middle_x)) ** 2 for x, y in readings)
    off = 2 * math.sqrt(left / (count - 2) / square) if count > 2 else 0.0
    span_x, span_y = readings[-1][0] - readings[0][0], readings[-1][1] - readings[0][1]
    low = (span_y - 2 * load_pm) / (span_x + 2 * travel_pm) / (span_y / span_x)
    high = (span_y + 2 * load_pm) / (span_x - 2 * travel_pm) / (span_y / span_x)
    return Known(value=slope, low=max(slope * low - off, 0.0), high=slope * high + off, how="measured")


def _refused(
    readings: list[tuple[float, float]], load: float | None, load_pm: float, travel_pm: float
) -> list[str]:
    wrong = [] if len(readings) > 1 else [f"points = {len(readings)}, must be two or more: readings"]
    wrong += [
        f"points = {x:g} mm {y:g} N, must be finite: a reading"
        for x, y in readings
        if not (math.isfinite(x) and math.isfinite(y))
    ]
    for name, pm, unit in (("load_pm", load_pm, "N"), ("travel_pm", travel_pm, "mm")):
        if not (math.isfinite(pm) and pm >= 0):
            wrong.append(f"{name} = {pm:g} {unit}, must be 0 or more: how well it is read")
    if wrong:
        return wrong
    for (x, y), (to_x, to_y) in zip(readings, readings[1:], strict=False):
        if not (to_x > x and to_y > y):
            said = f"{x:g} mm {y:g} N to {to_x:g} mm {to_y:g} N"
            wrong.append(f"points = {said}, both must rise: a bush that is pressed further pushes more")
    if not wrong and 2 * travel_pm >= readings[-1][0] - readings[0][0]:
        wrong.append(f"travel_pm = {travel_pm:g} mm, must be under half of the range of travel read")
    if not wrong and load is not None and not readings[0][1] <= load <= readings[-1][1]:
        least, most = readings[0][1], readings[-1][1]
        wrong.append(f"load = {load:g} N, must be {least:g} to {most:g} N: where it was measured")
    return wrong
