"""Every shipped recipe's sheets: labels clear of lines, holes and each other, words on the paper, blanks true."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from pypdf import PdfReader
from test_dxf import enclosed
from test_paper import chords

from brackets import recipe, recipes
from brackets.drawing.blank import BESIDE
from brackets.drawing.labels import through, touches
from brackets.drawing.record import Drawing, Stroke
from brackets.forming.flat_pattern import blank_of
from brackets.geometry.crossings import winding
from brackets.model.holes import Point
from brackets.model.plate import Folded, Plate
from brackets.model.weld import TubeRim
from brackets.output import cut_files
from brackets.output.page import width
from brackets.output.paper import MARGIN, tiling
from brackets.output.part_files import Made, made

MM = 72 / 25.4
MORE: dict[str, dict[str, Any]] = {
    "ears back": {"back": True, "slope": 6.5},
    "ears joggle": {"joggle": True, "reach": 110.0, "seat": "flat", "lean": 6.0},
    "base_plate bent": {
        "flanges": 2,
        "fixing": "bolted through hollow",
        "holes": ((-20.0, -15.0), (20.0, -15.0), (20.0, 15.0), (-20.0, 15.0)),
    },
    "bracket_tray strapped": {"straps": 3, "length": 280.0},
    "adaptor crowded": {
        "holes": tuple((22.0 * i, 20.0 * j) for i in range(5) for j in range(3)),
        "bolt": "M8",
        "edge": 14.0,
    },
}
NAMES = [*(name for name in recipes() if name not in ("cross_member", "strut")), *MORE]
"""Those of tubes alone have no blank."""


@cache
def job(name: str) -> tuple[Made, tuple[cut_files.Cut, ...]]:
    """A recipe made, and all it is cut by."""
    opened = recipe(name.split()[0])
    thing = made(opened, opened.Params(**MORE.get(name, {})))
    title = cut_files.title(thing.recipe.name, thing.params, thing.shop)
    return thing, cut_files.cuts(thing.part, title, thing.findings)


def blanks(name: str) -> list[Drawing]:
    thing, found = job(name)
    plates = {piece.name for piece in thing.part.pieces if isinstance(piece, Plate | Folded)}
    return [cut.drawings[0] for cut in found if plates & set(cut.names)]


@pytest.mark.parametrize("name", NAMES)
def test_labels_of_blanks_lie_on_nothing_and_leaders_run_over_no_hole(name: str) -> None:
    for drawing in blanks(name):
        boxes = [words.box for words in drawing.words]
        rounds = [s.circle for s in drawing.strokes if s.layer == "cut" and s.circle is not None]
        for i, box in enumerate(boxes):
            assert not any(touches(box, other) for other in boxes[i + 1 :]), drawing.words[i].text
            for stroke in drawing.strokes:
                assert not any(through(box, a, b) for a, b in chords(stroke)), drawing.words[i].text
        for stroke in drawing.strokes:
            if stroke.layer == "leader":
                [line] = stroke.segments
                for centre, radius in rounds:
                    assert math.dist(centre, line.point(line.nearest(centre))) >= radius


@pytest.mark.parametrize("name", [*recipes(), *MORE])
def test_every_weld_that_is_listed_is_drawn(name: str) -> None:
    """Every weld but those of a tube's cut end is listed, with its number beside a line: on a plate one as long as
    the weld, but for what lying BESIDE the edge makes of half a turn; on a turned piece a leg high."""
    thing, found = job(name)
    listed, slack = 0, math.pi * BESIDE + 0.5
    for cut in found:
        for drawing in cut.drawings:
            rows = [row for table in drawing.tables if table.heading == "Welds" for row in table.rows]
            seams = [stroke for stroke in drawing.strokes if stroke.layer == "weld"]
            labels = {words.text for words in drawing.words}
            assert {row[0] for row in rows} <= labels
            drawn = sum(segment.length for stroke in seams for segment in stroke.segments)
            column = 4 if cut.flat else 3
            assert drawn == pytest.approx(sum(float(row[column]) for row in rows), abs=slack * len(rows))
            assert all(inside(drawing, stroke) for stroke in seams if cut.flat)
            listed += len(rows) * len(cut.names)
    assert listed == sum(not isinstance(weld.edge, TubeRim) for weld in thing.part.welds)


def inside(drawing: Drawing, stroke: Stroke) -> bool:
    """Whether a line is drawn on the blank, not beside it."""
    outer = max((s for s in drawing.strokes if s.layer == "cut"), key=lambda s: abs(enclosed_by(s)))
    middle = stroke.segments[len(stroke.segments) // 2].point(0.5)
    return winding(outer.segments, middle) != 0


def enclosed_by(stroke: Stroke) -> float:
    """mm2 within a closed line's box."""
    x0, y0, x1, y1 = stroke.bounds
    return (x1 - x0) * (y1 - y0)


@pytest.mark.parametrize("name", [name for name in NAMES if name not in ("link", "stay", "tray")])
def test_words_stay_on_the_paper_and_files_have_the_blanks_area(name: str, tmp_path: Path) -> None:
    """Where the words of every page begin and end, by another reader; tubes' sheets have a test of their own."""
    thing, found = job(name)
    tiled = [len(tiling(d.bounds, "Letter", (1.0, 1.0)).tiles) > 1 for cut in found for d in cut.drawings]
    files = cut_files.write(found, tmp_path, name="job", shop=thing.shop, paper="Letter")
    seen: list[str] = []
    for page in PdfReader(tmp_path / "job.pdf").pages:
        wide, tall = float(page.mediabox.width) / MM, float(page.mediabox.height) / MM

        def look(
            text: str, cm: list[float], tm: list[float], font: Any, size: float, edge: Point = (wide, tall)
        ) -> None:
            words, by = text.strip(), cm[0]
            cut_by_a_tile = by > 1.0 and any(tiled)
            if words and cm[1] == 0.0 and not cut_by_a_tile:
                x, y = (tm[4] * by + cm[4]) / MM, (tm[5] * by + cm[5]) / MM
                assert x >= MARGIN - 1e-6, words
                long = width(words, size * by / MM, bold=font["/BaseFont"].endswith("Bold"))
                assert x + long <= edge[0] - MARGIN + 1e-3, words
                assert MARGIN - 1e-6 <= y <= edge[1] - MARGIN, words
                seen.append(words)

        page.extract_text(visitor_text=look)
    assert len(seen) > 5
    cut = {path: ezdxf.readfile(tmp_path / path).modelspace() for path in files if path.endswith(".dxf")}
    for space, one in zip(cut.values(), [cut for cut in found if cut.flat], strict=True):
        piece = thing.part.piece(one.names[0])
        assert isinstance(piece, Plate | Folded)
        areas = sorted((enclosed(e) for e in space.query('*[layer=="CUT"]')), reverse=True)
        assert areas[0] - sum(areas[1:]) == pytest.approx(blank_of(piece).cut.area, rel=1e-6)
