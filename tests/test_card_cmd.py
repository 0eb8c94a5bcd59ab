"""brackets card: files, figures, statuses, and what it refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from brackets.app.cli.app import main

BAY = """
format = 1
keep_out = [
    { name = "tank", box = { from = [-300, -100, 0], to = [-200, 100, 60] } },
    { name = "sheet", box = { from = [0, -200, 0], to = [2, 200, 150] } },
    { name = "rail", rail = { from = [0, 200, 100], to = [-250, 200, 100], size = "40x30" } },
    { name = "pipe", tube = { from = [-60, -100, 150], to = [-60, 100, 150], od = 20 } },
]
gap.fixed = { rest = 12, moved = 5, why = "a finger" }
part = [
    { name = "left", recipe = "bracket_tray", side = "chassis", at = [-31, 0, 60], up = [1, 0, 0], width = 62 },
    { name = "right", recipe = "gusset", side = "chassis", at = [0, 300, 0] },
]
"""


STRAP = '''"""Strap: a flat bar with two holes."""
from dataclasses import dataclass
from typing import Annotated
from brackets import Checked, Part, bolt_hole, flat_part, mm, plate, slot

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    width: Annotated[float, mm(20, 80, "width of the bar")] = 40.0

def build(p: Params) -> Part:
    ends = (-40.0, 0.0), (40.0, 0.0)
    holes = [bolt_hole(end, "M10") for end in ends]
    return flat_part(plate(slot(*ends, p.width), 6.0, openings=holes), name="strap")
'''


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    (tmp_path / "bay.toml").write_text(BAY, "utf-8")
    return tmp_path


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(list(words))
    out, err = capsys.readouterr()
    return status, " ".join(out.split()), err


def test_a_recipe_comes_as_one_file_with_its_facts(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "card", "bracket_tray", "--card", "1.5", "--width", "80")
    assert (status, err) == (0, "")
    assert "bracket_tray tray folded 1" in out
    assert "card 1.5 thick, a fold adds 0.75 to a leg" in out
    assert "FIT CHECK ONLY, NEVER LOAD IT." in out
    folder = here / "out" / "bracket_tray_card"
    assert sorted(path.name for path in folder.iterdir()) == ["bracket_tray-card.pdf", "facts.json"]
    facts = json.loads((folder / "facts.json").read_text("utf-8"))
    assert (facts["card_t_mm"], facts["crease_mm"], facts["sheet_mm"]) == (1.5, 0.75, None)
    [piece] = facts["mock_ups"][0]["pieces"]
    assert piece["outside_mm"][1] == pytest.approx(80.0)
    told = "".join(page.extract_text() for page in PdfReader(folder / "bracket_tray-card.pdf").pages)
    assert "Stated by you: width 80 mm." in told


def test_what_stops_the_part_stops_its_card(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A hole of 11 in a bar 20 wide: 10 to its edge, and EN 1993-1-8 asks 1.2 x 11."""
    (here / "strap.py").write_text(STRAP, "utf-8")
    status, out, _ = run(capsys, "card", "./strap.py", "--width", "20")
    assert status == 1
    assert "STOP: do not cut: 2 stops" in out
    for page in PdfReader(here / "out" / "strap_card" / "strap-card.pdf").pages:
        assert "STOP: do not cut" in page.extract_text()
    assert run(capsys, "card", "./strap.py", "--no-files")[0] == 0


def test_a_bay_comes_part_by_part_and_with_its_keep_outs(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "card", "bay.toml", "--keep-outs", "--into", "cards")
    assert (status, err) == (0, "")
    names = sorted(path.name for path in (here / "cards").iterdir())
    assert names == ["facts.json", "keep-outs-card.pdf", "left-card.pdf", "right-card.pdf"]
    facts = json.loads((here / "cards" / "facts.json").read_text("utf-8"))
    made = {p["pieces"][0]: (p["made"], p["outside_mm"]) for p in facts["mock_ups"][2]["pieces"]}
    assert made["tank"] == ("folded", pytest.approx([200.0, 100.0, 60.0]))
    assert made["sheet"] == ("stacked", pytest.approx([400.0, 150.0, 2.0]))
    assert made["rail"] == ("folded", pytest.approx([250.0, 40.0, 30.0]))
    assert made["pipe"] == ("rolled", pytest.approx([20.0, 20.0, 200.0]))
    assert "left tray folded 1" in out


def test_one_part_of_a_bay_alone(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "card", "bay.toml", "--part", "right", "--no-files", "--json")
    assert status == 0
    assert [one["name"] for one in json.loads(out)["mock_ups"]] == ["right"]


def test_everything_wrong_is_said_at_once(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    wrong = ("--card", "30", "--crease", "x", "--sheet", "3", "--width", "1", "--part", "a")
    status, out, err = run(capsys, "card", "bracket_tray", *wrong)
    assert (status, out) == (2, "")
    for name in ("--card = 30 mm", "--crease = ", "--sheet = ", "width = 1 mm", "--part, --keep-outs, --bushes"):
        assert name in err
    assert run(capsys, "card", "bay.toml", "--part", "lefft")[2].startswith('--part = "lefft"')
    assert "must be in the bay file" in run(capsys, "card", "bay.toml", "--width", "80")[2]
    assert "--crease = 0.9 mm" in run(capsys, "card", "bracket_tray", "--card", "0.8", "--crease", "0.9")[2]
    assert not (here / "out").exists()


def test_lengths_may_be_typed_and_read_in_inches(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "card", "bracket_tray", "--card", "1/16in", "--bare", "in", "--no-files")
    assert status == 0
    assert "card 0.062 thick" in out or "card 0.063 thick" in out


def test_the_same_words_give_the_same_bytes(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for folder in ("one", "two"):
        assert run(capsys, "card", "cup_on_plate", "--into", folder)[0] == 0
    for path in (here / "one").iterdir():
        assert path.read_bytes() == (here / "two" / path.name).read_bytes()
