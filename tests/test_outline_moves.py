"""Moving, turning, mirroring and scaling outlines; polylines with bulges and drawn paths."""

from __future__ import annotations

import math

import pytest

from brackets.core.errors import InputError
from brackets.geometry.curve import outline, svg_path, swept_corners
from brackets.geometry.regions import clip_circle, single
from brackets.geometry.segments import Arc
from brackets.geometry.shapes import (
    circle,
    mirror_x,
    mirror_y,
    polygon,
    rectangle,
    rotate,
    round_hull,
    scale,
    slot,
    translate,
)

ODD = single(clip_circle(polygon([(0, 0), (50, 0), (70, 40), (10, 30)], 6), (35, 38), 9), "bitten plate")


def test_mirrored_twice_is_the_same() -> None:
    assert mirror_x(mirror_x(ODD)) == ODD
    assert mirror_y(mirror_y(ODD)) == ODD


def test_mirrored_plate_is_anticlockwise_and_passes_its_check() -> None:
    flipped = mirror_x(ODD)
    assert flipped.area == ODD.area
    assert outline(flipped.segments) == flipped
    assert flipped.bounds[0] == -ODD.bounds[2]


def test_four_quarter_turns_are_exact() -> None:
    o = ODD
    for _ in range(4):
        o = rotate(o, 90)
    assert o == ODD
    assert rotate(rectangle(4, 2), -90).bounds == (-1, -2, 1, 2)


def test_turn_about_a_point_leaves_it() -> None:
    assert rotate(circle((7, 8), 3), 37, about=(7, 8)).bounds == pytest.approx((4, 5, 10, 11))


def test_scale_multiplies_area_by_its_square() -> None:
    assert scale(ODD, 3, about=(5, 5)).area == pytest.approx(9 * ODD.area, rel=1e-14)


def test_shift_moves_the_bounds() -> None:
    assert translate(slot((0, 0), (10, 0), 4), 5, -1).bounds == (3, -3, 17, 1)


@pytest.mark.parametrize("factor", [0.0, -2.0, math.nan])
def test_scale_must_be_over_0(factor: float) -> None:
    with pytest.raises(InputError, match=r"scale = .*, must be over 0"):
        scale(ODD, factor)


@pytest.mark.parametrize(
    "f",
    [lambda p: (2 * p[0], p[1]), lambda p: (p[0] + 0.2 * p[1], p[1]), lambda p: (0.0, 0.0)],
    ids=["squash", "shear", "nothing"],
)
def test_map_must_keep_circles_round(f: object) -> None:
    with pytest.raises(
        InputError, match="squashes or shears, must only shift, turn, mirror and scale evenly"
    ):
        ODD.map(f)  # type: ignore[arg-type]


def test_half_a_circle_sweeps_180_degrees_and_a_line_none() -> None:
    assert swept_corners(slot((0, 0), (10, 0), 4)) == (
        (0, -2, 0),
        (10, -2, pytest.approx(180)),
        (10, 2, 0),
        (0, 2, pytest.approx(180)),
    )


def test_sweeps_draw_the_same_arcs() -> None:
    vertices = swept_corners(ODD)
    for s, (x, y, sweep), (u, v, _) in zip(ODD.segments, vertices, (*vertices[1:], vertices[0]), strict=True):
        chord = math.dist((x, y), (u, v))
        if isinstance(s, Arc):
            assert chord / (2 * math.sin(math.radians(abs(sweep)) / 2)) == pytest.approx(s.radius, rel=1e-12)
            assert (sweep > 0) is s.ccw
        else:
            assert sweep == 0


def test_path_turns_y_down() -> None:
    path = svg_path(single(clip_circle(rectangle(40, 20), (0, 10), 5), "seat"))
    assert path == "M -20 10 L 20 10 L 20 -10 L 5 -10 A 5 5 0 0 1 -5 -10 L -20 -10 L -20 10 Z"


def test_path_of_the_long_way_round_says_so() -> None:
    belt = round_hull([(0, 0, 20), (60, 0, 5)])
    assert "A 20 20 0 1 0" in svg_path(belt)
    assert "A 5 5 0 0 0" in svg_path(belt)
