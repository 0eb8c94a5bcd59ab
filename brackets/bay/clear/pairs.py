"""Gaps at rest: every part, bush and bolt against every keep-out and each other, worst first.

A part that is declared to touch a scan may stand in it by what the scan is not true by: how far it must be drawn
out to be free says so, common volume does not.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations

from brackets.bay.clear.known import known
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.gap_rules import GapRule, contacts, fit_ups, is_relevant_pair, required_gap, same_mount
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.overlaps import overlap
from brackets.core.ahead import ahead
from brackets.core.vectors import Vec, dot, length, sub, unit
from brackets.kernel.shared import CONTACT_VOLUME

SCAN = 0.5
"""How true a mesh is taken to be where neither it nor a boss of the part says, mm either way: as a boss's default;
common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Allowed:
    """How deep, `mm`, one of a declared pair may be in the other, and the source of that figure."""

    mm: float
    whence: str


def allowed_depths(bay: Bay) -> Mapping[frozenset[str], Allowed]:
    """Of every declared contact of a part with a mesh, or with a keep-out whose `pos` is typed."""
    bosses = {entry.row.name: entry.row.bosses for entry in bay.parts}
    found = {}
    for contact in bay.contacts:
        for name, other in (contact.pair, contact.pair[::-1]):
            keep_out = bay.keep_out_by_name.get(name)
            if keep_out is not None and (keep_out.mesh is not None or keep_out.pos is not None):
                found[frozenset(contact.pair)] = _allowed(bay, keep_out, bosses.get(other, ()))
    return found


def _allowed(bay: Bay, keep_out: KeepOut, bosses: Sequence[str]) -> Allowed:
    if keep_out.pos is not None:
        return Allowed(mm=keep_out.pos, whence=f"pos of {keep_out.name}")
    known = [bay.boss_by_name[name] for name in bosses if name in bay.boss_by_name]
    if known:
        worst = max(known, key=lambda boss: boss.pos)
        return Allowed(mm=worst.pos, whence=f"pos of boss {worst.name}, since {keep_out.name} has none")
    return Allowed(mm=SCAN, whence=f"taken for a scan, since {keep_out.name} has no pos")


ROUNDING = 3e-6
"""What the low end of a gap known exactly may be short by arithmetic alone, mm; no figure shows it."""


def is_met(spare: float) -> bool:
    """Whether a gap whose low end is `spare` mm over what is asked meets that: of exactly what is asked too."""
    return spare >= -ROUNDING * 1.001


FIT_UP_DEPTH = 0.5
"""How deep a part cut to a rail may stand in it as drawn, mm: a rail is taped, and the grinder settles it."""

FIT_UP_GAP = 1.6
"""Widest gap to weld over where a part is cut to a rail, mm: 1/16 in, common practice, no source."""

LOOK_PAST = 1.0
"""How far past the gap asked for a pair is still settled exactly, mm."""

LISTED = 24
"""How many of the tightest pairs are settled exactly whatever their gap: more than any report lists."""


@dataclass(frozen=True, kw_only=True)
class Pair:
    """Two bodies: what was found, what was asked, mm.

    state: foul, inside, touch (undeclared); fit-up, contact (declared); clear (to 0.001 mm), far (an interval).
    `low`, `high` hold the true gap; `spare` is found less asked, from the low end. `p`, `q` are the closest
    points, or where it fouls. `volume` mm3 is what fouls; the first drawn `deep` mm along `out` is free of it.
    """

    a: str
    b: str
    state: str
    low: float
    high: float
    rule: GapRule
    p: Vec
    q: Vec
    across: bool
    how: str = ""
    note: str = ""
    volume: float | None = None
    deep: float | None = None
    out: Vec | None = None

    @property
    def needed(self) -> float:
        return self.rule.rest

    @property
    def spare(self) -> float:
        return self.low - self.rule.rest

    @property
    def not_told(self) -> bool:
        """Whether an open scan leaves undecided if one is inside the other."""
        return bool(self.note) and self.state not in ("foul", "inside", "touch")

    @property
    def stops(self) -> bool:
        """Whether this alone says: do not cut."""
        if self.state in ("foul", "inside") or self.not_told:
            return True
        return self.state == "touch" and self.rule.rest > 0

    @property
    def short(self) -> bool:
        """Whether the required gap at rest is not proven."""
        return self.state not in ("fit-up", "contact") and not is_met(self.spare)

    @property
    def unsure(self) -> bool:
        """Whether the required gap lies within an interval that could not be narrowed."""
        return self.state == "far" and self.low < self.rule.rest <= self.high


def at_least(low: float, places: int = 1) -> str:
    """The low end of a gap, or what is spare from it, mm, in figures that never say more than is proven."""
    scale: float = 10.0**places
    return f"{math.floor((low + ROUNDING) * scale) / scale + 0.0:.{places}f}"


def pairs(bay: Bay, all_things: Sequence[BayBody], *, of: frozenset[str] | None = None) -> tuple[Pair, ...]:
    """Every relevant pair, worst first.

    of: bodies of which, and of each class of gap, only the least spare is asked: it is what it is without, and of
    the tightest pairs no more are settled than that takes.
    """
    declared, cut_to, depths = contacts(bay), fit_ups(bay), allowed_depths(bay)
    axes = {mount.name: unit(mount.axis) for mount in bay.mounts}

    def meet(a: BayBody, b: BayBody) -> str:
        names = frozenset((a.name, b.name))
        if names in cut_to:
            return "fit-up"
        return "contact" if names in declared or same_mount(a, b) else ""

    worth = [(a, b) for a, b in combinations(all_things, 2) if is_relevant_pair(bay, a, b)]

    pos = known(bay, all_things)

    def deep(a: BayBody, b: BayBody) -> float:
        known = depths.get(frozenset((a.name, b.name)))
        return 0.0 if known is None else known.mm

    def measured(a: BayBody, b: BayBody) -> Pair:
        give = pos.between(a.name, b.name) or 0.0
        return _pair(bay, a, b, meet=meet(a, b), axes=axes, depth=deep(a, b), pos=give)

    each = [partial(measured, a, b) for a, b in worth]
    with ahead(each):
        found = sorted((one() for one in each), key=_rank)
    by_name = {thing.name: thing for thing in all_things}

    def settled(i: int) -> Pair:
        a, b = by_name[found[i].a], by_name[found[i].b]
        return _pair(bay, a, b, meet="", axes=axes, settle=True)

    if of is None or bay.expected:
        far = [i for i, pair in enumerate(found[:LISTED]) if pair.state == "far"]
        with ahead([partial(settled, i) for i in far]):
            for i in far:
                found[i] = settled(i)
        return tuple(sorted(found, key=_rank))
    judged = [i for i, pair in enumerate(found) if pair.state not in ("fit-up", "contact")]
    groups = [[i for i in judged if found[i].rule.kind == kind] for kind in {found[i].rule.kind for i in judged}]
    groups.append([i for i in judged if of & {found[i].a, found[i].b}])
    tried: set[int] = set()
    for group in groups:
        while group:
            least = min(group, key=lambda i: (found[i].spare, found[i].a, found[i].b))
            if found[least].state != "far" or least >= LISTED or least in tried:
                break
            tried.add(least)
            found[least] = settled(least)
    return tuple(sorted(found, key=_rank))


def _rank(pair: Pair) -> tuple[int, float, str, str]:
    first = {"foul": 0, "inside": 0, "touch": 1, "fit-up": 3, "contact": 4}
    return (1 if pair.not_told else first.get(pair.state, 2), pair.spare, pair.a, pair.b)


def _pair(
    bay: Bay,
    a: BayBody,
    b: BayBody,
    *,
    meet: str,
    axes: dict[str, Vec],
    settle: bool = False,
    depth: float = 0.0,
    pos: float = 0.0,
) -> Pair:
    """`depth`: how deep a declared pair may be in each other, mm, where that is known of the two; `pos`: ± of the
    gap, mm."""
    want = required_gap(bay, a, b)
    enough = 0.0 if meet == "contact" else want.rest + pos + LOOK_PAST
    one, other = a.against(b), b.against(a)
    found = gap(one, other, cap=None if settle or meet == "fit-up" else enough)
    if a.moves_with != b.moves_with:
        for mount in set(a.mounts) & set(b.mounts):
            if _endwise(found, axes[mount]):
                want = required_gap(bay, a, b, endwise=True)
    volume = deep = out = None
    state = {"hit": "foul"}.get(found.state, found.state)
    if state == "foul":
        shared = overlap(one, other, pulls=True)
        volume = shared.volume
        deep, out = (shared.pulls[0].distance, shared.pulls[0].along) if shared.pulls else (None, None)
    if meet:
        state = _declared(meet, state, volume, deep, max(depth, FIT_UP_DEPTH if meet == "fit-up" else 0.0))
    return Pair(
        a=a.name,
        b=b.name,
        state=state,
        low=found.low,
        high=found.high,
        rule=want,
        p=found.p,
        q=found.q,
        across=a.moves_with != b.moves_with,
        how=found.how,
        note=found.note,
        volume=volume,
        deep=deep,
        out=out,
    )


def _endwise(found: Gap, axis: Vec) -> bool:
    """Whether the closest points lie along the bush axis rather than across it."""
    way = sub(found.q, found.p)
    return length(way) > 0 and abs(dot(unit(way), axis)) > 0.7


def _declared(meet: str, state: str, volume: float | None, deep: float | None, allowed: float) -> str:
    """What a declared pair is called: still a foul where it shares more than rounding and is deeper than `allowed`
    mm, as drawn."""
    if state == "foul":
        little = volume is not None and volume <= CONTACT_VOLUME
        shallow = deep is not None and deep <= allowed
        return meet if little or shallow else state
    if state == "inside":
        return state
    return meet
