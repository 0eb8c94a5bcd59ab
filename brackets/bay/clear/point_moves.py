"""How far a point of the powertrain gets over its movement, told about that point, and which case takes it there.

The typed movement and the one that is worked out are places by themselves: a figure is the worse of the two. mm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from brackets.bay.clear.regions import CaseMoves, moves_in, moves_of
from brackets.bay.hung.about_points import worked_about
from brackets.bay.hung.movement import movement_of
from brackets.bay.hung.spots import Spot
from brackets.bay.schema.record import Bay
from brackets.clearance.distances import WITHIN, PointDistance, point_distance
from brackets.clearance.motion import Moves, Position
from brackets.clearance.places import point
from brackets.core.vectors import Vec


@dataclass(frozen=True, kw_only=True)
class MovesAbout:
    """The movement of the powertrain about one of its points.

    whole: what is worked out, or all there is where nothing is; None without movement; typed: what is typed beside
    it; cases: the typed one first, then each case by itself, none where nothing is worked out.
    """

    whole: Moves | None
    typed: Moves | None = None
    cases: tuple[CaseMoves, ...] = ()

    @property
    def parts(self) -> tuple[Moves | None, ...]:
        """What holds the movement together."""
        return (self.whole,) if self.typed is None else (self.typed, self.whole)


def moves_about(bay: Bay, spots: Sequence[Spot]) -> tuple[MovesAbout, ...]:
    """The movement about points of the powertrain where it stands, mm, along the directions each is wanted in.

    Without anything worked out it is the typed movement, about its own point. Raises BadFile as `moves_of` does.
    """
    whole, movement = moves_of(bay), movement_of(bay)
    if not movement.worked_out:
        return (MovesAbout(whole=whole),) * len(spots)
    typed = None if movement.typed is None else moves_in(movement.typed, movement.about)
    first = () if movement.typed is None or typed is None else (CaseMoves(movement.typed.name, typed),)
    return tuple(
        MovesAbout(
            whole=moves_in(found.whole, movement.about), typed=typed,
            cases=(*first, *(CaseMoves(one.name, moves_in(one, movement.about)) for one in found.cases)),
        )
        for found in worked_about(bay, spots)
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class MovedDistance:
    """How far apart two points get, and the case that takes them to the least and to the most, "" without one."""

    found: PointDistance
    least_by: str = ""
    most_by: str = ""


def moved_distance(moves: MovesAbout, moving: Vec, fixed: Vec, within: float = WITHIN) -> MovedDistance:
    """Least and most straight distance of a fixed point from `moving`, the point that the movement is told about.

    No way between two cases gets further than both: the distance is convex in where the point is, and that lies
    between the regions of its cases. It may get nearer, so that the least is over all of it at once.
    """
    found = point_distance(moving, fixed, moves.whole, within)
    if not moves.cases:
        return MovedDistance(found=found)
    each = [(point_distance(moving, fixed, case.moves, within), case.name) for case in moves.cases]
    near = [found.least] if moves.typed is None else [found.least, each[0][0].least]
    least, most = _ends(min, near), _ends(max, [one.most for one, _ in each])
    return MovedDistance(
        found=PointDistance(found.rest, least, most),
        least_by=min(each, key=lambda one: one[0].least)[1],
        most_by=max(each, key=lambda one: one[0].most)[1],
    )


def _ends(worse: Callable[[Iterable[float]], float], ends: Sequence[tuple[float, float]]) -> tuple[float, float]:
    low, high = zip(*ends, strict=True)
    return worse(low), worse(high)


def told_about(moves: Moves, position: Position, about: Vec) -> Position:
    """The same place told as turns about another point, mm, and the travel of that."""
    place = moves.place(np.r_[np.radians(position.angles), np.asarray(position.travel) @ moves.frame.T])
    carried = place.points(np.asarray(about, dtype=float)[None])[0]
    return Position(position.angles, point(carried - np.asarray(about)))
