"""`brackets hold RECIPE` at the screen and for scripts: what it says, what it asks for, what it refuses."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from brackets import InputError, SeatLoad, read_cases
from brackets.app.cli.app import main
from brackets.hold.load_text import read_load

FORK = ("fork", "--grade", "8.8")
BUMP = ("--load", "bush: 500 200 0.9kN bump")


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "110")


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(["hold", *words])
    out, err = capsys.readouterr()
    return status, out, err


def scripts(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    status, out, err = run(capsys, *words, "--json")
    assert status in (0, 1), err
    found: dict[str, Any] = json.loads(out)
    return found


def test_the_screen_says_what_is_most_used_and_what_is_not_checked(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, *FORK, *BUMP)
    assert status == 0
    first, second = out.splitlines()[:2]
    assert first == "fork"
    assert second.startswith("meets the rule you entered, 2 places not checked; most used: ")
    for words in (
        "checks, the most used first", "not checked, and why", "stiffness of the part at its seats",
        "how each is worked out", "assumed", "fatigue", "characteristic loads, counted as they are (load factor 1)",
        "gamma_M2 1.25 (EN 1993-1-8:2005 2.2, recommended)", "0.6 x tensile strength of the bolt",
    ):  # fmt: skip
        assert words in out
    assert not re.search(r"\bsafe|compl(y|ies)|certif|approved", out, re.IGNORECASE)


def test_the_softest_way_is_told_by_its_axis(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "ears", "--grade", "8.8", "--load", "bush: 0 0 0.2kN bump")
    assert status in (0, 1)
    assert re.search(r"^bush( +\d+){4}  z$", out, re.MULTILINE)


def test_scripts_get_every_check_with_its_clause(capsys: pytest.CaptureFixture[str]) -> None:
    found = scripts(capsys, *FORK, *BUMP, "--load", "bush: 0 0 -300 drop", "--own-factor", "1.5")
    assert found["cases"] == ["bump", "drop"]
    used = [max(row["utilisation"], row["own_utilisation"] or 0) for row in found["checks"]]
    assert used == sorted(used, reverse=True)
    assert used[0] == pytest.approx(found["worst"])
    for row in found["checks"]:
        assert row["clause"]
        assert row["formula"]
        assert row["limit"] > 0
        assert row["utilisation"] == pytest.approx(row["value"] / row["limit"])
    assert {row["case"] for row in found["checks"]} == {"bump", "drop"}
    assert {row["detail_category"] for row in found["weld_ranges"]} == {None}
    assert found["balance"] <= 1e-9
    assert {"place", "case", "at", "force", "moment"} == set(found["cuts"][0])
    assert found["stiffness"][0]["seat"] == "bush"


def test_1_where_the_rule_is_exceeded_or_nothing_was_checked(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, *FORK, "--load", "bush: 0 0 60kN crash")
    assert status == 1
    assert out.splitlines()[1].startswith("exceeds the rule you entered")
    assert "OVER" in out
    status, out, _ = run(capsys, "cup", "--load", "bush: 0 0 100 push")
    assert (status, out.splitlines()[1]) == (1, "nothing checked")
    assert "nothing in the record holds cup" in out


def test_without_a_load_nothing_is_claimed_and_the_seats_are_named(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "fork")
    assert (status, out) == (2, "")
    assert "--load = nothing, must be given" in err
    assert "its seats: bush, boss_1, boss_2" in err


def test_a_property_class_that_is_none_is_refused_with_all_else(capsys: pytest.CaptureFixture[str]) -> None:
    """It once said that the rule is met, the bolts not checked."""
    status, out, err = run(
        capsys, "fork", "--grade", "8.9", "--grade", "bush: 12", "--joints", "loose", "--load", "bush: 0 0 9 x"
    )
    assert (status, out) == (2, "")
    told = " ".join(err.split())
    for said in (
        "--grade = 8.9, must be 4.6, 5.6, 5.8, 8.8, 10.9 (EN 1993-1-8:2005 table 3.1): property class of the bolt",
        "--grade = 12, must be",
        "--joints = loose",
    ):
        assert said in told


def test_everything_that_is_wrong_is_said_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(
        capsys, "fork", "--t", "99", "--load", "bush: 1 2", "--counted", "maybe", "--gamma", "m9: 1.1",
        "--grade", "8.8", "--grade", "10.9", "--engaged", "20", "--press", "bush: 1", "--preload", "12 kg",
        "--joints", "loose",
    )  # fmt: skip
    assert (status, out) == (2, "")
    for words in (
        "t = 99 mm, must be", '--load = "bush: 1 2", must be', "--counted = maybe, must be characteristic or",
        "--gamma = m9, must be one of m0", "--grade = 8.8, 10.9, must be one for all bolts",
        '--engaged = "20", must be NAME: VALUE', '--press = "1", must be least, most and shell_id',
        "--preload = 12 kg", "--joints = loose, must be rigid or pinned",
    ):  # fmt: skip
        assert words in err.replace('"12 kg"', "12 kg"), words


def test_what_is_typed_is_what_it_is_judged_with(capsys: pytest.CaptureFixture[str]) -> None:
    words = ("--counted", "factored", "--gamma", "m2: 1.5", "--engaged", "boss_1: 20", "--engaged", "boss_2: 2cm",
             "--casting", "180", "--preload", "15kN", "--grade", "boss_1: 10.9")  # fmt: skip
    found = scripts(capsys, *FORK, *BUMP, *words)
    assert found["refused"] == []
    assert "factored loads, counted as they are: bump" in found["notes"]
    tension = {row["place"]: row for row in found["checks"] if "bolt in tension" in row["clause"]}
    assert tension["bolt boss_1"]["limit"] / tension["bolt boss_2"]["limit"] == pytest.approx(1000 / 800)
    assert "gamma_M2 1.5 (as typed)" in tension["bolt boss_2"]["factors"]
    clauses = " ".join(row["clause"] for row in found["checks"])
    assert "length of engagement" in clauses
    assert "3.9" in clauses


def test_a_round_seat_wants_to_know_what_it_is_on(capsys: pytest.CaptureFixture[str]) -> None:
    ears = ("ears", "--leg", "5", "--grade", "8.8", *BUMP)
    assert "onto_metal and onto_t = not typed" in run(capsys, *ears)[1]
    told = scripts(capsys, *ears, "--onto-metal", "S235", "--onto-t", "3")
    places = {row["place"] for row in told["checks"]}
    assert {"weld ear_front | foot", "wall of foot under ear_front"} <= places
    assert not told["refused"]


def test_a_bay_is_told_that_loads_are_typed_for_one_part(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(capsys, "bay.toml", *BUMP)
    assert status == 2
    assert "--load = given with bay.toml, must be in the bay file" in err


@pytest.mark.parametrize(
    ("text", "case", "load"),
    [
        ("bush: 0 0 2kN bump", "bump", SeatLoad("bush", (0, 0, 2000))),
        ("a/b: 1, -2 ,3", "load", SeatLoad("a/b", (1, -2, 3))),
        ("bush: 0 0 10 lbf 1 2 3 N m left", "left", SeatLoad("bush", (0, 0, 44.4822161526), (1, 2, 3000))),
        ("bush: 0 0 500 Nose dive", "Nose dive", SeatLoad("bush", (0, 0, 500))),
        ("bush: 1e3 +2 -.5 2g bump", "2g bump", SeatLoad("bush", (1000, 2, -0.5))),
    ],
)
def test_a_load_is_read(text: str, case: str, load: SeatLoad) -> None:
    name, found = read_load(text)
    assert (name, found.seat) == (case, load.seat)
    assert (*found.force, *found.moment) == pytest.approx((*load.force, *load.moment))


@pytest.mark.parametrize(
    "text", ["", "0 0 1 bump", "bush: 1 2", "bush: 1 2 3 4 up", ": 1 2 3", "bush: x y z", "bush: 1kg 0 0"]
)
def test_what_is_no_load_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="load"):
        read_load(text)


def test_loads_of_one_case_act_at_once_and_a_seat_once_in_each() -> None:
    both = read_cases(["a: 0 0 1 up", "b: 0 0 2 up", "a: 0 0 -1 down"], "factored")
    assert [(case.name, case.counted, [load.seat for load in case.loads]) for case in both] == [
        ("up", "factored", ["a", "b"]), ("down", "factored", ["a"]),
    ]  # fmt: skip
    with pytest.raises(InputError, match="must be given once in a case: a in up"):
        read_cases(["a: 0 0 1 up", "a: 0 0 2 up"])
