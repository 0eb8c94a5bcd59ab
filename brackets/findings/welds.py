"""Welds against their legs, their lengths and what is welded."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.edges import length
from brackets.findings.record import PRACTICE, Finding
from brackets.part import Part
from brackets.pieces import Folded, Odd, Piece, Plate, Tube, Turned, Weld
from brackets.tables import material

LEAST_LEG = ((6.4, 3.0), (12.7, 5.0), (19.0, 6.0), (float("inf"), 8.0))
"""Thickness of the thicker piece up to, least leg, mm: AWS D1.1:2025 table 7.7 (as quoted; not opened)."""

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


def weld_findings(part: Part) -> Iterator[Finding]:
    """What is wrong with the welds of `part`."""
    pieces = {p.name: p for p in part.pieces}
    for weld in part.welds:
        ends = [pieces[weld.piece]] + ([pieces[weld.onto]] if weld.onto in pieces else [])
        yield from _leg(weld, ends)
        yield from _run(weld, pieces[weld.piece])
        for piece in ends:
            yield from _metal(weld, piece)


def _leg(weld: Weld, ends: list[Piece]) -> Iterator[Finding]:
    sizes = [t for piece in ends if (t := thickness(piece)) is not None]
    if not sizes:
        return
    least = next(leg for upto, leg in LEAST_LEG if max(sizes) <= upto)
    least = min(least, min(sizes))
    where = f"{weld.piece} to {weld.onto}"
    if weld.leg < least:
        yield Finding(
            level="caution",
            code="weld leg",
            piece=weld.piece,
            value=weld.leg,
            limit=least,
            source="AWS D1.1:2025 table 7.7, need not exceed the thinner piece",
            sentence=f"leg {weld.leg:g} mm, {where}, at least {least:g} on {max(sizes):g} mm metal",
        )
    if weld.leg > min(sizes) + 1e-9:
        yield Finding(
            level="advice",
            code="weld leg",
            piece=weld.piece,
            value=weld.leg,
            limit=min(sizes),
            source=PRACTICE,
            sentence=f"leg {weld.leg:g} mm, {where}, is more than the thinner metal, {min(sizes):g} mm",
        )


def _run(weld: Weld, piece: Piece) -> Iterator[Finding]:
    if isinstance(piece, Odd):
        return
    found = length(piece, weld.edge)
    least = max(LEAST_LENGTH, 6 * weld.leg * THROAT)
    if found < least:
        yield Finding(
            level="advice",
            code="weld length",
            piece=weld.piece,
            value=found,
            limit=least,
            source="EN 1993-1-8:2005 4.5.1(2)",
            sentence=(
                f"weld to {weld.onto} is {found:.0f} mm long; a run under {least:.0f} is not to be counted on"
            ),
        )


def _metal(weld: Weld, piece: Piece) -> Iterator[Finding]:
    metal = material(piece.material)
    if metal.weldable == "yes":
        return
    known = metal.weldable == "no"
    yield Finding(
        level="stop" if known else "caution",
        code="weld metal",
        piece=piece.name,
        source=PRACTICE,
        sentence=(
            f"{piece.material} is not to be welded with the usual means (weld to {weld.onto})"
            if known
            else f"{piece.material}: find out what it is before you weld it (weld to {weld.onto})"
        ),
    )
