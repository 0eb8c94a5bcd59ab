"""What a folded blank is set out and checked by, and what stays with a template that is cut out of its page."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from brackets import recipe
from brackets.app.cli.app import main
from brackets.core.errors import InputError
from brackets.core.marks import Marks
from brackets.core.units import shown
from brackets.drawing.blank import blank
from brackets.drawing.record import ASCENT, Drawing, Title
from brackets.drawing.setting_out import legs
from brackets.drawing.turned import turning
from brackets.forming.flanges import lip
from brackets.geometry.shapes import rectangle
from brackets.library.recipe import recipes, shipped
from brackets.model.holes import Slot
from brackets.model.plate import Flange, Folded, Wall
from brackets.model.tube import Step, Turned
from brackets.output import cut_files, page, pdf, svg
from brackets.output.part_files import made, write
from brackets.output.set_up import set_up_cuts


def test_a_folded_sheet_has_what_it_is_set_out_and_checked_by() -> None:
    """80 x 40 with a lip 30 over the outside (t 2, r 3, K 0.42): the base is 85 over the outside, the punch comes
    down half an allowance beyond 80. A slot from (-20, 5) to (-10, 15): 45 degrees, 14.14 + 6 long."""
    edge = lip((40, 20), (40, -20), t=2, length=30, inside_radius=3)
    slot = Slot(a=(-20, 5), b=(-10, 15), d=6)
    wall = Wall(outline=rectangle(80, 40), openings=(slot,))
    sheet = blank(Folded(name="angle", base=wall, flanges=(edge,), t=2, k=0.42), Title(part="angle"))
    tables = {table.heading: table for table in sheet.tables}
    bend = dict(zip(tables["Bends"].columns, tables["Bends"].rows[0], strict=True))
    allowance = math.pi / 2 * (3 + 0.42 * 2)
    assert bend["line from edge"] == f"left {80 + allowance / 2:.2f}"
    assert tables["Slots"].rows == (("1", "6", "20.14", "45.0", "20.00, 25.00", "30.00, 35.00", ""),)
    checks = {row[0]: row[1] for row in tables["After cutting and after bending"].rows}
    assert checks["base, outside, square to its bend"] == "85.00"
    assert checks["flange 1, outside, square to its bend"] == "30.00"
    assert dict(sheet.facts)["face"] == "THIS FACE UP"
    assert dict(sheet.facts)["grain"] == "grain not stated"


@pytest.mark.parametrize(("angle", "outside"), [(60.0, 5 * math.tan(math.radians(30))), (90.0, 5.0), (120.0, 5.0)])
def test_a_leg_is_measured_to_where_the_outsides_meet_or_over_the_bend(angle: float, outside: float) -> None:
    """r + t = 5: beyond 90 degrees the corner of the outer faces lies in the air and nobody can measure to it."""
    leg = Wall(outline=rectangle(40, 25, centre=(20, 12.5)))
    flange = Flange(start=(40, 20), end=(40, -20), angle=angle, inside_radius=3, wall=leg)
    piece = Folded(name="angle", base=Wall(outline=rectangle(80, 40)), flanges=(flange,), t=2, k=0.42)
    assert [far for _, far in legs(piece)] == [pytest.approx(80 + outside), pytest.approx(25 + outside)]


def test_a_template_says_its_face_grain_piece_number_and_scale(tmp_path: Path) -> None:
    """The page that is cut up is another than the sheet of facts."""
    opened = recipe("tray")
    thing = made(opened, opened.Params())
    cuts = cut_files.cuts(thing.part, cut_files.title("tray", thing.params, thing.shop), thing.findings)
    [mine] = [cut for cut in cuts if cut.names == ("tray",)]
    cut_files.write([mine], tmp_path, name="tray", shop=thing.shop)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(tmp_path / "tray.pdf").pages]
    tiles = [text for text in pages if "tile 1 of" in text or "tile 2 of" in text]
    assert len(tiles) >= 2
    for text in tiles:
        assert "tray: tray, cut 1" in text
        assert "THIS FACE UP, grain" in text
        assert "1:1, mm" in text


def test_lines_are_black_and_can_be_seen_and_the_words_at_the_bars_can_be_read() -> None:
    """0.13 mm is the thinnest pen; 1.8 mm the smallest lettering, of capitals (ISO 128 and 3098, from memory)."""
    assert all(wide >= 0.13 and grey == 0.0 for wide, _, grey in page.STYLES.values())
    assert all(float(style.split("stroke-width:")[1].split(";")[0]) >= 0.13 for style in svg.STYLES.values())
    assert not any("stroke:#" in style for style in svg.STYLES.values())
    assert ASCENT * page.BAR_TYPE >= 1.8


def test_what_was_not_stated_is_said_once_a_part_in_figures_a_person_writes(tmp_path: Path) -> None:
    """The pieces of a part follow from the same values; a reach out of a bay has sixteen figures."""
    opened = recipe("ears_on_base")
    thing = made(opened, opened.Params(reach=76.56353848491338))
    title = cut_files.title("ears", thing.params, thing.shop)
    assert "reach 76.564 mm" in title.notes[0]
    cut_files.write(cut_files.cuts(thing.part, title), tmp_path, name="ears", shop=thing.shop)
    texts = [page.extract_text() for page in PdfReader(tmp_path / "ears.pdf").pages]
    assert sum(text.count("Not stated by you") for text in texts) == 1
    assert "Not stated by you" in texts[0]


def test_the_title_block_says_number_creator_date_approver_and_page(tmp_path: Path) -> None:
    opened = recipe("gusset")
    thing = made(opened, opened.Params())
    marks = Marks(revision="C", by="A. Nyberg", date="2026-11-29")
    title = cut_files.title("gusset", thing.params, thing.shop, marks)
    cuts = cut_files.cuts(thing.part, title)
    cut_files.write(cuts, tmp_path, name="gusset", shop=thing.shop)
    reader = PdfReader(tmp_path / "gusset.pdf")
    texts = [" ".join(page.extract_text().split()) for page in reader.pages]
    number = dict(cuts[0].drawings[0].facts)["values"]
    said = f"drawing no. gusset-{cuts[0].names[0]}-{number}"
    for line in (said, "revision C", "drawn by A. Nyberg", "date 2026-11-29"):
        assert line in texts[0]
    assert "approval by ____" in texts[0]
    for at, text in enumerate(texts, 1):
        assert f"page {at} of {len(texts)}" in text
        assert "general tolerance: not stated" in text


def test_a_class_of_general_tolerances_stands_as_typed_on_every_page_and_in_the_facts(tmp_path: Path) -> None:
    for known in ("ISO 2768-m", "ISO 2768-mK", "ISO 2768-K", "ISO 13920-BF", "ISO 13920-E"):
        assert cut_files.marked("gusset", Marks(tolerance=known)).tolerance == known
    typed = "ISO 13920-A, ISO 2768-f"
    into = tmp_path / "gusset"
    thing = write(made(recipe("gusset"), recipe("gusset").Params()), into, tolerance=typed)
    for sheet in PdfReader(into / "gusset.pdf").pages:
        assert f"general tolerance: {typed}" in " ".join(sheet.extract_text().split())
    assert json.loads((into / "facts.json").read_text("utf-8"))["title_block"]["general_tolerance"] == typed
    assert thing.marks == Marks(tolerance=typed)


@pytest.mark.parametrize(
    "typed",
    ["m", "ISO 2768", "ISO 2768-M", "ISO 2768-x", "ISO 2768-Km", "ISO 13920-E B", "ISO 13920-I", "ISO 286-m",
     "ISO 2768-m, ISO 2768-c", "ISO 2768-m ", "ISO 2768-m\n"],
)  # fmt: skip
def test_an_unknown_class_is_refused_with_what_is_allowed(typed: str) -> None:
    with pytest.raises(InputError) as refused:
        Marks(tolerance=typed)
    assert f"--general-tolerance = {shown(typed)}, must be ISO 2768- with f, m, c or v, then H, K or L" in str(
        refused.value
    )
    assert "ISO 13920- with A, B, C or D, then E, F, G or H" in str(refused.value)


def test_flat_and_family_mark_their_sheets_as_make_does(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = ["--revision", "C", "--by", "A. Nyberg", "--date", "2026-11-29", "--general-tolerance", "ISO 2768-c"]
    assert main(["flat", "gusset", *typed, "--into", str(tmp_path / "flat")]) in (0, 1)
    assert main(["family", "gusset", "--t", "5,6", "--files", "2", *typed, "--into", str(tmp_path / "rows")]) == 0
    block = {"revision": "C", "drawn_by": "A. Nyberg", "date": "2026-11-29", "general_tolerance": "ISO 2768-c"}
    papers = sorted(tmp_path.rglob("*.pdf"))
    assert len(papers) == 2
    for paper in papers:
        text = " ".join(PdfReader(paper).pages[0].extract_text().split())
        assert "drawn by A. Nyberg" in text
        assert "general tolerance: ISO 2768-c" in text
        assert json.loads((paper.parent / "facts.json").read_text("utf-8"))["title_block"] == block
    capsys.readouterr()
    for verb in ("make", "flat", "family"):
        assert main([verb, "gusset", "--no-files", "--general-tolerance", "medium", "--by", "x" * 41]) == 2
        said = " ".join(capsys.readouterr().err.split())
        assert "--general-tolerance = \"medium\"" in said
        assert "--by = " in said


def test_fit_marks_its_sheets_as_make_does(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All marks that are wrong are refused at once, before the bay is worked out."""
    bay = tmp_path / "bay.toml"
    bay.write_text("")
    assert main(["fit", str(bay), "--revision", "r" * 41, "--by", "a\nb", "--no-files"]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert "--revision = " in said
    assert "--by = 'a\\nb', must be one line of at most 40 characters: who drew it" in said


def test_sheets_of_a_bay_carry_the_marks(tmp_path: Path) -> None:
    revision, by, date = "C", "A. Nyberg", "2026-11-29"
    into = tmp_path / "out"
    path = Path(shipped(), "shelf.toml")
    typed = ["--revision", revision, "--by", by, "--date", date]
    assert main(["fit", str(path), "--into", str(into), *typed]) in (0, 1)
    sheets = sorted(into.rglob("*.pdf"))
    assert sheets
    text = " ".join(PdfReader(sheets[0]).pages[0].extract_text().split())
    assert f"revision {revision}" in text
    assert f"drawn by {by}" in text
    assert f"date {date}" in text


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[list[Drawing], list[str]]]:
    """The drawings of every shipped recipe and the words of the pages they are on."""
    found = {}
    folder = tmp_path_factory.mktemp("papers")
    for name in recipes():
        thing = made(recipe(name), recipe(name).Params())
        title = cut_files.title(name, thing.params, thing.shop)
        cuts = cut_files.cuts(thing.part, title, thing.findings)
        cuts += set_up_cuts(thing.part, title, thing.findings, shop=thing.shop)
        drawings = [drawing for cut in cuts for drawing in cut.drawings]
        if drawings:
            count = pdf.write(drawings, folder / f"{name}.pdf")
            pages = [" ".join(sheet.extract_text().split()) for sheet in PdfReader(folder / f"{name}.pdf").pages]
            assert len(pages) == count
            found[name] = (drawings, pages)
    return found


def test_every_template_of_every_recipe_has_its_face_grain_piece_number_and_scale_beside_it(
    papers: dict[str, tuple[list[Drawing], list[str]]],
) -> None:
    """In a caption over it, or in the foot of a page it has for itself; the facts may be a page off."""
    for name, (drawings, pages) in papers.items():
        for drawing in drawings:
            if not drawing.true_size or drawing.name.startswith("set-up"):
                continue
            facts = dict(drawing.facts)
            head = f"{drawing.title.part}: {drawing.name}"
            assert facts["piece"].split(",")[0] in head
            assert head.endswith(facts["number"])
            scale = "THIS FACE UP, " if "face" in facts else ""
            assert ("face" in facts) == (drawing.name.split(", ")[0] in facts["piece"] and "blank" in facts)
            scale += f"{facts['grain']}, 1:1, mm" if "grain" in facts else "1:1, mm"
            captions = [text for text in pages if f"{head} {scale}, values {facts['values']}" in text]
            feet = [text for text in pages if f"{head} rev " in text and f"{scale} tile " in text]
            assert len(captions) == 1 or len(feet) > 0, (name, drawing.name)
            assert len(captions) == 0 or len(feet) == 0, (name, drawing.name)


def test_no_page_is_nearly_empty_and_values_are_as_a_person_writes_them(
    papers: dict[str, tuple[list[Drawing], list[str]]],
) -> None:
    """63 pages to cut by, 11 of them the tray's, the others to set up and weld by; a page that is no tile has more
    than 12 words."""
    assert sum(len(pages) for _, pages in papers.values()) <= 124
    assert len(papers["tray"][1]) <= 19
    for name, (_, pages) in papers.items():
        assert sum(text.count("Not stated by you") for text in pages) == 1, name
        assert sum(text.count("Strength: only hold computes it") for text in pages) == 1, name
        for number, text in enumerate(pages, 1):
            said = text.split("If not: STOP, do not cut")[1].split("general tolerance")[0]
            assert "tile " in text or len(said.split()) > 12, (name, number)
            assert not re.search(r"\d\.\d{4}", text), (name, number)


def test_lengths_out_of_a_bay_are_rounded_on_the_sheets() -> None:
    """A hexagon 12 across flats is 20.7846 over... a tube of 50.0008 has 50.001 on paper."""
    tube = Turned(name="c", steps=(Step(length=50.0008, od=12 * math.sqrt(3), bore=9),))
    sheet = turning(tube, Title(part="c"))
    assert dict(sheet.facts)["length"] == "50.001 mm"
    assert sheet.tables[0].rows[0][:4] == ("1", "0 to 50.001", "20.785", "9")


def test_paper_is_laid_out_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Page n of m came of drawing every page twice."""
    drawn: list[str] = []
    put = page.draw
    monkeypatch.setattr(page, "draw", lambda canvas, drawing, *rest, **more: (
        drawn.append(drawing.name), put(canvas, drawing, *rest, **more)))  # fmt: skip
    cup = Turned(name="cup", steps=(Step(length=40, od=40, bore=30),))
    assert pdf.write([turning(cup, Title(part="cup"))], tmp_path / "a.pdf") == 1
    assert drawn == ["cup"]
