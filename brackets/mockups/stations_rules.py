"""Findings about stations: torn scans, narrow pieces, dowels, boards, a stack that is smaller than the body. mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from manifold3d import CrossSection

from brackets.clearance.bodies import Body
from brackets.clearance.scan_holes import ClosedScan, ScanHole
from brackets.core.finding import Finding
from brackets.core.rulebook.stations import (
    STATION_BOARD,
    STATION_DOWELS,
    STATION_SHORT,
    STATION_THIN,
    STATION_TORN,
)
from brackets.drawing.nest import GAP
from brackets.drawing.stations import StationPiece
from brackets.mockups.stations_cut import SMOOTH, narrowest
from brackets.mockups.stations_dowels import APART, WIRE, Dowels, Link, Piece

LEAST = 10.0
"""mm: narrowest that foam board holds in the hand; common practice, no source."""
TOLD = 2 * SMOOTH
"""mm: less than this is what outlines are drawn to."""
LISTED = 50
"""Holes of one scan that each get a line; the rest are counted."""


def torn_findings(body: Body, scan: ClosedScan, size: float, *, whole: bool) -> Iterator[Finding]:
    """Each hole that is larger than may be closed; those closed together; a body that closed is still no solid."""
    name = body.name or "body"
    about = (name,)
    for hole in scan.left[:LISTED]:
        yield STATION_TORN.finding(
            level="stop",
            piece=name,
            about=about,
            value=hole.size,
            limit=size,
            sentence=f"{_hole(body, hole)}, {size:g} mm may be closed (--close-holes)",
        )
    if len(scan.left) > LISTED:
        more = scan.left[LISTED:]
        yield STATION_TORN.finding(
            level="stop",
            piece=name,
            about=about,
            value=more[0].size,
            limit=size,
            sentence=f"and {len(more)} more holes, the largest {_hole(body, more[0])}",
        )
    if scan.closed:
        count = f"{len(scan.closed)} holes" if len(scan.closed) > 1 else "1 hole"
        yield STATION_TORN.finding(
            level="caution",
            piece=name,
            about=about,
            value=scan.closed[0].size,
            limit=size,
            sentence=f"{count} closed, where outlines are a guess; the largest: {_hole(body, scan.closed[0])}",
        )
    if not whole:
        yield STATION_TORN.finding(
            level="stop",
            piece=name,
            about=about,
            sentence="its triangles, holes closed, bound no solid: faces run through one another or inside out",
        )


def _hole(body: Body, hole: ScanHole) -> str:
    x, y, z = body.place.points(hole.at[None, :])[0]
    what = "a triangle that no other joins" if hole.loose else "crack" if hole.crack else "hole"
    how = "wide" if hole.crack else "across"
    return f"{what} {hole.size:.3g} mm {how} at ({x:z.1f}, {y:z.1f}, {z:z.1f})"


def short_findings(name: str, most: float, where: int) -> Iterator[Finding]:
    """How far the body stands out of its sheets, where that is more than can be told."""
    if most > TOLD:
        yield STATION_SHORT.finding(
            piece=name,
            value=most,
            sentence=f"within a sheet it reaches up to {most:.1f} mm past the outline that is cut, most at station "
            f"{where}: to judge gaps by, cut it with --true-at outside",
        )


def thin_findings(pieces: Sequence[tuple[str, CrossSection]]) -> Iterator[Finding]:
    """The narrowest piece, and the names of the others that are too narrow."""
    found = [(width, name) for name, region in pieces if (width := narrowest(region, LEAST)) is not None]
    if found:
        width, name = min(found)
        others = [other for _, other in found if other != name]
        more = f"; too narrow as well: {', '.join(others)}" if others else ""
        yield STATION_THIN.finding(
            piece=f"station {name}",
            value=width,
            limit=LEAST,
            sentence=f"{width:.1f} mm wide at its narrowest, {LEAST:g} holds in the hand{more}",
        )


def dowel_findings(held: Dowels, names: Mapping[Piece, str], d: float) -> Iterator[Finding]:
    """Neighbours without dowels in common, pieces that lie on none, changes of dowels, pieces without a wire."""
    room = f"two holes of {d:g} mm with {d:g} mm round each, {APART * d:g} mm apart"
    if held.loose:
        yield STATION_DOWELS.finding(
            level="caution",
            piece=f"station {names[held.loose[0][0]]}",
            sentence=f"no place for {room}, common to {_pairs(held.loose, names)}: set them by their lines",
        )
    if held.apart:
        told = ", ".join(names[key] for key in held.apart)
        yield STATION_DOWELS.finding(
            level="caution",
            piece=f"station {names[held.apart[0]]}",
            sentence=f"lies on no piece of the sheets beside it: {told}; no dowels, set by the lines",
        )
    rows = held.groups
    changes = [key for i, group in enumerate(rows) for key in group.pieces if _again(key, rows[:i])]
    if changes:
        told = ", ".join(names[key] for key in dict.fromkeys(changes))
        yield STATION_DOWELS.finding(
            level="advice",
            piece=f"station {names[changes[0]]}",
            sentence=f"no place is common to all: {len(rows)} pairs of dowels, which change in {told}",
        )
    unmarked = [key for group in held.groups if group.wire is None for key in group.pieces]
    if unmarked:
        told = ", ".join(names[key] for key in dict.fromkeys(unmarked))
        yield STATION_DOWELS.finding(
            level="advice",
            piece=f"station {names[unmarked[0]]}",
            sentence=f"no room in {told} for a wire's hole of {WIRE:g} mm that shows a piece turned round or over: "
            "mind the arrow and the marked face",
        )


def _again(key: Piece, groups: Sequence[object]) -> bool:
    return any(key in group.pieces for group in groups)  # type: ignore[attr-defined]


def _pairs(links: Sequence[Link], names: Mapping[Piece, str]) -> str:
    return ", ".join(f"{names[a]} and {names[b]}" for a, b in links)


def board_findings(left: Sequence[StationPiece], sheet: tuple[float, float]) -> Iterator[Finding]:
    """Pieces that lie on no board either way."""
    if left:
        largest = max(left, key=lambda one: (max(_size(one)), one.name))
        sides, room = sorted(_size(largest)), [side - 2 * GAP for side in sorted(sheet)]
        over = 1 if sides[1] > room[1] else 0
        told = ", ".join(f"{one.name} ({_size(one)[0]:.0f} x {_size(one)[1]:.0f})" for one in left)
        yield STATION_BOARD.finding(
            piece=f"station {largest.name}",
            value=sides[over],
            limit=room[over],
            sentence=f"{told} mm lie on no board of {sheet[0]:g} x {sheet[1]:g} with {GAP:g} mm round them: "
            "join boards first, or take a larger one",
        )


def _size(piece: StationPiece) -> tuple[float, float]:
    u0, v0, u1, v1 = piece.bounds
    return (u1 - u0, v1 - v0)
