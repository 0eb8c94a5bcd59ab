"""Paper at true size: what is said of each drawing, then the drawing itself; small ones share a page; bars on each.

PDF, one page a sheet of paper; the same drawings give the same bytes. What takes a page or several by itself comes
last.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from brackets.core.finding import SAYS
from brackets.drawing.labels import grown
from brackets.drawing.record import Drawing
from brackets.output.blocks import (
    CAPTION_LINE,
    Block,
    caption,
    cautions,
    height_of,
    kept_at_end,
    line,
    listed,
    parted,
    pictured,
    put_caption,
    space,
    squeezed,
    title_block,
    titled,
    unprintable,
)
from brackets.output.leaves import Leaves
from brackets.output.page import Page, face, true_size
from brackets.output.paper import AROUND, MARGIN, Sheet, Tiling, checked, sheets, tiling
from brackets.output.table_blocks import tabled

LYING, UPRIGHT = 0.55, 0.3
"""Part of a page that a picture takes at most, of one that has the page for itself, and of one that shares it."""

OVER_FOOT = 2.0
"""mm between a column and the foot."""

APART = 5.0
"""mm between two templates on one page."""

TOGETHER = 0.4
"""Part of a page: where less is left, what does not fit there begins a page, if it fits on that."""


class _Flow:
    """The pages of one file, filled from the top down."""

    def __init__(self, canvas: Leaves, paper: str, scale: tuple[float, float]) -> None:
        self.canvas, self.paper, self.scale = canvas, paper, scale
        self.upright, self.lying = sheets(paper)
        self.sheet = self.upright
        self.page: Page | None = None
        self.y = 0.0
        self.told: list[Drawing] = []
        self.cut: list[Drawing] = []
        self.shelf: tuple[float, float] | None = None
        self.pages = 0
        self.said: dict[tuple[str, str], str] = {}
        self.large: list[tuple[Drawing, Tiling]] = []
        self.found: dict[int, list[int]] = {}

    @property
    def left(self) -> float:
        return Page.origin[0]

    @property
    def floor(self) -> float:
        return Page.origin[1] + OVER_FOOT

    @property
    def top(self) -> float:
        return self.sheet.height - MARGIN

    @property
    def wide(self) -> float:
        return self.sheet.width - MARGIN - self.left

    def add(self, drawing: Drawing) -> None:
        """Lays out what is said of a drawing and the drawing, or puts the latter by for the end."""
        if not drawing.true_size and drawing.own_page is not False:
            self._close()
            self.sheet = self.lying
            self._write(drawing, kept_at_end([*self._told(drawing, None)]))
            self._close()
            self.sheet = self.upright
            return
        cut = tiling(drawing.bounds, self.paper, self.scale) if drawing.true_size else None
        small = cut is not None and not drawing.own_page and self._fits(drawing, self.upright)
        if drawing.sheet:
            blocks = [*self._told(drawing, cut)]
            if cut is not None and not small and not drawing.own_page:
                blocks.append(self._where(drawing))
            blocks = kept_at_end(blocks)
            whole = height_of(blocks) + (self._size(drawing)[1] if small else 0.0)
            room = self.top - self.floor
            over = self.page is not None and self.y - whole < self.floor
            if over and whole <= room and self.y - self.floor < TOGETHER * room:
                self._close()
            self._write(drawing, blocks)
        if cut is not None and small:
            self._template(drawing)
        elif cut is not None and drawing.own_page:
            self._close()
            self._tiles(drawing, cut)
        elif cut is not None:
            self.large.append((drawing, cut))

    def end(self) -> int:
        """Draws what was put by; how many pages there are."""
        self._close()
        self.sheet = self.lying
        tiled = []
        for drawing, cut in self.large:
            if self._fits(drawing, self.lying):
                self._template(drawing)
            else:
                tiled.append((drawing, cut))
        self._close()
        for drawing, cut in tiled:
            self._tiles(drawing, cut)
        return self.pages

    def _tiles(self, drawing: Drawing, cut: Tiling) -> None:
        """A page for each tile."""
        for number, tile in enumerate(cut.tiles, 1):
            self._found(drawing)
            page = Page(self.canvas, cut.sheet, self.scale, drawing)
            page.tile(cut, tile, number)
            page.done()
            self.pages += 1

    def _told(self, drawing: Drawing, cut: Tiling | None) -> Iterator[Block]:
        """What is said of a drawing; what the sheets of its part have said before is not said again."""
        title, wide = drawing.title, self.wide
        first = self._new(title.part, ("", ""))
        room = self.top - self.floor
        yield from titled(drawing, wide, first=first)
        tables = bool(drawing.tables) and not (drawing.strokes and not drawing.true_size)
        yield replace(title_block(drawing, wide, cut, first=first), keep=tables)
        yield replace(space(2.0), keep=tables)
        if drawing.strokes and not drawing.true_size:
            yield from pictured(drawing, wide, (UPRIGHT if drawing.own_page is False else LYING) * room)
        yield from tabled(drawing.tables, wide, room / 2)
        notes, over = self._apart(drawing, "note", drawing.notes, ())
        also = [f"The notes under {'; '.join(over)} hold here too."] if over else []
        own = [note for note in title.notes if self._new(title.part, ("title", note))]
        yield from listed("Notes", (*notes, *also, *own, *unprintable(drawing)), wide)
        if self._new(title.part, ("unstated", " ".join(title.unstated))) and (title.unstated or drawing.true_size):
            yield from listed("Not stated by you", (", ".join(title.unstated) or "nothing",), wide)
        own = [f": {name}: " for name in dict(drawing.facts).get("piece", "").split(", ") if name]
        always = [said for said in title.findings if said in title.urgent or any(name in said for name in own)]
        told, over = self._apart(drawing, "finding", title.findings, always)
        also = [f"What is said of the whole under {'; '.join(over)} holds here too."] if over else []
        yield from listed(SAYS, (*told, *also), wide)
        mind = [one for one in title.mind if self._new(title.part, ("mind", one))]
        yield from cautions(mind, wide)

    def _apart(
        self, drawing: Drawing, what: str, lines: Sequence[str], always: Sequence[str]
    ) -> tuple[list[str], list[str]]:
        """Lines that no sheet of the part has yet or that are said `always`; under which names the others are."""
        part = drawing.title.part
        new = [one for one in lines if self._new(part, (what, one), drawing.name) or one in always]
        return new, [*dict.fromkeys(self.said[part, f"{what} {one}"] for one in lines if one not in new)]

    def _new(self, part: str, what: tuple[str, str], where: str = "") -> bool:
        """Whether the sheets of a part have not said this yet; from now on they have, under `where`."""
        key = (part, " ".join(what))
        if key in self.said:
            return False
        self.said[key] = where
        return True

    def _where(self, drawing: Drawing) -> Block:
        """On which pages the drawing is, which is known at the end."""
        how = "At true size" if dict(drawing.facts).get("scale", "1:1") == "1:1" else "Drawn"

        def put(page: Page, left: float, top: float) -> None:
            def told(_: int) -> None:
                pages = self.found[id(drawing)]
                to = f" to {pages[-1]}" if len(pages) > 1 else ""
                line(f"{how} on page{'s' if to else ''} {pages[0]}{to}.").draw(page, left, top)

            page.canvas.at_end(told)

        return Block(7.0, put)

    def _found(self, drawing: Drawing) -> None:
        self.found.setdefault(id(drawing), []).append(self.canvas.getPageNumber())

    def _write(self, drawing: Drawing, blocks: Sequence[Block]) -> None:
        """The blocks from where the page in hand is filled to, on as many further pages as they need."""
        self.shelf = None
        y = self.top if self.page is None else self.y
        begins, tight = (parted(one, y, self.top, self.floor) for one in (blocks, squeezed(blocks)))
        if len(tight) < len(begins):
            blocks, begins = squeezed(blocks), tight
        for i, block in enumerate(blocks):
            page = self._begun(drawing)
            if i in begins:
                page = self._turned(drawing)
                for one in block.again:
                    self._put(page, one)
            if drawing not in self.told:
                self.told.append(drawing)
            self._put(page, block)

    def _put(self, page: Page, block: Block) -> None:
        """A block under the last; no white where a page begins or has no room for it."""
        if block.put is None and (self.y == self.top or self.y - block.height < self.floor):
            return
        block.draw(page, self.left, self.y)
        self.y -= block.height

    def _begun(self, drawing: Drawing) -> Page:
        if self.page is None:
            self.page = Page(self.canvas, self.sheet, self.scale, drawing)
            self.y, self.told, self.cut, self.shelf = self.top, [], [], None
        return self.page

    def _turned(self, drawing: Drawing) -> Page:
        self._close()
        return self._begun(drawing)

    def _close(self) -> None:
        """Finishes the page in hand."""
        page, on = self.page, [*self.told, *(one for one in self.cut if one not in self.told)]
        if page is None:
            return
        page.drawing = next((one for one in on if one.title.stops), on[0])
        self.pages += 1
        page.foot(*self._foot(on))
        page.done()
        self.page = None

    def _foot(self, on: Sequence[Drawing]) -> tuple[str, ...]:
        what = "drawing and facts" if self.told and self.cut else "facts" if self.told else "drawing"
        first, facts = on[0], dict(on[0].facts)
        names = ", ".join(dict.fromkeys(one.name.partition(",")[0] for one in on))
        rev = f"rev {facts.get('revision', '')}"
        if len(on) == 1 and "values" in facts:
            rev = ", ".join(filter(None, (rev, f"values {facts['values']}", facts.get("material"))))
        if len(on) == 1:
            names, rev = first.name, rev if "values" in facts else "sheet layout"
        scale = "not to scale" if not self.cut else true_size(facts) if len(on) == 1 else "templates 1:1, mm"
        if len(on) > 1 and any("scale" in dict(one.facts) for one in self.cut):
            scale = "the scale of each stands over it"
        return f"{first.title.part}: {names}", rev, scale, f"{what}, sheet {self.pages}"

    def _size(self, drawing: Drawing) -> tuple[float, float, tuple[str, ...]]:
        """mm of paper that the drawing takes with its caption, and the caption's lines."""
        window = grown(drawing.bounds, AROUND)
        wide, tall = ((window[i + 2] - window[i]) * self.scale[i] for i in (0, 1))
        facts = dict(drawing.facts)
        values = f", values {facts['values']}" if "values" in facts else ""
        over, lines = caption(drawing, f"{true_size(facts)}{values}", wide)
        return max(wide, over), tall + CAPTION_LINE * len(lines) + APART, lines

    def _fits(self, drawing: Drawing, sheet: Sheet) -> bool:
        wide, tall, _ = self._size(drawing)
        return wide <= sheet.room[0] + 1e-9 and tall <= sheet.room[1] - OVER_FOOT + 1e-9

    def _template(self, drawing: Drawing) -> None:
        """The drawing at true size with what stays with it, beside the last one where both have room."""
        wide, tall, lines = self._size(drawing)
        page = self._begun(drawing)
        beside = self.shelf is not None and self.shelf[0] + wide <= self.left + self.wide
        if self.shelf is None or not beside or self.shelf[1] - tall < self.floor - 1e-9:
            if self.y - tall < self.floor - 1e-9:
                page = self._turned(drawing)
            self.shelf = (self.left, self.y)
        x, top = self.shelf
        put_caption(page, (x, top), lines)
        window = grown(drawing.bounds, AROUND)
        low = top - CAPTION_LINE * len(lines) - (window[3] - window[1]) * self.scale[1] - 1.0
        page.window(drawing, window, (x, low))
        self.shelf = (x + wide + APART, top)
        self.y = min(self.y, top - tall)
        self.cut.append(drawing)
        self._found(drawing)


def write(
    drawings: Iterable[Drawing],
    path: str | os.PathLike[str],
    paper: str = "A4",
    correction: tuple[float, float] = (1.0, 1.0),
) -> int:
    """Write drawings as one PDF at true size, on as many pages as they need; returns the number of pages.

    drawings: in the order of the pages, but that those larger than a page come last; path: of the file; paper:
    "A4", "A3" or "Letter"; correction: in x and y, 100 over what the printer made of a 100 mm bar (`correction_of`
    of brackets.output.paper); everything, the bars too, is scaled by it. Raises InputError for an unknown paper or
    a correction so far from 1 that the printer is set wrong, OSError where the file cannot be written.

    >>> import tempfile
    >>> strut = Tube(name="strut", od=30, wall=2, length=200, end=TubeEnd(kind="saddle", r=20))
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_pdf(wraps(strut, Title(part="strut")), f"{folder}/strut.pdf")  # the facts, and the wrap
    2
    """
    scale = checked(correction)
    upright = sheets(paper)[0]
    size = (upright.width * 72 / 25.4, upright.height * 72 / 25.4)
    plain = face("latin", "", bold=False)  # the library's own is not embedded
    canvas = Leaves(
        os.fspath(Path(path)), pagesize=size, invariant=1, pageCompression=1, initialFontName=plain
    )
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setCreator("brackets")
    flow = _Flow(canvas, paper, scale)
    for drawing in drawings:
        canvas.setTitle(drawing.title.part)
        flow.add(drawing)
    pages = flow.end()
    canvas.save()
    return pages
