"""Bent tubes: what the bender is set to, the closed form, and the solid."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.vectors import dot, length, sub
from brackets.kernel.measure import volume_properties
from brackets.kernel.solids import shape
from brackets.model.bent_tube import bends, centre_length, check_bent, cut_length, frames, straights
from brackets.model.mass_of_tube import arc, bent_tube_moments, ring
from brackets.model.tube import BentTube, TubeEnd

Z_BEND = BentTube(
    name="z",
    od=38,
    wall=3,
    bend_r=90,
    points=((0, 0, 0), (0, 0, 200), (180, 40, 330), (150, 300, 400)),
    start=TubeEnd(kind="saddle", angle=60, r=25, clock=40, offset=3),
    end=TubeEnd(kind="plane", angle=70, clock=10),
)
ELBOW = BentTube(name="elbow", od=38, wall=3, bend_r=100, points=((0, 0, 0), (0, 0, 200), (300, 0, 200)))


def test_an_elbow_is_as_long_as_its_straights_and_a_quarter_turn() -> None:
    # 100 + 200 straight, 100 pi / 2 round
    assert centre_length(ELBOW) == pytest.approx(300 + 50 * math.pi)
    [bend] = bends(ELBOW)
    assert (bend.angle, bend.start, bend.end) == pytest.approx((90, 100, 100 + 50 * math.pi))
    assert bend.towards == 0


def test_the_volume_of_a_bend_is_area_times_centre_line() -> None:
    # Pappus
    assert bent_tube_moments(ELBOW).volume == pytest.approx(math.pi * (19**2 - 16**2) * centre_length(ELBOW))


def test_a_bend_of_a_vast_radius_is_a_straight() -> None:
    straight, bent = ring(19, 16, 100), arc(19, 16, 1e5, math.degrees(100 / 1e5))
    assert bent.volume == pytest.approx(straight.volume)
    assert bent.zz == pytest.approx(straight.xx)
    assert bent.yy == pytest.approx(straight.zz, rel=1e-5)


def test_second_bend_square_to_the_first_is_turned_by_90() -> None:
    tube = replace(ELBOW, points=((0, 0, 0), (0, 0, 200), (300, 0, 200), (300, 300, 200)))
    first, second = bends(tube)
    assert first.turn == 0
    assert abs(second.turn) == pytest.approx(90)


def test_a_bend_back_in_the_same_plane_is_turned_by_180() -> None:
    tube = replace(ELBOW, points=((0, 0, 0), (0, 0, 200), (300, 0, 200), (300, 0, 500)))
    assert abs(bends(tube)[1].turn) == pytest.approx(180)


def test_the_clock_line_is_carried_without_twist() -> None:
    # in a plane bend the line square to the plane stays square to it
    first, second = frames(ELBOW.points, Place())
    assert second.up == pytest.approx(first.up)
    assert dot(second.axis, (1, 0, 0)) == pytest.approx(1)


def test_straights_meet_bends_at_their_tangent_marks() -> None:
    lines = straights(Z_BEND)
    for corner, before, after in zip(Z_BEND.points[1:-1], lines, lines[1:], strict=False):
        end = before.place.point((0.0, 0.0, before.length))
        assert length(sub(end, corner)) == pytest.approx(length(sub(after.place.at, corner)))


def test_cut_length_reaches_over_both_long_points() -> None:
    mitred = replace(ELBOW, start=TubeEnd(kind="plane", angle=45), end=TubeEnd(kind="plane", angle=45))
    assert cut_length(mitred) == pytest.approx(centre_length(ELBOW) + 2 * 19)


@pytest.mark.parametrize("tube", [Z_BEND, Z_BEND.mirrored(), ELBOW], ids=["z", "other hand", "elbow"])
def test_solid_and_closed_form_agree(tube: BentTube) -> None:
    wanted = bent_tube_moments(tube).mass(1e9)
    volume, centroid, inertia = volume_properties(shape(replace(tube, place=Place())))
    assert volume == pytest.approx(wanted.kg, rel=1e-9)
    assert centroid == pytest.approx(wanted.centroid, abs=1e-6)
    assert inertia == pytest.approx(wanted.inertia, abs=1e-9 * wanted.inertia.trace())


def test_a_corner_of_half_a_degree_is_a_bend_and_one_of_a_ten_millionth_is_none() -> None:
    half = math.radians(0.5)
    leaning = (300 * math.sin(half), 0, 200 + 300 * math.cos(half))
    check_bent(replace(ELBOW, points=((0, 0, 0), (0, 0, 200), leaning)))
    with pytest.raises(InputError, match="bend 1 = "):
        check_bent(replace(ELBOW, points=((0, 0, 0), (0, 0, 200), (5e-7, 0, 500))))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"bend_r": 19.0}, "bend_r = 19"),
        ({"points": ((0, 0, 0), (0, 0, 200))}, "three or more"),
        ({"points": ((0, 0, 0), (0, 0, 200), (0, 0, 400))}, "bend 1 = 0 deg"),
        ({"points": ((0, 0, 0), (0, 0, 90), (300, 0, 90))}, "straight 1"),
        ({"points": ((0, 0, 1), (0, 0, 200), (300, 0, 200))}, r"points = \(0, 0, 1\), \(0, 0, 200\): the origin"),
        ({"points": ((0, 0, 0), (0, 0, 0), (300, 0, 200))}, "two that are one"),
        ({"points": ((0, 0, 0), (0, 0, 130), (300, 0, 130)), "start": TubeEnd(kind="saddle", r=40)}, "its cut"),
        ({"end": TubeEnd(kind="saddle", r=0)}, "end r"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_bent_tube_that_cannot_be_made_is_refused(wrong: dict[str, object], said: str) -> None:
    with pytest.raises(InputError, match=said):
        check_bent(replace(ELBOW, **wrong))  # type: ignore[arg-type]
