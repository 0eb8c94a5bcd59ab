"""A bay made with a shop's tools: named in its file or beside it, and what its parts are cut by."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader
from test_bay_reading import TOP
from test_make_cut import SHOP

from brackets.app.cli.app import main
from brackets.bay.file import read
from brackets.bay.stand.placed import placed_bay
from brackets.core.errors import BadFile

PLATE = """
[[part]]
name = "foot"
recipe = "base_plate"
at = [0, 0, 200]
flanges = 1
"""
DIE = "[[die]]\nv = 50\nthin = 5\nthick = 7\nflange = 45\nradius = 8\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "shops").mkdir()
    (tmp_path / "shops" / "mine.toml").write_text(SHOP + DIE, "utf-8")
    (tmp_path / "plain.toml").write_text(TOP + PLATE, "utf-8")
    (tmp_path / "bay.toml").write_text(TOP + 'shop = "shops/mine.toml"' + PLATE, "utf-8")
    return tmp_path


def codes(path: Path) -> list[tuple[str, str]]:
    [part] = placed_bay(read(path)).parts
    return [(finding.level, finding.code) for finding in part.findings]


def test_a_bay_without_a_shop_is_not_judged_against_tools_but_against_every_rule(here: Path) -> None:
    found = codes(here / "plain.toml")
    assert ("stop", "flange") not in found
    assert ("advice", "inside radius") in found


def test_the_shop_of_the_file_judges_and_its_coupon_bends(here: Path) -> None:
    assert ("stop", "flange") in codes(here / "bay.toml")
    [part] = placed_bay(read(here / "bay.toml")).parts
    [plain] = placed_bay(read(here / "plain.toml")).parts
    assert part.part.mass.kg > plain.part.mass.kg


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("shop = 5", "shop = 5, must be the name of a shop profile"),
        ('shop = "gone.toml"', 'shop = "gone.toml": no such file'),
        ('shop = "bad.toml"', 'shop = "bad.toml": brake: length'),
    ],
)
def test_a_shop_that_cannot_be_used_is_named_with_what_else_is_wrong(line: str, said: str, here: Path) -> None:
    (here / "bad.toml").write_text('format = 1\nname = "x"\n[brake]\nlength = 1\n', "utf-8")
    (here / "b.toml").write_text(f'{TOP}{line}\nunit = "ft"\n', "utf-8")
    with pytest.raises(BadFile) as raised:
        read(here / "b.toml")
    assert any(problem.startswith(said) for problem in raised.value.problems), raised.value.problems
    assert any(problem.startswith('unit = "ft"') for problem in raised.value.problems)


def test_fit_writes_what_every_part_is_cut_by(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", "plain.toml", "--shop", "shops/mine.toml", "--paper", "A3"]) == 1
    out = capsys.readouterr().out
    assert "STOP: do not cut: foot: base" in out
    assert "shop: test shop" in out
    facts = json.loads((here / "out" / "plain" / "facts.json").read_text("utf-8"))
    assert {"foot.pdf", "foot-base.dxf", "foot-base.svg"} <= set(facts["sha256"])
    assert facts["shop"] == "test shop"
    [bend] = facts["parts"][0]["pieces"][0]["flat"]["bends"]
    assert bend["allowance_mm"] == pytest.approx(17.25)
    pages = PdfReader(here / "out" / "plain" / "foot.pdf").pages
    assert round(float(pages[0].mediabox.width) * 25.4 / 72) == 297
    text = " ".join("".join(page.extract_text() for page in pages).split())
    assert "STOP" in text
    assert "coupon S235" in text
    assert "Stated by you: flanges 1" in text


def test_a_paper_nobody_has_is_refused_before_the_work(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", "plain.toml", "--paper", "A0"]) == 2
    assert '--paper = "A0", must be A4, A3, Letter' in capsys.readouterr().err
