"""Whether a torch gets at a weld: tees with a wall beside them, worked out on paper; the kernel's word on it.

The tee's base lies in z = 0 to 6; its upright stands on it from x = 0 to 6, 60 long in y, up to z = 46. The wall
stands `off` ahead of the upright's face at x = 6 and is `high` above the base. mm, degrees.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cadquery import Solid, Vector
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from brackets.bay.file import read
from brackets.bay.stand.placed import checked as checked_bay
from brackets.bay.stand.placed import placed_bay
from brackets.clearance import torch_tries as under_test
from brackets.clearance import weld_corners
from brackets.clearance.bodies import body
from brackets.clearance.parting_planes import PartingPlanes
from brackets.clearance.places import Transform
from brackets.clearance.torch import torch_findings, weld_reaches
from brackets.clearance.weld_corners import Corner, Pair, corners_along
from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.forming.shop import NO_TOOLS, Torch
from brackets.forming.shop_file import default, parse
from brackets.geometry.shapes import rectangle
from brackets.kernel.solids import shape
from brackets.library.recipe import recipe, recipes
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.model.weld import Along, StraightEdge, Weld
from brackets.output.part_files import checked, made

R = 8.0
STRAIGHT_ON = Torch(work=0, travel=0)
"""Held midway between the two faces, square to the weld, and no other way; its nozzle is 2 R wide."""

PRISM = 1 / math.cos(math.pi / under_test.SIDES) - 1
"""Part of its radius that the prism round a cylinder stands out of it at its edges, at most."""

BARE = ("adaptor", "base_plate", "bracket_tray", "bung", "cap_plate", "cup", "dummy_bush", "gusset")
"""Shipped recipes without a weld."""

LOW = Along((-30.0, -20.0), (30.0, -20.0), "low")
HIGH = replace(LOW, face="high")


def block(name: str, x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Plate:
    middle = ((x[0] + x[1]) / 2, (y[0] + y[1]) / 2, z[0])
    outline = rectangle(x[1] - x[0], y[1] - y[0])
    return Plate(name=name, t=z[1] - z[0], wall=Wall(outline=outline), place=Place(middle))


def tee(*others: Plate, edge: Along | StraightEdge = HIGH, sides: int = 1, turn: int = 0) -> Part:
    """The tee with one weld; the high face of its upright looks ahead."""
    upright = Plate(
        name="upright", t=6, wall=Wall(outline=rectangle(60, 40)), place=Place((0, 0, 26), (1, 0, 0), (0, 0, 1))
    )
    base = block("base", (-50, 150), (-50, 50), (0, 6))
    weld = Weld(piece="upright", edge=edge, onto="base", leg=4, sides=sides, turn=turn)
    return Part(name="tee", pieces=(base, upright, *others), welds=(weld,))


def wall(off: float, high: float = 40.0, *, y: tuple[float, float] = (-50, 50), name: str = "wall") -> Plate:
    return block(name, (6 + off, 12 + off), y, (6, 6 + high))


def judged(part: Part, torch: Torch = STRAIGHT_ON) -> list[Finding]:
    return list(torch_findings(part, torch))


@pytest.mark.parametrize(("high", "r"), [(30.0, R), (40.0, R), (80.0, 15.0)])
def test_a_torch_at_45_degrees_passes_over_a_wall_by_its_radius(high: float, r: float) -> None:
    """The wall's top corner is (off - high) / sqrt 2 below the torch's axis, and that must be more than its radius:
    the nozzle's up to 80 from the root, the neck's past it."""
    off = high + r * math.sqrt(2)
    assert not judged(tee(wall(off + r * PRISM * math.sqrt(2) + 0.01, high)))
    (said,) = judged(tee(wall(off - 0.01, high)))
    assert (said.code, said.level, said.piece, said.limit) == ("torch reach", "caution", "upright", 0.0)
    assert said.value == 60
    assert "no free direction for the torch from 0 to 60 mm of its 60 mm" in said.sentence
    assert "it meets wall: weld it before wall is in place" in said.sentence


@pytest.mark.parametrize(("edge", "said"), [(LOW, False), (HIGH, True)])
def test_the_wall_hides_the_weld_on_its_own_side_alone(edge: Along, said: bool) -> None:
    assert bool(judged(tee(wall(30), edge=edge))) is said


@pytest.mark.parametrize(("x", "said"), [((36, 42), True), ((-36, -30), True), ((100, 106), False)])
def test_an_edge_welded_from_both_sides_is_reached_from_both(x: tuple[float, float], said: bool) -> None:
    """Its line is the middle of the upright's foot: either corner is 3 to the side of it."""
    middle = StraightEdge((-30.0, -20.0, 3.0), (30.0, -20.0, 3.0))
    far = block("wall", x, (-50, 50), (6, 46))
    assert bool(judged(tee(far, edge=middle, sides=2))) is said


@pytest.mark.parametrize(("stick_out", "said"), [(R - 0.01, True), (R + R * PRISM + 0.01, False)])
def test_a_nozzle_stands_in_a_square_corner_from_its_own_radius_out(stick_out: float, said: bool) -> None:
    """Its rim is stick_out / sqrt 2 - R / sqrt 2 from either face."""
    found = judged(tee(), replace(STRAIGHT_ON, stick_out=stick_out))
    assert bool(found) is said
    assert all("no order of welding frees it" in finding.sentence for finding in found)


def test_the_stretch_behind_something_short_is_told() -> None:
    """The wall ends at y -10 and 10, the nozzle is 8 to either side: 13 places, 4.67 apart, from y -28 to 28. Those
    at -14 to 14 are shut, those at 18.67 pass by 0.67; half way to them is 16.33, 13.67 from the ends."""
    (reach,) = weld_reaches(tee(wall(30, y=(-10, 10))), STRAIGHT_ON)
    (out,) = reach.out
    assert (out.start, out.end) == pytest.approx((30 - 49 / 3, 30 + 49 / 3))
    assert out.meets == ("wall",)
    (said,) = judged(tee(wall(30, y=(-10, 10))))
    assert said.value == pytest.approx(98 / 3, abs=0.05)
    assert "from 14 to 46 mm of its 60 mm (at 6, -14, 6 mm), of 117 tried every 5 mm;" in said.sentence


def test_two_stretches_are_told_apart() -> None:
    (reach,) = weld_reaches(tee(wall(30, y=(-50, -20)), wall(30, y=(20, 50), name="other")), STRAIGHT_ON)
    first, last = reach.out
    assert (first.start, first.meets, last.end, last.meets) == (0.0, ("wall",), 60.0, ("other",))
    assert first.end == pytest.approx(60 - last.start)
    (said,) = judged(tee(wall(30, y=(-50, -20)), wall(30, y=(20, 50), name="other")))
    assert f"from 0 to {first.end:.0f} mm and from {last.start:.0f} to 60 mm of its 60 mm" in said.sentence
    assert "it meets wall, other: weld it before wall, other are in place" in said.sentence


@pytest.mark.parametrize(("lean", "said"), [(0.0, True), (10.0, False)])
def test_a_torch_that_may_lean_passes_where_one_that_may_not_does_not(lean: float, said: bool) -> None:
    """At 45 + 10 degrees the wall's top is (45 sin 55 - 40 cos 55) = 13.9 from the axis."""
    assert bool(judged(tee(wall(45)), replace(STRAIGHT_ON, work=lean))) is said


@pytest.mark.parametrize(("lean", "said"), [(5.0, True), (30.0, False)])
def test_a_torch_leans_along_the_weld_out_from_under_a_lid(lean: float, said: bool) -> None:
    """The lid is over the weld's middle stretch: 40 above its root by 10 to either side."""
    lid = block("lid", (20, 150), (-4, 4), (40, 46))
    assert bool(judged(tee(lid), replace(STRAIGHT_ON, travel=lean))) is said


def test_a_thing_that_the_nozzle_swallows_whole_is_met() -> None:
    """A cube of 2 on the torch's axis, 40 from the root: no face of it comes near the torch's own."""
    at = 40 / math.sqrt(2)
    speck = block("speck", (6 + at - 1, 6 + at + 1), (-50, 50), (6 + at - 1, 6 + at + 1))
    short = replace(speck, wall=Wall(outline=rectangle(2, 2)))
    assert judged(tee(speck))
    (reach,) = weld_reaches(tee(short), STRAIGHT_ON)
    assert [out.meets for out in reach.out] == [("speck",)]


@pytest.mark.parametrize(("turn", "said"), [(0, True), (1, True), (2, False)])
def test_what_is_welded_in_by_a_later_turn_is_not_there_yet(turn: int, said: bool) -> None:
    part = tee(wall(30), turn=1)
    foot = Weld(piece="wall", edge=Along((-3.0, -50.0), (-3.0, 50.0)), onto="base", leg=4, turn=turn)
    found = judged(replace(part, welds=(*part.welds, foot)))
    assert bool([finding for finding in found if finding.piece == "upright"]) is said


def test_what_one_of_its_welds_holds_already_is_there() -> None:
    """The wall's far foot is welded in the first turn, its near one in the third; the upright in the second."""
    part = tee(wall(30), turn=2)
    edges = Along((-3.0, -50.0), (-3.0, 50.0)), Along((3.0, 50.0), (3.0, -50.0))
    feet = [
        Weld(piece="wall", edge=edge, onto="base", leg=4, turn=turn)
        for edge, turn in zip(edges, (3, 1), strict=True)
    ]
    found = judged(replace(part, welds=(*part.welds, *feet)))
    assert [finding.piece for finding in found].count("upright") == 1


def test_a_torch_is_tried_evenly_up_to_its_leans_and_no_further() -> None:
    """Across -24 to 24 by 6, along -36 to 36 by 6, the least lean first; each a right-handed frame."""
    ways = list(zip(*under_test.directions(Torch(work=24, travel=36)), strict=True))
    leans = [(math.degrees(lean), math.degrees(math.asin(turn[2, 2]))) for lean, turn in ways]
    grid = {(a, b) for a in range(-24, 25, 6) for b in range(-36, 37, 6)}
    assert {(round(a, 6), round(b, 6)) for a, b in leans} == grid
    assert (len(leans), leans[0]) == (under_test.TRIED, (0.0, 0.0))
    assert [math.hypot(*lean) for lean in leans] == sorted(math.hypot(*lean) for lean in leans)
    for (across, along), (_, turn) in zip(leans, ways, strict=True):
        assert turn.T @ turn == pytest.approx(np.eye(3))
        assert np.linalg.det(turn) == pytest.approx(1)
        assert math.degrees(math.atan2(turn[1, 2], turn[0, 2])) == pytest.approx(across)
        assert turn[2, 2] == pytest.approx(math.sin(math.radians(along)))


def test_the_torchs_triangles_are_three_closed_prisms_round_its_cylinders() -> None:
    """A prism of n sides round a circle of r is n r2 tan(pi / n) across; the same volume seen from two points."""
    corners, triples = under_test.torch_mesh(Torch())
    n = under_test.SIDES
    sizes = [(od / 2, high - low) for low, high, od in under_test.cylinders(Torch())]
    want = sum(n * r**2 * math.tan(math.pi / n) * long for r, long in sizes)
    for away in ((0.0, 0.0, 0.0), (100.0, -50.0, 30.0)):
        a, b, c = (corners[triples[:, i]] - away for i in range(3))
        assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6 == pytest.approx(want)
    assert under_test.cylinders(Torch()) == ((3.0, 20.0, 1.2), (20.0, 80.0, 16.0), (80.0, 160.0, 30.0))


def test_what_is_loose_is_not_there_when_it_is_welded() -> None:
    assert not judged(replace(tee(wall(30)), loose=("wall",)))


@pytest.mark.parametrize(("gap", "said"), [(1.6, False), (2.1, True)])
def test_a_weld_over_air_is_told_as_not_judged(gap: float, said: bool) -> None:
    """The usual fit-up of 1.6 is a corner still; its two ends and eleven places between are 13."""
    part = tee()
    high = replace(part.pieces[1], place=Place((0, 0, 26 + gap), (1, 0, 0), (0, 0, 1)))
    found = judged(replace(part, pieces=(part.pieces[0], high)))
    assert [f.level for f in found] == (["advice"] if said else [])
    assert all("is not judged at 13 of 13 places" in f.sentence for f in found)


def test_a_corner_is_found_with_its_root_its_opening_and_the_way_out_of_it() -> None:
    part = tee()
    pair = Pair(*(body(shape(piece)).corners[body(shape(piece)).triples] for piece in reversed(part.pieces)))
    along = np.array(((0.0, 1.0, 0.0),))
    ((corner,),) = corners_along(pair, np.array(((6.0, 1.0, 6.0),)), along, 1.0)
    assert corner.opening == pytest.approx(math.pi / 2)
    assert corner.root == pytest.approx((6, 1, 6))
    assert corner.between == pytest.approx((0.5**0.5, 0, 0.5**0.5))
    (both,) = corners_along(pair, np.array(((3.0, 1.0, 6.0),)), along, 4.0)
    assert sorted(tuple(corner.root.round(6)) for corner in both) == [(0, 1, 6), (6, 1, 6)]


@pytest.mark.parametrize("at_once", [1, 10**6])
def test_corners_are_those_of_each_place_however_many_are_looked_at_together(
    at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The upright ends at y = 30: past it there is no corner, and each other place has its own root."""
    monkeypatch.setattr(weld_corners, "AT_ONCE", at_once)
    part = tee()
    pair = Pair(*(body(shape(piece)).corners[body(shape(piece)).triples] for piece in reversed(part.pieces)))
    at = np.array([(6.0, y, 6.0) for y in (-29.0, -1.0, 50.0, 17.0)])
    found = corners_along(pair, at, np.tile((0.0, 1.0, 0.0), (4, 1)), 1.0)
    assert [len(corners) for corners in found] == [1, 1, 0, 1]
    assert [corners[0].root == pytest.approx(place) for corners, place in zip(found, at, strict=True) if corners]


def test_a_seat_stands_for_what_it_meets() -> None:
    """A strut's ends are welded to a tube and to a flat that are no pieces of it."""
    opened = recipe("strut")
    part = opened.build(opened.Params())
    assert not judged(part, Torch())
    short = judged(part, replace(STRAIGHT_ON, stick_out=3, work=25))
    to_tube, to_flat = (finding.sentence.split("meets")[1] for finding in short)
    assert ("start" in to_tube, "end" in to_flat) == (True, True)


@pytest.mark.parametrize("name", [name for name in recipes() if name not in BARE])
def test_the_usual_torch_gets_at_every_weld_of_a_shipped_recipe(name: str) -> None:
    opened = recipe(name)
    reaches = weld_reaches(opened.build(opened.Params()), Torch())
    assert reaches
    assert [reach for reach in reaches if reach.out or reach.not_judged] == []


def test_the_kernel_agrees_that_a_torch_held_so_is_free(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its own distance of the exact cylinders to the exact solids, at every fifth place of ears on a base."""
    held: list[Transform] = []
    meets = under_test.There.meets

    def seen(there: under_test.There, corner: Corner, absent: frozenset[str]) -> tuple[str, ...]:
        met = meets(there, corner, absent)
        if not met:
            held.append(under_test._At(there, corner, absent).stand(there.free[0]))
        return met

    monkeypatch.setattr(under_test.There, "meets", seen)
    opened = recipe("ears_on_base")
    part = opened.build(opened.Params())
    weld_reaches(part, Torch(work=24))
    assert len(held) > 20
    for stand in held[::5]:
        way = stand.turn[:, 2]
        for low, high, od in under_test.cylinders(Torch(work=24)):
            tool = Solid.makeCylinder(od / 2, high - low, Vector(*(stand.move + low * way)), Vector(*way))
            for piece in part.pieces:
                apart = BRepExtrema_DistShapeShape(tool.wrapped, shape(piece).wrapped)
                assert apart.Value() > 0
                assert not apart.InnerSolution()


WALLED = """
from dataclasses import dataclass

from brackets import Along, Checked, Part, Place, Plate, Wall, Weld, rectangle


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    pass


def build(p):
    base = Plate(name="base", t=6, wall=Wall(outline=rectangle(200, 100)))
    stand = [
        Plate(name=name, t=6, wall=Wall(outline=rectangle(80, 34)), place=Place((x, 0, 23), (1, 0, 0), (0, 0, 1)))
        for name, x in (("one", 0), ("two", 24))
    ]
    weld = Weld(piece="one", edge=Along((-40, -17), (40, -17), "high"), onto="base", leg=4)
    return Part(name="walled", pieces=(base, *stand), welds=(weld,), loose=())
"""


def test_a_part_that_is_made_says_it_and_a_bay_with_its_shop_does(tmp_path: Path) -> None:
    """18 mm between two plates that stand 34 high. A nozzle of 16 keeps off its own plate up to 68 degrees from the
    base, where the other's top is 18 sin 68 - 34 cos 68 = 4.0 from its axis: 8 is too much, 3 passes."""
    (tmp_path / "walled.py").write_text(WALLED, "utf-8")
    opened = recipe(str(tmp_path / "walled.py"))
    told = [f for f in checked(made(opened, opened.Params())).findings if f.code == "torch reach"]
    assert [(f.level, f.piece) for f in told] == [("caution", "one")]
    thin = replace(default(), torch=Torch(nozzle_od=6, neck_od=6))
    assert not [f for f in checked(made(opened, opened.Params(), thin)).findings if f.code == "torch reach"]
    bay = 'format = 1\nname = "Invented"\n{}[[part]]\nname = "w"\nrecipe = "walled.py"\n'
    bay += 'side = "chassis"\nat = [0, 0, 0]\n'
    shop = 'format = 1\nname = "ours"\n[brake]\nlength = 900\n[torch]\nnozzle_od = 6\nneck_od = 6\n'
    (tmp_path / "shop.toml").write_text(shop, "utf-8")
    for head, codes in (("", ["torch reach"]), ('shop = "shop.toml"\n', [])):
        (tmp_path / "bay.toml").write_text(bay.format(head), "utf-8")
        (part,) = checked_bay(placed_bay(read(tmp_path / "bay.toml"))).parts
        assert [f.code for f in part.findings if f.code == "torch reach"] == codes


def test_the_torch_of_a_shop_file_is_read_and_limited() -> None:
    text = 'format = 1\nname = "mine"\n[brake]\nlength = 900\n[torch]\n{}\n'
    assert parse(text.format("stick_out = 12\nnozzle_od = 10\nneck_length = 55\ntravel = 20")).torch == Torch(
        stick_out=12, nozzle_od=10, neck_length=55, travel=20
    )
    assert parse(text.format("")).torch == Torch() == default().torch == NO_TOOLS.torch
    with pytest.raises(InputError, match=r"stick_out = 2 mm, must be 3 to 60 mm"):
        parse(text.format("stick_out = 2"))
    assert parse(text.format("work = 60")).torch.work == 60
    with pytest.raises(InputError, match=r"work = 61 deg, must be 0 to 60 deg"):
        parse(text.format("work = 61"))


@pytest.mark.parametrize("name", ["tray", "stay"])
def test_what_was_free_elsewhere_is_tried_first_and_decides_nothing(name: str) -> None:
    """Welds in any order and by themselves, a nozzle that does not get at all of them: each is reached as far, and
    meets the same."""
    opened = recipe(name)
    part = opened.build(opened.Params())
    wide = replace(Torch(), nozzle_od=1.6 * Torch().nozzle_od)
    alone = [weld_reaches(replace(part, welds=(weld,)), wide)[0] for weld in part.welds]
    for welds in (part.welds, part.welds[::-1]):
        together = {reach.weld: reach for reach in weld_reaches(replace(part, welds=welds), wide)}
        assert [together[one.weld] for one in alone] == alone
    assert any(one.out for one in alone)


@pytest.mark.parametrize("name", ["ears_on_base", "tray", "strut"])
def test_planes_spare_triangles_and_decide_nothing(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With planes that show nothing each weld is reached as far, and meets the same."""
    opened = recipe(name)
    part = opened.build(opened.Params())
    asked: list[str] = []
    touches = under_test.There.touches

    def counted(self: under_test.There, stand: Transform, piece: str) -> bool:
        asked.append(piece)
        return touches(self, stand, piece)

    monkeypatch.setattr(under_test.There, "touches", counted)
    wide = replace(Torch(), nozzle_od=2 * Torch().nozzle_od)
    found, count = weld_reaches(part, wide), len(asked)
    nothing = lambda *args: np.full((len(args[3]), len(args[0].starts)), -math.inf)  # noqa: E731
    monkeypatch.setattr(PartingPlanes, "apart", nothing)
    assert weld_reaches(replace(part, name="again"), wide) == found
    assert count < len(asked) - count


def test_a_plane_says_how_far_a_tool_is_off_a_block_at_least() -> None:
    """A rod of 10, from 20 to 50 mm of its origin, by a block 100 x 60 x 20 whose top is z = 10: upright over it,
    lying along x, upright past x = 50, along the edge and 15 from it at 45 degrees, in it."""
    block = body(Solid.makeBox(100, 60, 20, Vector(-50, -30, -10)))
    planes = PartingPlanes([block])
    for tip, axis, want in (
        ((0, 0, 0), (0, 0, 1), 10),
        ((0, 0, 20), (1, 0, 0), 5),
        ((60, 0, -30), (0, 0, 1), 5),
        ((50 + 15 * 0.5**0.5, 0, 10 + 15 * 0.5**0.5), (0, 1, 0), 10),
        ((0, 0, -20), (0, 0, 1), -10),
    ):
        ((found,),) = planes.apart([(20, 50, 10)], np.array(tip), np.array([axis], dtype=float))
        assert found == pytest.approx(want, abs=1e-5)


def test_the_kernel_finds_a_tool_no_nearer_than_planes_say() -> None:
    """Its own distance of a rod in random places to a cup of round faces and to a block beside it."""
    opened, random = recipe("cup"), np.random.default_rng(7)
    cup = shape(opened.build(opened.Params()))
    solids = [cup, Solid.makeBox(40, 60, 20, Vector(60, -30, -10))]
    planes = PartingPlanes([body(one) for one in solids])
    told = 0
    for _ in range(60):
        tip, axis = random.uniform(-90, 90, 3), random.normal(size=3)
        axis /= np.linalg.norm(axis)
        rod = Solid.makeCylinder(6, 40, Vector(*(tip + 5 * axis)), Vector(*axis))
        for solid, mm in zip(solids, planes.apart([(5, 45, 12)], tip, axis[None])[0], strict=True):
            apart = BRepExtrema_DistShapeShape(rod.wrapped, solid.wrapped)
            assert mm <= apart.Value() + 1e-6
            told += mm > 0
    assert told > 60
