"""What is said of bobbins: no hole for the stud, too little thread, a bolt that bottoms, a flat that is too small,
and rubber that is pulled. mm, bay axes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from brackets.bay.schema.standing import FITS, SIDES, Mount
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut, clamped, seat_place
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.placed_part import PlacedBay
from brackets.clearance.bodies import Body, crossings
from brackets.core.finding import PRACTICE, Finding
from brackets.core.place import Place
from brackets.core.rulebook.bay import BOBBIN_HOLE, BOBBIN_PULLED, BOBBIN_SEAT, BOLT, BOLT_DEPTH, BOLT_LENGTH
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.bush_rows import Bobbin
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import unit
from brackets.survey.bolt_lengths import BOTTOM, NONE, Tapped, nearest_tapped

PULLED = 0.5
"""Sine of the least angle to the level at which a bobbin whose powertrain end is the lower one hangs in tension
rather than lies in shear: 30 degrees, common practice, no source."""

HANG = 0.5
"""How far a bobbin may stand past the edge of its flat before it is said, mm: what a hand-made part is out anyway;
common practice, no source."""

RIM = 24
"""Places round the rim of a bobbin where the metal under it is looked for: the part's own axes among them."""

STEP, FINE = 1.0, 0.01
"""mm between the places that are looked at inward from the rim, and to which the edge between two is then told."""

ABOVE = 1.0
"""mm before the flat where it is looked for, and half of that is how far it may be off."""


def nut_findings(of: StudNut) -> Iterator[Finding]:
    """A stop where the stud does not fill its nut, a caution where less than two threads stand out of it."""
    if of.out >= of.asked - NONE:
        return
    washers = of.washers * of.row.washer_t
    stack = f"{of.grip:g} mm of {of.part}, {washers:g} mm of washers, {of.nut_height:g} mm of nut"
    short = f"{-of.out:.1f} mm too short to fill it" if of.out < -NONE else f"{of.out:.1f} mm stand out of it"
    yield BOLT_LENGTH.finding(
        level="stop" if of.out < -NONE else "caution",
        source=PRACTICE,
        piece=of.name,
        value=of.out,
        limit=of.asked,
        sentence=f"the stud is {of.stud:g} mm long, for {stack}: {short}, two threads ({of.asked:g} mm) asked;"
        f" a stud of {of.stud - of.out + of.asked:.1f} mm would do, or a thinner plate",
    )


def end_bolt_findings(of: EndBolt) -> Iterator[Finding]:
    """A stop where the bolt as typed bottoms or does not hold, cautions where it comes near that or none fits."""
    room = of.depth - BOTTOM * of.row.pitch
    if room < of.needed.least - NONE:
        yield BOLT_DEPTH.finding(
            piece=of.name,
            value=room,
            limit=of.needed.least,
            source_words=of.needed.source,
            sentence=f"{of.depth:g} mm of thread in the bobbin's end less a pitch to stay off its bottom leaves"
            f" {room:g}, {of.needed.least:g} asked",
        )
    if of.typed is not None:
        yield from _typed(of)
        return
    if of.stock is not None and of.stock.washers == 1:
        yield BOLT.finding(
            piece=of.name,
            value=of.stock.length,
            sentence=f"no bolt length is typed: {of.row.of_length(of.stock.length)} from stock fits, and is drawn",
        )
        return
    if of.longest < of.shortest - NONE:
        return
    near = nearest_tapped(of.row, grip=of.grip, depth=of.depth, least=of.needed.least)
    cure = f"cut one to {of.shortest:.1f} to {of.longest:.1f} mm"
    if of.stock is not None:
        cure = f"{of.row.of_length(of.stock.length)} with {of.stock.washers} washers fits, and is drawn"
    yield BOLT_LENGTH.finding(
        level="caution" if of.stock is None else "advice",
        piece=of.name,
        value=near[-1].length,
        limit=of.longest,
        source_words=of.needed.source,
        sentence=f"no {of.row.name} from stock fits under one washer: {why_none_tapped(of.row, near)}; {cure}",
    )


def why_none_tapped(row: Bolt, near: Sequence[Tapped]) -> str:
    """What is wrong with each stock length near, under one washer into a thread."""
    return ", ".join(
        f"{row.length_words(one.length)} is {-one.over_least:.1f} mm too short"
        if one.over_least < -NONE
        else f"{row.length_words(one.length)} comes {-one.under_most:.1f} mm too near the bottom"
        for one in near
    )


def _typed(of: EndBolt) -> Iterator[Finding]:
    used = of.typed
    if used is None or used.fits:
        return
    what, room = of.row.of_length(used.length), of.depth - BOTTOM * of.row.pitch
    better = f"; {of.row.of_length(of.stock.length)} from stock fits" if of.stock is not None else ""
    if used.under_most < -NONE:
        bottoms = used.depth > of.depth + NONE
        yield BOLT_LENGTH.finding(
            level="stop" if bottoms else "caution",
            source=PRACTICE,
            piece=of.name,
            value=used.depth,
            limit=room,
            sentence=f"{what} goes {used.depth:.1f} mm into a hole with {of.depth:g} mm of thread: it "
            + ("bottoms, and clamps nothing" if bottoms else "comes within a pitch of the bottom")
            + better,
        )
    elif used.depth <= NONE or used.thread_short > NONE:
        said = "does not reach the thread" if used.depth <= NONE else "stops at its plain shank before it clamps"
        yield BOLT_LENGTH.finding(
            level="stop",
            source=PRACTICE,
            piece=of.name,
            value=used.depth,
            limit=room,
            sentence=f"{what} {said} of the bobbin's end{better}",
        )
    elif used.over_least < -NONE:
        yield BOLT_LENGTH.finding(
            level="caution",
            piece=of.name,
            value=used.depth,
            limit=of.needed.least,
            source_words=of.needed.source,
            sentence=f"{what} goes {used.depth:.1f} mm into the bobbin's end, {of.needed.least:g} asked{better}",
        )


def bobbin_findings(stood: PlacedBay, all_things: Sequence[BayBody]) -> Iterator[Finding]:
    """Of every mount on a bobbin: its holes, the flats that it stands on, and whether it is pulled."""
    bodies = {thing.name: thing.body for thing in all_things}
    parts = {part.name: part.part for part in stood.parts}
    for mount in stood.bay.mounts:
        bobbin = stood.bay.bobbin_of(mount)
        if bobbin is None:
            continue
        for side in SIDES:
            name = getattr(mount, f"{side}_part")
            if name not in parts:
                continue
            place, row = seat_place(stood.bay, mount, side), bolt(bobbin.thread)
            if clamped(parts[name], place, row) is None:
                at = f"where the {side} end of bobbin {bobbin.name} stands"
                yield BOBBIN_HOLE.finding(
                    piece=name,
                    about=(name, f"{mount.name} bush"),
                    sentence=f"{mount.name}: {name} has no hole for its {row.name} {at}: a clear hole of"
                    f" {hole(row, 'boss'):g} mm through a flat",
                )
            else:
                yield from _seat(mount, bobbin, name, bodies[name], place)
        yield from _pulled(mount, bobbin)


def _seat(mount: Mount, bobbin: Bobbin, name: str, body: Body, place: Place) -> Iterator[Finding]:
    """A caution where the end plate stands past its flat, advice where only the rubber does."""
    for what, od in (("end plate", bobbin.plate_od), ("rubber", bobbin.od)):
        past = over_edge(body, place, od)
        if past <= HANG:
            continue
        yield BOBBIN_SEAT.finding(
            level="caution" if what == "end plate" else "advice",
            piece=name,
            about=(name, f"{mount.name} bush"),
            value=past,
            limit=HANG,
            sentence=f"{mount.name}: the {what} of bobbin {bobbin.name}, {od:g} mm over all, stands {past:.1f} mm"
            f" past the edge of {name}: "
            + ("it bends there, and the bond tears" if what == "end plate" else "squeezed rubber rolls over it"),
        )
        return


def over_edge(body: Body, place: Place, od: float) -> float:
    """How far, mm, a disc of `od` on a part's flat at `place` (z into the part) stands past its edge at the worst,
    to FINE; nothing where that is no more than HANG."""
    worst = 0.0
    for i in range(RIM):
        angle, bare = 2 * math.pi * i / RIM, od / 2 - HANG
        across = (math.cos(angle), math.sin(angle))
        if _metal(body, place, bare, across):
            continue
        met = bare - STEP
        while met > 0 and not _metal(body, place, met, across):
            bare, met = met, met - STEP
        while bare - met > FINE:
            middle = (bare + met) / 2
            bare, met = (bare, middle) if _metal(body, place, middle, across) else (middle, met)
        worst = max(worst, od / 2 - max(met, 0.0))
    return worst


def _metal(body: Body, place: Place, r: float, across: tuple[float, float]) -> bool:
    (met,) = crossings(body, [place.point((r * across[0], r * across[1], -ABOVE))], place.axis)
    return len(met) > 0 and abs(float(met[0]) - ABOVE) <= ABOVE / 2


def _pulled(mount: Mount, bobbin: Bobbin) -> Iterator[Finding]:
    """A caution where the weight hangs on the bond: the powertrain's end is the lower one, and carries weight."""
    down = -unit(mount.axis)[2]
    if mount.fit != FITS[0] or down <= PULLED + NONE:
        return
    angle, limit = (math.degrees(math.asin(min(1.0, sine))) for sine in (down, PULLED))
    yield BOBBIN_PULLED.finding(
        piece=mount.name,
        about=(f"{mount.name} bush",),
        value=angle,
        limit=limit,
        sentence=f"the powertrain hangs under bobbin {bobbin.name}, {angle:.0f} deg out of the level: pulled,"
        " rubber is weakest at its bond, and where that parts nothing holds; stand the engine on it, or strap it",
    )
