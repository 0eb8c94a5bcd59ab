"""brackets flat: every blank counted and laid on the shop's plate, as a table, a picture and a cutter's file."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest
from pypdf import PdfReader
from test_dxf import enclosed
from test_fold_samples import angle_bracket, channel, sheet, tray
from test_make_cut import SHOP

from brackets import recipe
from brackets.app.cli.app import main
from brackets.drawing.labels import touches
from brackets.forming.flanges import lip
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop import Brake, Sheet, Shop
from brackets.model import mass
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Step, Turned
from brackets.output.flats import flats, write

STRAP = Plate(name="strap_1", t=4.0, wall=sheet(90, 40, Hole(at=(20, 20), d=10.5)))
PART = Part(
    name="job",
    pieces=(
        STRAP,
        replace(STRAP, name="strap_2"),
        replace(STRAP, name="thick", t=6.0),
        channel(),
        tray(),
        Turned(name="cup", steps=(Step(length=40.0, od=50.0, bore=40.0),)),
    ),
)
PLATES = tuple(Sheet(material="S235", t=t, length=600.0, width=400.0) for t in (4.0, 6.0))
RACK = Shop(name="rack", sample=True, brake=Brake(length=1000.0), sheets=PLATES)


def test_like_blanks_are_counted_and_each_lies_on_a_sheet_of_its_plate() -> None:
    found = flats(PART, RACK)
    assert [(one.names, one.sheets) for one in found.wanted] == [
        (("strap_1", "strap_2"), (1,)),
        (("thick",), (2,)),
        (("U",), (1,)),
        (("tray",), (1,)),
    ]
    assert [(layout.t, len(layout.blanks)) for layout in found.layouts] == [(4.0, 4), (6.0, 1)]
    assert not found.stops
    total = sum(len(one.names) * one.kg for one in found.wanted)
    of_plate = [p for p in PART.pieces if isinstance(p, Plate | Folded)]
    assert total == pytest.approx(sum(blank_of(p).area * p.t * 7.85e-6 for p in of_plate))


def test_the_size_of_sheet_that_takes_all_with_least_plate_is_taken() -> None:
    sizes = ((250.0, 150.0), (700.0, 350.0), (2000.0, 1000.0))
    shop = replace(RACK, sheets=tuple(Sheet(material="S235", t=4.0, length=a, width=b) for a, b in sizes))
    [layout, *_] = flats(Part(name="p", pieces=(tray(), STRAP)), shop).layouts
    assert (layout.length, layout.width) == (700.0, 350.0)


def test_a_blank_for_no_sheet_is_said_and_the_others_are_laid() -> None:
    shop = replace(RACK, sheets=(Sheet(material="S235", t=4.0, length=200.0, width=60.0),))
    found = flats(Part(name="p", pieces=(tray(), STRAP)), shop)
    assert [one.name for layout in found.layouts for one in layout.blanks] == ["strap_1"]
    said = {finding.code: finding for finding in found.findings}
    assert (said["layout"].piece, said["layout"].level) == ("tray", "caution")
    assert said["sheet size"].level == "stop"
    assert found.stops


@pytest.mark.parametrize(("grain", "turned"), [(None, True), (0.0, False), (90.0, True)])
def test_grain_lies_across_the_bends_unless_it_is_stated(grain: float | None, turned: bool) -> None:
    """The bend of the angle bracket runs along x; lying along the sheet its blank must be turned a quarter."""
    [layout] = flats(Part(name="p", pieces=(replace(angle_bracket(), grain=grain),)), RACK).layouts
    assert layout.blanks[0].turned == turned


def test_grain_lies_across_bends_that_run_up_the_sheet_too() -> None:
    """The bend runs along y, so that the grain is along x: 120 high, it would lie lower turned a quarter."""
    flange = lip((60, 120), (60, 0), t=4, length=30, inside_radius=5)
    upright = replace(angle_bracket(), base=sheet(60, 120), flanges=(flange,))
    assert blank_of(upright).length < blank_of(upright).width
    for piece, turned in ((upright, False), (replace(upright, grain=90.0), True)):
        [layout] = flats(Part(name="p", pieces=(piece,)), RACK).layouts
        assert layout.blanks[0].turned == turned


def test_where_the_rack_is_not_known_sheets_are_2000_by_1000() -> None:
    [layout] = flats(Part(name="p", pieces=(STRAP,)), replace(RACK, sheets=())).layouts
    assert (layout.length, layout.width) == (2000.0, 1000.0)


@pytest.mark.parametrize("grain", [None, 90.0])
def test_a_blank_without_room_says_which_way_its_grain_must_lie(grain: float | None) -> None:
    """90 x 40 on a sheet of 120 x 60; with its grain across, it would have to stand up."""
    shop = replace(RACK, sheets=(Sheet(material="S235", t=4.0, length=120.0, width=59.0),))
    piece = Folded(name="strap", base=STRAP.wall, t=4.0, flanges=(), grain=grain)
    [said] = [f.sentence for f in flats(Part(name="p", pieces=(piece,)), shop).findings if f.code == "layout"]
    assert said.startswith("the blank, 90 x 40 mm, lies on no sheet with 10 mm round it")
    assert said.endswith("round it" if grain is None else "round it and its grain along the sheet")


def test_a_cutters_sheet_has_every_edge_at_true_size_and_apart(tmp_path: Path) -> None:
    found = flats(PART, RACK)
    files = write(found, tmp_path / "out", name="job")
    sheets = [f"job-sheet-{told}.{suffix}" for told in ("1-S235-4mm", "2-S235-6mm") for suffix in ("dxf", "svg")]
    assert files == ("job-sheets.pdf", *sheets, "facts.json")
    assert write(found, tmp_path / "mine", name="my job")[0] == "my-job-sheets.pdf"
    doc = ezdxf.readfile(tmp_path / "out" / files[1])
    cut = ElementTree.parse(tmp_path / "out" / files[2]).getroot().findall(".//{*}g[@id='cut']/{*}path")
    assert len(cut) == len(doc.modelspace().query('*[layer=="CUT"]')) > 0
    assert doc.header["$INSUNITS"] == 4
    cut = list(doc.modelspace().query('*[layer=="CUT"]'))
    pieces = [STRAP, replace(STRAP, name="strap_2"), channel(), tray()]
    rings = [blank_of(piece).cut for piece in pieces]
    assert len(cut) == sum(1 + len(region.holes) for region in rings)
    outer = sorted((enclosed(e) for e in cut), reverse=True)
    assert sum(outer) == pytest.approx(
        sum(region.outer.area + sum(hole.area for hole in region.holes) for region in rings), rel=1e-6
    )
    assert {e.dxf.layer for e in doc.modelspace()} == {"CUT", "BEND", "BEND_EDGE", "CENTRE_POP", "MARK", "TEXT"}
    said = [e.dxf.text for e in doc.modelspace().query("TEXT")]
    assert {"1", "2", "3", "4"} <= set(said)
    assert any(line.startswith("job, for rack: S235, 4 mm, 600 x 400") for line in said)
    boxes = [one.rings[0].bounds for layout in found.layouts[:1] for one in layout.blanks]
    assert not any(touches(a, b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def test_the_picture_names_every_blank_and_says_it_is_none_to_measure(tmp_path: Path) -> None:
    found = flats(PART, RACK)
    write(found, tmp_path / "out", name="job", paper="A3")
    pages = PdfReader(tmp_path / "out" / "job-sheets.pdf").pages
    assert len(pages) == 2
    text = pages[0].extract_text()
    for said in ("Not to scale", "strap_2", "tray", "would do", "to 400", "rack"):
        assert said in text, said
    assert "Not stated by you" not in text


def test_same_blanks_same_bytes(tmp_path: Path) -> None:
    for name in ("a", "b"):
        write(flats(PART, RACK), tmp_path / name, name="job")
    for path in sorted((tmp_path / "a").iterdir()):
        assert path.read_bytes() == (tmp_path / "b" / path.name).read_bytes(), path.name


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop.toml").write_text(SHOP, "utf-8")
    return tmp_path


def test_blanks_of_a_recipe_are_told_and_written(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["flat", "ears", "--shop", "shop.toml", "--t", "6"]) == 0
    out = capsys.readouterr().out
    row = next(line.split() for line in out.splitlines() if line.startswith("ear_front"))
    ears = recipe("ears")
    ear = ears.build(ears.Params(t=6.0)).pieces[0]
    assert isinstance(ear, Plate)
    size = [f"{blank_of(ear).length:.1f}", "x", f"{blank_of(ear).width:.1f}"]
    assert row == ["ear_front,", "ear_rear", "2", *size, "S235", "6", f"{mass.of(ear).kg:.3f}", "1"]
    assert "1000 x 500" in out
    facts = json.loads((here / "out" / "ears_flat" / "facts.json").read_text("utf-8"))
    assert facts["blanks"][0]["count"] == 2
    assert set(facts["sha256"]) == set(facts["files"]) - {"facts.json"}
    assert main(["flat", "ears", "--shop", "shop.toml", "--t", "6", "--no-files", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["blanks"] == facts["blanks"]
    assert told["files"] == []


def test_blanks_of_a_bay_go_by_part_and_piece(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bay = 'format = 1\nname = "b"\nshop = "shop.toml"\n' + "".join(
        f'[[part]]\nname = "{name}"\nrecipe = "cap_plate"\nt = 4\nat = [0, 0, {z}]\n'
        for name, z in (("near", 0), ("far", 99))
    )
    (here / "b.toml").write_text(bay, "utf-8")
    assert main(["flat", "b.toml", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [(one["pieces"], one["count"]) for one in told["blanks"]] == [(["near/plate", "far/plate"], 2)]
    assert told["shop"] == "test shop"
    assert (told["sheets"][0]["length_mm"], told["sheets"][0]["width_mm"]) == (1000, 500)
    assert (here / "out" / "b_flat" / "b-sheets.pdf").exists()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((), "Missing argument"),
        (("nowhere.toml",), "no such file"),
        (("cap_plate", "--paper", "A9"), '--paper = "A9"'),
        (("cap_plate", "--t"), "--t = nothing"),
        (("cap_plate", "--shop", "gone.toml"), "gone.toml: no such file"),
    ],
)
def test_what_is_wrong_is_one_clear_line(
    arguments: tuple[str, ...], said: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["flat", *arguments]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert "Traceback" not in err
    assert not (here / "out").exists()


def test_a_part_without_plate_says_so(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["flat", "cup", "--no-files"]) == 0
    assert "no blanks: nothing here is cut from plate" in capsys.readouterr().out


def test_a_wrong_value_paper_and_tolerance_are_told_together(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["flat", "ears", "--t", "x", "--paper", "Q", "--general-tolerance", "foo", "--no-files"]) == 2
    said = capsys.readouterr().err
    assert all(name in said for name in ('--paper = "Q"', '--general-tolerance = "foo"', 't = "x"'))
