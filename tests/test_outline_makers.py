"""Outlines made from a few numbers, and the words used when they cannot be."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from brackets.core.errors import InputError
from brackets.geometry.crossings import crossings, intersections
from brackets.geometry.curve import Outline, outline
from brackets.geometry.distance import contains
from brackets.geometry.ellipse import Ellipse
from brackets.geometry.segments import Arc, Line
from brackets.geometry.shapes import chamfered, circle, hexagon, polygon, rectangle, round_hull, slot

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def lines(*points: tuple[float, float]) -> list[Line]:
    return [Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True)]


def test_clockwise_points_come_out_anticlockwise() -> None:
    assert polygon(SQUARE[::-1]).area == 100.0


def test_rounded_corner_is_tangent_on_both_sides() -> None:
    o = polygon([(0, 0), (50, 0), (70, 40), (10, 30)], 6)
    for before, after in zip(o.segments, (*o.segments[1:], o.segments[0]), strict=True):
        assert before.b == after.a
        assert before.tangent(1.0) == pytest.approx(after.tangent(0.0), abs=1e-14)


def test_inner_corner_is_rounded_the_other_way() -> None:
    o = polygon([(0, 0), (40, 0), (40, 10), (10, 10), (10, 40), (0, 40)], radii=[0, 0, 0, 5, 0, 0])
    (arc,) = [s for s in o.segments if isinstance(s, Arc)]
    assert not arc.ccw
    assert o.area == pytest.approx(700 + 25 - math.pi * 25 / 4, rel=1e-15)


def test_radii_belong_to_the_points_in_the_order_given() -> None:
    o = polygon(SQUARE[::-1], radii=[0, 3, 0, 0])
    (arc,) = [s for s in o.segments if isinstance(s, Arc)]
    assert arc.centre == pytest.approx((7, 7))


def test_radius_of_half_the_width_leaves_no_straight_edge() -> None:
    o = rectangle(30, 20, radius=10)
    assert len(o.segments) == 6
    assert o.area == pytest.approx(200 + math.pi * 100, rel=1e-15)


def test_square_rounded_to_half_is_a_circle() -> None:
    o = rectangle(20, 20, radius=10)
    assert [type(s) for s in o.segments] == [Arc] * 4
    assert o.length == pytest.approx(20 * math.pi, rel=1e-15)


def test_chamfer_takes_half_its_leg_squared() -> None:
    assert chamfered(SQUARE, 2).area == pytest.approx(92, rel=1e-15)
    assert chamfered(SQUARE, 0, legs=[2, 0, 0, 0]).area == pytest.approx(98, rel=1e-15)


def test_slot_is_as_wide_as_told() -> None:
    o = slot((0, 0), (30, 40), 12)
    assert o.length == pytest.approx(100 + 12 * math.pi, rel=1e-15)
    assert slot((0, 0), (30, 0), 12).bounds == pytest.approx((-6, -6, 36, 6))


def test_hexagon_has_flats_at_top_and_bottom() -> None:
    assert hexagon(24).bounds == pytest.approx((-24 / math.sqrt(3), -12, 24 / math.sqrt(3), 12))


def test_circle_points_stay_within_the_deflection() -> None:
    points = circle((3, 4), 50).points(0.01)
    sags = [
        50 - math.dist((3, 4), ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2))
        for p, q in zip(points, (*points[1:], points[0]), strict=True)
    ]
    assert 0.005 < max(sags) <= 0.01


def test_bounds_reach_the_round_of_an_arc() -> None:
    o = outline([Arc((10, 0), (-10, 0), (0, 0)), Line((-10, 0), (10, 0))])
    assert o.bounds == (-10, 0, 10, 10)


@pytest.mark.parametrize(
    "s",
    [Line((0, 0), (30, 40)), Arc((10, 0), (-10, 0), (0, 0)), Arc((0, 5), (5, 0), (0, 0), ccw=False)],
    ids=["line", "half", "clockwise"],
)
def test_part_of_an_edge_is_on_it_and_shares_its_length(s: Line | Arc) -> None:
    part = s.part(0.2, 0.7)
    assert part.length == pytest.approx(s.length / 2, rel=1e-14)
    assert part.a == s.point(0.2)
    assert s.nearest(part.point(0.5)) == pytest.approx(0.45, rel=1e-14)


class TestRoundHull:
    def test_two_equal_circles_make_a_slot(self) -> None:
        got, wanted = round_hull([(0, 0, 6), (30, 40, 6)]), slot((0, 0), (30, 40), 12)
        assert got.area == pytest.approx(wanted.area, rel=1e-15)
        assert got.length == pytest.approx(wanted.length, rel=1e-15)

    def test_bare_points_make_a_polygon(self) -> None:
        got = round_hull([(0, 0, 0), (10, 0, 0), (10, 10, 0), (0, 10, 0), (5, 5, 0), (5, 0, 0)])
        assert got.area == 100.0
        assert len(got.segments) == 4

    def test_two_unequal_circles_make_a_belt(self) -> None:
        big, small, far = 20.0, 5.0, 60.0
        lean = math.asin((big - small) / far)
        wanted = 2 * far * math.cos(lean) + big * (math.pi + 2 * lean) + small * (math.pi - 2 * lean)
        assert round_hull([(0, 0, big), (far, 0, small)]).length == pytest.approx(wanted, rel=1e-15)

    def test_circle_within_another_is_passed_over(self) -> None:
        assert round_hull([(0, 0, 20), (5, 5, 3), (0, 0, 20)]).area == circle((0, 0), 20).area

    def test_circles_in_a_row_keep_one_straight_side(self) -> None:
        got = round_hull([(0, 0, 5), (10, 0, 5), (20, 0, 5), (35, 0, 5)])
        assert [type(s) for s in got.segments].count(Line) == 2

    def test_all_circles_are_inside(self) -> None:
        holes = [(0, 0, 5), (40, 3, 8), (38, 50, 4), (-3, 44, 9), (20, 20, 12), (70, 25, 2)]
        o = round_hull(holes)
        assert all(contains(o, (x, y)).distance >= r - 1e-12 for x, y, r in holes)


class TestMeeting:
    def test_crossed_lines_meet_once(self) -> None:
        assert intersections(Line((0, 0), (10, 10)), Line((0, 10), (10, 0))) == ((5.0, 5.0),)

    def test_lines_on_one_another_give_the_ends_of_the_shared_run(self) -> None:
        got = intersections(Line((0, 0), (10, 0)), Line((14, 0), (4, 0)))
        assert sorted(got) == [(4, 0), (10, 0)]

    def test_line_touches_a_circle_once(self) -> None:
        assert intersections(Line((-20, 10), (20, 10)), Arc((10, 0), (-10, 0), (0, 0))) == ((0.0, 10.0),)

    def test_line_through_a_circle_meets_twice(self) -> None:
        got = intersections(Line((-20, 6), (20, 6)), Arc((10, 0), (-10, 0), (0, 0)))
        assert sum(sorted(got), ()) == pytest.approx((-8, 6, 8, 6))

    def test_circles_of_3_4_5(self) -> None:
        got = intersections(Arc((3, 0), (-3, 0), (0, 0)), Arc((9, 0), (1, 0), (5, 0)))
        assert sum(got, ()) == pytest.approx((1.8, 2.4))

    @pytest.mark.parametrize(
        ("centre", "at"), [((15, 0), (10, 0)), ((5, 0), (10, 0))], ids=["outside", "inside"]
    )
    def test_circles_that_touch_meet_once(self, centre: tuple[float, float], at: tuple[float, float]) -> None:
        one = Arc((0, -10), (0, 10), (0, 0))
        other = Arc((centre[0], -5), (centre[0], 5), centre, ccw=centre[0] < 10)
        assert intersections(one, other) == (at,)

    def test_arcs_of_one_circle_give_the_ends_of_the_shared_run(self) -> None:
        got = intersections(Arc((10, 0), (-10, 0), (0, 0)), Arc((0, 10), (0, -10), (0, 0)))
        assert sorted(got) == [(-10, 0), (0, 10)]

    def test_far_edges_do_not_meet(self) -> None:
        assert intersections(Line((0, 0), (10, 0)), Line((0, 1), (10, 1))) == ()

    def test_figure_of_eight_crosses_where_it_crosses(self) -> None:
        assert crossings(lines((0, 0), (10, 10), (10, 0), (0, 10))) == ((5.0, 5.0),)


ARC_THAT_IS_NONE = [Arc((0, 0), (10, 0), (4, 0)), Line((10, 0), (0, 0))]
COMB = lines((0, 0), (10, 0), (10, 2), (0, 2), (8, -1), (7, 3), (6, -1), (5, 3), (4, -1), (3, 5), (-5, 5))

REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: outline([]), "outline = 0 edges, must be at least 2: a circle is two half arcs"),
    (
        lambda: outline(lines((0, 0), (1, 0), (math.nan, 1))),
        "edge 2 of 3 has a coordinate that is not a number",
    ),
    (
        lambda: outline(lines((0, 0), (5, 0), (5, 0), (0, 5))),
        "edge 2 of 4 at (5, 0) has no length, must be over 1e-06 mm",
    ),
    (
        lambda: outline(ARC_THAT_IS_NONE),
        "edge 1 of 2 at (0, 0) is no arc: radius 4 mm at its start, 6 mm at its end",
    ),
    (
        lambda: outline([Line((0, 0), (5, 0)), Line((5, 0), (5, 5)), Line((5, 5), (0, 0.01))]),
        "outline is open by 0.01 mm, must be at most 1e-06 mm: edge 3 ends at (0, 0.01), the next begins at (0, 0)",
    ),
    (
        lambda: outline(lines((0, 0), (10, 10), (10, 0), (0, 10))),
        "outline crosses or touches itself at (5, 5) mm, must not",
    ),
    (lambda: outline(COMB), " more mm, must not"),
    (
        lambda: outline(lines((0, 0), (10, 0))),
        "outline at (0, 0) mm encloses nothing, must go round some metal",
    ),
    (lambda: polygon([(0, 0), (1, 1)]), "polygon = 2 points, must be at least 3"),
    (lambda: polygon([(0, 0), (math.inf, 1), (2, 2)]), "point 2 of 3 has a coordinate that is not a number"),
    (lambda: polygon([(0, 0), (0, 0), (2, 2)]), "point 2 of 3 at (0, 0) repeats the one before it"),
    (lambda: polygon(SQUARE, radii=[1]), "radii = 1 values, must be one for each of 4 corners"),
    (lambda: polygon(SQUARE, -1), "radius at corner 1 of 4 = -1 mm, must be 0 or more"),
    (
        lambda: rectangle(40, 20, radius=11),
        "radius at corner 1 of 4 (-20, -10) = 11 mm, must be at most 10 mm: its edges are 20 and 40 mm long",
    ),
    (
        lambda: polygon(SQUARE, radii=[1, 2, 9.5, 0]),
        "radius at corner 3 of 4 (10, 10) = 9.5 mm, must be at most 8 mm: its edges are 10 and 10 mm long",
    ),
    (lambda: chamfered(SQUARE, 6), "chamfer at corner 1 of 4 (0, 0) = 6 mm, must be at most 5 mm"),
    (lambda: chamfered(SQUARE, 0, legs=[1]), "legs = 1 values, must be one for each of 4 corners"),
    (lambda: chamfered(SQUARE, math.nan), "chamfer at corner 1 of 4 = nan mm, must be 0 or more"),
    (lambda: rectangle(0, -3), "w = 0 mm, must be over 0\nh = -3 mm, must be over 0"),
    (lambda: circle((0, 0), 0), "r = 0 mm, must be over 0"),
    (lambda: circle((math.nan, 0), 5), "centre = (nan, 0), must be two numbers in mm"),
    (lambda: slot((0, 0), (10, 0), -5), "width = -5 mm, must be over 0"),
    (lambda: slot((0, 0), (10, math.inf), 5), "b = (10, inf), must be two numbers in mm"),
    (lambda: slot((1, 2), (1, 2), 5), "slot from (1, 2) to (1, 2) has no length: use a circle 5 mm across"),
    (lambda: hexagon(0), "across_flats = 0 mm, must be over 0"),
    (lambda: round_hull([]), "outline round the holes = 0 circles, must be at least 1"),
    (lambda: round_hull([(0, 0, -1)]), "circle 1 of 1 r = -1 mm, must be 0 or more"),
    (lambda: round_hull([(0, 0, 0), (5, 5, 0)]), "encloses nothing"),
    (lambda: Ellipse((0, 0), 0, -2), "ellipse a = 0 mm, must be over 0\nellipse b = -2 mm, must be over 0"),
    (lambda: Ellipse((math.nan, 0), 3, 2), "ellipse centre x = nan mm, must be a number"),
    (lambda: Ellipse((0, 0), 3, 2, math.inf), "ellipse angle = inf deg, must be a number"),
]


@pytest.mark.parametrize(("make", "words"), REFUSED, ids=[words[:40] for _, words in REFUSED])
def test_what_makes_no_sense_is_refused_in_words(make: Callable[[], object], words: str) -> None:
    with pytest.raises(InputError) as refused:
        make()
    assert words in str(refused.value)


def test_every_radius_named_as_largest_fits() -> None:
    corners = [(0.0, 0.0), (50.0, 0.0), (70.0, 40.0), (10.0, 30.0)]
    with pytest.raises(InputError) as refused:
        polygon(corners, 40)
    largest = float(str(refused.value).split("at most ")[1].split(" mm")[0])
    assert isinstance(polygon(corners, largest), Outline)
    with pytest.raises(InputError):
        polygon(corners, largest + 0.001)
