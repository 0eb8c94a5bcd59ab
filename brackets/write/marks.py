"""Registration marks: crosses that two neighbouring tiles share, to be laid on one another."""

from __future__ import annotations

from reportlab.pdfgen.canvas import Canvas

from brackets.drawing import Drawing
from brackets.drawing.labels import grown, through, touches
from brackets.outline import Point
from brackets.write.paper import OVERLAP, Tile, Tiling

MARK = 3.0
"""mm: half a registration cross."""


def put_cross(canvas: Canvas, at: Point) -> None:
    """A registration mark: a cross in a small circle."""
    canvas.setLineWidth(0.1)
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
            points = segment.points(0.1)
            if any(through(box, a, b) for a, b in zip(points, points[1:], strict=False)):
                return False
    return True
