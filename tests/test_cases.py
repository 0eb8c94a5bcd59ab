"""A stranger's own bays, recipes and readings (invented), each with what must be said of it and the status.

`tests/cases` has them as he wrote them, faults and all. A case names everything above advice that must be said, by
its level and words that must stand in the line; what is not named must not be said, but for the cautions of a whole
bay (see QUIET).
"""

from __future__ import annotations

import json
import re
import runpy
import shutil
from pathlib import Path

import pytest

from brackets.app.cli.app import main

CASES = Path(__file__).parent / "cases"

QUIET = re.compile(r"from a weld of|mm of thread less a pitch|mm of thread in the 5 mm ear|no tool gets at")
"""Cautions that these bays earn many times over, each judged by its own tests."""

TABLE: dict[str, tuple[list[str], int, list[tuple[str, str]]]] = {
    "a foot that stands whole": (["fit", "air0.toml"], 0, []),
    "a foot 15 of 50 mm off its rail": (
        ["fit", "air15.toml"],
        0,
        [("caution", "its foot hangs 15.0 mm off the left edge of rail; 2798 of its 3997 mm2 stand on metal")],
    ),
    "a foot that floats beside its rail": (
        ["fit", "air60.toml"],
        1,
        [("stop", "its foot stands on nothing: rail is 10.0 mm away, 1.6 can be welded over")],
    ),
    "plates in each other and one in the air": (
        ["make", "./overlap.py"],
        1,
        [
            ("stop", "a and b stand in each other: 1440 mm3 in common"),
            ("stop", "no weld or bolt reaches b"),
            ("stop", "no weld or bolt reaches c"),
        ],
    ),
    "bolts in their own fork": (
        ["fit", "tern.toml"],
        1,
        [
            ("stop", "L1 bolt: head and washers in the metal of link_fork, which it holds"),
            ("stop", "L2 bolt: head and washers in the metal of link_fork, which it holds"),
            ("stop", "once box_front_arm is made it cannot be put in"),
            ("stop", "once box_rear_arm is made it cannot be put in"),
            # its cup stands 25 mm off its plate, and the weld behind it faces that gap
            ("caution", "box_front_arm: tube: weld to cup: no free direction for the torch from 74 to 83 mm"),
            ("stop", "L1: its bolt comes out 0 of 32 mm"),
            ("stop", "L2: its bolt comes out 0 of 32 mm"),
            ("caution", "10.0 mm standing still, 35 asked"),
            # first gear, worked out from its bushes, takes the engine further along this bush than its row says
            ("caution", "engine_arm | engine_ears: 0.0 mm when moved (bush endways; by first gear), 0 asked"),
            ("caution", "engine_arm | engine_ears: 0.0 mm when moved (bush radially and endways; by first gear)"),
            ("caution", "its foot stands on bulkhead, 1.5 mm thick: a spreader plate or a doubler"),
            ("caution", "its foot hangs 3.0 mm off the right edge of rail_left"),
            ("caution", "its foot hangs 3.0 mm off the right edge of rail_left"),
            ("caution", "leg 4 mm, ears/ear_front to plate, at least 5 on 8 mm metal"),
            ("caution", "leg 4 mm, ears/ear_rear to plate, at least 5 on 8 mm metal"),
        ],
    ),
    "a flange with a leg under the table's": (
        ["make", "./flange.py"],
        0,
        [
            ("caution", "leg 4 mm, flange to bung, at least 5 on 8 mm metal"),
            ("caution", "5.5 mm of metal between two openings at 30, 0 of the blank"),
        ],
    ),
    "a fork with legs under the table's": (
        ["make", "./fork.py"],
        0,
        [
            ("caution", "leg 4 mm, ears/ear_front to plate, at least 5 on 8 mm metal"),
            ("caution", "leg 4 mm, ears/ear_rear to plate, at least 5 on 8 mm metal"),
        ],
    ),
    "an angle that is in order": (["make", "./lbracket.py"], 0, []),
    "a bracket, its other hand and an old one as STEP": (["fit", "pair.toml"], 0, []),
    "a link that is in order": (["make", "./link.py"], 0, []),
    "readings that do not say which way round": (
        ["measure", "readings.toml"],
        1,
        [("stop", "which way round they go is not stated")],
    ),
    "a wrong reading that cannot be told from a good one": (
        ["measure", "readings3.toml"],
        1,
        [("stop", "one is wrong and which is wrong cannot be told, so none is left out")],
    ),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The stranger's folder, with the scan and the STEP file that his bays speak of."""
    here = tmp_path_factory.mktemp("stranger")
    shutil.copytree(CASES, here / "bay")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(here / "bay")
        runpy.run_path("make_scan.py")
        assert main(["make", "./lbracket.py"]) == 0
    return here / "bay"


def said(command: str, shown: str) -> list[tuple[str, str]]:
    """Every stop and caution of a JSON answer, (level, words)."""
    answer = json.loads(shown)
    if command == "measure":
        return [("stop", line) for line in answer["stops"]]
    return [(f["level"], f"{f['piece']}: {f['sentence']}") for f in answer["findings"] if f["level"] != "advice"]


@pytest.mark.parametrize("case", TABLE)
def test_what_must_be_said_is_said_and_nothing_else(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], case: str
) -> None:
    command, status, wanted = TABLE[case]
    monkeypatch.chdir(folder)
    no_files = [] if command[0] == "measure" else ["--no-files"]
    assert main([*command, "--json", *no_files]) == status
    left = [(level, line) for level, line in said(command[0], capsys.readouterr().out) if not QUIET.search(line)]
    for level, words in wanted:
        found = next((one for one in left if one[0] == level and words in one[1]), None)
        assert found is not None, (level, words, left)
        left.remove(found)
    assert left == []


def test_a_name_that_hides_its_own_rule_is_blamed_on_its_line(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A value called `count` is a number by the time the next line asks for count(2, 6, ...)."""
    monkeypatch.chdir(folder)
    assert main(["make", "./strap2.py"]) == 2
    assert "strap2.py:12: TypeError: 'int' object is not callable, while loading" in capsys.readouterr().err
