"""Parts bolted to the chassis: grip, length, reach and masses by sums done by hand, on small bays of our own.

M10: washers 2 thick and 20 wide, a nut 8.4 high, a head 6.63 (6.4 + half its tolerance as the table has it), pitch
1.5, 26 of thread on a length to 125 (ISO 4014). Its hole is 11 (ISO 273 medium).
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from kernel import AGREE, disagreement
from test_bay_bolts import walls
from test_bolts_own_metal import segment

from brackets import FIXINGS, Fixing, Part, fastened, recipe
from brackets.app.preview.bay_scene import add_measured
from brackets.app.preview.scene import Picture
from brackets.bay.bolts.bolt_rules import bolt_findings
from brackets.bay.bolts.bolting import BoltFound, bolts
from brackets.bay.bolts.chassis_bolts import ChassisBolt, chassis_bolts, through_bodies, with_loose_ends
from brackets.bay.bolts.chassis_rules import chassis_findings, not_drawn
from brackets.bay.clear.pairs import Pair, pairs
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.bolt_records import bolt_record
from brackets.bay.report.rows import bolt_row
from brackets.bay.report.whole import mass_rows, to_buy
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Powertrain
from brackets.bay.stand.bodies import BayBody, bay_bodies, keep_out_body
from brackets.bay.stand.layers import Layer, layers, met
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay, ThroughBolt
from brackets.bay.stand.unloaded import no_weight
from brackets.clearance.bodies import crossings
from brackets.core.errors import BadFile, InputError
from brackets.core.place import Place
from brackets.core.tables.bolt_rows import bolt
from brackets.core.vectors import add, scale, sub, unit
from brackets.output.assembly import assembled
from brackets.output.bay_files import cut_here

M10 = bolt("M10")
STEEL = 7850e-9
"""kg/mm3."""

HEAD = """\
format = 1
name = "Bolted (invented)"
[gap]
fixed = { rest = 5, moved = 1, why = "our own choice" }
"""
RAIL = HEAD + """\
[[keep_out]]
name = "rail"
box = { from = [-25, -300, 0], to = [25, 300, 50] }
wall = 2.5
[powertrain]
moves = { about = "crank", up = 1, down = 1 }
[[bush]]
name = "B30"
kind = "bonded rubber"
od = 40
shell_length = 26
sleeve_od = 16
sleeve_bore = 10.2
sleeve_length = 30
bolt = "M10"
stiffness = { radial = 350, axial = 110, torsion = 20000, known = "invented" }
load = 2000
heat = 80
travel = { radial = 5, axial = 5 }
mass = 0.2
[[mount]]
name = "m"
bush = "B30"
at = [0, 0, 120]
axis = [1, 0, 0]
bolt = { size = "M10", length = 70, head = "front", washers = [2, 3], nut = "all-metal lock" }
[mount.chassis]
part = "ears"
onto = "rail"
[[part]]
name = "ears"
recipe = "ears_on_base"
t = 5
ear_r = 20
inside = 30.5
fixing = "bolted through hollow"
base = { width = 50, t = 6, radius = 2 }
"""
"""A square rail of 50 x 50 x 2.5 along y; a base of 6 and a spreader of 4 on it."""

PATHS = """\
[[path]]
name = "still bolted"
part = "ears"
without = ["m"]
legs = [[0, 0, 30], [0, 200, 0]]
[[path]]
name = "bolts out"
part = "ears"
without = ["m", "ears bolts"]
legs = [[0, 0, 30], [0, 200, 0]]
"""
SHEET = HEAD + """\
[[keep_out]]
name = "bulkhead"
box = { from = [0, -200, 0], to = [1.5, 200, 400] }
[[keep_out]]
name = "doubler"
box = { from = [1.5, -100, 100], to = [4.5, 100, 300] }
[[part]]
name = "foot"
recipe = "base_plate"
at = [4.5, 0, 200]
axis = [1, 0, 0]
up = [0, 0, 1]
side = "chassis"
width = 60
length = 120
t = 5
fixing = "bolted to solid"
[[contact]]
pair = ["foot", "doubler"]
[[contact]]
pair = ["foot", "bulkhead"]
"""
"""A bulkhead of 1.5 with a doubler of 3 on it, and a plate of 5 bolted to both, its length along y."""


def stood(folder: Path, text: str, *swaps: tuple[str, str]) -> PlacedBay:
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    path = folder / "bay.toml"
    path.write_text(text, "utf-8")
    return placed_bay(read(path))


def things(made: PlacedBay) -> tuple[tuple[ChassisBolt, ...], tuple[BayBody, ...]]:
    found = chassis_bolts(made)
    return found, (*with_loose_ends(made, bay_bodies(made), found), *through_bodies(found))


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    path = tmp_path_factory.mktemp("rail") / "bay.toml"
    path.write_text(RAIL + PATHS, "utf-8")
    return fit(read(path))


def through(done: Fit) -> list[BoltFound]:
    return [one for one in done.bolts if isinstance(one.bolt, ChassisBolt)]


# --------------------------------------------------------------------------------------------- through a rail


def test_the_grip_through_a_rail_is_base_rail_and_spreader(done: Fit) -> None:
    """6 + 50 + 4 = 60. A washer either end, a nut of 8.4 and two threads ask 75.4: 80, with 54 of shank, past the
    washer's 2 and the base's 6, where the base meets the rail, and short of the nut at 64."""
    first, second = (one.bolt for one in through(done))
    assert isinstance(first, ChassisBolt)
    assert isinstance(second, ChassisBolt)
    assert (first.part_t, first.depth, first.spreader_t, first.grip) == pytest.approx((6, 50, 4, 60))
    assert first.layers == (Layer(name="rail", low=0.0, high=50.0, edge=25.0, hollow=True),)
    assert first.crush_tube == pytest.approx(50)
    assert first.stock is not None
    assert (first.stock.length, first.stock.washers, first.stock.full_thread) == (80, (1, 1), False)
    # the base: a foot of 40, and two edges of 22 at either end; its holes 22 from its ends
    half = (40 + 4 * 22) / 2 - 22
    assert [one.face for one in (first, second)] == [pytest.approx((0, y, 56)) for y in (half, -half)]
    assert first.head == pytest.approx((0, 0, 1))


def test_a_part_bolted_on_says_nothing_more_than_a_welded_one(done: Fit) -> None:
    assert {f.code for f in done.findings} == {"weld near", "thread in ear", "weld cyclic", "path held", "pos"}
    assert all(one.drawn is not None and one.drawn.out and one.in_metal == () for one in through(done))
    assert all(end.ok for one in through(done) for end in one.ends)
    assert [end.end for end in through(done)[0].ends] == ["head", "nut"]
    (pair,) = (pair for pair in done.pairs if {pair.a, pair.b} == {"ears", "rail"})
    assert pair.state == "fit-up"
    (seat,) = done.seats
    assert (seat.seat, seat.onto, seat.share, seat.hangs) == ("foot", ("rail",), pytest.approx(1), ())


def test_a_bolt_is_judged_against_all_but_what_it_holds(done: Fit) -> None:
    name = "ears base/bolt_1"
    met_by = {pair.a if pair.b == name else pair.b for pair in done.pairs if name in (pair.a, pair.b)}
    assert not met_by & {"ears", "rail"}
    thing = next(thing for thing in done.things if thing.name == name)
    low, high = thing.body.box
    # from the tip, 80 under the head at 58, up to the top of the head
    assert (low[2], high[2]) == pytest.approx((58 - 80, 58 + M10.head_height), abs=0.02)


def test_a_body_near_a_bolt_is_short_of_its_gap(tmp_path: Path) -> None:
    """A pipe of 10 whose skin is 2 below the tip at z = -22: same side, 3 asked."""
    pipe = """\
[[keep_out]]
name = "pipe"
tube = { from = [-50, 42, -29], to = [50, 42, -29], od = 10 }
"""
    made = stood(tmp_path, RAIL + pipe)
    found, all_things = things(made)
    assert [one.name for one in found] == ["ears base/bolt_1", "ears base/bolt_2"]
    (hit,) = pairs(made.bay, [thing for thing in all_things if thing.name in ("ears base/bolt_1", "pipe")])
    assert hit.low == pytest.approx(2.0, abs=0.01)
    assert hit.short
    assert hit.rule.kind == "same_side"


def hand_kg(length: float, nut: bool = True) -> float:
    """Shank, head, two washers and nut of an M10: plain solids of steel."""
    hexagon = math.sqrt(3) / 2 * 16**2
    shank, head = math.pi * 25 * length, hexagon * M10.head_height
    washers = 2 * math.pi / 4 * (20**2 - 10.5**2) * 2
    return STEEL * (shank + head + washers + (hexagon - math.pi * 25) * 8.4)


def test_a_bolt_is_weighed_bought_and_listed(done: Fit) -> None:
    for one in through(done):
        assert isinstance(one.bolt, ChassisBolt)
        assert one.bolt.made is not None
        assert one.bolt.made.mass.kg == pytest.approx(hand_kg(80), rel=1e-9)
    rows = {row.what: row.mass.kg for row in mass_rows(done)}
    (ears,) = done.stood.parts
    bought = {thing.what: thing.part.mass.kg for thing in done.stood.bought}
    sleeve = 0.2 * bought["sleeve"] / (bought["sleeve"] + bought["bush"])
    whole = ears.part.mass.kg + bought["bolt"] + sleeve + 2 * hand_kg(80)
    assert rows["mounts on the chassis"] == pytest.approx(whole, rel=1e-9)
    buy = {(item.kind, item.what): (item.number, item.where) for item in to_buy(done)}
    assert buy["bolt", "M10 x 80"] == (2, ("ears",))
    assert buy["nut", "M10 plain"] == (2, ("ears",))
    assert buy["washer", "M10"] == (2 + 3 + 4, ("m", "ears"))
    row = bolt_row(through(done)[0])
    assert row.cells == ("ears base/bolt_1", "ears | rail", "M10 x 80", "yes", "yes")
    assert (row.things, row.good) == (("ears base/bolt_1", "ears", "rail"), True)


def test_the_record_of_a_bolt_has_its_layers(done: Fit) -> None:
    told = json.loads(json.dumps(bolt_record(through(done)[0])))
    assert told["kind"] == "chassis"
    assert told["layers"] == [{"onto": "rail", "mm": 50.0, "edge_mm": 25.0, "hollow": True}]
    assert (told["grip_mm"], told["part_mm"], told["spreader_mm"], told["crush_tube_mm"]) == pytest.approx(
        (60, 6, 4, 50)
    )
    assert (told["stock"]["length_mm"], told["stock"]["full_thread"], told["nut"]) == (80, False, "plain")


def test_a_bolt_is_in_the_picture_and_in_the_assembly(done: Fit) -> None:
    found = Picture((1.0, 0.5))
    add_measured(found, done.things)
    names = {"ears base/bolt_1", "ears base/bolt_2"}
    assert {item["thing"] for item in found.items} == names
    assert {item["name"] for item in found.items} == {
        "head", "shank", "washer_head_1", "washer_nut_1", "nut",
    }  # fmt: skip
    for thing in done.things:
        if thing.name in names:
            assert isinstance(thing.of, ThroughBolt)
            made = assembled(thing.of)
            assert made is not None
            assert made.name == thing.name
            assert not cut_here(thing.of)


def test_a_path_is_held_by_the_bolts_that_are_in(done: Fit) -> None:
    """Out it goes by its near side alone: the tubes on their spreader come out below."""
    held, free = done.paths
    assert held.held == ("ears bolts",)
    assert not held.out
    assert (free.held, free.out) == ((), True)
    assert "ears base/bolt_1" not in free.moving


def test_bolts_of_a_part_that_is_not_there_are_refused_on_a_path(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="without = ear bolts, nearest: ears bolts: a mount, boss, part, its bolts"):
        stood(tmp_path, RAIL + PATHS, ("ears bolts", "ear bolts"))


# ------------------------------------------------------------------------------------------------ what stops


def said(made: PlacedBay) -> list[tuple[str, str, str]]:
    return [(f.level, f.code, f.sentence) for one in chassis_bolts(made) for f in chassis_findings(one)]


def test_a_hollow_rail_without_crush_tubes_stops(tmp_path: Path) -> None:
    bare = ("fixing = ", "crush_tubes = false\nfixing = ")
    found = said(stood(tmp_path, RAIL, bare))
    assert [(level, code) for level, code, _ in found] == [("stop", "crush tube")] * 2
    assert "goes through rail, hollow, without a crush tube: its walls collapse" in found[0][2]
    assert [code for _, code, _ in said(stood(tmp_path, RAIL, ("through hollow", "through sheet")))] == [
        "crush tube"
    ] * 2
    assert said(stood(tmp_path, RAIL, bare, ("wall = 2.5\n", ""))) == []


@pytest.mark.parametrize(
    ("through", "words"),
    [(51.0, "51.0 mm long in rail, 50.0 mm deep: 1.0 mm stand out of it"),
     (49.0, "49.0 mm long in rail, 50.0 mm deep: its walls are bent in by 1.0 mm")],
)  # fmt: skip
def test_a_crush_tube_of_another_length_is_told(tmp_path: Path, through: float, words: str) -> None:
    found = said(stood(tmp_path, RAIL, ("fixing = ", f"through = {through}\nfixing = ")))
    assert [(level, code) for level, code, _ in found] == [("caution", "crush tube")] * 2
    assert words in found[0][2]


def test_the_depth_of_the_rail_is_taken_from_the_bay(tmp_path: Path) -> None:
    made = stood(tmp_path, RAIL, ("to = [25, 300, 50]", "to = [25, 300, 60]"), ("120]", "130]"))
    (ears,) = made.parts
    assert ears.worked_out["through"] == pytest.approx(60)
    assert [one.grip for one in chassis_bolts(made)] == pytest.approx([70, 70])


def test_a_plate_sunk_in_its_rail_still_fouls_it(tmp_path: Path) -> None:
    """The crush tubes may lie in the rail, nothing else: 5 deep, over the whole base and most of the spreader."""
    made = stood(tmp_path, RAIL)
    (ears,) = made.parts
    low = replace(ears, part=ears.part.placed(Place(at=(0.0, 0.0, -5.0))))
    sunk = replace(made, parts=(low,))
    assert state(sunk, things(sunk)[1]).state == "foul"


def test_a_spreader_inside_its_rail_fouls_it(tmp_path: Path) -> None:
    made = stood(tmp_path, RAIL, ("fixing = ", "through = 40\nfixing = "))
    assert state(made, things(made)[1]).state == "foul"


def state(made: PlacedBay, there: tuple[BayBody, ...]) -> Pair:
    (found,) = pairs(made.bay, [thing for thing in there if thing.name in ("ears", "rail")])
    return found


def test_a_tank_behind_and_one_over_it_keep_a_bolt_in(tmp_path: Path) -> None:
    """The base's top is at 56, a washer on it; the far side ends at -4, a washer under it. A bolt of 80 and its
    head want 86.4 over the one or under the other."""
    made = stood(tmp_path, RAIL)
    found, there = things(made)
    roof = ((-100.0, -200.0, 100.0), (100.0, -20.0, 110.0))
    floor = ((-100.0, -200.0, -70.0), (100.0, -20.0, -60.0))

    def judged(*boxes: tuple[tuple[float, float, float], tuple[float, float, float]]) -> list[tuple[str, str, str]]:
        one = [b for b in bolts(made, [*there, *walls(boxes)], found) if b.body.startswith("ears")]
        return [(f.level, f.code, f.sentence) for f in bolt_findings(one)]

    [(level, code, words)] = judged(roof)
    assert (level, code) == ("advice", "bolt drawn")
    assert words.startswith(f"its bolt comes out {100 - 58 - M10.head_height:.0f} of 80 mm, then meets wall 0")
    # the floor at -60 leaves the nut at -6 room for a socket over 80 - 64 = 16 of bolt
    [(level, code, words)] = judged(roof, floor)
    assert (level, code) == ("caution", "bolt drawn")
    assert "it must go in before wall 0 is there; can wall 0, typed as a keep-out, come off?" in words


def test_a_nut_in_a_blind_place_is_told(tmp_path: Path) -> None:
    """Walls round the nut and one under it: neither socket nor spanner."""
    made = stood(tmp_path, RAIL)
    found, there = things(made)
    blind = [
        ((-60.0, -200.0, -40.0), (-13.0, -10.0, -5.0)),
        ((13.0, -200.0, -40.0), (60.0, -10.0, -5.0)),
        ((-60.0, -200.0, -45.0), (60.0, -10.0, -40.0)),
    ]
    near = [b for b in bolts(made, [*there, *walls(blind)], found) if b.body.startswith("ears")]
    told = [f for f in bolt_findings(near) if f.code == "bolt reach"]
    assert [f.level for f in told] == ["caution"]
    assert told[0].sentence.startswith("no tool gets at the nut: a socket")
    assert set(told[0].about) >= {"ears", "rail", "wall 2"}


# -------------------------------------------------------------------------------------------- through a sheet


def test_the_grip_through_a_bulkhead_with_a_doubler(tmp_path: Path) -> None:
    """5 + 3 + 1.5 = 9.5: a washer either end, a nut of 8.4 and 3 out of it make 24.9. The shortest bolt with a
    shank has 19 of it, where 13.5 are the most under two washers: one threaded to its head is taken."""
    made = stood(tmp_path, SHEET)
    first, second = chassis_bolts(made)
    assert [layer.name for layer in first.layers] == ["doubler", "bulkhead"]
    assert [layer.t for layer in first.layers] == pytest.approx([3, 1.5])
    assert (first.grip, first.depth, first.spreader_t, first.crush_tube) == pytest.approx((9.5, 4.5, 0, 0))
    assert first.stock is not None
    assert (first.stock.length, first.stock.full_thread) == (25, True)
    assert {one.face[1] for one in (first, second)} == {-38.0, 38.0}
    assert first.face[0] == pytest.approx(9.5)
    assert said(made) == [
        ("advice", "thread in chassis",
         "M10 x 25 is threaded to its head: none with a shank clamps 9.5 mm"),
    ] * 2  # fmt: skip


def test_a_spreader_behind_the_bulkhead_is_gripped_too(tmp_path: Path) -> None:
    """The doubler's 3 and the sheet's 1.5 are 4.5 through, and 4 behind: 13.5."""
    swap = ('fixing = "bolted to solid"', 'fixing = "bolted through sheet"\nthrough = 4.5')
    made = stood(tmp_path, SHEET, swap)
    found, there = things(made)
    assert [(one.grip, one.spreader_t) for one in found] == [pytest.approx((13.5, 4))] * 2
    (pair,) = (p for p in pairs(made.bay, there) if {p.a, p.b} == {"foot", "bulkhead"})
    assert pair.state == "contact"
    assert all(thing.beside is None for thing in there)


def test_a_bolt_past_the_doubler_holds_nothing(tmp_path: Path) -> None:
    """The doubler ends at y = 30, the bolts are at 38: 8 past it; the sheet behind is 3 away."""
    made = stood(tmp_path, SHEET, ("from = [1.5, -100, 100], to = [4.5, 100, 300]",
                                   "from = [1.5, -100, 100], to = [4.5, 30, 300]"))  # fmt: skip
    [(level, code, words)] = [row for row in said(made) if row[1] == "bolt hole"]
    assert level == "stop"
    assert words.endswith("goes through nothing: bulkhead begins 3.0 mm from the part")


@pytest.mark.parametrize(("top", "told"), [(213.2, False), (213.0, True)])
def test_an_edge_is_1_2_holes_away(tmp_path: Path, top: float, told: bool) -> None:
    """EN 1993-1-8 table 3.3: 1.2 x 11 = 13.2 from the bolts' middle at z = 200."""
    made = stood(tmp_path, SHEET, ("to = [4.5, 100, 300]", f"to = [4.5, 100, {top}]"))
    found = [row for row in said(made) if row[1] == "bolt hole"]
    assert bool(found) is told
    if told:
        assert found[0][2].endswith("is 13.0 mm from the edge of doubler, at least 13.2 (1.2 d)")


def test_bolts_without_anything_to_go_through_are_told(tmp_path: Path) -> None:
    lone = SHEET[: SHEET.index("[[contact]]")]
    made = stood(tmp_path, lone)
    assert chassis_bolts(made) == ()
    [told] = not_drawn(made, ())
    assert (told.level, told.code, told.about) == ("advice", "bolt", ("foot",))
    assert "2 bolts to the chassis are not drawn and not cleared: nothing says what it is" in told.sentence
    shell = '[[keep_out]]\nname = "shell"\nmesh = "shell.stl"\nunit = "mm"\n'
    made = stood(tmp_path, f'{lone}{shell}[[contact]]\npair = ["foot", "shell"]\n')
    [told] = not_drawn(made, chassis_bolts(made))
    assert "shell is a mesh or a STEP file, whose depth is not worked out" in told.sentence
    assert list(not_drawn(stood(tmp_path, SHEET), chassis_bolts(stood(tmp_path, SHEET)))) == []


def test_a_grip_that_no_stock_length_clamps_is_told_and_not_drawn(tmp_path: Path) -> None:
    """A block of 100 and 6 of base: 106 of grip want 2 + 106 + 2 + 8.4 + 3 = 121.4, and M10 ends at 100."""
    made = stood(tmp_path, RAIL, ("wall = 2.5\n", ""), ("[-25, -300, 0]", "[-25, -300, -50]"),
                 ("through hollow", "to solid"))  # fmt: skip
    found, there = things(made)
    assert [(one.grip, one.stock, one.made) for one in found] == [(pytest.approx(106), None, None)] * 2
    assert "ears base/bolt_1" not in {thing.name for thing in there}
    (first, *_) = [one for one in bolts(made, there, found) if one.body == "ears base/bolt_1"]
    [told] = list(bolt_findings([first]))
    assert (told.level, told.code, told.value) == ("caution", "bolt length", pytest.approx(106))
    assert f"x {M10.lengths[-1]:g} is {121.4 - M10.lengths[-1]:.1f} mm too short" in told.sentence
    assert first.drawn is None
    assert bolt_record(first)["stock"] is None


def test_a_nut_in_a_flange_of_its_own_plate_is_a_foul(tmp_path: Path) -> None:
    """Both ends bent down with 2 of radius: their inner faces are 8.5 from a bolt that is 6.5 from the bend."""
    half = (120 - 2 * (2 + 5)) / 2
    made = stood(
        tmp_path, SHEET,
        ("t = 5\n", "t = 5\nflanges = 2\nflange_angle = -90\nflange = 60\ninside_radius = 2\n"
                    f"holes = [[{half - 6.5}, 0]]\n"),
        ("length = 120", "length = 120\nradius = 0"),
    )  # fmt: skip
    found, there = things(made)
    (one,) = bolts(made, there, found)
    volumes = {part.what: part.volume for part in one.in_metal}
    assert volumes["nut"] == pytest.approx(segment(M10.across_corners / 2, 8.5) * 8.4, rel=1e-6)
    assert volumes["washers"] == pytest.approx(segment(10, 8.5) * (2 - 0.2), rel=1e-6)
    (foul,) = (f for f in bolt_findings([one]) if f.code == "foul")
    assert foul.about[:2] == ("foot bolt_1", "foot")


# ----------------------------------------------------------------------------------------------- closed forms


def bay_of(keep_out: KeepOut) -> Bay:
    return Bay(
        path=Path("bay.toml"), name="", bare="mm", gaps={}, data=(), keep_outs=(keep_out,), powertrain=Powertrain(),
        lumps=(), bosses=(), bushes={}, mounts=(), parts=(), contacts=(), paths=(),
    )  # fmt: skip


def test_the_depth_of_a_turned_box_and_of_a_tube_is_the_kernels(rng: Callable[[int], random.Random]) -> None:
    """Where a line enters and leaves the body that gaps are measured to."""
    seen = 0
    for n in range(40):
        r = rng(n)
        at, axis = tuple(r.uniform(-50, 50) for _ in range(3)), tuple(r.uniform(-1, 1) for _ in range(3))
        if n % 2:
            one = KeepOut(name="k", box_from=(-30, -20, -10), box_to=(30, 20, 10), box_at=at, box_axis=axis)
        else:
            end = add(at, scale(unit(axis), 120.0))
            one = KeepOut(name="k", tube_from=at, tube_to=end, tube_od=40.0)
        solid = keep_out_body(one, beside=Path())
        middle = tuple(float(c) for c in solid.box.mean(axis=0))
        way = unit(tuple(r.uniform(-1, 1) for _ in range(3)))  # type: ignore[arg-type]
        start = sub(middle, scale(way, 300.0))
        (layer,) = met(bay_of(one), {"k"}, start, way)
        cut = crossings(solid, [start], way)[0]
        if layer.edge > 1e-6:
            assert (layer.low, layer.high) == pytest.approx((cut[0], cut[-1]), abs=0.2 if n % 2 == 0 else 1e-6)
            seen += 1
    assert seen > 10


def test_layers_end_at_a_gap_that_no_bolt_pulls_in() -> None:
    def box(name: str, low: float, high: float) -> KeepOut:
        return KeepOut(name=name, box_from=(-50, -50, low), box_to=(50, 50, high))

    for gap, passed in ((1.0, ("a", "b")), (1.1, ("a",))):
        both = replace(bay_of(box("a", 0, 3)), keep_outs=(box("b", 3 + gap, 9), box("a", 0, 3)))
        found = layers(both, {"a", "b"}, (0, 0, 0), (0, 0, 1))
        assert tuple(layer.name for layer in found) == passed
    assert layers(both, {"b"}, (0, 0, 0), (0, 0, 1)) == ()


@pytest.mark.parametrize("way", FIXINGS)
@pytest.mark.parametrize("flanges", [0, 2])
def test_every_piece_of_a_bolted_part_weighs_what_the_kernel_says(way: str, flanges: int) -> None:
    values = {"fixing": way, "through": 50.0, "base_flanges": flanges}
    for part in (
        recipe("ears_on_base").build(recipe("ears_on_base").Params(**values)),
        recipe("base_plate").build(recipe("base_plate").Params(fixing=way, through=50.0, flanges=flanges)),
    ):
        for piece in part.pieces:
            assert max(disagreement(piece)) < AGREE, piece.name
        bolted = [seat for seat in part.seats if seat.kind == "bolt"]
        assert len(bolted) == (0 if way == "welded" else 2)


def test_what_holds_a_base_weighs_what_plain_sums_say() -> None:
    """Two tubes 17 x 3 x 50, and a plate of 4 with round ends of 22 about holes 60 apart."""
    held = fastened(Fixing(size="M10", points=((-30, 0), (30, 0)), through=50, tube_wall=3, spreader_t=4))
    tubes = 2 * math.pi / 4 * (17**2 - 11**2) * 50
    spreader = 4 * (60 * 44 + math.pi * 22**2 - 2 * math.pi / 4 * 11**2)
    assert held.mass.kg == pytest.approx(STEEL * (tubes + spreader), rel=1e-12)
    opened = recipe("ears_on_base")
    params = opened.Params(fixing="bolted through hollow", base_radius=0.0, through=50.0)
    part = opened.build(params)
    plate = part.piece("base/base")
    # 60 wide, 6 thick, its foot and two edges at either end long, with two holes
    long = max(120.0, params.room.long + 4 * 22)  # type: ignore[attr-defined]
    base = 6 * (60 * long - 2 * math.pi / 4 * 11**2)
    assert Part(name="base", pieces=(plate,)).mass.kg == pytest.approx(STEEL * base, rel=1e-12)


def test_a_washer_that_runs_into_an_ear_is_refused() -> None:
    with pytest.raises(InputError, match=r"base_holes = 0, 26 mm, 10 mm or more from what is welded on the base"):
        recipe("ears_on_base").Params(fixing="bolted to solid", base_holes=((0.0, 26.0),))
    with pytest.raises(InputError, match="base_holes = none, one or more: the plate is bolted to solid"):
        recipe("ears_on_base").Params(fixing="bolted to solid", base_holes=())


def test_the_seats_of_bolts_look_out_of_the_base(tmp_path: Path) -> None:
    part = recipe("ears_on_base").build(recipe("ears_on_base").Params(fixing="bolted to solid"))
    foot = part.seat("foot").place
    for seat in part.seats:
        if seat.kind == "bolt":
            assert seat.place.axis == pytest.approx(foot.axis)
            assert foot.local(seat.place.at)[2] == pytest.approx(0)
            assert (seat.d, seat.bolt) == (11.0, "M10")
    other = part.mirrored()
    assert [s.name for s in other.seats if s.kind == "bolt"] == ["base/bolt_1", "base/bolt_2"]


# --------------------------------------------------------------------------------------------------- with no weight

HUNG = """\
[[lump]]
name = "engine"
mass = 30
at = [0, 0, 160]
size = [100, 100, 100]
[[mount]]
name = "n"
bush = "B30"
at = [200, 0, 120]
axis = [1, 0, 0]
[[mount]]
name = "o"
bush = "B30"
at = [100, 150, 120]
axis = [1, 0, 0]
[[mount]]
name = "p"
bush = "B30"
at = [100, -150, 120]
axis = [1, 0, 0]
[[load_case]]
name = "bump"
felt = [0, 0, -2]
why = "invented"
"""
LATE = 'axis = [1, 0, 0]\nfit = "after the weight is on"\nbolt = { size'
"""The mount of the ears, bolted up as drawn."""


@pytest.mark.parametrize("late", [False, True])
def test_a_chassis_bolt_of_a_mount_that_carries_weight_is_put_in_with_no_weight_on(
    tmp_path: Path, late: bool
) -> None:
    """Head and tools stand where the ears stand then, with the powertrain: carried by all of its turn and shift
    from where they are drawn. The ears of a mount that is bolted up last stay as drawn, and so do their bolts."""
    swaps = [("axis = [1, 0, 0]\nbolt = { size", LATE)] if late else []
    done = fit(stood(tmp_path, RAIL + HUNG, *swaps).bay)
    plain = fit(stood(tmp_path, RAIL).bay)
    hung = no_weight(done.bay)
    assert hung is not None
    assert ("m" in hung.mounts) is not late
    drawn = {one.name: one for one in plain.bolts}
    for one in done.bolts:
        assert one.unloaded is not late
        for end, before in zip(one.ends, drawn[one.name].ends, strict=True):
            at = before.stand.at if late else hung.point(before.stand.at)
            assert end.stand.at == pytest.approx(at, abs=1e-6)
    assert len(done.bolts) == 3
