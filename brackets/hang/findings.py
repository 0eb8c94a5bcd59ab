"""What is to be said of the powertrain on its bushes, against the rules of `core/rulebook/hang.py`."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from brackets.core.finding import Finding
from brackets.core.rulebook.hang import (
    MODE_ISOLATES,
    MODE_ORDER,
    MOUNT_CAPTIVE,
    MOUNT_LIFTS,
    MOUNT_LOAD,
    MOUNT_SEPARATES,
    MOUNT_TRAVEL,
    SMALL_TURN,
)
from brackets.hang.cases import LARGEST_TURN, CaseResult, Missing, MountState
from brackets.hang.mount import Mount
from brackets.hang.orders import CrankLayout, orders
from brackets.hang.vibration import Modes

NEAR = 0.2
"""Part of an order's frequency, either way, within which a mode is shaken by it: common practice, no source."""
ROUNDING = 1e-12


def isolation_limit(layout: CrankLayout, idle: float) -> float:
    """Hz that no mode should be over: the firing frequency at `idle` turns a minute over the square root of 2.

    >>> round(isolation_limit(crank_layout("inline four"), 900), 2)
    21.21
    """
    return layout.firing_order * idle / 60 / math.sqrt(2)


def mode_findings(found: Modes, layout: CrankLayout, idle: float) -> Iterator[Finding]:
    """What to say of the six frequencies of an engine at idle: Findings, cautions.

    found: its modes; layout: its crank; idle: turns a minute.

    >>> four = [{"position": (x, y, 0), "stiffness": 300} for x in (-200, 200) for y in (-250, 250)]
    >>> found = modes(150, (4e6, 8e6, 8e6), four)
    >>> sorted({finding.code for finding in mode_findings(found, crank_layout("twin 360"), 1100)})
    ['mode isolates', 'mode order']
    """
    firing, most = layout.firing_order * idle / 60, isolation_limit(layout, idle)
    for i, hz in enumerate(map(float, found.hz)):
        chief, share = found.chief(i)
        said = f"mode {i + 1}, {hz:.1f} Hz, {share:.0%} {chief}"
        if MODE_ISOLATES.over(hz, most):
            sentence = f"{said}, wants to be under {most:.1f} Hz: at {idle:g} a minute it fires at {firing:.1f} Hz"
            yield MODE_ISOLATES.finding(piece="powertrain", value=hz, limit=most, sentence=sentence)
        near = [each for each in orders(layout) if each.counts and abs(hz / each.hz(idle) - 1) < NEAR - ROUNDING]
        if near:
            worst = min(near, key=lambda each: abs(hz / each.hz(idle) - 1))
            at = worst.hz(idle)
            shakes = f"{worst.order:g} times a turn at {idle:g} a minute, {worst.cause}"
            yield MODE_ORDER.finding(
                piece="powertrain",
                value=hz,
                limit=(1 - NEAR if hz < at else 1 + NEAR) * at,
                sentence=f"{said}, is within {NEAR:.0%} of {at:.1f} Hz: {shakes}",
            )


def case_findings(results: Iterable[CaseResult]) -> Iterator[Finding]:
    """What to say of each mount in each case: load, travel, which way it is pulled, what lets go: Findings.

    results: of `under_cases`. The first finding is a stop where the powertrain turns further than the sum is good
    for, as its weight comes on or in a case: then no figure of the others is either.

    >>> four = [{"position": (x, y, 0), "stiffness": 300, "load": 900} for x in (-200, 200) for y in (-1, 1)]
    >>> found = case_findings(under_cases(150, (0, 0, 0), four, road_cases()[:1]))
    >>> print(next(found).sentence)
    case bump (characteristic): carries 1471 N, its row allows 900 N
    """
    results = tuple(results)
    yield from turn_findings(results)
    for result in results:
        case = f"case {result.case.name} ({result.case.counts})"
        for state, mount in zip(result.mounts, result.found.mounts, strict=True):
            yield from _of_mount(case, state, mount)
        for name in result.separates:
            sentence = f"{case}: carries nothing, the powertrain lifts off it"
            yield MOUNT_SEPARATES.finding(piece=name, sentence=sentence, about=(name,))


def turn_findings(results: Sequence[CaseResult]) -> Iterator[Finding]:
    """A stop where the powertrain turns further than the sum is good for, as its weight comes on or in a case."""
    turns = [("as its weight comes on", result.found.rest) for result in results[:1]]
    turns += [(f"in case {result.case.name}", result.found.moved) for result in results]
    turned = [(math.degrees(math.hypot(*moved[3:])), where) for where, moved in turns]
    most, where = max(turned, default=(0.0, ""))
    if SMALL_TURN.over(most, LARGEST_TURN):
        sentence = (
            f"turns by {most:.1f} deg {where}, the sum is good to {LARGEST_TURN:g}: its mounts do not hold it"
            " upright, and nothing said here of loads, movement, heights or strength is to be built by"
        )
        yield SMALL_TURN.finding(piece="powertrain", value=most, limit=LARGEST_TURN, sentence=sentence)


def _of_mount(case: str, state: MountState, mount: Mount) -> Iterator[Finding]:
    name, force = mount.name, math.hypot(*state.force)
    if mount.load is not None and MOUNT_LOAD.over(force, mount.load):
        sentence = f"{case}: carries {force:.0f} N, its row allows {mount.load:.0f} N"
        yield MOUNT_LOAD.finding(piece=name, value=force, limit=mount.load, sentence=sentence, about=(name,))
    for axis, give, travel in zip("xyz", map(abs, state.give), mount.travel, strict=True):
        if travel is not None and MOUNT_TRAVEL.over(give, travel):
            sentence = f"{case}: gives {give:.1f} mm along its own {axis}, its row allows {travel:g} mm"
            yield MOUNT_TRAVEL.finding(piece=name, value=give, limit=travel, sentence=sentence, about=(name,))
    if state.lifts or state.reverses:
        how = "holds the powertrain down" if state.lifts else "is pulled the other way than by the weight"
        sentence = f"{case}: {how}, {force:.0f} N: bush and bolts carry both ways"
        yield MOUNT_LIFTS.finding(piece=name, sentence=sentence, about=(name,))


def missing_findings(missing: Iterable[Missing]) -> Iterator[Finding]:
    """What to say where one mount has failed and the rest does not hold, or only by swinging far: Findings.

    missing: of `one_missing`.

    >>> two = [{"position": (x, 0, 0), "stiffness": 300, "torsion": 1e6} for x in (0, 9)]
    >>> list(missing_findings(one_missing(15, (4, 0, 0), two)))
    []
    """
    for each in missing:
        if not each.held:
            sentence = f"if it fails nothing holds the powertrain in case {each.case}: {each.free}"
        elif not each.small:
            turns = f"turns over {LARGEST_TURN:g} degrees"
            sentence = f"if it fails the powertrain {turns}: whether and where it is caught is beyond this sum"
        else:
            continue
        yield MOUNT_CAPTIVE.finding(piece=each.mount, sentence=sentence, about=(each.mount,))
