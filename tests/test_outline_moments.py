"""Area, centroid and second moments of outlines against closed forms, written here independently."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets.geometry.curve import NOTHING, Moments, Outline, moments, moments_of, outline, unit_cap
from brackets.geometry.ellipse import Ellipse
from brackets.geometry.segments import Arc, Line, gauss
from brackets.geometry.shapes import circle, hexagon, polygon, rectangle, rotate, round_hull, slot, translate

ROUNDING = 1e-14
"""Relative: some tens of roundings of 1.1e-16."""


def assert_moments(got: Moments, wanted: Moments, within: float = ROUNDING) -> None:
    trace = wanted.ixx + wanted.iyy
    reach = math.sqrt(trace / wanted.area)
    assert abs(got.area - wanted.area) <= within * wanted.area
    assert math.dist(got.centroid, wanted.centroid) <= within * reach
    assert abs(got.ixx - wanted.ixx) <= within * trace
    assert abs(got.iyy - wanted.iyy) <= within * trace
    assert abs(got.ixy - wanted.ixy) <= within * trace


def test_rectangle_is_bh3_over_12() -> None:
    b, h = 40.0, 22.0
    assert_moments(moments(rectangle(b, h)), Moments(b * h, (0.0, 0.0), b * h**3 / 12, h * b**3 / 12, 0.0))


def test_rectangle_from_its_corner_has_b2h2_over_4_about_both_axes() -> None:
    b, h = 40.0, 22.0
    got = moments(rectangle(b, h, centre=(b / 2, h / 2)))
    assert_moments(got, Moments(b * h, (b / 2, h / 2), b * h**3 / 3, h * b**3 / 3, (b * h) ** 2 / 4))


def test_circle_is_pi_r4_over_4() -> None:
    r = 17.3
    quarter = math.pi * r**4 / 4
    assert_moments(moments(circle((0, 0), r)), Moments(math.pi * r * r, (0.0, 0.0), quarter, quarter, 0.0))


def test_hexagon_is_5_root_3_over_16_side4() -> None:
    flats = 24.0
    side = flats / math.sqrt(3)
    second = 5 * math.sqrt(3) / 16 * side**4
    got = moments(hexagon(flats, angle=17))
    assert_moments(got, Moments(math.sqrt(3) / 2 * flats**2, (0.0, 0.0), second, second, 0.0))


def test_slot_is_a_rectangle_and_two_half_circles() -> None:
    long, r = 30.0, 6.0
    half = math.pi * r * r / 2
    offset = 4 * r / (3 * math.pi)
    along = 2 * (math.pi * r**4 / 8 - half * offset**2 + half * (long / 2 + offset) ** 2)
    wanted = Moments(
        long * 2 * r + 2 * half,
        (0.0, 0.0),
        long * (2 * r) ** 3 / 12 + math.pi * r**4 / 4,
        2 * r * long**3 / 12 + along,
        0.0,
    )
    assert_moments(moments(slot((-long / 2, 0), (long / 2, 0), 2 * r)), wanted)


def test_rounded_rectangle_is_the_square_one_less_four_corners() -> None:
    b, h, r = 50.0, 30.0, 7.0
    corner = r * r - math.pi * r * r / 4
    # a corner about its square vertex: square r about it, less a quarter circle about the arc centre
    quarter = math.pi * r * r / 4
    q_first = r**3 / 3
    square_ix = r**4 / 3
    quarter_ix = math.pi * r**4 / 16 - 2 * r * q_first + quarter * r * r
    first = r**3 / 2 - (quarter * r - q_first)
    ix = square_ix - quarter_ix
    ixx = b * h**3 / 12 - 4 * (ix - 2 * (h / 2) * first + corner * (h / 2) ** 2)
    iyy = h * b**3 / 12 - 4 * (ix - 2 * (b / 2) * first + corner * (b / 2) ** 2)
    got = moments(rectangle(b, h, radius=r))
    assert_moments(got, Moments(b * h - 4 * corner, (0.0, 0.0), ixx, iyy, 0.0))


def test_circular_segment_matches_the_handbook_form() -> None:
    r, half = 12.0, 1.1
    chord = (r * math.cos(half), r * math.sin(half))
    o = outline([Arc((chord[0], -chord[1]), chord, (0.0, 0.0)), Line(chord, (chord[0], -chord[1]))])
    area = r * r * (half - math.sin(half) * math.cos(half))
    assert o.area == pytest.approx(area, rel=ROUNDING)
    far = 2 * r * math.sin(half) ** 3 / (3 * (half - math.sin(half) * math.cos(half)))
    assert moments(o).centroid[0] == pytest.approx(far, rel=ROUNDING)


def _exact_cap(half: Fraction) -> tuple[float, float, float, float]:
    """Cap of the unit circle about its chord by rational power series: no cancellation is possible."""
    sin = sum((-1) ** k * half ** (2 * k + 1) / math.factorial(2 * k + 1) for k in range(30))
    cos = sum((-1) ** k * half ** (2 * k) / math.factorial(2 * k) for k in range(30))
    area = half - sin * cos
    first = Fraction(2, 3) * sin**3 - cos * area
    out = area / 4 + sin**3 * cos / 2 - Fraction(4, 3) * cos * sin**3 + cos**2 * area
    across = area / 4 - sin**3 * cos / 6
    return float(area), float(first), float(out), float(across)


@pytest.mark.parametrize("half", ["1e-5", "0.001", "0.03", "0.4", "0.999", "1", "1.001", "1.5", "2.4", "3.1"])
def test_cap_is_exact_however_shallow(half: str) -> None:
    got, wanted = unit_cap(float(Fraction(half))), _exact_cap(Fraction(half))
    for g, w in zip(got, wanted, strict=True):
        # the half sweep itself is rounded once and enters as its 7th power
        assert g == pytest.approx(w, rel=3e-15)


def test_shallow_arc_on_a_long_radius_keeps_its_digits() -> None:
    r, chord = 1e6, 10.0
    sag = chord**2 / 8 / r
    up = math.sqrt(r * r - 25)
    arc = Arc((5.0, 0.0), (-5.0, 0.0), (0.0, -up))
    cap = moments_of([arc, Line((-5.0, 0.0), (5.0, 0.0))])
    # series of the segment area: 2/3 c h (1 + 4/5 (h/c)2 ...), the second term is 1e-12 of it
    assert cap.area == pytest.approx(2 / 3 * chord * sag, rel=1e-10)


@pytest.mark.parametrize("points", [4, 12, 24])
def test_gauss_points_integrate_powers_exactly(points: int) -> None:
    for power in range(0, 2 * points, 2):
        got = math.fsum(w * x**power for x, w in gauss(points))
        assert got == pytest.approx(2 / (power + 1), rel=1e-13)  # a dozen roundings a term


def test_whole_oval_is_pi_a_b() -> None:
    e = Ellipse((3.0, -2.0), 9.0, 4.0, 30.0)
    got = moments_of(e.loop)
    cos, sin = math.cos(math.radians(30)), math.sin(math.radians(30))
    area, u, v = math.pi * 36, 81 / 4, 16 / 4
    wanted = Moments(
        area,
        (3.0, -2.0),
        area * (u * sin**2 + v * cos**2 + 4),
        area * (u * cos**2 + v * sin**2 + 9),
        area * ((u - v) * sin * cos - 6),
    )
    assert_moments(got, wanted)


def test_clockwise_run_has_negative_area() -> None:
    o = rectangle(4, 3)
    backwards = [s.reversed() for s in reversed(o.segments)]
    assert moments_of(backwards).area == -12.0


def test_hole_comes_off_and_goes_back() -> None:
    plate, hole = moments(rectangle(60, 40)), moments(circle((12, 5), 8))
    drilled = plate - hole
    assert drilled.area == pytest.approx(2400 - math.pi * 64, rel=ROUNDING)
    assert drilled.centroid[0] == pytest.approx(-12 * math.pi * 64 / drilled.area, rel=1e-13)
    assert_moments(drilled + hole, plate)


def test_plate_less_itself_is_nothing() -> None:
    plate = moments(rectangle(60, 40))
    assert plate - plate == NOTHING


shapes = st.one_of(
    st.builds(
        lambda w, h, r: rectangle(w, h, radius=r * min(w, h) / 2),
        st.floats(1, 200),
        st.floats(1, 200),
        st.floats(0, 0.95),
    ),
    st.builds(lambda r: circle((0.0, 0.0), r), st.floats(0.5, 100)),
    st.builds(
        lambda x, y, w: slot((0.0, 0.0), (x, y), w), st.floats(5, 80), st.floats(-80, 80), st.floats(1, 40)
    ),
    st.builds(
        lambda a, b, c: round_hull([(0.0, 0.0, a), (60.0, 5.0, b), (20.0, 50.0, c)]),
        st.floats(0.5, 15),
        st.floats(0.5, 15),
        st.floats(0.5, 15),
    ),
)


@settings(max_examples=60, deadline=None)
@given(shapes, st.floats(-300, 300), st.floats(-300, 300))
def test_moved_plate_obeys_the_parallel_axis_rule(o: Outline, dx: float, dy: float) -> None:
    # moving rounds every corner to the spacing of floats out there, all round the edge
    spacing = math.ulp(max(abs(dx), abs(dy)) + 200) * o.length / o.area
    assert_moments(moments(translate(o, dx, dy)), moments(o).shift(dx, dy), ROUNDING + spacing)


@settings(max_examples=40, deadline=None)
@given(shapes, st.floats(-180, 180))
def test_turned_plate_keeps_its_polar_moment(o: Outline, angle: float) -> None:
    before, after = moments(o), moments(rotate(o, angle))
    assert after.ixx + after.iyy == pytest.approx(before.ixx + before.iyy, rel=1e-13)  # trig of the turn
    assert after.area == pytest.approx(before.area, rel=1e-13)


def test_central_moments_are_about_the_centroid() -> None:
    got = moments(rectangle(40, 22, centre=(100, -70))).central
    assert got.centroid == pytest.approx((0, 0), abs=1e-13)
    assert got.ixx == pytest.approx(40 * 22**3 / 12, rel=1e-12)  # 70**2 against 22**2 / 12 costs two digits


def test_triangle_far_from_the_origin_keeps_its_area() -> None:
    o = polygon([(1e5, 1e5), (1e5 + 3, 1e5), (1e5, 1e5 + 4)])
    assert o.area == 6.0
