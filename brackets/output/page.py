"""One sheet of paper: check bars, foot, and what of a drawing is on it.

mm of paper from its lower left corner; the drawing is scaled by the printer's correction, and so are the bars.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache
from io import BytesIO

from reportlab.pdfbase.pdfmetrics import getFont, registerFont
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from brackets.core import typeface
from brackets.drawing.labels import grown, touches
from brackets.drawing.record import Drawing, Stroke, Words
from brackets.drawing.sheets import ACROSS, across
from brackets.geometry.segments import Arc, Bounds, Line, Point
from brackets.output.leaves import Leaves
from brackets.output.paper import FOOT, LEFT, MARGIN, OVERLAP, Sheet, Tile, Tiling, put_cross, registration

MM = 72.0 / 25.4
"""Points a mm."""

BAR = 100.0
"""mm: length of a check bar."""

BAR_TYPE = 2.55
"""mm: type beside the bars; its capitals are 1.8 mm high, the smallest lettering of ISO 3098-1 (from memory)."""

SLACK = 0.2
"""mm in 100 a bar may be off: 0.2 % already halves the chance that four M10 go in (`brackets.survey.chance`)."""

STYLES: dict[str, tuple[float, tuple[float, ...], float]] = {
    "cut": (0.25, (), 0.0),
    "bend": (0.2, (4.0, 1.5), 0.0),
    "tangent": (0.13, (), 0.0),
    "punch": (0.13, (), 0.0),
    "ring": (0.13, (1.0, 1.0), 0.0),
    "weld": (0.5, (2.0, 1.0), 0.0),
    "bevel": (0.18, (2.5, 1.0), 0.0),
    "mark": (0.15, (), 0.0),
    "mark_other": (0.15, (3.0, 1.5), 0.0),
    "grain": (0.25, (), 0.0),
    "leader": (0.13, (), 0.0),
    "axis": (0.13, (6.0, 1.0, 1.0, 1.0), 0.0),
    "fold up": (0.25, (4.0, 1.5), 0.0),
    "fold down": (0.4, (0.4, 1.2), 0.0),
    "text": (0.13, (), 0.0),
}
"""Layer to line width mm, dashes mm, grey (0 is black)."""

STAMP, THIN = (0.8, 0.0, 0.0), 0.3
"""Colour and opacity of a stop across a page: lines of 0.1 mm are still seen under it, in grey print too."""

SMALL = 2.3
"""mm: type of the foot."""

WIDTHS = 16_384
"""Lines whose length is remembered."""

class Page:
    """One sheet of paper on the canvas, drawn on in mm; `done` finishes it. Its foot is of `drawing`."""

    origin: Point = (MARGIN + LEFT, MARGIN + FOOT)
    """Lower left corner of the room for the drawing, mm."""

    def __init__(self, canvas: Leaves, sheet: Sheet, scale: tuple[float, float], drawing: Drawing) -> None:
        self.canvas, self.sheet, self.scale, self.drawing = canvas, sheet, scale, drawing
        self.canvas.setPageSize((self.sheet.width * MM, self.sheet.height * MM))
        self.bars()

    def done(self) -> None:
        if self.drawing.title.stops:
            self.stamp()
        self.canvas.showPage()

    def stamp(self) -> None:
        """STOP across the whole page, thin enough to see what is under it."""
        (x, y), size, turn = across((0.0, 0.0, self.sheet.width, self.sheet.height))
        self.canvas.saveState()
        self.canvas.translate(x * MM, y * MM)
        self.canvas.rotate(turn)
        self.canvas.setFillColorRGB(*STAMP, alpha=THIN)
        self.text((0.0, 0.0), ACROSS, size)
        self.canvas.restoreState()

    def line(self, a: Point, b: Point) -> None:
        self.canvas.line(a[0] * MM, a[1] * MM, b[0] * MM, b[1] * MM)

    def text(self, at: Point, words: str, size: float = SMALL, *, bold: bool = False) -> None:
        put_type(self.canvas, (at[0] * MM, at[1] * MM), words, size * MM, bold=bold)

    def pen(self, layer: str) -> None:
        wide, dashes, grey = STYLES[layer]
        self.canvas.setLineWidth(wide * MM)
        self.canvas.setDash([d * MM for d in dashes])
        self.canvas.setStrokeGray(grey)
        self.canvas.setLineCap(0)

    def bars(self) -> None:
        """100 mm along x and y from one corner, and between their far ends the diagonal."""
        corner = (MARGIN + 4.0, MARGIN + 9.0)
        self.pen("cut")
        ends = []
        for i in (0, 1):
            far = BAR * self.scale[i]
            end = (corner[0] + far, corner[1]) if i == 0 else (corner[0], corner[1] + far)
            ends.append(end)
            self.line(corner, end)
            for part in (0.0, 0.5, 1.0):
                x, y = (c + part * (e - c) for c, e in zip(corner, end, strict=True))
                tick = 2.0 if part != 0.5 else 1.2
                self.line((x, y - tick), (x, y + tick)) if i == 0 else self.line((x - tick, y), (x + tick, y))
        low, high = BAR - SLACK, BAR + SLACK
        across = math.hypot(BAR, BAR)
        slack = across * SLACK / BAR
        say = f"100 mm must read {low:g} to {high:g} between the middles of the end ticks"
        self.text((corner[0] + 3.0, corner[1] + 3.0), say, BAR_TYPE)
        say = f"X to Y, tick to tick: {across - slack:.1f} to {across + slack:.1f} mm. If not: STOP, do not cut"
        self.text((corner[0] + 3.0, corner[1] - 5.0), say, BAR_TYPE)
        self.text((ends[0][0] + 1.5, ends[0][1] - 0.9), "X", 2.6, bold=True)
        self.text((ends[1][0] - 0.9, ends[1][1] + 2.8), "Y", 2.6, bold=True)
        self.canvas.saveState()
        self.canvas.translate((corner[0] + 4.5) * MM, (corner[1] + 12.0) * MM)
        self.canvas.rotate(90)
        self.text((0.0, 0.0), f"100 mm must read {low:g} to {high:g}", BAR_TYPE)
        self.canvas.restoreState()

    def foot(self, *lines: str) -> None:
        """Up to four lines to the right of the bar, under the drawing's banner where it has one."""
        x, y, right = MARGIN + 4.0 + BAR * self.scale[0] + 7.0, MARGIN + 16.0, self.sheet.width - MARGIN
        title, number = self.drawing.title, self.canvas.getPageNumber()

        def page_of(of: int) -> None:
            mine = f"page {number} of {of}"
            if title.banner:
                over = fitted(f"{title.banner}, {mine}", right - x, SMALL, bold=True)
                self.text((x, y), over, SMALL, bold=True)
            else:
                self.text((right - width(mine, SMALL), y), mine)

        self.canvas.at_end(page_of)
        if title.tolerance and not title.banner:
            self.text((x, y), f"general tolerance: {title.tolerance}")
        for i, words in enumerate(lines):
            self.text((x, MARGIN + 12.6 - 3.4 * i), fitted(words, right - x, SMALL))

    def window(self, drawing: Drawing, window: Bounds, at: Point, marks: Iterable[Point] = ()) -> None:
        """What of a drawing is in a window, at true size, the window's lower left corner `at` on the paper."""
        x0, y0, x1, y1 = window
        (ox, oy), (sx, sy) = at, self.scale
        self.canvas.saveState()
        frame = self.canvas.beginPath()
        frame.rect(ox * MM, oy * MM, (x1 - x0) * sx * MM, (y1 - y0) * sy * MM)
        self.canvas.clipPath(frame, stroke=0, fill=0)
        self.canvas.transform(sx * MM, 0, 0, sy * MM, (ox - x0 * sx) * MM, (oy - y0 * sy) * MM)
        draw(self.canvas, drawing, window)
        for mark in marks:
            put_cross(self.canvas, mark)
        self.canvas.restoreState()

    def tile(self, cut: Tiling, tile: Tile, number: int) -> None:
        """The part of the drawing in the tile's window, with its marks."""
        self.window(self.drawing, tile.window, self.origin, registration(cut, tile, self.drawing))
        self._cut_ticks(cut, tile)
        facts = dict(self.drawing.facts)
        self.foot(
            f"{self.drawing.title.part}: {self.drawing.name}",
            f"rev {facts.get('revision', '')}, values {facts.get('values', '')}, {facts.get('material', '')}",
            true_size(facts),
            f"tile {number} of {len(cut.tiles)}: row {tile.row}/{cut.rows}, column {tile.column}/{cut.columns}",
        )

    def _cut_ticks(self, cut: Tiling, tile: Tile) -> None:
        """Outside the window: where to cut the paper, in the middle of what two tiles share."""
        x0, y0, x1, y1 = tile.window
        (ox, oy), (sx, sy) = self.origin, self.scale
        right, top = ox + (x1 - x0) * sx, oy + (y1 - y0) * sy
        self.pen("tangent")
        for there, at in (
            (tile.column > 1, ox + OVERLAP / 2 * sx),
            (tile.column < cut.columns, right - OVERLAP / 2 * sx),
        ):
            if there:
                self.line((at, top + 1.0), (at, top + 5.0))
                self.line((at, oy - 1.0), (at, oy - 3.0))
        for there, at in ((tile.row > 1, oy + OVERLAP / 2 * sy), (tile.row < cut.rows, top - OVERLAP / 2 * sy)):
            if there:
                self.line((right + 1.0, at), (right + 5.0, at))
                self.line((ox - 3.0, at), (ox - 1.0, at))


def true_size(facts: dict[str, str]) -> str:
    """What stays with a template that is cut out: the face it is drawn on, its grain and its scale."""
    scale = facts.get("scale", "1:1")
    return ", ".join((*(facts[what] for what in ("face", "grain") if what in facts), f"{scale}, mm"))


def picture(page: Page, drawing: Drawing, box: Bounds) -> None:
    """The whole drawing as large as it fits in a box of the sheet, mm; not to scale."""
    x0, y0, x1, y1 = drawing.bounds
    by = min((box[2] - box[0]) / (x1 - x0), (box[3] - box[1]) / (y1 - y0))
    page.canvas.saveState()
    page.canvas.transform(by * MM, 0, 0, by * MM, (box[0] - x0 * by) * MM, (box[3] - y1 * by) * MM)
    draw(page.canvas, drawing, None, thin=1.0 / by)
    page.canvas.restoreState()


def draw(canvas: Canvas, drawing: Drawing, window: Bounds | None, *, thin: float = 1.0) -> None:
    """Strokes and words in the drawing's own mm; what is outside the window is left out."""
    for stroke in drawing.strokes:
        if window is None or touches(grown(stroke.bounds, 1.0), window):
            put(canvas, stroke, thin)
    canvas.setFillGray(0.0)
    for words in drawing.words:
        if window is None or touches(words.box, window):
            put_words(canvas, words)


def put(canvas: Canvas, stroke: Stroke, thin: float = 1.0) -> None:
    """One stroke; arcs as cubic curves of at most an eighth of a turn (4e-6 of the radius off)."""
    wide, dashes, grey = STYLES[stroke.layer]
    canvas.setLineWidth(wide * thin)
    canvas.setDash([d * thin for d in dashes])
    canvas.setStrokeGray(grey)
    path = canvas.beginPath()
    path.moveTo(*stroke.segments[0].a)
    for segment in stroke.segments:
        if isinstance(segment, Line):
            path.lineTo(*segment.b)
            continue
        for p, q, r in beziers(segment):
            path.curveTo(*p, *q, *r)
    if stroke.closed:
        path.close()
    canvas.drawPath(path, stroke=1, fill=0)


def beziers(arc: Arc) -> Iterator[tuple[Point, Point, Point]]:
    """Control points and ends of cubic curves along an arc."""
    count = max(1, math.ceil(abs(arc.sweep) / (math.pi / 4) - 1e-9))
    for i in range(count):
        part = arc.part(i / count, (i + 1) / count)
        reach = 4.0 / 3.0 * math.tan(abs(part.sweep) / 4.0) * part.radius
        (ux, uy), (vx, vy) = part.tangent(0.0), part.tangent(1.0)
        yield (
            (part.a[0] + reach * ux, part.a[1] + reach * uy),
            (part.b[0] - reach * vx, part.b[1] - reach * vy),
            part.b,
        )


def put_words(canvas: Canvas, words: Words) -> None:
    put_type(canvas, words.at, words.text, words.size)


def put_type(canvas: Canvas, at: Point, words: str, size: float, *, bold: bool = False) -> None:
    """A line of type in the canvas's own units, every font of it embedded."""
    line = canvas.beginText(*at)
    for font, run in typeface.runs(words):
        line.setFont(face(font, run, bold), size)
        line.textOut(run)
    canvas.drawText(line)


@lru_cache(WIDTHS)
def face(font: typeface.Font, run: str, bold: bool) -> str:
    """The name under which the paper's library knows the font of a run; of Chinese characters there is no bold."""
    return _registered(font, typeface.blocks(run) if bold and font == "latin" else ())


@cache
def _registered(font: typeface.Font, bold: tuple[int, ...]) -> str:
    name = " ".join(("brackets", font, *map(str, bold)))
    registerFont(TTFont(name, BytesIO(typeface.bold(bold)) if bold else str(typeface.file_of(font))))
    return name


@lru_cache(WIDTHS)
def width(words: str, size: float, *, bold: bool = False) -> float:
    """Length in mm of the words as `Page.text` prints them, by the font metrics of the paper's library."""
    return sum(
        0.001 * size * sum(map(_advances(face(font, run, bold)).__getitem__, run))
        for font, run in typeface.runs(words)
    )


class _Advances(dict[str, float]):
    """How far each letter of a registered font takes the line on, in thousandths of its size.

    The paper's library asks for each letter of each line anew, a third of the time that a sheet takes.
    """

    def __init__(self, name: str) -> None:
        super().__init__()
        self.font = getFont(name).face

    def __missing__(self, letter: str) -> float:
        wide = self[letter] = float(self.font.charWidths.get(ord(letter), self.font.defaultWidth))
        return wide


_advances = cache(_Advances)


def fitted(words: str, room: float, size: float, *, bold: bool = False) -> str:
    """The words, cut with three dots where they are longer than `room` mm."""
    if width(words, size, bold=bold) <= room:
        return words
    while words and width(words + "...", size, bold=bold) > room:
        words = words[:-1]
    return words + "..."


def wrapped(words: str, room: float, size: float, *, bold: bool = False) -> list[str]:
    """The words in lines of at most `room` mm, broken at spaces, and within a word that is longer than a line."""
    lines = [""]
    for word in typeface.spelled(words).split():
        longer = f"{lines[-1]} {word}".lstrip()
        if width(longer, size, bold=bold) <= room:
            lines[-1] = longer
            continue
        lines.append(word)
        while width(lines[-1], size, bold=bold) > room:
            kept = next(n for n in range(len(word), 0, -1) if n == 1 or width(word[:n], size, bold=bold) <= room)
            lines[-1:] = [word[:kept], word := word[kept:]]
    return [line for line in lines if line]
