"""A part moved on its slots: gaps, bolts and paths at both ends and between, by sums on plain boxes of our own.

The base of the bay's ears is 50 wide and, with slots of 12, 40 + 4 x 22 + 2 x 12 = 152 long: it ends at y = 76,
between z = 50 and 56. It can be moved 6 each way along y.
"""

from __future__ import annotations

import csv
import json
import math
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest
from test_chassis_bolts import RAIL, things
from test_slots import ALONG_THE_AXIS, SLIDING

from brackets.app.cli.fit_view import fit_text
from brackets.app.preview import gap_rows
from brackets.bay.adjust import Adjust, SlideGap, adjusts, shifted
from brackets.bay.adjust_rules import Adjusted
from brackets.bay.bolts.boss_bolts import boss_bolts
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.rows import ADJUST_HEADS, adjust_cells
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.finding import Finding
from brackets.model.holes import Opening, Slot
from brackets.model.plate import Plate
from brackets.output.bay_facts import record
from brackets.output.bay_lists import write_adjusts, write_workbook

WALL = """\
[[keep_out]]
name = "wall"
box = { from = [-200, 86, 50], to = [200, 96, 70] }
"""
"""10 left of the base's end."""

SUMP = """\
[[keep_out]]
name = "sump"
side = "powertrain"
box = { from = [-100, -196, 50.5], to = [100, -86, 70] }
"""
"""Of the engine, 10 right of the base's other end."""

CATCH = """\
[[keep_out]]
name = "catch"
box = { from = [60, 14, 110], to = [70, 40, 130] }
"""
"""Left of the way out of the mount's bolt, whose head is 10 in radius by its washer: 14 - 6 is less."""

LID = """\
[[keep_out]]
name = "lid"
box = { from = [-40, 24, 145], to = [40, 60, 150] }
[[path]]
name = "up"
part = "ears"
without = ["m", "ears bolts"]
legs = [[0, 0, 30]]
"""
"""Left of the ears' way up, which are 20 in radius: 24 - 6 is less."""

POST = """\
[[keep_out]]
name = "post"
box = { from = [23, -5, 145], to = [24, 5, 250] }
"""
"""Over an ear that is moved under it along the bush axis and past: the ears end at z = 140."""


def fitted(folder: Path, text: str, *swaps: tuple[str, str]) -> Fit:
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    path = folder / "bay.toml"
    path.write_text(text, "utf-8")
    return fit(read(path))


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    return fitted(
        tmp_path_factory.mktemp("slots"),
        RAIL + WALL + SUMP + CATCH + LID,
        SLIDING,
        ("up = 1, down = 1", "side = 2"),
        ("moved = 1", "moved = 3"),
    )


def gap(one: Adjusted, other: str, *, moving: bool = False, of: str = "ears") -> SlideGap:
    (found,) = (g for g in one.gaps if (g.moving, {g.a, g.b}) == (moving, {of, other}))
    return found


def said(done: Fit, code: str) -> list[Finding]:
    return [f for f in done.findings if f.code == code and "on its slots" in f.sentence]


def test_a_part_goes_half_the_range_of_its_slots_each_way_and_takes_its_mount_along(done: Fit) -> None:
    right, left = done.adjusts
    assert [one.of.part for one in (right, left)] == ["ears", "ears"]
    assert right.of.shift == pytest.approx((0, -6, 0))
    assert left.of.shift == pytest.approx((0, 6, 0))
    assert (right.of.words, left.of.words, left.of.mounts) == ("right 6 mm", "left 6 mm", ("m",))


def test_at_an_end_the_gap_is_that_in_the_middle_less_half_the_range(done: Fit) -> None:
    right, left = done.adjusts
    (drawn,) = (pair for pair in done.pairs if {pair.a, pair.b} == {"ears", "wall"})
    assert drawn.low == pytest.approx(10, abs=1e-5)
    assert (gap(left, "wall").low, gap(left, "wall").high) == pytest.approx((4, 4), abs=1e-4)
    assert gap(left, "wall").at == pytest.approx(6)
    # away from it nothing is less than as drawn
    assert 10 - 1e-4 <= gap(right, "wall").low <= 10.001 or gap(right, "wall").high >= 10


def test_what_the_engine_moves_by_comes_off_too(done: Fit) -> None:
    """10 from the sump, less 6; less the 2 that the engine goes left."""
    right, _ = done.adjusts
    assert gap(right, "sump").high == pytest.approx(4, abs=0.01)
    over = gap(right, "sump", moving=True)
    assert over.high == pytest.approx(2, abs=0.01)
    assert over.low == pytest.approx(2, abs=1.0)
    assert over.worst == "left 2 mm"
    short = said(done, "gap adjusted")
    assert [(f.level, f.limit, f.value) for f in short] == [
        ("caution", 3.0, pytest.approx(2, abs=1.0)), ("caution", 5.0, pytest.approx(4, abs=0.03)),
    ]  # fmt: skip
    assert all("ears right 6 mm on its slots" in f.sentence for f in short)
    assert all(set(f.about) >= {"ears", "sump"} for f in short)


def test_a_bolt_that_comes_out_as_drawn_is_tried_at_the_ends(done: Fit) -> None:
    (one,) = (bolt for bolt in done.bolts if bolt.name == "m")
    assert one.drawn is not None
    assert one.drawn.out
    (found,) = said(done, "bolt drawn")
    assert found.sentence.startswith("with ears left 6 mm on its slots: its bolt comes out 29 of 70 mm")
    assert {"ears", "m bolt", "catch"} <= set(found.about)


def test_a_path_that_is_free_as_drawn_is_driven_at_the_ends(done: Fit) -> None:
    (path,) = done.paths
    assert path.out
    (found,) = said(done, "path blocked")
    assert found.sentence.startswith("with ears left 6 mm on its slots: ears does not come out")
    # up 145 - 140 at the ears' tops, more where they are round: 20 x (1 - cos) at y = 24 - 6 from their middle
    assert found.value == pytest.approx(145 - 120 - math.sqrt(20**2 - 18**2), abs=0.05)


def test_the_csv_has_a_row_for_each_way(done: Fit, tmp_path: Path) -> None:
    write_adjusts(done, tmp_path / "adjust.csv")
    with (tmp_path / "adjust.csv").open(newline="", encoding="utf-8") as file:
        right, left = csv.DictReader(file)
    assert (left["part"], left["range_mm"], left["x_mm"], left["y_mm"], left["mounts"]) == (
        "ears", "6.0000", "0.0000", "6.0000", "m",
    )  # fmt: skip
    assert (float(left["least_low_mm"]), left["needed_mm"], left["when"]) == (pytest.approx(4), "3.0000", "still")
    assert (right["when"], right["worse_at_the_end"], left["worse_at_the_end"]) == ("moved", "0", "2")
    write_workbook(done, tmp_path / "lists.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "lists.xlsx")["adjust"]
    head, *rows = ([cell.value for cell in row] for row in sheet.iter_rows())
    found = dict(zip(head, rows[1], strict=True))
    assert (found["part"], found["range_mm"], found["y_mm"], found["mounts"]) == ("ears", 6, 6, "m")
    assert found["least_low_mm"] == pytest.approx(4)


def test_the_page_lists_what_the_screen_does(done: Fit) -> None:
    told = gap_rows.of_adjusts(done.adjusts)
    assert [column["name"] for column in told["columns"]] == list(ADJUST_HEADS)
    assert [tuple(one["cells"]) for one in told["rows"]] == [adjust_cells(one) for one in done.adjusts]
    assert [(one["things"], one["level"]) for one in told["rows"]] == [(["ears"], "caution"), (["ears"], "stop")]


def test_the_screen_and_the_scripts_are_told(done: Fit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    shown = " ".join(fit_text(done, None).split())
    assert "adjustment, mm: how far each part can be moved on its slots" in shown
    assert "ears left 6 mm m: 0.0, 6.0, 0.0 4.0" in shown
    first, second = json.loads(json.dumps(record(done)))["adjusts"]
    assert (first["part"], first["range_mm"], first["mounts"], first["stuck"]) == ("ears", 6.0, ["m"], None)
    assert second["engine_gains_mm"] == pytest.approx([0, 6, 0])
    assert {f["code"] for f in second["worse_at_the_end"]} == {"bolt drawn", "path blocked"}
    assert first["gaps"][0]["when"] == "moved"


def test_a_gap_that_is_least_between_the_ends_is_found_there(tmp_path: Path) -> None:
    """The ear's side is at x = 15.25 + 5 = 20.25. Moved 10 it has gone under the post and 1.25 past: 5 is least, of
    5.71 as drawn and 5.15 at the end."""
    same = ("[gap]\n", '[gap]\nsame_side = { rest = 5.1, moved = 1, why = "our own choice" }\n')
    wide = ("base = { width = 50,", "base = { width = 70,")
    longer = (ALONG_THE_AXIS[0], ALONG_THE_AXIS[1].replace("12", "20"))
    done = fitted(tmp_path, RAIL + POST, longer, same, wide)
    back, fore = done.adjusts
    assert (back.of.words, fore.of.words) == ("aft 10 mm", "fore 10 mm")
    least = gap(fore, "post")
    (drawn,) = (pair for pair in done.pairs if {pair.a, pair.b} == {"ears", "post"})
    assert drawn.low == pytest.approx(math.hypot(2.75, 5), abs=1e-3)
    assert least.high == pytest.approx(5, abs=0.02)
    assert 2.75 - 0.1 <= least.at <= 8.75 + 0.1
    assert [f.piece for f in said(done, "gap adjusted")] == ["ears | post"]
    # and a base that hangs 10 as drawn hangs 20 there
    assert [f.value for f in said(done, "overhang")] == pytest.approx([20, 20])


def test_a_seat_is_judged_at_both_ends_of_the_slots(tmp_path: Path) -> None:
    """A base as wide as its rail, 128 long with two slots in it and corners of 2, hangs 6 off either edge there."""
    done = fitted(tmp_path, RAIL, ALONG_THE_AXIS)
    assert [f for f in done.findings if f.code == "overhang" and "slots" not in f.sentence] == []
    words = [f.sentence.partition("; ")[0] for f in said(done, "overhang")]
    assert words == [
        "with ears aft 6 mm on its slots: its foot hangs 6.0 mm off the rear edge of rail",
        "with ears fore 6 mm on its slots: its foot hangs 6.0 mm off the front edge of rail",
    ]
    rear, front = said(done, "overhang")
    assert (rear.level, rear.value, rear.about) == ("caution", pytest.approx(6), ("ears", "rail"))
    corners = (4 - math.pi) * 2**2
    whole = 50 * 128 - corners - 2 * (math.pi * 5.5**2 + 12 * 11)
    stands = whole - (6 * 128 - corners / 2)
    assert rear.sentence.endswith(f"; {stands:.0f} of its {whole:.0f} mm2 stand on metal (87 %)")
    assert [one.said for one in done.adjusts] == [(rear,), (front,)]


# ----------------------------------------------------------------------------------------- what lets it move


@pytest.fixture(scope="module")
def stands(tmp_path_factory: pytest.TempPathFactory) -> PlacedBay:
    path = tmp_path_factory.mktemp("stands") / "bay.toml"
    path.write_text(RAIL.replace(*SLIDING), "utf-8")
    return placed_bay(read(path))


def with_openings(made: PlacedBay, *openings: Opening) -> tuple[Adjust, ...]:
    (one,) = made.parts
    pieces = tuple(
        replace(piece, wall=replace(piece.wall, openings=openings)) if piece.name == "base/base" else piece
        for piece in one.part.pieces
        if isinstance(piece, Plate) or piece.name != "base/base"
    )
    other = replace(made, parts=(replace(one, part=replace(one.part, pieces=pieces)),))
    return adjusts(other, things(other)[0])


def slots(made: PlacedBay) -> tuple[Slot, Slot]:
    piece = made.parts[0].part.piece("base/base")
    assert isinstance(piece, Plate)
    first, second = piece.wall.openings
    assert isinstance(first, Slot)
    assert isinstance(second, Slot)
    return first, second


def test_the_shortest_slot_holds_a_part_and_each_way_is_its_own(stands: PlacedBay) -> None:
    first, second = slots(stands)
    assert [one.far for one in with_openings(stands, first, second)] == pytest.approx([6, 6])
    (x, y), b = second.a, second.b
    # the second slot leaves 4 one way and 9 the other, where the first's 6 is less
    uneven = replace(second, a=(x + 2, y), b=(b[0] + 3, b[1]))
    assert sorted(one.far for one in with_openings(stands, first, uneven)) == pytest.approx([4, 6])
    # no slide at all where one slot ends at its bolt: the way back alone is left
    ended = replace(second, a=((x + b[0]) / 2, y))
    (only,) = with_openings(stands, first, ended)
    assert only.far == pytest.approx(6)


def test_a_round_hole_or_slots_across_each_other_hold_a_part(stands: PlacedBay) -> None:
    first, second = slots(stands)
    middle = ((second.a[0] + second.b[0]) / 2, second.a[1])
    across = replace(second, a=(middle[0], -6.0), b=(middle[0], 6.0))
    (found,) = with_openings(stands, first, across)
    assert found.far == 0
    assert found.stuck == "the slot of ears base/bolt_2 in base/base runs another way than the first"
    spreader = stands.parts[0].part.piece("base/spreader")
    assert isinstance(spreader, Plate)
    (found,) = with_openings(stands, first, replace(spreader.wall.openings[1], at=middle))
    assert found.stuck == "ears base/bolt_2 goes through a round hole of base/base"
    assert with_openings(stands, *spreader.wall.openings) == ()


ON_BOSSES = """\
format = 1
name = "On bosses (invented)"
[[boss]]
name = "A"
at = [-33, 0, 100]
normal = [0, 0, 1]
thread = "M10"
depth = 20
[[boss]]
name = "B"
at = [33, 0, 100]
normal = [0, 0, 1]
thread = "M10"
depth = 20
[[part]]
name = "plate"
recipe = "base_plate"
at = [2, 0, 100]
bosses = ["A", "B"]
fixing = "bolted to solid"
slot = 10
"""
"""Slots 33 each side of the plate's middle, which stands 2 fore of the bosses'."""


def test_a_part_on_bosses_slides_as_far_as_its_slots_leave(tmp_path: Path) -> None:
    """5 each way from the middle of its slots: 5 + 2 back, and 5 - 2 further fore."""
    path = tmp_path / "bay.toml"
    path.write_text(ON_BOSSES, "utf-8")
    made = placed_bay(read(path))
    held = boss_bolts(made.bay, bay_bodies(made))
    back, fore = adjusts(made, held)
    assert (back.shift, fore.shift) == (pytest.approx((-7, 0, 0)), pytest.approx((3, 0, 0)))
    assert (back.words, fore.words, fore.side) == ("aft 7 mm", "fore 3 mm", "powertrain")


def test_crush_tubes_and_spreader_stay_where_they_are(done: Fit) -> None:
    """What slides is the ears and their base alone: from z = 50 up, and of its mount the sleeve and the bolt."""
    _, left = done.adjusts
    there = {thing.name: thing for thing in shifted(done.things, left.of)}
    before = {thing.name: thing for thing in done.things}
    low, high = there["ears"].body.box
    assert (low[2], low[1], high[1]) == pytest.approx((50, 6 - 76, 6 + 76), abs=0.02)
    for name in before:
        gone = there[name].body.box[1][1] - before[name].body.box[1][1]
        assert gone == pytest.approx(6 if name in ("ears", "m sleeve", "m bolt") else 0, abs=1e-9), name
