"""Every rule about blanks, bends, rack and drills: the case that breaks it, and the one that just does not."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from rule_cases import Case, each, holds
from test_fold_samples import R, T, angle_bracket, channel, sheet
from test_shop import DIE, SHOP, flanges

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.forming.flanges import lip
from brackets.forming.shop import Brake, Coupon, Sheet, Stick, with_coupons
from brackets.forming.shop_file import least_radius, parse, with_grain
from brackets.geometry.shapes import polygon
from brackets.library.rounds import bush_bore, ring
from brackets.model.bend_allowance import setback
from brackets.model.holes import Hole, Opening, Slot, Window
from brackets.model.part import Part
from brackets.model.plate import Flange, Folded, Plate, Wall
from brackets.model.tube import BentTube, Tube, Turned
from brackets.output.flats import flats
from brackets.rules.bends import chosen
from brackets.rules.part import piece_findings

Piece = Plate | Folded | Tube | BentTube


def of(piece: Piece, **tools: Any) -> list[Finding]:
    return list(piece_findings(piece, replace(SHOP, **tools)))


def coated(piece: Any, c: float) -> list[Finding]:
    """By a shop that coats every face `c` mm thick."""
    return [f for f in piece_findings(piece, replace(SHOP, coating=c)) if f.code.startswith("coated")]


def cup(**more: Any) -> Turned:
    return replace(ring("cup", od=70, bore=60, length=40), **{"bush": bush_bore(60, own=58), **more})


def plate(*openings: Opening, t: float = T, material: str = "S235") -> Plate:
    """60 x 40."""
    return Plate(name="plate", t=t, wall=sheet(60, 40, *openings), material=material)


def elbow(base: Wall | None = None, *, length: float = 40.0, angle: float = 90.0, **more: Any) -> Folded:
    """A base of 60 x 40 and a flange of that outside length along its far edge, t 4, r 5."""
    there = sheet(60, 40) if base is None else base
    flange = lip((0, 40), (60, 40), t=T, length=length, inside_radius=R, angle=angle)
    return Folded(**{"name": "L", "base": there, "t": T, "flanges": (flange,), **more})


def metal(name: str) -> Folded:
    """r 3 in 2 mm: least radius 3 in S355 across the grain; no row reaches aluminium."""
    flange = replace(flanges()[0], inside_radius=3.0)
    return Folded(name="L", base=sheet(60, 40), t=2.0, flanges=(flange,), material=name, grain=90.0)


def bent_to(radius: float, grain: float | None = None) -> list[Finding]:
    """The bend runs along x."""
    return of(elbow(flanges=(replace(flanges()[0], inside_radius=radius),), grain=grain))


def ear(inside: float, *, neck: float = 0.0) -> list[Finding]:
    """Two ears 46 high inside and so far apart there; half the punch is 5."""
    back = setback(90, R, T)
    w = inside + 2 * T - 2 * back
    legs = [((w, 40.0), (w, 0.0)), ((0.0, 0.0), (0.0, 40.0))]
    ears = tuple(lip(a, b, t=T, length=46 + T, inside_radius=R) for a, b in legs)
    brake = Brake(length=1000, punch=5.0, goose_neck=neck)
    return of(Folded(name="U", base=sheet(w, 40), t=T, flanges=ears), brake=brake)


def hole_at(gap: float, d: float = 10.0) -> list[Finding]:
    """A hole whose edge is `gap` short of where the bend begins."""
    return of(elbow(sheet(60, 40, Hole(at=(30, 40 - gap - d / 2), d=d))))


def window(wide: float, gap: float) -> list[Finding]:
    top = 40 - gap
    return of(elbow(sheet(60, 40, Window(outline=polygon(((3, 9), (3 + wide, 9), (3 + wide, top), (3, top)))))))


def two_ears(apart: float) -> Folded:
    """An L-shaped base with flanges into its corner: on the flat they lie over each other unless `apart`."""
    ell = polygon(((0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100)))
    one = Flange(start=(20 + apart, 20), end=(100, 20), inside_radius=R, wall=sheet(80 - apart, 20))
    two = Flange(start=(20, 100), end=(20, 20 + apart), inside_radius=R, wall=sheet(80 - apart, 20))
    return Folded(name="ell", base=Wall(outline=ell), t=T, flanges=(one, two))


def corner(deep: float = 40.0) -> Folded:
    """Flanges along two sides of a base of 60 x 40, to their common corner."""
    sides = (((0, deep), (60, deep)), ((60, deep), (60, 0)))
    return Folded(
        name="corner",
        base=sheet(60, deep),
        t=T,
        flanges=tuple(lip(a, b, t=T, length=30, inside_radius=R) for a, b in sides),
    )


def parted(width: float) -> Folded:
    """A flange that a window of that width cuts across; the flange is 60 wide."""
    x0, x1 = 30 - width / 2, 30 + width / 2
    across = polygon(((x0, 10), (x1, 10), (x1, 14), (x0, 14)))
    flange = flanges()[0]
    wall = replace(flange.wall, openings=(Window(outline=across),))
    return Folded(name="L", base=sheet(60, 40), t=T, flanges=(replace(flange, wall=wall),))


TAKEN = math.pi / 2 * (5 + (0.65 + 0.5 * math.log10(1.25)) / 2 * 4)
"""mm of the flat in a bend of 90 degrees, r 5 in 4 mm: 10.05."""
RACK = (Sheet(material="S235", t=T, length=60, width=40),)
STICKS = (Stick(od=38, wall=3, length=600), Stick(od=25, wall=2, length=200), Stick(od=25, wall=2, length=150))
COATING = "brackets/rules/coating.py"
BENDS, BLANKS, RACKS = "brackets/rules/bends.py", "brackets/rules/blanks.py", "brackets/rules/stock.py"
CASES = [
    Case(module=BENDS, code="bend order", level="advice", judge=of, kept=angle_bracket(), broken=channel()),
    # DIN 6935:1975: S235 of 4 mm, r 5 across the grain, the next row's 6 along it
    Case(module=BENDS, code="inside radius", level="caution", judge=lambda r: bent_to(r, 90.0),
         kept=5.0, broken=4.5, value=4.5, limit=5.0),
    Case(module=BENDS, code="inside radius", level="caution", judge=lambda r: bent_to(r, 0.0), kept=6.0, broken=5.5,
         value=5.5, limit=6.0),
    Case(module=BENDS, code="inside radius", level="advice", judge=bent_to, kept=6.0, broken=5.5, value=5.5,
         limit=6.0),
    Case(module=BENDS, code="inside radius", level="advice", judge=lambda m: of(metal(m)), kept="S355",
         broken="6061-T6", value=3.0),
    Case(module=BENDS, code="brake length", level="stop", judge=lambda long: of(elbow(), brake=Brake(length=long)),
         kept=60.0, broken=59.5, value=60.0, limit=59.5),
    # a die for 3 to 4.5 mm
    *(Case(module=BENDS, code="die", level="stop",
           judge=lambda t: of(elbow(t=t), dies=(DIE, replace(DIE, thin=3.2))),
           kept=kept, broken=broken, value=broken, limit=4.5) for kept, broken in ((4.5, 4.6), (3.0, 2.9))),
    # 22 asked; outside it is 40 less ... the shorter leg, as `lip` measures it
    Case(module=BENDS, code="flange", level="stop",
         judge=lambda long: of(elbow(length=long), dies=(replace(DIE, flange=30), DIE)),
         kept=22.0 + 1e-9, broken=21.5, value=21.5, limit=22.0),
    # 20 % of 5 is 1
    *(Case(module=BENDS, code="die", level="caution",
           judge=lambda r: of(elbow(), dies=(replace(DIE, radius=r), replace(DIE, radius=12.0, v=40))),
           kept=kept, broken=broken, value=5.0, limit=broken) for kept, broken in ((6.0, 6.05), (4.0, 3.95))),
    # 1.42 x 360 MPa x 4^2 x 60 / 32 = 15336 N
    Case(module=BENDS, code="force", level="stop",
         judge=lambda newton: of(elbow(), dies=(DIE,), brake=Brake(length=1000, force=newton)),
         kept=15336.0 + 1e-6, broken=15000.0, value=15.336, limit=15.0, unit="kN"),
    # ears 46 high pass half a punch of 5 where 46 <= inside - 5 sqrt 2
    Case(module="brackets/rules/bends.py", code="ear height", level="stop", judge=ear,
         kept=46 + 5 * math.sqrt(2) + 1e-6, broken=52.0, value=46.0, limit=52 - 5 * math.sqrt(2)),
    # bend and flange reach 20 and the allowance into the corner; DIN 6935 at r/t 1.25: k = (0.65 + 0.5 lg 1.25) / 2
    # ... or a goose neck as high as they are, 46
    Case(module="brackets/rules/bends.py", code="ear height", level="stop",
         judge=lambda neck: ear(50.0, neck=neck), kept=46.0 + 1e-9, broken=45.5, value=46.0, limit=45.5),
    Case(module=BLANKS, code="flat overlap", level="stop", judge=lambda apart: of(two_ears(apart)),
         kept=30.1, broken=10.0, unit="mm2", value=(20 + TAKEN - 10) ** 2, limit=0.0, within=1e-3),
    Case(module=BLANKS, code="blank", level="stop", judge=lambda wide: of(parted(wide)), kept=56.0, broken=70.0,
         unit="mm2"),
    # the bend begins at 40: a hole up to it is near it, one past it lies in it
    Case(module=BLANKS, code="bend opening", level="advice", judge=hole_at, kept=0.0, broken=-0.2),
    # 1.5 x 4 + 5 = 11 from the inside face, which is r = 5 past where the bend begins
    Case(module=BLANKS, code="hole to bend", level="caution", judge=hole_at, kept=6.0 + 1e-6, broken=5.5,
         value=10.5, limit=11.0, within=1e-6),
    # straight edges up to 25 wide 2 t, up to 50 2.5 t, beyond 3 t: 8, 10, 12 and r
    *(Case(module=BLANKS, code="hole to bend", level="caution", judge=lambda gap, wide=wide: window(wide, gap),
           kept=times * T + 1e-6, broken=times * T - 0.5, value=times * T + 4.5, limit=times * T + 5.0, within=1e-6)
      for wide, times in ((25.0, 2.0), (25.5, 2.5), (50.0, 2.5), (50.5, 3.0))),
    # two flanges at one corner of the base, r 5: their inner edges stand 5 past it each way; known to 2 %
    Case(module=BLANKS, code="fold gap", level="caution", judge=lambda gap: of(corner(), gap=gap),
         kept=7.0, broken=7.5, value=math.hypot(5, 5), limit=7.5, within=0.02 * 7.5),
    # turned past 90 degrees until the ears cross over the middle of the base
    Case(module=BLANKS, code="clash", level="stop", judge=lambda angle: of(crossing(angle)), kept=100.0,
         broken=140.0, value=0.0, limit=1.0, within=math.inf),
    # between two openings and to the edge: as wide as it is thick
    Case(module=BLANKS, code="web", level="caution",
         judge=lambda x: of(plate(Hole(at=(15, 20), d=10), Hole(at=(x, 20), d=10))),
         kept=29.0 + 1e-9, broken=28.5, value=3.5, limit=4.0),
    Case(module=BLANKS, code="web", level="caution", judge=lambda x: of(plate(Hole(at=(x, 20), d=10))),
         kept=9.0 + 1e-9, broken=8.5, value=3.5, limit=4.0),
    *(Case(module=BLANKS, code="sheet size", level="stop",
           judge=lambda s: of(plate(), sheets=(replace(RACK[0], length=30, width=20),
                                               replace(RACK[0], length=s[0], width=s[1]))),
           kept=kept, broken=broken, value=60.0, limit=max(broken))
      for kept, broken in (((60, 40), (59.5, 40)), ((40, 60), (40, 59.5)), ((60, 40), (90, 39.5)))),
    Case(module=RACKS, code="rack", level="caution",
         judge=lambda t: of(plate(t=t), sheets=(*RACK, replace(RACK[0], t=6.0))),
         kept=4.01, broken=4.021, value=4.021, limit=4.0),
    Case(module=RACKS, code="rack", level="caution", judge=lambda m: of(plate(material=m), sheets=RACK),
         kept="S235", broken="S355", value=4.0),
    Case(module=RACKS, code="rack", level="caution",
         judge=lambda od: of(Tube(name="t", od=od, wall=3, length=100), tubes=STICKS),
         kept=38.01, broken=38.021, value=38.021, limit=38.0),
    Case(module=RACKS, code="rack", level="caution",
         judge=lambda wall: of(Tube(name="t", od=38, wall=wall, length=100), tubes=STICKS),
         kept=3.01, broken=2.979, value=38.0, limit=38.0),
    Case(module=RACKS, code="tube length", level="stop",
         judge=lambda long: of(Tube(name="t", od=25, wall=2, length=long), tubes=STICKS),
         kept=200.0, broken=200.5, value=200.5, limit=200.0),
    # two straights of 100 less 75 each and a quarter of 2 pi 75 between
    Case(module=RACKS, code="tube length", level="stop",
         judge=lambda long: of(BentTube(name="t", od=25, wall=2, bend_r=75.0,
                                        points=((0, 0, 0), (0, 0, 100), (0, 100, 100))),
                               tubes=(Stick(od=25, wall=2, length=long),)),
         kept=50 + 37.5 * math.pi + 1e-6, broken=160.0, value=50 + 37.5 * math.pi, limit=160.0, within=1e-6),
    Case(module=RACKS, code="drill", level="caution", judge=lambda d: of(plate(Hole(at=(30, 20), d=d)),
                                                                         drills=(8.5, 10.0, 12.0)),
         kept=8.51, broken=8.521, value=8.521, limit=8.5),
    Case(module=RACKS, code="drill", level="caution",
         judge=lambda d: of(plate(Slot(a=(25, 20), b=(35, 20), d=d)), drills=(8.5, 10.0, 12.0)),
         kept=10.0, broken=9.5, value=9.5, limit=10.0),
    Case(module=RACKS, code="drill", level="advice", judge=lambda d: of(plate(Hole(at=(30, 20), d=d)),
                                                                        drills=(8.5, 12.0)),
         kept=12.0, broken=12.5, value=12.5, limit=12.0),
    # 60 x 40 with 10 round it
    *(Case(module="brackets/output/flats.py", code="layout", level="caution",
           judge=lambda s: flats(Part(name="p", pieces=(plate(),)),
                                 replace(SHOP, sheets=(replace(RACK[0], length=s[0], width=s[1]),))).findings,
           kept=kept, broken=broken) for kept, broken in (((80, 60), (79.5, 60)), ((80, 60), (80, 59.5)))),
    # a cup of 60 H7 is 60.000 at least: less 2 x 0.08
    Case(module=COATING, code="coated bore", level="advice", judge=lambda c: coated(cup(), c), kept=0.0,
         broken=0.08, value=59.84, limit=60.0),
    # holes of 12.5 for a bolt of 12: 0.25 all round is the most
    Case(module=COATING, code="coated hole", level="caution",
         judge=lambda c: coated(plate(Hole(at=(30, 20), d=12.5, bolt="M12", kind="pivot")), c), kept=0.25,
         broken=0.26, value=11.98, limit=12.0),
    Case(module=COATING, code="coated hole", level="caution",
         judge=lambda c: coated(plate(Slot(a=(25, 20), b=(35, 20), d=12.5, bolt="M12")), c), kept=0.25, broken=0.26,
         value=11.98, limit=12.0),
    Case(module=COATING, code="coated thread", level="advice",
         judge=lambda c: coated(plate(Hole(at=(30, 20), d=10.2, bolt="M12", kind="tap")), c), kept=0.0,
         broken=0.08, value=0.08, limit=0.0),
    Case(module=COATING, code="coated thread", level="advice",
         judge=lambda c: coated(replace(ring("bung", od=30, bore=10.2, length=20), thread="M12"), c), kept=0.0,
         broken=0.08, value=0.08, limit=0.0),
]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "said"), [("pivot", "mask it, or ream it out"), ("boss", "mask it, or drill it out"), ("bore", None)]
)
def test_a_hole_that_coating_closes_is_told_with_its_cure(kind: Any, said: str | None) -> None:
    """One that is lined by a tube has that tube in it and no bolt against its metal."""
    found = coated(plate(Hole(at=(30, 20), d=12.1, bolt="M12", kind=kind)), 0.08)
    assert [f.value for f in found] == ([] if said is None else [11.94])
    if said is not None:
        assert said in found[0].sentence
        assert "12.1 mm less twice 0.08 of coating leaves 11.94 for M12" in found[0].sentence


def test_a_coated_bore_is_told_with_both_its_limits_and_a_plain_bore_is_not() -> None:
    [said] = [f for f in coated(cup(), 0.08) if f.code == "coated bore"]
    assert "0.08 mm of coating in the bore for the bush leaves 59.840 to 59.870: mask it" in said.sentence
    assert not coated(cup(bush=None), 0.08)


def test_holes_may_be_masked_or_coated_otherwise_than_faces() -> None:
    """12.1 less twice 0.03; nothing is said of holes that are masked."""
    hole = plate(Hole(at=(30, 20), d=12.1, bolt="M12", kind="boss"))
    for in_holes, left in ((0.06, [11.98]), (0.05, []), (0.0, [])):
        shop = replace(SHOP, coating=0.2, coating_in_holes=in_holes)
        found = [f for f in piece_findings(hole, shop) if f.code.startswith("coated")]
        assert [f.value for f in found] == left
    tapped = plate(Hole(at=(30, 20), d=10.2, bolt="M12", kind="tap"))
    shop = replace(SHOP, coating=0.2, coating_in_holes=0.0)
    assert not [f for thing in (tapped, cup()) for f in piece_findings(thing, shop) if f.code.startswith("coated")]
    shop = replace(SHOP, coating=0.0, coating_in_holes=0.08)
    assert [f.value for f in piece_findings(cup(), shop) if f.code == "coated bore"] == [59.84]


@pytest.mark.parametrize(
    ("given", "faces", "holes"),
    [
        ((None, None), 0.1, 0.02),
        ((0.3, None), 0.3, 0.3),  # who says it of the faces says it of the holes
        ((None, 0.05), 0.1, 0.05),
        ((0.3, 0.0), 0.3, 0.0),
        ((0.0, None), 0.0, 0.0),
    ],
)
def test_who_says_how_thick_the_coating_is(
    given: tuple[float | None, float | None], faces: float, holes: float
) -> None:
    shop = replace(SHOP, coating=0.1, coating_in_holes=0.02).coated(*given, "the bay file")
    assert (shop.coating, shop.in_holes) == (faces, holes)
    assert shop.coating_by == ("" if given == (None, None) else "the bay file")


def test_the_coating_of_a_shop_file_is_read_and_limited() -> None:
    text = 'format = 1\nname = "mine"\ncoating = {}\n[brake]\nlength = 900\n'
    assert parse(text.format(0.08)).coating == 0.08
    assert parse(text.format(2)).coating == 2
    assert parse(text.replace("coating = {}", "")).coating == 0
    assert parse(text.format(0.08)).in_holes == 0.08
    assert parse(text.replace("{}", "0.08\ncoating_in_holes = 0")).in_holes == 0
    with pytest.raises(InputError, match=r"coating = 2.1 mm, must be 0 to 2 mm"):
        parse(text.format(2.1))


def crossing(angle: float) -> Folded:
    """Two lips of 60 on a base of 30, folded over it."""
    sides = (((0, 30), (40, 30)), ((40, 0), (0, 0)))
    lips = (lip(a, b, t=T, length=60, inside_radius=R, angle=angle) for a, b in sides)
    return Folded(name="shut", base=sheet(40, 30), t=T, flanges=tuple(lips))


@each(CASES)
def test_each_rule_is_kept_at_its_limit_and_broken_beyond(case: Case) -> None:
    holds(case)


def test_of_dies_the_nearest_radius_is_taken_and_of_equals_the_wider() -> None:
    dies = [replace(DIE, radius=4.0, v=25), replace(DIE, radius=6.0, v=40), replace(DIE, radius=7.5, v=50)]
    assert chosen(dies, 5.0).v == 40
    assert chosen(dies, 4.5).v == 25


@pytest.mark.parametrize(
    ("line", "grain", "along"), [(0, 0, True), (44, 0, True), (46, 0, False), (90, 0, False), (136, 0, True),
                                 (-10, 170, True), (180, 10, True), (90, 80, True)],
)  # fmt: skip
def test_a_line_within_45_degrees_of_the_grain_runs_along_it(line: float, grain: float, along: bool) -> None:
    assert with_grain(line, grain) == along


@pytest.mark.parametrize(("t", "radius"), [(1.0, 1.0), (1.5, 1.6), (2.5, 2.5), (5.0, 6.0), (6.0, 8.0), (8.0, 12.0)])
def test_least_radii_of_the_softest_row(t: float, radius: float) -> None:
    """DIN 6935:1975, tensile strength under 390 MPa; S235 has 360."""
    assert least_radius("S235", t) == radius
    assert least_radius("S235", t + 0.01) != radius


def test_a_bend_past_120_degrees_takes_the_next_row() -> None:
    assert [least_radius("S235", 4.0, angle=a) for a in (120.0, -120.0, 120.5, -121.0)] == [5, 5, 6, 6]


def test_a_pivot_is_reamed_and_a_clearance_hole_drilled() -> None:
    """Finished 12.1: a reamer or drill of 12.0 to 12.2; a plain hole wants its own drill."""
    hole = Hole(at=(30, 20), d=12.1, kind="pivot")
    tools = {"drills": (8.0, 20.0), "reamers": (12.0,)}
    assert not [f for f in of(plate(hole), **tools) if f.code == "drill"]
    [said] = [f for f in of(plate(replace(hole, kind="boss")), **tools) if f.code == "drill"]
    assert (said.value, said.limit) == (12.1, 8.0)
    assert "no drill 12.1 mm; nearest: 8, 20 mm" in said.sentence


@pytest.mark.parametrize(("angle", "judged"), [(90, True), (81, True), (99, True), (79, False), (101, False)])
def test_the_punch_is_for_ears_within_ten_degrees_of_square(angle: float, judged: bool) -> None:
    said = {f.code for f in of(channel(angle), brake=Brake(length=1000, punch=30.0))}
    assert ("ear height" in said) == judged


def test_flanges_that_meet_in_a_corner_are_no_ears_for_the_punch() -> None:
    """Those of a channel face each other, and so much of a punch does not pass them."""
    brake = Brake(length=1000, punch=60.0)
    assert "ear height" in {f.code for f in of(channel(90), brake=brake)}
    assert "ear height" in {f.code for f in of(across_both(), brake=brake)}  # its bends run the other way
    assert "ear height" not in {f.code for f in of(corner(), brake=brake)}


def test_walls_that_run_into_each_other_have_less_than_no_gap() -> None:
    [said, *_] = [f for f in of(crossing(140.0)) if f.code == "clash"]
    assert said.value is not None
    assert said.value < 0
    assert said.source.endswith("two walls cannot be in one place")


def test_a_bend_square_to_another_takes_nothing_of_its_flange() -> None:
    """A base 15 deep is 15 + r + t = 24 outside for the bend along it; the bend at its end does not lengthen it."""
    shop = {"dies": (replace(DIE, flange=24.5),)}
    said = {f.sentence.split(" (")[0]: f.value for f in of(corner(15.0), **shop) if f.code == "flange"}
    assert said == {"bend 1": pytest.approx(24.0)}
    sides = (((0, 40), (15, 40)), ((15, 40), (15, 0)))
    flanges = tuple(lip(a, b, t=T, length=30, inside_radius=R) for a, b in sides)
    turned = of(elbow(sheet(15, 40), flanges=flanges), **shop)
    said = {f.sentence.split(" (")[0]: f.value for f in turned if f.code == "flange"}
    assert said == {"bend 2": pytest.approx(24.0)}


def long_elbow() -> Folded:
    """3 m of it."""
    flange = lip((0, 40), (3000, 40), t=T, length=40, inside_radius=R)
    return elbow(sheet(3000, 40), flanges=(flange,))


def across_both() -> Folded:
    """A slot along the base of a channel 20 deep, from one bend to the other."""
    sides = (((0, 20), (60, 20)), ((60, 0), (0, 0)))
    ears = tuple(lip(a, b, t=T, length=30, inside_radius=R) for a, b in sides)
    return Folded(name="U", base=sheet(60, 20, Slot(a=(30, 0), b=(30, 20), d=8, name="over")), t=T, flanges=ears)


def test_the_least_flange_between_two_bends_is_that_of_the_bend_it_hangs_on() -> None:
    """A flange of 12 between the first bend and another up its far edge: 12 + 2 (r + t) = 30 outside, as the two
    that go down from it; the flange of its neighbour on the base has nothing to do with it."""
    other = lip((60, 0), (0, 0), t=T, length=40, inside_radius=R, angle=45)
    between = Flange(start=(0, 40), end=(60, 40), inside_radius=R, wall=sheet(60, 12))
    last = lip((0, 12), (60, 12), parent=2, t=T, length=40, inside_radius=R)
    piece = elbow(flanges=(other, between, last))
    judged = of(piece, dies=(replace(DIE, flange=31),))
    said = {f.sentence.split(" (")[0]: f.value for f in judged if f.code == "flange"}
    assert said == {"bends 2, 3": pytest.approx(30.0)}


@pytest.mark.parametrize(
    ("metal", "radii"),
    [
        ("S235", (1, 1.6, 2.5, 3, 5, 6, 8, 10, 12, 16, 20)),
        ("S275", (1.2, 2, 3, 4, 5, 8, 10, 12, 16, 20, 25)),
        ("S355", (1.6, 2.5, 4, 5, 6, 8, 10, 12, 16, 20, 25)),
    ],
)
def test_every_least_radius_is_the_standards(metal: str, radii: tuple[float, ...]) -> None:
    """DIN 6935:1975, as read on a stored page: tensile strength under 390, 490 and 640 MPa, thickness up to; along
    the grain the next thicker column holds."""
    columns = (1.0, 1.5, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0)
    assert tuple(least_radius(metal, t) for t in columns) == radii
    thicker = (*radii[1:], None)
    assert tuple(least_radius(metal, t + 0.01) for t in columns) == thicker
    assert tuple(least_radius(metal, t, along=True) for t in columns) == thicker


@pytest.mark.parametrize(
    ("t", "radius", "serves"),
    [(4.019, 5.0, True), (4.021, 5.0, False), (3.979, 5.0, False), (4.0, 5.25, True), (4.0, 5.26, False),
     (4.0, 4.75, True), (4.0, 4.74, False)],
)  # fmt: skip
def test_a_strip_serves_for_its_own_sheet_and_a_radius_within_a_twentieth(
    t: float, radius: float, serves: bool
) -> None:
    """0.02 mm of 4, 5 % of 5."""
    strip = Coupon(material="S235", t=t, radius=radius, angle=90, allowance=10.5)
    [flange] = with_coupons(elbow(), replace(SHOP, coupons=(strip,))).flanges
    assert (flange.k is not None) == serves


@pytest.mark.parametrize(("t", "stops"), [(4.019, 1), (4.021, 0)])
def test_a_blank_lies_on_sheets_of_its_own_thickness_to_two_hundredths(t: float, stops: int) -> None:
    small, large = replace(RACK[0], t=t, length=50), replace(RACK[0], t=6.0)
    assert len([f for f in of(plate(), sheets=(small, large)) if f.code == "sheet size"]) == stops


@pytest.mark.parametrize(
    ("piece", "tools", "words"),
    [
        (plate(), {"sheets": (replace(RACK[0], length=59.5),)}, "blank is 60 x 40 mm, the largest sheet 59.5 x 40"),
        (plate(material="S355"), {"sheets": RACK}, "S355 4 mm is not on the rack; 4 mm is there in S235"),
        (plate(t=5.0, material="S355"), {"sheets": RACK}, "S355 5 mm is not on the rack; nor anything as thick"),
        (plate(t=5.0), {"sheets": RACK}, "S235 5 mm is not on the rack; nearest S235 there: 4 mm"),
        (Tube(name="t", od=30, wall=2, length=9), {"tubes": STICKS[:2]}, "nearest there: 25 x 2, 38 x 3"),
        # of one outside by the wall: 0.5, 1 and 2 off
        (Tube(name="t", od=38, wall=4, length=9),
         {"tubes": tuple(replace(STICKS[0], wall=wall) for wall in (2, 3, 4.5))},
         "nearest there: 38 x 4.5, 38 x 3, 38 x 2"),
        (Tube(name="t", od=25, wall=2, length=250), {"tubes": STICKS}, "tube is 250 mm over its long points"),
        (plate(Hole(at=(30, 20), d=13)), {"drills": (8.5, 12.0)}, "13 mm is larger than any drill here (12)"),
        (elbow(grain=0.0), {}, "bend 1 (r 5) in S235 4 mm: may crack, at least r 6 along the grain"),
        (channel(), {}, "bends 1, 2 (r 5) in S235 4 mm: lay the grain across, along the grain r 6 is the least"),
        # 1.42 x 360 MPa x 4^2 x 3000 / 32
        (long_elbow(), {"dies": (DIE,), "brake": Brake(length=3000, force=700000)},
         "bend 1 (90 deg, r 5) wants about 767 kN over V 32, the brake has 700"),
        (across_both(), {}, "over lies in bends 1, 2: its edges pull"),
        (elbow(sheet(60, 40, Hole(at=(30, 40), d=8, name="over"))), {}, "over lies in bend 1: its edges pull"),
    ],
)
def test_the_words_hold_what_is_asked_and_what_is_there(piece: Piece, tools: dict[str, Any], words: str) -> None:
    assert any(words in f.sentence for f in of(piece, **tools))


def test_a_narrow_web_is_said_to_be_between_two_openings_or_at_the_edge() -> None:
    """Holes of 10 at x 15 and 28.5 leave 3.5; one at 8.4 leaves 3.4 to the edge at x 0."""
    (between,) = of(plate(Hole(at=(15, 20), d=10), Hole(at=(28.5, 20), d=10)))
    assert between.sentence.startswith("3.5 mm of metal between two openings at ")
    (edge,) = of(plate(Hole(at=(8.4, 20), d=10)))
    assert edge.sentence == "3.4 mm of metal between an opening and the edge at 3, 20 of the blank"


def test_where_there_are_no_tools_nothing_is_judged_against_them() -> None:
    free = {f.code for f in of(channel())}
    assert free <= {"inside radius", "bend order", "fold gap"}


def test_a_blank_that_makes_no_sense_is_refused_and_not_judged() -> None:
    with pytest.raises(InputError):
        of(elbow(angle=90.0, k=2.0))
