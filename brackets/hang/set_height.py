"""Where the chassis side of each mount is welded so that the powertrain stands as drawn once its weight is on.

A bay is drawn with the weight on. Each bush then stands off by what the weight presses it: its powertrain side has
gone down from where the unloaded powertrain would hang. So its chassis side is welded off by as much the other way,
and turned by what the powertrain turns, the other way. What is bolted up after the weight is on stays as drawn.
Axes of the bay, mm, degrees. Small movements, as everywhere here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.vectors import Vec
from brackets.hang.mount import ROUNDING, Array, Mount, Stop, as_mounts, lever
from brackets.hang.scatter import reaction_range
from brackets.hang.statics import reactions


@dataclass(frozen=True, kw_only=True)
class SetPoint:
    """One mount's bush centre.

    late: bolted up after the weight is on; sinks: (3,) mm that the powertrain there moves as its weight comes on;
    weld: (3,) mm from the bush centre as drawn to where the chassis side has it when it is welded: `sinks` the
    other way, of what carries along some directions alone the part along these, nothing of what is late; low,
    high: (3,) mm that the powertrain there comes to stand from where it is drawn, welded so, over the scatter of
    the bushes.
    """

    mount: str
    late: bool
    sinks: Vec
    weld: Vec
    low: Vec
    high: Vec


@dataclass(frozen=True, kw_only=True)
class SetHeight:
    """Every mount, and what the powertrain does as its weight comes on.

    sinks: (3,) mm of its centre of mass; turns: (3,) degrees about x, y, z, as a rotation vector; turns_low,
    turns_high: what it is turned off as drawn over the scatter, the chassis side being turned by -turns.
    """

    mounts: tuple[SetPoint, ...]
    sinks: Vec
    turns: Vec
    turns_low: Vec
    turns_high: Vec

    @property
    def turn(self) -> float:
        """Degrees that it turns in all."""
        return math.hypot(*self.turns)


def set_height(
    mass: float,
    centre: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    *,
    stops: Sequence[Stop] = (),
) -> SetHeight:
    """Where the chassis side of each mount goes, for mounts whose positions are drawn with the weight on.

    mass: kg; centre: its centre of mass (3,) mm; mounts, stops: as for `reactions`.
    Raises InputError with everything that is wrong, NotHeldError where nothing holds the powertrain.

    >>> corners = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    >>> found = set_height(100, (0, 0, 0), corners)  # 981 N on 1000 N/mm
    >>> [round(v, 3) for v in found.mounts[0].weld], round(found.turn, 3)
    ([0.0, 0.0, 0.981], 0.0)
    """
    held = as_mounts(mounts)
    found = reactions(mass, centre, held, stops=stops)
    points = [_vec(mount.position) for mount in held]
    early = [mount for mount in held if not mount.late]
    spread = reaction_range(mass, found.centre, early, stops=stops, points=points)
    made = []
    for i, mount in enumerate(held):
        sinks = lever(mount.position - found.centre) @ found.rest
        weld = np.zeros(3) if mount.late else -_along_springs(mount) @ sinks
        made.append(
            SetPoint(
                mount=mount.name, late=mount.late, sinks=_vec(sinks), weld=_vec(weld),
                low=_vec(spread.points[0][i]), high=_vec(spread.points[1][i]),
            )
        )  # fmt: skip
    low, high = (_vec(np.degrees(end[3:])) for end in spread.moved)
    return SetHeight(
        mounts=tuple(made), sinks=_vec(found.rest[:3]), turns=_vec(np.degrees(found.rest[3:])), turns_low=low,
        turns_high=high,
    )  # fmt: skip


def _along_springs(mount: Mount) -> Array:
    """(3, 3) projection, bay axes, onto the directions it carries in: along the others it may stand anyhow."""
    size, axes = np.linalg.eigh(mount.outer[0])
    held = axes[:, size > ROUNDING * max(float(size[-1]), 0.0)]
    return np.asarray(held @ held.T)


def _vec(values: Array) -> Vec:
    x, y, z = (float(value) + 0.0 for value in values)
    return x, y, z
