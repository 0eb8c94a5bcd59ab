"""Every load case at once: what each mount carries in it, which way it is pulled, and what holds if one fails.

Axes of the bay, N, mm. A case says itself whether its loads are characteristic or factored already.
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
from brackets.hang.mount import Array, Mount, Stop, as_mounts
from brackets.hang.statics import (
    NotHeldError,
    Reactions,
    at_rest,
    checked_body,
    free_direction,
    free_words,
    gaps_with_nothing_on,
    late_load,
    mount_forces,
    reactions,
    rest_under,
)

LARGEST_TURN = 5.0
"""Degrees: a larger turn is beyond what small movements say (0.4 % of a length)."""
NOTHING = 1e-6
"""Of the weight: a force that is only rounding."""
CARRIES = 0.02
"""Of the weight: what carries less at rest, such as a link, is pulled either way by its nature."""


@dataclass(frozen=True, kw_only=True)
class MountState:
    """One mount in one case.

    force: on the powertrain, bay axes, N; give: mm pressed along its own axes, with no weight on as 0; reverses: it
    is pulled the other way than by the weight; lifts: it holds the powertrain down (either only of what carries
    weight at rest); overload: force over the largest it carries, overtravel: give over its travel, of the worst
    direction, each None where none is typed.
    """

    mount: str
    force: Vec
    give: Vec
    reverses: bool
    lifts: bool
    overload: float | None
    overtravel: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class CaseResult:
    """One case: `found`, its mounts, stops that close in it, and pads that carry the weight but let go in it."""

    case: LoadCase
    found: Reactions
    mounts: tuple[MountState, ...]
    closes: tuple[str, ...]
    separates: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class LeftLoad:
    """The most that a mount carries where another has failed: force, N, and the case; overload: its part of the
    largest load of the bush, None where that is not known."""

    mount: str
    force: float
    case: str
    overload: float | None


@dataclass(frozen=True, kw_only=True)
class Missing:
    """What is left where one mount has failed.

    held: whether the powertrain stays in every case; by: mounts and stops that carry it, in any case; drop: most
    that the failed mount's place moves from where it is drawn, mm; turn: most that the powertrain turns, degrees;
    small: whether `turn` is small enough for these figures; free: which way nothing holds it, in words; case: the
    case it is not held in; loads: of each mount that is left, the most in any case, where it is held.
    """

    mount: str
    held: bool
    by: tuple[str, ...]
    drop: float
    turn: float
    free: str = ""
    case: str = ""
    loads: tuple[LeftLoad, ...] = ()

    @property
    def small(self) -> bool:
        return self.turn <= LARGEST_TURN


def under_cases(
    mass: float,
    centre: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    cases: Iterable[LoadCase],
    *,
    stops: Sequence[Stop] = (),
) -> tuple[CaseResult, ...]:
    """What every mount carries in every case, the weight alone first.

    mass, centre, mounts, stops: as for `reactions`; cases: each with its loads and what the powertrain feels.
    Raises InputError with everything that is wrong, NotHeldError where nothing holds the powertrain.

    >>> four = [{"name": f"{x} {y}", "position": (x, y, 0), "stiffness": 300} for x in (-200, 200) for y in (-1, 1)]
    >>> jump = LoadCase(name="jump", felt=(0, 0, 2.5))
    >>> [state.lifts for state in under_cases(150, (0, 0, 0), four, [jump])[1].mounts]
    [True, True, True, True]
    """
    held = as_mounts(mounts)
    at_rest_ = reactions(mass, centre, held, stops=stops)
    made = [_result(LoadCase(name="weight"), at_rest_, at_rest_)]
    for case in cases:
        found = reactions(mass, centre, held, case.loads, stops=stops, felt=case.felt)
        made.append(_result(case, found, at_rest_))
    return tuple(made)


def _result(case: LoadCase, found: Reactions, rest: Reactions) -> CaseResult:
    weight = float(np.linalg.norm(rest.forces.sum(axis=0)))
    carried = zip(found.stops, rest.pushes, found.pushes, strict=True)
    return CaseResult(
        case=case,
        found=found,
        mounts=tuple(_state(found, rest, i, weight) for i in range(len(found.mounts))),
        closes=tuple(name for name in found.closed if name not in rest.closed),
        separates=tuple(stop.name for stop, before, now in carried if stop.carries and before > 0 and not now > 0),
    )


def _state(found: Reactions, rest: Reactions, i: int, weight: float) -> MountState:
    mount, force, before = found.mounts[i], found.forces[i], rest.forces[i]
    give = found.give(i)
    size, least = float(np.linalg.norm(before)), NOTHING * weight
    travels = [
        abs(float(g)) / limit if limit > 0 else math.inf
        for g, limit in zip(give, mount.travel, strict=True)
        if limit is not None and (limit > 0 or abs(float(g)) > 1e-9)
    ]
    return MountState(
        mount=mount.name,
        force=_vec(force),
        give=_vec(give),
        reverses=size > CARRIES * weight and float(force @ before) < -least * size,
        lifts=bool(before[2] > CARRIES * weight and force[2] < -least),
        overload=None if mount.load is None else float(np.linalg.norm(force)) / mount.load,
        overtravel=max(travels) if travels else None,
    )


def one_missing(
    mass: float,
    centre: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    cases: Iterable[LoadCase] = (),
    *,
    stops: Sequence[Stop] = (),
) -> tuple[Missing, ...]:
    """For each mount: whether the powertrain stays where it is if that one fails, under its weight and every case.

    mass, centre, mounts, cases, stops: as for `under_cases`. A mount that fails carries nothing in any direction
    any more; its stops, which are steel, stay (all stops do), at the gap they have with every mount whole.
    Raises InputError with everything that is wrong, NotHeldError where nothing holds it with all mounts there.

    >>> three = [{"name": n, "position": p, "stiffness": 300} for n, p in
    ...          (("left", (0, 300, 0)), ("right", (0, -300, 0)), ("rear", (-500, 0, 0)))]
    >>> [each.held for each in one_missing(150, (-100, 0, 50), three)]
    [False, False, False]
    >>> under = Stop(name="washer", at=(-500, 0, 0), direction=(0, 0, -1), gap=5, of="rear")
    >>> one_missing(150, (-100, 0, 50), three, stops=[under])[2].by
    ('left', 'right', 'washer')
    """
    held = as_mounts(mounts)
    middle = checked_body(mass, centre, (0.0, 0.0, 0.0))
    names = {mount.name for mount in held}
    if wrong := [f"{s.name}: of = {s.of!r}, must be one of {', '.join(sorted(names))}" for s in stops
                 if s.of and s.of not in names]:  # fmt: skip
        raise InputError(*wrong)
    rest = at_rest(held, stops, middle, total((), mass, middle), "its weight").movement
    gaps = gaps_with_nothing_on(stops, middle, rest)
    loads = [("weight", total((), mass, middle)), *((case.name, case.about(mass, middle)) for case in cases)]
    return tuple(_without(i, held, stops, middle, rest, gaps, loads) for i in range(len(held)))


def _without(
    i: int,
    mounts: tuple[Mount, ...],
    stops: Sequence[Stop],
    centre: Array,
    rest: Array,
    gaps: Array,
    loads: Sequence[tuple[str, Array]],
) -> Missing:
    left = mounts[:i] + mounts[i + 1 :]
    pushing = np.zeros(len(stops), dtype=bool)
    drop = turn = 0.0
    carried = []
    for name, load in loads:
        try:
            found = rest_under(left, stops, centre, load + late_load(left, centre, rest), gaps, name)
        except NotHeldError as error:
            return Missing(
                mount=mounts[i].name, held=False, by=(), drop=math.inf, turn=math.inf,
                free=free_words(error.free, centre), case=name,
            )  # fmt: skip
        moved = found.movement - rest
        drop = max(drop, float(np.linalg.norm(moved[:3] + np.cross(moved[3:], mounts[i].position - centre))))
        turn = max(turn, math.degrees(float(np.linalg.norm(moved[3:]))))
        pushing |= found.pushes > 0
        carried.append(np.linalg.norm(mount_forces(left, centre, found.movement, rest)[0], axis=1))
    if (loose := free_direction(left, stops, centre)) is not None:
        return Missing(
            mount=mounts[i].name, held=False, by=(), drop=math.inf, turn=math.inf,
            free=free_words(loose, centre), case=loads[0][0],
        )  # fmt: skip
    by = (*(mount.name for mount in left), *(s.name for s, on in zip(stops, pushing, strict=True) if on))
    most = tuple(
        _most_of(mount, [float(forces[k]) for forces in carried], [name for name, _ in loads])
        for k, mount in enumerate(left)
    )
    return Missing(mount=mounts[i].name, held=True, by=by, drop=drop, turn=turn, loads=most)


def _most_of(mount: Mount, forces: Sequence[float], cases: Sequence[str]) -> LeftLoad:
    worst = max(range(len(forces)), key=forces.__getitem__)
    part = None if mount.load is None else forces[worst] / mount.load
    return LeftLoad(mount=mount.name, force=forces[worst], case=cases[worst], overload=part)


def _vec(values: Array) -> Vec:
    return float(values[0]), float(values[1]), float(values[2])
