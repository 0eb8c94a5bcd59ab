"""What is worst in a fitted bay and what to do about it: the first lines of screen and page."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from brackets.bay import held_rows
from brackets.bay.checks import AXIS_WORDS
from brackets.bay.clear.moving import Moved, by_pair
from brackets.bay.clear.pairs import Pair, is_met
from brackets.bay.fitting import Fit
from brackets.bay.report.rule_rows import rule_rows
from brackets.bay.stand.hardware import cup_of
from brackets.core.finding import LEVELS, Finding, verdict
from brackets.core.rulebook.bay import (
    FOUL,
    GAP_AT_REST,
    GAP_LESS_POS,
    GAP_MOVED,
    INSIDE,
    INSIDE_NOT_KNOWN,
    JOINT_ANGLE,
    MISFIT_ANGLE,
    PATH,
    PATH_BLOCKED,
    PATH_HELD,
    PLUNGE,
    SEAT,
    SLACK,
    STANDING_STILL,
    TOUCH,
    WELD_ON_NOTHING,
)
from brackets.core.vectors import Vec, dot, length, sub, unit
from brackets.model.tube import Turned

SHOWN = 3
"""How many of the findings stand on top."""

FIRST = (
    FOUL.code,
    INSIDE.code,
    INSIDE_NOT_KNOWN.code,
    TOUCH.code,
    GAP_AT_REST.code,
    GAP_MOVED.code,
    SLACK.code,
    JOINT_ANGLE.code,
    PLUNGE.code,
    PATH_BLOCKED.code,
    PATH_HELD.code,
    PATH.code,
    WELD_ON_NOTHING.code,
    SEAT.code,
    STANDING_STILL.code,
    GAP_LESS_POS.code,
)
"""Codes that come before others of their level, in this order: what does not clear, come out or stand."""

GAPS = (GAP_AT_REST.code, GAP_MOVED.code)

TENTH = 0.1
"""mm to which a distance to move is rounded up."""

ROUNDING = 1e-3
"""mm of it that are none: a gap is known no better."""

NEARLY = 0.9
"""Cosine past which a direction is said by one word of the bay's axes, and not by two or three."""

MOVED = 2.0
"""mm that a point of a cup's end may have been moved by where its gap when moved was measured."""

A_PART = 0.35
"""Cosine under which an axis has no part in a direction that is said by several words."""


@dataclass(frozen=True, kw_only=True)
class Worst:
    """A finding, and what to do about it in the bay; "" where its own sentence says it."""

    finding: Finding
    do: str


def worst(fit: Fit, shown: int = SHOWN) -> tuple[Worst, ...]:
    """The first `shown` findings that nobody accepted: by level, then what does not clear, the most short first.

    Two bodies that are too near one another, still and moved, take one place.
    """
    told: list[Worst] = []
    pairs: set[tuple[str, ...]] = set()
    for finding in most_short_first(f for f in fit.findings if not f.accepted):
        if finding.code in GAPS and finding.about in pairs:
            continue
        pairs |= {finding.about} if finding.code in GAPS else set()
        told.append(Worst(finding=finding, do=cure(fit, finding)))
    return tuple(told[:shown])


def most_short_first(findings: Iterable[Finding]) -> list[Finding]:
    """By level, then what does not clear, come out or stand, the most short first; the others in their order.
    Of one level what is accepted comes last. Of what stops, parts that lie across their mounts come before the
    fouls that are there because of it, the most askew first."""
    return sorted(findings, key=_rank)


def _rank(finding: Finding) -> tuple[int, bool, int, float]:
    short = 0.0 if finding.value is None or finding.limit is None else finding.value - finding.limit
    if finding.level == "stop" and finding.code == MISFIT_ANGLE.code:
        code, short = -1, -short
    elif finding.code in FIRST:
        code = FIRST.index(finding.code)
    else:
        code, short = len(FIRST), 0.0
    return LEVELS.index(finding.level), finding.accepted, code, short


def cure(fit: Fit, finding: Finding) -> str:
    """For a gap that is too small: how far to move one of the two, and which way, by their nearest points.

    To the first order: other faces may come nearer meanwhile, so that the bay is fitted again after it.
    """
    if finding.value is None or finding.limit is None:
        return ""
    found: Mapping[frozenset[str], Pair | Moved] = {}
    if finding.code == GAP_MOVED.code:
        found = by_pair(fit.moved)
    elif finding.code == GAP_AT_REST.code:
        found = {frozenset((pair.a, pair.b)): pair for pair in fit.pairs}
    one = found.get(frozenset(finding.about[:2]))  # behind the two are parts that bolts and bushes belong to
    if one is None or one.p == one.q:
        return ""
    far = math.ceil((finding.limit - finding.value - ROUNDING) / TENTH) * TENTH
    if (cup := _cup_between(fit, one)) is not None:
        return f"about {far:.1f} mm off either end of the cup, {cup.length:g} mm long now; then fit again"
    there, back = words(sub(one.q, one.p)), words(sub(one.p, one.q))
    return f"about {far:.1f} mm more: {one.b} {there}, or {one.a} {back}; then fit again"


def _cup_between(fit: Fit, one: Pair | Moved) -> Turned | None:
    """The cup that comes too near an ear of its own mount with its end: moved, it loses at one what it gains at
    the other."""
    made = {part.name: part.part for part in fit.stood.parts}
    way = unit(sub(one.q, one.p))
    for mount in fit.stood.bay.mounts:
        halves = {mount.chassis_part, mount.powertrain_part}
        cup = cup_of(mount, made) if {one.a, one.b} == halves else None
        if cup is None or abs(dot(way, cup.place.axis)) < NEARLY:
            continue
        nearest = (cup.place.local(point) for point in (one.p, one.q))
        r = max(step.od for step in cup.steps) / 2 + MOVED
        ends = (min(abs(z), abs(z - cup.length)) for x, y, z in nearest if math.hypot(x, y) < r)
        if min(ends, default=math.inf) < MOVED:
            return cup
    return None


def words(way: Vec) -> str:
    """A direction in words of the bay's axes: "left", "left and down"; the larger part first."""
    parts = [(dot(way, axis) / length(way), word) for axis, word in AXIS_WORDS.items()]
    parts.sort(key=lambda part: -part[0])
    if parts[0][0] >= NEARLY:
        return parts[0][1]
    return " and ".join(word for share, word in parts if share >= A_PART)


def met(fit: Fit) -> str:
    """How many of the rules of gaps that the bay file enters are met: "meets all 4 rules of gaps you entered"."""
    entered = [row for row in rule_rows(fit) if row.entered]
    broken = [row.kind for row in entered if not is_met(row.spare)]
    if not entered:
        return "you entered no rules of gaps"
    if broken:
        return f"does not meet {len(broken)} of the {len(entered)} rules of gaps you entered: {', '.join(broken)}"
    every = "the rule" if len(entered) == 1 else f"all {len(entered)} rules"
    return f"meets {every} of gaps you entered"


def headline(fit: Fit) -> Iterator[str]:
    """Verdict with its counts, then how many of the user's own rules are met, and what is said of strength."""
    yield verdict(fit.findings)
    yield met(fit)
    if fit.held is not None:
        yield held_rows.said(fit.held)
