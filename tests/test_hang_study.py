"""What hang says of a bay besides loads: driveline, what comes through, bushes side by side, by closed forms; and
its pictures and files. All bays are invented."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hung_bay import BAY, CORNERS, MOUNT, SHAFT, hung

from brackets.bay.hang_compare import HARDNESS, Asked, compared, materials_of
from brackets.bay.hang_driveline import driveline_findings, moved_place
from brackets.bay.hang_study import by_what, hang_study
from brackets.bay.hanging import Hanging
from brackets.core.errors import InputError
from brackets.core.rulebook.bay import JOINT_ANGLE
from brackets.hang.bush import SOLID, bush_springs
from brackets.hang.cases import under_cases
from brackets.hang.load import G, Load, LoadCase
from brackets.hang.response import LOSS
from brackets.hang.statics import Reactions
from brackets.output.hang_files import pictures_of
from brackets.output.hang_tables import first_tables, more_tables, movers_table, set_height_table, set_height_words


def with_case(found: Hanging, *cases: LoadCase) -> Hanging:
    """The bay with other load cases than its file has."""
    on = found.on
    return replace(found, results=under_cases(on.mass.kg, on.mass.centroid, on.mounts, cases))


def test_a_shaft_bends_by_what_the_case_moves_its_end(tmp_path: Path) -> None:
    """1 g down on 4 x 300 N/mm sinks the whole, level, by as much again as its weight: the shaft, 1000 long and in
    line as drawn, then leans at both joints alike, and is longer by as little as Pythagoras says."""
    bay = with_case(hung(tmp_path, SHAFT.format("")), LoadCase(name="bump", felt=(0, 0, -1)))
    sinks = 100 * G / 1200
    found = {one.of.what: one for one in hang_study(bay).driveline}
    lean = math.degrees(math.atan(sinks / 1000))
    for what in ("joint on the powertrain", "joint on the chassis"):
        assert found[what].drawn == pytest.approx(0, abs=1e-6)
        assert found[what].cases == pytest.approx((0, lean), abs=1e-6)
        assert bay.results[found[what].worst].case.name == "bump"
    assert found["both joints together"].cases[1] == pytest.approx(0, abs=1e-3)  # alike and in one plane
    assert found["longer by"].cases[1] == pytest.approx(math.hypot(1000, sinks) - 1000, abs=1e-9)
    assert found["shorter by"].cases == (0, 0)


def test_a_flange_that_pitches_bends_its_own_joint_by_as_much_more(tmp_path: Path) -> None:
    """A couple about y, 2e6 N mm on 4 x 300 x 200 squared: nose down by 2e6 / 4.8e7; the joint 300 behind the
    centre goes up, so that its flange turns away from the shaft, which leans the other way."""
    nose = LoadCase(name="nose", loads=(Load(couple=(0, 2e6, 0)),))
    bay = with_case(hung(tmp_path, SHAFT.format("")), nose)
    turn = 2e6 / (4 * 300 * 200**2)
    up = 300 * math.sin(turn)
    lean = math.atan(up / (1300 - 300 * math.cos(turn)))
    found = {one.of.what: one for one in hang_study(bay).driveline}
    assert found["joint on the chassis"].cases[1] == pytest.approx(math.degrees(lean), rel=1e-6)
    assert found["joint on the powertrain"].cases[1] == pytest.approx(math.degrees(turn + lean), rel=1e-6)


def test_a_joint_that_a_case_bends_too_far_stops(tmp_path: Path) -> None:
    lean = math.degrees(math.atan(100 * G / 1200 / 1000))
    for limit, codes in ((lean + 1e-4, []), (lean - 1e-4, [JOINT_ANGLE.code] * 2)):
        bay = hung(tmp_path, SHAFT.format(f"angle = {{ rest = 0.01, moved = {limit:.7f} }}"))
        bay = with_case(bay, LoadCase(name="bump", felt=(0, 0, -1)))
        said = [*driveline_findings(bay.results, hang_study(bay).driveline)]
        assert [one.code for one in said] == codes
        assert all(one.level == "stop" and one.about == ("shaft",) for one in said)
    assert said[0].sentence.startswith("case bump: its joint on the powertrain bends by 0.05 deg")


def test_where_a_case_carries_a_point_is_what_reactions_say(tmp_path: Path) -> None:
    """A rigid motion agrees with the small movement to the second order, and turns no length."""
    rng = random.Random(3)
    bay = hung(tmp_path)
    for _ in range(20):
        moved = np.array([rng.uniform(-3, 3) for _ in range(3)] + [rng.uniform(-0.02, 0.02) for _ in range(3)])
        drawn = bay.results[0].found
        found: Reactions = replace(drawn, movement=drawn.rest + moved)
        place = moved_place(found)
        at = tuple(rng.uniform(-400, 400) for _ in range(3))
        assert place.point(at) == pytest.approx(tuple(np.array(at) + found.at(at)), abs=700 * 0.04**2)
        assert math.dist(place.point(at), place.point((0, 0, 0))) == pytest.approx(math.dist(at, (0, 0, 0)))


def test_what_comes_through_of_the_firing_couple_is_that_of_one_turning_mass(tmp_path: Path) -> None:
    """Four alike about the centre in y: they turn it by k = 4 x 300 x 250 squared about x, each takes a quarter of
    the couple that comes through over its arm; one mass on one spring with a loss factor."""
    bay = hung(tmp_path)
    found = hang_study(bay).through
    assert found is not None
    stiff = 4 * 300 * 250**2 * 1000  # N mm to kg mm2 / s2
    inertia = 100 / 12 * (300**2 + 400**2)
    assert found.order == 2
    for speed, forces in zip(found.speeds[::20], found.forces[::20], strict=True):
        omega = 2 * math.pi * 2 * speed / 60
        spring = stiff * (1 + 1j * LOSS)
        share = abs(spring / (spring - inertia * omega**2))
        assert forces == pytest.approx(np.full(4, 1000 * share / 4 / 250), rel=1e-9)
    assert found.slowly == pytest.approx(np.full(4, 1.0))
    assert found.speeds[-1] == 3600
    assert list(found.speeds).count(900.0) == 1


def test_what_comes_through_does_not_grow_with_the_length_of_a_typed_direction(tmp_path: Path) -> None:
    """In a bay in inches a direction of 1 is 25.4 long, as it is read."""
    one, other = (
        hang_study(hung(tmp_path, text=BAY.replace("axis = [1, 0, 0] }}", f"axis = [{x}, 0, 0] }}}}"))).through
        for x in (1, 25.4)
    )
    assert one is not None
    assert other is not None
    assert other.idle == pytest.approx(one.idle)


def test_movement_and_loads_range_as_the_scatter_of_one_spring_says(tmp_path: Path) -> None:
    """Four bushes known to 20 %: all soft sinks it most, W / 4k (1 / 0.8 - 1) below where it is drawn."""
    (weight, _) = hang_study(hung(tmp_path)).movements
    sag = 100 * G / 1200
    assert weight.low is not None
    assert weight.high is not None
    assert weight.low[2] == pytest.approx(-sag * 0.25)
    assert weight.high[2] == pytest.approx(sag / 6)
    assert weight.forces is not None
    for low, high in weight.forces:
        assert low < 100 * G / 4 < high


def test_the_same_sizes_in_other_materials_have_their_springs(tmp_path: Path) -> None:
    rubber = "rubber = { inner_r = 9, outer_r = 22, length = 40, hardness = 50 }"
    bay = hung(tmp_path, rubber=rubber)
    typed, own, hard, poly, solid = compared(bay, materials_of("rubber,rubber:65,poly,solid"))
    names = [one.name for one in (typed, own, hard, poly, solid)]
    assert names == ["as typed", "rubber 50", "rubber 65", f"poly {HARDNESS['poly']:g}", "solid"]
    assert typed.sag == pytest.approx(100 * G / 1200)
    for one, springs in (
        (own, bush_springs("rubber", 9, 22, 40, 50)), (hard, bush_springs("rubber", 9, 22, 40, 65)),
        (poly, bush_springs("poly", 9, 22, 40, 80)), (solid, bush_springs("solid", 9, 22, 40)),
    ):  # fmt: skip
        assert one.sag == pytest.approx(100 * G / (4 * springs.radial.value), rel=1e-9)
    assert solid.sag == pytest.approx(100 * G / 4 / SOLID)
    assert typed.load_at[1] == "first gear"
    assert not [note for note in own.notes if "taken as" in note]
    assert [note for note in poly.notes if "80 Shore A: common practice, no source" in note]
    assert all(left.hz[0] < right.hz[0] for left, right in ((own, hard), (hard, poly), (poly, solid)))


def test_limits_of_a_row_are_not_held_against_another_material(tmp_path: Path) -> None:
    """800 kg overloads the bush as typed, whose row allows 1500 N; of what is made of poly nothing is known."""
    bay = hung(tmp_path, text=BAY.replace("mass = 100", "mass = 800"))
    typed, poly = compared(bay, [Asked(material="poly", hardness=90)])
    assert typed.findings["mount load"]
    assert "mount load" not in poly.findings
    assert "mount travel" not in poly.findings


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("steel", "--compare = steel, must be one of rubber, poly, solid"),
        ("", "--compare = nothing, must be one of rubber, poly, solid"),
        ("rubber:90", "--compare = rubber:90, must be 30 to 75: IRHD of rubber"),
        ("rubber:x", "--compare = rubber:x, must be 30 to 75: IRHD of rubber"),
        ("poly:20", "--compare = poly:20, must be 50 to 95: Shore A of poly"),
        ("solid:50", "--compare = solid:50, must be solid alone: it has no hardness"),
    ],
)
def test_what_is_no_material_is_refused(text: str, said: str) -> None:
    with pytest.raises(InputError) as told:
        materials_of(f"rubber,{text},poly")
    assert told.value.problems == (said,)


def test_limits_of_hardness_may_be_typed() -> None:
    found = materials_of("rubber:30, rubber:75 ,poly:50,poly:95,rubber:30")
    assert [(each.material, each.hardness) for each in found] == [
        ("rubber", 30), ("rubber", 75), ("poly", 50), ("poly", 95)
    ]  # fmt: skip


def test_all_that_is_wrong_is_said_at_once() -> None:
    with pytest.raises(InputError) as told:
        materials_of("steel,rubber:5")
    assert len(told.value.problems) == 2


def test_tables_say_the_set_height_and_what_changes_most(tmp_path: Path) -> None:
    height = set_height_table(hang_study(hung(tmp_path)))
    study = hang_study(hung(tmp_path, rubber="rubber = { inner_r = 9, outer_r = 22, length = 40, hardness = 55 }"))
    assert height is not None
    assert {row[1:6] for row in height.table.rows} == {("0.0", "0.0", "0.8", "-0.3", "0.2")}
    assert "sinks 0.8 mm and it turns 0.00 deg" in set_height_words(study)[0]
    rows = movers_table(study).table.rows
    assert rows[0][0].startswith("frequency of mode 6")
    stiff = next(row for row in rows if "stiffer" in row[1])
    assert "10 % stiffer (2.0 IRHD harder than 55)" in stiff[1]  # 5 % an IRHD between 50 and 60
    figures = [by_what(movers) for movers in study.movers]
    assert all(slope.effect for found in figures for slope in found.values())
    for one in (*first_tables(study), *more_tables(study)):
        assert all(len(row) == len(one.table.columns) for row in one.table.rows)


def test_where_the_weight_only_balances_it_no_set_height_is_said(tmp_path: Path) -> None:
    """Two mounts in line that resist no turn: nothing is wrong with the loads, and no bound is known."""
    two = BAY.replace("torque = 100\nfirst = 3\n", "")
    for name in ("left rear", "right rear"):
        two = two.replace(MOUNT.format(name, CORNERS[name]), "")
    two = two.replace("at = [0, 0, 200]\nsize", "at = [200, 0, 200]\nsize")
    study = hang_study(hung(tmp_path, text=two))
    assert set_height_table(study) is None
    assert study.movements[0].low is None
    assert "not known" in set_height_words(study)[0]
    assert set(pictures_of(study)) == {"loads", "movement", "frequencies"}
    assert [movers.figure.kind for movers in study.movers] == ["frequency"]


def test_a_powertrain_that_is_placed_elsewhere_carries_its_shaft_there(tmp_path: Path) -> None:
    """Turned by a quarter to the left about its crank, its output points right: 1 g down sinks that end as far."""
    yaw = "place = {{ yaw = 90 }}\n"
    text = BAY.replace("[powertrain]\n", f"[powertrain]\n{yaw}")
    ends = "at = [-1300, 0, 200], axis = [1, 0, 0]", "at = [0, -1300, 200], axis = [0, 1, 0]"
    shaft = SHAFT.format("").replace(*ends)
    nose = LoadCase(name="nose", loads=(Load(couple=(0, 2e6, 0)),))
    bay = with_case(hung(tmp_path, shaft, text=text), LoadCase(name="bump", felt=(0, 0, -1)), nose)
    found = {one.of.what: one for one in hang_study(bay).driveline}
    lean = math.degrees(math.atan(100 * G / 1200 / 1000))
    assert found["joint on the powertrain"].cases[:2] == pytest.approx((0, lean), abs=1e-6)
    assert found["joint on the powertrain"].cases[2] == pytest.approx(0, abs=1e-6)  # about the shaft itself
    assert found["shorter by"].cases[2] == pytest.approx(0, abs=1e-6)


def test_what_sags_nose_down_is_welded_nose_up(tmp_path: Path) -> None:
    """The lump 100 ahead: 981 N x 100 on 4 x 300 x 200 squared, 0.12 degrees nose down, pitch positive."""
    text = BAY.replace("at = [0, 0, 200]\nsize", "at = [100, 0, 200]\nsize")
    words = set_height_words(hang_study(hung(tmp_path, text=text)))[0]
    assert math.degrees(100 * G * 100 / (4 * 300 * 200**2)) == pytest.approx(0.117, abs=5e-4)
    assert words.endswith("turns 0.12 deg; the chassis side is welded turned the other way: "
                          "roll 0.00, pitch -0.12, yaw 0.00 deg")  # fmt: skip
