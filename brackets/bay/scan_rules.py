"""Rules of scans (noise, how they were mended, insides that cannot be told) and of paths in and out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.bodies import BayBody
from brackets.bay.moving import Moved
from brackets.bay.pairs import Pair, allowed_depths, at_least
from brackets.bay.paths import BayPath
from brackets.bay.record import Bay
from brackets.core.finding import Finding, Level
from brackets.core.rulebook.bay import INSIDE_NOT_KNOWN, SCAN, SCAN_FILE, WAY, WAY_BLOCKED, WAY_HELD


def scan_findings(bay: Bay, pairs: Sequence[Pair]) -> Iterator[Finding]:
    """Advice for every part that stands in a scan by no more than is allowed: how deep, and by what."""
    allowed = allowed_depths(bay)
    for pair in pairs:
        limit = allowed.get(frozenset((pair.a, pair.b)))
        if pair.state == "contact" and limit is not None and pair.deep:
            yield SCAN.finding(
                piece=f"{pair.a} | {pair.b}",
                about=(pair.a, pair.b),
                value=pair.deep,
                limit=limit.mm,
                sentence=(
                    f"stands {pair.deep:.2f} mm in it as scanned, {limit.mm:g} allowed ({limit.whence}): they are"
                    " declared to touch"
                ),
            )


CURE = '; say scanned = "outside" or "inside" of it, or scan what is missing'


def open_scan_findings(
    all_things: Sequence[BayBody], pairs: Sequence[Pair], moves: Sequence[Moved], ways: Sequence[BayPath]
) -> Iterator[Finding]:
    """A stop where it cannot be told whether a body is inside a scan, still, moved or on a way; advice on what was
    put right in a scan, caution where a file looks damaged."""
    told = set()
    for pair in pairs:
        if pair.not_told:
            told.add(frozenset((pair.a, pair.b)))
            yield _not_known(f"{pair.a} | {pair.b}", pair.note, (pair.a, pair.b))
    for move in moves:
        if move.note and frozenset((move.a, move.b)) not in told:
            yield _not_known(f"{move.a} | {move.b}", f"when moved: {move.note}", (move.a, move.b))
    for way in ways:
        for a, b, note in way.notes:
            yield _not_known(way.name, f"on the way: {note}", (a, b))
    for thing in all_things:
        if thing.body.doubts:
            yield _of_file("caution", thing.name, thing.body.doubts)
        if thing.body.notes:
            yield _of_file("advice", thing.name, thing.body.notes)


def _not_known(piece: str, sentence: str, about: tuple[str, ...]) -> Finding:
    return INSIDE_NOT_KNOWN.finding(piece=piece, about=about, sentence=sentence + CURE)


def _of_file(level: Level, name: str, said: Sequence[str]) -> Finding:
    whole = "; ".join(said)
    return SCAN_FILE.finding(level=level, piece=name, about=(name,), sentence=whole)


def way_findings(found: Sequence[BayPath]) -> Iterator[Finding]:
    """A stop for each way that is blocked, a caution for each that is tighter than asked."""
    for way in found:
        if way.held:
            yield WAY_HELD.finding(
                piece=way.name,
                about=about(way),
                sentence=f"{way.part} does not come out: bolted at {', '.join(way.held)};"
                " name these under without, once they are out",
            )
        elif not way.out:
            yield _blocked(way)
        elif way.low is not None and way.low < way.needed:
            yield WAY.finding(
                piece=way.name,
                about=about(way),
                value=way.low,
                limit=way.needed,
                source_words=way.why,
                sentence=(
                    f"comes out, {at_least(way.low)} mm past {between(way)} {place(way)}, {way.needed:g} asked"
                ),
            )


def _blocked(way: BayPath) -> Finding:
    leg = way.legs[-1]
    return WAY_BLOCKED.finding(
        piece=way.name,
        about=about(way),
        value=leg.free,
        limit=leg.length,
        unit=leg.unit,
        sentence=f"{way.part} does not come out: {place(way)} of {leg.length:g} {leg.unit}, {between(way)} meet"
        + ("" if way.p is None else f" at {', '.join(f'{c:.0f}' for c in way.p)}"),
    )


def about(way: BayPath) -> tuple[str, ...]:
    """The way itself, what moves on it, the two that come nearest or meet, and what still holds it."""
    return tuple(dict.fromkeys((way.name, way.part, *(way.pair or ()), *way.held)))


def between(way: BayPath) -> str:
    """The two that come nearest, or meet."""
    return "" if way.pair is None else " and ".join(way.pair)


def place(way: BayPath) -> str:
    """Where on the way: "after 12.3 mm of leg 1"."""
    if way.at is None:
        return ""
    number, along = way.at
    unit = way.legs[number - 1].unit
    return f"after {along:.1f} {unit} of leg {number}" if len(way.legs) > 1 else f"after {along:.1f} {unit}"
