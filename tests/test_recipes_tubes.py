"""Recipes made of tubes: figures worked out on plain shapes, and what is refused."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from cadquery import Solid, Vector

from brackets import bay, recipe
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedPart
from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.schema.reading import from_mapping
from brackets.core.tables.fasteners import socket
from brackets.core.vectors import Vec, length, sub
from brackets.forming.tube_layout import Layout
from brackets.kernel.solids import shape
from brackets.model.bent_tube import centre_length
from brackets.model.part import Part
from brackets.model.plate import Plate
from brackets.model.tube import BentTube, Turned

T = {"T1": (80, 80, 0), "T2": (60, -70, 8), "T3": (-55, 75, -6), "T4": (-70, -50, -12)}
H = {"H1": (-50, -30, 0), "H2": (50, -30, 0), "H3": (-45, 30, 0), "H4": (45, 35, -3.5)}
B = {"B1": (-60, -100, -40), "B2": (60, -100, -35), "B3": (-45, -100, 40), "B4": (45, -96, 35)}


def made(name: str, values: dict[str, object]) -> tuple[Layout, Part]:
    opened = recipe(name)
    params = from_mapping(opened.Params, values, bare="mm", where="part")
    return params.laid, opened.build(params)  # type: ignore[attr-defined]


@pytest.fixture(scope="module")
def cross() -> tuple[Layout, Part]:
    return made(
        "cross_member",
        {
            "bosses": list(T.values()),
            "boss_names": list(T),
            "bush_left": (0, 240, 60),
            "bush_right": (0, -240, 60),
            "tube": {"od": 38, "wall": 3},
            "arm": {"od": 25, "wall": 2.5},
            "bung": {"od": 30, "bore": 11},
            "bung_top": 70,
            "arm_z": 42,
            "cup": {"od": 60, "wall": 5, "length": 40},
        },
    )


def stay(bosses: dict[str, tuple[float, ...]], **values: object) -> tuple[Layout, Part]:
    return made("stay", {"bosses": list(bosses.values()), "boss_names": list(bosses), **values})


HEAD: dict[str, object] = {
    "normal": (0, 0, 1),
    "threads": ["M10", "M10", "M10", "M8"],
    "bush": (5, 60, 160),
    "tube_from": (0, 0, 8),
    "washers": {"H4": 3.5},
    "edge": 20,
}
BLOCK: dict[str, object] = {
    "normal": (0, -1, 0),
    "bush": (0, -270, -80),
    "tube_from": (0, -108, 0),
    "washers": {"B4": 4},
    "edge": 20,
    "gussets": 1,
}


def nodes(layout: Layout) -> dict[str, float]:
    return {row.name: row.node for row in layout.table()}


# Node to node is the straight line between two points; an arm leaves the base 18 over its own height: z 60 and 42.


def test_cross_member_base_and_arms_from_node_to_node(cross: tuple[Layout, Part]) -> None:
    wanted = {"tube": 480.0, "arm_T1": 82.0, "arm_T2": 62.64, "arm_T3": 57.87, "arm_T4": 72.28}
    assert nodes(cross[0]) == pytest.approx(wanted, abs=0.05)


def test_cross_member_bungs_end_level(cross: tuple[Layout, Part]) -> None:
    _, part = cross
    bungs = {name: part.piece(f"bung_{name}") for name in T}
    lengths = {name: bung.length for name, bung in bungs.items() if isinstance(bung, Turned)}
    assert lengths == pytest.approx({"T1": 70, "T2": 62, "T3": 76, "T4": 82})
    for name, bung in bungs.items():
        assert bung.place.point((0.0, 0.0, lengths[name]))[2] == pytest.approx(70)


def test_cross_member_has_its_seven_seats_where_the_bay_has_them(cross: tuple[Layout, Part]) -> None:
    _, part = cross
    at = {seat.name: seat.place.at for seat in part.seats}
    assert at["bush_left"] == pytest.approx((0, 240, 60))
    assert at["bush_right"] == pytest.approx((0, -240, 60))
    for name, boss in T.items():
        assert at[name] == pytest.approx(boss)
        assert part.seat(name).place.axis == pytest.approx((0, 0, -1))


def test_cross_member_by_its_bosses_or_by_its_bushes_is_in_one_place(cross: tuple[Layout, Part]) -> None:
    _, part = cross
    seat = part.seat("bush_left").place
    held = part.placed(Place((0, 240, 60), (1, 0, 0), seat.up) @ seat.inverse())
    for one in part.seats:
        assert length(sub(held.seat(one.name).place.at, one.place.at)) < 1e-9


def socket_room(values: dict[str, object]) -> dict[str, float]:
    opened = recipe("cross_member")
    params = from_mapping(opened.Params, values, bare="mm", where="part")
    return {f.piece: float(f.value) for f in opened.check(params) if f.code == "socket" and f.value is not None}


def test_a_tube_in_the_way_of_a_socket_is_found_as_the_kernel_finds_it() -> None:
    """The base tube (wall from x -19 to 19, top at z 79) beside a bolt whose head sits at 70."""
    near = {"bosses": [(29.6, 0, 13)], "bung_top": 70, "arm_z": 48, "bung_od": 20, "arm": "20x2"}
    [(piece, room)] = socket_room(near).items()
    opened = recipe("cross_member")
    part = opened.build(from_mapping(opened.Params, near, bare="mm", where="part"))
    tool = socket(16)
    over = Solid.makeCylinder(tool.od / 2, tool.length, Vector(29.6, 0, 70), Vector(0, 0, 1))
    assert piece == "tube"
    assert room == pytest.approx(over.distance(shape(part.piece("tube"))), abs=0.2)
    assert 0 < room < 1


def test_with_room_for_the_sockets_nothing_is_said() -> None:
    assert socket_room({}) == {}
    assert "arm_boss_1" in socket_room({"bung_top": 75, "arm_z": 59})


BOSSES = 'bosses = ["T1", "T2", "T3", "T4"]\n'
MEMBER = "format = 1\n" + "".join(
    f'[[boss]]\nname = "{name}"\nat = {list(at)}\nnormal = [0, 0, 1]\ndepth = 25\n' for name, at in T.items()
)
MEMBER += "".join(
    f'[[mount]]\nname = "{side}"\nbush = "R50"\nat = [0, {y}, 60]\naxis = [1, 0, 0]\n'
    f'[mount.powertrain]\npart = "member"\nseat = "bush_{side}"\n'
    for side, y in (("left", 240), ("right", -240))
)
MEMBER += f"""[[part]]
name = "member"
recipe = "cross_member"
{BOSSES}tube = {{ od = 38, wall = 3 }}
arm = {{ od = 25, wall = 2.5 }}
bung = {{ od = 30, bore = 11 }}
bung_top = 70
arm_z = 42
cup = {{ od = 60, wall = 5, length = 40 }}
"""


def standing(path: Path, old: str, new: str) -> PlacedPart:
    """The cross-member of a bay of two bushes and four bosses with one line of the file changed."""
    assert MEMBER.count(old) == 1
    path.write_text(MEMBER.replace(old, new), "utf-8")
    return next(part for part in placed_bay(bay.read(path)).parts if part.name == "member")


def test_a_cross_member_placed_by_its_bushes_says_how_far_its_bosses_are_off(tmp_path: Path) -> None:
    """Made 3 mm too long, its right bush beyond the mount. Set by its bushes it shares that out."""
    long = "bush_right = [0, -243, 60]\n"
    by_bosses = standing(tmp_path / "bay.toml", BOSSES, BOSSES + long)
    off = {m.seat: m.off for m in by_bosses.misfits}
    assert off == pytest.approx({"bush_left": 0, "bush_right": 3, "T1": 0, "T2": 0, "T3": 0, "T4": 0}, abs=1e-9)
    by_bushes = standing(tmp_path / "bay.toml", BOSSES, BOSSES + long + 'placed_by = "bushes"\n')
    off = {m.seat: m.off for m in by_bushes.misfits}
    assert off == pytest.approx(dict.fromkeys(off, 1.5), abs=1e-9)
    assert len(off) == 6
    assert max(m.angle for m in by_bushes.misfits) < 1e-6
    assert by_bushes.part.seat("T1").place.at == pytest.approx((80, 81.5, 0))


def test_a_cross_member_whose_bushes_are_askew_is_turned_to_them(tmp_path: Path) -> None:
    """Its right bush made 4 mm too low: set by its bushes it is turned about their middle."""
    low = 'bush_right = [0, -240, 56]\nplaced_by = "bushes"\n'
    part = standing(tmp_path / "bay.toml", BOSSES, BOSSES + low)
    off = {m.seat: m.off for m in part.misfits}
    assert max(off["bush_left"], off["bush_right"]) < 0.01  # 480 against its hypotenuse with 4
    assert part.part.seat("T1").place.axis != pytest.approx((0, 0, -1), abs=1e-3)
    assert off["T1"] == pytest.approx(off["T3"], abs=0.1)
    assert off["T1"] > 1


def test_a_cross_member_placed_by_its_bosses_has_both_bushes_in_place(tmp_path: Path) -> None:
    part = standing(tmp_path / "bay.toml", BOSSES, BOSSES)
    assert len(part.misfits) == 6
    assert max(m.off for m in part.misfits) < 1e-9


def test_head_stay_from_plate_to_bush() -> None:
    layout, part = stay(H, **HEAD)
    assert nodes(layout)["tube"] == pytest.approx(163.49, abs=0.05)
    washer = part.piece("washer_H4")
    assert isinstance(washer, Turned)
    assert washer.length == pytest.approx(3.5)
    assert part.seat("bush").place.at == pytest.approx((5, 60, 160))


def test_block_stay_from_plate_to_bush() -> None:
    layout, part = stay(B, **BLOCK)
    assert nodes(layout)["tube"] == pytest.approx(180.68, abs=0.05)
    assert part.piece("washer_B4").place.at[1] == pytest.approx(-96)
    assert [p.name for p in part.pieces if p.name.startswith("gusset")] == ["gusset_1"]


def test_every_boss_seat_of_a_stay_lies_on_its_boss() -> None:
    _, part = stay(H, **HEAD)
    for name, boss in H.items():
        assert part.seat(name).place.at == pytest.approx(boss)
    assert part.seat("H4").bolt == "M8"


def test_a_washer_measured_otherwise_than_the_boss_stands_is_a_caution() -> None:
    opened = recipe("stay")
    values = {"bosses": list(H.values()), "boss_names": list(H), **HEAD, "washers": {"H4": 3.0}}
    params = from_mapping(opened.Params, values, bare="mm", where="part")
    assert [f.code for f in opened.check(params) if f.level != "advice"] == ["washer"]


def test_a_strut_between_two_rails_is_coped_at_both() -> None:
    layout, part = made(
        "strut",
        {"tube": "30x2", "end": (60, 0, 200), "end_meets": "tube", "end_way": (0, 1, 0), "end_od": 38},
    )
    tube = layout.tube("tube")
    assert (tube.start.kind, tube.end.kind) == ("saddle", "saddle")
    assert tube.start.angle == pytest.approx(math.degrees(math.atan2(200, 60)))
    seats = {seat.name: seat for seat in part.seats}
    assert seats["start"].d == 42.4
    up: Vec = seats["end"].place.up
    assert up == pytest.approx((-60 / math.hypot(60, 200), 0, -200 / math.hypot(60, 200)))


def test_a_bent_strut_keeps_its_ends() -> None:
    _, part = made("strut", {"corners": [(0, 0, 220)], "end": (200, 0, 260), "bend_r": 90})
    assert part.seat("end").place.at == pytest.approx((200, 0, 260))


def test_a_stub_stands_on_its_adaptor_plate_and_the_plate_goes_round_its_foot() -> None:
    values: dict[str, object] = {"stub": "38x3", "stub_at": (0, 70), "stub_way": (0.3, 0, 1), "leg": 4}
    layout, part = made("adaptor", values)
    tube, plate = part.piece("stub"), part.piece("plate")
    assert isinstance(plate, Plate)
    assert layout.table()[0].node == pytest.approx(80)
    foot = 19 / math.cos(math.atan(0.3))
    assert plate.wall.outline.bounds[3] == pytest.approx(70 + foot + 4)
    assert shape(tube).intersect(shape(plate)).Volume() < 1e-6
    assert shape(tube).distance(shape(plate)) < 1e-9
    tip = 80 / math.hypot(0.3, 1)
    assert part.seat("stub").place.at == pytest.approx((0.3 * tip, 70, 8 + tip))


@pytest.mark.parametrize(
    ("name", "wrong", "said"),
    [
        ("cross_member", {"arm_z": 55}, "arm_z"),
        ("cross_member", {"arm": "45x2", "tube": "38x3"}, "arm = 45x2"),
        ("cross_member", {"tube": "45x3", "cup_length": 40}, "tube = 45x3"),
        ("cross_member", {"bosses": [(5, 0, 8)], "bung_top": 70, "arm_z": 43}, "arm_boss_1: length"),
        ("cross_member", {"bosses": [(48, 0, 8), (48, 20, 8)]}, "bosses = bung_boss_1 and bung_boss_2"),
        ("cross_member", {"bush_axis": (0, 1, 0)}, "bush_axis"),
        ("cross_member", {"bung_od": 14, "arm": "12x2", "bolt": "M12"}, "bung_od"),
        ("stay", {"tube_from": (-40, -25, 8)}, "tube_from"),
        ("stay", {"bosses": [*H.values(), (0, 43, 0)]}, "gusset_leg = 25 mm, leaves -?[0-9.]+ mm to the washer of"),
        ("stay", {"threads": ["M10"]}, "threads"),
        ("stay", {"washers": {"H9": 2}}, "washers"),
        ("stay", {"bush": (0, 16, 37), "tube_from": (0, 0, 8)}, "bush|tube_from"),
        ("adaptor", {"stub": "38x3", "stub_at": (50, 30)}, "stub_at = -[0-9.]+ mm from the hole 55, 40"),
        ("adaptor", {"stub": "38x3", "stub_way": (1, 0, 0.2)}, "stub_way = 79 deg"),
        ("adaptor", {"stub": "38x3", "stub_way": (1, 0, 1), "stub_length": 15}, "stub_length"),
        ("strut", {"start_way": (0, 0, 0)}, "start_way"),
        ("strut", {"end": (0, 0, 0)}, "start, end"),
        ("strut", {"start_od": 20}, "tube = 38x3"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_cannot_be_made_is_refused_by_name(name: str, wrong: dict[str, object], said: str) -> None:
    with pytest.raises(InputError, match=said):
        made(name, wrong)


# ------------------------------------------------------------------------------------------- a bent stay

BENT: dict[str, object] = {
    "tube_from": (0, 0, 8),
    "corners": [(0, 20, 90)],
    "bend_r": 60,
    "bush": (5, -50, 170),
    "tube": {"od": 32, "wall": 3},
    "gussets": 1,
}


def test_a_bent_stay_is_as_long_as_its_straights_and_arc() -> None:
    """From foot to bush: both legs, less twice the tangent, and the arc between; node to node, mm."""
    laid, part = stay(H, **BENT)
    (tube,) = laid.tubes
    assert isinstance(tube, BentTube)
    foot, corner, bush = tube.place.at, (0.0, 20.0, 90.0), (5.0, -50.0, 170.0)
    one, two = sub(corner, foot), sub(bush, corner)
    turn = math.acos(sum(a * b for a, b in zip(one, two, strict=True)) / length(one) / length(two))
    by_hand = length(one) + length(two) - 2 * 60 * math.tan(turn / 2) + 60 * turn
    assert centre_length(tube) == pytest.approx(by_hand, abs=1e-9)
    solid = shape(part)
    density = 7850e-9
    assert solid.Volume() * density == pytest.approx(part.mass.kg, rel=1e-9)


def test_a_bent_stay_lands_on_its_cup_along_its_last_straight() -> None:
    """Its cup is as long as the slanted landing of the last leg takes, not that of the line from foot to bush."""
    opened = recipe("stay")
    straight = {**BENT, "corners": []}
    along = {**BENT, "corners": [(0, 20, 90), (-40, 20, 140)], "bend_r": 35, "tube": {"od": 20, "wall": 2}}
    bent = from_mapping(opened.Params, along, bare="mm", where="part")
    plain = from_mapping(opened.Params, straight, bare="mm", where="part")
    assert bent.landing_way == (45.0, -70.0, 30.0)  # type: ignore[attr-defined]
    assert plain.landing_way == (5.0, -50.0, 162.0)  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"corners": [(0, 20, 22)]}, "corners = (0.0, 20.0, 22.0), -2.0 mm over the plate with its tube"),
        ({"corners": [(0, 0, 8)]}, "tube_from = (0.0, 0.0, 8.0), away from the bush"),
    ],
)
def test_a_bent_stay_says_what_is_in_its_way(changed: dict[str, object], said: str) -> None:
    with pytest.raises(ValueError, match=re.escape(said)):
        stay(H, **{**BENT, **changed})


def test_a_gusset_reaches_just_to_the_bend() -> None:
    """The end of the gusset on the tube is measured along its axis."""
    laid, _ = stay(H, **{**BENT, "gusset_rise": 50})
    opened = recipe("stay")
    params = from_mapping(opened.Params, {**BENT, "bosses": list(H.values())}, bare="mm", where="part")
    (corner,) = params.gusseted  # type: ignore[attr-defined]
    reach = sub(corner.high, params.foot)  # type: ignore[attr-defined]
    along = sum(a * b for a, b in zip(reach, corner.way, strict=True)) / length(corner.way)
    straight = params.first_straight  # type: ignore[attr-defined]
    most = 40 + straight - along
    stay(H, **{**BENT, "gusset_rise": most - 0.01})
    fits = math.floor(most * 100) / 100
    said = f"gusset_rise = 60 mm, {fits:g} mm or less: the gusset reaches past the tube's first bend"
    for rise in (most + 0.01, 60):
        with pytest.raises(ValueError, match=re.escape(said.replace("60", f"{rise:g}"))):
            stay(H, **{**BENT, "gusset_rise": rise})


def test_a_gusset_reaches_just_to_the_cup() -> None:
    """What the sentence says is taken, a tenth of a mm more is not; where none fits, gussets are what is wrong."""
    low = {"bush": (0, -40, 110), "gusset_rise": 150}
    with pytest.raises(ValueError, match="stands in the cup") as caught:
        stay(H, **low)
    most = float(re.findall(r"gusset_rise = 150 mm, ([\d.]+) mm or less", str(caught.value))[0])
    stay(H, **{**low, "gusset_rise": most})
    with pytest.raises(ValueError, match=f" {most:g} mm or less"):
        stay(H, **{**low, "gusset_rise": most + 0.1})
    with pytest.raises(ValueError, match="gussets = 2, fewer: with gusset_rise = 12 mm the gusset stands"):
        stay(H, bush=(0, -60, 45), gusset_rise=12)


def test_how_far_a_bush_may_be_off_the_plate_of_its_cup_is_said_and_taken() -> None:
    """A cup of 40 round a plate of 8, whose middle is at 4."""
    params = recipe("cup_on_plate").Params
    said = "bush = 16.1 mm from the plate's middle, must be 16 mm or less either way"
    with pytest.raises(ValueError, match=said):
        params(bush=(0.0, 0.0, 20.1), gussets=0)
    params(bush=(0.0, 0.0, 20.0), gussets=0)
