"""Ways in and out of small bays against distances known by hand, and what is said of those that are blocked."""

from __future__ import annotations

import csv
import json
import math
import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from brackets.app.cli.fit_view import fit_text
from brackets.bay.clear.paths import WITHIN, BayPath
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.rule_rows import rule_rows
from brackets.core.errors import BadFile
from brackets.output.bay_facts import record
from brackets.output.bay_lists import write_paths

TOP = 'format = 1\nname = "Invented"\n'

ENGINE = """
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [0, 0, 0], to = [100, 100, 100] }
"""


def wall(low: tuple[float, ...], high: tuple[float, ...], name: str = "wall") -> str:
    return f'[[keep_out]]\nname = "{name}"\nbox = {{ from = {list(low)}, to = {list(high)} }}\n'


def typed(legs: str, *, part: str = "powertrain", more: str = "") -> str:
    return f'[[path]]\nname = "out"\npart = "{part}"\nlegs = {legs}\n{more}\n'


def fitted(folder: Path, text: str) -> Fit:
    path = folder / "bay.toml"
    path.write_text(TOP + text, "utf-8")
    return fit(read(path))


# ------------------------------------------------------------------------------------------ lengths known by hand


def test_a_straight_path_past_a_wall_has_the_walls_gap(tmp_path: Path) -> None:
    done = fitted(tmp_path, ENGINE + wall((110, 0, 150), (120, 100, 400)) + typed("[[0, 0, 300]]"))
    (found,) = done.paths
    assert found.out
    assert [(leg.length, leg.free, leg.unit) for leg in found.legs] == [(300, 300, "mm")]
    assert found.low is not None
    assert found.high is not None
    assert found.low <= 10 <= found.high + 1e-9
    assert found.high - found.low <= WITHIN
    assert found.pair == ("engine", "wall")
    assert not [f for f in done.findings if f.code.startswith("path")]


def test_a_blocked_path_says_how_far_it_is_free_and_what_it_meets(tmp_path: Path) -> None:
    roof = wall((20, 20, 142), (80, 80, 150), "roof")
    done = fitted(tmp_path, ENGINE + roof + typed("[[0, 30, 0], [0, 0, 300]]"))
    (found,) = done.paths
    assert not found.out
    assert [leg.free for leg in found.legs] == pytest.approx([30, 42], abs=0.02)
    assert found.pair == ("engine", "roof")
    assert found.at is not None
    assert found.at[0] == 2
    (said,) = (f for f in done.findings if f.code == "path blocked")
    assert said.level == "stop"
    assert said.value == pytest.approx(42, abs=0.02)
    assert said.limit == 300
    assert "engine and roof meet" in said.sentence
    assert done.stops


def test_a_turn_is_free_until_its_corner_meets_the_roof(tmp_path: Path) -> None:
    """About the lower rear edge, nose up: the far top corner, root 2 out and 45 deg up, climbs to the roof."""
    text = ENGINE + wall((-300, -50, 130), (300, 150, 140), "roof")
    legs = "[{ turn = -40, through = [0, 0, 0], axis = [0, 1, 0] }]"
    (found,) = fitted(tmp_path, text + typed(legs)).paths
    expected = math.degrees(math.asin(130 / (100 * math.sqrt(2)))) - 45
    assert not found.out
    assert found.legs[0].unit == "deg"
    assert found.legs[0].free == pytest.approx(expected, abs=0.05)


def test_a_tight_path_is_a_caution_against_the_gap_asked(tmp_path: Path) -> None:
    text = ENGINE + wall((102, 0, 150), (120, 100, 400))
    done = fitted(tmp_path, text + typed("[[0, 0, 300]]"))
    (said,) = (f for f in done.findings if f.code == "path")
    assert said.level == "caution"
    assert said.value == pytest.approx(2, abs=WITHIN)
    assert said.limit == 3
    assert "common practice, no source" in said.source
    own = '[gap]\npath = { rest = 1, moved = 0, why = "ours" }\n'
    assert not [f for f in fitted(tmp_path, own + text + typed("[[0, 0, 300]]")).findings if f.code == "path"]
    (strict,) = fitted(tmp_path, text + typed("[[0, 0, 300]]", more="gap = 12")).paths
    assert strict.needed == 12
    assert strict.spare == pytest.approx(-10, abs=WITHIN)


def test_a_path_with_a_gap_of_its_own_is_no_measure_of_the_rule(tmp_path: Path) -> None:
    text = ENGINE + wall((110, 0, 150), (120, 100, 400))
    (row,) = (row for row in rule_rows(fitted(tmp_path, text + typed("[[0, 0, 300]]"))) if row.kind == "path")
    assert row.spare == pytest.approx(10 - 3, abs=WITHIN)
    own = fitted(tmp_path, text + typed("[[0, 0, 300]]", more="gap = 12"))
    assert [row.kind for row in rule_rows(own)] == ["fixed"]


def test_a_keep_out_that_is_out_is_not_met(tmp_path: Path) -> None:
    roof = wall((20, 20, 142), (80, 80, 150), "roof")
    (found,) = fitted(tmp_path, ENGINE + roof + typed("[[0, 0, 300]]", more='without = ["roof"]')).paths
    assert found.out
    assert found.low is None


# ------------------------------------------------------------------------- what is held, and what comes along

MOUNTED = """
[[keep_out]]
name = "rail"
tube = { from = [-100, 0, 0], to = [300, 0, 0], od = 42.4, wall = 3.2 }
[[keep_out]]
name = "casting"
side = "powertrain"
box = { from = [80, 0, 130], to = [120, 60, 180] }
[[mount]]
name = "left"
bush = "R50"
at = [100, 0, 80]
axis = [1, 0, 0]
bolt = { size = "M12", length = 100 }
[mount.chassis]
part = "ears"
onto = "rail"
[mount.powertrain]
part = "cup"
[[part]]
name = "ears"
recipe = "ears"
back = false
seat = "round"
[[part]]
name = "cup"
recipe = "cup"
od = 60
"""


PATHS = """
[[path]]
name = "bolt in"
part = "cup"
legs = [[0, -120, 0]]
[[path]]
name = "bolt out"
part = "cup"
without = ["left"]
legs = [[0, -120, 0]]
[[path]]
name = "endways"
part = "cup"
without = ["left"]
legs = [[40, 0, 0]]
[[path]]
name = "engine"
part = "powertrain"
without = ["left"]
legs = [[0, 0, 200]]
[[path]]
name = "ears gone"
part = "cup"
without = ["ears"]
legs = [[40, 0, 0]]
"""


@pytest.fixture(scope="module")
def mounted(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    """One mount, its cup to come out sideways, with its bolt in, with it out, and the wrong way."""
    return fitted(tmp_path_factory.mktemp("mounted"), MOUNTED + PATHS)


def named(done: Fit, name: str) -> BayPath:
    (found,) = (one for one in done.paths if one.name == name)
    return found


def test_a_part_is_held_by_a_bolt_that_is_still_in(mounted: Fit) -> None:
    found = named(mounted, "bolt in")
    assert found.held == ("left",)
    assert not found.out
    assert [(f.level, f.piece) for f in mounted.findings if f.code == "path held"] == [("stop", "bolt in")]


def test_a_cup_comes_out_between_its_ears_with_its_bush(mounted: Fit) -> None:
    found = named(mounted, "bolt out")
    assert found.out
    assert set(found.moving) == {"cup", "left bush", "left sleeve"}
    assert found.pair == ("cup", "ears")
    # 52.5 between the ears less a cup of 40, half of it at each end
    assert found.low == pytest.approx(6.25, abs=WITHIN)


def test_a_cup_meets_its_own_ear_endways(mounted: Fit) -> None:
    found = named(mounted, "endways")
    assert not found.out
    # its sleeve is 0.25 from the ear, may touch it, and may not stand in it
    assert 0.0 <= found.free <= 0.3
    assert found.pair == ("left sleeve", "ears")


def test_the_powertrain_takes_its_half_of_the_mount_along(mounted: Fit) -> None:
    found = named(mounted, "engine")
    assert set(found.moving) == {"casting", "cup", "left bush", "left sleeve"}
    assert found.out


def test_a_part_that_is_out_takes_its_bolt_with_it(mounted: Fit) -> None:
    found = named(mounted, "ears gone")
    assert (found.held, found.out) == ((), True)


# ------------------------------------------------------------------------------------------------- how it is told


def test_paths_are_in_the_table_the_json_and_the_csv(tmp_path: Path, mounted: Fit) -> None:
    told = {row["name"]: row for row in json.loads(json.dumps(record(mounted)))["paths"]}
    write_paths(mounted, tmp_path / "paths.csv")
    with (tmp_path / "paths.csv").open(encoding="utf-8") as sheet:
        rows = {row["path"]: row for row in csv.DictReader(sheet)}
    text = fit_text(mounted, None)
    assert "paths in and out, mm" in text
    for found in mounted.paths:
        assert told[found.name]["out"] == found.out
        assert told[found.name]["held_by"] == list(found.held)
        assert told[found.name]["low_mm"] == found.low
        assert rows[found.name]["out"] == ("yes" if found.out else "no")
        line = next(line for line in text.splitlines() if line.startswith(found.name))
        assert (" yes " in line) == found.out


WRONG: Mapping[str, tuple[str, str]] = {
    "no legs": ('[[path]]\nname = "w"\npart = "powertrain"\n', "path w: legs = nothing, must be a list"),
    "empty legs": ('[[path]]\nname = "w"\npart = "powertrain"\nlegs = []\n', "path w: legs = [], must be"),
    "two numbers": (typed("[[0, 1]]"), "path out: leg 1: by = "),
    "no length": (typed("[[0, 0, 1], [0, 0, 0]]"), "path out: leg 2: by = 0, 0, 0 mm, must have a length"),
    "no axis": (typed("[{ turn = 3, through = [0, 0, 0] }]"), "path out: leg 1: axis"),
    "axis nowhere": (
        typed("[{ turn = 3, through = [0, 0, 0], axis = [0, 0, 0] }]"),
        "path out: leg 1: axis = 0,0,0, must be x,y,z, not all 0",
    ),
    "no turn": (typed("[{ turn = 0, through = [0, 0, 0], axis = [0, 0, 1] }]"), "path out: leg 1: turn = 0 deg"),
    "odd key": (
        typed("[{ turn = 3, thru = [0, 0, 0], axis = [0, 0, 1] }]"),
        "path out: leg 1: thru: no such value, nearest: through",
    ),
    "unknown part": (typed("[[0, 0, 9]]", part="powertrane"), "nearest: powertrain"),
    "unknown out": (typed("[[0, 0, 9]]", more='without = ["engin"]'), "without = engin, nearest: engine"),
    "twice": (typed("[[0, 0, 9]]") + typed("[[0, 0, 9]]"), "path out: there are 2 of that name"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_in_a_path_is_named(tmp_path: Path, name: str) -> None:
    text, said = WRONG[name]
    path = tmp_path / "bay.toml"
    path.write_text(TOP + ENGINE + text, "utf-8")
    with pytest.raises(BadFile) as caught:
        read(path)
    assert any(said in line for line in str(caught.value).splitlines()), str(caught.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[gap]\nway = { rest = 3, moved = 0, why = "ours" }', "gap way: called path now, write path for it"),
        ('[gap]\nsafety = { rest = 3, moved = 0, why = "ours" }', "gap safety: called steering_brakes now"),
        (
            '[[keep_out]]\nname = "rack"\nkind = "safety"\nbox = { from = [0, 0, 0], to = [1, 1, 1] }',
            "keep_out rack: kind = safety, called steering_brakes now, write steering_brakes for it",
        ),
        (
            '[[accept]]\ncode = "way blocked"\npart = "engine"\nwhy = "off first"\nby = "me"',
            "accept way blocked: called path blocked now, write path blocked for it",
        ),
    ],
)
def test_a_file_with_an_earlier_word_is_told_the_new_one(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "bay.toml"
    path.write_text(TOP + ENGINE + text, "utf-8")
    with pytest.raises(BadFile, match=said):
        read(path)


def test_everything_wrong_in_one_path_is_named_at_once(tmp_path: Path) -> None:
    legs = "[[0, 0, 0], { turn = 400, through = [0, 0], axis = [0, 0, 1] }]"
    path = tmp_path / "bay.toml"
    path.write_text(TOP + ENGINE + typed(legs, part="gone", more="gap = -1"), "utf-8")
    with pytest.raises(BadFile) as caught:
        read(path)
    for said in ("leg 1: by", "leg 2: turn", "leg 2: through", "gap = -1"):
        assert said in str(caught.value)


@pytest.mark.checkout
def test_the_path_and_the_tools_that_the_readme_shows_are_read(tmp_path: Path) -> None:
    root = Path(__file__).resolve().parent.parent
    shown = re.findall(r"```toml\n(.*?)```", (root / "README.md").read_text("utf-8"), flags=re.DOTALL)
    plain = (root / "recipes" / "tern.toml").read_text("utf-8")
    path = tmp_path / "bay.toml"
    others = ("keep_out = [", "[powertrain]", "[hold]")
    of_this_bay = (block for block in shown if "mirror_of" not in block and not block.startswith(others))
    path.write_text(plain[: plain.index("[[path]]")] + "\n".join(of_this_bay), "utf-8")
    bay = read(path)
    (entry,) = bay.paths
    assert [type(leg).__name__ for leg in entry.legs] == ["StraightLegRow", "TurnLeg"]
    assert entry.row.gap == 5
    assert [row.od for row in bay.sockets] == [26]
    assert [row.swing for row in bay.spanners] == [30]


def test_a_path_in_inches_is_the_same_path(tmp_path: Path) -> None:
    roof = wall((20, 20, 142), (80, 80, 150), "roof")
    (found,) = fitted(tmp_path, ENGINE + roof + typed('[[0, 0, "12in"]]')).paths
    assert found.legs[0].length == pytest.approx(304.8)
