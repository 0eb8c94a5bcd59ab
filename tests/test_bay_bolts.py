"""Bolts of a small bay: drawn out, reached by a socket, swung round by a spanner, against walls known by hand."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import pytest
from ears_bay import BAY, HEAD_AT

from brackets.bay.bolts.bolt_rules import bolt_findings
from brackets.bay.bolts.bolting import BoltFound, bolts
from brackets.bay.bolts.boss_bolts import boss_bolts, heads
from brackets.bay.checks import bay_findings
from brackets.bay.file import read
from brackets.bay.report.bolt_records import bolt_record
from brackets.bay.schema.asked import SocketRow, SpannerRow
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.schema.standing import Boss, PartRow, Powertrain
from brackets.bay.stand.bodies import BayBody, bay_bodies, keep_out_body
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import BossHead, PlacedBay
from brackets.clearance.bodies import body
from brackets.core.errors import BadFile
from brackets.core.finding import Finding
from brackets.model.part import Part


def bay_of(folder: Path, text: str) -> Bay:
    path = folder / "bay.toml"
    path.write_text(text, "utf-8")
    return read(path)


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> tuple[PlacedBay, tuple[BayBody, ...]]:
    made = placed_bay(bay_of(tmp_path_factory.mktemp("bolts"), BAY))
    return made, bay_bodies(made)


Standing = tuple[PlacedBay, tuple[BayBody, ...]]
Box = tuple[tuple[float, float, float], tuple[float, float, float]]


def found(standing: Standing, *boxes: Box, bay: Bay | None = None) -> tuple[BoltFound, list[Finding]]:
    """The one bolt with these boxes more in the bay, named by their number, and what is said of it."""
    made, there = standing
    made = made if bay is None else replace(made, bay=bay)
    (one,) = bolts(made, [*there, *walls(boxes)])
    return one, list(bolt_findings([one]))


def walls(boxes: Sequence[Box]) -> list[BayBody]:
    made = []
    for number, (low, high) in enumerate(boxes):
        name = f"wall {number}"
        box = KeepOut(name=name, box_from=low, box_to=high)
        shape = keep_out_body(box, beside=Path())
        made.append(BayBody(name=name, what="keep-out", side="chassis", kind="fixed", body=shape, of=box))
    return made


def wall(x: float, t: float = 3.0, half: float = 200.0) -> Box:
    """A wall across the bolt's axis, from x on."""
    return ((x, -half, 80 - half), (x + t, half, 80 + half))


def test_a_bolt_with_room_all_round_wants_no_word(standing: Standing) -> None:
    one, said = found(standing)
    assert said == []
    assert one.drawn is not None
    assert one.drawn.out
    assert [end.end for end in one.ends] == ["head", "nut"]
    assert all(end.ok and end.clock is not None for end in one.ends)
    assert (one.row.name, one.used and one.used.length) == ("M12", 100)


def test_a_bolt_that_meets_a_wall_goes_in_from_the_other_end(standing: Standing) -> None:
    one, said = found(standing, wall(190))
    assert one.drawn is not None
    assert not one.drawn.out
    # the head's own height of 7.5 (ISO 4014) ahead of its face
    assert one.drawn.free == pytest.approx(190 - HEAD_AT - 7.5, abs=0.05)
    assert one.drawn.by == "wall 0"
    assert [(f.level, f.code) for f in said] == [("advice", "bolt drawn")]
    assert "from the other end" in said[0].sentence


def test_a_bolt_between_two_walls_must_go_in_first(standing: Standing) -> None:
    _, said = found(standing, wall(190), wall(0))
    assert [(f.level, f.code) for f in said] == [("caution", "bolt drawn")]
    assert "before wall 0 is there" in said[0].sentence


def test_a_socket_needs_its_length_and_the_head_it_is_lifted_over(standing: Standing) -> None:
    need = 38 + 7.5
    one, _ = found(standing, wall(HEAD_AT + need - 0.5))
    assert one.ends[0].socket_by == ("wall 0",)
    assert one.ends[0].ok  # a spanner still swings
    one, _ = found(standing, wall(HEAD_AT + need + 0.5))
    assert one.ends[0].socket_by == ()


def test_no_tool_at_a_head_in_a_pit_is_a_caution(standing: Standing) -> None:
    around = [
        ((HEAD_AT, -60, 80 + 20), (HEAD_AT + 60, 60, 90 + 20)),
        ((HEAD_AT, -60, 70 - 20), (HEAD_AT + 60, 60, 80 - 20)),
        ((HEAD_AT, 20, 60), (HEAD_AT + 60, 30, 100)),
        ((HEAD_AT, -30, 60), (HEAD_AT + 60, -20, 100)),
    ]
    one, said = found(standing, *around, wall(HEAD_AT + 30))
    assert not one.ends[0].ok
    assert one.ends[0].socket_by == ("wall 4",)
    (reach,) = (f for f in said if f.code == "bolt reach")
    assert reach.level == "caution"
    assert "no tool gets at the head" in reach.sentence


def test_a_spanner_swings_from_where_it_is_free(standing: Standing) -> None:
    """A wall over the bolt, nearer than the handle is long: upward it does not swing, downward it does."""
    roof: Box = ((HEAD_AT - 1, -300, 80 + 20), (HEAD_AT + 60, 300, 80 + 30))
    one, said = found(standing, roof)
    assert one.ends[0].clock is not None
    assert said == []
    one, _ = found(standing, roof, ((HEAD_AT - 1, -300, 80 - 30), (HEAD_AT + 60, 300, 80 - 20)))
    assert one.ends[0].clock is None  # 40 between the walls: a handle of 216 cannot turn 30 deg
    assert one.ends[0].ok  # and yet a socket goes on


def test_a_ring_must_be_lifted_over_the_head_before_it_swings(standing: Standing) -> None:
    need = 0.6 * 18 + 7.5
    one, _ = found(standing, wall(HEAD_AT + need - 0.5))
    assert one.ends[0].clock is None
    assert one.ends[0].spanner_by == ("wall 0",)
    one, _ = found(standing, wall(HEAD_AT + need + 0.5))
    assert one.ends[0].clock is not None


def test_own_tools_are_used_for_their_hexagon(standing: Standing) -> None:
    stub = SpannerRow(across_flats=18, head=28, handle=10, reach=30, t=6, swing=30)
    long = SocketRow(across_flats=18, od=26, length=80)
    bay = replace(standing[0].bay, spanners=(stub,), sockets=(long,))
    tight: Box = ((HEAD_AT - 1, -300, 80 + 40), (HEAD_AT + 60, 300, 80 + 50))
    floor: Box = ((HEAD_AT - 1, -300, 80 - 50), (HEAD_AT + 60, 300, 80 - 40))
    one, _ = found(standing, tight, floor, wall(HEAD_AT + 60), bay=bay)
    assert one.ends[0].clock is not None  # 30 long, it turns between walls 40 off
    assert "wall 2" in one.ends[0].socket_by  # 80 long, it does not go on
    assert one.ends[0].socket.source == "the bay file"


TYPED = {
    "too short": (60, "bolt length", "stop"),
    "hardly out of its nut": (85, "bolt length", "caution"),
    "nut meets the shank": (110, "bolt length", "stop"),
    "thread past the ear": (80, "thread in ear", "caution"),
}


@pytest.mark.parametrize("name", TYPED)
def test_a_typed_length_that_does_not_fit_is_said(tmp_path: Path, standing: Standing, name: str) -> None:
    length, code, level = TYPED[name]
    bay = bay_of(tmp_path, BAY.replace("length = 100", f"length = {length}"))
    made = replace(standing[0], bay=bay)
    (one,) = bolts(made, standing[1])
    assert (code, level) in {(f.code, f.level) for f in bolt_findings([one])}
    (said,) = (f for f in bolt_findings([one]) if f.code == code)
    assert "M12 x 100, washers 1 and 2 would fit" in said.sentence


def test_a_bolt_without_a_length_is_chosen_and_drawn(tmp_path: Path) -> None:
    made = placed_bay(bay_of(tmp_path, BAY.replace("length = 100, ", "")))
    (drawn,) = (thing for thing in made.bought if thing.what == "bolt")
    assert drawn.part.piece("shank").length == 100  # type: ignore[attr-defined]
    (one,) = bolts(made, bay_bodies(made))
    (said,) = bolt_findings([one])
    assert (said.level, said.value) == ("advice", 100)
    assert "M12 x 100, washers 1 and 2 from stock fits" in said.sentence


def test_a_grip_that_nothing_fits_says_why_and_that_no_bolt_is_drawn(tmp_path: Path) -> None:
    """120 between the ears, 6 each: 132 of metal, a washer and two; M12 comes to 120 from stock."""
    text = BAY.replace("length = 100, ", "").replace("inside = 52.5", "inside = 120")
    made = placed_bay(bay_of(tmp_path, text))
    assert [thing.what for thing in made.bought] == ["bush", "sleeve"]
    there = bay_bodies(made)
    found = bolts(made, there)
    (said,) = bolt_findings(found)
    assert (said.level, said.code, said.value) == ("caution", "bolt length", 132)
    short = 2.5 + 132 + 5 + 12 + 2 * 1.75 - 120
    assert f"x 120 is {short:.1f} mm too short" in said.sentence
    assert json.loads(json.dumps(bolt_record(found[0])))["drawn"] is None
    assert any("not drawn and not cleared" in f.sentence for f in bay_findings(made, there, (), ()))


def test_the_json_tells_all_of_it(standing: Standing) -> None:
    one, _ = found(standing, wall(170))
    told = json.loads(json.dumps(bolt_record(one)))
    assert told["size"] == "M12"
    assert told["typed"]["length_mm"] == 100
    assert told["drawn"]["meets"] == "wall 0"
    assert [end["socket"]["goes_on"] for end in told["ends"]] == [False, True]
    assert all(end["spanner"]["swings"] for end in told["ends"])


def test_wrong_tools_are_named_all_at_once(tmp_path: Path) -> None:
    rows = """
[[socket]]
across_flats = 18
od = 17
length = 40
[[socket]]
across_flats = 16
od = 24
length = 40
reach = 50
[[spanner]]
across_flats = 18
head = 30
handle = 40
reach = 200
t = 9
[[spanner]]
across_flat = 18
"""
    with pytest.raises(BadFile) as caught:
        bay_of(tmp_path, BAY + rows)
    for said in (
        "socket 1: od = 17 mm, more than the hexagon's 18",
        "socket 2: drive_od, reach = one of the two",
        "spanner 1: handle = 40 mm, at most the head's 30",
        "spanner 2: across_flat: no such value, nearest: across_flats",
    ):
        assert said in str(caught.value)


# ------------------------------------------------------------------------------------------ bolts into bosses


def in_boss(**changes: object) -> list[Finding]:
    """What is said of an M10 through 8 mm of plate into a boss, with room all round it."""
    boss = Boss(name="B1", at=(0.0, 0.0, 0.0), normal=(0.0, 0.0, 1.0), **{"depth": 25.0, **changes})  # type: ignore[arg-type]
    plate = body(cq.Solid.makeBox(60, 60, 8, cq.Vector(-30, -30, 0)).cut(cq.Solid.makeCylinder(5.5, 8)))
    bay = Bay(
        path=Path("bay.toml"), name="", bare="mm", gaps={}, data=(), keep_outs=(), powertrain=Powertrain(),
        lumps=(), bosses=(boss,), bushes={}, mounts=(), contacts=(), paths=(),
        parts=(PartEntry(row=PartRow(name="plate", recipe="plate", bosses=("B1",)), values={}),),
    )  # fmt: skip
    of = BossHead(name="plate", part="plate", made=Part(name="plate", pieces=()))
    there = [BayBody(name="plate", what="part", side="powertrain", kind="fixed", body=plate, of=of)]
    held = boss_bolts(bay, there)
    assert [one.grip for one in held] == [8.0]
    made = PlacedBay(bay=bay, parts=(), bought=(), left_out=(), notes=())
    (one,) = bolts(made, [*there, *heads(held)], held)
    assert one.ends[0].ok
    return list(bolt_findings([one]))


def test_a_boss_with_depth_enough_gets_its_bolt_without_a_word() -> None:
    assert in_boss(depth=27.0) == []


def test_a_boss_too_shallow_for_its_casting_says_what_is_asked() -> None:
    """21.5 of an M10 in aluminium, 22 deep less a pitch of 1.5; in iron 17.2 is asked."""
    (said,) = in_boss(depth=22.0)
    assert (said.level, said.code, said.value, said.limit) == ("caution", "bolt depth", 20.5, 21.5)
    assert "FED-STD-H28/2B:1991" in said.source
    assert in_boss(depth=22.0, into="cast iron") == []


def test_your_own_engagement_goes_before_the_castings() -> None:
    assert in_boss(depth=21.0, engagement=15.0) == []
    (said,) = in_boss(depth=25.0, engagement=24.0)
    assert (said.code, said.source) == ("bolt depth", "the bay file")


def test_a_boss_without_a_depth_asks_for_it() -> None:
    (said,) = in_boss(depth=0.0)
    assert (said.level, said.code) == ("advice", "bolt")
