"""Ends worked out from geometry give back the geometry they were worked out from."""

from __future__ import annotations

import math
from typing import Literal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.vectors import Vec, cross, dot, length, sub, unit
from brackets.model.cope import axis_of, end_at, plane_at, tube_place

numbers = st.floats(-200, 200).map(lambda v: round(v, 3))
points = st.tuples(numbers, numbers, numbers)
ends = st.sampled_from(["start", "end"])
End = Literal["start", "end"]


def _apart(a: Vec, b: Vec) -> bool:
    return length(sub(a, b)) > 1


def _sine(a: Vec, b: Vec) -> float:
    return length(cross(unit(a), unit(b)))


@given(points, points, points, points, ends)
def test_a_saddle_leads_back_to_the_axis_it_came_from(a: Vec, b: Vec, at: Vec, axis: Vec, which: End) -> None:
    assume(_apart(a, b) and length(axis) > 1 and _sine(sub(b, a), axis) > 0.05)
    tube = tube_place(a, b)
    met = end_at(tube, which, at=at, axis=axis, main_r=20)
    point, direction = axis_of(tube, met.cut, which, node=met.z)
    assert length(cross(sub(point, at), unit(axis))) < 1e-6
    assert length(cross(direction, unit(axis))) < 1e-9
    assert 0 < met.cut.angle <= 90


@given(points, points, points, points, ends)
def test_a_plane_leads_back_to_itself(a: Vec, b: Vec, at: Vec, normal: Vec, which: End) -> None:
    assume(_apart(a, b) and length(normal) > 1 and abs(dot(unit(sub(b, a)), unit(normal))) > 0.05)
    tube = tube_place(a, b)
    met = plane_at(tube, which, at=at, normal=normal)
    node = tube.point((0.0, 0.0, met.z))
    _, direction = axis_of(tube, met.cut, which, node=met.z)
    assert dot(sub(node, at), unit(normal)) == pytest.approx(0, abs=1e-6)
    assert dot(direction, unit(normal)) == pytest.approx(0, abs=1e-9)


def test_signs_of_the_start_are_those_of_the_piece() -> None:
    met = end_at(Place(), "start", at=(0, 4, 10), axis=(math.sin(1), 0, math.cos(1)), main_r=25)
    assert met.cut.angle == pytest.approx(math.degrees(1))
    assert met.cut.clock == 0
    assert met.cut.offset == pytest.approx(4)
    assert met.z == pytest.approx(10)


def test_signs_of_the_end_are_turned_over() -> None:
    # from the far node the body points along -z, so w cross c is -y for c = x
    met = end_at(Place(), "end", at=(0, 4, 90), axis=(math.sin(1), 0, -math.cos(1)), main_r=25)
    assert met.cut.clock == 0
    assert met.cut.offset == pytest.approx(-4)
    assert met.z == pytest.approx(90)


def test_rounding_does_not_make_a_square_cope_slanted() -> None:
    met = end_at(tube_place((0, 0, 0), (0.1, 0.2, 0.3)), "end", at=(0.3, 0.6, 0.9), axis=(2, -1, 0), main_r=9)
    assert met.cut.angle == 90
    assert met.cut.offset == 0


def test_a_tube_along_the_other_is_refused() -> None:
    with pytest.raises(InputError, match="parallel"):
        end_at(Place(), "start", at=(5, 0, 0), axis=(0, 0, -1), main_r=9)


def test_a_tube_along_the_plate_is_refused() -> None:
    with pytest.raises(InputError, match="normal"):
        plane_at(Place(), "start", at=(5, 0, 0), normal=(1, 0, 0))


def test_a_tube_needs_two_points() -> None:
    with pytest.raises(InputError, match="two points"):
        tube_place((1, 2, 3), (1, 2, 3))


@pytest.mark.parametrize(("lean", "up"), [(27, (0, 0, 1)), (25, (1, 0, 0)), (155, (1, 0, 0))])
def test_the_clock_line_of_a_tube_that_stands_within_a_cosine_of_nine_tenths_is_taken_from_x(
    lean: float, up: Vec
) -> None:
    along = (0.0, math.sin(math.radians(lean)), math.cos(math.radians(lean)))
    assert dot(tube_place((0, 0, 0), along).up, up) > 0.1
    assert tube_place((0, 0, 0), along) == tube_place((0, 0, 0), along, up=up)


@pytest.mark.parametrize("rounding", [1e-12, -1e-12])
def test_the_clock_of_a_square_cope_points_along_the_axis_whichever_way_it_is_rounded(rounding: float) -> None:
    assert end_at(Place(), "start", at=(0, 0, 0), axis=(1, 0, rounding), main_r=9).cut.clock == 0
    assert end_at(Place(), "start", at=(0, 0, 0), axis=(-1, 0, rounding), main_r=9).cut.clock == 180
