"""What a bay file says should come out, worked out by other means, against what did. mm, kg."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.clear.moving import Moved, by_pair
from brackets.bay.clear.pairs import Pair
from brackets.bay.clear.paths import BayPath
from brackets.bay.schema.asked import EXPECTED_OF_FIT, ExpectedRow
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import EXPECTED

NOTHING = "nothing there is called that"


def expected_findings(
    stood: PlacedBay,
    pairs: Sequence[Pair],
    paths: Sequence[BayPath],
    bolts: Sequence[BoltFound],
    moves: Sequence[Moved] = (),
) -> Iterator[Finding]:
    """A caution for each row that did not come out as typed, or that names what is not there."""
    for row in (row for row in stood.bay.expected if row.what in EXPECTED_OF_FIT):
        found = _found(row, stood, pairs, paths, bolts, moves)
        unit = "kg" if row.what == "mass" else "mm"
        asked = f"{row.value:g} {unit} within {row.within:g}" + (f" ({row.how})" if row.how else "")
        if isinstance(found, str):
            yield EXPECTED.finding(
                piece=" | ".join(row.of),
                about=() if found == NOTHING else row.of,
                limit=row.value,
                unit=unit,
                sentence=f"{row.what}: {found}, expected {asked}",
            )
        elif not found[0] - row.within <= row.value <= found[1] + row.within:
            low, high = (f"{end:.6g}" for end in found)
            came = low if low == high else f"{low} to {high}"
            yield EXPECTED.finding(
                piece=" | ".join(row.of),
                about=row.of,
                value=found[0],
                limit=row.value,
                unit=unit,
                sentence=f"{row.what}: {came} {unit}, expected {asked}",
            )


def _found(
    row: ExpectedRow,
    stood: PlacedBay,
    pairs: Sequence[Pair],
    paths: Sequence[BayPath],
    bolts: Sequence[BoltFound],
    moves: Sequence[Moved],
) -> tuple[float, float] | str:
    """Between which two figures it lies; in words, why there is none."""
    if row.what == "gap":
        gaps = [(one.low, one.high) for one in pairs if {one.a, one.b} == set(row.of)]
        return gaps[0] if gaps else NOTHING
    if row.what == "gap moved":
        move = by_pair(moves).get(frozenset(row.of))
        return NOTHING if move is None else (move.low, move.high)
    if row.what == "mass":
        masses = [part.part.mass.kg for part in stood.parts if part.name in row.of]
        return (sum(masses),) * 2 if len(masses) == len(row.of) else NOTHING
    (name,) = row.of
    return _bolt(name, bolts) if row.what == "bolt" else _path(name, paths)


def _bolt(name: str, bolts: Sequence[BoltFound]) -> tuple[float, float] | str:
    called = [one for one in bolts if one.name == name]
    lengths = [float(one.used.length) for one in called if one.used is not None]
    if lengths:
        return (lengths[0],) * 2
    return "no bolt from stock fits there" if called else NOTHING


def _path(name: str, paths: Sequence[BayPath]) -> tuple[float, float] | str:
    called = [one for one in paths if one.name == name]
    for path in called:
        if path.out and path.low is not None and path.high is not None:
            return path.low, path.high
        if path.out:
            return f"{path.part} comes out with nothing near it"
        still = f": the bolts of {', '.join(path.held)} are in" if path.held else ""
        return f"{path.part} does not come out{still}"
    return NOTHING
