"""Keep-outs that move on a side that is placed, against closed forms; ± and slack in every file and at its ends."""

from __future__ import annotations

import csv
import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from brackets.app.cli.fit_view import fit_text
from brackets.app.preview.blocks import unpack
from brackets.app.preview.build import source, whole
from brackets.bay.clear import pairs as pairs_at_rest
from brackets.bay.clear.moving import by_pair
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.rule_rows import rule_rows
from brackets.bay.stand.gap_rules import is_relevant_pair
from brackets.core.errors import BadFile
from brackets.output import bay_lists
from brackets.output.bay_facts import record


def wall(name: str, low: float, high: float, more: str = "") -> str:
    """A wall of the chassis across y, beside the lever or, further on, the pedal."""
    box = f"{{ from = [-300, {low}, 300], to = [300, {high}, 560] }}"
    return f'[[keep_out]]\nname = "{name}"\nbox = {box}\n{more}\n'


PLACED = f"""\
format = 1
name = "Turned engine (invented)"
pos = 1.5
[gap]
fixed = {{ rest = 8, moved = 8, why = "ours" }}
[powertrain]
place = {{ at = [0, 0, 10], yaw = 90 }}
[[keep_out]]
name = "lever"
side = "powertrain"
box = {{ from = [95, -5, 300], to = [105, 5, 500] }}
moves = {{ about = [100, 0, 300], axis = [0, 3, 0], from = -10, to = 20 }}
[[keep_out]]
name = "pedal"
side = "powertrain"
pos = 3
box = {{ from = [-400, -5, 300], to = [-390, 5, 500] }}
moves = {{ by = [-20, 0, 0], back = 30 }}
{wall("dash", 190, 200)}
{wall("seat", 40, 50)}
{wall("board", -450, -445)}
{wall("beam", -345, -330, "pos = 2.25")}
[[slack]]
name = "cable"
powertrain = [100, 0, 300]
chassis = [0, 100, 550]
length = 270
[[path]]
name = "up and out"
part = "powertrain"
legs = [[0, 0, 30]]
"""
"""The engine's x is the bay's y: a lever 200 high turns between two walls, a pedal slides between two others."""


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("placed") / "bay.toml"
    file.write_text(PLACED, "utf-8")
    return file


@pytest.fixture(scope="module")
def done(path: Path) -> Fit:
    return fit(read(path))


def leans(degrees: float) -> float:
    """How far the top of the lever gets from the line it turns about."""
    t = math.radians(degrees)
    return 5 * math.cos(t) + 200 * math.sin(t)


@pytest.mark.parametrize(
    ("one", "other", "gap", "at"),
    [
        ("lever", "dash", 190 - 100 - leans(20), "lever at 20 deg"),
        ("lever", "seat", 100 - 50 - leans(10), "lever at -10 deg"),
        ("pedal", "board", 445 - 400 - 20, "pedal at 20 mm"),
        ("pedal", "beam", 390 - 345 - 30, "pedal at -30 mm"),
    ],
)
def test_what_moves_on_a_placed_engine_turns_and_slides_with_it(
    done: Fit, one: str, other: str, gap: float, at: str
) -> None:
    found = by_pair(done.moved)[frozenset((one, other))]
    assert found.low - 1e-6 <= gap <= found.high + 1e-6
    assert found.high == pytest.approx(gap, abs=1e-3)  # looked at there, at the end
    assert found.worst == at
    assert found.position is None  # the engine stands


def test_a_pair_that_is_meant_to_touch_is_not_moved(tmp_path: Path) -> None:
    file = tmp_path / "bay.toml"
    file.write_text(PLACED + '[[contact]]\npair = ["lever", "dash"]\n', "utf-8")
    assert frozenset(("lever", "dash")) not in by_pair(fit(read(file)).moved)


def test_what_swings_is_judged_by_how_far_it_reaches_with_a_bolt(done: Fit) -> None:
    """Bolts of bosses are cleared against what is near: 45 mm are past 8 and 10, not past its slide of 30 too."""
    things = {thing.name: thing for thing in done.things}
    bolt = replace(things["beam"], holds="some part")
    assert is_relevant_pair(done.bay, things["pedal"], bolt)
    assert not is_relevant_pair(done.bay, replace(things["pedal"], own=None), bolt)


# ------------------------------------------------------------------------------------------------------------- ±


def test_every_place_that_tells_a_spare_tells_it_less_the_pos_of_that_pair(done: Fit, tmp_path: Path) -> None:
    """Pedal and beam: ± 3 and 2.25; 45 still, 15 moved, 8 asked."""
    bay_lists.write_gaps(done, tmp_path / "gaps.csv")
    sheet = csv.DictReader((tmp_path / "gaps.csv").read_text("utf-8").splitlines())
    (told,) = (r for r in sheet if {r["a"], r["b"]} == {"pedal", "beam"})
    assert (told["pos_mm"], float(told["spare_less_pos_mm"])) == ("5.2500", pytest.approx(37 - 5.25, abs=1e-3))
    (rule,) = (row for row in rule_rows(done) if row.kind == "fixed")
    lows = [done.known.less(one.a, one.b, one.spare) for one in (*done.pairs, *done.moved)]
    assert rule.less == min(less for less in lows if less is not None)  # of all pairs, not the tightest pair's
    facts = record(done)
    (row,) = (row for row in facts["rules"] if row["class"] == "fixed")
    assert (row["spare_mm"], row["spare_less_pos_mm"]) == (rule.spare, rule.less)
    (way,) = facts["paths"]
    assert way["spare_less_pos_mm"] == pytest.approx(way["spare_mm"] - done.known.between(*way["pair"]))
    assert way["spare_less_pos_mm"] <= way["spare_mm"] - 3
    assert rule.less is not None
    assert rule.what == "lever | seat"  # of which ± 3 are taken off
    screen = fit_text(done, None)
    lines = [line.split() for line in screen.splitlines()]
    (line,) = (words for words in lines if words[-3:] == ["pedal", "|", "beam"])
    assert float(line[0]) == pytest.approx(7, abs=1)
    assert float(line[1]) == pytest.approx(float(line[0]) - 5.25, abs=0.11)
    asked = next(words for words in lines if words[2:3] == ["fixed"])
    assert float(asked[1]) == pytest.approx(rule.less, abs=0.1)


def test_a_spare_of_what_has_no_pos_is_a_question_mark_on_the_screen(done: Fit) -> None:
    known = replace(done.bay, pos=None)
    alone = fit(known)
    lines = [line.split() for line in fit_text(alone, None).splitlines()]
    told = {" ".join(words[-3:]): words[1] for words in lines if "|" in words[-2:-1]}
    assert told["lever | dash"] == "?"
    assert told["pedal | beam"] != "?"


BOXES = """\
format = 1
pos = 15
[gap]
fixed = {{ rest = 10, moved = 5, why = "ours" }}
[powertrain]
crank = {{ at = [0, 0, 100], axis = [1, 0, 0] }}
moves = {{ about = "crank", {moves} }}
[[keep_out]]
name = "rail"
box = {{ from = [0, 0, 0], to = [90, 300, 20] }}
{own}
[[keep_out]]
name = "sump"
side = "powertrain"
box = {{ from = [0, 0, {low}], to = [90, 300, 160] }}
"""
PEG = """\
[[keep_out]]
name = "peg"
side = "powertrain"
box = { from = [700, 0, 120], to = [710, 10, 130] }
[[keep_out]]
name = "post"
box = { from = [700, 0, 80], to = [710, 10, 90] }
"""


SLANT = """\
format = 1
pos = 15
[gap]
fixed = { rest = 10, moved = 5, why = "ours" }
[powertrain]
moves = { about = "crank", up = 2 }
[[keep_out]]
name = "rail"
tube = { from = [0, 0, 0], to = [300, 300, 0], od = 20 }
[[keep_out]]
name = "sump"
side = "powertrain"
box = { from = [-85, 200, -10], to = [-25, 280, 10] }
"""


@pytest.mark.parametrize(
    ("gap", "moves", "own", "more"),
    [
        # the least gap of all is settled whatever is asked: a peg that is nearer leaves the sump to its ±
        (73, "roll = 6, pitch = 3, up = 2", "", PEG),
        (68, "up = 2", "moves = { about = [0, 0, 0], axis = [1, 0, 0], from = 0, to = 6 }", ""),
    ],
    ids=["engine", "keep-out"],
)
def test_a_search_goes_on_until_the_pos_is_surely_spare(
    gap: float, moves: str, own: str, more: str, tmp_path: Path
) -> None:
    """Some 32 mm are spare and ± 30 together: a search that ends at what is asked alone calls them too few."""
    file = tmp_path / "bay.toml"
    file.write_text(BOXES.format(moves=moves, own=own, low=20 + gap) + more, "utf-8")
    told = fit(read(file))
    assert 30 < by_pair(told.moved)[frozenset(("sump", "rail"))].spare < 34
    assert [f.code for f in told.findings if set(f.about) == {"sump", "rail"}] == []


def test_still_a_pair_past_the_list_is_measured_until_the_pos_is_spare(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A box beside a rod that lies aslant: 225 over the root of 2, less its radius; 18 from its bounds."""
    monkeypatch.setattr(pairs_at_rest, "LISTED", 0)
    file = tmp_path / "bay.toml"
    file.write_text(SLANT, "utf-8")
    told = fit(read(file))
    (one,) = told.pairs
    assert 30 <= one.spare <= 225 / math.sqrt(2) - 10 - 10
    assert [f.code for f in told.findings] == []


# ------------------------------------------------------------------------------------------------- slack and page


def test_the_page_is_told_what_moves_where_it_is_worst_and_every_pos(path: Path, done: Fit) -> None:
    header, _ = unpack(whole(source(str(path), bare="mm"), {}))
    lever, pedal = header["movers"]
    assert (lever["thing"], lever["turn"], lever["travel"]) == ("lever", [-10, 20], [0, 0])
    assert lever["about"] == pytest.approx([0, 100, 310])
    assert lever["axis"] == pytest.approx([-1, 0, 0])
    assert (pedal["thing"], pedal["turn"], pedal["travel"]) == ("pedal", [0, 0], [-30, 20])
    assert pedal["along"] == pytest.approx([0, -1, 0])
    worst = {frozenset((row["a"], row["b"])): row for row in header["worst"]}
    assert worst[frozenset(("lever", "dash"))]["own"] == {"lever": [pytest.approx(20), 0]}
    assert worst[frozenset(("pedal", "beam"))]["own"] == {"pedal": [0, pytest.approx(-30)]}
    tables = {table["key"]: table for table in header["tables"]}
    for key, shown in (("gaps", done.pairs), ("moved", done.moved)):
        heads = [column["name"] for column in tables[key]["columns"]]
        assert heads[4:6] == ["spare", "less ±"]
        for row, one in zip(tables[key]["rows"], shown, strict=True):
            less = done.known.less(one.a, one.b, one.spare)
            assert less is not None
            assert float(row["cells"][5]) == pytest.approx(less, abs=0.1)
    assert tables["slack"]["rows"][0]["cells"] == ["cable", "240.0", "240.0", "", "240.0", "270", "30.0", "", ""]


def test_a_facts_file_says_where_in_its_own_movement_a_keep_out_is(done: Fit) -> None:
    told = {frozenset((row["a"], row["b"])): row for row in json.loads(json.dumps(record(done)))["moved"]}
    (lever,) = told[frozenset(("lever", "dash"))]["own"]
    (pedal,) = told[frozenset(("pedal", "beam"))]["own"]
    assert lever == {"name": "lever", "deg": pytest.approx(20), "mm": 0}
    assert pedal == {"name": "pedal", "deg": 0, "mm": pytest.approx(-30)}


# ----------------------------------------------------------------------------------------------- typed, at its ends

TYPED = """\
format = 1
pos = {pos}
[[keep_out]]
name = "rod"
tube = {{ from = [0, 0, 0], to = [0, 0, 90], od = 10 }}
moves = {{ about = [0, 0, 0], axis = [0, 1, 0], from = {low}, to = {high}, by = [0, 0, {by}], back = {back} }}
[[slack]]
name = "hose"
powertrain = [0, 0, 0]
chassis = [9, 0, 0]
length = {length}
margin = {margin}
"""
ENDS = {"pos": 20, "low": -180, "high": 180, "by": 0.001, "back": 1000, "length": 20000, "margin": 1000}
LEAST = {"pos": 0, "low": 0, "high": 0.001, "by": -0.001, "back": 0, "length": 1, "margin": 0}
PAST = {
    "pos": (20.1, "pos = 20.1 mm, must be 0 to 20 mm"),
    "low": (-180.1, "keep_out rod: moves_from = -180.1 deg, must be -180 to 0 deg"),
    "high": (180.1, "keep_out rod: moves_to = 180.1 deg, must be 0 to 180 deg"),
    "by": (0.0009, "keep_out rod: moves by = 0, 0, 0.0009 mm, must be at least 0.001 mm long"),
    "back": (1000.1, "keep_out rod: moves_back = 1000.1 mm, must be 0 to 1000 mm"),
    "length": (0.9, "slack hose: length = 0.9 mm, must be 1 to 20000 mm"),
    "margin": (1000.1, "slack hose: margin = 1000.1 mm, must be 0 to 1000 mm"),
}


@pytest.mark.parametrize("values", [ENDS, LEAST], ids=["greatest", "least"])
def test_what_is_typed_at_an_end_is_taken(values: dict[str, float], tmp_path: Path) -> None:
    file = tmp_path / "bay.toml"
    file.write_text(TYPED.format(**values), "utf-8")
    bay = read(file)
    assert (bay.pos, bay.slacks[0].length) == (values["pos"], values["length"])


@pytest.mark.parametrize("name", PAST)
def test_what_is_past_an_end_is_refused(name: str, tmp_path: Path) -> None:
    wrong, line = PAST[name]
    file = tmp_path / "bay.toml"
    file.write_text(TYPED.format(**(ENDS | {name: wrong})), "utf-8")
    with pytest.raises(BadFile) as told:
        read(file)
    (problem,) = told.value.problems
    assert problem.startswith(line)


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    """In one row that turns and slides, in another row, and at the top of the file."""
    file = tmp_path / "bay.toml"
    text = TYPED.format(**(ENDS | {"pos": 20.1, "margin": 1000.1}))
    text = text.replace("axis = [0, 1, 0], ", "").replace("by = [0, 0, 0.001], ", "")
    file.write_text(text, "utf-8")
    with pytest.raises(BadFile) as told:
        read(file)
    starts = [problem.split(",")[0] for problem in told.value.problems]
    assert sorted(starts) == [
        "keep_out rod: moves = incomplete",
        "keep_out rod: moves back = 1000 mm",
        "pos = 20.1 mm",
        "slack hose: margin = 1000.1 mm",
    ]
