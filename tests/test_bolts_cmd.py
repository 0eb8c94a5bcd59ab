"""brackets bolts: patterns of recipes and of a bay, judged and printed."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from brackets.app.cli.bolts_cmd import bolts
from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.schema.reading import from_texts
from brackets.geometry.shapes import rectangle
from brackets.library.recipe import recipe, shipped
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.plate import Plate, Wall
from brackets.survey.patterns import Settings, groups

FEW = {"trials": "200"}


@pytest.fixture(scope="module")
def demo() -> Path:
    return shipped() / "tern.toml"


def built(name, **values):
    made = recipe(name)
    return made.build(from_texts(made.Params, values))


def test_a_plates_holes_are_one_group_as_typed():
    (group,) = groups(built("adaptor", holes="0,0 100,0 100,60 0,60"))
    assert not group.apart
    assert set(group.bolts) == {"M10"}
    assert group.holes == (11.0,) * 4
    spans = sorted(round(abs(complex(*a[:2]) - complex(*b[:2])), 6) for a in group.pattern for b in group.pattern)
    assert spans.count(100.0) == 4
    assert spans.count(60.0) == 4
    assert group.classes == {"fine": (10.5,) * 4, "medium": (11.0,) * 4, "coarse": (12.0,) * 4}


def test_bungs_on_arms_are_welded_one_by_one_and_each_is_pulled():
    (group,) = groups(built("cross_member"))
    assert group.apart
    errors = Settings().errors(group)
    assert [p.hole for p in errors.pulls] == [0, 1, 2, 3]
    assert Settings(fillets=0).errors(group).pulls == ()


@pytest.mark.parametrize(("off", "apart"), [((0.0, 0.0), False), ((0.3, 0.39), False), ((0.3, 0.41), True)])
def test_bosses_over_the_holes_of_one_plate_are_held_by_it_and_one_bolt_is_no_group(off, apart):
    """Within half a mm of a hole, 0.492 and 0.508 here; the plate stands at 5, 6, 0. A boss that looks along x is
    alone on its face."""
    holes = tuple(Hole(at=at, d=11.0) for at in ((10.0, 25.0), (70.0, -5.0)))
    wall = Wall(outline=rectangle(200, 100), openings=holes)
    plate = Plate(name="p", place=Place((5.0, 6.0, 0.0)), wall=wall, t=6)
    seats = [
        Seat(name=name, place=Place(at, axis), kind="boss", d=11.0, bolt="M10")
        for name, at, axis in (
            ("A", (0.0, 0.0, 50.0), (1.0, 0.0, 0.0)),
            ("B", (15.0, 31.0, 6.0), (0.0, 0.0, 1.0)),
            ("C", (75.0 + off[0], 1.0 + off[1], 6.0), (0.0, 0.0, 1.0)),
        )
    ]
    (group,) = groups(Part(name="part", pieces=(plate,), seats=tuple(seats)))
    assert (group.names, group.apart) == (("B", "C"), apart)
    (x, y, d), (u, v, _) = group.pattern
    assert (abs(u - x), abs(v - y), d) == pytest.approx((60.0 + off[0], 30.0 - off[1], 10.0))


@pytest.mark.parametrize(("lean", "faces"), [(2.5, 1), (2.6, 2), (45.0, 2)])
def test_bosses_that_look_2_6_degrees_apart_are_two_faces(lean, faces):
    """cos 2.5 is 0.99905, cos 2.6 is 0.99897: 0.999 asked."""
    leans = (0.0, 0.0, math.sin(math.radians(lean)), math.sin(math.radians(lean)))
    seats = tuple(
        Seat(name=f"B{k}", place=Place((20.0 * k, 0.0, 0.0), (s, 0.0, math.sqrt(1 - s * s))), kind="boss", d=11.0,
             bolt="M10")
        for k, s in enumerate(leans)
    )  # fmt: skip
    assert len(groups(Part(name="part", pieces=(), seats=seats))) == faces


def test_the_spans_of_a_cross_members_pattern_are_its_bosses_seen_from_above():
    at = {f"boss_{i}": p for i, p in enumerate(recipe("cross_member").Params().bosses, 1)}
    (group,) = groups(built("cross_member"))
    assert set(group.names) == set(at)
    for i, a in enumerate(group.names):
        for j, b in enumerate(group.names):
            plan = math.dist(at[a][:2], at[b][:2])
            (x, y, _), (u, v, _) = group.pattern[i], group.pattern[j]
            assert ((x - u) ** 2 + (y - v) ** 2) ** 0.5 == pytest.approx(plan, abs=1e-6)


def test_a_recipe_prints_its_chance_and_what_would_raise_it(capsys):
    assert bolts("adaptor", {**FEW, "holes": "0,0 250,0 250,120 0,120", "scale-pm": "0"}, False, None) == 0
    said = capsys.readouterr().out
    assert "M10 in 11 mm, holes in one plate" in said
    assert "for 95 %: coarse holes (12 mm)" in said
    assert "not stated by you: method punched" in said
    assert "trials" not in said.rpartition("not stated by you")[2]


def test_json_of_the_worked_figure(capsys, tmp_path):
    """Trade fact 82: 0.69 of 4,000 for four M10 on 250 x 120 in 11 mm holes at 0.35 mm."""
    values = {"holes": "0,0 250,0 250,120 0,120", "scale-pm": "0", "trials": "2000"}
    assert bolts("adaptor", values, True, tmp_path / "made") == 0
    said = json.loads(capsys.readouterr().out)
    drawn = said["groups"][0]["options"][0]
    assert drawn["low"] - 0.02 < 0.69 < drawn["high"] + 0.02
    kept = json.loads((tmp_path / "made" / "facts.json").read_text(encoding="utf-8"))
    assert kept["groups"][0]["options"][0]["chance"] == drawn["chance"]


def bosses(name, points, *, pos, normal="[0, 0, 1]", last="M10"):
    """Rows of a bay: a boss at each point, as well known as `pos`, the last with a thread of its own."""
    rows = ""
    for i, at in enumerate(points, 1):
        thread = last if i == len(points) else "M10"
        rows += f'[[boss]]\nname = "{name}{i}"\nat = {list(at)}\nnormal = {normal}\nthread = "{thread}"\n'
        rows += f"depth = 25\npos = {pos}\n"
    return rows


def on_bosses(part, made, name):
    named = json.dumps([f"{name}{i}" for i in range(1, 5)])
    return f'[[part]]\nname = "{part}"\nrecipe = "{made}"\nside = "powertrain"\nbosses = {named}\n'


def test_a_bays_patterns_know_how_well_its_bosses_are_known(tmp_path, capsys):
    """Each recipe on bosses where its own stand by default; one boss of the stay has M8."""
    at = {name: recipe(name).Params().bosses for name in ("stay", "cross_member", "cup_on_plate")}
    text = "format = 1\n" + bosses("S", at["stay"], pos=0.5, last="M8") + bosses("M", at["cross_member"], pos=0.7)
    text += bosses("P", at["cup_on_plate"], pos=0.5) + on_bosses("arm", "stay", "S")
    text += on_bosses("member", "cross_member", "M") + on_bosses("plate", "cup_on_plate", "P")
    (tmp_path / "bay.toml").write_text(text, "utf-8")
    assert bolts(str(tmp_path / "bay.toml"), {"trials": "100"}, True, None) == 0
    found = {g["name"]: g for g in json.loads(capsys.readouterr().out)["groups"]}
    assert set(found) == {"arm", "member", "plate"}
    assert found["arm"]["names"] == ["S1", "S2", "S3", "S4"]
    assert found["arm"]["bolts"] == ["M10", "M10", "M10", "M8"]
    assert found["member"]["errors"]["pos"] == [0.7] * 4
    assert found["member"]["fillets"], "0.8 mm is more than the 0.5 mm of an M10 in 11"
    assert not found["plate"]["fillets"]
    assert found["member"]["best"].startswith("drill after welding")


def test_everything_wrong_with_settings_and_values_is_said_at_once():
    with pytest.raises(InputError) as refused:
        bolts("adaptor", {"method": "hammered", "trials": "1", "t": "-3"}, False, None)
    said = str(refused.value)
    for words in ("method", "trials", "t = -3"):
        assert words in said


def test_a_value_for_a_bays_parts_is_refused(demo):
    with pytest.raises(InputError) as refused:
        bolts(str(demo), {"plate-t": "8"}, False, None)
    assert "--plate-t = 8, must be a setting of the drilling" in str(refused.value)


def test_a_part_without_a_pattern_says_so():
    with pytest.raises(InputError) as refused:
        bolts("gusset", {}, False, None)
    assert "must have a bolt pattern" in str(refused.value)


def test_no_recipe_has_a_value_that_hides_a_setting_of_the_drilling():
    from brackets.core.schema.checked import fields
    from brackets.library.recipe import recipes

    own = {p.name for p in fields(Settings)}
    assert {n: own & {p.name for p in recipe(n).params} for n in recipes()} == {n: set() for n in recipes()}
