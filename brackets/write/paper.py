"""How a drawing at true size is cut up for sheets of paper: tiles that overlap, and where they meet.

mm; a tile's window is what of the drawing is on it, in the drawing's own coordinates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brackets.errors import OutOfRange
from brackets.outline import Bounds

PAPERS = {"A4": (210.0, 297.0), "A3": (297.0, 420.0), "Letter": (215.9, 279.4)}
"""Width and height upright, mm: ISO 216, and 8.5 x 11 in (ANSI Y14.1, from memory)."""

MARGIN = 8.0
"""mm that a printer may leave white: common practice, no source."""

LEFT, FOOT = 13.0, 17.0
"""mm at the left for the upright check bar, and at the foot for the other and the sheet's name."""

OVERLAP = 10.0
"""mm that neighbouring tiles share: room for two registration marks and the glue."""

AROUND = 2.0
"""mm of white kept round the drawing."""

CORRECTION = (0.9, 1.12)
"""A printer off by more than this is set wrong: print at 100 %, not "fit to page"."""


@dataclass(frozen=True)
class Sheet:
    """A paper, upright or lying."""

    name: str
    width: float
    height: float

    @property
    def room(self) -> tuple[float, float]:
        """What is left for the drawing, mm of paper."""
        return (self.width - 2 * MARGIN - LEFT, self.height - 2 * MARGIN - FOOT)


@dataclass(frozen=True)
class Tile:
    """`row` and `column` count from 1, upwards and to the right; `window` is what is on it."""

    row: int
    column: int
    window: Bounds


@dataclass(frozen=True)
class Tiling:
    """The tiles of one drawing on one paper, in reading order of their numbers."""

    sheet: Sheet
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def sheets(paper: str) -> tuple[Sheet, Sheet]:
    """The paper upright and lying. Raises OutOfRange on one we do not know."""
    if paper not in PAPERS:
        raise OutOfRange(f"paper = {paper}, must be one of {', '.join(PAPERS)}")
    wide, tall = PAPERS[paper]
    return Sheet(paper, wide, tall), Sheet(paper, tall, wide)


def checked(correction: tuple[float, float]) -> tuple[float, float]:
    """The correction in x and y. Raises OutOfRange where the printer is not off but set wrong."""
    problems = [
        f"correction {axis} = {value:g}, must be {CORRECTION[0]:g} to {CORRECTION[1]:g}: 100 over a bar as measured"
        for axis, value in zip("xy", correction, strict=True)
        if not CORRECTION[0] <= value <= CORRECTION[1]
    ]
    if problems:
        raise OutOfRange(*problems)
    return correction


def correction_of(bars: tuple[float, float]) -> tuple[float, float]:
    """The correction of a printer that made `bars` mm of 100 in x and y. Raises OutOfRange as `checked` does."""
    return checked((100.0 / bars[0], 100.0 / bars[1]))


def tiling(bounds: Bounds, paper: str, correction: tuple[float, float]) -> Tiling:
    """The fewest tiles that hold the drawing, upright or lying."""
    found = [_tiled(bounds, sheet, correction) for sheet in sheets(paper)]
    return min(found, key=lambda tiling: len(tiling.tiles))


def _tiled(bounds: Bounds, sheet: Sheet, correction: tuple[float, float]) -> Tiling:
    room = [have / by for have, by in zip(sheet.room, correction, strict=True)]
    starts = [_starts(bounds[i] - AROUND, bounds[i + 2] + AROUND, room[i]) for i in (0, 1)]
    tiles = tuple(
        Tile(row, column, (x, y, x + room[0], y + room[1]))
        for row, y in enumerate(starts[1], 1)
        for column, x in enumerate(starts[0], 1)
    )
    return Tiling(sheet, len(starts[1]), len(starts[0]), tiles)


def _starts(low: float, high: float, room: float) -> list[float]:
    """Where the windows begin: centred on the drawing as a whole."""
    count = 1 if high - low <= room else 1 + math.ceil((high - low - room) / (room - OVERLAP) - 1e-9)
    whole = room + (count - 1) * (room - OVERLAP)
    first = (low + high - whole) / 2
    return [first + i * (room - OVERLAP) for i in range(count)]
