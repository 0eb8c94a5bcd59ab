"""Distances from points, holes and outlines to the edge of a plate; offsets."""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets.core.errors import InputError
from brackets.geometry.curve import Outline, outline
from brackets.geometry.distance import (
    contains,
    distance,
    distance_between,
    hole_edge_distance,
    nearest,
    offset,
    offset_all,
)
from brackets.geometry.regions import clip_circle, cut, join, single
from brackets.geometry.segments import Arc, Line
from brackets.geometry.shapes import circle, polygon, rectangle, round_hull, slot, translate

ELL = polygon([(0, 0), (60, 0), (60, 20), (20, 20), (20, 60), (0, 60)])
WAISTED = single(cut(rectangle(90, 30), rectangle(30, 22, centre=(0, -5))), "a waisted plate")
CEE = single(cut(rectangle(60, 60), rectangle(60, 20, centre=(10, 0))), "a C of plate")


class TestContains:
    @pytest.mark.parametrize(
        ("p", "side", "far"),
        [
            ((10, 10), "inside", 10),
            ((30, 19), "inside", 1),
            ((60, 5), "on", 0),
            ((20, 20), "on", 0),
            ((63, 24), "outside", -5),
            ((25, 30), "outside", -5),
            ((-7, 0), "outside", -7),
        ],
    )
    def test_side_and_signed_distance_in_an_angle(
        self, p: tuple[float, float], side: str, far: float
    ) -> None:
        got = contains(ELL, p)
        assert got.side == side
        assert got.distance == pytest.approx(far, abs=1e-15)

    def test_centre_of_a_circle_is_its_radius_deep(self) -> None:
        assert distance(circle((5, 5), 12), (5, 5)) == pytest.approx(12, rel=1e-15)

    def test_half_round_bite_is_outside(self) -> None:
        seat = single(clip_circle(rectangle(80, 40), (0, 20), 15), "seat")
        assert contains(seat, (0, 15)).side == "outside"
        assert distance(seat, (0, 15)) == pytest.approx(-10)
        assert distance(seat, (0, 0)) == pytest.approx(5)

    def test_nearest_gives_the_place(self) -> None:
        got = nearest(circle((0, 0), 10), (0, 25))
        assert got.distance == pytest.approx(15)
        assert got.point == pytest.approx((0, 10))

    @settings(max_examples=60, deadline=None)
    @given(st.floats(-50, 50), st.floats(-50, 50))
    def test_slot_is_within_r_of_its_centre_line(self, x: float, y: float) -> None:
        a, b, r = (-20.0, -9.0), (25.0, 13.0), 11.0
        middle = Line(a, b)
        off = math.dist(middle.point(middle.nearest((x, y))), (x, y))
        assert distance(slot(a, b, 2 * r), (x, y)) == pytest.approx(r - off, abs=1e-12)

    @pytest.mark.parametrize("level", [0.0, 10.0, -10.0, 5.0])
    def test_points_level_with_corners_and_arc_ends_are_sorted_right(self, level: float) -> None:
        o = rectangle(40, 20, radius=5)
        for x in (-25.0, -19.0, -15.0, 0.0, 15.0, 19.0, 25.0):
            qx, qy = max(abs(x) - 15, 0.0), max(abs(level) - 5, 0.0)
            wanted = 5 - math.hypot(qx, qy)
            if abs(wanted) > 1e-9 and (qx or qy):
                assert math.copysign(1, distance(o, (x, level))) == math.copysign(1, wanted)


def test_hole_leaves_metal_to_the_nearest_edge() -> None:
    assert hole_edge_distance(ELL, (10, 12), 8) == pytest.approx(6)


def test_hole_that_breaks_out_is_negative() -> None:
    assert hole_edge_distance(ELL, (58, 10), 12) == pytest.approx(-4)
    assert hole_edge_distance(ELL, (61, 10), 12) == pytest.approx(-7)


class TestBetween:
    @pytest.mark.parametrize(
        ("one", "other", "far"),
        [
            (circle((0, 0), 10), circle((30, 40), 15), 25),
            (circle((0, 0), 10), circle((3, 4), 2), 3),
            (circle((0, 0), 10), circle((0, 0), 4), 6),
            (rectangle(10, 10), rectangle(10, 10, centre=(13, 14)), 5),
            (rectangle(10, 10), circle((12, 0), 4), 3),
            (rectangle(10, 10), circle((8, 9), 4), 1),
            (rectangle(80, 80), circle((30, 0), 4), 6),
            (slot((0, 0), (20, 20), 4), slot((20, 0), (30, -10), 6), math.hypot(10, 10) - 5),
            (rectangle(10, 10), rectangle(10, 10, centre=(10, 0)), 0),
            (rectangle(10, 10), circle((5, 0), 3), 0),
        ],
    )
    def test_least_distance(self, one: Outline, other: Outline, far: float) -> None:
        for got in (distance_between(one, other), distance_between(other, one)):
            assert got.distance == pytest.approx(far, abs=1e-12)
            assert math.dist(got.p, got.q) == pytest.approx(far, abs=1e-12)

    def test_points_lie_on_their_own_outline(self) -> None:
        one, other = rectangle(30, 20, radius=4), round_hull([(50, 3, 4), (70, 30, 8)])
        got = distance_between(one, other)
        assert nearest(one, got.p).distance < 1e-12
        assert nearest(other, got.q).distance < 1e-12

    def test_agrees_with_points_all_round(self) -> None:
        one, other = ELL, translate(CEE, 75, 50)
        sampled = min(
            nearest(other, p).distance for s in one.segments for p in [s.point(i / 200) for i in range(201)]
        )
        assert distance_between(one, other).distance == pytest.approx(sampled, abs=1e-2)
        assert distance_between(one, other).distance <= sampled


convex = st.builds(
    lambda a, b, c, x: round_hull([(0.0, 0.0, a), (60.0, 5.0, b), (x, 50.0, c)]),
    st.floats(0, 15),
    st.floats(0, 15),
    st.floats(0, 15),
    st.floats(-40, 90),
)


class TestOffset:
    @settings(max_examples=40, deadline=None)
    @given(convex, st.floats(0.01, 60))
    def test_convex_plate_grows_by_steiners_formula(self, o: Outline, d: float) -> None:
        got = offset(o, d)
        assert got.area == pytest.approx(o.area + o.length * d + math.pi * d * d, rel=1e-13)
        assert got.length == pytest.approx(o.length + math.tau * d, rel=1e-13)

    @settings(max_examples=25, deadline=None)
    @given(convex, st.floats(0.01, 40))
    def test_out_and_back_is_the_same_plate(self, o: Outline, d: float) -> None:
        assert offset(offset(o, d), -d).area == pytest.approx(o.area, rel=1e-11)

    def test_rectangle_inward_keeps_sharp_corners(self) -> None:
        got = offset(rectangle(60, 40), -5)
        assert sorted(got.corners) == [(-25, -15), (-25, 15), (25, -15), (25, 15)]

    def test_inner_corner_outward_stays_sharp(self) -> None:
        got = offset(ELL, 4)
        assert (24, 24) in got.corners
        assert got.area == pytest.approx(ELL.area + 4 * ELL.length + (5 * math.pi / 4 - 1) * 16, rel=1e-14)

    def test_inner_corner_inward_goes_round(self) -> None:
        got = offset(ELL, -4)
        (arc,) = [s for s in got.segments if isinstance(s, Arc)]
        assert arc.centre == (20, 20)
        assert arc.radius == pytest.approx(4)

    def test_tight_bite_closes_over(self) -> None:
        seat = single(clip_circle(rectangle(80, 40), (0, 20), 5), "seat")
        got = offset(seat, 6)
        dip = 20 + math.sqrt(6**2 - 5**2)  # where the rounds about the two corners meet
        assert (0, dip) in [(round(x, 12), y) for x, y in got.corners]
        assert distance(got, (0, dip)) == pytest.approx(0, abs=1e-12)

    def test_waist_parts_in_two(self) -> None:
        dumb_bell = single(
            join(single(join(circle((-30, 0), 20), rectangle(60, 10)), "half"), circle((30, 0), 20)),
            "dumb-bell",
        )
        found = offset_all(dumb_bell, -6)
        assert len(found) == 2
        # each a circle of 14 with a point drawn out between the rounds about the corners of the waist
        corner, waist = math.asin(5 / 20), math.asin(5 / 6)
        point = 5 * (math.sqrt(375) - math.sqrt(11)) - 14**2 * corner - 6**2 * (waist - corner)
        assert [r.area for r in found] == pytest.approx([math.pi * 14**2 + point] * 2, rel=1e-13)

    @pytest.mark.parametrize("d", [-9.0, -4.0, -1.0, 3.0, 9.0, 25.0])
    @pytest.mark.parametrize("o", [ELL, CEE], ids=["ell", "cee"])
    def test_every_point_is_on_the_side_its_distance_says(self, o: Outline, d: float) -> None:
        found = offset_all(o, d)
        dice = random.Random(7)
        for _ in range(300):
            p = (dice.uniform(-70, 100), dice.uniform(-70, 100))
            deep = distance(o, p) + d
            if abs(deep) > 1e-6:
                assert any(r.distance(p) > 0 for r in found) is (deep > 0)

    def test_rounded_corner_smaller_than_the_offset_turns_sharp(self) -> None:
        got = offset(rectangle(60, 40, radius=3), -8)
        assert got.area == pytest.approx(44 * 24, rel=1e-14)
        assert len(got.segments) == 4

    def test_horn_of_no_angle_is_gone_round_on_its_outside(self) -> None:
        horn = outline(
            [
                Line((-30, 0), (0, 0)),
                Arc((0, 0), (-10, 10), (0, 10), ccw=False),
                Line((-10, 10), (-30, 10)),
                Line((-30, 10), (-30, 0)),
            ]
        )
        got = offset(horn, 2)
        assert got.bounds == pytest.approx((-32, -2, 2, 12))
        assert distance(got, (1.9, 0)) == pytest.approx(0.1)

    def test_slit_of_no_angle_is_gone_round_on_its_inside(self) -> None:
        slit = outline(
            [
                Line((-30, -20), (30, -20)),
                Line((30, -20), (30, 0)),
                Line((30, 0), (0, 0)),
                Arc((0, 0), (10, 10), (0, 10)),
                Line((10, 10), (10, 30)),
                Line((10, 30), (-30, 30)),
                Line((-30, 30), (-30, -20)),
            ]
        )
        got = offset(slit, -2)
        for p in ((-5.0, 0.0), (-3.0, -1.0), (-1.0, -3.0), (-1.9, 0.0)):
            assert distance(got, p) == pytest.approx(distance(slit, p) - 2, abs=1e-12)
        assert contains(offset(slit, 2), (8, 1)).side == "inside"

    def test_waist_of_just_twice_the_offset_parts_without_a_thread(self) -> None:
        found = offset_all(WAISTED, -4.5)
        assert len(found) == 2
        assert all(min(s.length for s in region.outer.segments) > 1 for region in found)

    def test_nothing_asked_is_nothing_done(self) -> None:
        assert offset(ELL, 0) is ELL


KEYHOLE_PLATE = outline(
    [
        Line((-40, -40), (40, -40)),
        Line((40, -40), (40, 40)),
        Line((40, 40), (3, 40)),
        Line((3, 40), (3, math.sqrt(391))),
        Arc((3, math.sqrt(391)), (-3, math.sqrt(391)), (0, 0), ccw=False),
        Line((-3, math.sqrt(391)), (-3, 40)),
        Line((-3, 40), (-40, 40)),
        Line((-40, 40), (-40, -40)),
    ]
)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: offset(rectangle(60, 40), -21), "offset = -21 mm leaves nothing, must be over -19.999 mm"),
    (lambda: offset(circle((0, 0), 5), math.nan), "offset = nan mm, must be a number"),
    (lambda: offset(KEYHOLE_PLATE, 4), "offset = 4 mm closes round 1 pockets, must close round none"),
    (
        lambda: offset(WAISTED, -5),
        "offset = -5 mm gives 2 pieces, must give 1",
    ),
    (lambda: hole_edge_distance(ELL, (5, 5), -1), "hole d = -1 mm, must be 0 or more"),
]


@pytest.mark.parametrize(("make", "words"), REFUSED, ids=[words[:32] for _, words in REFUSED])
def test_what_makes_no_sense_is_refused_in_words(make: Callable[[], object], words: str) -> None:
    with pytest.raises(InputError) as refused:
        make()
    assert words in str(refused.value)


def test_pocket_of_a_keyhole_is_the_hole_made_smaller() -> None:
    (grown,) = offset_all(KEYHOLE_PLATE, 4)
    (pocket,) = grown.holes
    assert pocket.area == pytest.approx(math.pi * 16**2, rel=1e-2)
    assert distance(pocket, (0, 0)) == pytest.approx(16)
