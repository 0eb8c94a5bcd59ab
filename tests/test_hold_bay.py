"""`brackets hold BAY.toml`, and strength in a fit: screen, scripts, paper and page say the same of Tern's parts."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from ears_bay import ENGINE, THREE_MOUNTS
from json_schema import problems

from brackets import fit, read_bay
from brackets.app.cli.app import main
from brackets.app.cli.hold_bay_view import strength_text
from brackets.app.preview import held_tables
from brackets.bay import held_rows
from brackets.bay.held_parts import NOT_UPRIGHT, BayHeld, held_bay
from brackets.bay.held_sheet import strength_sheet
from brackets.bay.report.worst import headline
from brackets.bay.stand.placed import placed_bay
from brackets.core.errors import BadFile
from brackets.drawing.record import Title
from brackets.library.recipe import shipped
from brackets.output import held_lists
from brackets.output.held_schemas import strength as schema

HOLD = """
[hold]
load_factor = 1.35
own_factor = 2.5
grade = "8.8"
casting = 160
engaged = 18
press = { least = 0.02, most = 0.06, shell = 41, friction = 0.12 }
stress_range = 80
least_stiffness = 10
"""


@pytest.fixture(scope="module")
def tern(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Tern under a rule of its own, which some places exceed."""
    folder = tmp_path_factory.mktemp("tern")
    before, _, rest = (shipped() / "tern.toml").read_text("utf-8").partition("\n[hold]\n")
    after = rest.partition("\n\n")[2]
    assert "[[contact]]" in after
    (folder / "tern.toml").write_text(f"{before}{HOLD}\n{after}", "utf-8")
    (folder / "tern_engine.stl").write_bytes((shipped() / "tern_engine.stl").read_bytes())
    return folder / "tern.toml"


@pytest.fixture(scope="module")
def held(tern: Path) -> BayHeld:
    return held_bay(placed_bay(read_bay(tern)))


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(["hold", *words])
    out, err = capsys.readouterr()
    return status, " ".join(out.split()), " ".join(err.split())


def test_the_screen_has_the_worst_first_and_claims_no_more_than_the_rule_entered(
    capsys: pytest.CaptureFixture[str], tern: Path, monkeypatch: pytest.MonkeyPatch, held: BayHeld
) -> None:
    monkeypatch.setenv("COLUMNS", "150")
    status, out, _ = run(capsys, str(tern))
    assert status == 1
    assert out.startswith("Tern (invented) STOP: do not cut:")
    assert " ".join(held_rows.said(held).split()) in out
    assert "fatigue is not computed: the detail category is entered by whoever signs" in out
    assert held_rows.BLANK in out
    for word in ("safe", "complies", "certified", "approved"):
        assert word not in out.lower()
    rows = held_rows.check_rows(held)
    assert [row.check.worst for row in rows] == sorted((row.check.worst for row in rows), reverse=True)
    assert len({(row.part, row.place, row.check.clause) for row in rows}) == len(rows)


def test_for_scripts_it_has_the_same_as_its_schema_says(
    capsys: pytest.CaptureFixture[str], tern: Path, held: BayHeld
) -> None:
    assert main(["hold", str(tern), "--json"]) == 1
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    keys = held_rows.record(held)
    assert list(problems(schema(), {key: told[key] for key in keys})) == []
    assert told["checks"][0]["utilisation"] == pytest.approx(held_rows.check_rows(held)[0].check.utilisation)
    assert {case["name"] for case in told["cases"]} >= {"weight", "bump", "first gear"}
    assert all(weld["detail_category"] is None for weld in told["welds"])
    assert told["said"] == held_rows.said(held)


def test_without_load_cases_it_asks_for_them_and_claims_nothing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "bay.toml").write_text(BUSHES, "utf-8")
    status, out, _ = run(capsys, str(tmp_path / "bay.toml"))
    assert status == 2
    assert out.startswith("bay strength: no load case is typed: nothing is said of strength; type what")
    assert main(["hold", str(tmp_path / "bay.toml"), "--json"]) == 2
    told = json.loads(capsys.readouterr().out)
    assert (told["verdict"], told["checks"], len(told["asks"])) == ("nothing is said", [], 1)


def test_what_the_bay_says_is_not_typed_beside_it(capsys: pytest.CaptureFixture[str], tern: Path) -> None:
    status, _, err = run(capsys, str(tern), "--load-factor", "2", "--load", "bush: 0 0 1kN up", "--t", "5")
    assert status == 2
    for option in ("--load-factor", "--load", "--t"):
        assert f"{option} = given with {tern}, must be in the bay file" in err


def test_a_wrong_value_of_hold_is_said_with_what_is_allowed(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = f'{BUSHES}[hold]\nload_factor = 0.5\nsurfaces = "A"\njoints = "loose"\n'
    (tmp_path / "bay.toml").write_text(text, "utf-8")
    status, _, err = run(capsys, str(tmp_path / "bay.toml"))
    assert status == 2
    for line in ("load_factor = 0.5, must be 1 to 5", "surfaces", "joints = loose, must be one of rigid, pinned"):
        assert line in err.replace('"', "")


def test_the_sheet_of_a_part_has_its_checks_its_clauses_and_room_to_sign(held: BayHeld) -> None:
    sheet = strength_sheet(held, "fork", Title(part="fork"))
    assert sheet is not None
    checks, clauses, *rest = sheet.tables
    mine = [row for row in held_rows.check_rows(held) if row.part == "fork"]
    assert [row[0] for row in checks.rows] == [row.cells[0] for row in mine[:40]]
    named = {row[0]: row[1:] for row in clauses.rows}
    assert [named[row[2]] for row in checks.rows] == [(row.check.clause, row.check.formula) for row in mine[:40]]
    welds = next(table for table in rest if table.heading == "Stress ranges of the welds")
    assert welds.columns[-2:] == ("detail category", "signed")
    assert all(row[-2:] == ("", "") for row in welds.rows)
    assert dict(sheet.facts)["strength"].startswith(f"meets the rule you entered in all {len(mine)} checks")
    assert strength_sheet(held, "nobody", Title(part="nobody")) is None


def test_the_page_and_the_lists_have_the_same_rows(held: BayHeld) -> None:
    told = {table["key"]: table for table in held_tables.tables(held)}
    rows = held_rows.check_rows(held)
    assert told["strength"]["title"] == "Strength by hand"
    assert [row["level"] for row in told["strength"]["rows"]] == ["" if row.meets else "stop" for row in rows]
    assert {row.meets for row in rows} == {True, False}
    assert len(told["welds"]["rows"]) == len(held_rows.weld_rows(held))
    assert "not checked" in told
    assert strength_text(held, most=2).count("more checks") == 1


def test_under_loads_that_turn_the_powertrain_over_no_check_is_told_as_met(
    capsys: pytest.CaptureFixture[str], tern: Path
) -> None:
    """Screen, scripts, paper, page and lists alike: what the loads are is not known, so no clause is asked."""
    text, of_kick = tern.read_text("utf-8"), "force = [0, 0, -800]"
    assert of_kick in text
    over = tern.with_name("over.toml")
    over.write_text(text.replace(of_kick, "force = [0, 0, -40000]"), "utf-8")
    status, out, _ = run(capsys, str(over))
    assert status == 1
    assert out.startswith("Tern (invented) STOP: do not cut: 1 stop strength: not judged, as the mounts do not")
    assert f"fork {NOT_UPRIGHT}" in out
    assert main(["hold", str(over), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert (told["checks"], told["welds"], [one["code"] for one in told["findings"]]) == ([], [], ["small turn"])
    held = held_bay(placed_bay(read_bay(over)))
    sheet = strength_sheet(held, "fork", Title(part="fork"))
    assert sheet is not None
    assert dict(sheet.facts)["strength"] == "nothing was checked; 1 not checked"
    pages = repr((sheet, list(held_tables.tables(held)), held_rows.record(held), out))
    assert "meets" not in pages
    assert "exceeds" not in pages
    assert [row["cells"] for table in held_tables.tables(held) for row in table["rows"]] == [
        [part.name, "", NOT_UPRIGHT] for part in held.parts
    ]


BUSHES = f'format = 1\nname = "bay"\n{ENGINE}{THREE_MOUNTS}'
CASE = '[[load_case]]\nname = "bump"\nfelt = [0, 0, -2]\nwhy = "invented"\n'


def test_a_fit_says_of_strength_what_was_asked(tmp_path: Path) -> None:
    """Nothing without [hold]; with it what lacks, or what came out, in its verdict and for scripts."""
    file = tmp_path / "bay.toml"
    for text, said in (
        (BUSHES + CASE, None),
        (BUSHES + "[hold]\n", "strength: no load case is typed"),
        (BUSHES + CASE + "[hold]\n", "strength: nothing was checked"),
    ):
        file.write_text(text, "utf-8")
        done = fit(read_bay(file))
        lines = [line for line in headline(done) if line.startswith("strength")]
        assert [line.startswith(said or "?") for line in lines] == [True] * (said is not None)
        assert list(held_lists.tables(done)) == []


def test_a_fit_of_a_bay_that_hangs_on_nothing_is_refused_with_why(tmp_path: Path) -> None:
    (tmp_path / "bay.toml").write_text("format = 1\n[hold]\n", "utf-8")
    with pytest.raises(BadFile, match="lump = none"):
        fit(read_bay(tmp_path / "bay.toml"))
