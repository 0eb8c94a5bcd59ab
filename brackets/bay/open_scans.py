"""What is said of scans: how they were put in order, and where they leave open whether a body is inside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.bodies import Thing
from brackets.bay.moving import Moved
from brackets.bay.pairs import Pair
from brackets.bay.ways import WayFound
from brackets.findings import PRACTICE, Finding
from brackets.findings.record import Level

NOT_KNOWN = "inside not known"
CURE = '; say scanned = "outside" or "inside" of it, or scan what is missing'


def open_scan_findings(
    all_things: Sequence[Thing], pairs: Sequence[Pair], moves: Sequence[Moved], ways: Sequence[WayFound]
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
    return Finding(
        level="stop", code=NOT_KNOWN, piece=piece, about=about, source=PRACTICE, sentence=sentence + CURE
    )


def _of_file(level: Level, name: str, said: Sequence[str]) -> Finding:
    whole = "; ".join(said)
    return Finding(level=level, code="scan file", piece=name, about=(name,), source=PRACTICE, sentence=whole)
