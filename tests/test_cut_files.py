"""All a part is cut by: which files there are, like pieces once, and what the blanks' files hold."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader
from test_dxf import enclosed
from test_fold_samples import channel, sheet, tray

from brackets import recipe
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.drawing.record import Title
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop_file import default
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import CustomPiece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Step, Turned
from brackets.output import cut_files

TITLE = Title(part="sample")
STRAP = Plate(name="left/strap", t=6.0, wall=sheet(90, 40, Hole(at=(20, 20), d=10.5)))
CUP = Turned(name="cup", steps=(Step(length=40.0, od=50.0, bore=40.0),))
PART = Part(
    name="sample",
    pieces=(
        STRAP,
        replace(STRAP, name="right/strap", place=Place((0.0, 80.0, 0.0))),
        replace(STRAP, name="right strap", t=8.0),
        channel(),
        CUP,
        CustomPiece(name="casting", function="somewhere:made"),
    ),
)


def test_one_pdf_and_a_dxf_and_svg_of_each_blank(tmp_path: Path) -> None:
    found = cut_files.cuts(PART, TITLE)
    files = cut_files.write(found, tmp_path, name="sample", shop=default())
    stems = ["sample-left-strap", "sample-right-strap", f"sample-{channel().name}"]
    assert list(files) == ["sample.pdf", *(f"{stem}.{end}" for stem in stems for end in ("dxf", "svg"))]
    assert sorted(files) == sorted(path.name for path in tmp_path.iterdir())
    assert cut_files.undrawn(PART, found) == ("casting",)


def test_like_pieces_are_drawn_once_and_counted(tmp_path: Path) -> None:
    first = cut_files.cuts(PART, TITLE)[0]
    assert first.names == ("left/strap", "right/strap")
    cut_files.write([first], tmp_path, name="sample", shop=default())
    text = "\n".join(page.extract_text() for page in PdfReader(tmp_path / "sample.pdf").pages)
    assert "left/strap, right/strap" in text
    assert "cut 2" in text
    said = [e.dxf.text for e in ezdxf.readfile(tmp_path / "sample-left-strap.dxf").modelspace().query("TEXT")]
    assert "sample: left/strap, right/strap, cut 2, S235, 6 mm" in said


def test_ears_on_a_level_tube_are_alike_and_on_a_sloped_one_are_not() -> None:
    opened = recipe("ears")
    for slope, count in ((0.0, 1), (6.5, 2)):
        part = opened.build(opened.Params(slope=slope))
        assert len([cut for cut in cut_files.cuts(part, TITLE) if cut.names]) == count


def test_area_of_every_blank_read_back_is_its_flats(tmp_path: Path) -> None:
    found = cut_files.cuts(PART, TITLE)
    files = cut_files.write(found, tmp_path, name="sample", shop=default())
    names = [cut.names[0] for cut in found if cut.flat]
    for name, file in zip(names, (f for f in files if f.endswith(".dxf")), strict=True):
        piece = PART.piece(name)
        assert isinstance(piece, Plate | Folded)
        space = ezdxf.readfile(tmp_path / file).modelspace()
        areas = sorted((enclosed(e) for e in space.query('*[layer=="CUT"]')), reverse=True)
        assert areas[0] - sum(areas[1:]) == pytest.approx(blank_of(piece).cut.area, rel=1e-6)


def test_same_part_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        cut_files.write(cut_files.cuts(PART, TITLE), tmp_path / name, name="sample", shop=default())
    for path in (tmp_path / "a").iterdir():
        assert path.read_bytes() == (tmp_path / "b" / path.name).read_bytes(), path.name


def test_paper_and_printer_are_the_shops_unless_a_paper_is_given(tmp_path: Path) -> None:
    shop = replace(default(), paper="A3", bars=(99.0, 100.0))
    found = cut_files.cuts(Part(name="p", pieces=(tray(),)), TITLE)
    for paper, sizes in ((None, {297.0, 420.0}), ("Letter", {215.9, 279.4})):
        cut_files.write(found, tmp_path, name="p", shop=shop, paper=paper)
        box = PdfReader(tmp_path / "p.pdf").pages[0].mediabox
        assert {round(float(side) * 25.4 / 72, 1) for side in (box.width, box.height)} == sizes


def test_a_sheet_has_the_findings_of_its_piece_and_of_the_whole_part() -> None:
    findings = [
        Finding(level="advice", code="x", piece=piece, sentence=f"about {piece}", source="s")
        for piece in ("left/strap", "cup", "the whole")
    ]
    by_name = {cut.names[0]: cut.drawings[0] for cut in cut_files.cuts(PART, TITLE, findings)}
    said = " ".join(by_name["cup"].title.findings)
    assert ("about cup" in said, "about the whole" in said, "about left" in said) == (True, True, False)


def test_what_cannot_be_laid_flat_has_no_sheet() -> None:
    halved = Plate(name="halved", t=4.0, wall=sheet(60, 40, Hole(at=(30.0, 20.0), d=41.0)))
    part = Part(name="p", pieces=(halved,))
    found = cut_files.cuts(part, TITLE)
    assert found == ()
    assert cut_files.undrawn(part, found) == ("halved",)
    assert cut_files.write(found, Path("nowhere"), name="p", shop=default()) == ()


def test_a_stop_for_one_piece_is_on_every_sheet_and_file_of_the_part(tmp_path: Path) -> None:
    stop = Finding(level="stop", code="x", piece="right/strap", sentence="it will not hold", source="s")
    found = cut_files.cuts(PART, TITLE, [stop])
    cut_files.write(found, tmp_path, name="n", shop=default())
    assert dict(found[0].drawings[0].facts)["STOP"].startswith("do not cut")
    for stem in ("n-left-strap", "n-right-strap"):
        said = [e.dxf.text for e in ezdxf.readfile(tmp_path / f"{stem}.dxf").modelspace().query("TEXT")]
        assert any(line.startswith("STOP: do not cut sample") for line in said)
        assert "STOP: do not cut: right/strap: it will not hold [s]" in said
    pages = [page.extract_text() for page in PdfReader(tmp_path / "n.pdf").pages]
    assert "left/strap, STOP: do not cut" in pages[0]
    assert "it will not hold" in pages[0]
