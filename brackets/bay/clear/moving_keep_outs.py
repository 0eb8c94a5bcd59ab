"""Keep-outs that turn or slide by themselves, through the whole of it, while the engine moves as it likes.

Against what is on the other side both movements count, each whatever the other does; against a part or bolt of its
own side, the keep-out's alone. From the gap to a link as drawn the furthest that any of it gets is taken off: a low
end that is true, and no more. Two keep-outs of one side stand as typed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from brackets.bay.clear.known import known
from brackets.bay.clear.link_motion import bar_reach
from brackets.bay.clear.moving import Moved, OwnAt, in_words, moved
from brackets.bay.clear.regions import cases_of, moves_of, nearest_case
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import SIDES
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.gap_rules import GapRule, contacts, fit_ups, is_relevant_pair, required_gap
from brackets.clearance.inside import not_told
from brackets.clearance.motion import Moves
from brackets.clearance.own_moves import STAYS, IndependentGap, OwnPosition, independent_gap
from brackets.core.ahead import ahead


def all_moved(bay: Bay, things: Sequence[BayBody]) -> tuple[Moved, ...]:
    """Every pair over all that moves: engine, bushes, and keep-outs by themselves; least spare first."""
    with ahead([lambda: moved(bay, things), lambda: tuple(_own(bay, things))]):
        found = [*moved(bay, things), *_own(bay, things)]
    return tuple(sorted(found, key=lambda m: (m.spare, m.a, m.b)))


def _own(bay: Bay, things: Sequence[BayBody]) -> Iterator[Moved]:
    meant, moves, pos = contacts(bay) | fit_ups(bay), moves_of(bay), known(bay, things)
    cases = cases_of(bay)
    for a, b in combinations(things, 2):
        if a.own is None and b.own is None:
            continue
        if frozenset((a.name, b.name)) in meant or not is_relevant_pair(bay, a, b):
            continue
        one, other = (a, b) if a.side == "powertrain" else (b, a)
        want = required_gap(bay, one, other)
        engine = moves if {one.side, other.side} == set(SIDES) else None
        bar = one if one.link is not None else other
        against = other if bar is one else one
        off = 0.0 if bar.link is None else bar_reach(bay, bar, seen_from_engine=against.side == "powertrain")
        found = independent_gap(
            one.body,
            other.body,
            own=one.own or STAYS,
            others=other.own or STAYS,
            engine=engine,
            needed=want.moved + (pos.between(a.name, b.name) or 0.0) + off,
        )
        case = nearest_case(cases, found.gap.p, found.gap.q) if engine is not None else ""
        yield replace(_moved(one, other, found, want, engine, off), case=case)


def _moved(
    one: BayBody, other: BayBody, found: IndependentGap, want: GapRule, engine: Moves | None, off: float
) -> Moved:
    own = tuple(
        OwnAt(name=thing.name, turn=at.turn, travel=at.travel)
        for thing, at in ((one, found.a), (other, found.b))
        if thing.own is not None
    )
    said = [own_words(at) for at in own]
    if engine is not None and found.worst is not None:
        said.insert(0, in_words(found.worst.angles, found.worst.travel))
    if off:
        said.append(f"less {off:.1f} mm, the most that any of the link gets from where it is drawn")
    return Moved(
        a=one.name,
        b=other.name,
        low=max(0.0, found.low - off),
        high=found.high,
        rule=want,
        worst="; ".join(said),
        p=found.gap.p,
        q=found.gap.q,
        position=found.worst if engine is not None else None,
        by="engine and keep-out" if engine is not None else "keep-out",
        note=found.gap.note or not_told(one.body, other.body),
        own=own,
    )


def own_words(at: OwnAt | OwnPosition, name: str = "") -> str:
    """ "swing_arm at 31 deg", "lever at -8.5 deg, 20 mm", "chain as drawn"."""
    said = [f"{at.turn:.3g} deg"] if abs(at.turn) > 5e-3 else []
    said += [f"{at.travel:.3g} mm"] if abs(at.travel) > 5e-3 else []
    called = at.name if isinstance(at, OwnAt) else name
    return f"{called} at {', '.join(said)}" if said else f"{called} as drawn"
