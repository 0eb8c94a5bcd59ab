"""Paper at true size: a sheet of facts for each drawing, which is on it or on tiles after it; bars on every page.

PDF, one page a sheet of paper; the same drawings give the same bytes.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from reportlab.pdfgen.canvas import Canvas

from brackets.drawing.record import Drawing
from brackets.output.page import Page, picture
from brackets.output.paper import Sheet, checked, sheets, tiling
from brackets.output.text_tables import facts_pages


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
    upright, lying = sheets(paper)
    canvas = Canvas(os.fspath(Path(path)), pagesize=_points(upright), invariant=1, pageCompression=1)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setCreator("brackets")
    pages = 0
    for drawing in drawings:
        canvas.setTitle(drawing.title.part)
        if not drawing.true_size:
            page = Page(canvas, lying, scale, drawing)
            pages += facts_pages(page, drawing, None, picture)[0]
            continue
        cut = tiling(drawing.bounds, paper, scale)
        if drawing.sheet:
            taken, whole = facts_pages(Page(canvas, upright, scale, drawing), drawing, cut, None)
            pages += taken
            if whole:
                continue
        for number, tile in enumerate(cut.tiles, 1):
            page = Page(canvas, cut.sheet, scale, drawing)
            page.tile(cut, tile, number)
            page.done()
            pages += 1
    canvas.save()
    return pages


def _points(sheet: Sheet) -> tuple[float, float]:
    return (sheet.width * 72 / 25.4, sheet.height * 72 / 25.4)
