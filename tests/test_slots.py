"""Slots of bolted bases: where they lie, what they weigh, how they are drawn, and where their bolts go."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from kernel import AGREE, disagreement
from test_chassis_bolts import RAIL, STEEL, stood

from brackets import Fixing, Hole, InputError, Slot, bolt_hole, end_holes, fastened, recipe, slotted
from brackets.bay.chassis_bolts import chassis_bolts
from brackets.drawing.holes import how, size, sizes
from brackets.library.fixings import LEAST
from brackets.model.plate import Plate
from brackets.output import cut_files
from brackets.output.part_files import made

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
    inside = opened.Params(**at).foot_long / 2  # type: ignore[attr-defined]
    assert inside == pytest.approx(24)
    ear = 46.5 / 2 - 4  # the inner fillet's foot; the washer of 20 goes between the ears
    assert ear < 20
    opened.Params(**at, slot=20.0, slot_along="width")  # to 10 off the middle, 21 beyond the foot's end
    with pytest.raises(InputError, match=r"base_holes = 30, 25 mm, 10 mm or more"):
        opened.Params(**{**at, "base_holes": ((30.0, 20.0), (-45.0, 0.0)), "base_width": 120.0}, slot=10.0,
                      slot_along="width")  # fmt: skip


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
