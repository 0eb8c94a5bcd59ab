"""Paper at true size, measured by an independent reader of PDF: coordinates, bars, tiles, labels, corrections."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from pypdf import PdfReader
from pypdf.generic import ContentStream
from test_fold_samples import angle_bracket, channel, cut_to_tube, offset_strap, sheet, tray, turned_channel

from brackets.core.errors import InputError
from brackets.core.typeface import advances, blocks, bold, file_of, spelled
from brackets.drawing.blank import blank
from brackets.drawing.labels import Board, through, touches
from brackets.drawing.nest import nest
from brackets.drawing.record import ASCENT, DESCENT, Drawing, Stroke, Table, Title, Words, width
from brackets.drawing.sheets import sheet_drawing
from brackets.drawing.turned import turning
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop import Brake, Coupon, Shop, with_coupons
from brackets.geometry.segments import Line, Point
from brackets.geometry.shapes import circle, rectangle
from brackets.model.holes import Hole
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Step, Turned
from brackets.model.weld import Along, Weld
from brackets.output import blocks as paper_blocks
from brackets.output import page as paper_page
from brackets.output import pdf, table_blocks
from brackets.output.paper import MARGIN, OVERLAP, PAPERS, correction_of, tiling

MM = 72 / 25.4
TITLE = Title(
    part="sample bracket", revision="B", unstated=("t 4 mm", "edge 20 mm"), findings=("caution: thin web",)
)
BIG = Plate(
    name="big", t=6.0, wall=sheet(460, 300, Hole(at=(40, 40), d=10.5), Hole(at=(420, 260), d=12.1, kind="pivot"))
)


def strokes(page: object) -> list[list[Point]]:
    """Every path of a page: its points (ends and control points) in mm of paper."""
    stack: list[tuple[float, ...]] = []
    matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
    found: list[list[Point]] = []
    path: list[Point] = []

    def at(x: float, y: float) -> Point:
        a, b, c, d, e, f = matrix
        return ((a * x + c * y + e) / MM, (b * x + d * y + f) / MM)

    content = ContentStream(page.get_contents(), page.pdf)  # type: ignore[attr-defined]
    for operands, operator in content.operations:
        values = [float(v) for v in operands] if operator in (b"cm", b"m", b"l", b"c", b"re") else []
        if operator == b"q":
            stack.append(matrix)
        elif operator == b"Q":
            matrix = stack.pop()  # type: ignore[assignment]
        elif operator == b"cm":
            a, b, c, d, e, f = values
            p, q, r, s, t, u = matrix
            matrix = (
                a * p + b * r,
                a * q + b * s,
                c * p + d * r,
                c * q + d * s,
                e * p + f * r + t,
                e * q + f * s + u,
            )
        elif operator == b"m":
            path = [at(*values)]
            found.append(path)
        elif operator == b"l":
            path.append(at(*values))
        elif operator == b"c":
            path += [at(*values[i : i + 2]) for i in (0, 2, 4)]
    return found


def words(page: object) -> str:
    return page.extract_text()  # type: ignore[attr-defined,no-any-return]


def extent(path: list[Point], axis: int) -> float:
    return max(p[axis] for p in path) - min(p[axis] for p in path)


def printed(
    drawing: Drawing, path: Path, paper: str = "A4", correction: tuple[float, float] = (1.0, 1.0)
) -> PdfReader:
    pages = pdf.write([drawing], path / "a.pdf", paper, correction)
    reader = PdfReader(path / "a.pdf")
    assert len(reader.pages) == pages
    return reader


@pytest.mark.parametrize("paper", PAPERS)
def test_blank_is_at_true_size(paper: str, tmp_path: Path) -> None:
    piece = channel()
    page = printed(blank(piece, TITLE), tmp_path, paper).pages[-1]
    longest = max(strokes(page), key=lambda path: len(path) > 6 and extent(path, 0))
    assert extent(longest, 0) == pytest.approx(blank_of(piece).length, rel=1e-4)
    assert extent(longest, 1) == pytest.approx(blank_of(piece).width, rel=1e-4)
    box = page.mediabox
    assert sorted((float(box.width) / MM, float(box.height) / MM)) == pytest.approx(PAPERS[paper], abs=0.01)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_has_bars_of_100_mm_and_their_limits(paper: str, tmp_path: Path) -> None:
    for page in printed(blank(BIG, TITLE), tmp_path, paper).pages:
        assert bars(page) == pytest.approx((100.0, 100.0), rel=1e-4)
        assert "100 mm must read 99.8 to 100.2" in words(page)
        assert "141.1 to 141.7" in words(page)


def bars(page: object) -> tuple[float, float]:
    """The two lines of a page that start in the corner of the sheet."""
    lines = [path for path in strokes(page) if len(path) == 2 and path[0] == pytest.approx((12.0, 17.0), abs=0.01)]
    along = max(lines, key=lambda path: path[1][0])
    up = max(lines, key=lambda path: path[1][1])
    return math.dist(*along), math.dist(*up)


def test_printer_correction_scales_bars_and_part_alike(tmp_path: Path) -> None:
    wanted = correction_of((98.5, 100.8))
    piece = channel()
    page = printed(blank(piece, TITLE), tmp_path, correction=wanted).pages[-1]
    assert bars(page) == pytest.approx((100 / 0.985, 100 / 1.008), rel=1e-4)
    longest = max(strokes(page), key=lambda path: len(path) > 6 and extent(path, 0))
    sizes = sorted((extent(longest, 0), extent(longest, 1)))
    true = sorted((blank_of(piece).length / 0.985, blank_of(piece).width / 1.008))
    assert sizes == pytest.approx(true, rel=1e-4)


def test_a_printer_set_wrong_is_refused() -> None:
    with pytest.raises(InputError, match="correction x = 1.25"):
        correction_of((80.0, 100.0))
    with pytest.raises(InputError, match="paper = A5, must be one of"):
        pdf.write([], "nowhere.pdf", "A5")


@pytest.mark.parametrize("paper", PAPERS)
def test_tiles_of_a_large_plate_fit_together(paper: str, tmp_path: Path) -> None:
    """Each tile's paths, moved back by its window, are the drawing's; neighbours share strips and marks."""
    drawing = blank(BIG, TITLE)
    cut = tiling(drawing.bounds, paper, (1.0, 1.0))
    assert len(cut.tiles) == cut.rows * cut.columns
    pages = printed(drawing, tmp_path, paper).pages[-len(cut.tiles) :]
    assert cut.columns * cut.rows > 1
    edge = {
        tuple(round(c, 2) for c in p)
        for s in drawing.strokes
        if s.layer == "cut"
        for g in s.segments
        for p in (g.a,)
    }
    marks: list[set[tuple[float, float]]] = []
    for tile, page in zip(cut.tiles, pages, strict=True):
        moved = [
            [(x - 21.0 + tile.window[0], y - 25.0 + tile.window[1]) for x, y in path] for path in strokes(page)
        ]
        here = {tuple(round(c, 2) for c in p) for path in moved for p in path}
        inside = {
            p for p in edge if tile.window[0] < p[0] < tile.window[2] and tile.window[1] < p[1] < tile.window[3]
        }
        assert inside <= here
        crosses = [p for p in moved if len(p) == 2 and math.dist(*p) == pytest.approx(6.0, abs=1e-3)]
        level = {_middle(p) for p in crosses if abs(p[0][1] - p[1][1]) < 1e-3}
        marks.append({m for m in level if m in {_middle(p) for p in crosses if abs(p[0][0] - p[1][0]) < 1e-3}})
    for i, one in enumerate(cut.tiles):
        for j, other in enumerate(cut.tiles):
            if (other.row, other.column) in ((one.row, one.column + 1), (one.row + 1, one.column)):
                shared = [
                    min(one.window[k + 2], other.window[k + 2]) - max(one.window[k], other.window[k])
                    for k in (0, 1)
                ]
                assert min(shared) == pytest.approx(OVERLAP, abs=1e-9)
                assert len(marks[i] & marks[j]) >= 2
    x0, y0, x1, y1 = drawing.bounds
    assert min(t.window[0] for t in cut.tiles) <= x0
    assert max(t.window[2] for t in cut.tiles) >= x1
    assert min(t.window[1] for t in cut.tiles) <= y0
    assert max(t.window[3] for t in cut.tiles) >= y1


def _middle(path: list[Point]) -> tuple[float, float]:
    (ax, ay), (bx, by) = path
    return (round((ax + bx) / 2, 2) + 0.0, round((ay + by) / 2, 2) + 0.0)


def test_fewer_tiles_the_right_way_round() -> None:
    bounds = (0.0, 0.0, 250.0, 100.0)
    assert len(tiling(bounds, "A4", (1.0, 1.0)).tiles) == 1
    assert tiling(bounds, "A4", (1.0, 1.0)).sheet.width == 297.0


WELDED = Plate(name="w", t=6.0, wall=sheet(80, 60, Hole(at=(20, 20), d=10.5), Hole(at=(38, 20), d=8.5, kind="tap")))
WELDS = (Weld(piece="w", edge=Along((0.0, 0.0), (80.0, 0.0)), onto="tube", leg=4.0),)
CROWD = (Hole(at=(12 + 15 * i, 12 + 17 * j), d=9) for i in range(6) for j in range(3))
DRAWN: dict[str, Plate | Folded] = {
    "L": angle_bracket(),
    "U": replace(channel(), grain=0.0),
    "C": turned_channel(),
    "joggle": replace(offset_strap(), grain=90.0),
    "tray": replace(tray(), grain=30.0),
    "ears": cut_to_tube(),
    "welded": WELDED,
    "crowd": Plate(name="c", t=4.0, wall=sheet(100, 60, *CROWD)),
}


@cache
def drawn(name: str) -> Drawing:
    return blank(DRAWN[name], TITLE, welds=WELDS if name == "welded" else ())


@pytest.mark.parametrize("name", DRAWN)
def test_no_label_lies_on_a_line_or_on_another_label(name: str) -> None:
    drawing = drawn(name)
    boxes = [w.box for w in drawing.words]
    assert boxes
    for i, box in enumerate(boxes):
        assert not any(touches(box, other) for other in boxes[i + 1 :])
        for stroke in drawing.strokes:
            assert not any(through(box, a, b) for a, b in chords(stroke)), drawing.words[i].text


def chords(stroke: Stroke) -> list[tuple[Point, Point]]:
    points = [p for segment in stroke.segments for p in segment.points(0.05)]
    return list(zip(points, points[1:], strict=False))


def test_every_letter_is_as_wide_as_the_paper_librarys() -> None:
    """Drawings read the fonts themselves, since nothing below the kernel loads that library."""
    letters = [chr(code) for code in range(0x20, 0x30000) if spelled(chr(code)) == chr(code)]  # printed as they are
    assert len(letters) > 13_000
    assert set("\u00c4\u6f22\u042f\u0416\u03a9\u0141\u3042\u00b1") <= set(letters)
    wrong = {
        letter: (width(letter, 1000.0), paper_page.width(letter, 1000.0))
        for letter in (*letters, "".join(letters[:300]))
        if width(letter, 1000.0) != pytest.approx(paper_page.width(letter, 1000.0), abs=1e-6)
    }
    assert wrong == {}


def test_plain_latin_is_as_wide_as_the_adobe_core_14_metrics_of_helvetica() -> None:
    """Which Arimo was drawn to: to a thousandth of the size, for ASCII."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    for heavy, core in ((False, "Helvetica"), (True, "Helvetica-Bold")):
        for code in range(0x20, 0x7F):
            by_hand = stringWidth(chr(code), core, 1000.0)
            assert paper_page.width(chr(code), 1000.0, bold=heavy) == pytest.approx(by_hand, abs=0.6), chr(code)


def test_capitals_and_tails_are_as_high_as_the_outlines_of_the_font() -> None:
    font = TTFont(file_of("latin"))
    glyph, size = font["glyf"], font["head"].unitsPerEm
    assert max(glyph[name].yMax for name in "Hd") / size == pytest.approx(ASCENT, abs=0.005)
    assert min(glyph[name].yMin for name in "gpy") / size == pytest.approx(-DESCENT, abs=0.005)


def test_the_bold_type_has_every_letter_of_the_plain_one_in_its_blocks() -> None:
    run = "A\u042f"
    heavy = TTFont(BytesIO(bold(blocks(run))))
    there = {letter for letter in advances("latin") if ord(letter) // 256 in blocks(run)}
    assert there == set(map(chr, heavy.getBestCmap()))
    assert {*map(chr, range(0x20, 0x7F)), "\u00c4", "\u0141", "\u042f", "\u2019"} <= there
    assert heavy["hmtx"][heavy.getBestCmap()[ord("!")]][0] > TTFont(file_of("latin"))["hmtx"]["exclam"][0]
    assert "fvar" not in heavy


def test_letters_that_no_font_has_are_printed_by_their_unicode_names() -> None:
    """Nothing is dropped and nothing becomes a question mark; what runs from right to left is not set backwards."""
    assert spelled("\u00c4 \u6f22 \u042f") == "\u00c4 \u6f22 \u042f"
    assert spelled("e\u0301") == "\u00e9"
    assert spelled("a\ud55cb") == "a[HANGUL SYLLABLE HAN]b"
    assert spelled("\u05d0") == "[HEBREW LETTER ALEF]"
    assert spelled("\t") == "[U+0009]"
    named = "[HANGUL SYLLABLE HAN]"
    assert [width("\ud55c", 3.0), paper_page.width("\ud55c", 3.0)] == pytest.approx([width(named, 3.0)] * 2)


def test_a_sheet_prints_letters_of_three_scripts_in_fonts_it_carries(tmp_path: Path) -> None:
    """Read back by pypdf; every font of the file is embedded."""
    name = "Tr\u00e4ger \u6f22\u5b57 \u042f\u0449\u0438\u043a"
    reader = printed(blank(channel(), replace(TITLE, part=name)), tmp_path)
    text = reader.pages[0].extract_text()
    assert f"\n{name}\n" in text
    assert f"\n{name}: U" in text
    assert "Not in the type" not in text
    fonts = [font.get_object() for page in reader.pages for font in page["/Resources"]["/Font"].values()]
    names = {font["/BaseFont"].split("+")[-1] for font in fonts}
    assert names == {"Arimo-Regular", "Arimo-Bold", "Arimo04-Bold", "IPAexGothic"}
    assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


def test_a_sheet_says_which_letters_its_type_has_not(tmp_path: Path) -> None:
    text = printed(blank(channel(), replace(TITLE, part="\ud55c bracket")), tmp_path).pages[0].extract_text()
    assert "\n[HANGUL SYLLABLE HAN] bracket\n" in text
    assert "Not in the type of this sheet, so printed by its Unicode name in brackets: U+D55C." in text


def test_a_line_is_broken_at_spaces_and_a_word_longer_than_a_line_within() -> None:
    """As names in Chinese characters are, which have no spaces."""
    name = "\u6f22" * 40 + " arm " + "x" * 100
    lines = paper_page.wrapped(name, 60.0, 5.0)
    assert "".join(lines).replace(" ", "") == name.replace(" ", "")
    assert all(0 < paper_page.width(line, 5.0) <= 60.0 for line in lines)
    assert paper_page.wrapped("one two", paper_page.width("one two", 5.0), 5.0) == ["one two"]
    assert paper_page.wrapped("", 60.0, 5.0) == []


def test_width_of_a_heading_by_hand() -> None:
    """Adobe Core 14 font metrics, Helvetica-Bold: O 778, D 722, space 278, ( ) 333 each, m 889; thousandths."""
    by_hand = (778 + 722 + 278 + 333 + 889 + 889 + 333) / 1000.0 * 2.8
    assert paper_page.width("OD (mm)", 2.8, bold=True) == pytest.approx(by_hand, rel=5e-4)  # Arimo: 2048ths
    assert by_hand == pytest.approx(11.822, abs=5e-4)


def test_bold_words_are_cut_by_their_own_width() -> None:
    words = "left rear lower arm, welded"
    plain, bold = paper_page.width(words, 2.8), paper_page.width(words, 2.8, bold=True)
    assert plain < bold
    assert paper_page.fitted(words, bold, 2.8, bold=True) == words
    cut = paper_page.fitted(words, plain, 2.8, bold=True)
    assert cut.endswith("...")
    assert paper_page.width(cut, 2.8, bold=True) <= plain


def test_a_long_name_of_a_part_goes_on_in_a_second_line(tmp_path: Path) -> None:
    """Names may have 80 letters; in one line they would run off the paper."""
    name = "left rear lower arm of the gearbox, welded, drilled under and reamed, LEFT HAND"
    ends: dict[str, float] = {}

    def look(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip() and size == pytest.approx(5.0 * MM):
            ends[text.strip()] = tm[4] / MM + paper_page.width(text.strip(), 5.0, bold=True)

    printed(blank(channel(), replace(TITLE, part=name)), tmp_path).pages[0].extract_text(visitor_text=look)
    assert " ".join(ends) == name
    assert len(ends) == 2
    assert max(ends.values()) <= PAPERS["A4"][0] - MARGIN


def test_a_cell_wider_than_its_column_goes_on_in_a_further_line(tmp_path: Path) -> None:
    """As where a seam is tacked, of which a sheet once had the first four places and three dots."""
    places = ", ".join(str(at) for at in range(0, 2000, 25))
    rows = (("1", f"at {places} mm along the seam", f"so {places}"), ("2", "short", "short"))
    table = Table("Weld order", ("step", "where", "why"), rows)
    text = printed(replace(blank(channel(), TITLE), tables=(table,)), tmp_path).pages[0].extract_text()
    assert "..." not in text
    assert all(text.split().count(f"{at},") >= 2 for at in range(0, 1975, 25))
    sizes = table_blocks.widths(table, 180.0)
    heights = [block.height for block in table_blocks._rows(table, sizes)]
    assert heights[2] == pytest.approx(table_blocks.ROW + 7 * paper_blocks.LINE)
    assert heights[1] == heights[3] == table_blocks.ROW


def test_a_long_fact_is_cut_at_the_margin_in_its_bold_type(tmp_path: Path) -> None:
    named = ", ".join(f"left tube {i}" for i in range(1, 40))
    drawing = replace(blank(channel(), TITLE), facts=(("piece", named),))
    ends: list[float] = []

    def look(text: str, cm: list[float], tm: list[float], font: Any, size: float) -> None:
        if text.strip().endswith("...") and size == pytest.approx(2.8 * MM):
            ends.append(tm[4] / MM + paper_page.width(text.strip(), 2.8, bold=True))

    printed(drawing, tmp_path).pages[0].extract_text(visitor_text=look)
    assert len(ends) == 1
    assert PAPERS["A4"][0] - MARGIN - 3.0 < ends[0] <= PAPERS["A4"][0] - MARGIN


def test_sheet_of_facts_says_what_it_must(tmp_path: Path) -> None:
    piece = replace(channel(), material="S235")
    text = words(printed(blank(piece, TITLE), tmp_path).pages[0])
    for said in (
        "sample bracket",
        "S235, 4 mm",
        "B",
        "0.165 kg",
        "Not stated by you",
        "t 4 mm, edge 20 mm",
        "measured",
        "ream 12.5 after welding",
        "DIN 6935",
        "This face up",
        "Grain not stated",
        "caution: thin web",
    ):
        assert said in text, said


def test_hash_changes_with_any_value_but_not_with_the_name() -> None:
    facts = [
        dict(blank(piece, TITLE).facts)["values"]
        for piece in (channel(), replace(channel(), name="other"), replace(channel(), t=4.0001))
    ]
    assert facts[0] == facts[1] != facts[2]


def test_coupon_is_named_on_the_sheet(tmp_path: Path) -> None:
    coupon = Coupon(material="S235", t=4.0, radius=5.0, angle=90.0, allowance=11.25)
    shop = Shop(name="s", sample=True, brake=Brake(length=500), coupons=(coupon,))
    text = words(printed(blank(with_coupons(channel(), shop), TITLE), tmp_path).pages[0])
    assert "coupon S235 t 4 r 5 90 deg" in text
    assert "DIN 6935" not in text


@pytest.mark.parametrize(
    ("kind", "said"),
    [("pivot", "ream"), ("fine", "match-drill"), ("tap", "tap after welding"), ("boss", "drill now")],
)
def test_when_a_hole_is_drilled_goes_by_its_class(kind: str, said: str) -> None:
    plate = Plate(name="p", t=5.0, wall=sheet(60, 40, Hole(at=(20, 20), d=10.5, kind=kind)))  # type: ignore[arg-type]
    [table] = [t for t in blank(plate, TITLE).tables if t.heading == "Holes"]
    assert said in dict(zip(table.columns, table.rows[0], strict=True))["how"]


def test_every_hole_has_cross_circle_and_witness_ring() -> None:
    layers = [s.layer for s in drawn("crowd").strokes]
    assert (layers.count("punch"), layers.count("ring"), layers.count("cut")) == (36, 18, 19)


def test_weld_edge_is_marked_beside_the_edge() -> None:
    [seam] = [s for s in drawn("welded").strokes if s.layer == "weld"]
    assert {round(p[1], 6) for s in seam.segments for p in (s.a, s.b)} == {1.5}
    [table] = [t for t in drawn("welded").tables if t.heading == "Welds"]
    assert table.rows[0][:5] == ("W1", "tube", "other face", "4", "80")
    assert "W1" in [w.text for w in drawn("welded").words]


def test_same_drawings_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        pdf.write([blank(tray(), TITLE)], tmp_path / f"{name}.pdf")
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_turned_piece_has_a_sheet(tmp_path: Path) -> None:
    cup = Turned(name="cup", steps=(Step(length=10, od=40, bore=20), Step(length=30, od=30, bore=20)))
    reader = printed(turning(cup, TITLE), tmp_path)
    assert "10 to 40" in words(reader.pages[0])
    longest = max(strokes(reader.pages[0]), key=len)
    assert extent(longest, 0) == pytest.approx(40, rel=1e-4)
    assert len(reader.pages) == 1, "there is room for it under the facts"


def test_a_drawing_too_tall_for_what_the_facts_leave_goes_on_a_sheet_of_its_own(tmp_path: Path) -> None:
    for length, pages in ((40.0, 1), (150.0, 2)):
        steps = (Step(length=10, od=3.2 * length, bore=20), Step(length=length, od=30, bore=20))
        cup = Turned(name="cup", steps=steps)
        reader = printed(turning(cup, TITLE), tmp_path)
        assert len(reader.pages) == pages
        assert ("drawing and facts" in words(reader.pages[0])) == (pages == 1)
        longest = max(strokes(reader.pages[pages - 1]), key=len)
        assert extent(longest, 0) == pytest.approx(10 + length, rel=1e-4)


def test_blanks_on_a_sheet_keep_apart_and_on_it() -> None:
    pieces: list[Folded | Plate] = [
        channel(),
        turned_channel(),
        tray(),
        replace(tray(), grain=90.0),
        offset_strap(),
    ] * 3
    [layout] = nest(pieces, length=1000, width=800)
    assert len(layout.blanks) == 15
    boxes = []
    for one in layout.blanks:
        x0, y0, x1, y1 = one.rings[0].bounds
        assert (x0, y0) == pytest.approx(one.at)
        assert (x1 - x0, y1 - y0) == pytest.approx(one.size)
        assert min(x0, y0) >= 10 - 1e-9
        assert x1 <= 990 + 1e-9
        assert y1 <= 790 + 1e-9
        boxes.append((x0 - 4.9, y0 - 4.9, x1 + 4.9, y1 + 4.9))
        if one.blank.grain == 90.0:
            assert one.turned
    assert not any(touches(a, b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])
    total = sum(blank_of(p).area for p in pieces)
    assert layout.used == pytest.approx(total / 800_000)


def test_blanks_fill_a_second_sheet_and_a_too_large_one_is_refused() -> None:
    assert len(nest([tray()] * 8, length=400, width=330)) == 2
    with pytest.raises(InputError, match="must lie on a sheet"):
        nest([BIG], length=400, width=300)


def test_sheet_layout_is_a_picture(tmp_path: Path) -> None:
    [layout] = nest([channel(), tray()])
    text = words(printed(sheet_drawing(layout, TITLE), tmp_path).pages[0])
    assert "Not to scale" in text
    assert "2000 x 1000" in text


@pytest.mark.parametrize("name", DRAWN)
def test_no_leader_runs_over_a_hole_or_another_leader(name: str) -> None:
    drawing = drawn(name)
    leaders = [(s.segments[0].a, s.segments[0].b) for s in drawing.strokes if s.layer == "leader"]
    rounds = [s.circle for s in drawing.strokes if s.layer == "cut" and s.circle is not None]
    for i, (a, b) in enumerate(leaders):
        for centre, radius in rounds:
            assert math.dist(centre, Line(a, b).point(Line(a, b).nearest(centre))) >= radius
        box = Line(a, b).bounds
        for c, d in leaders[i + 1 :]:
            assert not (touches(box, Line(c, d).bounds) and sides(a, b, c, d) and sides(c, d, a, b))


def sides(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether c and d lie on different sides of the line through a and b."""
    found = [(b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) for p in (c, d)]
    return found[0] * found[1] < 0


def test_a_slot_is_called_one_and_a_plate_without_holes_says_nothing_of_rings() -> None:
    drawn = blank(turned_channel(), TITLE)
    assert "1: slot 11 x 51" in [w.text for w in drawn.words]
    assert any("witnesses" in note for note in drawn.notes)
    bare = blank(Plate(name="p", t=4.0, wall=sheet(60, 40)), TITLE)
    assert not any("witnesses" in note for note in bare.notes)


def test_a_label_is_not_put_into_the_outline_of_another_thing() -> None:
    """In there it is read as the name of that one; what lies within may have its own label there."""
    outline = rectangle(60.0, 8.0)
    for there, about in ((False, (10.0, -4.5)), (True, (10.0, -3.5))):
        board = Board([Stroke.of("mark", outline)])
        board.block((-100.0, -40.0, 100.0, -5.0))  # no room below
        board.named_area(outline.bounds)
        [made] = [m for m in board.label("gusset", about) if isinstance(m, Words)]
        assert touches(made.box, outline.bounds) is there


def _noted(notes: int, path: Path) -> list[str]:
    """The words of each page of a turned piece that ends with so many notes of one line and one of three."""
    told = [f"Note {i}: see the drawing." for i in range(1, notes)]
    more = (*told, "Last note: " + "turn it between centres and measure it again " * 6)
    piece = Turned(name="spacer", steps=(Step(od=30, length=40, bore=12.2),))
    drawing = replace(turning(piece, Title(part="mount")), notes=more)
    return [words(page) for page in printed(drawing, path).pages]


def test_no_note_is_left_alone_on_a_page_and_none_is_torn(tmp_path: Path) -> None:
    """However many there are: where the last one goes over, others go too; a few more fit with less white."""
    over = set()
    for notes in range(20, 50):
        _, *others = _noted(notes, tmp_path)
        for page in others:
            things = (page.count(": see the drawing"), page.count("Last note:"), page.count("Not stated by you"))
            assert sum(things) == 0 or sum(things) >= 5, notes
            assert page.count("measure it again") in (0, 6), notes
            over.add(things)
    assert {(4, 1, 1), (5, 1, 1)} <= over


@pytest.mark.parametrize("count", range(20, 60))
def test_a_page_that_ends_a_sheet_has_something_on_it(count: int) -> None:
    """Lines of 4 mm with 0.8 of white, on pages of 100: 20 mm at least go over together."""
    blocks = paper_blocks.kept_at_end([paper_blocks.line("x"), paper_blocks.space(0.8)] * count)
    last = paper_blocks.parted(blocks, 100.0, 100.0, 0.0)[-1:]
    left = sum(block.height for block in blocks[last[0] :]) if last else math.inf
    assert left >= paper_blocks.ALONE


def test_white_gives_way_where_that_saves_a_page() -> None:
    """22 lines of 4 mm are 88 with no white, and 104.8 with 0.8 between them: 100 mm take them with 0.2."""
    blocks = [paper_blocks.line("x"), paper_blocks.space(0.8)] * 22
    assert paper_blocks.parted(blocks, 100.0, 100.0, 0.0) == [42]
    assert paper_blocks.parted(paper_blocks.squeezed(blocks), 100.0, 100.0, 0.0) == []


def test_a_title_stays_with_its_first_table_and_a_parted_list_says_what_it_is(tmp_path: Path) -> None:
    """A second drawing of the part, begun ever lower on the page."""
    first = turning(Turned(name="pin", steps=(Step(od=30, length=40, bore=12.2),)), Title(part="mount"))
    second = turning(Turned(name="cup", steps=(Step(od=50, length=30, bore=20),)), Title(part="mount"))
    long = Table("Long list", ("no.", "what"), tuple((str(i), "row") for i in range(60)))  # it fits on no page
    parted = 0
    for notes in (*range(4, 24), *range(46, 54)):
        told = replace(first, notes=tuple(f"Note {i}: see the drawing." for i in range(notes)))
        pdf.write([told, replace(second, tables=(long,), notes=told.notes[:3])], tmp_path / "a.pdf")
        pages = [words(page) for page in PdfReader(tmp_path / "a.pdf").pages]
        begins = next(page for page in pages if "drawing no." in page and "mount-cup" in page)
        assert "Long list" in begins[begins.index("mount-cup") :], notes
        for before, page in pairwise(pages):
            if "Note 1:" in before and f"Note {notes - 1}:" not in before:
                assert "Notes, continued" in page, notes
                parted += 1
        assert f"The notes under {told.name} hold here too." in "".join(pages)
    assert parted > 3


def test_a_foot_without_a_material_ends_in_no_comma(tmp_path: Path) -> None:
    drawing = turning(Turned(name="pin", steps=(Step(od=30, length=40),)), Title(part="mount"))
    bare = replace(drawing, facts=tuple(fact for fact in drawing.facts if fact[0] != "material"))
    (page,) = printed(bare, tmp_path).pages
    assert re.findall(r"^rev none given, values \w+$", words(page), re.MULTILINE)


def test_the_name_over_a_drawing_stays_with_its_facts() -> None:
    assert all(block.keep for block in paper_blocks.titled(blank(channel(), TITLE), 180.0, first=False))


def test_a_label_that_needs_no_leader_may_stand_over_a_hole() -> None:
    """Large letters beside their point have a leader of no length, which no hole is in the way of."""
    board = Board([Stroke.of("cut", circle((0.0, 0.0), 3.0))])
    [made] = [m for m in board.label("12", (30.0, 0.0), size=30.0, start=8.0) if isinstance(m, Words)]
    assert made.text == "12"
