"""Paper at true size: a sheet of facts for each drawing, then the drawing on it or on tiles; bars on every page.

PDF, one page a sheet of paper; the same drawings give the same bytes.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from io import BytesIO
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from brackets.core.typeface import unprinted
from brackets.drawing.labels import grown
from brackets.drawing.record import Drawing, Table
from brackets.geometry.segments import Bounds
from brackets.output.page import MM, Page, draw, face, fitted, picture, true_size, width, wrapped
from brackets.output.paper import AROUND, MARGIN, Sheet, Tiling, checked, sheets, tiling
from brackets.rules.cautions import HEADING

SIZE = 2.8
"""mm: type of tables and notes."""

TITLE = 5.0
"""mm: type of the part's name."""

ROW = 5.2
"""mm: height of a table row, room to write."""

PAD = 1.4
"""mm: white at both sides of a cell."""

PENCIL = 24.0
"""mm: width of a column that is left blank for the pencil."""

MAP = 62.0
"""mm: size of the key map."""

PICTURE = 0.55
"""Part of the sheet's room that a picture takes."""

SAYS = "Findings"
"""Heading of the findings."""

BLANK = ("measured", "cut")
"""Columns for the pencil."""


def facts_pages(
    page: Page,
    drawing: Drawing,
    cut: Tiling | None,
    picture: Callable[[Page, Drawing, Bounds], None] | None,
    *,
    unstated: bool = True,
) -> tuple[int, bool]:
    """Writes the sheet of facts; how many pages it took, and whether the whole drawing is on the last of them.

    It is, at true size, where `cut` is one tile and there is room left under the facts. `unstated`: whether it says
    what the user did not state, which is the same on every sheet of a part.
    """
    return _Column(page, drawing, cut).write(picture, unstated=unstated)


class _Column:
    """The sheet of facts as one column, written from the top down and continued on further pages."""

    def __init__(self, page: Page, drawing: Drawing, cut: Tiling | None) -> None:
        self.page, self.drawing, self.cut = page, drawing, cut
        self.left = page.origin[0]
        self.right = page.sheet.width - MARGIN
        self.floor = page.origin[1]
        self.y = page.sheet.height - MARGIN
        self.pages = 1

    def write(
        self, picture: Callable[[Page, Drawing, Bounds], None] | None, *, unstated: bool = True
    ) -> tuple[int, bool]:
        self._title()
        if picture is not None:
            low = self.y - self._picture_height()
            picture(self.page, self.drawing, (self.left, low, self.right, self.y))
            self.y = low - 4.0
            self._line("Not to scale.")
            self.y -= 3.0
        for table in self.drawing.tables:
            self._table(table)
        self._list("Notes", (*self.drawing.notes, *self.drawing.title.notes, *_unprinted(self.drawing)))
        left = self.drawing.title.unstated
        if unstated and (left or picture is None):
            self._list("Not stated by you", (", ".join(left),) if left else ("nothing",))
        self._list(SAYS, self.drawing.title.findings)
        self._list(HEADING, self.drawing.title.mind)
        whole = self.cut is not None and len(self.cut.tiles) == 1 and self._whole()
        self._foot("drawing and facts" if whole else "facts")
        self.page.done()
        return self.pages, whole

    def _whole(self) -> bool:
        """Draws all of it in the room that is left, in the middle; False where it does not fit."""
        window = grown(self.drawing.bounds, AROUND)
        wide, tall = ((window[i + 2] - window[i]) * self.page.scale[i] for i in (0, 1))
        left, low = self.left + (self.right - self.left - wide) / 2, self.floor + (self.y - self.floor - tall) / 2
        if left < self.left or low < self.floor:
            return False
        self.page.window(window, (left, low))
        return True

    def _picture_height(self) -> float:
        """mm the picture takes at the size it fits in."""
        x0, y0, x1, y1 = self.drawing.bounds
        return min(PICTURE * (self.y - self.floor), (self.right - self.left) * (y1 - y0) / (x1 - x0))

    def _title(self) -> None:
        self.y += 1.0
        for line in wrapped(self.drawing.title.part, self.right - self.left, TITLE, bold=True):
            self.y -= 6.0
            self.page.text((self.left, self.y), line, TITLE, bold=True)
        self.y -= 7.0
        top = self.y
        mapped = self.cut is not None and len(self.cut.tiles) > 1
        room = self.right - self.left - (MAP + 6.0 if mapped else 0.0)
        for what, value in (*self.drawing.facts, *_signed(self.drawing)):
            self.page.text((self.left, self.y), what, SIZE)
            self.page.text((self.left + 22.0, self.y), fitted(value, room - 22.0, SIZE, bold=True), SIZE, bold=True)
            self.y -= 4.6
        if self.cut is not None and mapped:
            bottom = self._key_map(self.cut, top + 8.0)
            self.y = min(self.y, bottom)
        self.y -= 3.0

    def _key_map(self, cut: Tiling, top: float) -> float:
        """The drawing small, with the tiles it is printed on and their numbers; returns its lower edge."""
        x0 = min(t.window[0] for t in cut.tiles)
        y0 = min(t.window[1] for t in cut.tiles)
        x1 = max(t.window[2] for t in cut.tiles)
        y1 = max(t.window[3] for t in cut.tiles)
        by = MAP / max(x1 - x0, y1 - y0)
        left, low = self.right - (x1 - x0) * by, top - (y1 - y0) * by
        canvas = self.page.canvas
        canvas.saveState()
        canvas.transform(by * MM, 0, 0, by * MM, (left - x0 * by) * MM, (low - y0 * by) * MM)
        canvas.setLineWidth(0.2 / by)
        shapes = tuple(s for s in self.drawing.strokes if s.layer in ("cut", "axis"))
        draw(canvas, replace(self.drawing, strokes=shapes, words=()), None, thin=1.0 / by)
        canvas.setDash([])
        canvas.setStrokeGray(0.0)
        for tile in cut.tiles:
            a, b, c, d = tile.window
            canvas.setLineWidth(0.13 / by)
            canvas.rect(a, b, c - a, d - b, stroke=1, fill=0)
        canvas.restoreState()
        for number, tile in enumerate(cut.tiles, 1):
            x = left + (tile.window[0] - x0) * by + 1.5 + (2.0 if tile.column > 1 else 0.0)
            y = low + (tile.window[3] - y0) * by - 3.6 - (2.0 if tile.row < cut.rows else 0.0)
            self.page.text((x, y), str(number), 2.4)
        self.page.text((left, low - 3.2), "key to the tiles", 2.1)
        return low - 6.0

    def _table(self, table: Table) -> None:
        wide = self._widths(table)
        self._room(ROW * min(3, len(table.rows) + 2))
        self._heading(table.heading)
        self._row(table.columns, wide, bold=True)
        for row in table.rows:
            if self.y - ROW < self.floor:
                self._turn()
                self._heading(f"{table.heading}, continued")
                self._row(table.columns, wide, bold=True)
            self._row(row, wide)
        self.y -= 5.0

    def _widths(self, table: Table) -> list[float]:
        """As wide as the widest cell; where the sheet is too narrow the widest columns give way."""
        wide = [
            PENCIL
            if name in BLANK
            else max([width(name, SIZE, bold=True), *(width(cell, SIZE) for cell in cells)]) + 2 * PAD
            for name, *cells in zip(table.columns, *table.rows, strict=True)
        ]
        over = sum(wide) - (self.right - self.left)
        while over > 1e-9:
            widest = max(wide)
            many = [i for i, w in enumerate(wide) if w >= widest - 1e-9]
            below = max((w for w in wide if w < widest - 1e-9), default=0.0)
            less = min(widest - below, over / len(many))
            for i in many:
                wide[i] -= less
            over -= less * len(many)
        return wide

    def _row(self, cells: tuple[str, ...], wide: list[float], *, bold: bool = False) -> None:
        self.page.pen("tangent")
        x, low = self.left, self.y - ROW
        for cell, space in zip(cells, wide, strict=True):
            self.page.canvas.rect(x * MM, low * MM, space * MM, ROW * MM, stroke=1, fill=0)
            words = fitted(cell, space - 2 * PAD + 1e-6, SIZE, bold=bold)
            self.page.text((x + PAD, low + 1.6), words, SIZE, bold=bold)
            x += space
        self.y = low

    def _list(self, heading: str, lines: tuple[str, ...]) -> None:
        if not lines:
            return
        self._room(3 * ROW)
        self._heading(heading)
        for words in lines:
            for line in wrapped(words, self.right - self.left, SIZE):
                self._line(line)
            self.y -= 0.8
        self.y -= 3.0

    def _heading(self, words: str) -> None:
        self.y -= 3.4
        self.page.text((self.left, self.y), words, 3.2, bold=True)
        self.y -= 1.8

    def _line(self, words: str) -> None:
        self._room(4.4)
        self.y -= 4.0
        self.page.text((self.left, self.y), words, SIZE)

    def _room(self, height: float) -> None:
        if self.y - height < self.floor:
            self._turn()

    def _turn(self) -> None:
        self._foot("facts")
        self.page.done()
        self.page.begin()
        self.pages += 1
        self.y = self.page.sheet.height - MARGIN

    def _foot(self, what: str) -> None:
        facts = dict(self.drawing.facts)
        self.page.foot(
            f"{self.drawing.title.part}: {self.drawing.name}",
            f"rev {facts.get('revision', '')}, values {facts.get('values', '')}"
            if "values" in facts
            else "sheet layout",
            true_size(facts) if what == "drawing and facts" else "not to scale",
            f"{what}, sheet {self.pages}",
        )


def _signed(drawing: Drawing) -> tuple[tuple[str, str], ...]:
    """The drawing's number, who drew it and when, as typed, and a line for whoever approves it (fields of ISO
    7200:2004, from memory). The number changes with every value that shapes the piece."""
    title, facts = drawing.title, dict(drawing.facts)
    piece = facts.get("piece", drawing.name).split(",")[0]
    number = (title.part.split(",")[0], piece, facts.get("values", ""))
    return (
        ("drawing no.", "-".join(filter(None, number))),
        ("drawn by", title.by or "none given"),
        ("date", title.date or "none given"),
        ("approval by", "______________________"),
    )


def write(
    drawings: Iterable[Drawing],
    path: str | os.PathLike[str],
    paper: str = "A4",
    correction: tuple[float, float] = (1.0, 1.0),
) -> int:
    """Write drawings as one PDF at true size, on as many pages as they need; returns the number of pages.

    drawings: in the order of the pages; path: of the file; paper: "A4", "A3" or "Letter"; correction: in x and y,
    100 over what the printer made of a 100 mm bar (`correction_of` of brackets.output.paper); everything, the bars
    too, is scaled by it. Raises InputError for an unknown paper or a correction so far from 1 that the printer is
    set wrong, OSError where the file cannot be written.

    >>> import tempfile
    >>> strut = Tube(name="strut", od=30, wall=2, length=200, end=TubeEnd(kind="saddle", r=20))
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_pdf(wraps(strut, Title(part="strut")), f"{folder}/strut.pdf")  # the facts, and the wrap
    2
    """
    scale = checked(correction)
    told = tuple(drawings)
    total = _put(told, Canvas(BytesIO(), invariant=1, pageCompression=0), paper, scale, 0)
    where, plain = os.fspath(Path(path)), face("latin", "", bold=False)  # the library's own is not embedded
    size = _points(sheets(paper)[0])
    canvas = Canvas(where, pagesize=size, invariant=1, pageCompression=1, initialFontName=plain)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setCreator("brackets")
    pages = _put(told, canvas, paper, scale, total)
    canvas.save()
    return pages


def _put(
    drawings: Sequence[Drawing], canvas: Canvas, paper: str, scale: tuple[float, float], total: int
) -> int:
    """Draws all pages on the canvas; how many. `total` of them are said to be there."""
    upright, lying = sheets(paper)
    pages = 0
    said: set[tuple[str, tuple[str, ...]]] = set()
    for drawing in drawings:
        canvas.setTitle(drawing.title.part)
        what = (drawing.title.part, drawing.title.unstated)
        first = what not in said
        if not drawing.true_size:
            said.add(what)
            page = Page(canvas, lying, scale, drawing, total)
            pages += facts_pages(page, drawing, None, picture, unstated=first)[0]
            continue
        cut = tiling(drawing.bounds, paper, scale)
        if drawing.sheet:
            said.add(what)
            page = Page(canvas, upright, scale, drawing, total)
            taken, whole = facts_pages(page, drawing, cut, None, unstated=first)
            pages += taken
            if whole:
                continue
        for number, tile in enumerate(cut.tiles, 1):
            page = Page(canvas, cut.sheet, scale, drawing, total)
            page.tile(cut, tile, number)
            page.done()
            pages += 1
    return pages


def _unprinted(drawing: Drawing) -> tuple[str, ...]:
    """That letters of the drawing are told by their names, where some are."""
    title = drawing.title
    cells = (cell for table in drawing.tables for row in table.rows for cell in row)
    told = (*title.notes, *title.findings, *title.unstated, *(word for fact in drawing.facts for word in fact))
    words = (title.part, drawing.name, *told, *drawing.notes, *cells, *(words.text for words in drawing.words))
    codes = ", ".join(f"U+{ord(letter):04X}" for letter in unprinted(words))
    if not codes:
        return ()
    return (f"Not in the type of this sheet, so printed by its Unicode name in brackets: {codes}.",)


def _points(sheet: Sheet) -> tuple[float, float]:
    return (sheet.width * 72 / 25.4, sheet.height * 72 / 25.4)
