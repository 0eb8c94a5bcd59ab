"""brackets make: what it writes to cut by, for whose shop, and what it says when that cannot be."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader
from test_dxf import enclosed
from test_paper import bars

from brackets.app.cli.app import main

SHOP = """
format = 1
name = "test shop"
sample = true
[printer]
paper = "Letter"
bar_x = 99.5
bar_y = 100.5
[brake]
length = 800
[[coupon]]
material = "S235"
t = 6
radius = 8
angle = 90
allowance = 17.25
[[sheet]]
material = "S235"
t = [4, 6]
length = 1000
width = 500
"""
BENT = ("make", "base_plate", "--flanges", "1", "--shop", "shop.toml")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A base plate with a bent end, made for the test shop."""
    folder = tmp_path_factory.mktemp("make")
    (folder / "shop.toml").write_text(SHOP, "utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        assert main([*BENT, "--flange", "30", "--revision", "C"]) == 0
    return folder / "out" / "base_plate"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop.toml").write_text(SHOP, "utf-8")
    return tmp_path


def facts(made: Path) -> dict[str, object]:
    return json.loads((made / "facts.json").read_text("utf-8"))  # type: ignore[no-any-return]


def test_paper_and_cut_files_stand_beside_the_solid(made: Path) -> None:
    cut = ["base_plate.pdf", "base_plate-base.dxf", "base_plate-base.svg"]
    files = facts(made)["files"]
    assert files == ["base_plate.step", "base_plate.stl", "base_plate.3mf", "base_plate.glb", *cut, "facts.json"]
    assert set(facts(made)["sha256"]) == set(files) - {"facts.json"}  # type: ignore[call-overload, arg-type]


def test_a_coupon_makes_the_blank_and_says_so(made: Path) -> None:
    [piece] = facts(made)["pieces"]  # type: ignore[misc]
    [bend] = piece["flat"]["bends"]
    assert bend["allowance_mm"] == pytest.approx(17.25)
    assert "17.25 mm measured" in bend["k_from"]
    # Flat of the plate, its outside length and height less one setback each, and the bend between them.
    assert piece["flat"]["length_mm"] == pytest.approx(120 + 30 - 2 * (8 + 6) + 17.25)
    assert piece["mass_kg"] == pytest.approx(piece["flat"]["area_mm2"] * 6 * 7.85e-6, rel=1e-9)
    text = "".join(page.extract_text() for page in PdfReader(made / "base_plate.pdf").pages)
    assert "coupon S235 t 6 r 8 90 deg" in text
    assert "DIN 6935" not in text.split("Findings")[0]


def test_the_json_and_the_dxf_have_the_same_blank(made: Path) -> None:
    [piece] = facts(made)["pieces"]  # type: ignore[misc]
    space = ezdxf.readfile(made / "base_plate-base.dxf").modelspace()
    areas = sorted((enclosed(e) for e in space.query('*[layer=="CUT"]')), reverse=True)
    assert areas[0] - sum(areas[1:]) == pytest.approx(piece["flat"]["area_mm2"], rel=1e-6)
    assert piece["flat"]["openings"] == []
    assert len(piece["flat"]["outline"]) >= 4
    assert all(set(corner) == {"x_mm", "y_mm", "sweep_deg"} for corner in piece["flat"]["outline"])


def test_the_sheet_says_whose_it_is(made: Path) -> None:
    pages = PdfReader(made / "base_plate.pdf").pages
    text = " ".join("".join(page.extract_text() for page in pages).split())
    for said in ("Stated by you: flanges 1", "Shop: test shop", "width 60 mm", "cut 1", "rev C, values"):
        assert said in text, said
    assert facts(made)["pieces"][0]["hash"] in text  # type: ignore[index]
    assert round(float(pages[0].mediabox.width) * 25.4 / 72, 1) == 215.9


def test_every_wrong_option_is_named_with_the_wrong_values(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["make", "gusset", "--paper", "A5", "--t", "99", "--bare", "ft"]) == 2
    err = capsys.readouterr().err.splitlines()
    assert err[0] == '--paper = "A5", must be A4, A3, Letter: paper of the templates'
    assert err[1].startswith('--bare = "ft"')
    assert err[2].startswith("t = 99")
    assert len(err) == 3


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (None, "none.toml: no such file, must be a shop profile (TOML)"),
        ('format = 1\nname = "x"\n[brake]\nlength = 1\n[[coupon]]\nt = 0\n', "coupon 1: radius"),
        ("[[", "is not TOML"),
    ],
)
def test_a_shop_that_cannot_be_read_is_one_clear_message(
    written: str | None, said: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if written is not None:
        (here / "none.toml").write_text(written, "utf-8")
    assert main(["make", "gusset", "--shop", "none.toml"]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert "Traceback" not in err
    assert not (here / "out").exists()


def test_what_these_tools_cannot_make_stops(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop = Path("shop.toml")
    shop.write_text(SHOP + "[[die]]\nv = 50\nthin = 5\nthick = 7\nflange = 35\nradius = 8\n", "utf-8")
    assert main([*BENT, "--no-files", "--json", "--flange", "30"]) == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    [stop] = [f for f in found if f["level"] == "stop"]
    assert (stop["code"], stop["value"], stop["limit"]) == ("flange", pytest.approx(30.0), 35)
    assert "test shop" in stop["source"]
    assert main([*BENT, "--no-files", "--json", "--flange", "36"]) == 0


def test_what_is_not_on_the_rack_is_a_caution_with_the_nearest(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["make", "gusset", "--t", "5", "--shop", "shop.toml", "--no-files"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "S235 5 mm is not on the rack; nearest S235 there: 4, 6 mm [shop profile: test shop]" in out


def test_the_screen_says_for_whose_tools_it_is_and_what_it_is_cut_from(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["make", "cap_plate", "--no-files"]) == 0
    out = capsys.readouterr().out
    assert "SAMPLE shop (invented); give your own with --shop" in out
    assert "plate 3: 57.0 x 37.0" in out


def test_bars_are_printed_longer_by_what_the_shops_printer_makes_shorter(made: Path) -> None:
    """The test shop's printer made 99.5 and 100.5 mm of 100."""
    for page in PdfReader(made / "base_plate.pdf").pages:
        assert bars(page) == pytest.approx((100.0 / 0.995, 100.0 / 1.005), rel=1e-4)
