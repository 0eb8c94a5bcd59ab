"""The shop's profile, and what it says of folded pieces: each rule just kept and just broken."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from test_fold_samples import R, T, angle_bracket, channel, offset_strap, sheet, tray, turned_channel

from brackets.core.errors import BadFile, InputError
from brackets.core.finding import Finding
from brackets.forming.flanges import lip
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop import Brake, Coupon, Die, Sheet, Shop, Stick, with_coupons
from brackets.forming.shop_file import default, least_radius, load, parse
from brackets.geometry.shapes import polygon
from brackets.model.bend_allowance import bend_allowance, setback
from brackets.model.fold_tree import tree
from brackets.model.holes import Hole, Window
from brackets.model.part import Part
from brackets.model.plate import Flange, Folded, Plate, Wall
from brackets.model.tube import Tube
from brackets.rules.part import piece_findings, shop_findings

DIE = Die(v=32, thin=3, thick=4.5, flange=22, radius=5)
SHOP = Shop(name="test", sample=True, brake=Brake(length=1000))
HEAD = 'format = 1\nname = "mine"\n[brake]\nlength = 800\n'


def found(piece: Folded | Plate | Tube, shop: Shop, code: str) -> list[Finding]:
    return [f for f in piece_findings(piece, shop) if f.code == code]


def bracket(**change: object) -> Folded:
    return replace(angle_bracket(), **change)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("metal", "t", "angle", "along", "radius"),
    [
        ("S235", 4, 90, False, 5),
        ("S235", 4, 90, True, 6),
        ("S235", 4, 130, False, 6),
        ("S235", 3, 90, False, 3),
        ("S275", 6, 90, False, 10),
        ("S355", 6, 90, False, 10),
        ("S355", 2.5, 90, False, 4),
        ("S235", 12, 90, True, None),
        ("S235", 13, 90, False, None),
        ("6061-T6", 4, 90, False, None),
    ],
)
def test_least_radius_is_that_of_din_6935(
    metal: str, t: float, angle: float, along: bool, radius: float | None
) -> None:
    """DIN 6935:1975 table of least inside radii (read on a stored page): rows by tensile strength."""
    assert least_radius(metal, t, angle=angle, along=along) == radius


def test_a_radius_under_the_least_is_a_caution_and_the_grain_decides() -> None:
    assert not found(bracket(grain=90.0), SHOP, "inside radius")
    [along] = found(bracket(grain=0.0), SHOP, "inside radius")
    assert (along.level, along.value, along.limit) == ("caution", R, 6)
    [unknown] = found(bracket(), SHOP, "inside radius")
    assert unknown.level == "advice"


def test_no_die_for_the_thickness_stops() -> None:
    [finding] = found(bracket(t=6.0), replace(SHOP, dies=(DIE,)), "die")
    assert finding.level == "stop"


@pytest.mark.parametrize(("height", "fits"), [(22.01, True), (21.99, False)])
def test_least_flange_is_measured_outside(height: float, fits: bool) -> None:
    flange = lip((0, 40), (60, 40), t=T, length=height, inside_radius=R)
    piece = Folded(name="L", base=sheet(60, 40), t=T, flanges=(flange,))
    assert (not found(piece, replace(SHOP, dies=(DIE,)), "flange")) == fits


def test_web_of_a_joggle_counts_from_apex_to_apex() -> None:
    piece = offset_strap(12)
    [finding] = {f.value for f in found(piece, replace(SHOP, dies=(DIE,)), "flange")}
    web = piece.flanges[0].wall.outline.bounds[3]
    assert finding == pytest.approx(web + 2 * setback(50, R, T))


def test_die_whose_radius_is_far_off_is_a_caution() -> None:
    far = replace(SHOP, dies=(replace(DIE, radius=6.01),))
    assert found(angle_bracket(), far, "die")[0].level == "caution"
    assert not found(angle_bracket(), replace(SHOP, dies=(replace(DIE, radius=5.99),)), "die")


def test_force_is_that_of_the_makers_chart() -> None:
    """t 4 over V 32 takes 34 t/m in mild steel, 450 MPa (a press-brake maker's chart): the rule is within 6 %."""
    assert pytest.approx(34, rel=0.06) == 1.42 * 450 * 4**2 * 1000 / 32 / 9.81e3
    needed = 1.42 * 360 * T**2 * 60 / 32
    for force, stops in ((needed * 1.01, False), (needed * 0.99, True)):
        shop = replace(SHOP, dies=(DIE,), brake=Brake(length=1000, force=force))
        assert bool(found(angle_bracket(), shop, "force")) == stops


def test_bend_longer_than_the_brake_stops() -> None:
    assert found(angle_bracket(), replace(SHOP, brake=Brake(length=59)), "brake length")[0].level == "stop"
    assert not found(angle_bracket(), replace(SHOP, brake=Brake(length=60)), "brake length")


@pytest.mark.parametrize(("punch", "stops"), [(4.2, False), (4.3, True)])
def test_ears_must_pass_the_punch(punch: float, stops: bool) -> None:
    """Ears 46 high and 52 apart inside: 52 - 46 = 6 = 1.414 x 4.24, by drawing the punch at 45 degrees."""
    shop = replace(SHOP, brake=Brake(length=1000, punch=punch))
    assert bool(found(channel(), shop, "ear height")) == stops


def test_goose_neck_lets_ears_pass() -> None:
    assert not found(channel(), replace(SHOP, brake=Brake(length=1000, punch=20, goose_neck=50)), "ear height")


@pytest.mark.parametrize(("gap", "fits"), [(6.01, True), (5.99, False)])
def test_round_hole_to_bend(gap: float, fits: bool) -> None:
    """1.5 t + r from the hole's edge to the inside face: at 90 degrees 1.5 t past the tangent line."""
    base = sheet(60, 40, Hole(at=(30, 40 - gap - 5), d=10))
    assert (not found(bracket(base=base, flanges=flanges()), SHOP, "hole to bend")) == fits


@pytest.mark.parametrize(("wide", "times"), [(20, 2.0), (40, 2.5), (54, 3.0)])
def test_straight_opening_to_bend(wide: float, times: float) -> None:
    for gap, fits in ((times * T + 0.01, True), (times * T - 0.01, False)):
        top = 40 - gap
        hole = Window(outline=polygon(((3, 10), (3 + wide, 10), (3 + wide, top), (3, top))))
        assert (not found(bracket(base=sheet(60, 40, hole), flanges=flanges()), SHOP, "hole to bend")) == fits


def flanges() -> tuple[Flange, ...]:
    return (lip((0, 40), (60, 40), t=T, length=40, inside_radius=R),)


def test_opening_in_a_bend_is_advice() -> None:
    """Two like slots over bend 1 in one line, the hole inside bend 3 in another."""
    said = found(tray(), SHOP, "bend opening")
    assert [f.level for f in said] == ["advice"] * 2
    assert [f.sentence.split(":")[0] for f in said] == ["opening 10 x 34 lies in bend 1", "hole 5 lies in bend 3"]


def test_clash_stops_and_a_small_gap_is_a_caution() -> None:
    lips = [
        lip(a, b, t=T, length=60, inside_radius=R, angle=130) for a, b in (((0, 30), (40, 30)), ((40, 0), (0, 0)))
    ]
    shut = Folded(name="shut", base=sheet(40, 30), t=T, flanges=tuple(lips))
    assert found(shut, SHOP, "clash")[0].level == "stop"
    assert found(channel(), replace(SHOP, gap=50.0), "fold gap")[0].level == "caution"
    assert not found(channel(), SHOP, "fold gap")


def test_overlap_on_the_flat_stops() -> None:
    ell = polygon(((0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)))
    two = lip((20, 20), (60, 20), t=T, length=40, inside_radius=R)
    three = Flange(start=(20, 60), end=(20, 20), inside_radius=R, wall=sheet(40, 30))
    piece = Folded(name="ell", base=Wall(outline=ell), t=T, flanges=(two, three))
    [finding] = found(piece, SHOP, "flat overlap")
    assert finding.level == "stop"
    assert finding.value is not None
    assert finding.value > 100


def test_thin_web_is_a_caution() -> None:
    holes = Hole(at=(20, 20), d=10), Hole(at=(33.9, 20), d=10)
    plate = Plate(name="p", t=4.0, wall=sheet(60, 40, *holes))
    [finding] = found(plate, SHOP, "web")
    assert finding.value == pytest.approx(3.9)


def test_sheet_and_rack() -> None:
    plate = Plate(name="p", t=4.0, wall=sheet(60, 40))
    small = Sheet(material="S235", t=4.0, length=59, width=50)
    assert found(plate, replace(SHOP, sheets=(small,)), "sheet size")[0].level == "stop"
    assert not found(plate, replace(SHOP, sheets=(replace(small, length=60, width=40),)), "sheet size")
    [finding] = found(plate, replace(SHOP, sheets=(replace(small, t=3.0, length=90),)), "rack")
    assert (finding.level, finding.limit) == ("caution", 3.0)
    assert "nearest S235 there: 3 mm" in finding.sentence


def test_tube_and_drill_are_offered_the_nearest() -> None:
    shop = replace(
        SHOP, tubes=(Stick(od=38, wall=3, length=6000), Stick(od=25, wall=2, length=200)), drills=(8.5, 10)
    )
    assert "38 x 3" in found(Tube(name="t", od=40, wall=3, length=100), shop, "rack")[0].sentence
    assert found(Tube(name="t", od=25, wall=2, length=201), shop, "tube length")[0].level == "stop"
    plate = Plate(name="p", t=4.0, wall=sheet(60, 40, Hole(at=(20, 20), d=9)))
    assert "nearest: 8.5, 10 mm" in found(plate, shop, "drill")[0].sentence


@pytest.mark.parametrize(("size", "fits"), [(12.0, True), (12.2, True), (11.9, False), (12.3, False)])
def test_a_pivot_may_be_reamed_0_to_02_over_its_bolt(size: float, fits: bool) -> None:
    plate = Plate(name="p", t=6.0, wall=sheet(60, 40, Hole(at=(20, 20), d=12.1, kind="pivot")))
    assert (not found(plate, replace(SHOP, drills=(3.0, 20.0), reamers=(size,)), "drill")) == fits


def test_coupon_takes_the_place_of_the_formula_and_says_so() -> None:
    coupon = Coupon(material="S235", t=T, radius=R, angle=90, allowance=11.25)
    shop = replace(SHOP, coupons=(coupon, replace(coupon, material="S355", allowance=12.0)))
    before, after = blank_of(angle_bracket()), blank_of(with_coupons(angle_bracket(), shop))
    assert after.width - before.width == pytest.approx(11.25 - bend_allowance(90, R, T), rel=1e-9)
    [bend] = tree(with_coupons(angle_bracket(), shop)).bends
    assert bend.allowance == pytest.approx(11.25, rel=1e-12)
    assert bend.k_note == "coupon S235 t 4 r 5 90 deg: 11.25 mm measured"
    assert tree(angle_bracket()).bends[0].k_note == "DIN 6935"


def test_coupon_does_not_override_a_k_the_user_gave() -> None:
    coupon = Coupon(material="S235", t=T, radius=R, angle=90, allowance=11.25)
    piece = bracket(k=0.42)
    assert with_coupons(piece, replace(SHOP, coupons=(coupon,))) == piece


def test_shipped_shop_reads_and_says_that_it_is_invented() -> None:
    shop = default()
    assert shop.sample
    assert "invented" in shop.name
    assert len(shop.dies) == 7
    assert not shop.coupons


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("sheeet = 1\n", "sheeet: no such key, nearest: sheet"),
        (
            "[[coupon]]\nmaterial = 'S235'\nt = 4\nradius = 5\nangle = 90\nallowance = 40\n",
            "must be 7.854 to 14.14 mm",
        ),
        ("[[die]]\nv = '5/16'\nthin = 1\nthick = 2\nflange = 8\nradius = 2\n", "die 1: v"),
        ("[[sheet]]\nmaterial = 'chees'\nt = 4\nlength = 10\nwidth = 20\n", "sheet 1: material"),
        ("[printer]\nbar_x = 120\n", "must be 90 to 110 mm"),
    ],
)
def test_wrong_profile_names_key_and_value(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "shop.toml").write_text(
        HEAD.replace("[brake]", text + "[brake]", 1) if "=" in text[:8] else HEAD + text
    )
    with pytest.raises(BadFile, match=words):
        load(tmp_path / "shop.toml")


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("[[tube]]\nod = 30\nwall = 15\nlength = 3000\n", None),
        ("[[tube]]\nod = 30\nwall = [3, 15.01]\nlength = 3000\n", "tube 1: wall = 15.01 mm, 15 mm or less"),
        ("[[die]]\nv = 16\nthin = 2\nthick = 2\nflange = 8\nradius = 2\n", None),
        ("[[die]]\nv = 16\nthin = 2\nthick = 1.99\nflange = 8\nradius = 2\n", "die 1: thick = 1.99 mm, 2 mm"),
        ("[welding]\nprocess = 'low hydrogen'\n", None),
        ("[welding]\nprocess = 'gas'\n", 'welding: process = "gas", must be one of low hydrogen, other'),
        ("die = 3\n", "die = 3, must be a list of tables: [[die]]"),
        ("welding = 3\n", "welding = 3, must be a table"),
        ("[tubing]\nfit_upp = 3\n", "tubing: fit_upp: no such value, nearest: fit_up"),
    ],
)
def test_values_that_belong_together_and_their_boundary(text: str, wrong: str | None) -> None:
    whole = HEAD + text if text.startswith("[") else HEAD.replace("[brake]", f"{text}[brake]")
    if wrong is None:
        parse(whole)
        return
    with pytest.raises(InputError) as caught:
        parse(whole)
    assert [problem[: len(wrong)] for problem in caught.value.problems] == [wrong]


def test_one_size_or_several_are_kept_once_and_rising() -> None:
    text = '[[sheet]]\nmaterial = "S235"\nt = [6, "1/4in", 4, 6]\nlength = 1000\nwidth = 500\n'
    one = '[[sheet]]\nmaterial = "S235"\nt = "5/16in"\nlength = 1000\nwidth = 500\n'
    shop = parse(HEAD + "[hole_tools]\ndrills = 9\n" + text + one)
    assert [sheet.t for sheet in shop.sheets] == pytest.approx([4, 6, 6.35, 7.9375])
    assert shop.drills == (9.0,)


def test_every_wrong_key_comes_at_once(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("format = 1\nname = 3\nsamples = true\n[brake]\nlength = -1\n")
    with pytest.raises(BadFile) as caught:
        load(tmp_path / "shop.toml")
    assert len(caught.value.problems) == 3


def test_a_profile_of_another_format_is_refused_before_anything_else_of_it_is_read(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text("format = 2\nname = 3\n")
    with pytest.raises(BadFile) as caught:
        load(tmp_path / "shop.toml")
    assert caught.value.problems == (
        "format = 2, must be 1: the format of a shop profile: written for a newer version of this program",
    )


def test_inches_in_a_profile() -> None:
    shop = parse(
        'format = 1\nname = "inch"\nunit = "in"\n[brake]\nlength = 48\n[hole_tools]\ndrills = ["5/16in", 0.5]\n'
    )
    assert shop.brake.length == pytest.approx(1219.2)
    assert shop.drills == pytest.approx((7.9375, 12.7))


def test_worst_comes_first_for_a_part() -> None:
    part = Part(name="x", pieces=(channel(), offset_strap()))
    levels = [f.level for f in shop_findings(part)]
    assert levels == sorted(levels, key=["stop", "caution", "advice"].index)
    assert levels[0] == "stop"


def test_bends_the_brake_is_asked_the_same_of_are_said_in_one_line() -> None:
    [short] = found(channel(), replace(SHOP, dies=(replace(DIE, flange=60.0),)), "flange")
    assert short.sentence.startswith("bends 1, 2 (90 deg, r 5): the shorter side")
    lopsided = found(turned_channel(), replace(SHOP, dies=(replace(DIE, flange=60.0),)), "flange")
    assert len(lopsided) > 1
