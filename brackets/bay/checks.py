"""What a fitted bay breaks of its own rules, said as findings beside those of its parts."""

from __future__ import annotations

import math
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace

from brackets.bay.adjust_rules import Adjusted, adjust_findings
from brackets.bay.bolts.bobbin_rules import bobbin_findings
from brackets.bay.bolts.bolt_rules import bolt_findings
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.chassis_bolts import ChassisBolt
from brackets.bay.bolts.chassis_rules import not_drawn
from brackets.bay.bolts.draw_room import draw_findings, draw_rooms
from brackets.bay.clear.drive_rules import drive_findings
from brackets.bay.clear.driveline import Drive
from brackets.bay.clear.known import known
from brackets.bay.clear.link_motion import LinkFound, link_findings
from brackets.bay.clear.movement_rules import movement_findings
from brackets.bay.clear.moving import Moved
from brackets.bay.clear.pairs import FIT_UP_GAP, Pair, at_least
from brackets.bay.clear.paths import BayPath
from brackets.bay.clear.pos_rules import pos_findings
from brackets.bay.clear.props import Prop, prop_findings
from brackets.bay.clear.regions import moves_of
from brackets.bay.clear.scan_rules import open_scan_findings, path_findings, scan_findings
from brackets.bay.clear.slack import Slack, slack_findings
from brackets.bay.expected import expected_findings
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import SIDES, Mount
from brackets.bay.seats.contact import SeatContact
from brackets.bay.seats.rules import (
    flange_findings,
    long_cups,
    rail_findings,
    seat_findings,
    skin_findings,
    sleeve_findings,
)
from brackets.bay.seats.weld_reach import weld_findings
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import Finding, worst_first
from brackets.core.rulebook.bay import (
    BOLT,
    DIAGONALS,
    FOUL,
    GAP_AT_REST,
    GAP_MOVED,
    INSIDE,
    MISFIT,
    MISFIT_ANGLE,
    STANDING_STILL,
    TOUCH,
)
from brackets.core.rulebook.parts import FIT_UP, SEAT_BRIDGED
from brackets.core.vectors import Vec, coordinates

OFF_MOUNT = 0.5
"""How far a seat may be from its mount before it is said, mm: what a hand-made part is out anyway."""

AXIS_WORDS: Mapping[Vec, str] = {
    (1.0, 0.0, 0.0): "forward",
    (-1.0, 0.0, 0.0): "back",
    (0.0, 1.0, 0.0): "left",
    (0.0, -1.0, 0.0): "right",
    (0.0, 0.0, 1.0): "up",
    (0.0, 0.0, -1.0): "down",
}
"""The bay's axes as the trade says them."""

TILT = 0.5
"""The same for the angle between seat and mount, degrees."""

ASKEW = 10.0
"""Degrees past which no bush or bolt goes together with its seat: a cup of 40 mm is then 7 mm out, end to end.
Common practice, no source."""


def bay_findings(
    stood: PlacedBay,
    all_things: Sequence[BayBody],
    pairs: Sequence[Pair],
    moves: Sequence[Moved],
    paths: Sequence[BayPath] = (),
    bolts: Sequence[BoltFound] = (),
    seats: Sequence[SeatContact] = (),
    links: Sequence[LinkFound] = (),
    slacks: Sequence[Slack] = (),
    drives: Sequence[Drive] = (),
    props: Sequence[Prop] = (),
    adjusts: Sequence[Adjusted] = (),
) -> tuple[Finding, ...]:
    """Everything the bay's rules and the parts' own say, worst first; pieces with their part's name before them."""
    bay = stood.bay
    of_parts = [
        replace(f, piece=f"{part.name}: {f.piece}", about=(part.name,))
        for part in stood.parts
        for f in part.findings
    ]
    return worst_first(
        [
            *_fouls(pairs, long_cups(stood)),
            *open_scan_findings(all_things, pairs, moves, paths),
            *_short(pairs),
            *path_findings(paths),
            *bolt_findings(bolts),
            *not_drawn(stood, tuple(one.bolt for one in bolts if isinstance(one.bolt, ChassisBolt))),
            *weld_findings(stood, all_things),
            *draw_findings(draw_rooms(stood, all_things)),
            *_moved(moves),
            *link_findings(links),
            *slack_findings(slacks),
            *expected_findings(stood, pairs, paths, bolts, moves),
            *drive_findings(drives),
            *prop_findings(props),
            *adjust_findings(adjusts),
            *pos_findings(bay, known(bay, all_things), pairs, moves),
            *_still(bay, all_things),
            *movement_findings(bay),
            *_fit_up(pairs, seats),
            *scan_findings(bay, pairs),
            *seat_findings(seats),
            *skin_findings(seats),
            *rail_findings(bay, seats),
            *sleeve_findings(stood),
            *flange_findings(stood),
            *bobbin_findings(stood, all_things),
            *_misfits(stood),
            *_diagonals(bay),
            *of_parts,
        ]
    )


def _fouls(pairs: Sequence[Pair], long: Mapping[frozenset[str], str]) -> Iterator[Finding]:
    """`long`: of a part and its own bush, why they foul."""
    for pair in pairs:
        if pair.state == "foul":
            rule = FOUL
            size = "" if pair.volume is None else f", {pair.volume:.1f} mm3"
            way = "" if pair.out is None else f" {AXIS_WORDS[pair.out]}"
            deep = "" if pair.deep is None else f"; {pair.deep:.1f} mm{way} would free {pair.a}"
            where = coordinates(pair.p)
            why = long.get(frozenset((pair.a, pair.b)))
            sentence = f"{pair.a} fouls {pair.b} at {where}{size}{deep if why is None else f'; {why}'}"
        elif pair.state == "inside":
            rule = INSIDE
            sentence = f"{pair.a} and {pair.b}: one is inside the other"
        elif pair.state == "touch":
            rule = TOUCH
            sentence = f"{pair.a} touches {pair.b}: make room, or say under [[contact]] that they are meant to"
        else:
            continue
        yield rule.finding(
            piece=f"{pair.a} | {pair.b}",
            about=(pair.a, pair.b),
            value=0.0,
            limit=pair.rule.rest,
            source_words=pair.rule.why,
            sentence=sentence,
        )


def _short(pairs: Sequence[Pair]) -> Iterator[Finding]:
    for pair in pairs:
        if pair.state in ("clear", "far") and pair.short:
            yield GAP_AT_REST.finding(
                piece=f"{pair.a} | {pair.b}",
                about=(pair.a, pair.b),
                value=pair.low,
                limit=pair.rule.rest,
                source_words=f"{pair.rule.kind}: {pair.rule.why}",
                sentence=f"{_found(pair)} mm standing still, {pair.rule.rest:g} asked",
            )


def _found(pair: Pair) -> str:
    if pair.unsure:
        return f"between {at_least(pair.low)} and {pair.high:.1f}"
    return at_least(pair.low)


def _moved(moves: Sequence[Moved]) -> Iterator[Finding]:
    for move in moves:
        touches = move.high <= 0
        if not (move.short or move.unsure or touches):
            continue
        found = "0.0" if touches else f"at least {at_least(move.low)}"
        yield GAP_MOVED.finding(
            level="stop" if touches and move.needed > 0 else "caution",
            piece=f"{move.a} | {move.b}",
            about=(move.a, move.b),
            value=move.low,
            limit=move.needed,
            source_words=f"{move.rule.moved_kind}: {move.rule.moved_why}",
            sentence=f"{found} mm when moved ({move.when}), {move.needed:g} asked",
        )


def _still(bay: Bay, all_things: Sequence[BayBody]) -> Iterator[Finding]:
    if moves_of(bay) is None:
        yield STANDING_STILL.finding(
            piece="powertrain",
            about=("powertrain",),
            sentence="STANDING STILL ONLY: no movement is typed under [powertrain] moves, and engines rock",
        )
    there = {thing.name for thing in all_things}
    for mount in bay.mounts:
        if bay.bobbin_of(mount) is not None:
            yield from _loose_ends(mount, there)
        elif f"{mount.name} bolt" not in there:
            yield BOLT.finding(
                piece=mount.name,
                about=(f"{mount.name} bolt",),
                sentence="its bolt is not drawn and not cleared: what it holds is not known, or nothing fits",
            )


def _loose_ends(mount: Mount, there: Container[str]) -> Iterator[Finding]:
    """Ends of a bobbin with neither a nut nor a bolt."""
    for side in SIDES:
        if not any(f"{mount.name} {side} {what}" in there for what in ("nut", "bolt")):
            yield BOLT.finding(
                piece=mount.name,
                about=(f"{mount.name} {side} end",),
                sentence=f"the {side} end of its bobbin has no nut or bolt that is drawn and cleared: what it holds"
                " is not known, or nothing fits",
            )


def _fit_up(pairs: Sequence[Pair], seats: Sequence[SeatContact]) -> Iterator[Finding]:
    """Parts without a seat that says how they stand on what they are cut to."""
    judged = {frozenset((seat.part, onto)) for seat in seats for onto in seat.onto}
    for pair in pairs:
        if pair.state == "fit-up" and frozenset((pair.a, pair.b)) not in judged and pair.low > FIT_UP_GAP:
            yield FIT_UP.finding(
                piece=f"{pair.a} | {pair.b}",
                about=(pair.a, pair.b),
                value=pair.low,
                limit=FIT_UP_GAP,
                source=SEAT_BRIDGED,
                sentence=f"stands {pair.low:.1f} mm off what it is cut to",
            )


def _misfits(stood: PlacedBay) -> Iterator[Finding]:
    for part in stood.parts:
        for misfit in part.misfits:
            if misfit.off > OFF_MOUNT:
                yield MISFIT.finding(
                    piece=part.name,
                    about=(part.name,),
                    value=misfit.off,
                    limit=OFF_MOUNT,
                    sentence=f"{misfit.seat} is {misfit.off:.1f} mm off {misfit.mount}",
                )
            if misfit.angle > TILT:
                askew = misfit.angle > ASKEW
                told = f"{misfit.seat} is {misfit.angle:.1f} deg off {misfit.mount}"
                cure = f": no bush or bolt goes together there; turn the part, or the axis of {misfit.mount}"
                yield MISFIT_ANGLE.finding(
                    piece=part.name,
                    about=(part.name,),
                    level="stop" if askew else "caution",
                    value=misfit.angle,
                    limit=ASKEW if askew else TILT,
                    sentence=told + cure if askew else told,
                )


def _diagonals(bay: Bay) -> Iterator[Finding]:
    for datum in bay.data:
        drawn = diagonals(datum.marks)
        apart = abs(datum.diagonals[0] - datum.diagonals[1])
        if apart > datum.allowed:
            yield DIAGONALS.finding(
                piece=datum.name,
                about=(datum.name,),
                value=apart,
                limit=datum.allowed,
                sentence=f"the taped diagonals differ by {apart:.1f} mm, {datum.allowed:g} allowed: out of square",
            )
        for taped, calculated in zip(datum.diagonals, drawn, strict=True):
            if abs(taped - calculated) > datum.allowed:
                yield DIAGONALS.finding(
                    piece=datum.name,
                    about=(datum.name,),
                    value=taped,
                    limit=calculated,
                    sentence=f"diagonal taped {taped:.1f} mm, {calculated:.1f} between the typed marks",
                )


def diagonals(marks: Sequence[tuple[float, float, float]]) -> tuple[float, float]:
    """Distances from the first mark to the last and from the second to the third, mm."""
    return math.dist(marks[0], marks[3]), math.dist(marks[1], marks[2])
