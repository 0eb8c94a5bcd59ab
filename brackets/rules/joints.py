"""What holds a part together: pieces that no weld, bolt or press fit reaches, and welds that lie on nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from brackets.core.finding import Finding
from brackets.core.rulebook.welding import LOOSE_PIECE, WELD_GAP
from brackets.core.vectors import Vec
from brackets.forming.separation import outside
from brackets.model.edges import length, points
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.weld import Weld
from brackets.rules.bores import joined

ROOT_OPENING = 1.6
"""Widest gap a fillet is laid over as it stands, mm, where no shop says its own: 1/16 in, common practice, no
source."""

ALONG = 40
"""Stretches a weld's line is looked at by, each in its middle and at its ends: 1 mm each of a 40 mm weld."""

NONE = 1e-6
"""mm: lengths below are rounding."""


def joint_findings(part: Part, *, fit_up: float = ROOT_OPENING) -> Iterator[Finding]:
    """Welds of `part` with no metal within `fit_up` mm, pieces that nothing reaches, and pieces that are loose as
    the recipe says."""
    pieces = {piece.name: piece for piece in part.pieces}
    holding = []
    for weld in part.welds:
        ends = [pieces[name] for name in (weld.piece, weld.onto) if name in pieces]
        bare, widest = uncovered(pieces[weld.piece], weld, ends, fit_up)
        whole = length(pieces[weld.piece], weld.edge)
        if bare > NONE:
            yield bare_finding(weld, bare, whole, widest, fit_up)
        if bare < whole - NONE:
            holding.append(weld)
    yield from _loose(part, holding)


def uncovered(
    piece: Piece,
    weld: Weld,
    ends: list[Piece],
    fit_up: float,
    off: Callable[[Piece, Vec], float | None] = outside,
) -> tuple[float, float]:
    """mm of a weld's line with more than `fit_up` mm of air to one of `ends`, and the widest gap of it, mm.

    `off` measures from a piece to a point; where it gives None (an Odd piece, in closed form) nothing is said.
    """
    spots = points(piece, weld.edge, 2 * ALONG + 1)
    gaps = [max((off(end, spot) or 0.0 for end in ends), default=0.0) for spot in spots]
    bare = sum(1 for gap in gaps[1::2] if gap > fit_up) / ALONG
    return bare * length(piece, weld.edge), max(0.0, *gaps)


def bare_finding(weld: Weld, bare: float, whole: float, widest: float, fit_up: float) -> Finding:
    """The stop for a weld `whole` mm long of which `bare` lies on nothing."""
    return WELD_GAP.finding(
        piece=weld.piece,
        value=widest,
        limit=fit_up,
        source_words=f"{fit_up:g}",
        sentence=(
            f"weld of {weld.piece} to {weld.onto}: {bare:.0f} of {whole:.0f} mm lie on nothing, widest gap"
            f" {widest:.1f} mm"
        ),
    )


def _loose(part: Part, holding: list[Weld]) -> Iterator[Finding]:
    """Every piece outside the largest group that holds together; what is fixed to the outside is held by it."""
    group = {piece.name: {piece.name} for piece in part.pieces}

    def join(names: set[str]) -> None:
        whole = set().union(*(group[name] for name in names))
        for name in whole:
            group[name] = whole

    for weld in holding:
        if weld.onto in group:
            join({weld.piece, weld.onto})
    for i, one in enumerate(part.pieces):
        for other in part.pieces[i + 1 :]:
            if joined(one, other):
                join({one.name, other.name})
    fixed = {weld.piece for weld in holding if weld.onto not in group}
    fixed |= {name for name in group if any(joined(part.piece(name), seat) for seat in part.seats)}
    if fixed:
        join(fixed)
    most = max((len(names) for names in group.values()), default=0)
    held = next((names for names in group.values() if len(names) == most), set())
    for piece in part.pieces:
        if piece.name in part.loose:
            yield LOOSE_PIECE.finding(
                level="advice",
                piece=piece.name,
                sentence=f"{piece.name} is loose, as the recipe says: nothing here holds it",
            )
        elif not held >= group[piece.name]:
            yield LOOSE_PIECE.finding(
                level="stop",
                piece=piece.name,
                sentence=f"no weld or bolt reaches {piece.name}",
            )


