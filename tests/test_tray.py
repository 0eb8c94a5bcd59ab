"""Tray between two bushes: the figures it is cut by, how it stands in a bay, and what is refused of it."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from brackets import recipe
from brackets.bay.file import read
from brackets.bay.stand.placed import placed_bay
from brackets.core.errors import InputError
from brackets.core.vectors import Vec, dot, sub
from brackets.model.mass import solid_moments
from brackets.model.part import Part
from brackets.model.plate import Plate
from brackets.model.tube import Tube


def made(**values: Any) -> Part:
    opened = recipe("tray")
    return opened.build(opened.Params(**values))


def refused(**values: Any) -> str:
    with pytest.raises(InputError) as caught:
        recipe("tray").Params(**values)
    return " | ".join(caught.value.problems)


def axis_of(tube: object) -> tuple[Vec, Vec]:
    assert isinstance(tube, Tube)
    return tube.place.at, tube.place.axis


def test_a_tray_lies_on_its_highest_boss_and_a_lower_one_gets_a_washer() -> None:
    """Bosses at z = 66 that look down, one at 68: 2 mm less far down."""
    part = made()
    assert part.piece("tray").place.at[2] == 66
    assert part.piece("washer_boss_4").steps[0].length == pytest.approx(2.0)  # type: ignore[union-attr]
    assert [p.name for p in part.pieces if p.name.startswith("washer")] == ["washer_boss_4"]
    assert part.seat("boss_4").place.at == pytest.approx((-348.0, 170.0, 68.0))
    assert part.seat("boss_4").place.axis == pytest.approx((0.0, 0.0, 1.0))


def test_what_is_not_typed_follows_from_bosses_and_bushes() -> None:
    """530 from bush to bush, cups of 55, 25 of tube at either side: 425. Bosses over 102, 22 of edge: 146, and
    13 for each of two bends (r 8, t 5): 172. A lip: bend 13, tube 30, two legs of 5: 53, and a little lean: 54."""
    p = recipe("tray").Params(bosses=((-249.0, 58.0, 66.0), (-351.0, 168.0, 66.0)))
    assert (p.length, p.width, p.end_lip) == (425, 172, 54)  # type: ignore[attr-defined]


def test_a_tube_leaves_its_lip_as_level_as_the_lip_allows() -> None:
    """Floor at 66: the flat of a lip 90 high up the casting is from 66 + 8 to 66 + 90 - 5 = 151; half a tube and
    its leg are 20. A bush at 98 is within 94 and 131 and its tube is level, one at 88 is not and its tube leans."""
    level = made(end_lip=90.0)
    foot, axis = axis_of(level.piece("tube_left"))
    assert foot == pytest.approx((-300.0, 212.5, 98.0))
    assert axis == pytest.approx((0.0, 1.0, 0.0))
    leans = made(end_lip=90.0, bush_left=(-300.0, 265.0, 88.0), bush_right=(-300.0, -265.0, 88.0))
    foot, axis = axis_of(leans.piece("tube_left"))
    # on the flat the tube covers 15 / cos of the lean, and it ends its leg over the bend
    lean = math.asin(-axis[2])
    assert foot[2] - 15 / math.cos(lean) - 5 == pytest.approx(74.0, abs=1e-3)
    assert foot[2] + 52.5 * math.tan(-lean) == pytest.approx(88.0)


def test_the_volume_of_a_tray_is_floor_lips_and_bends() -> None:
    """Without sides there is no relief: width 158, floor 399, lips of 41 flat with corners of 8, bends of 8 and 5,
    four holes of 11 and two of 20."""
    part = made(sides=0, width=158.0, end_lip=54.0)
    flat = 158 * (399 + 2 * 41) - 4 * (1 - math.pi / 4) * 64 - 4 * math.pi * 5.5**2 - 2 * math.pi * 10**2
    bends = 2 * 158 * math.pi / 4 * (13**2 - 8**2)
    assert solid_moments(part.piece("tray")).volume == pytest.approx(5 * flat + bends, rel=1e-12)


@pytest.mark.parametrize("way", ["towards the casting", "away from it"])
def test_two_gussets_stand_behind_each_tube_on_floor_and_lip(way: str) -> None:
    """Middles 12.5 to either side of a tube of 30 in a plate of 5; on the face the lip is bent to."""
    bush: dict[str, Vec] = {}
    if way == "away from it":
        bush = {"bush_left": (-300.0, 265.0, 30.0), "bush_right": (-300.0, -265.0, 30.0)}
    part = made(end_lips=way, side_lips=way, **bush)
    gussets = [p for p in part.pieces if isinstance(p, Plate)]
    assert [g.name for g in gussets] == ["gusset_left_1", "gusset_left_2", "gusset_right_1", "gusset_right_2"]
    for gusset in gussets:
        foot, _ = axis_of(part.piece(f"tube_{gusset.name.split('_')[1]}"))
        assert abs(gusset.place.point((0.0, 0.0, 2.5))[0] - foot[0]) == pytest.approx(12.5)
        assert abs(gusset.place.at[1]) == pytest.approx(212.5 - 5)
        assert gusset.place.at[2] == pytest.approx(66.0 if way == "towards the casting" else 61.0)
    assert sum(w.piece.startswith("gusset") for w in part.welds) == 16


@pytest.mark.parametrize("normal", [(0.0, 0.0, -1.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0)])
def test_bosses_may_look_down_or_sideways(normal: Vec) -> None:
    """The bushes keep their axis fore and aft; the plate hangs below, stands behind or before the gearbox."""
    turned = {
        (0.0, 0.0, -1.0): ((-250.0, -60.0, 66.0), (-350.0, 60.0, 66.0)),
        (0.0, 1.0, 0.0): ((-330.0, 90.0, -40.0), (-260.0, 90.0, 60.0)),
        (1.0, 0.0, 0.0): ((-300.0, -60.0, 70.0), (-300.0, 60.0, 130.0)),
    }[normal]
    ends: tuple[Vec, Vec] = ((-300.0, 265.0, 98.0), (-300.0, -265.0, 98.0))
    if normal[1]:
        ends = ((-300.0, 60.0, 240.0), (-300.0, 60.0, -240.0))
    if normal[0]:
        ends = ((-340.0, 265.0, 98.0), (-340.0, -265.0, 98.0))
    part = made(bosses=turned, normal=normal, bush_left=ends[0], bush_right=ends[1])
    for side, at in zip(("left", "right"), ends, strict=True):
        assert part.seat(f"bush_{side}").place.at == pytest.approx(at)
        assert part.seat(f"bush_{side}").place.axis == pytest.approx((1.0, 0.0, 0.0))
    for name, boss in zip(("boss_1", "boss_2"), turned, strict=True):
        assert dot(part.seat(name).place.axis, normal) == pytest.approx(-1.0)
        assert dot(sub(part.seat(name).place.at, boss), normal) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        # 2 (265 - 55 / 2 - 10)
        ({"length": 456.0}, "length = 456 mm, 455 mm or less: 10 mm of tube between lip and cup"),
        # the middle of its flat 3.96 under the bush and 52.5 off: 15.04 of tube to either side, 5 of leg
        ({"end_lip": 52.0}, "end_lip = 52 mm, 53.09 mm or more: tube_left"),
        # the washer of 20 at 55 from the middle, bends of 13
        ({"width": 150.0, "bosses": ((-245.0, 60.0, 66.0), (-355.0, 60.0, 66.0))}, "width = 150 mm, 156 mm or"),
        ({"length": 376.0, "bosses": ((-245.0, 170.0, 66.0), (-355.0, 60.0, 66.0))}, "length = 376 mm, 386 mm or"),
        ({"bush_left": (-300.0, 265.0, 190.0)}, "bush_left = its tube leans"),
        ({"bush_axis": (0.0, 1.0, 0.1)}, "bush_axis = 5.7 deg to the line from bush_left to bush_right, 45 or"),
        ({"bush_right": (-300.0, 265.0, 98.0)}, "bush_axis = 0.0 deg to the line from bush_left to bush_right"),
        ({"normal": (0.0, 1.0, 0.0), "bosses": ((-250.0, 60.0, 66.0), (-350.0, 60.0, 66.0))}, "normal = 0.0 deg"),
        # floor 264, half of it and the bend's 8, less 1
        ({"gusset_leg": 150.0, "length": 290.0, "bosses": ((-250.0, 58.0, 66.0), (-350.0, 70.0, 66.0))},
         "gusset_leg = 150 mm, 139 mm or less: half of the floor"),
        # its weld of 5 round a gusset that ends 207.5 - 40 = 167.5 out: a boss at 168 stands in it
        ({"bosses": ((-250.0, 58.0, 66.0), (-300.0, 168.0, 66.0))}, "gusset_leg = 40 mm, leaves -"),
        ({"boss_names": ("a",)}, "boss_names = 1, none or 4 different"),
        ({"holes": ((0.0, 0.0, 0.0),)}, "holes = a diameter of 0 or less"),
    ],
)  # fmt: skip
def test_a_tray_that_cannot_be_is_refused_in_words(values: dict[str, Any], said: str) -> None:
    assert said in refused(**values)


BAY = """
format = 1
name = "Invented"
[[keep_out]]
name = "rail_left"
rail = { from = [-600, 265, 25], to = [0, 265, 25], size = [50, 50], wall = 2.5, up = [0, 0, 1] }
[[keep_out]]
name = "rail_right"
rail = { from = [-600, -265, 25], to = [0, -265, 25], size = [50, 50], wall = 2.5, up = [0, 0, 1] }
[[boss]]
name = "D1"
at = [-250, 60, 66]
normal = [0, 0, -1]
thread = "M10"
depth = 20
[[boss]]
name = "D2"
at = [-350, 150, 66]
normal = [0, 0, -1]
thread = "M10"
depth = 20
[[bush]]
name = "Q45"
kind = "bonded rubber"
od = 45
shell_length = 40
sleeve_od = 16
sleeve_bore = 12.2
sleeve_length = 52
bolt = "M12"
rubber = { inner_r = 8, outer_r = 20, length = 38, hardness = 40 }
stiffness = { radial = 380, axial = 108, torsion = 20300, known = "invented" }
dynamic = 1.3
travel = { radial = 5, axial = 5 }
load = 2600
heat = 80
mass = 0.27
"""
MOUNT = """
[[mount]]
name = "{side}"
bush = "Q45"
at = [-300, {y}, 98]
axis = [1, 0, 0]
[mount.chassis]
part = "{side}_ears"
onto = "rail_{side}"
[mount.powertrain]
part = "tray"
seat = "bush_{side}"
[[part]]
name = "{side}_ears"
recipe = "ears_on_base"
fixing = "bolted through hollow"
"""
TRAY = '[[part]]\nname = "tray"\nrecipe = "tray"\nbosses = ["D1", "D2"]\n'


def test_a_tray_stands_in_a_bay_on_two_mounts_with_ears_bolted_through_the_rails(tmp_path: Path) -> None:
    mounts = MOUNT.format(side="left", y=265) + MOUNT.format(side="right", y=-265)
    (tmp_path / "bay.toml").write_text(BAY + mounts + TRAY, "utf-8")
    found = {one.name: one for one in placed_bay(read(tmp_path / "bay.toml")).parts}
    assert sorted(found["tray"].worked_out) == [
        "bolt", "boss_names", "bosses", "bush_axis", "bush_left", "bush_od", "bush_right", "normal", "threads",
    ]  # fmt: skip
    assert [f.sentence for f in found["tray"].findings if f.code in ("link", "seat")] == []
    for side in ("left", "right"):
        assert found[f"{side}_ears"].worked_out["through"] == 50.0
        assert [f for f in found[f"{side}_ears"].findings if f.level == "stop"] == []
