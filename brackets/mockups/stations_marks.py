"""What a piece of a station is called, and what is drilled and marked in it: letters, holes, lines, bosses. mm."""

from __future__ import annotations

import string
from collections.abc import Sequence
from dataclasses import replace

from manifold3d import CrossSection

from brackets.drawing.stations import BossMark, Ring, StationHole, spans
from brackets.geometry.segments import Point
from brackets.mockups.stations_cut import StationCut, frame_of, point_of
from brackets.mockups.stations_dowels import WIRE, DowelGroup, Piece, holds
from brackets.mockups.stations_source import StationBoss
from brackets.mockups.stations_values import StationValues

LINE = 10.0
"""mm: reference lines run at whole multiples of this where a piece is large enough, else at whole mm."""
ALONG = 0.985
"""Cosine of 10 degrees: a boss whose normal is nearer to the axis than this is marked by its thread's circle."""
ALIGNED = 0.5
"""mm that a boss's face may lie past its casting's last sheet and still be marked on it."""


def holes_of(groups: Sequence[DowelGroup], d: float) -> dict[Piece, list[StationHole]]:
    found: dict[Piece, list[StationHole]] = {}
    for number, group in enumerate(groups, 1):
        tag = str(number) if len(groups) > 1 else ""
        holes = [StationHole(group.a, d, f"P{tag}"), StationHole(group.b, d, f"Q{tag}")]
        holes += [] if group.wire is None else [StationHole(group.wire, WIRE, f"wire{tag}")]
        for key in group.pieces:
            mine = found.setdefault(key, [])
            for hole in holes:
                same = [n for n, other in enumerate(mine) if (other.at, other.d) == (hole.at, hole.d)]
                if same:
                    mine[same[0]] = replace(hole, name=f"{mine[same[0]].name} {hole.name}")
                else:
                    mine.append(hole)
    return found


def letters_of(regions: Sequence[Sequence[CrossSection]]) -> dict[Piece, str]:
    """A letter for each piece, the same as that of the piece of the sheet before that it lies on most of."""
    found: dict[Piece, str] = {}
    names = [*string.ascii_uppercase, *(a + b for a in string.ascii_uppercase for b in string.ascii_uppercase)]
    for k, row in enumerate(regions):
        before = regions[k - 1] if k else ()
        shared = sorted(
            ((round((one ^ other).area(), 3), i, j) for i, one in enumerate(row) for j, other in enumerate(before)),
            key=lambda each: (-each[0], each[1:]),
        )
        taken: set[str] = set()
        for area, i, j in shared:
            letter = found[k - 1, j]
            if area > 0 and (k, i) not in found and letter not in taken:
                found[k, i] = letter
                taken.add(letter)
        for i in range(len(row)):
            if (k, i) not in found:
                found[k, i] = next(letter for letter in names if letter not in taken)
                taken.add(found[k, i])
    return found


def lines_of(rings: Sequence[Ring]) -> Point:
    """Where the two reference lines of a piece run: through it, at 0 where that is well inside, else round."""
    found = []
    for i in (0, 1):
        low, high = min(p[i] for p in rings[0]), max(p[i] for p in rings[0])
        room = (high - low) / 4
        middle = (low + high) / 2
        tried = [0.0, round(middle / LINE) * LINE, float(round(middle)), middle]
        inside = [at for at in tried if low + room <= at <= high - room and spans(rings, i, at)]
        found.append(inside[0] + 0.0 if inside else middle)
    return (found[0], found[1])


def bosses_on(
    bosses: Sequence[StationBoss],
    cuts: Sequence[StationCut],
    regions: Sequence[Sequence[CrossSection]],
    values: StationValues,
) -> dict[Piece, list[BossMark]]:
    """Bosses on the sheets in whose pitch their faces lie, on the piece that each is on or nearest to."""
    found: dict[Piece, list[BossMark]] = {}
    frame = frame_of(values.axis)
    for boss in bosses:
        at, height = point_of(boss.at, frame)
        along = abs(point_of(boss.normal, frame)[1]) >= ALONG
        near = [(max(c.low - height, height - c.high, 0.0), k) for k, c in enumerate(cuts)]
        off, k = min(near)
        if off > values.spacer / 2 + ALIGNED:
            continue
        on = [i for i, region in enumerate(regions[k]) if holds(region.offset(ALIGNED), at)]
        if on:
            mark = BossMark(at, boss.name, boss.d if along else None)
            found.setdefault((k, on[0]), []).append(mark)
    return found
