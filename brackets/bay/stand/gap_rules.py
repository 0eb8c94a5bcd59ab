"""Which gap a pair must keep, and which pairs are meant to touch."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from brackets.bay.hung.movement import movement_of
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Gap
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.hardware import OF_MOUNT

MORE = 10.0
"""How much further than is asked, and the engine moves, something may be from a boss's bolt to be told of, mm."""

FAR_OUT = 1000.0
"""The furthest a boss is from what the powertrain rocks about, mm."""

PLAIN = "fixed"
"""The class of whatever has none of its own."""

SAME_SIDE = "same_side"
"""The class of two of one side that have none of their own."""


@dataclass(frozen=True, kw_only=True)
class GapRule:
    """The gap required of a pair at rest and when moved, mm, and the class each comes from."""

    kind: str
    rest: float
    moved: float
    why: str
    moved_kind: str
    moved_why: str


def required_gap(bay: Bay, a: BayBody, b: BayBody, *, endwise: bool = False) -> GapRule:
    """The gap that applies to the pair; `endwise` for a mount's own halves along the bush axis.

    A class of its own goes before the plain one, which is everybody's, and holds whatever the side; of two such
    classes the strictest. Two of one side that have none move together.
    """
    if a.moves_with != b.moves_with and set(a.mounts) & set(b.mounts):
        return _of(bay, ["own_end" if endwise else "own"])
    plain = SAME_SIDE if a.moves_with == b.moves_with else PLAIN
    kinds = [kind for kind in (a.kind, b.kind) if kind != PLAIN] or [plain]
    if "hot" in kinds and "bush" in (a.what, b.what):
        kinds.append("hot_bush")
    return _of(bay, kinds)


def _of(bay: Bay, kinds: list[str]) -> GapRule:
    rows: list[tuple[str, Gap]] = [(kind, bay.gap(kind)) for kind in dict.fromkeys(kinds)]
    kind, row = max(rows, key=lambda r: (r[1].rest, r[1].moved))
    moved_kind, moved_row = max(rows, key=lambda r: (r[1].moved, r[1].rest))
    return GapRule(
        kind=kind,
        rest=row.rest,
        moved=moved_row.moved,
        why=row.why,
        moved_kind=moved_kind,
        moved_why=moved_row.why,
    )


def fit_ups(bay: Bay) -> frozenset[frozenset[str]]:
    """Pairs where a part is cut to a rail typed in the bay."""
    return frozenset(
        frozenset((part, onto))
        for mount in bay.mounts
        for part, onto in (
            (mount.chassis_part, mount.chassis_onto),
            (mount.powertrain_part, mount.powertrain_onto),
        )
        if part is not None and onto is not None
    )


def contacts(bay: Bay) -> frozenset[frozenset[str]]:
    """Pairs the bay file says are meant to touch; what stands on a doubler or its sheet may touch the other too."""
    declared = frozenset(frozenset(contact.pair) for contact in bay.contacts)
    layers = frozenset(frozenset((k.name, k.doubler_of)) for k in bay.keep_outs if k.doubler_of is not None)
    standing = declared | fit_ups(bay)
    return declared | layers | {pair ^ layer for layer in layers for pair in standing if len(pair & layer) == 1}


def bolted_onto(bay: Bay, part: str) -> frozenset[str]:
    """The keep-outs that a part stands on or is declared to touch."""
    pairs = [pair for pair in contacts(bay) | fit_ups(bay) if part in pair]
    return frozenset(name for pair in pairs for name in pair) & frozenset(bay.keep_out_by_name)


def same_mount(a: BayBody, b: BayBody) -> bool:
    """What meets by design in one mount: bush, sleeve and bolt, or a bobbin's rubber, ends and nuts, each other and
    the part that holds them.

    The bush also meets the ears: a poly half's end flange runs against them. A bobbin's end is bolted to the part
    of its own side only."""
    if not set(a.mounts) & set(b.mounts):
        return False
    bought = OF_MOUNT
    if a.what in bought and b.what in bought:
        return True
    for thing, part in ((a, b), (b, a)):
        if part.what == "part" and thing.what in bought and (thing.side == part.side or thing.what == "bush"):
            return True
    return False


def is_relevant_pair(bay: Bay, a: BayBody, b: BayBody) -> bool:
    """Whether a pair is checked.

    Two keep-outs of one side are not: they stand as typed. A bolt into a boss or through a keep-out is not checked
    against the part it holds (`own_metal` is) nor against what it goes through, and against others only where they
    are near.
    """
    if a.what == b.what == "keep-out" and a.side == b.side:
        return False
    if a.holds is None and b.holds is None:
        return True
    if b.name in (a.holds, *a.through) or a.name in (b.holds, *b.through):
        return False
    apart = np.maximum(np.maximum(b.body.box[0] - a.body.box[1], a.body.box[0] - b.body.box[1]), 0.0)
    return float(np.linalg.norm(apart)) < required_gap(bay, a, b).rest + _travel(bay) + a.reach + b.reach + MORE


def _travel(bay: Bay) -> float:
    """mm: no boss goes further than this in the movement that is cleared."""
    whole = movement_of(bay).whole
    straight = math.hypot(*(max(map(abs, span)) for span in whole.travel))
    return straight + FAR_OUT * math.radians(sum(max(map(abs, span)) for span in whole.turns))
