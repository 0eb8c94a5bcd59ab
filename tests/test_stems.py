"""File names that every disk takes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackets.app.cli import app
from brackets.app.cli.app import main
from brackets.library.recipe import shipped
from brackets.output.folder import DEVICES, LONGEST, result_folder, stem, unique_stems

NAMES = {
    "../evil": "evil",
    "/etc/passwd": "etc-passwd",
    "C:\\x": "C--x",
    "CON": "CON_",
    "con.step": "con_.step",
    "a:b": "a-b",
    "": "part",
    "..": "part",
    "-rf": "rf",
    "trailing.": "trailing",
    "Träger": "Tr-ger",
    "x" * 200: "x" * LONGEST,
    "left_ear": "left_ear",
}


@pytest.mark.parametrize("name", NAMES)
def test_a_name_becomes_one_that_every_disk_takes(name: str) -> None:
    assert stem(name) == NAMES[name]


@pytest.mark.parametrize(
    ("name", "kind", "folder"),
    [
        ("mein hof", "", "mein-hof"),
        ("mein hof", "mockup", "mein-hof_mockup"),
        ("CON", "hang", "CON__hang"),
        ("x" * 200, "jig", "x" * LONGEST + "_jig"),
        ("Höfe", "", "Höfe"),
        ("Ho\u0308fe", "", "Höfe"),
        ("мост 2", "fit", "мост-2_fit"),
        ("日本" * 60, "", "日本" * 20),
        ("a/b:c*?", "", "a-b-c--"),
        ("... ", "", "part"),
    ],
)
def test_results_go_into_a_folder_that_every_disk_takes(name: str, kind: str, folder: str) -> None:
    assert result_folder(name, kind) == Path("out", folder)


def test_every_command_asks_for_the_folder_of_its_results_in_one_place() -> None:
    sources = {path.name: path.read_text("utf-8") for path in Path(app.__file__).parent.glob("*.py")}
    assert [name for name, text in sources.items() if 'Path("out' in text] == []
    asking = {name for name, text in sources.items() if "result_folder(" in text}
    made = ("card", "fit", "flat", "hang", "jig", "make", "measure", "mockup", "stations")
    assert asking == {*(f"{verb}_cmd.py" for verb in made), "hands_view.py"}


def test_a_command_writes_into_that_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "mein hof.toml").write_bytes((shipped() / "readings.toml").read_bytes())
    assert main(["measure", "mein hof.toml"]) in (0, 1)
    assert [path.name for path in (tmp_path / "out").iterdir()] == ["mein-hof"]
    assert "out/mein-hof: bosses.toml" in capsys.readouterr().out.replace("\\", "/")


@given(st.text(max_size=120))
def test_no_folder_of_results_is_a_path_or_too_long(name: str) -> None:
    made = result_folder(name, "stations").name
    assert result_folder(name, "stations").parent == Path("out")
    assert not set(made) & set('<>:"/\\|?*\0 ')
    assert not made.startswith(".")
    assert result_folder(name).name.split(".")[0].lower() not in DEVICES
    assert len(made.encode()) <= 143


@given(st.text(max_size=120))
def test_no_name_leaves_its_folder_or_is_a_device(name: str) -> None:
    made = stem(name)
    assert re.fullmatch(r"[A-Za-z0-9_+][A-Za-z0-9_.+-]*", made)
    assert not made.endswith(".")
    assert made.split(".")[0].lower() not in DEVICES


def test_names_that_differ_in_capitals_or_lost_letters_stay_apart() -> None:
    taken = {"assembly"}
    assert unique_stems(["P", "p", "a/b", "A b", "assembly"], taken) == ("P", "p-2", "a-b", "A-b-2", "assembly-2")
    assert taken == {"assembly", "p", "p-2", "a-b", "a-b-2", "assembly-2"}


@given(st.lists(st.text(alphabet="aAbB/.: ", max_size=4), max_size=12))
def test_stems_are_one_each_on_a_disk_that_knows_no_capitals(names: list[str]) -> None:
    made = unique_stems(names, set())
    assert len({one.lower() for one in made}) == len(names)
