"""Does it still fit when the engine moves: the smallest gap over all the movement that the bay file states.

The powertrain side moves as one, by the roll, pitch, yaw and travel that are typed or worked out from its bushes;
the two halves of one mount move against each other by the travel of their bush, radially and endways, and by what
is worked out for it where that is more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import product

from brackets.bay.clear.known import known
from brackets.bay.clear.nearer_regions import named_pairs
from brackets.bay.clear.regions import EVERY_WAY, BushWay, bush_ways, cases_of, moves_of
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.gap_rules import GapRule, contacts, fit_ups, is_relevant_pair, required_gap, same_mount
from brackets.bay.stand.placed_part import PlacedPart
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.motion import Position
from brackets.clearance.sweeps import SweptPair, sweep
from brackets.core.ahead import ahead
from brackets.core.vectors import Vec

WITHIN = 0.5
"""How wide the interval of a smallest gap may stay, mm: the movement is not known better."""

ROUGHLY = 4.0
"""The same for a mount's own halves at a first look, mm: only where that leaves it open is it followed further."""


TOUCHES = 0.1
"""mm: where ends of halves may come as near as none, a gap is followed down to less than this."""


@dataclass(frozen=True, kw_only=True)
class OwnAt:
    """Where a keep-out is in its own movement: degrees turned and mm slid from where it is drawn."""

    name: str
    turn: float
    travel: float


@dataclass(frozen=True, kw_only=True)
class Moved:
    """The smallest gap of a pair over the movement lies from low to high, mm, at `worst` in words.

    `position`: where the powertrain then stands; None where it does not move, and where a bush moves, which has its
    way in words alone; `own`: where each keep-out is that moves by itself. `note`: what an open scan leaves open of
    it. `case`: the load case, or "typed", that moves it there, "" where nothing is worked out."""

    a: str
    b: str
    low: float
    high: float
    rule: GapRule
    worst: str
    p: Vec
    q: Vec
    by: str
    position: Position | None = None
    note: str = ""
    own: tuple[OwnAt, ...] = ()
    case: str = ""

    @property
    def when(self) -> str:
        """Where it is then, and which case moves it there, in words."""
        return f"{self.worst}; by {self.case}" if self.case else self.worst

    @property
    def needed(self) -> float:
        return self.rule.moved

    @property
    def spare(self) -> float:
        """From the low end: what is surely spare, mm."""
        return self.low - self.needed

    @property
    def short(self) -> bool:
        return self.high < self.needed

    @property
    def unsure(self) -> bool:
        """Whether the required gap lies within the interval."""
        return self.low < self.needed <= self.high


def moved(bay: Bay, all_things: Sequence[BayBody]) -> tuple[Moved, ...]:
    """Every pair across the two sides over the movement, least spare first; nothing where there is no movement."""
    with ahead([partial(_powertrain, bay, all_things), partial(_own, bay, all_things)]):
        found = [*_powertrain(bay, all_things), *_own(bay, all_things)]
    return tuple(sorted(found, key=lambda m: (m.spare, m.a, m.b)))


def _powertrain(bay: Bay, all_things: Sequence[BayBody]) -> list[Moved]:
    moves = moves_of(bay)
    ones = [t for t in all_things if t.side == "powertrain"]
    others = [t for t in all_things if t.side == "chassis"]
    if moves is None or not ones or not others:
        return []
    meant, pos = contacts(bay) | fit_ups(bay), known(bay, all_things)
    skip, wants = set(), []
    for i, a in enumerate(ones):
        row = []
        for j, b in enumerate(others):
            row.append(required_gap(bay, a, b))
            if (
                set(a.mounts) & set(b.mounts)
                or frozenset((a.name, b.name)) in meant
                or a.own is not None
                or b.own is not None
                or not is_relevant_pair(bay, a, b)
            ):
                skip.add((i, j))
        wants.append(row)
    if len(skip) == len(ones) * len(others):
        return []
    needed = [
        [want.moved + (pos.between(a.name, b.name) or 0.0) for b, want in zip(others, row, strict=True)]
        for a, row in zip(ones, wants, strict=True)
    ]
    swept = sweep([t.body for t in ones], [t.body for t in others], moves, WITHIN, needed=needed, skip=skip)
    bodies = [(ones[pair.i].body, others[pair.j].body) for pair in swept.pairs]
    of = [(_part_of(ones[pair.i]), _part_of(others[pair.j])) for pair in swept.pairs]
    return [
        moved_pair(one.pair, wants[one.pair.i][one.pair.j], "engine", case=one.case)
        for one in named_pairs(bay, bodies, swept.pairs, moves, cases_of(bay), of)
    ]


def _part_of(thing: BayBody) -> str:
    """Name of the part that it is, or is bought for; "" for a keep-out."""
    return thing.name if isinstance(thing.of, PlacedPart) else thing.holds or ""


def _own(bay: Bay, all_things: Sequence[BayBody]) -> list[Moved]:
    each = []
    for mount in bay.mounts:
        here = [t for t in all_things if mount.name in t.mounts]
        ones = [t for t in here if t.side == mount.cup]
        others = [t for t in here if t.side != mount.cup]
        halves = [(a, b) for a, b in product(ones, others) if not same_mount(a, b)]
        ways = [bush_ways(bay, mount, a.body, b.body) for a, b in halves]
        for of_one in zip(*ways, strict=True):
            for (a, b), way in zip(halves, of_one, strict=True):
                want = required_gap(bay, a, b, endwise=way.endwise)
                each.append(partial(_in_bush, a, b, way, mount.axis, want))
    with ahead(each):
        return [one() for one in each]


def _in_bush(a: BayBody, b: BayBody, way: BushWay, axis: Vec, want: GapRule) -> Moved:
    travel, moves, by = math.hypot(way.radial, way.axial), way.moves(axis), f"bush {way.by}"
    both_ways = way.by == EVERY_WAY
    needed = max(want.moved, TOUCHES) if both_ways else want.moved
    still = gap(a.body, b.body, cap=needed + travel)
    if still.low - travel >= needed:
        return replace(_surely(a, b, still, travel, want, by), case=way.case)
    pair = sweep(a.body, b.body, moves, WITHIN if both_ways else ROUGHLY, needed=needed).pairs[0]
    if not both_ways and pair.low < needed <= pair.high:
        pair = sweep(a.body, b.body, moves, WITHIN, needed=needed).pairs[0]
    return moved_pair(pair, want, by, case=way.case)


def _surely(a: BayBody, b: BayBody, still: Gap, travel: float, want: GapRule, by: str) -> Moved:
    """Moved gap of a pair that only travels, not measured: a travel takes no more off the gap than its length."""
    return Moved(
        a=a.name,
        b=b.name,
        low=still.low - travel,
        high=still.high,
        rule=want,
        worst=by,
        p=still.p,
        q=still.q,
        by=by,
        note=still.note,
    )


def moved_pair(pair: SweptPair, want: GapRule, by: str, *, case: str = "") -> Moved:
    """The moved gap of a pair by what moves: "engine", "link", or a bush and its way."""
    placed = by in ("engine", "link")
    return Moved(
        a=pair.a,
        b=pair.b,
        low=pair.low,
        high=pair.high,
        rule=want,
        worst=in_words(pair.worst.angles, pair.worst.travel) if placed else by,
        p=pair.gap.p,
        q=pair.gap.q,
        by=by,
        position=pair.worst if placed else None,
        note=pair.gap.note,
        case=case,
    )


TURNS: Sequence[tuple[str, str]] = (("left up", "left down"), ("nose down", "nose up"), ("nose left", "nose right"))
TRAVEL_WORDS: Sequence[tuple[str, str]] = (("fore", "aft"), ("left", "right"), ("up", "down"))


def in_words(angles: Sequence[float], travel: Sequence[float]) -> str:
    """A position as the trade would say it: "left up 1 deg, aft 5, down 7 mm"."""
    said = [
        f"{words[0] if angle > 0 else words[1]} {abs(angle):.2g} deg"
        for angle, words in zip(angles, TURNS, strict=False)
        if abs(angle) > 5e-3
    ]
    said += [
        f"{words[0] if way > 0 else words[1]} {abs(way):.2g} mm"
        for way, words in zip(travel, TRAVEL_WORDS, strict=True)
        if abs(way) > 5e-3
    ]
    return ", ".join(said) or "at rest"


def by_pair(moves: Sequence[Moved]) -> Mapping[frozenset[str], Moved]:
    """The moved gap of each pair, the worse one where a pair has two."""
    found: dict[frozenset[str], Moved] = {}
    for move in moves:
        key = frozenset((move.a, move.b))
        if key not in found or move.spare < found[key].spare:
            found[key] = move
    return found
