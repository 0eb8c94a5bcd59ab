"""Broken files: a line a problem, status 2 or a finding, nothing written, no process lost, in time and room."""

from __future__ import annotations

import json
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from broken_files import BAY, COMMANDS, GOOD, READINGS, RECIPE, broken, put, wrong

from brackets.app.cli.app import main

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="forks a child for each command")

Run = Callable[[str, bytes | str, list[str]], dict[str, Any]]


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Run]:
    """Runs a command beside a file of a kind that holds these bytes, in a child of its own."""
    nursery = subprocess.Popen(
        [sys.executable, str(Path(__file__).with_name("broken_files.py"))],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert nursery.stdin is not None
    assert nursery.stdout is not None
    wish, answer = nursery.stdin, nursery.stdout

    def run(kind: str, content: bytes | str, command: list[str]) -> dict[str, Any]:
        folder = tmp_path_factory.mktemp("broken")
        put(folder, kind, content)
        wish.write(json.dumps({"folder": str(folder), "command": command}) + "\n")
        wish.flush()
        ended: dict[str, Any] = json.loads(answer.readline())
        return ended

    with nursery:
        yield run
        wish.close()


@pytest.mark.parametrize("kind", ["shop", "readings", "family", "recipe"])
def test_the_files_are_good_before_they_are_broken(run: Run, kind: str) -> None:
    ended = run(kind, GOOD[kind].encode(), COMMANDS[kind][0])
    assert (ended["status"], ended["err"]) == (0, "")
    assert ended["new"]


LONG = "n" * 3_000_000
BAYS = {
    "a name that is a list": (BAY.replace('name = "left"', 'name = ["left"]'), "part 3: name = ['left'], must be"),
    "a long name": (BAY.replace("Broken (invented)", LONG), 'name = "nnn'),
    "a name of two lines": (BAY.replace("Broken (inv", "a\\nb (inv"), "name = 'a\\nb (invented)', must be"),
    "a long key": (f"{LONG} = 1\n{BAY}", "nnn...: no such key"),
    "a key of two lines": (f'"a\\nb" = 1\n{BAY}', "a\\nb: no such key"),
    "a long class of gap": (BAY.replace("fixed = {", f"{LONG} = {{", 1), "nnn...: must be one line of at most 80"),
    "a long list for a table": (BAY.replace("[gap]", "gap = [" + "0, " * 99_999 + "]\n[x]"), "gap = [0, 0, 0,"),
    "many rows": (BAY + '[[part]]\nname = "p"\nrecipe = "none"\n' * 1001, "part = 1005 rows, must be 1000"),
    "many legs": (BAY.replace("legs = [", "legs = [" + "[0, 0, 1], " * 99), "legs = 101 entries, must be 100"),
    "many names": (
        BAY.replace("{ L4 = 3.5 }", "{ " + ", ".join(f"a{n} = 1" for n in range(20_000)) + " }"),
        "washers = 20000 entries, must be at most 400",
    ),
    "no name": (BAY.replace('name = "left"', 'name = ""', 2), 'part 3: name = "", must be a word'),
    "many wrong rows": (BAY + "[[boss]]\nat = 0\n" * 900, "and 2600 more"),
}


@pytest.mark.parametrize("name", BAYS)
def test_a_name_or_list_without_end_is_refused_in_lines_that_can_be_read(run: Run, name: str) -> None:
    text, said = BAYS[name]
    ended = run("bay", text.encode(), ["fit", "bay.toml"])
    assert not wrong(ended)
    assert (ended["status"], said in ended["err"]) == (2, True), ended["err"]


ENDS = {
    "def check(p):\n    return 7\n": "TypeError: 'int' object is not iterable, while checking",
    "def rules(self):\n    yield 7\nParams.rules = rules\n": "rules yielded a int, must be: a line of text",
    "def rules(self):\n    yield 'a\\nb' * 10_000\nParams.rules = rules\n": "a\\nba\\nba\\nb ... ",
    "def build(p):\n    return Part(name='tab', pieces=(plate(rectangle(9, 9), 3, openings=[[0, 0, 9]]),))\n": (
        "TypeError: an opening is a list, must be: a Hole, a Slot or a Window, while building"
    ),
    "def build(p):\n    raise type('Odd', (BaseException,), {})('odd')\n": "Odd: odd, while building",
    "def build(p):\n    class E(Exception):\n        __str__ = None\n    raise E\n": "E: no message, while",
    "x = " + "-" * 90_000 + "1": "is nested too deeply to be read",
    "def build(p):\n    raise ValueError('\\033[31mred')\n": "ValueError: \\x1b[31mred, while building",
}


@pytest.mark.parametrize("end", ENDS, ids=range(len(ENDS)))
def test_whatever_a_recipe_raises_is_said_in_a_line_and_leaves_no_folder(run: Run, end: str) -> None:
    ended = run("recipe", f"{RECIPE}\n{end}".encode(), ["make", "./tab.py"])
    assert not wrong(ended)
    assert (ended["status"], ENDS[end] in ended["err"]) == (2, True), ended["err"]
    assert ended["new"] == []


def test_weighings_without_end_are_refused(run: Run) -> None:
    one = READINGS[READINGS.index("[[weighing]]") :]
    ended = run("readings", (READINGS + one * 50).encode(), ["measure", "readings.toml"])
    assert (ended["status"], ended["err"]) == (
        2,
        "readings.toml: weighing = 102 rows, must be 100 or fewer: [[weighing]]\n",
    )


TYPED = {
    "--revision two lines": (["make", "gusset", "--revision", "a\nb"], "--revision = 'a\\nb', must be one line of"),
    "--revision too long": (["make", "gusset", "--revision", "r" * 41], "must be one line of at most 40"),
    "--cut of three axes": (["view", "gusset", "--png", "x.png", "--cut", "xyz"], "cut = xyz, must be x, y or z"),
    "--time-limit below 0": (["view", "gusset", "--time-limit", "-1"], "--time-limit = -1, must be more than 0"),
    "--time-limit 0": (["view", "gusset", "--html", "x.html", "--time-limit", "0"], "must be more than 0"),
    "--into too long": (["make", "gusset", "--into", "n" * 5_000], "nnn: File name too long, nothing written"),
}


@pytest.mark.parametrize("name", TYPED)
def test_words_without_end_are_refused_with_the_reason(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    words, said = TYPED[name]
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert (out, len(err.splitlines())) == ("", 1)
    assert said in err
    assert len(err) < 900
    assert list(tmp_path.iterdir()) == []


def test_a_fit_that_cannot_be_written_is_refused_before_it_is_worked_out(run: Run) -> None:
    ended = run("bay", BAY.encode(), ["fit", "bay.toml", "--into", "shop.toml"])
    assert not wrong(ended)
    assert "shop.toml, must be a folder: it is a file" in ended["err"]
    assert ended["cpu"] < 1.5  # placing and clearing this bay takes five


def test_a_page_under_a_file_is_refused_by_its_own_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("file").touch()
    assert main(["view", "gusset", "--html", "file/x.html"]) == 2
    assert capsys.readouterr().err == "file/x.html: Not a directory, nothing written\n"


def test_ten_broken_files(run: Run) -> None:
    for n in range(10):
        kind, how, content, command = broken(n, 3)
        faults = wrong(run(kind, content, command))
        assert not faults, (n, kind, how, command, faults)


@pytest.mark.fuzz
def test_many_broken_files(run: Run, fuzz: int, request: pytest.FixtureRequest) -> None:
    start = int(request.config.getoption("--seed"))
    faults: dict[int, object] = {}
    tally: Counter[object] = Counter()
    for n in range(fuzz):
        kind, how, content, command = broken(n, start)
        ended = run(kind, content, command)
        tally[ended["status"]] += 1
        if found := wrong(ended):
            faults[n] = kind, how, command, found, ended["err"][-500:]
    print(dict(tally))
    assert not faults
