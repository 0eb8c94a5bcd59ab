"""What is said of a bolt: too short, too long, in its own metal, thread where shank should be, no way in, no tool
at it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import assert_never

from brackets.bay.bolts.bobbin_rules import end_bolt_findings, nut_findings, why_none_tapped
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import ChassisBolt
from brackets.bay.bolts.chassis_rules import chassis_findings
from brackets.bay.bolts.tool_access import Drawn
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut
from brackets.bay.stand.hardware import MountBolt
from brackets.core.finding import Finding, Level
from brackets.core.rulebook.bay import BOLT, BOLT_DEPTH, BOLT_DRAWN, BOLT_LENGTH, BOLT_REACH, FOUL, THREAD_IN_EAR
from brackets.core.tables.bolt_rows import Bolt
from brackets.core.vectors import coordinates
from brackets.kernel.shared import CONTACT_VOLUME
from brackets.survey.bolt_lengths import BOTTOM, NONE, THREADS_OUT, Through, nearest_tapped, nearest_through


def bolt_findings(found: Sequence[BoltFound]) -> Iterator[Finding]:
    """A finding for everything wrong or tight with a bolt; nothing for one that fits and is got at."""
    for one in found:
        yield from (replace(finding, about=_about(one)) for finding in _own(one.bolt))
        yield from _in_metal(one)
        yield from _drawn(one)
        yield from _tools(one)


def _own(of: MountBolt | BossBolt | ChassisBolt | StudNut | EndBolt) -> Iterator[Finding]:
    match of:
        case StudNut():
            return nut_findings(of)
        case EndBolt():
            return end_bolt_findings(of)
        case MountBolt():
            return _through(of)
        case BossBolt():
            return _tapped(of)
        case ChassisBolt():
            return chassis_findings(of)
        case _:
            assert_never(of)


def _about(one: BoltFound, *others: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((one.body, *one.holds, *others)))


def through_size(row: Bolt, used: Through) -> str:
    """ "M12 x 100, washers 1 and 2"."""
    return f"{row.of_length(used.length)}, washers {used.washers[0]} and {used.washers[1]}"


def _through(of: MountBolt) -> Iterator[Finding]:
    typed = of.typed
    if typed is None and of.stock is not None:
        yield BOLT.finding(
            piece=of.mount,
            value=of.stock.length,
            sentence=f"no bolt length is typed: {through_size(of.row, of.stock)} from stock fits, and is drawn",
        )
    if typed is None and of.stock is None:
        yield BOLT_LENGTH.finding(
            level="caution",
            piece=of.mount,
            value=of.grip,
            sentence=f"{of.grip:g} mm of metal for an {of.row.name}: {_why_none(of)}",
        )
    if typed is None or typed.fits:
        return
    better = "; " + (f"{through_size(of.row, of.stock)} would fit" if of.stock is not None else _why_none(of))
    if typed.spare < -NONE or typed.runs_out > NONE:
        short = typed.spare < -NONE
        least = THREADS_OUT * of.row.pitch
        yield BOLT_LENGTH.finding(
            level="stop" if typed.runs_out > NONE or typed.spare < -least else "caution",
            piece=of.mount,
            value=typed.spare + least if short else typed.runs_out,
            limit=least if short else 0.0,
            sentence=f"{of.row.of_length(typed.length)}: "
            + (
                f"{typed.spare + least:.1f} mm stand out of the nut, two threads ({least:g} mm) asked"
                if short
                else f"the nut meets the shank {typed.runs_out:.1f} mm before it holds"
            )
            + better,
        )
    if typed.thread_in > NONE:
        sheared = typed.thread_in > of.ear_t + NONE
        yield THREAD_IN_EAR.finding(
            level="caution" if sheared else "advice",
            piece=of.mount,
            value=typed.thread_in,
            limit=of.ear_t if sheared else 0.0,
            sentence=f"{of.row.of_length(typed.length)}: {typed.thread_in:.1f} mm of thread in the {of.ear_t:g} mm"
            + (" ear by the nut and past it" if sheared else " ear by the nut")
            + better,
        )


def _why_none(of: MountBolt) -> str:
    """What is wrong with each stock length near."""
    said = []
    for one in nearest_through(of.row, grip=of.grip, nut_height=of.nut_height, washers=of.washers):
        length = of.row.length_words(one.length)
        if one.spare < -NONE:
            said.append(f"x {length} is {-one.spare:.1f} mm too short")
        elif one.thread_in > NONE:
            said.append(f"x {length} has {one.thread_in:.1f} mm of thread in the ear")
        else:
            said.append(f"x {length} stops its nut {one.runs_out:.1f} mm short")
    return f"none from stock fits: {', '.join(said)}"


def _tapped(of: BossBolt) -> Iterator[Finding]:
    if of.boss.depth <= 0:
        yield BOLT.finding(
            piece=f"{of.part}: {of.boss.name}",
            sentence="no usable depth of thread is typed: no bolt can be chosen for it",
        )
        return
    if of.longest < of.shortest - NONE:
        yield BOLT_DEPTH.finding(
            piece=f"{of.part}: {of.boss.name}",
            value=of.boss.depth - BOTTOM * of.row.pitch,
            limit=of.needed.least,
            source_words=of.needed.source,
            sentence=f"{of.boss.depth:g} mm of thread less a pitch to stay off its bottom leaves"
            f" {of.boss.depth - BOTTOM * of.row.pitch:g}, {of.needed.least:g} asked",
        )
        return
    if of.stock is not None and of.stock.washers == 1:
        return
    near = nearest_tapped(of.row, grip=of.grip, depth=of.boss.depth, least=of.needed.least)
    cure = (
        f"cut one to {of.shortest:.1f} to {of.longest:.1f} mm"
        if of.stock is None
        else f"{of.row.of_length(of.stock.length)} with {of.stock.washers} washers fits"
    )
    yield BOLT_LENGTH.finding(
        level="caution" if of.stock is None else "advice",
        piece=f"{of.part}: {of.boss.name}",
        value=near[-1].length,
        limit=of.longest,
        source_words=of.needed.source,
        sentence=f"no {of.row.name} from stock fits under one washer: {why_none_tapped(of.row, near)}; {cure}",
    )


def _in_metal(one: BoltFound) -> Iterator[Finding]:
    """A bolt into a boss or the chassis in its own part; a mount's is among the gaps."""
    if not one.in_metal:
        return
    part, where = one.holds[0], coordinates(one.in_metal[0].at)
    volume = sum(found.volume for found in one.in_metal)
    yield FOUL.finding(
        piece=f"{one.body} | {part}",
        value=volume,
        limit=CONTACT_VOLUME,
        unit="mm3",
        sentence=f"{one.body}: {' and '.join(found.what for found in one.in_metal)} in the metal of {part}, which"
        f" it holds, at {where}, {volume:.1f} mm3",
        about=_about(one),
    )


def _drawn(one: BoltFound) -> Iterator[Finding]:
    """A bolt that does not come straight out: stop where what it holds is in the way, or no order lets it in."""
    if one.drawn is None or one.drawn.out:
        return
    level: Level = "stop"
    way = one.drawn
    if one.turned is not None and one.turned.out:
        level, said = "advice", f"{way.by}: put it in from the other end"
    elif not one.withdrawals:
        said = _barred(way)
        if one.turned is not None:
            said += f"; from the other end {one.turned.free:.0f} mm, then {_barred(one.turned)}"
        said += f": once {' and '.join(one.holds)} {_is(one.holds)} made it cannot be put in"
    else:
        way = one.withdrawals[0]
        order = f"{way.by}: it must go in before {' and '.join(way.meets)} {_is(way.meets)} there"
        if one.no_order:
            steps = zip(one.no_order, one.no_order[1:], strict=False)
            said = f"{order}, which no order allows: {', '.join(f'{first} before {then}' for first, then in steps)}"
        else:
            level, said = "caution", order
            if way.keep_outs:
                said += f"; can {' and '.join(way.keep_outs)}, typed as a keep-out, come off?"
    end = " from its nut's end" if way is one.turned else ""
    yield BOLT_DRAWN.finding(
        level=level,
        piece=_piece(one),
        value=way.free,
        limit=way.length,
        sentence=f"its bolt comes out {way.free:.0f} of {way.length:.0f} mm{end}, then meets {said}",
        about=_about(one, *way.meets),
    )


def _barred(way: Drawn) -> str:
    """ "bracket, which it holds"; what it meets first, where that is something else, before it."""
    own = f"{' and '.join(way.held)}, which it holds"
    return own if way.by in way.held else f"{way.by}, and behind that {own}"


def _is(names: Sequence[str]) -> str:
    return "is" if len(names) == 1 else "are"


def _tools(one: BoltFound) -> Iterator[Finding]:
    for end in one.ends:
        if not end.ok:
            yield BOLT_REACH.finding(
                piece=_piece(one),
                source_words=end.socket.source,
                sentence=f"no tool gets at the {end.end}: a socket {end.socket.od:g} x {end.socket.length:g} meets"
                f" {', '.join(end.socket_by)}; a ring spanner does not go on and swing {end.spanner.swing:g} deg:"
                f" {', '.join(end.spanner_by)}",
                about=_about(one, *end.socket_by, *end.spanner_by),
            )


def _piece(one: BoltFound) -> str:
    match one.bolt:
        case MountBolt() | StudNut() | EndBolt():
            return one.name
        case BossBolt():
            return f"{one.bolt.part}: {one.name}"
        case ChassisBolt():
            return f"{one.bolt.part}: {one.bolt.seat}"
        case _:
            assert_never(one.bolt)
