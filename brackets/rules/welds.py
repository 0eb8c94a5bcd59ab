"""Welds against their legs, their lengths and what is welded."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.core.finding import Finding
from brackets.core.rulebook.parts import WELD_CYCLIC, WELD_LEG, WELD_LENGTH, WELD_METAL
from brackets.core.tables.material_rows import material
from brackets.model.edges import length
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Tube, Turned
from brackets.model.weld import Weld

LEAST_LEG = ((6.0, 6.35, 3.0), (12.0, 12.7, 5.0), (20.0, 19.05, 6.0), (float("inf"), float("inf"), 8.0))
"""Thickness up to, mm as the table's metric and its inch column have it, and the least leg: D1.1 table 7.7."""

CYCLIC_LEG = 5.0
"""Least leg of what is loaded cyclically, mm: D1.1 table 7.7 note c."""

THINNEST = 3.0
"""Steel thinner than this, mm, is outside D1.1 (its scope, 1/8 in; sheet is D1.3): no leg is asked of it."""

STIFFEST_OTHER = 200000.0
"""MPa: the stiffest metal D1.1 is not about, stainless steel; carbon steel has more, EN 1993-1-1."""

NOMINAL = 0.25
"""mm by which two nominal sizes are one: the table itself writes 3/16 in (4.76) as 5 mm, 5/16 in (7.94) as 8."""

LEAST_LENGTH = 30.0
"""A fillet shorter than this, or than six throats, carries nothing: EN 1993-1-8:2005 4.5.1(2)."""

THROAT = 2**-0.5
"""Throat of an equal-leg fillet over its leg."""


def thickness(piece: Piece) -> float | None:
    """Thickness of the metal of `piece`, mm, or None where it has no single one."""
    if isinstance(piece, (Plate, Folded)):
        return piece.t
    if isinstance(piece, Tube):
        return piece.wall
    if isinstance(piece, Turned):
        return min((step.od - step.bore) / 2 for step in piece.steps)
    return None


def weld_findings(part: Part, *, low_hydrogen: bool = False) -> Iterator[Finding]:
    """What is wrong with the welds of `part`; `low_hydrogen` is how it is welded."""
    pieces = {p.name: p for p in part.pieces}
    short = []
    for weld in part.welds:
        ends = [pieces[weld.piece]] + ([pieces[weld.onto]] if weld.onto in pieces else [])
        sizes = [t for piece in ends if (t := thickness(piece)) is not None]
        if sizes:
            yield from _leg(weld, sizes, ends, low_hydrogen)
            if in_scope(sizes, ends) and weld.leg < min(CYCLIC_LEG, *sizes) - NOMINAL:
                short.append(weld)
        yield from _run(weld, pieces[weld.piece])
        for piece in ends:
            yield from _metal(weld, piece)
    if short:
        yield _cyclic(short)


def in_scope(sizes: list[float], ends: list[Piece]) -> bool:
    """Whether D1.1 speaks of pieces of these thicknesses, mm: carbon steel of THINNEST and more."""
    return min(sizes) >= THINNEST and all(material(piece.material).e > STIFFEST_OTHER for piece in ends)


def least_leg(sizes: list[float], *, low_hydrogen: bool) -> float:
    """Least leg, mm, between pieces of these thicknesses: by the thinner one where the process is low in hydrogen,
    else by the thicker; never more than the thinner. AWS D1.1 table 7.7, notes a and b."""
    t = min(sizes) if low_hydrogen else max(sizes)
    table = next(leg for mm, inch, leg in LEAST_LEG if t <= mm or abs(t - inch) < NOMINAL / 10)
    return min(table, *sizes)


def _leg(weld: Weld, sizes: list[float], ends: list[Piece], low_hydrogen: bool) -> Iterator[Finding]:
    least = least_leg(sizes, low_hydrogen=low_hydrogen)
    where = f"{weld.piece} to {weld.onto}"
    if in_scope(sizes, ends) and WELD_LEG.under(weld.leg, least, slack=NOMINAL):
        by = "thinner piece, low-hydrogen process" if low_hydrogen else "thicker piece, not a low-hydrogen process"
        t = min(sizes) if low_hydrogen else max(sizes)
        yield WELD_LEG.finding(
            level="caution",
            piece=weld.piece,
            value=weld.leg,
            limit=least,
            sentence=f"leg {_mm(weld.leg)} mm, {where}, at least {_mm(least)} on {_mm(t)} mm metal ({by})",
        )
    if weld.leg > min(sizes) + NOMINAL:
        yield WELD_LEG.finding(
            level="advice",
            piece=weld.piece,
            value=weld.leg,
            limit=min(sizes),
            sentence=f"leg {_mm(weld.leg)} mm, {where}, is more than the thinner metal, {_mm(min(sizes))} mm",
        )


def _mm(size: float) -> str:
    return f"{round(size, 1):g}"


def _cyclic(short: list[Weld]) -> Finding:
    least = min(short, key=lambda weld: weld.leg)
    many = "its weld has" if len(short) == 1 else f"{len(short)} welds have"
    return WELD_CYCLIC.finding(
        piece=least.piece,
        value=least.leg,
        limit=CYCLIC_LEG,
        sentence=(
            f"a mount is loaded cyclically, where the table asks a leg of {CYCLIC_LEG:g} mm, or the thinner piece's"
            f" thickness: {many} less, {_mm(least.leg)} mm from {least.piece} to {least.onto}"
        ),
    )


def _run(weld: Weld, piece: Piece) -> Iterator[Finding]:
    if isinstance(piece, CustomPiece):
        return
    found = length(piece, weld.edge)
    least = max(LEAST_LENGTH, 6 * weld.leg * THROAT)
    if found < least:
        yield WELD_LENGTH.finding(
            piece=weld.piece,
            value=found,
            limit=least,
            sentence=(
                f"weld to {weld.onto} is {found:.0f} mm long; a run under {least:.0f} is not to be counted on"
            ),
        )


def _metal(weld: Weld, piece: Piece) -> Iterator[Finding]:
    metal = material(piece.material)
    if metal.weldable == "yes":
        return
    known = metal.weldable == "no"
    yield WELD_METAL.finding(
        level="stop" if known else "caution",
        piece=piece.name,
        sentence=(
            f"{piece.material} is not to be welded with the usual means (weld to {weld.onto})"
            if known
            else f"{piece.material}: find out what it is before you weld it (weld to {weld.onto})"
        ),
    )
