"""How far the powertrain may move in all: over every case, the way there, the scatter of bushes, and an overshoot.

A box of six figures (mm along x, y, z and radians about them, of the centre of mass) and of every point that is
asked for, from the place as drawn. Nothing between is left out: without stops a load that grows moves everything
along a straight line, for whatever bushes; with stops two loads d apart leave two places at most as far apart as d
alone would move the softest bushes, |q - q'| <= |d| in the norms of that stiffness, since stops only hold back.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.core.vectors import Vec
from brackets.hang.load import LoadCase, total
from brackets.hang.mount import Array, Mount, Stop, as_mounts, lever
from brackets.hang.scatter import reaction_range, softest
from brackets.hang.statics import checked_body

STEPS = 12
"""Places along the way to each case that are worked out where there are stops."""


@dataclass(frozen=True, kw_only=True, eq=False)
class MovementBounds:
    """What no case passes: moved, two (6,) mm and radians of the centre; points, two (m, 3) mm, from the place as
    drawn; by: for each of the six and each end, the case that reaches furthest."""

    moved: tuple[Array, Array]
    points: tuple[Array, Array]
    by: tuple[tuple[str, ...], tuple[str, ...]]


def movement_bounds(
    mass: float,
    centre: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    cases: Iterable[LoadCase],
    *,
    stops: Sequence[Stop] = (),
    points: Sequence[Vec] = (),
    overshoot: float = 1.0,
) -> MovementBounds:
    """Bounds of every movement from the place as drawn: all cases, every load on the way to them, all bushes.

    mass, centre, mounts, cases, stops: as for `under_cases`; points: of the powertrain, mm, whose movement is
    wanted; overshoot: factor, 1 or more, on all that a case adds to the weight: it swings past before it settles.
    Raises InputError with everything that is wrong, or where there are stops and the mounts do not hold the
    powertrain without them; NotHeldError where nothing holds it.

    >>> four = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    >>> found = movement_bounds(100, (0, 0, 0), four, road_cases(), overshoot=1.5)
    >>> [round(float(end[2]), 2) for end in found.moved], found.by[0][2]
    ([-4.41, 2.94], 'bump')
    """
    held = as_mounts(mounts)
    middle = checked_body(mass, centre, (0.0, 0.0, 0.0))
    if not (math.isfinite(overshoot) and overshoot >= 1):
        raise InputError(f"overshoot = {overshoot:g}, must be 1 or more: factor on what a case adds to the weight")
    asked = np.vstack([np.eye(6), *(lever(np.asarray(p, dtype=np.float64) - middle) for p in points)])
    rest = reaction_range(mass, middle, held, stops=stops, points=points)
    ends = [(_whole(rest.moved[0], rest.points[0]), _whole(rest.moved[1], rest.points[1]))]
    names, soft = ["weight"], softest(held, middle) if stops else np.zeros((6, 6))
    for case in cases:
        added = overshoot * (case.about(mass, middle) - total((), mass, middle))
        count = STEPS if stops else 1
        between = np.zeros(len(asked))
        if stops:
            size = np.sqrt(np.einsum("mi,ij,mj->m", asked, soft, asked))
            between = size * math.sqrt(float(added @ soft @ added)) / (2 * count)
            names.append(case.name)
            ends.append((ends[0][0] - between, ends[0][1] + between))
        for k in range(1, count + 1):
            part = overshoot * k / count
            found = reaction_range(
                mass, middle, held, [load.times(part) for load in case.loads], stops=stops, points=points,
                felt=(part * case.felt[0], part * case.felt[1], part * case.felt[2]),
            )  # fmt: skip
            names.append(case.name)
            low, high = (_whole(moved, at) for moved, at in zip(found.moved, found.points, strict=True))
            ends.append((low - between, high + between))
    low, high = (np.array([end[i] for end in ends]) for i in (0, 1))
    first, last = low.argmin(axis=0), high.argmax(axis=0)
    bounds = low.min(axis=0), high.max(axis=0)
    return MovementBounds(
        moved=(bounds[0][:6], bounds[1][:6]),
        points=(bounds[0][6:].reshape(-1, 3), bounds[1][6:].reshape(-1, 3)),
        by=(tuple(names[i] for i in first[:6]), tuple(names[i] for i in last[:6])),
    )


def _whole(moved: Array, points: Array) -> Array:
    return np.concatenate([moved, points.ravel()])
