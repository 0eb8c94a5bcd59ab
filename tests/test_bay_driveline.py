"""Shafts, chains and props of a bay, from the file to screen, JSON, CSV and spreadsheet."""

from __future__ import annotations

import csv
import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets.app.cli.app import main
from brackets.app.cli.fit_view import fit_text
from brackets.bay.clear.driveline import drives, drives_at
from brackets.bay.clear.props import props, top_at
from brackets.bay.clear.regions import moves_of
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.hung.block import Block
from brackets.bay.hung.mount_frames import place_of
from brackets.core.errors import BadFile
from brackets.core.place import Place
from brackets.output import bay_lists, formats
from brackets.output.bay_facts import record

HEAD = """\
format = 1
name = "Driven (invented)"
pos = 2
[powertrain]
place = { at = [0, 0, 10] }
moves = { about = "crank", up = 6, down = 10, fore = 4, aft = 5, side = 3 }
[[keep_out]]
name = "sump"
side = "powertrain"
box = { from = [-200, -100, 100], to = [200, 100, 300] }
[[keep_out]]
name = "road"
kind = "ground"
box = { from = [-1500, -800, -140], to = [1500, 800, -100] }
"""
SHAFT = """\
[[shaft]]
name = "prop_shaft"
joints = "Cardan"
powertrain = { at = [-400, 0, 215], axis = [-1, 0, 0] }
chassis = { at = [-1000, 20, 185], axis = [2, 0, 0] }
angle = { rest = 4, moved = 4.5 }
pair = { rest = 1, moved = 2 }
plunge = { shorter = 5, longer = 4 }
"""
CHAIN = """\
[[chain]]
name = "pump_belt"
powertrain = { at = [200, 150, 180], axis = [0, 1, 0] }
chassis = { at = [450, 152, 190], axis = [0, -1, 0] }
offset = { rest = 1, moved = 5 }
angle = { rest = 0.3, moved = 1.5 }
centres = { nearer = 3, further = 6 }
"""
PROPS = """\
[[prop]]
name = "sump_front"
at = [150, 0, 100]
[[prop]]
name = "tail"
at = [-400, 0, 150]
ground = -95
"""
BAY = HEAD + SHAFT + CHAIN + PROPS


def fitted(folder: Path, text: str) -> Fit:
    path = folder / "bay.toml"
    path.write_text(text, "utf-8")
    return fit(read(path))


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    return fitted(tmp_path_factory.mktemp("driven"), BAY)


def figures(facts: dict[str, Any], name: str) -> dict[str, Any]:
    (row,) = (one for one in facts["drives"] if one["name"] == name)
    return {one["what"]: one for one in row["figures"]}


def bend(x: float, y: float, z: float) -> float:
    return math.degrees(math.atan2(math.hypot(y, z), x))


# ------------------------------------------------------------------------------------------------------------ shaft


def test_a_shaft_is_told_in_two_views_and_compound_standing_still_and_moved(done: Fit) -> None:
    """The place lifts its end to z = 225: 600 long, 40 down and 20 to the left, both flanges level."""
    of = figures(record(done), "prop_shaft")
    (length,) = (one["length_mm"] for one in record(done)["drives"] if one["name"] == "prop_shaft")
    assert length == pytest.approx(math.hypot(600, 20, 40))
    for what in ("joint on the powertrain", "joint on the chassis"):
        one = of[what]
        assert one["still"] == pytest.approx(bend(600, 20, 40))
        assert one["still_parts"] == pytest.approx({"side": bend(600, 0, 40), "plan": bend(600, 20, 0)})
        side, plan = (math.tan(math.radians(v)) for v in one["still_parts"].values())
        assert math.tan(math.radians(one["still"])) == pytest.approx(math.hypot(side, plan))
        # up 6 and 3 to the right, aft 5 brings it to 595
        assert one["moved"] == pytest.approx([bend(595, 23, 46)] * 2)
        assert one["worst"] == "aft 5 mm, right 3 mm, up 6 mm"
        assert one["moved_parts"] == pytest.approx({"side": bend(595, 0, 46), "plan": bend(595, 23, 0)})
    pair = of["both joints together"]
    assert pair["still"] == pytest.approx(0, abs=1e-3)  # both flanges are parallel, however they travel
    assert pair["moved"] == pytest.approx([0, 0], abs=1e-3)
    assert pair["still_parts"] == pytest.approx({"differ by": 0, "planes apart by": 0}, abs=1e-5)


def test_a_shaft_plunges_by_the_change_between_its_joints(done: Fit) -> None:
    of, rest = figures(record(done), "prop_shaft"), math.hypot(600, 20, 40)
    nearest, furthest = math.hypot(595, 17, 30), math.hypot(604, 23, 46)
    assert of["shorter by"]["moved"] == pytest.approx([rest - nearest] * 2)
    assert of["longer by"]["moved"] == pytest.approx([furthest - rest] * 2)
    said = {f.sentence: f.level for f in done.findings if f.code == "plunge"}
    worst = "than at rest at the worst movement"
    assert said == {
        f"becomes {rest - nearest:.2f} mm shorter {worst}, 5 typed: it bottoms": "stop",
        f"becomes {furthest - rest:.2f} mm longer {worst}, 4 typed: it comes apart": "stop",
    }
    assert done.stops


def test_what_is_typed_is_kept_or_broken_with_the_views_beside_it(done: Fit) -> None:
    said = [(f.level, f.sentence, f.about) for f in done.findings if f.code == "joint angle"]
    moved = f"(side {bend(595, 0, 46):.2f}, plan {bend(595, 23, 0):.2f}) at the worst movement"
    assert said == [
        (level, f"its joint on the {side} bends by {words}", ("prop_shaft",))
        for level, words in (
            ("stop", f"{bend(595, 23, 46):.2f} deg {moved} (aft 5 mm, right 3 mm, up 6 mm), 4.5 typed"),
            ("caution", "4.26 deg (side 3.81, plan 1.91) standing still, 4 typed"),
        )
        for side in ("powertrain", "chassis")
    ]


def test_an_axis_that_leans_leaves_the_joints_uneven(tmp_path: Path) -> None:
    """Level, in line, the differential's flange 3 deg nose up: one joint bends by 3 deg, and all of it is left."""
    t = math.tan(math.radians(3))
    text = SHAFT.replace("[-1000, 20, 185], axis = [2, 0, 0]", f"[-1000, 0, 225], axis = [1, 0, {t!r}]")
    done = fitted(tmp_path, HEAD + text)
    of = figures(record(done), "prop_shaft")
    assert of["joint on the chassis"]["still"] == pytest.approx(3)
    assert of["joint on the powertrain"]["still"] == pytest.approx(0)
    assert of["both joints together"]["still"] == pytest.approx(3)
    parts = of["both joints together"]["still_parts"]
    assert parts == pytest.approx({"differ by": 3})  # the other bends in no plane
    (said,) = (f.sentence for f in done.findings if f.code == "joint pair" and "standing still" in f.sentence)
    assert said == (
        "its two joints turn as unevenly as one that bends by 3.00 deg (differ by 3.00) standing still, 1 typed:"
        " make both bends alike and in one plane"
    )


def test_the_place_turns_the_flange_with_its_joint(tmp_path: Path) -> None:
    """A quarter turn nose left: the shaft lies across, level, in line, and shows its length in plan and front."""
    text = SHAFT.replace("[-1000, 20, 185], axis = [2, 0, 0]", "[0, -1000, 215], axis = [0, 1, 0]")
    path = tmp_path / "bay.toml"
    path.write_text("format = 1\n[powertrain]\nplace = { yaw = 90 }\n" + text, "utf-8")
    (drive,) = drives(read(path))
    assert drive.length == pytest.approx(600)
    for figure in drive.figures[:2]:
        assert figure.still == pytest.approx(0, abs=1e-6)
        assert [name for name, _ in figure.still_parts] == ["plan", "front"]


def test_joints_of_constant_velocity_are_not_held_to_one_another(tmp_path: Path) -> None:
    text = SHAFT.replace('"Cardan"', '"constant velocity"').replace("pair = { rest = 1, moved = 2 }\n", "")
    done = fitted(tmp_path, HEAD + text)
    assert "both joints together" not in figures(record(done), "prop_shaft")
    assert not [f for f in done.findings if f.code == "drive limits"]


def test_what_is_not_typed_is_named_and_judged_by_nothing(tmp_path: Path) -> None:
    bare = "\n".join(line for line in SHAFT.splitlines() if not line.startswith(("angle", "pair", "plunge")))
    done = fitted(tmp_path, HEAD + bare + "\nangle = { rest = 5 }\n")
    (said,) = (f for f in done.findings if f.about == ("prop_shaft",))
    assert (said.level, said.code) == ("advice", "drive limits")
    assert said.sentence == (
        "no limit typed for angle.moved, pair.rest, pair.moved, plunge.shorter, plunge.longer:"
        " told, and judged by nothing"
    )
    text = " ".join(fit_text(done, None).split())
    assert "shorter by" in text
    assert "no limit" in text


def test_without_a_movement_only_standing_still_is_told(tmp_path: Path) -> None:
    still = HEAD.replace('moves = { about = "crank", up = 6, down = 10, fore = 4, aft = 5, side = 3 }', "")
    done = fitted(tmp_path, still + SHAFT + CHAIN)
    for name in ("prop_shaft", "pump_belt"):
        assert all(one["moved"] is None for one in figures(record(done), name).values())
    assert [(f.code, f.level) for f in done.findings if f.about in (("prop_shaft",), ("pump_belt",))] == [
        ("joint angle", "caution"), ("joint angle", "caution"), ("chain line", "caution")
    ]  # fmt: skip
    bay_lists.write_drives(done, tmp_path / "driveline.csv")
    row = next(csv.DictReader((tmp_path / "driveline.csv").read_text("utf-8").splitlines()))
    assert (row["moved_low"], row["moved_limit"], row["worst"]) == ("", "4.5", "")


@given(axis=st.tuples(*[st.floats(-1, 1)] * 3), other=st.tuples(*[st.floats(-1, 1)] * 3),
       turns=st.tuples(*[st.floats(-8, 8)] * 3), shift=st.tuples(*[st.floats(-50, 50)] * 3))  # fmt: skip
@settings(deadline=None, max_examples=6)
def test_whatever_the_axes_no_place_of_the_movement_bends_it_further(
    tmp_path_factory: pytest.TempPathFactory,
    axis: tuple[float, float, float],
    other: tuple[float, float, float],
    turns: tuple[float, float, float],
    shift: tuple[float, float, float],
) -> None:
    """From the file on, the powertrain placed and turned: joints and pair against plain vectors at 200 places."""
    own, fixed = np.array((-1.0, 0, 0)) + 0.3 * np.array(axis), np.array((1.0, 0, 0)) + 0.3 * np.array(other)
    path = tmp_path_factory.mktemp("random") / "bay.toml"
    path.write_text(
        f"""format = 1
[powertrain]
place = {{ at = {list(shift)}, roll = {turns[0]!r}, pitch = {turns[1]!r}, yaw = {turns[2]!r} }}
crank = {{ at = [50, 20, 200] }}
moves = {{ about = "crank", roll = 2, pitch = 1, yaw = 1.5, up = 6, down = 10, fore = 4, aft = 5, side = 3 }}
[[shaft]]
name = "s"
joints = "Cardan"
powertrain = {{ at = [-400, 0, 215], axis = {own.tolist()} }}
chassis = {{ at = [-1000, 20, 185], axis = {fixed.tolist()} }}
""",
        "utf-8",
    )
    bay = read(path)
    (drive,) = drives(bay)
    moves, place = moves_of(bay), place_of(bay.powertrain)
    assert moves is not None
    random, end = np.random.default_rng(3), np.array((-1000.0, 20, 185))
    start, lean = np.array(place.point((-400, 0, 215))), np.array(place.direction(tuple(own / np.linalg.norm(own))))
    rest, senses = end - start, []
    for one in (lean, fixed):
        senses.append(one * (1 if one @ rest >= 0 else -1) / np.linalg.norm(one))
    (low, high), most = moves.limits.T, [0.0, 0.0]
    ends, within = np.where(random.random((200, 6)) < 0.5, low, high), random.uniform(low, high, (200, 6))
    for at in np.where(random.random((200, 6)) < 0.8, ends, within):
        there = moves.place(at)
        way = end - there.points(start[None])[0]
        way = way / np.linalg.norm(way)
        for i, one in enumerate((there.turn @ senses[0], senses[1])):
            most[i] = max(most[i], math.degrees(math.acos(min(1.0, float(one @ way)))))
    for figure, sampled in zip(drive.figures, most, strict=False):
        assert figure.moved is not None
        assert sampled <= figure.moved.high + 1e-6
        assert figure.moved.low <= sampled + 1.5
        assert figure.still is not None
        assert figure.still <= figure.moved.high + 1e-6


# ------------------------------------------------------------------------------------------------------------ chain


def test_a_chain_is_told_by_its_line_its_axes_and_its_centres(done: Fit) -> None:
    """Lifted to z = 190: 250 apart, 2 out of line; both axes along y, typed either way, and nothing turns."""
    of = figures(record(done), "pump_belt")
    assert of["out of line by"]["still"] == pytest.approx(2)
    assert of["out of line by"]["moved"] == pytest.approx([5, 5])
    assert of["axes off parallel by"]["moved"] == pytest.approx([0, 0])
    rest = math.hypot(250, 2)
    assert of["centres nearer by"]["moved"] == pytest.approx([rest - 246] * 2)
    assert of["centres further by"]["moved"] == pytest.approx([math.hypot(255, 5, 10) - rest] * 2)
    said = [(f.code, f.level, f.sentence) for f in done.findings if f.about == ("pump_belt",)]
    assert said == [
        ("chain line", "caution", "is out of line by 2.00 mm standing still, 1 typed"),
        ("chain centres", "caution",
         f"its centres come {rest - 246:.2f} mm nearer than at rest at the worst movement, 3 typed"),
    ]  # fmt: skip


# ------------------------------------------------------------------------------------------------------------ props


def test_a_prop_stands_between_the_ground_and_its_point(done: Fit, tmp_path: Path) -> None:
    """110 over the road's -100, and 160 over -95 as typed."""
    assert [(one["name"], one["height_mm"], one["on"]) for one in record(done)["props"]] == [
        ("sump_front", 210, "road"), ("tail", 255, "as typed"),
    ]  # fmt: skip
    text = " ".join(fit_text(done, None).split())
    assert "sump_front 150.0 0.0 210.0 road" in text
    bay_lists.write_props(done, tmp_path / "props.csv")
    row, _ = csv.DictReader((tmp_path / "props.csv").read_text("utf-8").splitlines())
    assert (row["prop"], float(row["height_mm"]), row["stands_on"]) == ("sump_front", 210, "road")


def test_a_height_over_the_ground_has_limits(tmp_path: Path) -> None:
    """210 over the road, 220 typed at least; 255 at the tail, to 260."""
    low = PROPS.replace("at = [150, 0, 100]", "at = [150, 0, 100]\nheight = { from = 220 }")
    done = fitted(tmp_path, HEAD + low + "height = { from = 200, to = 260 }\n")
    (said,) = (f for f in done.findings if f.code == "prop height")
    assert said.sentence == "stands 210.0 mm over the ground (road), at least 220 mm typed"
    assert (said.level, said.about) == ("caution", ("sump_front",))
    assert [one["height_limits_mm"] for one in record(done)["props"]] == [[220, None], [200, 260]]
    assert "sump_front 150.0 0.0 210.0 at least 220 road" in " ".join(fit_text(done, None).split())
    bay_lists.write_props(done, tmp_path / "props.csv")
    row, _ = csv.DictReader((tmp_path / "props.csv").read_text("utf-8").splitlines())
    assert (float(row["least_mm"]), row["most_mm"]) == (220, "")


def test_the_highest_ground_under_a_point_counts_and_a_slope_is_met_where_it_is(tmp_path: Path) -> None:
    ramp = """[[keep_out]]
name = "ramp"
kind = "ground"
box = { at = [0, 0, -100], axis = [-0.6, 0, 0.8], up = [0, 1, 0], from = [-300, -50, 0], to = [300, 50, 20] }
"""
    found = fitted(tmp_path, HEAD + ramp + PROPS).props
    # its top is the plane -0.6 x + 0.8 (z + 100) = 20
    assert found[0].on == "ramp"
    assert found[0].height == pytest.approx(110 - (-100 + (20 + 0.6 * 150) / 0.8))


def test_a_point_beside_or_along_a_box_has_no_top() -> None:
    flat = Block(place=Place(), low=(0, 0, 0), high=(10, 10, 5), wall=None)
    assert top_at(flat, (10, 10, -40)) == 5
    assert top_at(flat, (10.1, 5, 50)) is None
    leaning = Block(place=Place(axis=(0, 1, 0), up=(0, 0, 1)), low=(0, 0, 0), high=(10, 10, 5), wall=None)
    assert top_at(leaning, (-3, 2, 50)) == pytest.approx(10)  # its y is up


def test_a_point_under_the_ground_is_told(tmp_path: Path) -> None:
    done = fitted(tmp_path, HEAD + PROPS.replace("at = [150, 0, 100]", "at = [150, 0, -115]"))
    (said,) = (f for f in done.findings if f.code == "prop")
    assert said.sentence == "is 5.0 mm below the ground (road): nothing can be propped there"
    assert (said.level, said.about) == ("caution", ("sump_front",))


# ------------------------------------------------------------------------------------- what is written, and by whom


def test_screen_json_csv_and_spreadsheet_hold_the_same(done: Fit, tmp_path: Path) -> None:
    names = formats.write("bay", done, tmp_path)
    assert {"driveline.csv", "props.csv"} <= set(names)
    rows = list(csv.DictReader((tmp_path / "driveline.csv").read_text("utf-8").splitlines()))
    told = [(one["name"], figure) for one in record(done)["drives"] for figure in one["figures"]]
    assert [(row["name"], row["figure"]) for row in rows] == [(name, figure["what"]) for name, figure in told]
    for row, (_, figure) in zip(rows, told, strict=True):
        assert float(row["moved_high"]) == pytest.approx(figure["moved"][1], abs=1e-6)
        assert row["still"] == "" if figure["still"] is None else float(row["still"]) == pytest.approx(
            figure["still"], abs=1e-6
        )
    book = openpyxl.load_workbook(tmp_path / "lists.xlsx")
    assert book.sheetnames == ["masses", "buy", "cut", "sticks", "gaps", "driveline", "props"]
    assert [cell.value for cell in book["driveline"][2]][:3] == ["prop_shaft", "joint on the powertrain", "deg"]
    text = " ".join(fit_text(done, None).split())
    assert "prop_shaft, Cardan joints, 601.7 mm from joint to joint; degrees and mm" in text
    assert "out of line by 2.00 1 5.00 5" in text


def test_a_bay_without_any_has_no_file_and_no_sheet_of_them(tmp_path: Path) -> None:
    done = fitted(tmp_path, HEAD)
    names = formats.write("bay", done, tmp_path)
    assert not {"driveline.csv", "props.csv"} & set(names)
    assert openpyxl.load_workbook(tmp_path / "lists.xlsx").sheetnames == ["masses", "buy", "cut", "sticks", "gaps"]
    assert (record(done)["drives"], record(done)["props"]) == ([], [])


def test_an_inch_bay_is_the_same_bay(done: Fit, tmp_path: Path) -> None:
    """Every bare length over 25.4; angles and directions are none."""

    def inches(text: str) -> str:
        found = []
        for line in text.splitlines():
            keep = line.startswith(("format", "name", "joints", "angle", "pair", "kind", "side"))
            number = r"(?<![\w.])-?\d+(?:\.\d+)?"
            axis = re.search(r"axis = \[[^]]*\]", line)
            kept = "" if axis is None else axis.group()
            rest = line.replace(kept, "AXIS") if kept else line
            if not keep:
                rest = re.sub(number, lambda m: repr(float(m.group()) / 25.4), rest)
            found.append(rest.replace("AXIS", kept))
        return "\n".join(found)

    other = fitted(tmp_path, inches(BAY).replace("format = 1", 'format = 1\nunit = "in"'))
    assert other.bay.shafts[0].plunge_longer == pytest.approx(4)
    for one, two in zip(record(done)["drives"], record(other)["drives"], strict=True):
        for a, b in zip(one["figures"], two["figures"], strict=True):
            assert b["moved"] == pytest.approx(a["moved"], abs=1e-3)
            assert b["moved_limit"] == pytest.approx(a["moved_limit"])
    assert [p["height_mm"] for p in record(other)["props"]] == pytest.approx([210, 255])


def test_place_tells_of_both_places(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A roof 20 over the sump wants the engine lower: 20 mm at most, where the shaft lies level."""
    roof = '[[keep_out]]\nname = "roof"\nbox = { from = [-900, -800, 330], to = [900, 800, 360] }\n'
    path = tmp_path / "bay.toml"
    path.write_text(HEAD + roof + SHAFT + PROPS + "[place]\nup = [-10, 10]\n", "utf-8")
    assert main(["place", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    up = told["best"]["place"]["at"][2]
    assert up < 10
    of = {key: figures({"drives": told["drives"][key]}, "prop_shaft") for key in ("typed", "best")}
    assert of["typed"]["joint on the powertrain"]["still"] == pytest.approx(bend(600, 20, 40))
    assert of["best"]["joint on the powertrain"]["still"] == pytest.approx(bend(600, 20, 30 + up))
    heights = [one["height_mm"] for one in told["props"]["best"]]
    assert heights == pytest.approx([200 + up, 245 + up])
    assert main(["place", str(path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "prop_shaft: joint on the powertrain 4.26 deg, PAST IT" in said
    assert f"sump_front 210.0 {200 + up:.1f} road" in said


def test_without_limits_place_tells_of_the_typed_place_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bay.toml"
    path.write_text(BAY, "utf-8")
    assert main(["place", str(path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "what typed may be" in said
    assert "sump_front 210.0 road" in said
    main(["place", str(path), "--json"])
    assert json.loads(capsys.readouterr().out)["props"]["best"] is None


def test_place_says_which_limits_it_keeps(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The roof wants the engine 20 lower, the tail stays 245 over the ground: 10 lower, where it bends 3.44 deg."""
    roof = '[[keep_out]]\nname = "roof"\nbox = { from = [-900, -800, 330], to = [900, 800, 360] }\n'
    moved = SHAFT.replace("angle = { rest = 4, moved = 4.5 }", "angle = { moved = 4.2 }")
    tail = "height = { from = 245, to = 250 }\n"
    path = tmp_path / "bay.toml"
    path.write_text(HEAD + roof + moved + PROPS + tail + "[place]\nup = [-10, 10]\n", "utf-8")
    assert main(["place", str(path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "tail 255.0, PAST IT 245.0 245 to 250 as typed" in said
    assert "at the end of tail height from 245 mm" in said
    assert "typed place outside: tail height to 250 mm: 5.00 mm past it" in said
    assert "prop_shaft: joint on the powertrain 4.26 deg, PAST IT 3.44 deg 4.2, as moved" in said


def test_over_a_place_without_ground_no_height_is_told(done: Fit) -> None:
    away = Place((5000.0, 0.0, 0.0))
    assert [one.height for one in props(done.bay, away)] == [None, 245]
    assert drives_at(done.bay, Place())[0].length == pytest.approx(math.hypot(600, 20, 30))


def test_a_person_may_accept_what_a_shaft_does(tmp_path: Path) -> None:
    accept = '[[accept]]\ncode = "plunge"\npart = "prop_shaft"\nwhy = "a longer one is ordered"\nby = "A. Fitter"\n'
    done = fitted(tmp_path, HEAD + SHAFT.replace("moved = 4.5", "moved = 5") + accept)
    assert not done.stops
    assert [f.accepted for f in done.findings if f.code == "plunge"] == [True, True]


# --------------------------------------------------------------------------------------------------------- refusals

REFUSED = {
    "no kind": (SHAFT.replace('joints = "Cardan"\n', ""), "shaft prop_shaft: joints = nothing"),
    "another kind": (SHAFT.replace("Cardan", "rubber"),
                     "shaft prop_shaft: joints = \"rubber\", must be one of Cardan, constant velocity"),
    "no axis": (SHAFT.replace(", axis = [2, 0, 0]", ""), "shaft prop_shaft: chassis_axis = nothing"),
    "an axis of no length": (SHAFT.replace("[2, 0, 0]", "[0, 0, 0]"), "shaft prop_shaft: chassis_axis = "),
    "a pair that turns evenly": (
        SHAFT.replace('"Cardan"', '"constant velocity"').replace(", moved = 2 }", " }"),
        "shaft prop_shaft: pair_rest = 1 deg, only with joints = Cardan: others turn evenly"),
    "less when moved": (
        SHAFT.replace("moved = 4.5", "moved = 3"),
        "shaft prop_shaft: angle = 4 at rest, 3 moved, must be low to high: rest is part of the movement"),
    "less offset when moved": (
        CHAIN.replace("moved = 5", "moved = 0.5"),
        "chain pump_belt: offset = 1 at rest, 0.5 moved, must be low to high: rest is part of the movement"),
    "past the range": (SHAFT.replace("longer = 4", "longer = 2000"),
                       "shaft prop_shaft: plunge_longer = 2000 mm, must be 0 to 1000 mm"),
    "twice": (SHAFT + SHAFT, "shaft prop_shaft: there are 2 of that name, each name once"),
    "of no length once it is placed": (
        SHAFT.replace("[-1000, 20, 185]", "[-400, 0, 225.5]"),
        "shaft prop_shaft: powertrain.at to chassis.at = 0.50 mm, must be 1 mm or more: from end to end"),
    "a chain of no length": (
        CHAIN.replace("[450, 152, 190]", "[200, 150, 190]"),
        "chain pump_belt: powertrain.at to chassis.at = 0.00 mm, must be 1 mm or more: from end to end"),
    "no ground": (PROPS.replace("[150, 0, 100]", "[1600, 0, 100]"),
                  "prop sump_front: ground = nothing, must be a height z:"
                  " no box of kind ground is under it at 1600, 0"),
    "an unknown key": (SHAFT + "length = 5\n", "shaft prop_shaft: length"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_is_refused_in_one_line(name: str, tmp_path: Path) -> None:
    text, line = REFUSED[name]
    path = tmp_path / "bay.toml"
    path.write_text(HEAD + text, "utf-8")
    with pytest.raises(BadFile) as wrong:
        read(path)
    assert [problem[: len(line)] for problem in wrong.value.problems] == [line]


def test_an_end_of_exactly_a_mm_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "bay.toml"
    path.write_text(HEAD + SHAFT.replace("[-1000, 20, 185]", "[-400, 0, 226]"), "utf-8")
    assert read(path).shafts[0].name == "prop_shaft"
