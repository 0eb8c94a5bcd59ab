"""A bay as a whole: what it weighs, what to buy, what to cut, and what stands on top of its report."""

from __future__ import annotations

import csv
import json
import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from three_bays import written

from brackets import NO_TOOLS, BentTube, Folded, Part, Place, Plate, Tube, Turned, Wall, lip, rectangle, ring
from brackets.app.cli.fit_view import fit_text, verdict_text
from brackets.app.cli.lists_view import buy_text, cut_text, masses_text
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.whole import mass_rows, to_buy
from brackets.bay.report.worst import cure, met, most_short_first, words, worst
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import FOUL, GAP_AT_REST, MISFIT_ANGLE
from brackets.forming.cut_list import KERF, STICK, cut_list, sticks
from brackets.forming.shop import Stick
from brackets.hold.typed import HoldRow
from brackets.output.bay_facts import record
from brackets.output.bay_lists import tables, write_buy, write_cut, write_workbook

ENGINE = """\
[[lump]]
name = "engine"
mass = 80
at = [0, 250, 225]
size = [100, 100, 150]
[[bush]]
name = "R40"
kind = "bonded rubber"
od = 40
shell_length = 36
sleeve_od = 16
sleeve_bore = 10.2
sleeve_length = 44
bolt = "M10"
stiffness = { radial = 350, axial = 110, torsion = 20000, known = "invented" }
load = 2000
heat = 80
travel = { radial = 5, axial = 5 }
mass = 0.25
"""


@pytest.fixture(scope="module")
def near(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    """The small bay with a fuel line too near, an engine of 80 kg, and a bush that was weighed."""
    return fit(read(written(tmp_path_factory.mktemp("bay"), "caution", ENGINE)))


# ------------------------------------------------------------------------------------------------- masses


def test_the_sums_are_those_of_what_stands_there(near: Fit) -> None:
    """Each row against a plain sum of masses and of mass times place, by side."""
    rows = {row.what: row.mass for row in mass_rows(near)}
    parts = {part.name: part.part.mass for part in near.stood.parts}
    bolt = next(thing for thing in near.stood.bought if thing.what == "bolt")
    on_chassis = parts["ears"].kg + bolt.part.mass.kg
    on_engine = parts["arm"].kg + sum(bolt_kg(one.bolt) for one in near.bolts if isinstance(one.bolt, BossBolt))
    assert rows["all mounts"].kg == pytest.approx(on_chassis + on_engine + 0.25, rel=1e-9)
    assert rows["powertrain, its lumps"].kg == 80
    assert rows["powertrain and all mounts"].kg == pytest.approx(80 + rows["all mounts"].kg)
    assert rows["powertrain and what moves with it"].kg == pytest.approx(80 + rows["mounts on the powertrain"].kg)
    both = [rows["mounts on the powertrain"], rows["mounts on the chassis"]]
    first = sum(one.kg * one.centroid for one in both)
    assert rows["all mounts"].centroid == pytest.approx(first / rows["all mounts"].kg)
    about = rows["all mounts"].about((0, 0, 0))
    assert np.allclose(about, sum(one.about((0, 0, 0)) for one in both), rtol=1e-12)


def bolt_kg(one: BossBolt) -> float:
    """Shank, hexagon head and washers of steel, by hand: 7850 kg/m3."""
    assert one.stock is not None
    row = one.row
    shank = math.pi / 4 * row.d**2 * one.stock.length
    head = math.sqrt(3) / 2 * row.across_flats**2 * row.head_height
    washer = math.pi / 4 * (row.washer_od**2 - row.washer_id**2) * row.washer_t
    return 7850e-9 * (shank + head + one.washers * washer)


def test_a_bush_weighs_what_was_weighed(near: Fit) -> None:
    """0.25 kg as typed, however heavy its two halves are as drawn; they keep their shares of it."""
    halves = {thing.what: thing for thing in near.stood.bought if thing.what != "bolt"}
    drawn = sum(thing.part.mass.kg for thing in halves.values())
    assert drawn != pytest.approx(0.25, rel=0.01)
    rows = {row.what: row.mass.kg for row in mass_rows(near)}
    bolt = next(thing for thing in near.stood.bought if thing.what == "bolt").part.mass.kg
    ears = next(part for part in near.stood.parts if part.name == "ears").part.mass.kg
    sleeve = 0.25 * halves["sleeve"].part.mass.kg / drawn
    assert rows["mounts on the chassis"] == pytest.approx(ears + bolt + sleeve, rel=1e-9)


def test_without_an_engine_there_are_no_rows_of_one(near: Fit) -> None:
    bare = replace(near, stood=replace(near.stood, bay=replace(near.bay, lumps=())))
    assert [row.what for row in mass_rows(bare)] == [
        "mounts on the powertrain", "mounts on the chassis", "all mounts",
    ]  # fmt: skip
    empty = replace(bare, stood=replace(bare.stood, parts=(), bought=()), bolts=())
    assert mass_rows(empty) == ()
    assert masses_text(empty) == buy_text(
        replace(empty, stood=replace(empty.stood, bay=replace(empty.bay, mounts=())))
    )
    assert cut_text(empty) == ""


# ------------------------------------------------------------------------------------------------ to buy


def test_what_to_buy_is_counted(near: Fit) -> None:
    got = {(item.kind, item.what): (item.number, item.where) for item in to_buy(near)}
    boss = {one.name: one.bolt for one in near.bolts if isinstance(one.bolt, BossBolt)}
    length = boss["A"].stock
    assert length is not None
    washers = sum(one.washers for one in boss.values()) + 2 + 3
    assert got == {
        ("bolt", f"M10 x {length.length:g}"): (2, ("A", "B")),
        ("bolt", "M10 x 90 8.8"): (1, ("m",)),
        ("nut", "M10 all-metal lock"): (1, ("m",)),
        ("washer", "M10"): (washers, ("m", "A", "B")),
        ("bush", "R40, bonded rubber, 40 od"): (1, ("m",)),
    }


def test_a_bolt_into_a_boss_is_of_the_class_that_the_strength_is_judged_by(near: Fit) -> None:
    bare = {(item.what, item.note) for item in to_buy(near) if item.kind == "bolt"}
    stood = replace(near.stood, bay=replace(near.bay, holding=HoldRow(grade="10.9")))
    held = {(item.what, item.note) for item in to_buy(replace(near, stood=stood)) if item.kind == "bolt"}
    ((boss, _),) = {row for row in bare if row[1] == "class not typed"}
    assert held == {("M10 x 90 8.8", ""), (f"{boss} 10.9", "")}


def test_a_bolt_that_no_stock_length_fits_is_to_be_cut(near: Fit) -> None:
    one = next(one for one in near.bolts if isinstance(one.bolt, BossBolt))
    assert isinstance(one.bolt, BossBolt)
    none = replace(near, bolts=(replace(one, bolt=replace(one.bolt, stock=None)),))
    (bolt,) = (item for item in to_buy(none) if item.kind == "bolt")
    assert (bolt.what, bolt.note) == ("M10, cut one", "no stock length fits")


def test_sizes_are_in_order_of_their_figures(near: Fit) -> None:
    one = next(one for one in near.bolts if isinstance(one.bolt, BossBolt))
    assert isinstance(one.bolt, BossBolt)
    stock = one.bolt.stock
    assert stock is not None
    lengths = [100.0, 30.0, 90.0]
    some = [replace(one, bolt=replace(one.bolt, stock=replace(stock, length=each))) for each in lengths]
    told = [item.what for item in to_buy(replace(near, bolts=tuple(some))) if item.kind == "bolt"]
    assert told == ["M10 x 30", "M10 x 90", "M10 x 100"]


# ------------------------------------------------------------------------------------------------ to cut

PLAIN = Plate(name="plate", t=6, wall=Wall(outline=rectangle(100, 40)))
LONG = Tube(name="tube", od=38, wall=3, length=250)


def one(piece: Plate | Folded | Tube | BentTube | Turned) -> Part:
    return Part(name="part", pieces=(piece,))


def test_like_pieces_are_one_row_and_others_are_not() -> None:
    parts = [("a", one(PLAIN)), ("b", one(replace(PLAIN, place=Place((50, 0, 0), (1, 0, 0), (0, 1, 0)))))]
    parts += [("c", one(replace(PLAIN, t=8))), ("d", one(LONG)), ("e", one(replace(LONG, wall=2)))]
    rows = [(item.kind, item.section, item.size, item.count, item.names) for item in cut_list(parts)]
    assert rows == [
        ("plate", "8", "100.0 x 40.0", 1, ("c: plate",)),
        ("plate", "6", "100.0 x 40.0", 2, ("a: plate", "b: plate")),
        ("tube", "38 x 3", "250.0", 1, ("d: tube",)),
        ("tube", "38 x 2", "250.0", 1, ("e: tube",)),
    ]


def test_a_folded_piece_is_listed_by_its_blank() -> None:
    """60 x 40 with a lip 30 mm high outside, t 3, r 3: 60, the bend allowance, and 30 less t + r."""
    edge = lip((30, 20), (30, -20), t=3, length=30, angle=90, inside_radius=3)
    piece = Folded(name="bent", t=3, base=Wall(outline=rectangle(60, 40)), flanges=(edge,))
    (item,) = cut_list([("a", one(piece))])
    k = 0.65 + math.log10(3 / 3) / 2  # DIN 6935:1975: r/t = 1
    allowance = math.pi / 2 * (3 + 3 / 2 * k)
    assert (item.length, item.width) == pytest.approx((60 + allowance + 30 - 6, 40), abs=1e-6)


def test_turned_pieces_are_sawn_off_what_they_are_turned_from() -> None:
    cup = replace(ring("cup", od=60, bore=50, length=40), stock="tube 60 x 5")
    bar = ring("bung", od=30, bore=10.5, length=25)
    rows = [(item.kind, item.section, item.length) for item in cut_list([("a", one(cup)), ("b", one(bar))])]
    assert rows == [("tube", "60 x 5", 40.0), ("bar", "30 round", 25.0)]


def test_a_stick_is_filled_longest_first_with_a_kerf_for_each() -> None:
    """3000 mm sticks, 2 mm a cut: 1500 and 1498 fill one, 1498.2 does not go beside 1500."""
    shop = replace(NO_TOOLS, tubes=(Stick(od=38, wall=3, length=3000),))

    def packed(*lengths: float) -> tuple[tuple[float, ...], ...]:
        tubes = [(f"p{i}", one(replace(LONG, length=length))) for i, length in enumerate(lengths)]
        (found,) = sticks(cut_list(tubes), shop)
        assert not found.usual
        return found.sticks

    assert packed(1498, 1500) == ((1500, 1498),)
    assert packed(1498.2, 1500) == ((1500,), (1498.2,))
    assert packed(1000, 1000, 1000) == ((1000, 1000), (1000,))
    assert packed(996, 998, 1000) == ((1000, 998, 996),)
    assert packed(3000) == ((3000,),)


def test_what_no_stick_has_is_said_and_a_rack_that_has_none_is_too() -> None:
    (found,) = sticks(cut_list([("a", one(replace(LONG, length=STICK + 1)))]), NO_TOOLS)
    assert (found.sticks, found.longer, found.usual, found.length) == ((), (STICK + 1,), True, STICK)
    (found,) = sticks(cut_list([("a", one(LONG))]), NO_TOOLS)
    assert found.left == STICK - 250 - KERF


@given(st.lists(st.floats(10, 3000), min_size=1, max_size=40))
def test_every_length_is_on_a_stick_with_its_kerf(lengths: list[float]) -> None:
    tubes = [(f"p{i}", one(replace(LONG, length=length))) for i, length in enumerate(lengths)]
    shop = replace(NO_TOOLS, tubes=(Stick(od=38, wall=3, length=3000),))
    (found,) = sticks(cut_list(tubes), shop)
    assert sorted(round(x, 1) for s in found.sticks for x in s) == pytest.approx(sorted(lengths), abs=0.06)
    assert all(sum(s) + KERF * (len(s) - 1) <= 3000 for s in found.sticks)
    assert len(found.sticks) <= 2 * math.ceil(sum(x + KERF for x in lengths) / 3000)


# ------------------------------------------------------------------------------------------ first lines


def test_the_worst_stands_on_top_and_again_at_the_end(near: Fit) -> None:
    first = verdict_text(near)
    screen = fit_text(near, None)
    assert screen.startswith(f"{near.bay.name}\n{first}\n")
    assert screen.endswith(first)
    assert "\nmeets the rule of gaps you entered\n" in first  # "line" is a default, not entered


def test_gaps_come_before_what_else_has_their_level(near: Fit) -> None:
    told = worst(near, 1)[0]
    assert told.finding.code == "gap at rest"
    assert told.finding.about == ("arm", "fuel_line")
    assert told.do == "about 10.0 mm more: fuel_line forward, or arm back; then fit again"
    assert "gap moved" in {f.code for f in near.findings if f.about == ("arm", "fuel_line")}
    assert [one.finding.about for one in worst(near)].count(("arm", "fuel_line")) == 1


def test_a_gap_of_a_bush_has_its_cure_too(near: Fit) -> None:
    """It is about the parts of its mount as well, behind the two bodies."""
    finding = next(f for f in near.findings if f.code == "gap at rest" and f.about == ("arm", "fuel_line"))
    assert cure(near, replace(finding, about=("arm", "fuel_line", "ears"))) == cure(near, finding) != ""


def test_a_part_that_lies_across_its_mount_comes_before_the_fouls_it_causes() -> None:
    """The most askew first; a few degrees are a caution, which gaps come before."""
    askew = [
        MISFIT_ANGLE.finding(piece=name, about=(name,), level="stop", value=angle, limit=10.0, sentence="off")
        for name, angle in (("arm", 20.0), ("cup", 90.0))
    ]
    leans = MISFIT_ANGLE.finding(piece="ear", about=("ear",), level="caution", value=2.0, limit=0.5, sentence="off")
    of: dict[str, Any] = {"piece": "arm | tube", "about": ("arm", "tube"), "limit": 10.0, "source_words": "line"}
    foul = FOUL.finding(**of, value=0.0, sentence="fouls")
    near = GAP_AT_REST.finding(**of, value=9.0, sentence="near")
    assert [f.piece for f in most_short_first([leans, foul, *askew, near])] == [
        "cup", "arm", "arm | tube", "arm | tube", "ear",
    ]  # fmt: skip


def test_the_cure_says_which_way_and_how_far(near: Fit) -> None:
    """The line stands right of the tube by 10 mm where 20 are asked: x is forward, so it goes forward."""
    pair = next(pair for pair in near.pairs if {pair.a, pair.b} == {"arm", "fuel_line"})
    finding = worst(near, 1)[0].finding
    assert finding.limit == 20
    along = replace(pair, p=(15.0, 100.0, 160.0), q=(25.0, 100.0, 160.0))
    turned = replace(near, pairs=(along,))
    short = replace(finding, value=finding.limit - 3.25)
    assert cure(turned, short) == "about 3.3 mm more: fuel_line forward, or arm back; then fit again"
    assert cure(turned, replace(short, about=("arm",))) == ""
    assert cure(turned, replace(short, code="seat")) == ""
    assert cure(replace(turned, pairs=(replace(along, q=along.p),)), short) == ""
    assert cure(replace(turned, pairs=()), short) == ""


@pytest.mark.parametrize(
    ("way", "said"),
    [
        ((0, 2, 0), "left"),
        ((0.0, -1.0, 0.4), "right"),
        ((0.0, -1.0, 0.6), "right and up"),
        ((1.0, 0.0, -1.1), "down and forward"),
        ((1.0, 1.0, 1.0), "forward and left and up"),
    ],
)
def test_directions_are_words(way: tuple[float, float, float], said: str) -> None:
    assert words(way) == said


def test_stops_come_before_cautions_and_accepted_ones_are_not_worst(near: Fit) -> None:
    said = Finding(level="stop", code="sheet size", piece="x", sentence="too large", source="s")
    done = replace(near, findings=(*near.findings, said))
    assert worst(done, 1)[0].finding == said
    fine = replace(near, findings=(replace(said, accepted_by="A. Person", accepted_why="known"),))
    assert worst(fine) == ()
    assert verdict_text(fine).splitlines()[1] == met(fine)


def test_rules_that_are_not_met_are_named(near: Fit) -> None:
    entered = replace(near.bay, gaps={**near.bay.gaps, "line": near.bay.gap("line")})
    broken = replace(near, stood=replace(near.stood, bay=entered))
    assert met(broken) == "does not meet 1 of the 2 rules of gaps you entered: line"
    none = replace(near, stood=replace(near.stood, bay=replace(near.bay, gaps={})))
    assert met(none) == "you entered no rules of gaps"
    single = replace(near.bay, gaps={"fixed": near.bay.gap("fixed")})
    assert met(replace(near, stood=replace(near.stood, bay=single))) == "meets the rule of gaps you entered"


# ------------------------------------------------------------------------------------------------- files


def test_the_workbook_is_read_back_with_its_figures(near: Fit, tmp_path: Path) -> None:
    write_workbook(near, tmp_path / "lists.xlsx")
    book = openpyxl.load_workbook(tmp_path / "lists.xlsx")
    assert book.sheetnames == ["masses", "buy", "cut", "sticks", "gaps", "paths"]
    for table in tables(near):
        cells = [[cell.value for cell in row] for row in book[table.name].iter_rows()]
        assert cells[0] == list(table.head)
        assert len(cells) == len(table.rows) + 1
        for got, want in zip(cells[1:], table.rows, strict=True):
            assert got == pytest.approx(list(want))
        assert book[table.name].freeze_panes == "A2"


def test_a_name_that_looks_like_a_formula_is_a_text(near: Fit, tmp_path: Path) -> None:
    named = replace(near, stood=replace(near.stood, parts=(replace(near.stood.parts[0], name="=1+1"),)))
    write_workbook(named, tmp_path / "lists.xlsx")
    cell = openpyxl.load_workbook(tmp_path / "lists.xlsx")["cut"].cell(row=2, column=8)
    assert (cell.data_type, str(cell.value).startswith("=1+1: ")) == ("s", True)


def test_the_same_bay_gives_the_same_bytes(near: Fit, tmp_path: Path) -> None:
    write_workbook(near, tmp_path / "a.xlsx")
    write_workbook(near, tmp_path / "b.xlsx")
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def read_csv(path: Path) -> Iterator[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as table:
        yield from csv.DictReader(table)


def test_csv_and_facts_have_the_same_rows(near: Fit, tmp_path: Path) -> None:
    write_buy(near, tmp_path / "buy.csv")
    write_cut(near, tmp_path / "cut.csv")
    facts = json.loads(json.dumps(record(near)))
    for name in ("buy", "cut"):
        rows = list(read_csv(tmp_path / f"{name}.csv"))
        assert rows == [{key: str(value) for key, value in row.items()} for row in facts[name]]
        assert rows
    assert facts["met"] == met(near)
    assert [one["do"] for one in facts["worst"]] == [one.do for one in worst(near)]


def test_of_a_bay_that_stops_nothing_is_to_be_cut(near: Fit, tmp_path: Path) -> None:
    assert "STOP" not in next(table for table in tables(near) if table.name == "cut").head
    said = Finding(level="stop", code="foul", piece="x", sentence="fouls", source="s")
    stopped = replace(near, findings=(said,))
    write_cut(stopped, tmp_path / "cut.csv")
    assert {row["STOP"] for row in read_csv(tmp_path / "cut.csv")} == {"do not cut"}
    assert cut_text(stopped).startswith("to cut, but NOT YET: something stops\n")
    assert cut_text(near).startswith("to cut, mm\n")
