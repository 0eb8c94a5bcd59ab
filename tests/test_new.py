"""`brackets new`: each start runs as it is written, says that it is invented, and nothing is written over."""

from __future__ import annotations

import json
import os
import shlex
import tomllib
from pathlib import Path
from typing import Any

import pytest
from json_schema import problems

from brackets.app.cli.app import main
from brackets.app.command_line import command_line
from brackets.app.gallery.files import KINDS, STARTS, start


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(capsys: pytest.CaptureFixture[str], kind: str, file: str, *more: str) -> dict[str, Any]:
    """Writes a start, runs the command that was printed with it, and gives what that says for scripts."""
    assert main(["new", kind, file]) == 0
    said = capsys.readouterr().out
    assert "ALL INVENTED" in said
    command = said.strip().split("run it: brackets ")[1]
    assert main([*command.split(), *more, "--json"]) == 0, capsys.readouterr().err
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


@pytest.mark.usefixtures("here")
def test_a_new_bay_fits(capsys: pytest.CaptureFixture[str]) -> None:
    told = run(capsys, "bay", "mine.toml")
    assert [part["name"] for part in told["parts"]] == ["left_ears", "left_arm"]
    assert not [finding for finding in told["findings"] if finding["level"] == "stop"]


@pytest.mark.usefixtures("here")
def test_the_powertrain_of_a_new_bay_hangs(capsys: pytest.CaptureFixture[str]) -> None:
    """90 kg 230 mm from the left mount and from the line of the two on the right: half of it, a quarter each. What
    the rubber turns by takes less than one part in a thousand."""
    assert main(["new", "bay", "mine.toml"]) == 0
    capsys.readouterr()
    assert main(["hang", "mine.toml", "--no-files", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert not [finding for finding in told["findings"] if finding["level"] == "stop"]
    carried = [mount["force_n"][2] for mount in told["cases"][0]["mounts"]]
    assert carried == pytest.approx([441.3, 220.65, 220.65], rel=1e-3)


@pytest.mark.usefixtures("here")
def test_a_new_recipe_is_made(capsys: pytest.CaptureFixture[str]) -> None:
    told = run(capsys, "recipe", "mine.py", "--no-files")
    assert told["recipe"] == "mine"
    assert told["values"]["pitch"] == 90
    assert told["findings"] == []
    assert main(["make", "mine.py", "--bolt", "M24", "--no-files"]) == 2
    assert capsys.readouterr().err == "bolt = 24 mm, 20 mm or less: half the width of the plate\n"
    assert main(["make", "mine.py", "--pitch", "130", "--no-files", "--json"]) == 0
    assert [finding["code"] for finding in json.loads(capsys.readouterr().out)["findings"]] == ["slender"]


@pytest.mark.usefixtures("here")
def test_a_new_shop_judges(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "shop", "mine.toml", "--no-files")["shop"] == "my shop (invented)"


@pytest.mark.usefixtures("here")
def test_new_readings_are_worked_out(capsys: pytest.CaptureFixture[str]) -> None:
    told = run(capsys, "readings", "mine.toml")
    assert [hole["name"] for hole in told["holes"]] == ["A", "B", "C", "D"]
    assert told["stops"] == []


@pytest.mark.usefixtures("here")
def test_a_new_family_is_worked_out(capsys: pytest.CaptureFixture[str]) -> None:
    told = run(capsys, "family", "mine.toml", "--no-files")
    assert [row["values"]["ear_r"] for row in told["rows"]] == [26, 26, 28, 26, 28]
    assert told["counts"] == {"fine": 3, "caution": 2, "STOP": 0, "refused": 0, "failed": 0}


@pytest.mark.parametrize(
    ("kind", "name", "verb", "said"),
    [
        ("bay", "my bay.toml", "fit", "a bay to start from"),
        ("bay", "it's $5.toml", "fit", "a bay to start from"),
        ("readings", "höhen.toml", "measure", "readings to start from"),
        ("readings", "plain.toml", "measure", "readings to start from"),
    ],
)
@pytest.mark.usefixtures("here")
def test_the_command_that_is_told_can_be_typed(
    capsys: pytest.CaptureFixture[str], kind: str, name: str, verb: str, said: str
) -> None:
    assert main(["new", kind, name]) == 0
    command = command_line(["brackets", verb, name])
    assert capsys.readouterr().out == f"{name}: {said}, ALL INVENTED; run it: {command}\n"
    assert os.name == "nt" or shlex.split(command) == ["brackets", verb, name]


@pytest.mark.parametrize("kind", KINDS)
def test_a_start_meets_the_schema_of_its_file(kind: str) -> None:
    assert list(problems(KINDS[kind].json_schema(), tomllib.loads(start(kind)))) == []


@pytest.mark.parametrize("kind", STARTS)
def test_a_start_says_on_top_that_it_is_invented(kind: str) -> None:
    assert "INVENTED" in start(kind).splitlines()[0]


@pytest.mark.parametrize("kind", STARTS)
def test_what_is_there_is_left_alone(kind: str, here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = here / f"mine{STARTS[kind][0]}"
    file.write_text("mine", "utf-8")
    assert main(["new", kind, file.name]) == 2
    assert capsys.readouterr().err == f'file = "{file.name}", must not be there yet: nothing is written over\n'
    assert file.read_text("utf-8") == "mine"
    assert [each.name for each in here.iterdir()] == [file.name]


def test_a_link_to_nowhere_is_left_alone_too(here: Path) -> None:
    (here / "mine.toml").symlink_to(here / "gone.toml")
    assert main(["new", "bay", "mine.toml"]) == 2
    assert not (here / "gone.toml").exists()


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["boy", "a.toml"], 'kind = "boy", must be one of bay, recipe, shop, readings, family (nearest: bay): '),
        (["bay", "a.txt"], 'file = "a.txt", must end in .toml: a bay to start from'),
        (["recipe", "a.toml"], 'file = "a.toml", must end in .py: a recipe to start from'),
        (["bay", "gone/a.toml"], "No such file or directory, nothing written"),
    ],
)
def test_what_is_wrong_is_one_line(
    words: list[str], line: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", *words]) == 2
    said = capsys.readouterr()
    assert line in said.err
    assert said.err.count("\n") == 1
    assert list(here.iterdir()) == []
