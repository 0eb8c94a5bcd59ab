"""A gap over the movement once more, where it matters: told about the very point that comes nearest.

The box about the powertrain's own point leaves room that no case has, since each case turns and shifts together.
Where a pair was followed to its worst place, the point that is nearest there is asked for by itself, along the gap;
what is typed and what is worked out are then places by themselves, and the lesser gap of the two counts.
Both that and the box hold every place there is, so the greater of both low ends is proven. mm, degrees.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from brackets.bay.clear.far_pairs import Both, Group, cases_told
from brackets.bay.clear.point_moves import MovesAbout, moves_about, told_about
from brackets.bay.clear.regions import CaseMoves, case_of
from brackets.bay.hung.movement import movement_of
from brackets.bay.hung.spots import Spot, frame_along
from brackets.bay.schema.moves_keys import TYPED
from brackets.bay.schema.record import Bay
from brackets.clearance.motion import Moves
from brackets.clearance.places import point
from brackets.clearance.sweeps import SweptPair, no_less_than, sweep
from brackets.core.ahead import ahead
from brackets.core.vectors import Vec

NARROW = 0.1
"""How wide the interval of a gap told about its nearest point may stay, mm: what is saved may be less than that."""

LOOKS = 500
"""Distances measured for one such gap; what is not told apart by then stays as low as it is proven."""


@dataclass(frozen=True)
class NamedPair:
    """A swept pair and the case that takes it to its least gap, "" where nothing is worked out."""

    pair: SweptPair
    case: str


def named_pairs(
    bay: Bay,
    bodies: Sequence[Both],
    pairs: Sequence[SweptPair],
    moves: Moves,
    cases: Sequence[CaseMoves],
    of: Sequence[Group] | None = None,
) -> list[NamedPair]:
    """Pairs that were swept over a movement, those followed to their worst place told about it, with their cases.

    bodies: of each pair, the moving one first; moves: what they were swept over; cases: of the bay; of: the parts
    that the bodies are of, where they are.
    """
    if not cases:
        return [NamedPair(pair, "") for pair in pairs]
    groups = [("", "")] * len(pairs) if of is None else of
    follow = [i for i, pair in enumerate(pairs) if pair.settled]
    far = [i for i, pair in enumerate(pairs) if not pair.settled]
    about = movement_of(bay).about
    told = moves_about(bay, [_spot(moves, pairs[i]) for i in follow])
    work = [partial(_named, bodies[i], pairs[i], cases, near, about) for i, near in zip(follow, told, strict=True)]
    names = cases_told([bodies[i] for i in far], [groups[i] for i in far], cases)
    with ahead([*work, *(one for _, one in names)]):
        found = {i: one() for i, one in zip(follow, work, strict=True)}
        for those, one in names:
            found |= {far[n]: NamedPair(pairs[far[n]], case) for n, case in zip(those, one(), strict=True)}
    return [found[i] for i in range(len(pairs))]


def _spot(moves: Moves, pair: SweptPair) -> Spot:
    """The point of the moving body that is nearest at the worst place, where it is drawn; along the gap."""
    place = moves.place(np.r_[np.radians(pair.worst.angles), np.asarray(pair.worst.travel) @ moves.frame.T])
    p, q = np.asarray(pair.gap.p), np.asarray(pair.gap.q)
    drawn = place.turn.T @ (p - place.points(np.zeros((1, 3)))[0])
    return point(drawn), frame_along(q - p)


def _named(both: Both, pair: SweptPair, cases: Sequence[CaseMoves], near: MovesAbout, about: Vec) -> NamedPair:
    if near.whole is None:
        return NamedPair(pair, case_of(*both, cases))
    least, part = _least(both, pair.needed, [part for part in near.parts if part is not None])
    typed = near.typed is not None and part is near.typed
    worked = [case for case in cases if case.name != TYPED]
    case = TYPED if typed else case_of(*both, worked)
    if least.low <= pair.low:
        return NamedPair(pair, case)
    worst = told_about(part, least.worst, about)
    return NamedPair(replace(least, i=pair.i, j=pair.j, worst=worst), case)


def _least(both: Both, needed: float, parts: Sequence[Moves]) -> tuple[SweptPair, Moves]:
    """The pair swept over the part of the movement that takes it nearest; what surely takes it less near is not
    swept."""
    found: dict[int, SweptPair] = {}
    floors = [no_less_than(*both, part) for part in parts] if len(parts) > 1 else [0.0]
    for i in sorted(range(len(parts)), key=lambda i: floors[i]):
        if not found or floors[i] <= min(one.low for one in found.values()):
            found[i] = sweep(*both, parts[i], NARROW, needed=needed, looks=LOOKS).pairs[0]
    least = min(found, key=lambda i: (found[i].low, found[i].high, i))
    return found[least], parts[least]
