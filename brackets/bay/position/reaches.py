"""What the arm of each mount would have to be at a position of the powertrain, by the figures that a bay gives its
parts: bushes stay where they are typed, and what an arm is fixed to moves.

On a rail, box or tube of the powertrain: reach, slope and lean as `mount_frames` works them out. On bosses: the
straight way from the middle of the bosses to the middle of the bush, how far it rises from level, and how far the
bush axis is from lying along the boss face.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from brackets.bay.hung.mount_frames import mount_frame, place_of
from brackets.bay.position.placing import vec
from brackets.bay.schema.asked import POWERTRAIN
from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.schema.standing import LINK, Mount
from brackets.core.errors import InputError
from brackets.core.vectors import Vec, dot, length, sub, unit


@dataclass(frozen=True, kw_only=True)
class ArmNeed:
    """What one half of a mount asks of its part.

    onto: the rail, or "bosses E1, E2"; reach in mm, slope and lean in degrees, None where the bay cannot work them
    out; reason: why not, then. start, end: from what it is fixed to, to the bush, mm; None with `reason`.
    """

    mount: str
    part: str
    onto: str
    reach: float | None = None
    slope: float | None = None
    lean: float | None = None
    start: Vec | None = None
    end: Vec | None = None
    reason: str = ""


def arm_needs(bay: Bay) -> tuple[ArmNeed, ...]:
    """Of every mount half that is fixed to the powertrain, with the powertrain where `bay` has it."""
    return tuple(need for entry in bay.parts for need in _of_part(bay, entry))


def _of_part(bay: Bay, entry: PartEntry) -> Iterator[ArmNeed]:
    for mount, side in bay.mounts_of(entry.row.name):
        if side == LINK:
            continue
        onto = getattr(mount, f"{side}_onto")
        if onto is not None and bay.keep_out_by_name[onto].side == POWERTRAIN:
            yield _on_rail(bay, mount, side, entry.row.name, onto)
        elif entry.row.bosses:
            yield _on_bosses(bay, mount, side, entry)


def _on_rail(bay: Bay, mount: Mount, side: str, part: str, onto: str) -> ArmNeed:
    try:
        stand = mount_frame(bay, mount, side)
    except InputError as error:
        reason = "; ".join(line.removeprefix(f"mount {mount.name}: ") for line in error.problems)
        return ArmNeed(mount=mount.name, part=part, onto=onto, reason=reason)
    reach, slope, lean = (float(stand.values[f"rail {name}"]) for name in ("reach", "slope", "lean"))
    foot = stand.frame.point((0.0, reach, 0.0))
    return ArmNeed(
        mount=mount.name, part=part, onto=onto, reach=reach, slope=slope, lean=lean, start=foot, end=stand.frame.at
    )


def _on_bosses(bay: Bay, mount: Mount, side: str, entry: PartEntry) -> ArmNeed:
    place = place_of(bay.powertrain)
    bosses = [bay.boss_by_name[name] for name in entry.row.bosses]
    start = vec(np.mean([place.point(boss.at) for boss in bosses], axis=0))
    end = bay.centre(mount, side)
    way, far = sub(end, start), length(sub(end, start))
    onto = f"{'boss' if len(bosses) == 1 else 'bosses'} {', '.join(boss.name for boss in bosses)}"
    if far == 0:
        return ArmNeed(mount=mount.name, part=entry.row.name, onto=onto, reason="the bush stands in its bosses")
    across = dot(unit(mount.axis), unit(place.direction(bosses[0].normal)))
    return ArmNeed(
        mount=mount.name,
        part=entry.row.name,
        onto=onto,
        reach=far,
        slope=_angle(way[2] / far),
        lean=_angle(across),
        start=start,
        end=end,
    )


def _angle(sine: float) -> float:
    return math.degrees(math.asin(min(1.0, max(-1.0, sine))))
