"""Room to press a bush into its cup and to push it out again: a round bar past the part's other pieces.

The bar is as wide as the finished bore and as long as the cup and PRESS more: the bush in front of it and what
pushes on it. Of a bush of three pieces each flanged half goes in at its own end and is drawn out there again: a bar
as wide as its flange and as long as the half, and PRESS more. mm, part's frame.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.parts import PRESS_ROOM
from brackets.kernel.shared import shared
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.tube import Step, Turned

PRESS = 20.0
"""mm of room past a bush's own length for what pushes on it: common practice, no source."""

SLACK = 0.2
"""mm the bar stands off the cup's end, and is smaller all round: what is flush with the bore is not in the way."""

ENDS = ("lower", "upper")


@dataclass(frozen=True, kw_only=True)
class Half:
    """A flanged half of a bush of three pieces: outside of its flange, length over all, mm."""

    od: float
    length: float


NO_HALVES: Mapping[str, Half] = {}


def press_findings(part: Part, *, halves: Mapping[str, Half] = NO_HALVES) -> Iterator[Finding]:
    """Of every cup that a bush is pressed into: a stop where a bush as long as the cup cannot come to either end, a
    caution where an end has not also PRESS of room. `halves`: of the cups by name that a bush of three pieces goes
    into one of its halves: a stop where it cannot come to both ends, a caution where it cannot be drawn out again.

    Raises KernelFailed where the kernel makes no solid of a piece.
    """
    for cup in part.pieces:
        if not isinstance(cup, Turned) or cup.bush is None or cup.bush.slip:
            continue
        if cup.name in halves:
            yield from _of_halves(part, cup, halves[cup.name])
            continue
        meets = [_meets(part, cup, _bar(cup, end, PRESS)) for end in ENDS]
        if all(meets) and all(_meets(part, cup, _bar(cup, end, 0.0)) for end in ENDS):
            yield PRESS_ROOM.finding(
                level="stop",
                piece=cup.name,
                sentence=f"{_names(meets)} in the way within {cup.length:g} mm of both ends: no bush goes in",
            )
        elif any(meets):
            yield _caution(cup, meets)


def _of_halves(part: Part, cup: Turned, half: Half) -> Iterator[Finding]:
    """The worst of each end: no half goes in there, or none comes out again."""
    for end in ENDS:
        for level, more in (("stop", 0.0), ("caution", PRESS)):
            meets = _meets(part, cup, _bar(cup, end, more, half))
            if meets:
                yield PRESS_ROOM.finding(
                    level="stop" if level == "stop" else "caution",
                    piece=cup.name,
                    sentence=f"{', '.join(meets)} in the way within {half.length + more:g} mm of its {end} end: "
                    + ("no half of the bush goes in there" if level == "stop" else "no tool draws that half out"),
                )
                break


def _bar(cup: Turned, end: str, more: float, half: Half | None = None) -> Turned:
    """What must be free at one end of a cup: its length, or that of a half, and `more`; the lower end is where its
    own z is 0."""
    d = half.od if half is not None else cup.bush.size if cup.bush is not None else 0.0
    if d <= 2 * SLACK:
        raise InputError(f"bore = {d:g} mm, over {2 * SLACK:g}: room to press a bush in")
    long = (cup.length if half is None else half.length) + more - SLACK
    z = -SLACK - long if end == "lower" else cup.length + SLACK
    at = cup.place @ Place(at=(0.0, 0.0, z))
    return Turned(name="room", place=at, steps=(Step(length=long, od=d - 2 * SLACK),))


def _meets(part: Part, cup: Piece, bar: Turned) -> tuple[str, ...]:
    others = (piece for piece in part.pieces if piece is not cup)
    return tuple(piece.name for piece in others if shared(Part(name="room", pieces=(bar, piece))))


def _names(meets: Sequence[tuple[str, ...]]) -> str:
    return ", ".join(dict.fromkeys(name for names in meets for name in names))


def _caution(cup: Turned, meets: Sequence[tuple[str, ...]]) -> Finding:
    blocked = [end for end, names in zip(ENDS, meets, strict=True) if names]
    if len(blocked) == len(ENDS):
        said = "of both ends: the bush is drawn in by a bolt, no bar pushes it"
    else:
        other = ENDS[1 - ENDS.index(blocked[0])]
        said = f"of its {blocked[0]} end: the bush goes in from the {other} one, no bar pushes it out again"
    return PRESS_ROOM.finding(
        level="caution",
        piece=cup.name,
        sentence=f"{_names(meets)} in the way within {cup.length + PRESS:g} mm {said}",
    )
