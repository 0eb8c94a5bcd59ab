"""Rules of welds and of tapped threads: a failing case, its value, limit and level, and what is at the boundary.

AWS D1.1/D1.1M:2025 table 7.7 as quoted at second hand: least leg by thickness, 3 to 6 mm (1/4 in), 5 to 12 (1/2),
6 to 20 (3/4), 8 above. Note a: the thinner part for low-hydrogen processes or with worked-out preheat, else the
thicker. Note b: it need not exceed the thinner part. Note c: 5 mm where loaded cyclically. Threads:
FED-STD-H28/2B:1991.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from brackets import recipe
from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.parts import LEG_TABLE
from brackets.core.tables.bolt_rows import bolt, bolts
from brackets.core.tables.fasteners import engagement, engagement_in_plate, length_of_engagement
from brackets.core.tables.material_rows import material
from brackets.forming.shop import Shop
from brackets.forming.shop_file import default, parse
from brackets.geometry.shapes import rectangle
from brackets.library.plates import plate
from brackets.library.rounds import ring
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import CustomPiece
from brackets.model.tube import Step, Tube, Turned
from brackets.model.weld import Along, Circle, Weld
from brackets.rules.part import general_findings, part_findings
from brackets.rules.welds import least_leg, thickness, weld_findings

INCH = 25.4


def joint(
    thick: float, thin: float, leg: float, *, metal: str = "S235", onto: str = "S235", run: float = 60.0
) -> Part:
    """A plate `thin` thick that stands on one `thick` thick, welded along `run` mm."""
    base = plate(rectangle(100, 60), thick, name="base", material=onto)
    foot = Place((0.0, 0.0, thick + 15.0), (0, 1, 0), (0, 0, 1))
    up = plate(rectangle(80, 30), thin, name="up", place=foot, material=metal)
    edge = Along((-run / 2, -15.0), (run / 2, -15.0))
    return Part(name="p", pieces=(base, up), welds=(Weld(piece="up", edge=edge, onto="base", leg=leg),))


def said(part: Part, code: str, *, low_hydrogen: bool = False, level: str = "") -> list[Finding]:
    found = [f for f in weld_findings(part, low_hydrogen=low_hydrogen) if f.code == code]
    return [f for f in found if level in ("", f.level)]


def test_what_is_turned_is_as_thick_as_its_thinnest_step_and_what_the_user_made_has_no_thickness() -> None:
    """(60 - 50) / 2 = 5 and (56 - 50) / 2 = 3."""
    steps = (Step(length=20.0, od=60.0, bore=50.0), Step(length=10.0, od=56.0, bore=50.0))
    assert thickness(Turned(name="cup", steps=steps)) == 3.0
    assert thickness(Tube(name="tube", od=42.4, wall=3.2, length=100.0)) == 3.2
    assert thickness(plate(rectangle(100, 60), 6.0, name="base")) == 6.0
    assert thickness(CustomPiece(name="casting", function="somewhere:made")) is None


@pytest.mark.parametrize(
    ("thin", "thick", "low_hydrogen", "least"),
    [
        (6.0, 6.0, False, 3.0),
        (6.0, 6.01, False, 5.0),
        (6.35, 6.35, False, 3.0),  # 1/4 in
        (8.0, 12.0, False, 5.0),
        (8.0, 12.1, False, 6.0),
        (8.0, 12.7, False, 5.0),  # 1/2 in
        (8.0, 19.05, False, 6.0),  # 3/4 in
        (8.0, 20.0, False, 6.0),
        (8.0, 20.1, False, 8.0),
        (8.0, 20.1, True, 5.0),  # note a: by the thinner
        (6.0, 20.1, True, 3.0),
        (4.0, 20.1, False, 4.0),  # note b: not more than the thinner
        (3.048, 20.1, False, 3.048),
    ],
)
def test_the_least_leg_is_the_tables(thin: float, thick: float, low_hydrogen: bool, least: float) -> None:
    assert least_leg([thin, thick], low_hydrogen=low_hydrogen) == least
    assert least_leg([thick, thin], low_hydrogen=low_hydrogen) == least


LEGS = [
    # thick, thin, leg, low hydrogen, level of "weld leg", value, limit
    pytest.param(8.0, 8.0, 4.0, False, "caution", 4.0, 5.0, id="8 on 8 wants 5"),
    pytest.param(8.0, 8.0, 4.75, False, "", 0, 0, id="3/16 in is 5 as the table has it"),
    pytest.param(8.0, 8.0, 4.74, False, "caution", 4.74, 5.0, id="under 3/16 in"),
    pytest.param(20.0, 6.0, 4.0, False, "caution", 4.0, 6.0, id="by the thicker"),
    pytest.param(20.0, 6.0, 4.0, True, "", 0, 0, id="by the thinner"),
    pytest.param(20.0, 5.0, 3.0, True, "", 0, 0, id="3 on the thinner"),
    pytest.param(12.0, 0.12 * INCH, 3.0, False, "", 0, 0, id="leg 3 on 0.12 in is the thinner metal"),
    pytest.param(12.0, 0.12 * INCH, 2.7, False, "caution", 2.7, 3.048, id="under the thinner metal"),
    pytest.param(12.0, 2.99, 1.5, False, "", 0, 0, id="thinner than D1.1 speaks of"),
    pytest.param(12.0, 3.0, 1.5, False, "caution", 1.5, 3.0, id="as thin as D1.1 speaks of"),
    pytest.param(6.0, 4.0, 4.25, False, "", 0, 0, id="as much as the thinner metal"),
    pytest.param(6.0, 4.0, 4.26, False, "advice", 4.26, 4.0, id="more than the thinner metal"),
]


@pytest.mark.parametrize(("thick", "thin", "leg", "low_hydrogen", "level", "value", "limit"), LEGS)
def test_a_leg_is_judged_by_the_table(
    thick: float, thin: float, leg: float, low_hydrogen: bool, level: str, value: float, limit: float
) -> None:
    found = said(joint(thick, thin, leg), "weld leg", low_hydrogen=low_hydrogen)
    assert [(f.level, f.value, f.limit) for f in found] == ([(level, value, pytest.approx(limit))] if level else [])


def test_a_leg_that_is_short_names_table_piece_and_process() -> None:
    (one,) = said(joint(20.0, 6.0, 4.0), "weld leg")
    assert one.source == f"{LEG_TABLE}, need not exceed the thinner piece"
    assert one.sentence == (
        "leg 4 mm, up to base, at least 6 on 20 mm metal (thicker piece, not a low-hydrogen process)"
    )
    (two,) = said(joint(20.0, 8.0, 4.0), "weld leg", low_hydrogen=True)
    assert "at least 5 on 8 mm metal (thinner piece, low-hydrogen process)" in two.sentence
    (three,) = said(joint(12.0, 3.048, 2.0), "weld leg")
    assert "at least 3 on" in three.sentence


@pytest.mark.parametrize("metal", ["6061-T6", "stainless 304", "cast iron"])
def test_the_table_is_about_carbon_steel(metal: str) -> None:
    for part in (joint(12.0, 8.0, 2.0, metal=metal), joint(12.0, 8.0, 2.0, onto=metal)):
        assert said(part, "weld leg") == said(part, "weld cyclic") == []


@pytest.mark.parametrize(
    ("thin", "leg", "count"), [(6.0, 4.7, 1), (6.0, 4.75, 0), (4.0, 3.7, 1), (4.0, 4.0, 0), (2.9, 2.0, 0)]
)
def test_a_mount_is_loaded_cyclically_and_the_table_asks_five(thin: float, leg: float, count: int) -> None:
    """Note c, never more than the thinner piece; once for a part, by its least leg."""
    part = joint(6.0, thin, leg)
    twice = replace(part, welds=(*part.welds, replace(part.welds[0], leg=leg + 0.01)))
    found = said(twice, "weld cyclic")
    assert [(f.level, f.value, f.limit) for f in found] == [("advice", leg, 5.0)] * count
    assert all("loaded cyclically" in f.sentence and f.source.endswith("note c") for f in found)


def test_the_shop_says_how_it_welds_and_where_it_does_not_the_thicker_piece_decides() -> None:
    part = joint(20.0, 6.0, 4.0)
    text = 'format = 1\nname = "mine"\nsample = false\n[brake]\nlength = 1000\n'
    silent, low = parse(text), parse(text + '[welding]\nprocess = "low hydrogen"\n')
    shops = (default(), Shop(name="", sample=True, brake=low.brake), silent, low)
    assert [shop.welding.process for shop in shops] == ["other", "other", "other", "low hydrogen"]

    def legs(shop: Shop) -> int:
        return len([f for f in part_findings(part, shop) if f.code == "weld leg"])

    assert (legs(silent), legs(low)) == (1, 0)
    with pytest.raises(InputError, match='welding: process = "mig"'):
        parse(text + '[welding]\nprocess = "mig"\n')


@pytest.mark.parametrize(
    ("run", "leg", "limit"), [(29.9, 4.0, 30.0), (30.0, 4.0, 0), (33.9, 8.0, 33.94), (34.0, 8.0, 0)]
)
def test_a_short_weld_is_not_counted_on(run: float, leg: float, limit: float) -> None:
    """30 mm, or six throats of leg x 0.7071: EN 1993-1-8:2005 4.5.1(2)."""
    found = said(joint(10.0, 8.0, leg, run=run), "weld length")
    assert [(f.level, f.value, f.limit) for f in found] == (
        [("advice", pytest.approx(run), pytest.approx(limit, abs=0.005))] if limit else []
    )


@pytest.mark.parametrize(
    ("metal", "level"),
    [("cast iron", "stop"), ("cast aluminium", "stop"), ("unknown steel", "caution"), ("S355", "")],
)
def test_metal_that_must_not_be_welded_stops(metal: str, level: str) -> None:
    for part in (joint(8.0, 8.0, 6.0, metal=metal), joint(8.0, 8.0, 6.0, onto=metal)):
        found = said(part, "weld metal")
        assert [(f.level, f.piece) for f in found] == (
            [(level, "up" if part.piece("up").material == metal else "base")] if level else []
        )


def test_engagement_worked_by_hand() -> None:
    """M10 6g/6H, limits of ISO 965-2 (from memory): d 9.732, d2 8.862, D2 9.206, D1 8.676; As 58.0.

    The bolt's thread: pi 8.676 / 1.5 (0.75 + (8.862 - 8.676) / 1.732) = 15.58 mm2 a mm; the casting's: pi 9.732 /
    1.5 (0.75 + (9.732 - 9.206) / 1.732) = 21.48. Twice As on the one is 7.45 mm; on the other, 800 against 200 MPa,
    21.6.
    """
    m10 = bolt("M10")
    assert length_of_engagement(m10, 200.0) == pytest.approx(2 * 58.0 * 800 / (21.48 * 200), rel=5e-3)
    assert length_of_engagement(m10, 5000.0) == pytest.approx(2 * 58.0 / 15.58, rel=1e-2)
    assert length_of_engagement(m10, 360.0) == pytest.approx(length_of_engagement(m10, 200.0) * 200 / 360)
    assert math.isclose(engagement(m10, "cast aluminium").least, length_of_engagement(m10, 200.0), abs_tol=0.05)


def test_a_pitch_under_a_millimetre_has_its_own_tolerance() -> None:
    """M5, 0.8: ISO 965-1 (from memory): TD1 = 0.433 P - 0.19 P^1.22 = 0.2017, so D1 4.3357; d2 4.480 - 0.0238 -
    0.0967 = 4.3599: pi 4.3357 / 0.8 (0.4 + 0.0242 / 1.732) = 7.049 mm2 a mm; As 14.18."""
    assert length_of_engagement(bolt("M5"), 5000.0) == pytest.approx(2 * 14.18 / 7.049, rel=1e-3)


@pytest.mark.parametrize("into", ["steel", "cast iron", "cast aluminium", "magnesium"])
def test_a_fine_thread_never_needs_less_than_the_coarse(into: str) -> None:
    rows = bolts()
    pairs = [(f, c) for c in rows for f in rows if (f.d, f.system) == (c.d, c.system) and f.pitch < c.pitch]
    assert len(pairs) > 15
    for fine, coarse in pairs:
        assert engagement(fine, into).least > engagement(coarse, into).least, (fine.name, coarse.name)


def test_every_engagement_says_formula_limits_bolt_metal_and_shaking_load() -> None:
    for into in ("steel", "grey iron", "aluminum"):
        source = engagement(bolt("M10"), into).source
        assert all(word in source for word in ("FED-STD-H28/2B:1991", "ISO 965-1", "8.8", "MPa", "shakes"))
    assert engagement(bolt("M10"), "cast iron").least < engagement(bolt("M10"), "aluminium").least
    assert "no row for magnesium" in engagement(bolt("M10"), "magnesium").source


@pytest.mark.parametrize(("t", "metal", "limit"), [(11.8, "S235", 11.9), (11.9, "S235", 0), (8.7, "S355", 8.8)])
def test_a_thread_tapped_in_plate_is_judged_by_the_plates_own_steel(t: float, metal: str, limit: float) -> None:
    tapped = Hole(at=(0.0, 0.0), d=8.5, kind="tap", bolt="M10")
    part = Part(name="p", pieces=(plate(rectangle(60, 60), t, name="p", openings=(tapped,), material=metal),))
    found = [f for f in general_findings(part) if f.code == "thread"]
    assert [(f.level, f.value, f.limit) for f in found] == ([("caution", t, limit)] if limit else [])
    assert all(f.source.startswith(metal) and f"at least {limit:g}" in f.sentence for f in found)
    assert engagement_in_plate(bolt("M10"), material("unknown steel"), t).source.startswith("steel: 360 MPa, S235")


def test_a_bung_is_asked_as_much_thread_as_steel_wants() -> None:
    opened = recipe("bung")
    asked = engagement(bolt("M10"), "steel").least
    for length, count in ((asked - 0.1, 1), (asked, 0)):
        values = opened.Params(kind="washer", threaded=True, length=length)
        found = [f for f in opened.check(values) if f.code == "thread"]
        assert [(f.level, f.value, f.limit) for f in found] == [("caution", pytest.approx(length), asked)] * count


def test_a_washer_welded_on_is_as_thin_as_its_ring() -> None:
    """A turned piece is as thick as its thinnest ring: 24 outside and 12 inside leave 6."""
    base = plate(rectangle(100, 60), 20.0, name="base")
    washer = ring("washer", od=24, bore=12, length=5).placed(Place((0, 0, 20)))
    weld = Weld(piece="washer", edge=Circle(0.0, 24.0), onto="base", leg=4.0)
    (found,) = said(Part(name="p", pieces=(base, washer), welds=(weld,)), "weld leg")
    assert found.limit == 6.0
