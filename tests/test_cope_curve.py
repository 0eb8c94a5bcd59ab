"""End curves against worked values, against the geometry they stand for, and what is refused."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackets.core.errors import InputError
from brackets.model.cope import ENDS, check_tube, contour, contours, corner_lines, end_curve, points
from brackets.model.tube import Tube, TubeEnd

SADDLES: dict[str, Any] = {
    "branch_r": st.floats(5, 40),
    "main_r": st.floats(0, 60),
    "angle": st.floats(15, 90),
    "share": st.floats(-1, 1),
}


@pytest.mark.parametrize(
    ("branch_r", "phi", "z"),
    [
        *((20, 0, 25.0), (20, 45, 20.6155), (20, 90, 15.0)),
        *((17, 0, 25.0), (17, 45, 21.9203), (17, 90, 18.3303)),
    ],
)
def test_worked_saddle(branch_r: float, phi: float, z: float) -> None:
    # z = sqrt(25^2 - (r sin phi)^2), worked by hand for 20/17 on R 25 square on
    assert end_curve(phi, branch_r=branch_r, main_r=25, angle=90) == pytest.approx(z, abs=5e-5)


@pytest.mark.parametrize(("angle", "depth"), [(90, 10.7774), (60, 25.2138)])
def test_depth_of_a_cope_of_38_1_on_44_45(angle: float, depth: float) -> None:
    # own derivation, read off at whole degrees (between them the deepest at 60 is 25.2141)
    z = end_curve(np.arange(0, 360), branch_r=19.05, main_r=22.225, angle=angle)
    assert z.max() - z.min() == pytest.approx(depth, abs=5e-5)


@given(phi=st.floats(-720, 720), **SADDLES)
def test_a_point_of_the_curve_lies_on_the_main_tube_or_on_the_plane_behind_it(
    phi: float, branch_r: float, main_r: float, angle: float, share: float
) -> None:
    offset, a = share * main_r, math.radians(angle)
    z = end_curve(phi, branch_r=branch_r, main_r=main_r, angle=angle, offset=offset)
    x, y = branch_r * math.cos(math.radians(phi)), branch_r * math.sin(math.radians(phi))
    above = -x * math.cos(a) + z * math.sin(a)
    aside = y - offset
    if abs(aside) <= main_r:
        assert math.hypot(above, aside) == pytest.approx(main_r, abs=1e-6)
        assert above >= -1e-9
    else:
        assert above == pytest.approx(0, abs=1e-9 * (branch_r + main_r) / math.sin(a))


@given(**SADDLES)
def test_arrays_and_numbers_give_the_same(branch_r: float, main_r: float, angle: float, share: float) -> None:
    phi = np.linspace(0, 360, 73)
    many = end_curve(phi, branch_r=branch_r, main_r=main_r, angle=angle, offset=share * main_r)
    one = [end_curve(float(p), branch_r=branch_r, main_r=main_r, angle=angle, offset=share * main_r) for p in phi]
    assert many == pytest.approx(one, abs=1e-6)  # square root of a rounding where the branch just overhangs


@given(**SADDLES)
def test_the_acute_side_of_a_central_cope_is_its_short_point(
    branch_r: float, main_r: float, angle: float, share: float
) -> None:
    z = end_curve(np.arange(360.0), branch_r=branch_r, main_r=main_r, angle=angle)
    assert z[0] >= z.max() - 1e-9


def test_main_radius_zero_is_a_plane() -> None:
    z = end_curve(np.array([0.0, 90.0, 180.0]), branch_r=10, main_r=0, angle=45)
    assert z == pytest.approx([10, 0, -10])


def test_offset_moves_the_deep_side_towards_90() -> None:
    z = end_curve(np.array([90.0, 270.0]), branch_r=15, main_r=20, angle=90, offset=10)
    assert z[0] == pytest.approx(math.sqrt(20**2 - 5**2))
    assert z[1] == 0.0


@pytest.mark.parametrize(
    "wrong",
    [
        {"branch_r": 0},
        {"branch_r": math.nan},
        {"main_r": -1},
        {"angle": 0},
        {"angle": 91},
        {"offset": math.inf},
    ],
    ids=str,
)
def test_values_that_make_no_curve_are_refused(wrong: dict[str, float]) -> None:
    values: dict[str, Any] = {"branch_r": 10.0, "main_r": 20.0, "angle": 60.0, "offset": 0.0} | wrong
    with pytest.raises(InputError, match=f"{next(iter(wrong))} = "):
        end_curve(0.0, **values)


def test_an_end_that_is_cut_twice_follows_the_deeper_cut() -> None:
    flat, saddle = TubeEnd(shift=5), TubeEnd(kind="saddle", r=10)
    tube = Tube(name="t", od=30, wall=2, length=100, start=saddle, start_also=(flat,))
    assert contour(tube, "start", 0, 15) == 10
    assert contour(tube, "start", 90, 15) == 5


SIDED = TubeEnd(kind="saddle", angle=62.0, r=15.0, offset=8.0, clock=37.3)
"""A branch of 38 by 3 hangs over a main tube of 30, 8 to the side: by 23 of 19 on one side, by 7 on the other."""


def test_the_corners_of_a_cope_are_where_it_leaves_the_main_tube() -> None:
    """asin(-7 / 19) and asin(-7 / 16), and as far from 180; the two ends' clocks run apart."""
    tube = Tube(name="t", od=38, wall=3, length=200, start=SIDED, end=SIDED)
    lies = [math.degrees(math.asin(-7 / r)) for r in (19, 16)]
    phis = sorted(phi for one in lies for phi in (one, 180 - one))
    assert sorted(corner_lines(tube, "start")) == pytest.approx([37.3 + phi for phi in phis])
    assert sorted(corner_lines(tube, "end"), reverse=True) == pytest.approx([37.3 - phi for phi in phis])


def test_short_and_long_point_are_looked_up_to_a_tenth_of_a_degree() -> None:
    tube = Tube(name="t", od=38, wall=3, length=200, start=SIDED, end=SIDED)
    for which in ENDS:
        every = np.arange(0, 360, 0.01)
        back = contours(tube, which, every, 19.0)
        short, long = points(tube, which)
        assert back.max() - contour(tube, which, short, 19.0) < 1e-3
        assert contour(tube, which, long, 19.0) - back.min() < 1e-3
        assert short == pytest.approx(every[back.argmax()], abs=0.1)
        assert long == pytest.approx(every[back.argmin()], abs=0.1)


def test_a_tube_whose_two_cuts_just_meet_is_refused() -> None:
    def tube(shift: float) -> Tube:
        return Tube(name="t", od=30, wall=2, length=100, start=TubeEnd(shift=50), end=TubeEnd(shift=shift))

    check_tube(tube(49.75))
    with pytest.raises(InputError, match="length = 100 mm, must be more than 100 mm"):
        check_tube(tube(50))
