"""How far the powertrain of a bay moves: as typed, as worked out from its bushes, or as far as either.

A region is a box: roll, pitch and yaw about a point, one after the other, then a travel. Worked out it holds every
movement by the load cases of the bay, on the way to each and from one to another, with an overshoot, whatever the
scatter of the bushes. The drawn place is that with the weight on. mm, degrees, axes of the bay.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from brackets.bay.hung.load_cases import load_cases_of
from brackets.bay.hung.mount_frames import about as rocks_about
from brackets.bay.hung.on_bushes import AFTER, on_bushes
from brackets.bay.hung.spots import BAY_AXES, Frame, Spot, spots_of
from brackets.bay.schema.moves_keys import BOTH, TYPED, WORKED_OUT
from brackets.bay.schema.record import Bay
from brackets.core.errors import BadFile, InputError
from brackets.core.kept import keeps
from brackets.core.vectors import Vec
from brackets.hang.cases import under_cases
from brackets.hang.load import LoadCase
from brackets.hang.mount import Mount, Stop
from brackets.hang.statics import NotHeldError, free_direction, reactions
from brackets.hang.travel import CaseMovement, MovementBounds, movement_bounds
from brackets.hang.turns import TurnedOverError, beyond_first_order, successive_turns

Span = tuple[float, float]
Spans = tuple[Span, Span, Span]

NONE = "none"
"""How it is known of a bay that says nothing of its movement."""

STILL: Spans = ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0))

PULLS: Mapping[str, tuple[int, float]] = {
    "down": (2, -1.0),
    "up": (2, 1.0),
    "forward": (0, 1.0),
    "back": (0, -1.0),
    "left": (1, 1.0),
    "right": (1, -1.0),
}
"""Ways that a road pulls a powertrain: axis and sign."""


@dataclass(frozen=True, kw_only=True)
class Region:
    """What one case does not pass: turns, from and to of roll, pitch and yaw, degrees; travel, from and to, mm, of
    the point that is turned about, along three directions; about: that point, None for the one of all the bay."""

    name: str
    turns: Spans = STILL
    travel: Spans = STILL
    about: Vec | None = None
    along: Frame = BAY_AXES

    @property
    def spans(self) -> tuple[Span, ...]:
        """Travel forward, left and up, mm, then roll, pitch and yaw, degrees."""
        return (*self.travel, *self.turns)


@dataclass(frozen=True, kw_only=True)
class Unloaded:
    """Where the powertrain hangs with its weight on a hoist and nothing on its bushes: shift (3,) mm of `centre`,
    then a turn (3,) radians, a vector, about it, from the place as drawn."""

    centre: Vec
    shift: Vec
    turn: Vec


@dataclass(frozen=True, kw_only=True)
class WorkedAbout:
    """What is worked out, about a point: whole: all of it; cases: each by itself, then the ways between two of them
    that these do not hold; all other ways lie between the regions of their cases."""

    whole: Region
    cases: tuple[Region, ...]


@dataclass(frozen=True, kw_only=True)
class BayMovement:
    """How the powertrain moves, and how that is known: "none", "typed", "worked out", or "both".

    about: the point that it turns about; whole: the region that holds all of it; by: for each of its `spans`, the
    case that reaches its low and its high end; cases: each by itself, the typed one first, where it is taken;
    ways: between two cases where these alone do not hold it; mounts: by the name of a mount, the same about its
    middle, from where its bush carries nothing; spots: the same about the points of `spots_of`; unloaded: with
    no weight on, where that is worked out; problem: why nothing is worked out though there are load cases; turned:
    degrees, where that is because its mounts do not hold it upright; loose: whether it is because nothing holds it
    in some direction, with all its mounts bolted up; lacking: ways in which no case pulls it.
    """

    how: str = NONE
    about: Vec = (0.0, 0.0, 0.0)
    whole: Region = Region(name="")
    by: tuple[tuple[str, str], ...] = ()
    cases: tuple[Region, ...] = ()
    ways: tuple[Region, ...] = ()
    mounts: Mapping[str, tuple[Region, ...]] = field(default_factory=dict)
    spots: Mapping[Spot, WorkedAbout] = field(default_factory=dict)
    unloaded: Unloaded | None = None
    overshoot: float = 1.0
    problem: str = ""
    turned: float | None = None
    loose: bool = False
    lacking: tuple[str, ...] = ()

    @property
    def worked_out(self) -> bool:
        return self.how in (BOTH, WORKED_OUT)

    @property
    def typed(self) -> Region | None:
        """The typed movement where it is taken beside what is worked out."""
        return self.cases[0] if self.how == BOTH else None

    @property
    def turned_most(self) -> tuple[float, str]:
        """Degrees about any one axis at most, and by which case."""
        found = [(abs(end), name) for span, by in zip(self.whole.turns, self.by[3:], strict=True)
                 for end, name in zip(span, by, strict=True)]  # fmt: skip
        return max(found, default=(0.0, ""))


def movement_of(bay: Bay) -> BayMovement:
    """How far the powertrain moves, by [powertrain] moves and the load cases; worked out once a bay.

    bay: as read. Raises BadFile where the movement worked out is asked for and cannot be.
    """
    return bay.once(_movement)


def _movement(bay: Bay) -> BayMovement:
    typed, taken = _typed(bay), bay.powertrain.moves_taken
    try:
        made = None if taken == TYPED else _worked_out(bay)
        problem, turned, loose = "", None, False
    except InputError as error:
        made, problem = None, "; ".join(error.problems)
        turned = error.degrees if isinstance(error, TurnedOverError) else None
        loose = isinstance(error, NotHeldError) and _loose(bay)
    if taken == WORKED_OUT and made is None:
        why = problem or "there is no load case, or no lump or mount"
        raise BadFile(bay.path, f"powertrain: moves.taken = {WORKED_OUT}, only where it can be: {why}")
    if made is not None and (typed is None or taken == WORKED_OUT):
        return made
    if typed is None:
        return BayMovement(about=rocks_about(bay), problem=problem, turned=turned, loose=loose)
    by = ((TYPED, TYPED),) * 6
    if made is not None:
        return _both(typed, made)
    about = rocks_about(bay)
    return BayMovement(
        how=TYPED, about=about, whole=typed, by=by, cases=(typed,), problem=problem, turned=turned, loose=loose
    )


def _loose(bay: Bay) -> bool:
    """Whether nothing holds the powertrain in some direction, not even a stop or what is bolted up once its weight
    is on."""
    on = on_bushes(bay)
    mounts, centre = [mount.bolted_up_early() for mount in on.mounts], np.array(on.mass.centroid)
    if free_direction(mounts, on.stops, centre) is not None:
        return True
    try:
        under_cases(on.mass.kg, centre, mounts, load_cases_of(bay, on), stops=on.stops)
    except NotHeldError:
        return True
    return False


def _typed(bay: Bay) -> Region | None:
    """The typed movement; None where the file types none."""
    p = bay.powertrain
    turns = tuple((-most, most) for most in (p.moves_roll, p.moves_pitch, p.moves_yaw))
    travel = ((-p.moves_aft, p.moves_fore), (-p.moves_side, p.moves_side), (-p.moves_down, p.moves_up))
    if not any(high or low for low, high in (*turns, *travel)):
        return None
    return Region(name=TYPED, turns=turns, travel=travel)  # type: ignore[arg-type]


def _both(typed: Region, made: BayMovement) -> BayMovement:
    """The smallest box that holds both."""
    spans, by = [], []
    for mine, own, names in zip(typed.spans, made.whole.spans, made.by, strict=True):
        spans.append((min(mine[0], own[0]), max(mine[1], own[1])))
        by.append((TYPED if mine[0] <= own[0] else names[0], TYPED if mine[1] >= own[1] else names[1]))
    return BayMovement(
        how=BOTH, about=made.about, whole=Region(name="", travel=_three(spans[:3]), turns=_three(spans[3:])),
        by=tuple(by), cases=(typed, *made.cases), ways=made.ways, mounts=made.mounts, spots=made.spots,
        unloaded=made.unloaded,
        overshoot=made.overshoot, lacking=made.lacking,
    )  # fmt: skip


def _worked_out(bay: Bay) -> BayMovement | None:
    """By the load cases; None where there are none. Raises InputError where they cannot be worked out."""
    if not bay.lumps or not bay.mounts:
        return None
    on = on_bushes(bay)
    cases = load_cases_of(bay, on)
    if not cases:
        return None
    about, overshoot = rocks_about(bay), bay.powertrain.moves_overshoot
    rows = [row for row in bay.mounts if row.link_part is None]
    points, spots = (about, *(row.at for row in rows)), spots_of(bay)
    centre = np.array(on.mass.centroid, dtype=np.float64)
    at = (*points, *(spot for spot, _ in spots))
    frames = (*[BAY_AXES] * len(points), *(along for _, along in spots))
    found = bounds_on_bushes(on.mass.kg, _vec(centre), on.mounts, cases, on.stops, at, overshoot, frames)
    rest = reactions(on.mass.kg, centre, on.mounts, stops=on.stops).rest
    arms = [float(np.linalg.norm(np.subtract(point, centre))) for point in points]
    whole = region_at("", found.moved, found.points, 0, arms[0])
    regions, ways = ([region_at(case.name, case.moved, case.points, 0, arms[0]) for case in those]
                     for those in (found.cases, found.ways))  # fmt: skip
    mounts = {}
    for i, row in enumerate(rows, 1):
        hung = np.zeros(6) if row.fit == AFTER else rest
        mounts[row.name] = tuple(
            _from_nothing_on(case, i, arms[i], centre, hung, row.at) for case in (*found.cases, *found.ways)
        )
    return BayMovement(
        how=WORKED_OUT, about=about, whole=whole, by=tuple(zip(*found.by, strict=True)),
        cases=tuple(regions), ways=tuple(ways), mounts=mounts, overshoot=overshoot, lacking=_lacking(cases),
        spots=dict(zip(spots, told_about_spots(found, spots, len(points), _vec(centre)), strict=True)),
        unloaded=Unloaded(centre=_vec(centre), shift=_vec(-rest[:3]), turn=_vec(-rest[3:])),
    )  # fmt: skip


@keeps("movement on bushes")
def bounds_on_bushes(
    mass: float,
    centre: Vec,
    mounts: Sequence[Mount],
    cases: Sequence[LoadCase],
    stops: Sequence[Stop],
    points: Sequence[Vec],
    overshoot: float,
    frames: Sequence[Frame] = (),
) -> MovementBounds:
    """`movement_bounds`, kept."""
    return movement_bounds(
        mass, centre, mounts, cases, stops=stops, points=points, overshoot=overshoot, frames=frames
    )


def told_about_spots(
    found: MovementBounds, spots: Sequence[Spot], first: int, centre: Vec
) -> tuple[WorkedAbout, ...]:
    """Bounds about spots, which are the points of `found` from `first` on; centre: of mass, mm."""

    def region(name: str, one: MovementBounds | CaseMovement, i: int) -> Region:
        at, along = spots[i]
        made = region_at(name, one.moved, one.points, first + i, math.dist(at, centre))
        return replace(made, about=at, along=along)

    return tuple(
        WorkedAbout(
            whole=region("", found, i),
            cases=tuple(region(one.name, one, i) for one in (*found.cases, *found.ways)),
        )
        for i in range(len(spots))
    )


def region_at(name: str, moved: Any, points: Any, i: int, arm: float) -> Region:
    """The region about one of the points, `arm` mm off the centre, with what small turns leave out."""
    turns = successive_turns(moved[0][3:], moved[1][3:])
    off = beyond_first_order(float(np.linalg.norm(np.maximum(*np.abs(np.array(moved)[:, 3:])))), arm)
    return Region(
        name=name,
        turns=_spans(np.degrees(turns[0]), np.degrees(turns[1])),
        travel=_spans(points[0][i] - off, points[1][i] + off),
    )


def _from_nothing_on(case: CaseMovement, i: int, arm: float, centre: Any, rest: Any, at: Vec) -> Region:
    """The region about a mount's middle, counted from where its bush carries nothing: `rest` further."""
    sag = rest[:3] + np.cross(rest[3:], np.subtract(at, centre))
    moved = [np.concatenate([end[:3], end[3:] + rest[3:]]) for end in case.moved]
    points = [end.copy() for end in case.points]
    for end in points:
        end[i] += sag
    return region_at(case.name, moved, points, i, arm)


def _lacking(cases: Sequence[LoadCase]) -> tuple[str, ...]:
    ways = PULLS.items()
    return tuple(word for word, (axis, sign) in ways if not any(sign * one.felt[axis] > 0 for one in cases))


def _spans(low: Any, high: Any) -> Spans:
    return _three([(float(a), float(b)) for a, b in zip(low, high, strict=True)])


def _three(spans: Sequence[Span]) -> Spans:
    a, b, c = spans
    return a, b, c


def _vec(values: Any) -> Vec:
    x, y, z = (float(value) + 0.0 for value in values)
    return x, y, z


def radial_axial(region: Region, axis: Vec) -> tuple[float, float]:
    """mm: most that a region's travel goes square to a unit direction, and along it."""
    corners = np.array(np.meshgrid(*region.travel)).reshape(3, -1).T
    along = corners @ np.asarray(axis)
    across = np.linalg.norm(corners - np.outer(along, axis), axis=1)
    return float(across.max()), float(np.abs(along).max())


def largest_turn(region: Region) -> float:
    """Degrees: no turn of the region is larger."""
    return math.hypot(*(max(map(abs, span)) for span in region.turns))
