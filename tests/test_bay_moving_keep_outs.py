"""Keep-outs that move by themselves, spares less their ±, and slack between two points, in small bays of boxes."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import pytest

from brackets.app.cli.fit_view import fit_text
from brackets.bay.clear.moving import by_pair
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.core.errors import BadFile
from brackets.output import bay_lists
from brackets.output.bay_facts import record

TURN = "moves = { about = [0, 0, 0], axis = [0, 1, 0], from = -20, to = 31 }"
"""About y, so that what lies back of the hinge goes up."""

BAY = f"""\
format = 1
name = "Hinge (invented)"
pos = 2
[gap]
moving = {{ rest = 20, moved = 10, why = "our own choice" }}
[powertrain]
place = {{ at = [0, 0, 10] }}
moves = {{ about = "crank", up = 3, down = 4, fore = 2, aft = 2, side = 1 }}
[[keep_out]]
name = "swing_arm"
kind = "moving"
pos = 3.5
box = {{ from = [-400, -20, -10], to = [0, 20, 10] }}
{TURN}
[[keep_out]]
name = "sump"
side = "powertrain"
box = {{ from = [-500, -200, 235], to = [-200, 200, 300] }}
[[keep_out]]
name = "lever"
side = "powertrain"
kind = "moving"
box = {{ from = [95, -5, 300], to = [105, 5, 500] }}
moves = {{ by = [-20, 0, 0], back = 30 }}
[[keep_out]]
name = "tunnel"
box = {{ from = [160, -100, 300], to = [170, 100, 600] }}
[[part]]
name = "web"
recipe = "gusset"
side = "chassis"
at = [-420, 0, 120]
[[slack]]
name = "hose"
powertrain = [0, 120, 390]
chassis = [-250, 120, 400]
length = 260
least = 249
margin = 10
"""


def fitted(folder: Path, text: str) -> Fit:
    path = folder / "bay.toml"
    path.write_text(text, "utf-8")
    return fit(read(path))


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    return fitted(tmp_path_factory.mktemp("hinge"), BAY)


T = math.radians(31)
UNDER_SUMP = 245 - 4 - (400 * math.sin(T) + 10 * math.cos(T))
"""Its far edge up by its turn, the sump down by 4."""


def test_an_arm_is_cleared_over_its_own_turn_and_the_engines_travel(done: Fit) -> None:
    found = by_pair(done.moved)[frozenset(("swing_arm", "sump"))]
    assert found.low - 1e-6 <= UNDER_SUMP <= found.high + 1e-6
    assert found.worst.endswith("; swing_arm at 31 deg")
    assert "down 4 mm" in found.worst
    assert found.position is not None
    assert found.position.travel[2] == pytest.approx(-4)
    (still,) = (p for p in done.pairs if {p.a, p.b} == {"swing_arm", "sump"})
    assert still.low == pytest.approx(235, abs=1e-3)  # as drawn


def test_a_lever_on_the_engine_goes_where_it_slides_and_the_engine_goes(done: Fit) -> None:
    found = by_pair(done.moved)[frozenset(("lever", "tunnel"))]
    assert found.low - 1e-6 <= 55 - 30 - 2 <= found.high + 1e-6  # 30 back the other way, the engine 2 fore
    assert found.worst.endswith("; lever at -30 mm")


def test_each_pair_is_moved_once(done: Fit) -> None:
    assert len(by_pair(done.moved)) == len(done.moved)


def test_both_of_two_that_move_by_themselves_are_named(done: Fit) -> None:
    found = by_pair(done.moved)[frozenset(("lever", "swing_arm"))]
    assert [at.name for at in found.own] == ["lever", "swing_arm"]
    told = next(row for row in record(done)["moved"] if {row["a"], row["b"]} == {"lever", "swing_arm"})
    assert [row["name"] for row in told["own"]] == ["lever", "swing_arm"]
    assert told["by"] == "engine and keep-out"


def test_against_a_part_of_its_own_side_the_arm_alone_moves(done: Fit, tmp_path: Path) -> None:
    found = by_pair(done.moved)[frozenset(("swing_arm", "web"))]
    assert found.by == "keep-out"
    assert found.worst.startswith("swing_arm ")
    still = BAY.replace('moves = { about = "crank", up = 3, down = 4, fore = 2, aft = 2, side = 1 }', "")
    alone = by_pair(fitted(tmp_path, still).moved)
    same = alone[frozenset(("swing_arm", "web"))]
    assert (same.low, same.high, same.worst) == (found.low, found.high, found.worst)
    across = alone[frozenset(("swing_arm", "sump"))]  # the engine stands: its own turn is all there is
    assert across.low - 1e-6 <= UNDER_SUMP + 4 <= across.high + 1e-6


# ------------------------------------------------------------------------------------------------------------- ±


def test_what_is_spare_is_also_told_less_the_pos_of_both(done: Fit, tmp_path: Path) -> None:
    pair = next(p for p in done.pairs if {p.a, p.b} == {"swing_arm", "sump"})
    facts = record(done)
    told = next(row for row in facts["pairs"] if {row["a"], row["b"]} == {"swing_arm", "sump"})
    assert told["pos_mm"] == 3.5 + 2  # its own word, and that of the whole file
    assert told["spare_less_pos_mm"] == pytest.approx(pair.spare - 5.5)
    moved = next(row for row in facts["moved"] if {row["a"], row["b"]} == {"swing_arm", "sump"})
    assert moved["spare_less_pos_mm"] == pytest.approx(moved["spare_mm"] - 5.5)
    assert facts["pos_mm"] == {"swing_arm": 3.5, "sump": 2.0, "lever": 2.0, "tunnel": 2.0, "web": 0.0}
    bay_lists.write_gaps(done, tmp_path / "gaps.csv")
    sheet = csv.DictReader((tmp_path / "gaps.csv").read_text("utf-8").splitlines())
    rows = {frozenset((r["a"], r["b"])): r for r in sheet}
    row = rows[frozenset(("swing_arm", "sump"))]
    assert float(row["spare_less_pos_mm"]) == pytest.approx(pair.spare - 5.5, abs=1e-3)
    assert float(row["moved_spare_less_pos_mm"]) == pytest.approx(moved["spare_less_pos_mm"], abs=1e-3)
    printed = " ".join(fit_text(done, None).split())
    assert "spare less ± still asked moved asked class what" in printed
    assert "spare less ± class still moved tightest" in printed


def boxes(gap: float, more: str = "", top: str = "") -> str:
    return f"""format = 1
{top}
[gap]
fixed = {{ rest = 10, moved = 5, why = "ours" }}
[powertrain]
moves = {{ about = "crank", up = 0.5 }}
[[keep_out]]
name = "rail"
box = {{ from = [0, 0, 0], to = [90, 50, 20] }}
{more}
[[keep_out]]
name = "sump"
side = "powertrain"
box = {{ from = [0, 0, {20 + gap}], to = [90, 50, 80] }}
{more}
"""


def codes(done: Fit) -> list[str]:
    return [f.code for f in done.findings]


def test_five_mm_on_a_tape_of_three_is_not_five(tmp_path: Path) -> None:
    done = fitted(tmp_path, boxes(15.35, "pos = 3"))
    (said,) = (f for f in done.findings if f.code == "gap less pos")
    assert said.sentence == "5.3 mm spare standing still, -0.7 less the ±: rail is known to 3 mm, sump to 3"
    assert (said.level, said.about, said.source) == ("caution", ("rail", "sump"), "the bay file")
    assert codes(fitted(tmp_path, boxes(15.35, "pos = 2"))) == []
    assert codes(fitted(tmp_path, boxes(15.35, "", "pos = 3"))) == ["gap less pos"]


def test_a_gap_known_loosely_is_followed_until_the_pos_is_surely_spare_too(tmp_path: Path) -> None:
    """45 mm are asked 10 still and 5 moved: with ± 15 each there is enough; the search must not end at 5."""
    assert codes(fitted(tmp_path, boxes(45, "pos = 15"))) == []


def test_where_nobody_says_how_well_anything_is_known_one_line_does(tmp_path: Path) -> None:
    done = fitted(tmp_path, boxes(40))
    (said,) = done.findings
    assert (said.level, said.code, said.about) == ("advice", "pos", ("rail", "sump"))
    assert said.sentence.startswith("2 of 2 have no ± (pos): no spare beside them is printed less it;")
    assert "less ±" not in fit_text(done, None)
    (told,) = record(done)["pairs"]
    assert (told["pos_mm"], told["spare_less_pos_mm"]) == (None, None)


def test_with_one_of_two_known_the_gap_is_not(tmp_path: Path) -> None:
    text = boxes(12).replace('name = "rail"', 'name = "rail"\npos = 3')
    done = fitted(tmp_path, text)
    assert codes(done) == ["pos"]
    assert " ? " in fit_text(done, None)


ARM = """
[[boss]]
name = "A"
at = [-30, 200, 200]
normal = [0, -1, 0]
pos = 0.7
[[boss]]
name = "B"
at = [30, 200, 200]
normal = [0, -1, 0]
pos = 1.2
[[mount]]
name = "m"
bush = "R40"
at = [0, 0, 120]
axis = [1, 0, 0]
[mount.chassis]
part = "ears"
onto = "rail"
[mount.powertrain]
part = "arm"
[[part]]
name = "ears"
recipe = "ears_on_base"
t = 5
ear_r = 20
inside = 44.5
base = { width = 80, length = 50, t = 5, radius = 2 }
[[part]]
name = "arm"
recipe = "stay"
bosses = ["A", "B"]
plate_t = 8
tube = "30x3"
tube_from = [0, 192, 200]
cup = { od = 50, wall = 5, length = 36 }
gussets = 0
[[keep_out]]
name = "rail"
pos = 3
box = { from = [-200, -25, 0], to = [200, 25, 50] }
"""


def test_a_part_is_known_as_what_it_is_fixed_to_and_a_mount_sets_its_own_halves(tmp_path: Path) -> None:
    from brackets.bay.clear.known import known
    from brackets.bay.stand.bodies import bay_bodies
    from brackets.bay.stand.placed import placed_bay

    path = tmp_path / "bay.toml"
    path.write_text("format = 1\n" + ARM, "utf-8")
    bay = read(path)
    bodies = bay_bodies(placed_bay(bay))
    head = replace(bodies[0], name="A bolt", mounts=(), holds="arm")
    of = known(bay, (*bodies, head))
    assert of.pos["A bolt"] == 0.7  # its own boss, not the worst
    assert (of.pos["ears"], of.pos["arm"]) == (3.0, 1.2)  # its rail; the worst of its bosses
    assert (of.pos["m bush"], of.pos["m sleeve"]) == (1.2, 3.0)  # each with the half that holds it
    assert of.between("arm", "rail") == pytest.approx(4.2)
    assert of.between("ears", "arm") == 0.0  # the bush brings them together


# --------------------------------------------------------------------------------------------------------- slack


def test_a_hose_is_told_with_its_least_and_most(done: Fit, tmp_path: Path) -> None:
    """At rest 250 along x, both ends at z = 400 since the place lifts the engine by 10."""
    most = math.hypot(252, 1, 4)
    (told,) = record(done)["slacks"]
    assert (told["still_mm"], told["length_mm"], told["margin_mm"], told["may_be_mm"]) == (250, 260, 10, 249)
    assert told["least_mm"] == pytest.approx([248, 248])
    assert told["most_mm"] == pytest.approx([most, most])
    said = {f.code: f.sentence for f in done.findings if f.about == ("hose",)}
    assert said == {
        "slack": "7.9 mm over at the worst movement, 10 asked: its ends get 252.0 mm apart, it is 260 mm long",
        "slack least": "its ends come within 248.0 mm, it may be 249 at the shortest: it kinks or bottoms",
    }
    assert "hose 250.0 248.0 249 252.0 260 7.9" in " ".join(fit_text(done, None).split())
    bay_lists.write_slacks(done, tmp_path / "slack.csv")
    (row,) = csv.DictReader((tmp_path / "slack.csv").read_text("utf-8").splitlines())
    assert row["slack"] == "hose"
    assert (row.pop("least_by"), row.pop("most_by")) == ("", "")  # its movement is typed
    figures = {key: float(told) for key, told in row.items() if key != "slack"}
    assert figures == pytest.approx(
        {
            "still_mm": 250, "least_low_mm": 248, "least_high_mm": 248, "may_be_mm": 249, "most_low_mm": most,
            "most_high_mm": most, "length_mm": 260, "margin_mm": 10, "spare_mm": 260 - most,
        },
        abs=1e-4,
    )  # fmt: skip


def test_a_hose_that_is_pulled_stops(tmp_path: Path) -> None:
    text = BAY[: BAY.index("[[part]]")] + BAY[BAY.index("[[slack]]") :].replace("length = 260", "length = 251")
    done = fitted(tmp_path, text.replace(TURN, "").replace("moves = { by = [-20, 0, 0], back = 30 }", ""))
    (said,) = (f for f in done.findings if f.code == "slack")
    assert said.level == "stop"
    assert said.sentence == "is pulled: its ends get 252.0 mm apart, it is 251 mm long"
    assert done.stops


# ------------------------------------------------------------------------------------------------------ refusals

ROD = '[[keep_out]]\nname = "rod"\ntube = { from = [0, 0, 0], to = [0, 0, 90], od = 10 }\n'
HOSE = '[[slack]]\nname = "hose"\npowertrain = [0, 0, 0]\nchassis = [9, 0, 0]\n'

REFUSED = {
    "no ends": (ROD + "moves = { about = [0, 0, 0], axis = [0, 1, 0] }",
                "keep_out rod: moves = incomplete, about, axis, and from or to: a keep-out that turns"),
    "no axis": (ROD + "moves = { to = 5 }",
                "keep_out rod: moves = incomplete, about, axis, and from or to: a keep-out that turns"),
    "no turn": (ROD + "moves = { about = [0, 0, 0], axis = [0, 1, 0], from = 0, to = 0 }",
                "keep_out rod: moves = from 0 to 0 deg, must be at least 0.001 deg in all: a keep-out that turns"),
    "not as drawn": (ROD + "moves = { about = [0, 0, 0], axis = [0, 1, 0], from = 5, to = 9 }",
                     "keep_out rod: moves_from = 5 deg, must be -180 to 0 deg:"
                     " turns by itself: least, right-handed, 0 as drawn"),
    "no way": (ROD + "moves = { by = [0, 0, 0] }",
               "keep_out rod: moves by = 0, 0, 0 mm, must be at least 0.001 mm long: a keep-out that slides"),
    "only back": (ROD + "moves = { back = 5 }",
                  "keep_out rod: moves back = 5 mm, only with by, the way it slides: a keep-out that slides"),
    "pos": ("pos = 50", "pos = 50 mm, must be 0 to 20 mm:"
            " how true a keep-out is, either way, that has no pos of its own; for spares"),
    "kinks": (HOSE + "length = 20\nleast = 20",
              "slack hose: least = 20 mm, below length, 20: shortest it may become"),
    "twice": (HOSE + "length = 20\n" + HOSE + "length = 20",
              "slack hose: there are 2 of that name, each name once"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_is_refused_in_one_line(name: str, tmp_path: Path) -> None:
    text, line = REFUSED[name]
    path = tmp_path / "bay.toml"
    path.write_text("format = 1\n" + text, "utf-8")
    with pytest.raises(BadFile) as wrong:
        read(path)
    assert wrong.value.problems == (line,)
