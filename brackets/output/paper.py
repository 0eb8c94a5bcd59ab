"""How a drawing at true size is cut up for sheets of paper: overlapping tiles and registration marks.

mm; a tile's window is what of the drawing is on it, in the drawing's own coordinates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brackets.core.errors import InputError
from brackets.drawing.labels import grown, through, touches
from brackets.drawing.record import Drawing
from brackets.geometry.segments import Bounds, Line, Point

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

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
    """The paper upright and lying. Raises InputError on one we do not know."""
    if paper not in PAPERS:
        raise InputError(f"paper = {paper}, must be one of {', '.join(PAPERS)}")
    wide, tall = PAPERS[paper]
    return Sheet(paper, wide, tall), Sheet(paper, tall, wide)


def checked(correction: tuple[float, float]) -> tuple[float, float]:
    """The correction in x and y. Raises InputError where the printer is not off but set wrong."""
    problems = [
        f"correction {axis} = {value:g}, must be {CORRECTION[0]:g} to {CORRECTION[1]:g}: 100 over a bar as measured"
        for axis, value in zip("xy", correction, strict=True)
        if not CORRECTION[0] <= value <= CORRECTION[1]
    ]
    if problems:
        raise InputError(*problems)
    return correction


def correction_of(bars: tuple[float, float]) -> tuple[float, float]:
    """The correction of a printer that made `bars` mm of 100 in x and y. Raises InputError as `checked` does."""
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


MARK = 3.0
"""mm: half a registration cross."""


def put_cross(canvas: Canvas, at: Point) -> None:
    """A registration mark: a cross in a small circle."""
    canvas.setLineWidth(0.13)
    canvas.setDash([])
    canvas.setStrokeGray(0.0)
    x, y = at
    canvas.line(x - MARK, y, x + MARK, y)
    canvas.line(x, y - MARK, x, y + MARK)
    canvas.circle(x, y, MARK / 2, stroke=1, fill=0)


def registration(cut: Tiling, tile: Tile, drawing: Drawing) -> list[Point]:
    """Two marks in every strip this tile shares with a neighbour, the same for both, clear of lines and labels."""
    x0, y0, x1, y1 = tile.window
    found: list[Point] = []
    for there, x in ((tile.column > 1, x0 + OVERLAP / 2), (tile.column < cut.columns, x1 - OVERLAP / 2)):
        if there:
            found += _clearest([(x, y0 + f * (y1 - y0)) for f in _SPREAD], drawing)
    for there, y in ((tile.row > 1, y0 + OVERLAP / 2), (tile.row < cut.rows, y1 - OVERLAP / 2)):
        if there:
            found += _clearest([(x0 + f * (x1 - x0), y) for f in _SPREAD], drawing)
    return found


_SPREAD = tuple(0.08 + 0.04 * i for i in range(22))
"""Where along a shared strip a mark is tried: symmetric, clear of the corners."""


def _clearest(spots: list[Point], drawing: Drawing) -> list[Point]:
    """One spot of each half of the strip, the outermost that is clear, else the outermost."""
    half = len(spots) // 2
    ends = (spots[:half], list(reversed(spots[half:])))
    return [next((p for p in end if _clear(p, drawing)), end[0]) for end in ends]


def _clear(p: Point, drawing: Drawing) -> bool:
    box = (p[0] - MARK - 1.0, p[1] - MARK - 1.0, p[0] + MARK + 1.0, p[1] + MARK + 1.0)
    if any(touches(box, words.box) for words in drawing.words):
        return False
    for stroke in drawing.strokes:
        if not touches(grown(stroke.bounds, 0.01), box):
            continue
        for segment in stroke.segments:
            if isinstance(segment, Line):
                if through(box, segment.a, segment.b):
                    return False
                continue
            points = segment.points(0.1)
            if any(through(box, a, b) for a, b in zip(points, points[1:], strict=False)):
                return False
    return True
