"""Rules of seats that stand on nothing, on half of themselves or on thin sheet, and of sleeves between their ears.

The room between the ears less the sleeve's length is the play, a choice (`play` of a mount): a sleeve that is
clamped hard wants next to none, one that is made short to squeeze its poly first wants what it is short.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.hung.block import cold_formed_corner
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount
from brackets.bay.seats.contact import SeatContact
from brackets.bay.stand.hardware import bush_of, cup_of, play_of
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import PRACTICE, Finding, Level
from brackets.core.rulebook.bay import FLANGES, RAIL_CORNER, SEAT, SLEEVE, THIN_SKIN, WELD_ON_NOTHING
from brackets.core.rulebook.finding_rule import FindingRule
from brackets.core.rulebook.parts import FIT_UP, OVERHANG, SEAT_BRIDGED
from brackets.core.schema.reading import taking
from brackets.core.tables.bush_rows import Bobbin

SKIN = 3.0
"""mm: a thinner sheet works and cracks round a bracket unless it is doubled; common practice, no source."""

HANG = 0.5
"""How far a seat may hang past an edge before it is said, mm: what a hand-made part is out anyway."""

BARE = 0.1
"""mm of weld over air below which it is rounding."""


def seat_findings(seats: Sequence[SeatContact]) -> Iterator[Finding]:
    """One finding a seat, the worst there is to say of it; nothing of a seat that stands whole."""
    for one in seats:
        if one.area <= 0 and one.weld <= 0:
            yield _found(one, SEAT, f"its {one.seat} has no face there and is not judged", None, level="caution")
        elif one.contact <= 0:
            yield _found(one, SEAT, f"its {one.seat} stands on nothing: {_away(one)}", one.nearest, level="stop")
        elif one.bare > BARE:
            yield _found(one, WELD_ON_NOTHING, _weld(one), one.open)
        elif far := [hang for hang in one.hangs if hang[1] > HANG]:
            sentence = f"its {one.seat} hangs {_hangs(one)}; {_stands(one)}"
            yield _found(one, OVERHANG, sentence, far[0][1], limit=HANG, source=PRACTICE)
        elif max(one.widest, one.open) > one.allowed:
            wide = max(one.widest, one.open)
            under = f"a gap of {wide:.1f} mm under its {one.seat} at the widest"
            sentence = f"{under}, {one.allowed:g} can be welded over"
            yield _found(one, FIT_UP, sentence, wide)


def skin_findings(seats: Sequence[SeatContact]) -> Iterator[Finding]:
    """Seats on thin sheet that nothing doubles."""
    for one in seats:
        for name, thick in one.skins:
            if thick < SKIN:
                yield THIN_SKIN.finding(
                    piece=f"{one.part} | {name}",
                    about=(one.part, name),
                    value=thick,
                    limit=SKIN,
                    sentence=f"its {one.seat} stands on {name}, {thick:.3g} mm thick: a spreader plate or a doubler"
                    f' (a box with doubler_of = "{name}") is wanted',
                )


def rail_findings(bay: Bay, seats: Sequence[SeatContact]) -> Iterator[Finding]:
    """Hollow sections that something stands on and whose corners are not typed, each once."""
    onto = dict.fromkeys(name for one in seats if one.contact > 0 for name in one.onto)
    for name in onto:
        rail = bay.keep_out_by_name[name]
        if rail.rail_size is None or rail.rail_wall is None or rail.rail_corner is not None:
            continue
        least, largest = cold_formed_corner(rail.rail_wall)
        sizes = " and ".join(f"{size:g}" for size in sorted(set(rail.rail_size)))
        yield RAIL_CORNER.finding(
            piece=name,
            about=(name,),
            sentence=f"its corners are not typed and taken square: cold-formed with {rail.rail_wall:g} mm of wall"
            f" they are {least:.3g} to {largest:.3g} mm round, and up to {2 * largest:.3g} of its {sizes} mm are"
            " not flat; measure one and type corner",
        )


def _away(one: SeatContact) -> str:
    onto = one.onto[0]
    if one.nearest <= one.allowed:
        return f"it only meets the edge of {onto}"
    if one.nearest == float("inf"):
        return f"{onto} is nowhere near it"
    return f"{onto} is {one.nearest:.1f} mm away, {one.allowed:g} can be welded over"


def _weld(one: SeatContact) -> str:
    hangs = f"; it hangs {_hangs(one)}" if any(far > HANG for _, far, _ in one.hangs) else ""
    return (
        f"{one.bare:.1f} of {one.weld:.1f} mm of weld at its {one.seat} lies on nothing: no metal of"
        f" {' or '.join(one.onto)} within {one.allowed:g} mm{hangs}"
    )


def _hangs(one: SeatContact) -> str:
    return ", ".join(f"{far:.1f} mm off the {edge} of {onto}" for edge, far, onto in one.hangs if far > HANG)


def _stands(one: SeatContact) -> str:
    return f"{one.contact:.0f} of its {one.area:.0f} mm2 stand on metal ({100 * one.share:.0f} %)"


def _found(
    one: SeatContact,
    rule: FindingRule,
    sentence: str,
    value: float | None,
    *,
    level: Level | None = None,
    limit: float | None = None,
    source: str = SEAT_BRIDGED,
) -> Finding:
    return rule.finding(
        level=level,
        piece=f"{one.part} | {one.onto[0]}",
        about=(one.part, *one.onto),
        value=value,
        limit=one.allowed if limit is None else limit,
        source=source,
        sentence=sentence,
    )


HAND = 0.5
"""What ears made by hand are out anyway, mm: common practice, no source."""

PULLED = 2.0
"""How much more than the play asked ears may be apart before no bolt pulls them onto the sleeve, mm: common
practice, no source."""

TIGHT = 1e-6
"""mm by which a sleeve may be longer than the room for it: rounding."""


def sleeve_findings(stood: PlacedBay) -> Iterator[Finding]:
    """Of every mount whose ears say how far apart they stand (a value that takes "ear spacing")."""
    parts = {part.name: part for part in stood.parts}
    for mount in stood.bay.mounts:
        ears, bush = parts.get(getattr(mount, f"{mount.ears}_part") or ""), bush_of(stood.bay, mount)
        if isinstance(bush, Bobbin):
            continue
        spacing = None if ears is None else taking(ears.params, "ear spacing")
        if ears is not None and spacing is not None and isinstance(inside := spacing[1], float):
            sleeve, coat = bush.sleeve_length, stood.bay.shop_of(ears.name).coating
            yield from _judged(mount, ears.name, spacing[0], inside, sleeve, coat)


def flange_findings(stood: PlacedBay) -> Iterator[Finding]:
    """Of every bush of three pieces whose cup is there: a stop where the cup is as long as the sleeve, cautions
    where its flanges make it longer than that, and where the halves meet in it before their flanges bear."""
    made = {part.name: part.part for part in stood.parts}
    for mount in stood.bay.mounts:
        bush, cup = bush_of(stood.bay, mount), cup_of(mount, made)
        if isinstance(bush, Bobbin) or not bush.three_pieces or cup is None:
            continue
        coat = stood.bay.shop_of(mount.holder or "").coating
        long, sleeve = cup.length + 2 * coat, bush.sleeve_length
        whole, halves = long + 2 * bush.end_flange, bush.shell_length
        laid = f" and {coat:g} mm of coating on either end" if coat else ""
        met = f"{mount.name}: a cup {cup.length:g} mm long{laid}"
        about = (mount.holder or "", f"{mount.name} bush")
        if long >= sleeve - TIGHT:
            yield FLANGES.finding(
                level="stop",
                piece=about[0],
                about=about,
                value=long,
                limit=sleeve,
                sentence=f"{met} is no shorter than the sleeve, {sleeve:g} mm: the ears clamp the cup itself",
            )
        elif whole > sleeve + TIGHT:
            yield FLANGES.finding(
                level="caution",
                piece=about[0],
                about=about,
                value=whole,
                limit=sleeve,
                sentence=f"{met} with two flanges of {bush.end_flange:g} mm is {whole:.4g} mm, the sleeve"
                f" {sleeve:g} mm: the ears squeeze the flanges {whole - sleeve:.3g} mm before they clamp it;"
                f" a cup of {cup.length - whole + sleeve:.4g} mm, or a longer sleeve",
            )
        if halves > cup.length + TIGHT:
            yield FLANGES.finding(
                level="caution",
                piece=about[0],
                about=about,
                value=cup.length,
                limit=halves,
                sentence=f"{met} is shorter than both halves, {halves:g} mm: they meet before their flanges bear",
            )


def long_cups(stood: PlacedBay) -> dict[frozenset[str], str]:
    """Of every bush of two halves whose cup is longer than the room between its flanges, by the names of the cup's
    part and the bush: what is wrong with the cup."""
    made = {part.name: part.part for part in stood.parts}
    found = {}
    for mount in stood.bay.mounts:
        bush, cup = bush_of(stood.bay, mount), cup_of(mount, made)
        if isinstance(bush, Bobbin) or bush.three_pieces or bush.end_flange <= 0 or cup is None:
            continue
        if cup.length > bush.shell_length + TIGHT:
            found[frozenset((mount.holder or "", f"{mount.name} bush"))] = (
                f"its cup is {cup.length:g} mm long, between the flanges of the bush are {bush.shell_length:g}:"
                f" a cup of {bush.shell_length:g} mm"
            )
    return found


def _judged(
    mount: Mount, ears: str, name: str, inside: float, sleeve: float, coat: float = 0.0
) -> Iterator[Finding]:
    """`coat`: thickness of the coating on the inside of either ear, mm."""
    room, play = inside - 2 * coat - sleeve, play_of(mount)
    laid = f" less {coat:g} of coating on each" if coat else ""
    met = f"{mount.name}: a sleeve {sleeve:g} mm long between ears {inside:g} mm apart{laid}"
    better = f"{name} = {sleeve + play + 2 * coat:g} mm"
    if room < -TIGHT:
        sentence = f"{met} does not go in, it is {-room:.3g} mm too long: {better}, or grind it"
        yield _finding(mount, ears, "stop", room, 0.0, sentence)
    elif room > play + HAND:
        level: Level = "stop" if room > play + PULLED else "caution"
        whose = "asked" if mount.play is not None else "taken where its mount names no play"
        sentence = (
            f"{met} has {room:.3g} mm of play, {play:g} {whose}: the bolt pulls the ears in, or clamps nothing;"
            f" {better}, or fill it with a washer"
        )
        yield _finding(mount, ears, level, room, play, sentence)


def _finding(mount: Mount, ears: str, level: Level, room: float, limit: float, sentence: str) -> Finding:
    return SLEEVE.finding(
        level=level,
        piece=ears,
        about=(ears, f"{mount.name} sleeve"),
        value=room,
        limit=limit,
        sentence=sentence,
    )
