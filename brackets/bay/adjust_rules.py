"""Parts at both ends of their slots: gaps, bolts, paths and seats that are worse there than as drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from brackets.bay.adjust import Adjust, SlideGap, adjusts, newly_short, shifted, slide_gaps, sliding
from brackets.bay.bolts.bolt_rules import bolt_findings
from brackets.bay.bolts.bolting import BoltFound, bolts
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import ChassisBolt
from brackets.bay.clear.moving import Moved, by_pair
from brackets.bay.clear.pairs import Pair, at_least
from brackets.bay.clear.paths import BayPath, bay_paths
from brackets.bay.clear.scan_rules import path_findings
from brackets.bay.seats.contact import SeatContact, slid_contacts
from brackets.bay.seats.rules import HANG, seat_findings
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.bay import GAP_ADJUSTED, SLOTS_HELD


@dataclass(frozen=True, kw_only=True)
class Adjusted:
    """A part moved one way to the end of its slots: the gaps on the way, least spare first, those `short` that are
    not so as drawn, and what is said of bolts, paths and seats at the end that is not said as drawn."""

    of: Adjust
    gaps: tuple[SlideGap, ...]
    short: tuple[SlideGap, ...] = ()
    said: tuple[Finding, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """What was found with every part as drawn."""

    pairs: Sequence[Pair]
    moved: Sequence[Moved]
    bolts: Sequence[BoltFound]
    paths: Sequence[BayPath]
    seats: Sequence[SeatContact]


def adjusted(
    stood: PlacedBay, things: Sequence[BayBody], held: Sequence[BossBolt | ChassisBolt], drawn: Drawn
) -> tuple[Adjusted, ...]:
    """Every part with slots, each way it can be moved; nothing where no part has any."""
    found, moves = [], by_pair(drawn.moved)
    for one in adjusts(stood, held):
        if one.stuck:
            found.append(Adjusted(of=one, gaps=()))
            continue
        gaps = slide_gaps(stood.bay, things, one, moves)
        short = newly_short(gaps, drawn.pairs, moves)
        found.append(Adjusted(of=one, gaps=gaps, short=short, said=_at_the_end(stood, things, held, drawn, one)))
    return tuple(found)


def at_the_ends(
    stood: PlacedBay, things: Sequence[BayBody], held: Sequence[BossBolt | ChassisBolt]
) -> Sequence[Callable[[], object]]:
    """What `adjusted` works out anew, as tasks for whoever works ahead."""
    free = [one for one in adjusts(stood, held) if not one.stuck]
    return [
        *(partial(bay_paths, stood.bay, shifted(things, one)) for one in free),
        *(partial(_bolts, stood, things, held, one) for one in free),
    ]


def _bolts(
    stood: PlacedBay, things: Sequence[BayBody], held: Sequence[BossBolt | ChassisBolt], one: Adjust
) -> tuple[BoltFound, ...]:
    return bolts(stood, shifted(things, one), held, dict.fromkeys(one.mounts, one.shift))


def _at_the_end(
    stood: PlacedBay,
    things: Sequence[BayBody],
    held: Sequence[BossBolt | ChassisBolt],
    drawn: Drawn,
    one: Adjust,
) -> tuple[Finding, ...]:
    """Bolts, paths and seats with the part at its end, where they are worse than as drawn."""
    there = shifted(things, one)
    said = [
        *bolt_findings(_bolts(stood, things, held, one)),
        *path_findings(bay_paths(stood.bay, there)),
    ]
    before = {_key(finding) for finding in (*bolt_findings(drawn.bolts), *path_findings(drawn.paths))}
    worse = [finding for finding in said if _key(finding) not in before]
    return tuple(
        replace(
            finding,
            about=tuple(dict.fromkeys((*finding.about, one.part))),
            sentence=f"with {one.part} {one.words} on its slots: {finding.sentence}",
        )
        for finding in (*worse, *_seats(stood, things, held, drawn, one))
    )


def _seats(
    stood: PlacedBay,
    things: Sequence[BayBody],
    held: Sequence[BossBolt | ChassisBolt],
    drawn: Drawn,
    one: Adjust,
) -> Iterator[Finding]:
    """What is said of the seats there: at an end a flat one hangs the furthest, and a gap under it is widest."""
    (part,) = (part for part in stood.parts if part.name == one.part)
    slid = replace(part, part=sliding(part.part, held, one).placed(Place(one.shift)))
    before = {seat.seat: seat for seat in drawn.seats if seat.part == one.part}
    for there in slid_contacts(stood, things, drawn.seats, slid):
        for finding in seat_findings([there]):
            was = next(seat_findings([before[there.seat]]), None)
            if was is None or _key(was) != _key(finding) or (finding.value or 0.0) > (was.value or 0.0) + HANG:
                yield finding


def _key(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.level, finding.piece


def adjust_findings(found: Sequence[Adjusted]) -> Iterator[Finding]:
    """What is short or in the way at an end of the slots or between and not as drawn; parts that cannot slide."""
    for one in found:
        if one.of.stuck:
            yield SLOTS_HELD.finding(
                piece=one.of.part,
                about=(one.of.part,),
                sentence=f"cannot be moved on its slots: {one.of.stuck}",
            )
        for gap in one.short:
            yield _short(one.of, gap)
        yield from one.said


def _short(of: Adjust, gap: SlideGap) -> Finding:
    kind, why = (gap.rule.moved_kind, gap.rule.moved_why) if gap.moving else (gap.rule.kind, gap.rule.why)
    engine = f", the engine {gap.worst}" if gap.worst else ""
    size = "meet" if gap.touches else f"{at_least(gap.low, 2 if gap.moving else 1)} mm"
    return GAP_ADJUSTED.finding(
        level="stop" if gap.touches and gap.needed > 0 else "caution",
        piece=f"{gap.a} | {gap.b}",
        about=(gap.a, gap.b, of.part),
        value=gap.low,
        limit=gap.needed,
        source_words=f"{kind}: {why}",
        sentence=f"{size} with {of.part} {of.words_at(gap.at)} on its slots{engine}, {gap.needed:g} asked",
    )
