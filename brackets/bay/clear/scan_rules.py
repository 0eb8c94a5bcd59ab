"""Rules of scans (noise, how they were mended, insides that cannot be told) and of paths in and out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.clear.moving import Moved
from brackets.bay.clear.pairs import Pair, allowed_depths, at_least
from brackets.bay.clear.paths import BayPath
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody
from brackets.core.finding import Finding, Level
from brackets.core.rulebook.bay import INSIDE_NOT_KNOWN, PATH, PATH_BLOCKED, PATH_HELD, SCAN, SCAN_FILE
from brackets.core.vectors import coordinates


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
    all_things: Sequence[BayBody], pairs: Sequence[Pair], moves: Sequence[Moved], paths: Sequence[BayPath]
) -> Iterator[Finding]:
    """A stop where it cannot be told whether a body is inside a scan, still, moved or on a path; advice on what was
    put right in a scan, caution where a file looks damaged."""
    told = set()
    for pair in pairs:
        if pair.not_told:
            told.add(frozenset((pair.a, pair.b)))
            yield _not_known(f"{pair.a} | {pair.b}", pair.note, (pair.a, pair.b))
    for move in moves:
        if move.note and frozenset((move.a, move.b)) not in told:
            yield _not_known(f"{move.a} | {move.b}", f"when moved: {move.note}", (move.a, move.b))
    for path in paths:
        for a, b, note in path.notes:
            yield _not_known(path.name, f"on the path: {note}", (a, b))
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


def path_findings(found: Sequence[BayPath]) -> Iterator[Finding]:
    """A stop for each path that is blocked, a caution for each that is tighter than asked."""
    for path in found:
        if path.held:
            yield PATH_HELD.finding(
                piece=path.name,
                about=about(path),
                sentence=f"{path.part} does not come out: bolted at {', '.join(path.held)};"
                " name these under without, once they are out",
            )
        elif not path.out:
            yield _blocked(path)
        elif path.low is not None and path.low < path.needed:
            yield PATH.finding(
                piece=path.name,
                about=about(path),
                value=path.low,
                limit=path.needed,
                source_words=path.why,
                sentence=(
                    f"comes out, {at_least(path.low)} mm past {between(path)} {place(path)}, {path.needed:g} asked"
                ),
            )


def _blocked(path: BayPath) -> Finding:
    leg = path.legs[-1]
    return PATH_BLOCKED.finding(
        piece=path.name,
        about=about(path),
        value=leg.free,
        limit=leg.length,
        unit=leg.unit,
        sentence=f"{path.part} does not come out: {place(path)} of {leg.length:g} {leg.unit}, {between(path)} meet"
        + ("" if path.p is None else f" at {coordinates(path.p)}"),
    )


def about(path: BayPath) -> tuple[str, ...]:
    """The path itself, what moves on it, the two that come nearest or meet, and what still holds it."""
    return tuple(dict.fromkeys((path.name, path.part, *(path.pair or ()), *path.held)))


def between(path: BayPath) -> str:
    """The two that come nearest, or meet."""
    return "" if path.pair is None else " and ".join(path.pair)


def place(path: BayPath) -> str:
    """Where on the path: "after 12.3 mm of leg 1"."""
    if path.at is None:
        return ""
    number, along = path.at
    unit = path.legs[number - 1].unit
    return f"after {along:.1f} {unit} of leg {number}" if len(path.legs) > 1 else f"after {along:.1f} {unit}"
