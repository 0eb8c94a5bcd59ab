"""Mock-ups of card in closed form: legs and holes, faces, tabs, boxes, wraps, gores, stacks, and cutting apart."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from test_fold_samples import R, T, angle_bracket, channel, cut_to_tube, sheet, tray

from brackets import BentTube, CustomPiece, OutOfRange, Part, Run, Step, Turned, card, end_curve, lay_out
from brackets.drawing.record import Title
from brackets.forming.card import FoldUp, fold_up, steel_box
from brackets.forming.card_box import PLAY, box
from brackets.forming.card_round import proud, straight_tubes, tube_shapes, turned_shapes
from brackets.forming.card_split import STRIP, apart, fits
from brackets.forming.card_stock import Card
from brackets.forming.card_tabs import with_tabs
from brackets.forming.flanges import lip
from brackets.geometry.distance import distance
from brackets.geometry.shapes import polygon, rectangle, round_hull
from brackets.mockups.card_part import KeepOutShape, keep_outs_card
from brackets.model.bend_allowance import bend_allowance
from brackets.model.bent_tube import centre_length
from brackets.model.cope import contour
from brackets.model.holes import Hole
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import SQUARE, Tube

ONE = Card(t=1.0, crease=0.5)
TITLE = Title(part="p")


def size(made: FoldUp) -> tuple[float, float]:
    x0, y0, x1, y1 = made.region.outer.bounds
    return x1 - x0, y1 - y0


@pytest.mark.parametrize(("angle", "crease"), [(90.0, 0.5), (90.0, 1.0), (60.0, 0.5), (140.0, 0.3)])
def test_a_leg_is_its_outside_length_to_the_apex_less_the_crease(angle: float, crease: float) -> None:
    """By hand: legs 50 and 40 outside to the apex, one fold between them. Past 90 degrees the sample's legs are to
    the outermost face, not to the apex, which lies (r + t) (tan(A/2) - 1) further."""
    made = fold_up(angle_bracket(angle), Card(t=1.0, crease=crease))
    half = math.tan(math.radians(angle) / 2)
    beyond = max(0.0, (R + T) * (half - 1.0))
    assert size(made) == pytest.approx((60.0, 50.0 + 40.0 + 2 * beyond - 2 * crease * half))
    [fold] = made.folds
    assert [y for _, y in fold.line] == pytest.approx([50.0 + beyond - crease * half] * 2)
    assert (fold.up, fold.angle) == (True, angle)


def test_a_hole_stays_where_it_is_on_the_outside_face() -> None:
    """Its centre is 25 from the tangent line, that is r + t = 9 from the base's outside: 34, less 0.5 of crease."""
    made = fold_up(channel(), ONE)
    assert {hole.wall for hole in made.holes} == {1, 2}
    for hole in made.holes:
        [fold] = [fold for fold in made.folds if fold.name == f"B{hole.wall}"]
        assert abs(hole.centre[0] - fold.line[0][0]) == pytest.approx(25.0 + R + T - 0.5)
        assert hole.opening.d == 12.5


def test_panels_lie_against_the_outside_of_their_bends_and_the_box_is_the_steels() -> None:
    """A Z: base 60 long between its apexes; one leg 30 up, one 25 down, outside."""
    back = R + T
    base = sheet(60 - 2 * back, 40)
    up = lip((60 - 2 * back, 40), (60 - 2 * back, 0), t=T, length=30, inside_radius=R)
    down = lip((0, 0), (0, 40), t=T, length=25, inside_radius=R, angle=-90)
    made = fold_up(Folded(name="Z", base=base, t=T, flanges=(up, down)), ONE)
    assert [panel.high for panel in made.panels] == [False, False, True]
    assert [panel.low for panel in made.panels] == [0.0, 0.0, 3.0]
    low, high = made.outside
    assert [b - a for a, b in zip(low, high, strict=True)] == pytest.approx([60.0, 40.0, 30.0 + 25.0 - T])
    assert low == pytest.approx(steel_box(Folded(name="Z", base=base, t=T, flanges=(up, down)))[0])
    # The base lies against its lower face, the leg that goes down against its upper: its hinge is 3 mm deeper.
    assert size(made)[0] == pytest.approx((60 - 0.5 - 0.5) + (30 - 0.5) + (25 - T + 0.5))
    # Hinged 0.2 under the outside: where it goes down that is the base's upper face, so 0.8 over its lower.
    deep = fold_up(Folded(name="Z", base=base, t=T, flanges=(up, down)), Card(t=1.0, crease=0.2))
    assert size(deep)[0] == pytest.approx((60 - 0.2 - 0.2) + (30 - 0.2) + (25 - T + 0.8))


def test_a_slot_over_a_bend_keeps_its_ends_on_both_walls() -> None:
    """Slots from 8 past the bend to 16 back, 10 wide: with the steel's allowance the base has 16 + 5 - BA of it."""
    piece = tray()
    made = fold_up(piece, ONE)
    allowance = bend_allowance(90.0, R, T)
    slot, _ = [hole for hole in made.region.holes if hole.bounds[1] < -10]
    assert slot.bounds[3] == pytest.approx(16 + 5 - allowance, abs=1e-6)
    # wall 1 hangs on y = 0: on card its frame begins 2 (r + t - crease) further out, not BA
    assert slot.bounds[1] == pytest.approx(-2 * (R + T - 0.5) - (8 + 5), abs=1e-6)
    # a hole of 5 that lies in the bend of wall 3 is stretched as the bend is
    oval = min(made.region.holes, key=lambda hole: abs(hole.area - 5 * 5 * 17 / allowance * math.pi / 4))
    assert oval.bounds[3] - oval.bounds[1] == pytest.approx(5 * 2 * (R + T - 0.5) / allowance, abs=0.1)
    assert oval.bounds[2] - oval.bounds[0] == pytest.approx(5.0, abs=0.1)


def test_a_round_end_is_as_long_as_the_plate_it_stands_for() -> None:
    """26 to either side of a middle that its arc's first chord misses; told to 0.1 mm as the cut list tells it."""
    piece = Plate(name="ear", t=8.0, wall=Wall(outline=round_hull([(0, 0, 26), (0, 119.4558, 1)])))
    made = fold_up(piece, Card.of(1.0))
    x0, y0, x1, y1 = piece.wall.outline.bounds
    for low, high in (made.outside, steel_box(piece)):
        assert (high[0] - low[0], high[1] - low[1]) == pytest.approx((x1 - x0, y1 - y0), abs=2e-3)


def test_a_wall_cut_to_a_tube_is_cut_on_the_face_where_the_card_lies() -> None:
    piece = cut_to_tube(0.12)
    near, far = fold_up(piece, Card.of(0.2)), fold_up(piece, Card.of(5.8))
    assert far.region.area < near.region.area  # a thicker card is cut for more of the leaning tube
    assert near.outside[1][2] < steel_box(piece)[1][2]


def test_tabs_of_a_box_lie_on_the_inside_of_what_they_are_glued_to() -> None:
    """100 x 80 x 60 of 1 mm card: between front and back there are 78, less 0.5 of crease at each end: 77."""
    made, tabs, without = with_tabs(fold_up(box("b", (100.0, 80.0, 60.0), ONE), ONE))
    assert without == ()
    assert {(tab.of, tab.onto) for tab in tabs} == {
        ("wall 3", "wall 1"), ("wall 3", "wall 2"), ("wall 4", "wall 1"), ("wall 4", "wall 2"),
        ("wall 5", "wall 1"), ("wall 5", "wall 3"), ("wall 5", "wall 4"),
    }  # fmt: skip
    x0, _, x1, _ = made.panels[3].outline.bounds
    assert x1 - x0 == pytest.approx(80.0 - 2.0 - 2 * PLAY)
    left = [tab.fold.line[0][1] for tab in tabs if tab.of == "wall 3"]
    assert abs(left[0] - left[1]) == pytest.approx(77.0)
    across = [tab.fold.line[0][0] for tab in tabs if tab.of == "wall 5" and tab.onto in ("wall 3", "wall 4")]
    assert abs(across[0] - across[1]) == pytest.approx(97.0)
    assert {tab.glued for tab in tabs} == {10.0}
    for tab in tabs:
        slopes = {round(abs(s.tangent()[0]), 4) for s in tab.shape.segments}
        assert slopes in ({0.0, 0.7071}, {1.0, 0.7071}), "ends cut back at 45 degrees"


def test_corners_of_a_tray_get_a_tab_that_bridges_their_gap() -> None:
    """Between an end and the face it comes to lie r + t - card, and the crease of the tab's own fold."""
    made, tabs, _ = with_tabs(fold_up(tray(), ONE))
    assert len(tabs) == 4
    for tab in tabs:
        of = next(panel for panel in made.panels if panel.name == tab.of)
        x, _, _ = of.flat.local((*tab.fold.line[0], 0.0))
        out = max(-x, x - (of.outline.bounds[2] - of.outline.bounds[0]))
        assert out == pytest.approx(R + T - 1.0 - 0.5)


def test_no_tab_lies_over_a_hole() -> None:
    """Holes near the ends of two opposite sides: their tabs move to where nothing lies under them, or go."""
    plain = tray()
    bored = tuple(
        replace(flange, wall=replace(flange.wall, openings=(Hole(at=(6.0, 10.0), d=5.0),)))
        if i in (1, 3)
        else replace(flange, wall=replace(flange.wall, openings=()))
        for i, flange in enumerate(plain.flanges)
    )
    made, tabs, _ = with_tabs(fold_up(replace(plain, flanges=bored), ONE))
    panels = {panel.name: panel for panel in made.panels}
    under = 0
    for tab in tabs:
        of, onto = panels[tab.of], panels[tab.onto]
        fold = of.flat.local((*tab.fold.line[0], 0.0))[0]
        middle = (onto.outline.bounds[0] + onto.outline.bounds[2]) / 2
        corners = []
        for edge in tab.shape.segments:
            x, y, _ = of.flat.local((*edge.a, 0.0))
            there, up, _ = onto.place.local(of.place.point((fold, y, of.low)))
            beyond = max(0.0, (x - fold) * math.copysign(1.0, fold))  # its own wall lies about x = 0 to its width
            corners.append((there + math.copysign(beyond, middle - there), up))
        corners = [p for i, p in enumerate(corners) if math.dist(p, corners[i - 1]) > 1e-6]
        for hole in (hole for hole in made.holes if hole.wall == onto.number):
            under += 1
            spot = onto.flat.local((*hole.centre, 0.0))[:2]
            assert distance(polygon(corners), spot) < -(2.5 + 0.9)
    assert under > 0


def test_a_tube_is_rolled_at_the_middle_of_the_card_and_coped_on_its_outside() -> None:
    leg = Run("leg", "50x3", ((0, 0, 0), (0, 0, 400)))
    stay = Run("stay", "38x2", ((0, 0, 200), (150, 0, 310)), start="leg")
    tube = lay_out(leg, stay).tube("stay")
    wrap, disc = tube_shapes(tube, Card.of(1.5))
    around = math.pi * (38 - 1.5)
    assert wrap.flap is not None
    assert wrap.flap[0][0] == pytest.approx(around, abs=1e-6)
    assert disc.region.outer.bounds[2] == pytest.approx((38 - 3) / 2)
    low = [s.a for s in wrap.region.outer.segments if s.a[1] < 60 and s.a[0] <= around + 1e-6]
    lean = math.degrees(math.atan2(150, 110))
    for degrees in (0, 45, 90, 180, 270):
        x = (degrees - 180) % 360 / 360 * around
        y = min(low, key=lambda p: abs(p[0] - x))[1]
        wanted = end_curve((degrees - tube.start.clock) % 360, branch_r=19, main_r=25, angle=lean)
        least = min(end_curve(phi, branch_r=19, main_r=25, angle=lean) for phi in range(360))
        assert y == pytest.approx(wanted - least, abs=0.35), degrees  # points a degree apart


def test_gores_of_a_bent_tube_meet_each_other_all_round() -> None:
    points = ((0.0, 0.0, 0.0), (0.0, 0.0, 150.0), (120.0, 0.0, 190.0), (160.0, 90.0, 190.0))
    tube = BentTube(name="b", od=32.0, wall=2.0, points=points, bend_r=60.0)
    jointed = straight_tubes(tube)
    assert len(jointed) > 5
    assert (jointed[0].start, jointed[-1].end) == (SQUARE, SQUARE)
    for one, after in zip(jointed, jointed[1:], strict=False):
        assert 2 * (90.0 - one.end.angle) <= 22.5 + 1e-9
        for theta in range(0, 360, 15):
            ends = contour(one, "end", theta, 16.0), contour(after, "start", theta, 16.0)
            assert ends[0] == pytest.approx(ends[1], abs=1e-9)
    long = sum(one.length for one in jointed)
    assert centre_length(tube) < long < 1.01 * centre_length(tube)
    assert proud(tube) < (60.0 + 16.0) * (1 / math.cos(math.radians(11.25)) - 1) + 1e-9


def test_a_turned_piece_is_an_outside_a_bore_and_rings() -> None:
    cup = Turned(name="cup", steps=(Step(length=40.0, od=60.0, bore=50.0),))
    outside, bore, ring = turned_shapes(cup, ONE)
    assert outside.flap is not None
    assert bore.flap is not None
    assert outside.flap[0][0] == pytest.approx(math.pi * 59)
    assert bore.flap[0][0] == pytest.approx(math.pi * 51)  # its inside is the bore
    assert ring.region.outer.bounds[2] == pytest.approx(29.0)
    assert ring.region.holes[0].bounds[2] == pytest.approx(26.0)
    assert ring.count == 2
    washer = Turned(name="w", steps=(Step(length=3.0, od=24.0, bore=10.5),))
    [stack] = turned_shapes(washer, ONE)
    assert (stack.count, stack.rolled) == (3, None)
    assert stack.region.outer.bounds[2] == pytest.approx(12.0)


def test_plates_are_stacked_and_like_pieces_made_together() -> None:
    wall = Wall(outline=rectangle(80, 40), openings=(Hole(at=(0, 0), d=10.5, kind="pivot"),))
    ear = Plate(name="a", t=6.0, wall=wall)
    part = Part(name="ears", pieces=(ear, replace(ear, name="b"), replace(ear, name="c", t=8.0)), loose=("b", "c"))
    two, one = card(part, thickness=1.5).pieces
    assert (two.names, two.made, two.count) == (("a", "b"), "stacked", 8)
    assert (one.names, one.count) == (("c",), 5)  # 8 / 1.5 is 5.33
    [sheet_] = two.drawings
    assert dict(sheet_.facts)["layers"] == "4 x 1.5 mm for 6 mm"
    assert dict(one.drawings[0].facts)["layers"] == "5 x 1.5 mm for 8 mm, +0.50 mm to fill"
    assert "strips 3.00 mm wide on edge between them, 273 mm of it" in sheet_.notes[0]  # 240 + 10.5 pi
    [hole] = [stroke.circle for stroke in sheet_.strokes if stroke.circle is not None]
    assert hole[1] == pytest.approx(5.25)  # finished, not as drilled before welding


def test_what_has_no_card_is_named() -> None:
    odd = CustomPiece(name="odd", function="nobody:nothing")
    thin = Turned(name="pin", steps=(Step(length=20.0, od=0.8),))
    mock_up = card(Part(name="p", pieces=(odd, thin)), thickness=1.0)
    assert mock_up.pieces == ()
    assert mock_up.without == ("odd", "pin")
    assert [finding.code for finding in mock_up.findings] == ["no card", "no card"]
    keep_outs = keep_outs_card("k", [KeepOutShape(name="scan", reason="a mesh")], ONE, TITLE)
    assert keep_outs.without == ("scan",)


def test_a_net_larger_than_the_sheet_is_cut_apart_at_its_folds() -> None:
    of = Card(t=1.0, crease=0.5, sheet=(330.0, 260.0))
    made, tabs, _ = with_tabs(fold_up(box("b", (300.0, 220.0, 100.0), of), of))
    called = {panel.name: panel.name for panel in made.panels}
    parts = apart(made, tabs, called)
    assert len(parts) > 2
    assert all(fits(part.made.region.outer.bounds, (330.0, 260.0)) for part in parts)
    assert sum(part.made.region.area for part in parts) == pytest.approx(made.region.area, abs=0.05)
    assert sorted(panel.name for part in parts for panel in part.made.panels) == sorted(called)
    joins = [join for part in parts for join in part.joins]
    for name in ("B1", "B2"):  # each said by the two panels that it joins
        assert sum(join.startswith(f"Cut on fold {name}: join to ") for join in joins) in (0, 2)


def test_a_panel_larger_than_the_sheet_is_cut_across() -> None:
    of = Card(t=1.0, crease=0.5, sheet=(300.0, 200.0))
    made = fold_up(Plate(name="p", t=1.0, wall=Wall(outline=rectangle(500, 180))), of)
    parts = apart(made, (), {"base": "plate"})
    assert len(parts) == 2
    assert [size(part.made) for part in parts] == [pytest.approx((250.0, 180.0))] * 2
    assert all(f"strip {STRIP:g} mm wide" in part.joins[0] for part in parts)
    assert apart(made, (), {})[0].made.region.area == pytest.approx(45000.0)
    whole = fold_up(Plate(name="p", t=1.0, wall=Wall(outline=rectangle(300, 200))), of)
    assert len(apart(whole, (), {"base": "plate"})) == 1


def test_a_thin_box_is_stacked_and_a_rod_is_a_tube() -> None:
    panel = KeepOutShape(name="sheet", sizes=(3.0, 200.0, 150.0))
    shapes = (panel, KeepOutShape(name="pipe", od=42.0, length=300.0))
    sheet_, pipe = keep_outs_card("k", shapes, ONE, TITLE).pieces
    assert (sheet_.made, sheet_.count, sheet_.outside) == ("stacked", 3, (200.0, 150.0, 3.0))
    assert (pipe.made, pipe.outside) == ("rolled", (42.0, 42.0, 300.0))


def test_the_first_sheet_tests_the_fold() -> None:
    folded = card(Part(name="L", pieces=(angle_bracket(),)), thickness=2.0, crease=0.7)
    first = folded.drawings[0]
    assert first.name == "test fold"
    assert [row[1] for row in first.tables[0].rows] == ["50.7", "50.7"]
    tube = Tube(name="t", od=30.0, wall=2.0, length=100.0)
    assert card(Part(name="t", pieces=(tube,))).drawings[0].name == "t, roll up 1, this face outside"


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"thickness": 0.05}, "thickness = 0.05 mm, must be 0.1 to 12 mm: of the card"),
        ({"thickness": 13.0}, "thickness = 13 mm, must be 0.1 to 12 mm: of the card"),
        ({"thickness": 1.0, "crease": 1.1}, "crease = 1.1 mm, must be 0 to 1 mm: what a fold of 90 degrees adds"),
    ],
)
def test_what_is_no_card_is_refused(asked: dict[str, float], said: str) -> None:
    with pytest.raises(OutOfRange, match=f"^{said}"):
        card(Part(name="L", pieces=(angle_bracket(),)), **asked)  # type: ignore[arg-type]
