"""Cutting, joining and common parts of outlines, with edges that touch and edges that are shared."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets.core.errors import InputError
from brackets.geometry.curve import Outline, outline
from brackets.geometry.regions import Region, clip_circle, common, cut, join, piece_at, single
from brackets.geometry.segments import Arc, Line
from brackets.geometry.shapes import circle, rectangle, rotate, round_hull, slot
from brackets.geometry.split import CELL, SNAP, Joints, loops

PLATE = rectangle(60, 40)


def area(regions: tuple[Region, ...]) -> float:
    return math.fsum(r.area for r in regions)


def shape(regions: tuple[Region, ...]) -> list[tuple[int, int]]:
    """(edges outside, holes) of every piece."""
    return [(len(r.outer.segments), len(r.holes)) for r in regions]


class TestSeats:
    def test_half_round_seat_takes_half_a_circle(self) -> None:
        (left,) = clip_circle(PLATE, (0, 20), 12)
        assert left.area == pytest.approx(2400 - math.pi * 72, rel=1e-14)
        (arc,) = [s for s in left.outer.segments if isinstance(s, Arc)]
        assert (arc.a, arc.b, arc.ccw) == ((12, 20), (-12, 20), False)

    def test_what_is_kept_inside_and_outside_makes_the_whole(self) -> None:
        parts = clip_circle(PLATE, (25, 18), 12), clip_circle(PLATE, (25, 18), 12, keep="inside")
        assert area(parts[0]) + area(parts[1]) == pytest.approx(2400, rel=1e-14)

    def test_circle_within_the_plate_is_a_hole(self) -> None:
        (left,) = clip_circle(PLATE, (5, 5), 10)
        assert len(left.holes) == 1
        assert left.area == pytest.approx(2400 - math.pi * 100, rel=1e-14)

    def test_circle_round_the_plate_leaves_nothing(self) -> None:
        assert clip_circle(PLATE, (0, 0), 50) == ()

    def test_circle_beside_the_plate_changes_nothing(self) -> None:
        assert clip_circle(PLATE, (60, 60), 10) == (Region(PLATE),)

    def test_wide_seat_leaves_two_ears(self) -> None:
        ears = clip_circle(PLATE, (0, 20), 25)
        assert len(ears) == 1
        ears = clip_circle(PLATE, (0, 0), 22)
        assert len(ears) == 2
        assert piece_at(ears, (-28, 0)).outer.bounds[2] < 0


class TestTouching:
    def test_circle_that_touches_an_edge_from_inside_makes_two_horns(self) -> None:
        (left,) = clip_circle(PLATE, (0, 10), 10)
        assert left.area == pytest.approx(2400 - math.pi * 100, rel=1e-14)

    def test_circle_that_touches_an_edge_from_outside_changes_nothing(self) -> None:
        assert area(clip_circle(PLATE, (0, 30), 10)) == 2400

    def test_tube_as_wide_as_the_plate_parts_it(self) -> None:
        ends = clip_circle(PLATE, (0, 0), 20)
        assert [r.area for r in ends] == pytest.approx([1200 - math.pi * 200] * 2, rel=1e-13)

    def test_plates_side_by_side_join_along_the_shared_edge(self) -> None:
        (both,) = join(rectangle(20, 20), rectangle(20, 20, centre=(20, 0)))
        assert shape((both,)) == [(4, 0)]
        assert both.area == 800

    def test_plates_side_by_side_have_nothing_in_common(self) -> None:
        assert common(rectangle(20, 20), rectangle(20, 20, centre=(20, 0))) == ()

    def test_short_edge_on_a_long_one_is_joined(self) -> None:
        (both,) = join(PLATE, rectangle(10, 10, centre=(5, 25)))
        assert shape((both,)) == [(8, 0)]

    def test_plates_that_meet_at_a_corner_stay_two(self) -> None:
        both = join(rectangle(20, 20), rectangle(20, 20, centre=(20, 20)))
        assert shape(both) == [(4, 0), (4, 0)]

    def test_plate_less_itself_is_nothing(self) -> None:
        assert cut(PLATE, PLATE) == ()
        assert common(PLATE, PLATE) == (Region(PLATE),)
        assert join(PLATE, PLATE) == (Region(PLATE),)

    def test_notch_from_the_edge_shares_it(self) -> None:
        (left,) = cut(PLATE, rectangle(10, 15, centre=(0, 12.5)))
        assert left.area == pytest.approx(2250)
        assert shape((left,)) == [(8, 0)]

    def test_bite_with_the_radius_of_the_rounded_corner_follows_it(self) -> None:
        rounded = rectangle(60, 40, radius=8)
        (corner,) = clip_circle(rounded, (22, 12), 8, keep="inside")
        assert corner.area == pytest.approx(math.pi * 64, rel=1e-14)
        (left,) = clip_circle(rounded, (22, 12), 8)
        assert left.area == pytest.approx(rounded.area - math.pi * 64, rel=1e-14)

    def test_ear_with_its_own_round_is_cut_to_the_same_round(self) -> None:
        assert cut(circle((3, 4), 10), rotate(circle((3, 4), 10), 37, about=(3, 4))) == ()

    def test_bar_across_the_plate_leaves_two(self) -> None:
        left = cut(PLATE, rectangle(10, 40))
        assert [r.area for r in left] == [1000, 1000]

    def test_slots_on_one_line_join_to_a_longer_slot(self) -> None:
        (both,) = join(slot((0, 0), (20, 0), 10), slot((10, 0), (40, 0), 10))
        assert both.area == pytest.approx(400 + math.pi * 25, rel=1e-14)
        assert shape((both,)) == [(4, 0)]


class TestHoles:
    def test_second_hole_is_cut_beside_the_first(self) -> None:
        (once,) = clip_circle(PLATE, (-15, 0), 5)
        (twice,) = clip_circle(once, (15, 0), 5)
        assert len(twice.holes) == 2
        assert twice.area == pytest.approx(2400 - 50 * math.pi, rel=1e-14)

    def test_holes_that_overlap_become_one(self) -> None:
        (once,) = clip_circle(PLATE, (-3, 0), 5)
        (twice,) = clip_circle(once, (3, 0), 5)
        assert shape((twice,)) == [(4, 1)]
        lens = 2 * (25 * math.acos(0.6) - 3 * 4)
        assert twice.area == pytest.approx(2400 - (50 * math.pi - lens), rel=1e-14)

    def test_plug_fills_its_hole(self) -> None:
        (drilled,) = clip_circle(PLATE, (5, 5), 10)
        assert join(drilled, circle((5, 5), 10)) == (Region(PLATE),)

    def test_hole_that_touches_the_edge_and_is_slit_open_leaves_two_pieces(self) -> None:
        (drilled,) = clip_circle(PLATE, (0, 10), 10)
        assert shape((drilled,)) == [(4, 1)]
        halves = cut(drilled, rectangle(4, 60, centre=(0, -20)))
        assert [len(h.holes) for h in halves] == [0, 0]
        for half in halves:
            assert outline(half.outer.segments) == half.outer

    def test_ring_cut_in_two_is_two_pieces(self) -> None:
        (ring,) = clip_circle(circle((0, 0), 30), (0, 0), 20)
        halves = cut(ring, rectangle(80, 4))
        assert len(halves) == 2
        assert all(not h.holes for h in halves)

    def test_island_in_a_hole_is_its_own_piece(self) -> None:
        (ring,) = clip_circle(PLATE, (0, 0), 15)
        found = join(ring, circle((0, 0), 5))
        assert shape(found) == [(4, 1), (2, 0)]

    def test_distance_counts_the_hole(self) -> None:
        (ring,) = clip_circle(PLATE, (0, 0), 15)
        assert ring.distance((0, 0)) == pytest.approx(-15)
        assert ring.distance((0, 18)) == pytest.approx(2)


def figure(low: float, high: float) -> st.SearchStrategy[float]:
    """Thousandths of a mm: edges that run along one another at 1e-7 mm are refused, see below."""
    return st.floats(low, high).map(lambda v: round(v, 3))


spot = st.tuples(figure(-40, 40), figure(-40, 40))
shapes = st.one_of(
    st.builds(
        lambda p, w, h, t: rotate(rectangle(w, h, centre=p, radius=2), t),
        spot,
        *[figure(5, 60)] * 2,
        figure(0, 90),
    ),
    st.builds(lambda p, r: circle(p, r), spot, figure(2, 40)),
    st.builds(lambda p, q, w: slot(p, (q[0] + 100, q[1]), w), spot, spot, figure(4, 40)),
    st.builds(
        lambda p, q, r: round_hull([(*p, r), (*q, r / 2), (60.0, 60.0, 3.0)]), spot, spot, figure(1, 15)
    ),
)
tens = st.integers(-3, 3).map(lambda n: 5.0 * n)
on_grid = st.one_of(
    st.builds(
        lambda x, y, w, h: rectangle(10.0 * w, 10.0 * h, centre=(x, y)), tens, tens, *[st.integers(1, 5)] * 2
    ),
    st.builds(lambda x, y, r: circle((x, y), 5.0 * r), tens, tens, st.integers(1, 4)),
    st.builds(lambda x, y: slot((x, y), (x + 20.0, y), 10.0), tens, tens),
)


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.tuples(shapes, shapes), st.tuples(on_grid, on_grid)))
def test_what_is_cut_and_what_is_common_make_the_whole(pair: tuple[Outline, Outline]) -> None:
    a, b = pair
    both = area(common(a, b))
    # a shared run nearer than TOUCH counts as one edge: 1e-7 mm over the length of the plate
    slack = 1e-7 * (a.length + b.length)
    assert area(cut(a, b)) + both == pytest.approx(a.area, abs=slack)
    assert area(cut(b, a)) + both == pytest.approx(b.area, abs=slack)
    assert area(join(a, b)) + both == pytest.approx(a.area + b.area, abs=slack)


@settings(max_examples=60, deadline=None)
@given(st.tuples(shapes, shapes), spot)
def test_a_point_is_in_the_result_its_sides_say(
    pair: tuple[Outline, Outline], p: tuple[float, float]
) -> None:
    a, b = Region(pair[0]), Region(pair[1])
    if min(abs(a.distance(p)), abs(b.distance(p))) < 1e-6:
        return
    in_a, in_b = a.distance(p) > 0, b.distance(p) > 0
    for verb, wanted in ((cut, in_a and not in_b), (common, in_a and in_b), (join, in_a or in_b)):
        assert any(r.distance(p) > 0 for r in verb(a, b)) is wanted


@settings(max_examples=60, deadline=None)
@given(st.tuples(on_grid, on_grid))
def test_results_are_outlines_that_pass_their_own_check(pair: tuple[Outline, Outline]) -> None:
    for verb in (cut, common, join):
        for region in verb(*pair):
            assert outline(region.outer.segments) == region.outer
            assert all(outline(h.segments) == h for h in region.holes)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: single(clip_circle(PLATE, (0, 0), 22), "seat"), "seat = 2 pieces, must be 1"),
    (lambda: single((), "seat"), "seat = 0 pieces, must be 1"),
    (lambda: single(clip_circle(PLATE, (0, 0), 5), "seat"), "seat = 1 piece with 1 holes, must have none"),
    (lambda: piece_at((), (0, 0)), "pieces left = 0, must be at least 1"),
    (
        lambda: loops([Line((0, 0), (5, 0)), Line((5, 0), (5, 5))]),
        "outlines do not close at (5, 5) mm: they run along one another nearer than 1e-07 mm there, move one",
    ),
]


@pytest.mark.parametrize(("make", "words"), REFUSED, ids=[words[:32] for _, words in REFUSED])
def test_what_makes_no_sense_is_refused_in_words(make: Callable[[], object], words: str) -> None:
    with pytest.raises(InputError) as refused:
        make()
    assert words in str(refused.value)


def test_edges_that_run_along_one_another_a_hair_apart_are_refused():
    """Found by the random pairs: two rounded squares 1.2e-7 mm apart, just over what counts as touching."""
    low = rectangle(5.0, 5.0, radius=2)
    high = rectangle(5.0, 5.0, centre=(0.0, 1.192092896e-07), radius=2)
    with pytest.raises(InputError, match="run along one another nearer than"):
        cut(low, high)


def _first_near(points: list[tuple[float, float]], p: tuple[float, float]) -> tuple[float, float]:
    """By looking at every point: what `Joints.snap` is to give."""
    return next((q for q in points if math.dist(p, q) <= SNAP), p)


@given(
    st.lists(
        st.tuples(*2 * [st.tuples(st.integers(-3, 3), st.integers(-25, 25))]),
        min_size=2,
        max_size=40,
    )
)
def test_a_meeting_point_is_the_first_one_near_enough_wherever_it_lies(
    steps: list[tuple[tuple[int, int], tuple[int, int]]],
) -> None:
    """Points on and about the borders of the squares by which they are found again, a tenth of SNAP apart."""
    joints = Joints([(0.0, 0.0)])
    for (column, x), (row, y) in steps:
        p = (column * CELL + x * SNAP / 10, row * CELL + y * SNAP / 10)
        before = list(joints.points)
        found = joints.snap(p)
        assert found == _first_near(before, p)
        assert joints.points == (before if found in before else [*before, p])
