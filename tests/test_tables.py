"""Tube, flat stock, material, bush and own rows against published figures and closed forms."""

from __future__ import annotations

import dataclasses
import math
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from brackets.core.errors import BadFile, InputError
from brackets.core.schema.reading import from_mapping
from brackets.core.tables import (
    bolt_rows,
    bush_rows,
    bush_table,
    data_files,
    fasteners,
    material_rows,
    own_rows,
    stock_rows,
)

UNHURRIED = settings(deadline=None)  # a busy machine is no fault of the code
TUBES = stock_rows.tubes()
SIZES = st.tuples(st.floats(3, 500), st.floats(0.02, 0.49)).map(lambda pair: (pair[0], pair[0] * pair[1]))


@pytest.mark.parametrize(
    ("od", "wall", "area", "inertia", "kg_per_m"),
    [(25, 2, 144.51, 9628, 1.134), (38.1, 3.2, 350.85, 53867, 2.754)],
)
def test_tube_check_values(od: float, wall: float, area: float, inertia: float, kg_per_m: float) -> None:
    """Closed form and the sectionproperties package 3.10."""
    found = stock_rows.tube(od, wall)
    assert found.area == pytest.approx(area, abs=0.005)
    assert found.inertia == pytest.approx(inertia, abs=0.5)
    assert found.kg_per_m == pytest.approx(kg_per_m, abs=0.0005)


@pytest.mark.parametrize(
    ("od", "wall", "cm2", "cm4", "kg_per_m"),
    [(33.7, 3.2, 3.07, 3.60, 2.41), (42.4, 3.2, 3.94, 7.62, 3.09), (48.3, 3.2, 4.53, 11.6, 3.56),
     (60.3, 4, 7.07, 28.2, 5.55)],
)  # fmt: skip
def test_hollow_sections_as_the_standard_prints_them(
    od: float, wall: float, cm2: float, cm4: float, kg_per_m: float
) -> None:
    """EN 10210-2 annex B, three figures (from memory)."""
    found = stock_rows.tube(od, wall)
    assert "EN 10210" in found.source
    assert float(f"{found.area / 100:.3g}") == cm2
    assert float(f"{found.inertia / 1e4:.3g}") == cm4
    assert float(f"{found.kg_per_m:.3g}") == kg_per_m


def test_every_stock_tube_weighs_what_en_10220_says() -> None:
    """EN 10220: M = (D - T) T x 0.0246615 kg/m; its coefficient has six figures."""
    for row in TUBES:
        assert row.kg_per_m == pytest.approx((row.od - row.wall) * row.wall * 0.0246615, rel=1e-6), row.name
        assert row.id == pytest.approx(row.od - 2 * row.wall, abs=1e-12), row.name
        assert row.id > 0, row.name


@UNHURRIED
@given(SIZES)
def test_any_tube_has_the_section_of_two_circles(size: tuple[float, float]) -> None:
    od, wall = size
    found = stock_rows.tube(od, wall)
    outer, inner = math.pi / 4 * od**2, math.pi / 4 * (od - 2 * wall) ** 2
    assert found.area == pytest.approx(outer - inner, rel=1e-10)
    assert found.inertia == pytest.approx((outer - inner) * (od**2 + found.id**2) / 16, rel=1e-10)
    assert found.section_modulus == pytest.approx(2 * found.inertia / od, rel=1e-12)


def test_a_tube_length_has_the_mass_of_the_check_value() -> None:
    """38.1 x 3.2 x 250 in steel: 0.68855 kg, closed form."""
    assert stock_rows.tube(38.1, 3.2).kg_per_m * 0.25 == pytest.approx(0.68855, abs=5e-6)


def test_a_plate_has_the_mass_of_the_check_value() -> None:
    """120 x 80 x 6 in steel: 0.45216 kg, closed form."""
    assert 120 * 80 * 6 * material_rows.material("S235").density_kg_mm3 == pytest.approx(0.45216, rel=1e-12)


def test_a_stock_tube_is_found_as_the_row_and_is_nearest_to_itself() -> None:
    for row in TUBES:
        assert stock_rows.tube(row.od, row.wall) is row, row.name
        assert stock_rows.nearest_tubes(row.od, row.wall)[0] is row, row.name
        assert stock_rows.is_stock_tube(row.od, row.wall), row.name


def test_stock_tubes_have_different_names_and_sizes_and_rise() -> None:
    assert len({row.name for row in TUBES}) == len(set(stock_rows.tube_stock())) == len(TUBES)
    assert list(stock_rows.tube_stock()) == sorted(stock_rows.tube_stock())


def test_every_tube_of_the_demo_bay_is_stock() -> None:
    for od, wall in ((42.4, 3.2), (38, 3), (25, 2), (25, 2.5), (70, 5), (60, 5)):
        assert stock_rows.is_stock_tube(od, wall), (od, wall)


def test_a_tube_that_is_no_stock_is_worked_out_and_says_so() -> None:
    found = stock_rows.tube(39, 3.1)
    assert (found.name, found.source) == ("39 x 3.1", "worked out")
    assert not stock_rows.is_stock_tube(39, 3.1)
    assert stock_rows.nearest_tubes(39, 3.1, n=2)[0].name in ("1-1/2 x 0.120 in", "38 x 3")


@pytest.mark.parametrize(
    ("od", "wall", "name"),
    [("1-1/2in", "11 bwg", "1-1/2 x 0.120 in"), ("1-1/2in", "0.120in", "1-1/2 x 0.120 in"),
     ("38 mm", "3 mm", "38 x 3"),
     ("2in", "14 bwg", "2 x 0.083 in"), ("38.1", "16 swg", "38.1 x 1.6256")],
)  # fmt: skip
def test_a_tube_is_found_as_it_is_said(od: str, wall: str, name: str) -> None:
    assert stock_rows.tube(od, wall).name == name


@pytest.mark.parametrize(
    ("od", "wall", "problems"),
    [(10, 5, 1), (10, 0, 1), (-3, 1, 1), ("5/16", "14 ga", 2), (10, -1, 1), (float("nan"), 1, 1), (0, 0, 1)],
)
def test_an_impossible_tube_is_refused(od: object, wall: object, problems: int) -> None:
    with pytest.raises(InputError) as refused:
        stock_rows.tube(od, wall)  # type: ignore[arg-type]
    assert len(refused.value.problems) == problems


@pytest.mark.parametrize(("number", "mm"), [(11, 3.048), (13, 2.413), (14, 2.108), (16, 1.651)])
def test_tube_walls_by_gauge(number: int, mm: float) -> None:
    """Birmingham wire gauge, fluids package 1.3.1."""
    assert stock_rows.tube_wall(number) == pytest.approx(mm, abs=0.0005)


def test_a_wall_gauge_in_no_table_is_refused() -> None:
    with pytest.raises(InputError, match="must be 0 to 26"):
        stock_rows.tube_wall(40)


@pytest.mark.parametrize(("number", "mm"), [(10, 3.416), (11, 3.038), (12, 2.657), (14, 1.897), (16, 1.519)])
def test_sheet_gauge_rows(number: int, mm: float) -> None:
    """Manufacturers' Standard Gauge as held by the steel-sections package 0.1.0, to 1 um."""
    row = stock_rows.plate(f"{number} ga")
    assert row.t == pytest.approx(mm, abs=0.00051)
    assert (row.system, row.form) == ("sheet", "sheet")


@pytest.mark.parametrize(
    ("said", "name"),
    [(6, "6 mm"), ("6 mm", "6 mm"), ("6", "6 mm"), ("1/4in", "1/4 in"), (6.35, "1/4 in"), ("10 ga", "10 ga"),
     ("10ga", "10 ga"), ("#14", "14 ga"), ("16 swg", "16 swg"), (1.5, "1.5 mm")],
)  # fmt: skip
def test_a_plate_is_found_as_it_is_said(said: object, name: str) -> None:
    assert stock_rows.plate(said).name == name  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "near"), [(7, "1/4 in (6.35 mm)"), ("5.9", "6 mm (6 mm)"), (1000, "1 in (25.4 mm)")]
)
def test_an_unknown_plate_is_refused_with_the_nearest(said: object, near: str) -> None:
    with pytest.raises(InputError) as refused:
        stock_rows.plate(said)  # type: ignore[arg-type]
    assert near in str(refused.value)


@pytest.mark.parametrize("said", ["14 bwg", "1/4", "", None, "40 ga"])
def test_a_plate_size_that_cannot_be_read_is_refused(said: object) -> None:
    with pytest.raises(InputError):
        stock_rows.plate(said)  # type: ignore[arg-type]


def test_plate_stock_rises_and_keeps_its_systems_apart() -> None:
    everything = stock_rows.plate_stock()
    assert list(everything) == sorted(set(everything))
    assert stock_rows.plate_stock("mm") == (0.8, 1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 16, 20, 25)
    assert set(everything) == {t for system in stock_rows.SYSTEMS for t in stock_rows.plate_stock(system)}
    with pytest.raises(InputError, match="must be one of mm, in, sheet, swg"):
        stock_rows.plate_stock("ft")


@pytest.mark.parametrize(
    ("name", "fy", "fu"),
    [("S235", 235, 360), ("S275", 275, 430), ("S355", 355, 490), ("6061-T6", 240, 260), ("5083-O", 110, 270),
     ("4130 normalised", 517, 655), ("DC01", None, 270), ("unknown steel", None, None), ("E235", 235, 340)],
)  # fmt: skip
def test_strength_of_thin_stock(name: str, fy: float | None, fu: float | None) -> None:
    """EN 1993-1-1 table 3.1; EN 1999-1-1; EN 10130 (no smallest yield); 4130 and E235 from memory."""
    row = material_rows.material(name)
    assert (row.fy(3), row.fu(3)) == (fy, fu)


def test_thick_plate_is_weaker() -> None:
    """EN 1993-1-1 table 3.1: up to 40 mm, over 40 to 80 mm, nothing beyond."""
    row = material_rows.material("S355")
    assert [row.fy(t) for t in (0, 6, 40, 40.1, 80, 81)] == [355, 355, 355, 335, 335, None]
    assert [row.fu(t) for t in (40, 41)] == [490, 470]
    assert material_rows.material("S235").fy(50) == 215


def test_aluminium_beside_a_weld() -> None:
    """EN 1999-1-1: 6061-T6 heat-affected 115/175."""
    row = material_rows.material("6061-T6")
    assert (row.fy_welded, row.fu_welded) == (115, 175)


@pytest.mark.parametrize(("name", "fvw"), [("S235", 207.85), ("S275", 233.66), ("S355", 251.47)])
def test_weld_factor_gives_the_published_shear_strength(name: str, fvw: float) -> None:
    """EN 1993-1-8 4.5.3.3 and table 4.1: fu / (sqrt 3 beta_w 1.25)."""
    row = material_rows.material(name)
    strongest = row.fu(6)
    assert strongest is not None
    assert row.beta_w is not None
    assert strongest / (math.sqrt(3) * row.beta_w * 1.25) == pytest.approx(fvw, abs=0.005)


def test_stiffness_and_density_of_steel_and_aluminium() -> None:
    """EN 1993-1-1 3.2.6 and EN 1999-1-1 3.2.5."""
    steel, light = material_rows.material("S235"), material_rows.material("6061-T6")
    assert (steel.density, steel.e, steel.poisson) == (7850, 210000, 0.3)
    assert (light.density, light.e, light.poisson) == (2700, 70000, 0.3)


def test_nobody_is_told_to_weld_what_must_not_be_welded() -> None:
    said = {row.name: row.weldable for row in material_rows.materials()}
    assert said["unknown steel"] == "unknown"
    assert {name for name, word in said.items() if word == "no"} == {
        "cast iron", "cast aluminium", "natural rubber", "polyurethane",
    }  # fmt: skip
    assert all(row.note for row in material_rows.materials())
    assert all(row.source for row in material_rows.materials())


@pytest.mark.parametrize(
    "said", ["s235", " S235 ", "4130", "4130 normalized", "Grey Iron", "E235 tube", "1.4301"]
)
def test_a_material_is_found_as_it_is_said(said: str) -> None:
    assert material_rows.material(said) in material_rows.materials()


@pytest.mark.parametrize(
    ("said", "near"),
    [("S236", "S235"), ("stainles 304", "stainless 304"), ("wood", "S235"), (None, "S235")],
)
def test_an_unknown_material_is_refused_with_the_choices(said: object, near: str) -> None:
    with pytest.raises(InputError, match=near):
        material_rows.material(said)  # type: ignore[arg-type]


def test_every_shipped_bush_is_stamped_sample() -> None:
    assert len(bush_table.bushes()) >= 5
    assert {row.stamp for row in bush_table.bushes()} == {"SAMPLE: MEASURE YOURS"}


def test_a_bush_fits_into_itself_and_on_its_bolt() -> None:
    for row in bush_table.bushes():
        assert bolt_rows.bolt(row.bolt).d < row.sleeve_bore < row.sleeve_od < row.od, row.name
        assert row.sleeve_length >= row.shell_length + 2 * row.end_flange, row.name
        assert (row.rubber is not None) == (row.kind == "bonded rubber"), row.name
        if row.rubber is not None:
            assert row.sleeve_od / 2 <= row.rubber.inner_r < row.rubber.outer_r < row.od / 2, row.name
            assert row.rubber.length <= row.shell_length, row.name
            assert row.rubber.outer_r - row.rubber.inner_r > row.travel_radial, row.name


def test_an_invented_bush_weighs_what_its_parts_could_weigh() -> None:
    """Between rubber alone round the sleeve tube and solid steel throughout."""
    for row in bush_table.bushes():
        sleeve = math.pi / 4 * (row.sleeve_od**2 - row.sleeve_bore**2) * row.sleeve_length
        filling = math.pi / 4 * (row.od**2 - row.sleeve_od**2) * row.shell_length
        assert 1e-6 * (filling + 2.7 * sleeve) * 0.9 < row.mass < 7.85e-6 * (sleeve + filling), row.name


def test_the_shipped_bushes_are_what_they_were() -> None:
    """Rows of our own invention."""
    rows = bush_table.bushes()
    found = {row.name: (row.od, row.stiffness_radial, row.stiffness_axial, row.mass) for row in rows}
    assert found["R60"] == (60, 310, 104, 0.34)
    assert found["R50"] == (50, 380, 108, 0.27)
    assert found["P50"] == (50, 1500, 400, 0.16)


def bush_of(raw: Mapping[str, object]) -> bush_rows.Bush:
    """The sleeve bush of a [[bush]] row as a file has it."""
    made = from_mapping(bush_table.BushRow, raw, where="bush B").record
    assert isinstance(made, bush_rows.Bush)
    return made


@pytest.mark.parametrize("key", ["load", "heat", "stiffness"])
def test_a_bush_need_not_say_what_nothing_is_computed_from(key: str) -> None:
    """Load, heat and stiffness: None, no figure that nobody typed."""
    row = dict(next(raw for raw in data_files.toml_rows("bushes.toml", "bush") if raw["name"] == "R60"))
    del row[key]
    made = bush_of(row)
    left = [name for name in ("load", "heat", "stiffness_radial", "stiffness_axial", "stiffness_torsion")
            if getattr(made, name) is None]  # fmt: skip
    assert left == ([key] if key != "stiffness" else ["stiffness_radial", "stiffness_axial", "stiffness_torsion"])


def test_a_stiffness_may_be_measured_one_way_alone() -> None:
    row = dict(next(raw for raw in data_files.toml_rows("bushes.toml", "bush") if raw["name"] == "R60"))
    made = bush_of({**row, "stiffness": {"radial": 290}})
    assert (made.stiffness_radial, made.stiffness_axial, made.stiffness_torsion) == (290, None, None)
    with pytest.raises(InputError, match=r"stiffness_radial = 0, must be 0.001"):
        bush_of({**row, "stiffness": {"radial": 0}})


def test_an_unknown_bush_is_refused_with_the_choices() -> None:
    with pytest.raises(InputError, match=r"must be one of R60, .*nearest: R60"):
        bush_table.bush("R61")


GOOD = """
format = 1
unit = "in"

[[bolt]]
name = "shop M12"
like = "M12"
across_flats = "19 mm"
source = "calliper"

[[tube]]
od = "1-1/2in"
wall = 0.128
source = "rack by the door"

[[plate]]
t = "7 mm"

[[material]]
name = "old rail"
density = 7850
fy = [[10, 200], [20, 190]]
fu = 300

[[bush]]
name = "R60"
kind = "bonded rubber"
od = 2.5
shell_length = "40 mm"
sleeve_od = "18 mm"
sleeve_bore = "12.5 mm"
sleeve_length = 2
bolt = "shop M12"
stiffness = { radial = 300, axial = 100, torsion = 20000, known = "spring scale" }
travel = { radial = "5 mm", axial = "4 mm" }
load = "2.6 kN"
heat = 80
mass = "0.6 lb"
"""


@pytest.fixture
def own(tmp_path: Path) -> own_rows.Tables:
    (tmp_path / "shop.toml").write_text(GOOD, "utf-8")
    return own_rows.load_rows(tmp_path / "shop.toml")


def test_own_rows_come_before_the_shipped(own: own_rows.Tables) -> None:
    bush = own.bush("r60")
    assert (bush.od, bush.sleeve_length, bush.load) == (63.5, 50.8, 2600)
    assert bush.mass == pytest.approx(0.6 * 0.45359237, rel=1e-15)
    assert (bush.sample, bush.stamp) == (False, "")
    assert (bush.known, bush.source) == ("spring scale", "own row, shop.toml")
    assert own.bush("R50") is bush_table.bush("R50")
    assert own.plate(7).name == own.plate("7 mm").name == "7 mm"
    assert own.plate("6 mm") is stock_rows.plate(6)
    assert own.tube("1-1/2in", "0.128in").source == "rack by the door"
    assert own.tube(38, 3) is stock_rows.tube(38, 3)
    assert own.material("Old Rail").fy(12) == 190
    assert own.material("old rail").weldable == "unknown"
    assert own.material("S235") is material_rows.material("S235")


def test_an_own_bolt_keeps_what_it_does_not_change(own: own_rows.Tables) -> None:
    row, like = own.bolt("Shop M12"), bolt_rows.bolt("M12")
    assert (row.across_flats, row.source) == (19, "calliper")
    assert dataclasses.replace(row, name="M12", across_flats=18, source=like.source) == like
    assert own.bolt("M8") is bolt_rows.bolt("M8")
    assert fasteners.hole(row, "medium") == 13.5


def test_look_ups_that_fail_name_the_own_rows_too(own: own_rows.Tables) -> None:
    with pytest.raises(InputError, match="your own: shop M12"):
        own.bolt("M13")
    with pytest.raises(InputError, match="old rail"):
        own.material("old rale")
    with pytest.raises(InputError, match="must be one of R60, R60, R50"):
        own.bush("X")


def test_lists_hold_own_rows_first(own: own_rows.Tables) -> None:
    assert own.bolts()[0].name == "shop M12"
    assert own.bolts()[1:] == bolt_rows.bolts()
    assert own.bushes()[1:] == bush_table.bushes()
    assert own.tubes()[1:] == stock_rows.tubes()
    assert own.plates()[1:] == stock_rows.plates()
    assert own.materials()[1:] == material_rows.materials()


def test_a_shipped_row_copied_by_hand_stays_stamped() -> None:
    row = next(raw for raw in data_files.toml_rows("bushes.toml", "bush") if raw["name"] == "R50")
    assert own_rows.own_rows({"format": 1, "bush": [dict(row)]}).bush("R50").stamp == bush_rows.SAMPLE
    changed = {**row, "mass": 0.3}
    assert own_rows.own_rows({"format": 1, "bush": [changed]}).bush("R50").stamp == ""
    said = own_rows.own_rows({"format": 1, "bush": [{**changed, "sample": True}]})
    assert said.bush("R50").stamp == bush_rows.SAMPLE


def test_a_whole_bolt_can_be_typed() -> None:
    like = bolt_rows.bolt("M14")
    keys = [field.name for field in dataclasses.fields(like)]
    worked_out = {"system", "series", "pitch_d", "minor_d", "nut_minor_d", "stress_area"}
    raw = {key: getattr(like, key) for key in keys if key not in worked_out}
    found = own_rows.own_rows({"format": 1, "bolt": [{**raw, "name": "mine"}]}).bolt("mine")
    for key in set(keys) - {"name", "series"}:
        assert getattr(found, key) == getattr(like, key), key


def bad(text: str, tmp_path: Path) -> BadFile:
    (tmp_path / "bad.toml").write_text(text, "utf-8")
    with pytest.raises(BadFile) as refused:
        own_rows.load_rows(tmp_path / "bad.toml")
    return refused.value


def test_every_bad_key_is_reported_at_once(tmp_path: Path) -> None:
    found = bad(
        'format = 1\nunit = "cm"\nbusch = 3\n[[bolt]]\nname = "x"\nlike = "M13"\nhead_hight = 7\n'
        '[[bolt]]\nname = "y"\nd = 12\n'
        '[[tube]]\nod = 10\nwall = 6\n[[plate]]\nt = "10 ga"\n[[material]]\nname = "q"\nfy = "a"\n'
        'weldable = "maybe"\n[[bush]]\nname = "b"\nod = "5/16"\n',
        tmp_path,
    )
    said = str(found)
    for part in (
        'unit = "cm", must be "mm" or "in"', "busch: no such key, nearest: bush",
        'bolt x: like = "M13", not in the table; nearest: ',
        "bolt x: head_hight: no such value, nearest: head_height",
        "bolt y: pitch = nothing, must be 0.1 to 10 mm without like: pitch of the thread",
        "bolt y: lengths = nothing, must be a list of 1 or more, each 1 to 3000 mm without like: ",
        "tube 1: wall = 6 mm, must be under 5 mm, half the od: wall", 'plate 1: t = "10 ga"', "3.416 mm",
        "material q: density = nothing, must be 10 to 25000: density", 'material q: fy = "a", must be over 0 to',
        'material q: weldable = "maybe", must be one of yes, no, unknown: ', "bush b: od = ", "write 5/16in",
        "bush b: kind = nothing, must be one of bonded rubber, \"poly, two halves\", ",
        "bush b: mass = nothing, must be 0 to 50 kg: its mass", "bush b: travel_radial = nothing, must be 0 to",
    ):  # fmt: skip
        assert part in said, part
    assert all(line.startswith(str(found.path)) for line in said.splitlines())
    assert "bolt y: lock_nut_height" not in said


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("[[bush\n", "is not TOML"), ("bush = 3\n", "bush = 3, must be a list of tables: [[bush]]"),
        ("bush = [3]\n", "must be a list of tables: [[bush]]"),
        ("[bush]\nod = 3\n", "must be a list of tables: [[bush]]"),
        ("[[plate]]\nt = 7\n[[plate]]\nt = 7\n", "plate 7 mm: there are two of that name, each name once"),
        ("[[tube]]\nod = 1\nwall = 0.2\n", "tube 1: od = 1 mm, must be 3 to 500 mm: outside diameter"),
        ("[[tube]]\nod = nan\nwall = 1\n", "od = nan"),
        ("[[tube]]\nod = 1979-05-27\nwall = 1\n", "tube 1: od = "),
        ('[[bolt]]\nname = "a"\nlike = "M12"\npitch = 10\n', "pitch = 10 mm, must leave metal in a thread of d 12"),
        ('[[bolt]]\nname = "a"\nlike = "M12"\nwasher_od = 12\n', "washer_od = 12 mm, must be over washer_id 13"),
        ('[[bolt]]\nname = "a"\nlike = "M12"\nwasher_id = 11\n', "and that at least d 12: outside of the washer"),
        ('[[bolt]]\nname = "a"\nlike = "M12"\nlengths = [50, "x"]\n', "bolt a: lengths 2 = "),
        ('[[bolt]]\nname = "a"\nlike = "M12"\nlengths = [-5]\n', "lengths 1 = -5 mm, must be 1 to 3000 mm"),
        ('[[material]]\nname = "a"\ndensity = 1000\nfy = [[20, 5], [10, 4]]\n', "rising thickness"),
        ('[[material]]\nname = "a"\ndensity = 1000\nfy = [[10, 5], [10, 4]]\n', "rising thickness"),
        ('[[material]]\nname = "a"\ndensity = 1000\nfy = []\n', "fy = "),
        ('[[material]]\nname = "a"\ndensity = 1000\nfu = true\n', "fu = true"),
        ('[[material]]\nname = "a"\ndensity = 1000\nfu = 5001\n', "fu = 5001, must be over 0 to 5000 MPa"),
        ('[[material]]\nname = ""\ndensity = 1000\n', "name = \"\", must be one line of 1 to 300 characters"),
    ],
)  # fmt: skip
def test_a_bad_file_says_what_is_wrong(text: str, part: str, tmp_path: Path) -> None:
    assert part in str(bad(f"format = 1\n{text}", tmp_path))


@pytest.mark.parametrize("said", ["", "format = true\n", "format = 2\n"])
def test_a_file_of_own_rows_says_its_format(said: str, tmp_path: Path) -> None:
    assert "must be 1: the format of a file of own rows" in str(bad(f"{said}[[plate]]\nt = 7\n", tmp_path))


def test_a_file_that_is_not_there_or_is_no_text_is_a_bad_file(tmp_path: Path) -> None:
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    for path in (tmp_path / "none.toml", tmp_path, tmp_path / "bytes.toml"):
        with pytest.raises(BadFile):
            own_rows.load_rows(path)


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"sleeve_od": 70}, "under the od 60 mm"),
        ({"bolt": "M14"}, "must pass through the sleeve bore of 12.2 mm"),
        ({"bolt": "M13"}, "nearest:"),
        ({"rubber": {"inner_r": 5, "outer_r": 20, "length": 30, "hardness": 50}}, "between sleeve 9"),
        ({"dynamic": 0.5}, "must be 1 to 10"),
        ({"kind": "jelly"}, '"poly, two halves"'),
        ({"sample": "maybe"}, "sample = \"maybe\", must be yes or no"), ({"mass": "3 mm"}, "must be a mass"),
        ({"load": "3 kg"}, "must be a force"),
    ],
)  # fmt: skip
def test_a_bush_that_makes_no_sense_is_refused(change: dict[str, object], part: str) -> None:
    row = dict(next(raw for raw in data_files.toml_rows("bushes.toml", "bush") if raw["name"] == "R60"))
    with pytest.raises(InputError) as refused:
        bush_of({**row, **change})
    assert part in str(refused.value)
    assert len(refused.value.problems) == 1


def rubber(inner: float, outer: float) -> dict[str, float]:
    return {"inner_r": inner, "outer_r": outer, "length": 38, "hardness": 45}


@pytest.mark.parametrize(
    ("kept", "broken", "line"),
    [
        ({"sleeve_od": 12.3}, {"sleeve_od": 12.2}, "sleeve_od = 12.2 mm, must be over the bore 12.2 and under the"),
        ({"sleeve_od": 59.9}, {"sleeve_od": 60}, "sleeve_od = 60 mm, must be over the bore"),
        ({"sleeve_bore": 12}, {"sleeve_bore": 11.9}, "bolt = M12, must pass through the sleeve bore of 11.9 mm"),
        ({"rubber": rubber(9, 28)}, {"rubber": rubber(8.9, 28)}, "rubber_outer_r = 28 mm, must lie with"),
        ({"rubber": rubber(9, 30)}, {"rubber": rubber(9, 30.1)}, "rubber_outer_r = 30.1 mm, must lie"),
        ({"rubber": rubber(9, 9.1)}, {"rubber": rubber(9, 9)}, "between sleeve 9 and shell 30 mm: bonded rubber: "),
        ({"sleeve_offset": 6}, {"sleeve_offset": -6.1}, "sleeve_offset = -6.1 mm, must be at most 6 mm"),
    ],
    ids=lambda v: "",
)
def test_a_size_of_a_bush_is_taken_to_its_limit(kept: Any, broken: Any, line: str) -> None:
    """R60: od 60, shell 40 long, sleeve 18 x 12.2, 52 long; without its rubber where the sleeve is another."""
    row = {k: v for k, v in data_files.toml_rows("bushes.toml", "bush")[0].items() if k != "rubber"}
    assert bush_of({**row, **kept}).name == "R60"
    with pytest.raises(InputError) as refused:
        bush_of({**row, "rubber": rubber(9, 28), **broken})
    [said] = refused.value.problems
    assert line in said


def test_a_group_that_is_no_table_is_refused() -> None:
    row = {**data_files.toml_rows("bushes.toml", "bush")[0], "travel": 3}
    with pytest.raises(InputError, match="travel: no such value, nearest: travel_") as refused:
        bush_of(row)
    assert [line.split(" = ")[0] for line in refused.value.problems[1:]] == [
        "bush B: travel_radial",
        "bush B: travel_axial",
    ]


VALUES = st.recursive(
    st.one_of(
        st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=8),
        st.sampled_from(["M12", "6 mm"]),
    ),  # fmt: skip
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(["radial", "axial", "inner_r", "known", "x"]), inner, max_size=3),
    ),
    max_leaves=5,
)
BUSH_KEYS = tuple(data_files.toml_rows("bushes.toml", "bush")[0])
BOLT_KEYS = ("name", "like", "d", "pitch", "across_flats", "washer_od", "lock_nut_height", "lengths")
KEYS = st.sampled_from([
    "name", "od", "wall", "t", "like", "bolt", "kind", "stiffness", "travel", "rubber", "fy", "density",
    "aka", "lengths", "form", "sample", "weldable", "mass", "junk", "sleeve_od", "d", "pitch",
])  # fmt: skip


@UNHURRIED
@given(
    st.dictionaries(
        st.sampled_from(["bolt", "tube", "plate", "material", "bush", "junk"]),
        st.one_of(VALUES, st.lists(st.dictionaries(KEYS, VALUES, max_size=6), max_size=2)),
        max_size=3,
    )
)
def test_no_rows_do_anything_but_read_or_be_refused(data: dict[str, object]) -> None:
    try:
        found = own_rows.own_rows({"format": 1, **data})
    except InputError:
        return
    assert isinstance(found, own_rows.Tables)


@UNHURRIED
@given(st.dictionaries(st.sampled_from(sorted({*BUSH_KEYS, *BOLT_KEYS})), VALUES, min_size=1, max_size=4))
def test_a_good_row_with_wild_values_is_read_or_refused_key_by_key(wild: dict[str, object]) -> None:
    assume(wild.get("like", "M12") is not None)  # TOML has no null; None is a key that is not there
    bush = dict(next(raw for raw in data_files.toml_rows("bushes.toml", "bush") if raw["name"] == "R60"))
    for rows in ({"bush": [{**bush, **wild}]}, {"bolt": [{"name": "mine", "like": "M12", **wild}]}):
        try:
            own_rows.own_rows({"format": 1, **rows})
        except InputError as refused:
            said = str(refused)
        else:
            continue
        assert any(f": {key}" in said for key in wild), said


def test_every_shipped_table_opens_with_where_it_is_from() -> None:
    data = Path(data_files.__file__).parent / "data"
    files = sorted(path for path in data.iterdir() if path.suffix in (".csv", ".toml"))
    assert len(files) == 11
    named = ("ISO", "ASME", "SAE", "EN ", "no source", "(from memory)", "invented")
    for file in files:
        head = [line for line in file.read_text("utf-8").splitlines() if line.startswith("#")]
        assert any(word in line for line in head for word in named), file.name


def test_nothing_is_read_and_nothing_heavy_is_loaded_on_import() -> None:
    code = (
        "import sys\n"
        "from brackets.core.tables import bolt_rows, bush_table, data_files, material_rows, own_rows, stock_rows\n"
        "assert data_files.csv_rows.cache_info().currsize == data_files.toml_rows.cache_info().currsize == 0\n"
        "heavy = {'numpy', 'scipy', 'cadquery', 'OCP', 'trimesh'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
        "bolt_rows.bolt('M12'), bush_table.bush('R60'), material_rows.material('S235')\n"
        "stock_rows.tube(38, 3), stock_rows.plate(6)\n"
        "assert not {'numpy', 'scipy', 'cadquery'} & set(sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
