"""Holes against edges, each other, their washers and their threads, in every wall of plate."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.core.finding import Finding
from brackets.core.rulebook.parts import EDGE, PITCH, SLOT_WASHER, THREAD, WASHER, WEB
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import engagement_in_plate
from brackets.core.tables.material_rows import material
from brackets.geometry.distance import distance, distance_between
from brackets.model.holes import Hole, Slot, Window
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate, Wall

EDGE_FLOOR = 1.2
"""Least distance from a bolt hole's centre to an edge, in hole diameters: EN 1993-1-8 table 3.3, e1 and e2."""

SLOT_EDGE_FLOOR = 1.5
"""Least distance from a slot's middle line, its ends' centres included, to an edge, in widths of the slot: EN
1993-1-8:2005 table 3.3, e3 and e4, from memory."""

PITCH_FLOOR = 2.2
"""Least distance between bolt holes, in hole diameters: EN 1993-1-8 table 3.3, p1."""


COVER_T = 3.0
"""Thinnest washer or strip over a slot that does not dish into it, mm: common practice, no source."""

ROUNDING = 1e-6
"""mm by which a slot may be nearer to an edge than asked: rounding of its ends' places."""


def walls_of(piece: Piece) -> Iterator[tuple[str, Wall, float]]:
    """Each wall of plate in `piece`: its name, the wall, its thickness mm."""
    if isinstance(piece, Plate):
        yield piece.name, piece.wall, piece.t
    elif isinstance(piece, Folded):
        for i, wall in enumerate(piece.walls()):
            yield f"{piece.name} (flange {i})" if i else f"{piece.name} (base)", wall, piece.t


def hole_findings(piece: Piece) -> Iterator[Finding]:
    """What is wrong with the openings of `piece`; nothing for pieces that are not plate."""
    for name, wall, t in walls_of(piece):
        for opening in wall.openings:
            if isinstance(opening, Hole) and opening.bolt is not None:
                yield from _edge(name, wall, opening)
                yield from _thread(name, opening, t, piece.material)
            if isinstance(opening, Slot) and opening.bolt is not None:
                yield from _slot_edge(name, wall, opening)
                yield from _slot_washer(name, opening)
            if not isinstance(opening, Window):
                yield from _washer(name, wall, opening)
        yield from _pitch(name, wall)
        yield from _web(name, wall, t)


def _edge(name: str, wall: Wall, hole: Hole) -> Iterator[Finding]:
    found = distance(wall.outline, hole.at)
    floor = EDGE_FLOOR * hole.d
    if EDGE.under(found, floor):
        yield EDGE.finding(
            piece=name,
            value=found,
            limit=floor,
            sentence=f"hole {label(hole)} is {found:.1f} mm from the edge, at least {floor:.1f} (1.2 d)",
        )


def _slot_edge(name: str, wall: Wall, opening: Slot) -> Iterator[Finding]:
    floor = SLOT_EDGE_FLOOR * opening.d
    found = _from_line(wall, opening)
    if EDGE.under(found, floor, slack=ROUNDING):
        yield EDGE.finding(
            piece=name,
            value=found,
            limit=floor,
            sentence=f"{label(opening)}: its middle line comes to {found:.1f} mm from the edge, at least"
            f" {floor:.1f} (1.5 d of a slot, from memory)",
        )


def _from_line(wall: Wall, opening: Slot) -> float:
    """mm from anywhere between the centres of a slot's ends to the nearest edge; from the ends alone where the slot
    itself reaches it."""
    ends = min(distance(wall.outline, p) for p in (opening.a, opening.b))
    left = 0.0 if ends <= 0 else distance_between(opening.outline, wall.outline).distance
    return left + opening.d / 2 if left > 0 else ends


def _slot_washer(name: str, opening: Slot) -> Iterator[Finding]:
    """A washer that covers the slot with the bolt at one end of it: twice the range and the width."""
    own, covers = bolt(str(opening.bolt)).washer_od, 2 * opening.range + opening.d
    if own < covers - ROUNDING:
        yield SLOT_WASHER.finding(
            piece=name,
            value=own,
            limit=covers,
            sentence=f"{label(opening)}: a washer {own:g} leaves it open with the bolt at its end; under it a hard"
            f" washer or a strip of {COVER_T:g} mm and more, {covers:.4g} mm across, counted in the bolt's length",
        )


def _thread(name: str, hole: Hole, t: float, metal: str) -> Iterator[Finding]:
    if not hole.use.threaded or hole.bolt is None:
        return
    needed = engagement_in_plate(bolt(hole.bolt), material(metal), t)
    if THREAD.under(t, needed.least):
        yield THREAD.finding(
            piece=name,
            value=t,
            limit=needed.least,
            source_words=needed.source,
            sentence=f"thread {hole.bolt} in {t:g} mm plate, at least {needed.least:g}: weld a nut or a bung on",
        )


def _washer(name: str, wall: Wall, opening: Hole | Slot) -> Iterator[Finding]:
    if opening.washer_od is None:
        return
    ends = [opening.at] if isinstance(opening, Hole) else [opening.a, opening.b]
    found = min(distance(wall.outline, p) for p in ends)
    if WASHER.under(found, opening.washer_od / 2):
        yield WASHER.finding(
            piece=name,
            value=found,
            limit=opening.washer_od / 2,
            sentence=(
                f"washer {opening.washer_od:g} of hole {label(opening)} hangs over the edge by"
                f" {opening.washer_od / 2 - found:.1f} mm"
            ),
        )


def _pitch(name: str, wall: Wall) -> Iterator[Finding]:
    holes = [h for h in wall.openings if not isinstance(h, Window) and h.bolt is not None]
    for i, a in enumerate(holes):
        for b in holes[i + 1 :]:
            found, floor = _apart(a, b), PITCH_FLOOR * max(a.d, b.d)
            if PITCH.under(found, floor):
                yield PITCH.finding(
                    piece=name,
                    value=found,
                    limit=floor,
                    sentence=(
                        f"holes {label(a)} and {label(b)} are {found:.1f} mm apart, at least {floor:.1f} (2.2 d)"
                    ),
                )


def _apart(a: Hole | Slot, b: Hole | Slot) -> float:
    """mm between the middles of two holes; of slots at their nearest, since metal is cut away there."""
    if isinstance(a, Hole) and isinstance(b, Hole):
        return math.dist(a.at, b.at)
    return distance_between(a.outline, b.outline).distance + (a.d + b.d) / 2


def _web(name: str, wall: Wall, t: float) -> Iterator[Finding]:
    """Metal left between a cut-out or plain hole and the edge."""
    for opening in wall.openings:
        if not isinstance(opening, Hole) or opening.bolt is not None or opening.use.lined:
            continue
        left = distance(wall.outline, opening.at) - opening.d / 2
        if left < t:
            yield WEB.finding(
                level="advice",
                piece=name,
                value=left,
                limit=t,
                sentence=f"only {left:.1f} mm of plate left between {label(opening)} and the edge",
            )


def label(opening: Hole | Slot) -> str:
    """What to call an opening: its name, or its size and place."""
    if opening.name:
        return opening.name
    if isinstance(opening, Hole):
        return f"{opening.d:g} at {opening.at[0]:g}, {opening.at[1]:g}"
    return f"slot {opening.d:g} at {opening.a[0]:g}, {opening.a[1]:g}"
