"""Slots of bolted bases: where they lie, what they weigh, how they are drawn, and where their bolts go."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from kernel import AGREE, disagreement
from test_chassis_bolts import RAIL, STEEL, stood

from brackets import Fixing, Hole, InputError, Slot, bolt_hole, end_holes, fastened, recipe, slotted
from brackets.app.cli.app import main
from brackets.bay.adjust import adjusts, sliding
from brackets.bay.bolts.boss_bolts import boss_bolts
from brackets.bay.bolts.chassis_bolts import chassis_bolts
from brackets.bay.file import read
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.drawing.holes import how, size, sizes
from brackets.geometry.regions import Region
from brackets.library.fixings import LEAST
from brackets.model.faces import area, metal
from brackets.model.plate import Folded, Plate
from brackets.output import cut_files
from brackets.output.part_files import made
from brackets.survey.chance import chance
from brackets.survey.patterns import Settings, groups

SLIDING = ("t = 5\near_r", "slot = 12\nt = 5\near_r")
ALONG_THE_AXIS = ("t = 5\near_r", 'slot = 12\nslot_along = "width"\nt = 5\near_r')


def base_of(**values: object) -> Plate:
    opened = recipe("ears_on_base")
    piece = opened.build(opened.Params(fixing="bolted through hollow", **values)).piece("base/base")
    assert isinstance(piece, Plate)
    return piece


def slots_of(piece: Plate) -> list[Slot]:
    found = [one for one in piece.wall.openings if isinstance(one, Slot)]
    assert len(found) == len(piece.wall.openings)
    return found


@pytest.mark.parametrize(("angle", "half"), [(0.0, (6, 0)), (90.0, (0, 6)), (30.0, (6 * math.sqrt(0.75), 3))])
def test_a_slot_lets_its_bolt_go_half_its_range_each_way(angle: float, half: tuple[float, float]) -> None:
    made_of = slotted(bolt_hole((40, 7), "M10", name="foot"), 12.0, angle=angle)
    assert isinstance(made_of, Slot)
    assert made_of.a == pytest.approx((40 - half[0], 7 - half[1]))
    assert made_of.b == pytest.approx((40 + half[0], 7 + half[1]))
    assert (made_of.range, made_of.whole, made_of.d) == pytest.approx((12, 23, 11))
    assert (made_of.bolt, made_of.washer_od, made_of.name) == ("M10", 20.0, "foot")


def test_no_range_is_a_round_hole_and_less_is_refused() -> None:
    one = bolt_hole((0, 0), "M10")
    assert slotted(one, 0.0) is one
    with pytest.raises(InputError, match="travel = -1 mm, must be 0 or more"):
        slotted(one, -1.0)


def test_the_base_has_slots_and_what_stays_with_the_bolts_has_round_holes() -> None:
    held = Fixing(size="M10", points=((-30, 0), (30, 0)), through=50, spreader_t=4, slot=12, slot_along="width")
    slots = [(one.a, one.b) for one in held.holes if isinstance(one, Slot)]
    assert slots == [((-30, -6), (-30, 6)), ((30, -6), (30, 6))]
    assert held.ends == ((-30, -6), (-30, 6), (30, -6), (30, 6))
    apart = fastened(held)
    assert apart == fastened(replace(held, slot=0.0))
    spreader = apart.piece("spreader")
    assert isinstance(spreader, Plate)
    assert all(isinstance(one, Hole) for one in spreader.wall.openings)


def test_a_base_is_as_much_longer_as_its_slots_and_weighs_what_a_plain_sum_says() -> None:
    plain, sliding = base_of(base_radius=0.0), base_of(base_radius=0.0, slot=12.0)
    long = [piece.wall.outline.bounds[2] - piece.wall.outline.bounds[0] for piece in (plain, sliding)]
    # 6 more at either end of the plate for the half of a slot towards it, 6 for that towards the ears
    foot = 48 + 4 * 22
    assert long == pytest.approx([max(120, foot), foot + 2 * 12])
    first, second = slots_of(sliding)
    assert (first.a[0], second.b[0]) == pytest.approx((-(long[1] / 2 - 22), long[1] / 2 - 22))
    kg = STEEL * 6 * (60 * long[1] - 2 * (math.pi / 4 * 11**2 + 12 * 11))
    opened = recipe("ears_on_base")
    part = opened.build(opened.Params(fixing="bolted to solid", base_radius=0.0, slot=12.0))
    other = opened.build(opened.Params(fixing="bolted to solid", base_radius=0.0, base_length=long[1]))
    holes = STEEL * 6 * 2 * math.pi / 4 * 11**2
    ears = other.mass.kg - (STEEL * 6 * 60 * long[1] - holes)
    assert part.mass.kg - ears == pytest.approx(kg, rel=1e-9)
    assert max(disagreement(part.piece("base/base"))) < AGREE


def test_bolts_of_a_base_leave_room_for_its_slots() -> None:
    assert end_holes(120, "M10", 10) == ((-33.0, 0.0), (33.0, 0.0))  # 60 - 22 - 5
    assert end_holes(120, "M10") == ((-38.0, 0.0), (38.0, 0.0))
    piece = recipe("base_plate")
    part = piece.build(piece.Params(fixing="bolted to solid", slot=10.0))
    assert [seat.place.at[0] for seat in part.seats if seat.kind == "bolt"] == [-33.0, 33.0]


@pytest.mark.parametrize(("slot", "refused"), [(46.9, False), (47.1, True)])
def test_a_slot_leaves_metal_beside_it(slot: float, refused: bool) -> None:
    """A plate 60 wide: 60 - 11 - 2 x 1 = 47 is left for the range of a slot across its middle."""
    assert LEAST == 1.0
    held = Fixing(way="bolted to solid", size="M10", points=((0, 0),), slot=slot, slot_along="width")
    assert bool(list(held.rules(120, 60))) is refused
    past = replace(held, slot=70.0)
    assert "-10.50 mm is left" in next(past.rules(120, 60))  # its end is 5 past the edge, and 5.5 of metal
    two = replace(held, slot=20.0, slot_along="length", points=((-16, 0), (16, 0)))
    assert list(two.rules(120, 60)) == []  # 32 - 20 - 11 = 1 left
    assert "0.80 mm apart" in next(replace(two, points=((-15.9, 0), (15.9, 0))).rules(120, 60))


def test_a_washer_is_refused_where_its_slot_lets_it_run_into_an_ear() -> None:
    opened = recipe("ears_on_base")
    at = {"fixing": "bolted to solid", "base_length": 200.0, "base_holes": ((-45.0, 0.0), (45.0, 0.0))}
    inside = opened.Params(**at).room.long / 2  # type: ignore[attr-defined]
    assert inside == pytest.approx(24)
    ear = 46.5 / 2 - 4  # the inner fillet's foot; the washer of 20 goes between the ears
    assert ear < 20
    opened.Params(**at, slot=20.0, slot_along="width")  # to 10 off the middle, 21 beyond the foot's end
    with pytest.raises(InputError, match=r"base_holes = 30, 25 mm, 10 mm or more"):
        opened.Params(**{**at, "base_holes": ((30.0, 20.0), (-45.0, 0.0)), "base_width": 120.0}, slot=10.0,
                      slot_along="width")  # fmt: skip


@pytest.mark.parametrize("along", ["length", "width"])
@pytest.mark.parametrize("name", ["fork", "adaptor", "tray"])
def test_a_plate_on_bosses_has_slots_round_its_bosses(name: str, along: str) -> None:
    """Half the range each way from where the round hole is, along x or y; each takes its oblong from the plate."""
    opened = recipe(name)
    plain, part = (opened.build(opened.Params(slot=travel, slot_along=along)) for travel in (0.0, 14.0))
    before, after = (one.piece("tray" if name == "tray" else "plate") for one in (plain, part))
    walls = [one.base if isinstance(one, Folded) else one.wall for one in (before, after)]  # type: ignore[union-attr]
    holes = [one for one in walls[0].openings if isinstance(one, Hole) and one.bolt is not None]
    found = [one for one in walls[1].openings if isinstance(one, Slot)]
    assert len(holes) == len(found) >= 2
    middle = (0.0, 0.0) if name != "tray" else before.place.local(after.place.at)[:2]
    step = (7, 0) if along == "length" else (0, 7)
    for hole_, one in zip(holes, found, strict=True):
        at = (hole_.at[0] - middle[0], hole_.at[1] - middle[1])
        assert one.a == pytest.approx((at[0] - step[0], at[1] - step[1]))
        assert one.b == pytest.approx((at[0] + step[0], at[1] + step[1]))
        assert (one.d, one.bolt, one.name) == (hole_.d, hole_.bolt, hole_.name)
    assert [seat for seat in part.seats if seat.kind == "boss"] == [
        seat for seat in plain.seats if seat.kind == "boss"
    ]  # fmt: skip
    bare = [Region(wall.outline).area - area(metal(wall, 0.0)) for wall in walls]
    assert bare[1] - bare[0] == pytest.approx(14 * sum(one.d for one in found), rel=1e-6)
    assert max(disagreement(after)) < AGREE


def test_an_outline_goes_round_both_ends_of_each_slot() -> None:
    """Its edge is as far from the end of a slot as from a round hole: the plate is 14 longer, no wider."""
    opened = recipe("adaptor")
    sizes = []
    for travel in (0.0, 14.0):
        x0, y0, x1, y1 = opened.Params(slot=travel).outline.bounds  # type: ignore[attr-defined]
        sizes.append((x1 - x0, y1 - y0))
    assert sizes[1] == pytest.approx((sizes[0][0] + 14, sizes[0][1]))


def test_a_washer_keeps_off_an_ears_weld_at_both_ends_of_its_slot() -> None:
    """Bosses 50 from the bush along its axis: an ear's far side at 23.25 + 6, its weld 5 more, the washer's 10 and
    the 1 that is asked leave 4.75 for half the slot."""
    opened = recipe("fork")
    near = {"bosses": ((-170.0, 70.0, 100.0), (-170.0, 170.0, 100.0)), "slot_along": "width"}
    opened.Params(**near, slot=9.49)
    with pytest.raises(InputError, match=r"from the washer of boss_1 to an ear's weld, 1 mm or more"):
        opened.Params(**near, slot=9.51)


def test_spacers_on_bosses_stay_with_their_bolts(tmp_path: Path) -> None:
    """The second boss stands 3 lower, with a spacer on it that has a round hole: the plate slides all the same."""
    text = """\
format = 1
name = "Low (invented)"
[[boss]]
name = "A"
at = [-40, 0, 100]
normal = [0, 0, 1]
thread = "M10"
depth = 20
[[boss]]
name = "B"
at = [40, 0, 97]
normal = [0, 0, 1]
thread = "M10"
depth = 20
[[part]]
name = "plate"
recipe = "adaptor"
at = [0, 0, 100]
bosses = ["A", "B"]
holes = [[-40, 0], [40, 0]]
low = [0, 3]
slot = 10
"""
    path = tmp_path / "bay.toml"
    path.write_text(text, "utf-8")
    standing = placed_bay(read(path))
    held = boss_bolts(standing.bay, bay_bodies(standing))
    back, fore = adjusts(standing, held)
    assert (back.stuck, back.words, fore.words) == ("", "aft 5 mm", "fore 5 mm")
    slid = sliding(standing.parts[0].part, held, fore)
    assert [piece.name for piece in slid.pieces] == ["plate"]
    assert len(standing.parts[0].part.pieces) == 2


def test_bolts_counts_slots(capsys: pytest.CaptureFixture[str]) -> None:
    """Along the slots nothing is asked of the holes: the chance is no less, and made wider they are as long."""
    assert main(["bolts", "adaptor", "--slot", "10", "--json", "--trials", "200"]) == 0
    (told,) = json.loads(capsys.readouterr().out)["groups"]
    opened = recipe("adaptor")
    (plain,) = groups(opened.build(opened.Params()))
    assert told["holes"] == [{"d": 11, "extra": 10, "angle": 0}] * 4
    assert told["pattern"] == [list(row) for row in plain.pattern]
    drawn_round = chance(plain.pattern, plain.holes, Settings().errors(plain), 200, 0)
    assert told["options"][0]["chance"] > drawn_round.chance
    wider = next(one for one in told["options"] if one["kind"] == "class")
    assert wider["holes"] == [{"d": 12, "extra": 10, "angle": 0}] * 4
    assert "slot" not in {one["kind"] for one in told["options"]}
    assert main(["bolts", "fork", "--slot", "10", "--trials", "100"]) == 0
    assert "M10 in slots of 11 x 21 mm" in capsys.readouterr().out


def test_a_slot_is_drawn_by_its_width_and_whole_length(tmp_path: Path) -> None:
    made_of = slotted(bolt_hole((0, 0), "M10"), 12.0)
    assert (size(made_of), sizes(made_of), how(made_of)) == (
        "slot 11 x 23", ("11 x 23", ""), "drill 11 at both ends, cut between",
    )  # fmt: skip
    opened = recipe("base_plate")
    thing = made(opened, opened.Params(fixing="bolted to solid", slot=12.0))
    title = cut_files.title(thing.recipe.name, thing.params, thing.shop)
    found = cut_files.cuts(thing.part, title, thing.findings)
    words = [row for one in found for table in one.drawings[0].tables for row in table.rows]
    assert sum("11 x 23" in row for row in words) == 2
    files = cut_files.write(found, tmp_path, name="p", shop=thing.shop, paper=None, taken=set())
    (dxf,) = [name for name in files if name.endswith(".dxf")]
    arcs = [
        (round(x, 3), round(y, 3))
        for line in ezdxf.readfile(tmp_path / dxf).modelspace().query("LWPOLYLINE")
        if line.dxf.layer.lower() == "cut"
        for x, y, bulge in line.get_points("xyb")
        if abs(abs(bulge) - 1) < 1e-6
    ]
    assert len(arcs) == 4  # a half circle at each end of two slots
    xs = sorted({x for x, _ in arcs})
    assert [b - a for a, b in zip(xs, xs[1:], strict=False)][::2] == pytest.approx([12, 12], abs=1e-3)


@pytest.mark.parametrize("swap", [SLIDING, ALONG_THE_AXIS])
def test_a_bolt_in_the_middle_of_its_slot_clamps_the_base_too(tmp_path: Path, swap: tuple[str, str]) -> None:
    """6 of base, 50 of rail, 4 of spreader, as with round holes: the bolt is at neither end of its slot."""
    for one in chassis_bolts(stood(tmp_path, RAIL, swap)):
        assert (one.part_t, one.depth, one.spreader_t, one.grip) == pytest.approx((6, 50, 4, 60))
