"""Plates cut by a round tube at a slant: the oval, its length, what is left and its moments."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets.geometry.curve import NOTHING, Moments, Outline, moments, moments_of, outline
from brackets.geometry.ellipse import Ellipse
from brackets.geometry.ovals import cut_ellipse, moments_outside, oval_meets
from brackets.geometry.regions import clip_circle
from brackets.geometry.segments import Arc, Line
from brackets.geometry.shapes import circle, polygon, rectangle, rotate, round_hull, slot, translate

PLATE = rectangle(120, 80, radius=10)


def scale_of(o: Outline) -> float:
    whole = moments(o)
    return whole.ixx + whole.iyy


def assert_same(got: Moments, wanted: Moments, o: Outline, within: float) -> None:
    assert abs(got.area - wanted.area) <= within * o.area
    for g, w in ((got.ixx, wanted.ixx), (got.iyy, wanted.iyy), (got.ixy, wanted.ixy)):
        assert abs(g - w) <= within * scale_of(o)


def test_length_of_an_oval_agrees_with_the_series() -> None:
    a, b = 3.0, 2.0
    h = ((a - b) / (a + b)) ** 2
    # perimeter = pi (a + b) sum of binomial(1/2, n)^2 h^n, Abramowitz and Stegun 17.3.33 onwards (from memory)
    term, total = 1.0, 0.0
    for n in range(20):
        total += term * term * h**n
        term *= (0.5 - n) / (n + 1)
    assert Ellipse((1, 2), a, b, 40).length == pytest.approx(math.pi * (a + b) * total, rel=1e-14)


@pytest.mark.parametrize("b", [30.0, 10.0, 2.0, 0.5])
def test_length_of_part_of_an_oval_agrees_with_scipy(b: float) -> None:
    from scipy.special import ellipeinc

    t0, t1, m = 0.3, 2.9, 1 - (30 / b) ** 2
    wanted = b * (ellipeinc(t1, m) - ellipeinc(t0, m))
    assert Ellipse((0, 0), 30, b).arc(t0, t1).length == pytest.approx(wanted, rel=1e-12)


def test_bounds_of_a_turned_oval() -> None:
    x = math.hypot(20 * math.cos(math.radians(30)), 8 * math.sin(math.radians(30)))
    y = math.hypot(20 * math.sin(math.radians(30)), 8 * math.cos(math.radians(30)))
    assert Ellipse((5, 6), 20, 8, 30).bounds == pytest.approx((5 - x, 6 - y, 5 + x, 6 + y), rel=1e-15)


def test_points_of_an_oval_stay_within_the_deflection() -> None:
    e = Ellipse((0, 0), 40, 10, 20)
    arc = e.arc(0.2, 1.9)
    points = arc.points(0.02)
    assert (points[0], points[-1]) == (arc.a, arc.b)
    for p, q in zip(points[:-1], points[1:], strict=True):
        middle = ((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)
        assert -0.02 <= e.gap(middle) <= 1e-12


def test_part_of_an_oval_is_the_same_curve() -> None:
    arc = Ellipse((3, 1), 40, 10, 20).arc(0.2, 1.9)
    part = arc.part(0.25, 0.75)
    assert part.point(0.5) == pytest.approx(arc.point(0.5), rel=1e-15)
    assert part.tangent(0.5) == pytest.approx(arc.tangent(0.5), rel=1e-14)
    assert part.reversed().curvature == pytest.approx(-arc.part(0.75, 1).curvature, rel=1e-14)


def test_points_of_a_whole_oval_do_not_repeat_the_first() -> None:
    points = Ellipse((0, 0), 40, 10).points(0.01)
    assert math.dist(points[0], points[-1]) > 0.1


class TestWhatIsLeft:
    def test_oval_beside_the_plate_changes_nothing(self) -> None:
        assert moments_outside(PLATE, Ellipse((200, 0), 30, 20, 15)) == moments(PLATE)

    def test_oval_round_the_plate_leaves_nothing(self) -> None:
        assert moments_outside(PLATE, Ellipse((0, 0), 120, 90, 5)) == NOTHING
        assert cut_ellipse(PLATE, Ellipse((0, 0), 120, 90, 5)) == ()

    def test_oval_within_the_plate_is_a_hole(self) -> None:
        e = Ellipse((10, -5), 30, 20, 15)
        assert_same(moments_outside(PLATE, e), moments(PLATE) - moments_of(e.loop), PLATE, 1e-15)
        (piece,) = cut_ellipse(PLATE, e)
        assert len(piece.holes) == 1
        assert sum(s.length for s in piece.cut_edges) == pytest.approx(e.length, rel=1e-14)

    def test_oval_over_the_edge_takes_half_of_itself(self) -> None:
        got = moments_outside(PLATE, Ellipse((0, 40), 30, 25, 0))
        assert got.area == pytest.approx(PLATE.area - math.pi * 30 * 25 / 2, rel=1e-15)

    def test_cut_edge_runs_with_the_metal_on_its_left(self) -> None:
        (piece,) = cut_ellipse(PLATE, Ellipse((0, 40), 30, 25, 0))
        (edge,) = piece.cut_edges
        assert edge.a == pytest.approx((30, 40))
        assert edge.b == pytest.approx((-30, 40))
        assert edge.sweep == pytest.approx(-math.pi)
        assert edge.point(0.5) == pytest.approx((0, 15))
        assert edge.tangent(0.5) == pytest.approx((-1, 0), abs=1e-15)

    def test_edges_of_a_piece_close_exactly(self) -> None:
        (piece,) = cut_ellipse(PLATE, Ellipse((50, 35), 30, 25, 20))
        for before, after in zip((piece.outer[-1], *piece.outer[:-1]), piece.outer, strict=True):
            assert before.b == after.a

    def test_oval_across_the_plate_leaves_two_and_keep_chooses(self) -> None:
        e = Ellipse((10, 0), 20, 60, 10)
        left, right = (moments_outside(PLATE, e, keep=(x, 0)) for x in (-50, 55))
        assert left.centroid[0] < 0 < right.centroid[0]
        assert left.area + right.area == pytest.approx(moments_outside(PLATE, e).area, rel=1e-14)

    def test_keep_outside_every_piece_takes_the_nearest(self) -> None:
        e = Ellipse((10, 0), 20, 60, 10)
        assert moments_outside(PLATE, e, keep=(400, 7)) == moments_outside(PLATE, e, keep=(55, 0))
        assert moments_outside(PLATE, e, keep=(-12, 0)) == moments_outside(PLATE, e, keep=(-50, 0))

    def test_plate_with_a_hole_keeps_it(self) -> None:
        (drilled,) = clip_circle(PLATE, (-40, 0), 6)
        got = moments_outside(drilled, Ellipse((30, 40), 20, 15, 0))
        assert got.area == pytest.approx(PLATE.area - 36 * math.pi - 150 * math.pi, rel=1e-14)

    def test_oval_through_a_hole_cuts_to_its_rim(self) -> None:
        (drilled,) = clip_circle(PLATE, (0, 0), 10)
        whole = clip_circle(PLATE, (0, 0), 10)[0].area
        e = Ellipse((0, 0), 20, 10, 30)
        got = moments_outside(drilled, e).area
        assert got == pytest.approx(whole - (e.area - math.pi * 100), rel=1e-12)  # touches the rim twice


class TestTouching:
    def test_oval_touching_one_edge_from_inside_leaves_it_whole(self) -> None:
        e = Ellipse((0, 20), 30, 20, 0)
        (piece,) = cut_ellipse(PLATE, e)
        assert piece.moments.area == pytest.approx(PLATE.area - e.area, rel=1e-14)

    def test_oval_touching_one_edge_from_outside_changes_nothing(self) -> None:
        assert moments_outside(PLATE, Ellipse((0, 60), 30, 20, 0)).area == pytest.approx(
            PLATE.area, rel=1e-15
        )

    @pytest.mark.parametrize("angle", [0.0, 33.0, 90.0])
    def test_oval_touching_a_circle_from_inside_twice_parts_it(self, angle: float) -> None:
        e = Ellipse((0, 0), 20, 10, angle)
        found = cut_ellipse(circle((0, 0), 20), e)
        assert [p.moments.area for p in found] == pytest.approx([100 * math.pi] * 2, rel=1e-13)

    @pytest.mark.parametrize("angle", [0.0, 33.0, 90.0])
    def test_circle_of_the_tightest_bend_lies_inside_the_oval(self, angle: float) -> None:
        way = math.radians(angle)
        inner = circle((15 * math.cos(way), 15 * math.sin(way)), 5)
        assert cut_ellipse(inner, Ellipse((0, 0), 20, 10, angle)) == ()

    @pytest.mark.parametrize("near", [0.0, 1e-10, -1e-10, 1e-8, -1e-8, 1e-6, -1e-6, 1e-4, -1e-4])
    def test_oval_as_wide_as_the_plate_takes_its_area_whichever_way_it_falls(self, near: float) -> None:
        e = Ellipse((0, 0), 25, 15 + near, 0)
        got = moments_outside(rectangle(60, 30), e).area
        over = 0.0
        if near > 0:
            half = math.acos(15 / (15 + near))
            over = 2 * 25 * (15 + near) * (half - math.sin(half) * math.cos(half))
        assert got == pytest.approx(1800 - e.area + over, abs=1e-7)

    def test_round_tube_along_a_rounded_corner_follows_it(self) -> None:
        got = cut_ellipse(PLATE, Ellipse((50, 30), 10, 10, 77))
        assert sum(p.moments.area for p in got) == pytest.approx(PLATE.area - math.pi * 100, rel=1e-14)


def test_line_meets_an_oval_twice_on_it() -> None:
    e = Ellipse((3, 4), 20, 9, 25)
    got = oval_meets(Line((-40, -10), (50, 20)), e)
    assert len(got) == 2
    assert max(abs(e.gap(p)) for p in got) < 1e-14


def test_circle_meets_an_oval_up_to_four_times_on_both() -> None:
    e = Ellipse((1, -1), 30, 12, 40)
    arcs = circle((0, 0), 20).segments
    got = {p for s in arcs for p in oval_meets(s, e)}
    assert len(got) == 4
    assert max(abs(e.gap(p)) for p in got) < 1e-13
    assert max(abs(math.hypot(*p) - 20) for p in got) < 1e-13


angle = st.floats(-180, 180)
spot = st.tuples(st.floats(-50, 50), st.floats(-50, 50))
plates = st.one_of(
    st.builds(
        lambda w, h, t: rotate(rectangle(w, h, radius=4), t), st.floats(10, 100), st.floats(10, 100), angle
    ),
    st.builds(
        lambda x, y, w: slot((0.0, 0.0), (x, y), w), st.floats(10, 60), st.floats(-60, 60), st.floats(5, 40)
    ),
    st.builds(
        lambda p, r: round_hull([(0.0, 0.0, r), (*p, 5.0), (40.0, -30.0, 0.0)]), spot, st.floats(1, 20)
    ),
)
ovals = st.builds(Ellipse, spot, st.floats(3, 60), st.floats(3, 60), angle)


@settings(max_examples=80, deadline=None)
@given(plates, spot, st.floats(2, 60), angle)
def test_round_oval_agrees_with_the_circle_cut(
    o: Outline, centre: tuple[float, float], r: float, turn: float
) -> None:
    wanted = sum((region.moments for region in clip_circle(o, centre, r)), NOTHING)
    assert_same(moments_outside(o, Ellipse(centre, r, r, turn)), wanted, o, 1e-12)


@settings(max_examples=60, deadline=None)
@given(st.lists(spot, min_size=3, max_size=6, unique=True), ovals)
def test_stretching_an_oval_cut_gives_a_circle_cut(points: list[tuple[float, float]], e: Ellipse) -> None:
    o = round_hull(
        [*((x, y, 0.0) for x, y in points), (70.0, 0.0, 0.0), (0.0, 70.0, 0.0), (-70.0, -60.0, 0.0)]
    )
    own = translate(rotate(o, -e.angle, about=e.centre), -e.centre[0], -e.centre[1])
    q = e.b / e.a
    stretched = outline([Line((s.a[0], s.a[1] / q), (s.b[0], s.b[1] / q)) for s in own.segments])
    k = sum((region.moments for region in clip_circle(stretched, (0, 0), e.a)), NOTHING)
    wanted = Moments(k.area * q, (0.0, 0.0), k.ixx * q**3, k.iyy * q, k.ixy * q * q)
    assert_same(moments_outside(own, Ellipse((0, 0), e.a, e.b)), wanted, own, 1e-12)


def _left_of_disc_by_slices(r: float, e: Ellipse) -> tuple[float, float, float]:
    """Area, ixx, iyy of a disc about the origin less an upright oval, by integrating heights over x."""
    from scipy.integrate import quad

    def taken(x: float) -> tuple[float, float, float]:
        top = math.sqrt(max(0.0, r * r - x * x))
        u = (x - e.centre[0]) / e.a
        half = e.b * math.sqrt(max(0.0, 1 - u * u))
        lo, hi = max(-top, e.centre[1] - half), min(top, e.centre[1] + half)
        return (hi - lo, (hi**3 - lo**3) / 3, x * x * (hi - lo)) if hi > lo and half > 0 else (0.0, 0.0, 0.0)

    marks = [
        -r,
        r,
        e.centre[0] - e.a,
        e.centre[0] + e.a,
        *(p[0] for s in circle((0, 0), r).segments for p in oval_meets(s, e)),
    ]
    marks = sorted(m for m in marks if -r <= m <= r)
    sums = [0.0, 0.0, 0.0]
    for lo, hi in zip(marks[:-1], marks[1:], strict=True):
        if hi - lo < 1e-9:
            continue
        middle, half = (lo + hi) / 2, (hi - lo) / 2
        for k in range(3):
            # x = middle + half sin t takes the square roots at the ends away
            sums[k] += quad(
                lambda t, k=k, m=middle, h=half: taken(m + h * math.sin(t))[k] * h * math.cos(t),
                -math.pi / 2,
                math.pi / 2,
                epsabs=1e-11,
                epsrel=1e-12,
            )[0]
    return math.pi * r * r - sums[0], math.pi * r**4 / 4 - sums[1], math.pi * r**4 / 4 - sums[2]


@pytest.mark.parametrize(
    "e",
    [
        Ellipse((20, 5), 30, 12),
        Ellipse((0, 0), 50, 20),
        Ellipse((-10, 30), 15, 25),
        Ellipse((25, 0), 6, 60),
        Ellipse((38, 1), 9, 4),
    ],
    ids=str,
)
def test_disc_less_oval_agrees_with_slices(e: Ellipse) -> None:
    got = moments_outside(circle((0, 0), 40), e)
    wanted = _left_of_disc_by_slices(40, e)
    size = math.pi * 40**4 / 2
    assert got.area == pytest.approx(wanted[0], abs=1e-11 * math.pi * 1600)
    assert (got.ixx, got.iyy) == pytest.approx(wanted[1:], abs=1e-11 * size)


@settings(max_examples=40, deadline=None)
@given(plates, ovals)
def test_half_turn_of_plate_and_oval_together_changes_no_area(o: Outline, e: Ellipse) -> None:
    turned, back = rotate(o, 180, about=e.centre), Ellipse(e.centre, e.a, e.b, e.angle + 180)
    assert moments_outside(turned, back).area == pytest.approx(moments_outside(o, e).area, abs=1e-11 * o.area)


def test_polygon_and_arc_plates_agree_when_the_arc_is_fine() -> None:
    o = outline([Arc((40, 0), (-40, 0), (0, 0)), Line((-40, 0), (40, 0))])
    fine = polygon(o.points(1e-4))
    e = Ellipse((10, 30), 30, 15, 25)
    assert moments_outside(fine, e).area == pytest.approx(moments_outside(o, e).area, abs=1e-4 * o.length)
