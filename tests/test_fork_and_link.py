"""Fork on bosses and link between two bushes: the figures they are cut by, and what is refused of them."""

from __future__ import annotations

import math
from typing import Any

import pytest

from brackets import recipe
from brackets.core.errors import InputError
from brackets.core.vectors import Vec, dot, length, sub, unit
from brackets.model.mass import solid_moments
from brackets.model.part import Part
from brackets.model.plate import Plate


def made(name: str, **values: Any) -> Part:
    opened = recipe(name)
    return opened.build(opened.Params(**values))


def refused(name: str, **values: Any) -> str:
    with pytest.raises(InputError) as caught:
        recipe(name).Params(**values)
    return " | ".join(caught.value.problems)


def lowest(part: Part, name: str, normal: Vec) -> list[float]:
    """Height along `normal` of the foot's corners of an ear, its low face first."""
    ear = part.piece(name)
    assert isinstance(ear, Plate)
    corners = [segment.a for segment in ear.wall.outline.segments]
    return [min(dot(ear.place.point((*at, z)), unit(normal)) for at in corners) for z in (0.0, ear.t)]


def test_the_ears_of_a_fork_stand_on_its_plate_with_the_bush_at_its_centre() -> None:
    """Bosses at x = -170, plate 8: ears from x = -162 up; the bush at -116 is 46 over it."""
    part = made("fork")
    for name in ("ear_front", "ear_rear"):
        assert lowest(part, name, (1.0, 0.0, 0.0)) == pytest.approx([-162.0, -162.0])
    assert part.seat("bush").place.at == (-116.0, 120.0, 104.0)
    assert part.seat("boss_2").place.at == pytest.approx((-170.0, 190.0, 100.0))
    assert part.seat("boss_2").place.axis == pytest.approx((-1.0, 0.0, 0.0))


@pytest.mark.parametrize("turn", [0.0, 30.0, 90.0, 200.0])
def test_the_bush_may_point_any_way_along_the_plate(turn: float) -> None:
    axis = (0.0, math.cos(math.radians(turn)), math.sin(math.radians(turn)))
    bosses = ((-170.0, 40.0, 100.0), (-170.0, 200.0, 100.0), (-170.0, 120.0, 20.0), (-170.0, 120.0, 188.0))
    part = made("fork", bush_axis=axis, bosses=bosses)
    front = part.piece("ear_front")
    assert front.place.axis == pytest.approx(axis)
    middle = sub(front.place.at, part.seat("bush").place.at)
    assert dot(middle, axis) == pytest.approx(46.5 / 2)
    assert lowest(part, "ear_front", (1.0, 0.0, 0.0)) == pytest.approx([-162.0, -162.0])


@pytest.mark.parametrize("up", [1.0, -1.0])
def test_an_ear_on_a_leaning_axis_touches_with_one_side_and_is_welded_there(up: float) -> None:
    """1 in 10 under an ear of 6: its other side is 0.6 off along itself, 0.6 cos of the slope over the plate."""
    part = made("fork", bush_axis=(up, 10.0, 0.0))
    slope = math.atan(0.1)
    for name in ("ear_front", "ear_rear"):
        sides = lowest(part, name, (1.0, 0.0, 0.0))
        low, high = sides if up > 0 else sides[::-1]
        assert low == pytest.approx(-162.0)
        assert high - low == pytest.approx(6 * math.sin(slope))
    assert [(w.piece, w.edge.face) for w in part.welds] == [  # type: ignore[union-attr]
        ("ear_front", "low" if up > 0 else "high"),
        ("ear_rear", "low" if up > 0 else "high"),
    ]


def test_a_boss_that_stands_lower_gets_a_washer_as_thick() -> None:
    part = made("fork", bosses=((-170.0, 50.0, 100.0), (-173.5, 190.0, 100.0)))
    assert [p.name for p in part.pieces] == ["plate", "ear_front", "ear_rear", "washer_boss_2"]
    assert part.piece("washer_boss_2").steps[0].length == pytest.approx(3.5)  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("values", "said"),
    [
        # atan(1.6 / 6) = 14.9
        ({"bush_axis": (3.0, 10.0, 0.0)}, "bush_axis = 16.7 deg out of the plate, 14.9 or less: an ear 6 thick"),
        ({"bush_axis": (1.0, 0.0, 0.0)}, "bush_axis = 90.0 deg out of the plate"),
        ({"bush": (-160.0, 120.0, 104.0)}, "bush = 2.0 mm over the plate at an ear, 9.05 or more"),
        ({"ear_r": 12.0, "bolt": "M20"}, "ear_r = 12 mm, 13.05 mm or more"),
        ({"bosses": ((-170.0, 50.0, 100.0), (-120.0, 190.0, 100.0))}, "bosses = 50 mm apart in height, 40 or less"),
        ({"bosses": ((-170.0, 50.0, 100.0), (-170.0, 690.0, 100.0))}, "bosses = further than 500 mm from the bush"),
        # the front ear's outer face is 29.25 from the bush: weld 5, washer 10
        ({"bosses": ((-170.0, 50.0, 100.0), (-170.0, 165.0, 100.0))}, "bosses = 0.8 mm from the washer of boss_2"),
        ({"boss_names": ("a",)}, "boss_names = 1, none or 2 different"),
    ],
)
def test_a_fork_that_cannot_be_is_refused_in_words(values: dict[str, Any], said: str) -> None:
    assert said in refused("fork", **values)


def test_a_link_is_as_long_as_its_bushes_are_apart() -> None:
    """260 along and 28 up: 261.5 centre to centre. A tube 25 x 2.5 coped to two eyes of radius 24: what a line
    of it at distance u from the plane of both axes loses at either end is the root of 24^2 - u^2."""
    part = made("link")
    one, two = part.seat("bush_1").place, part.seat("bush_2").place
    assert length(sub(two.at, one.at)) == pytest.approx(math.hypot(260, 28))
    rings, n = [10.0 + 2.5 * (i + 0.5) / 40 for i in range(40)], 72
    turns = [2 * math.pi * (i + 0.5) / n for i in range(n)]
    lost = [r * 2 * math.sqrt(24**2 - (r * math.sin(a)) ** 2) for r in rings for a in turns]
    volume = (math.hypot(260, 28) * sum(rings) * n - sum(lost)) * (2.5 / 40) * (2 * math.pi / n)
    assert solid_moments(part.piece("tube")).volume == pytest.approx(volume, rel=1e-4)
    assert {w.onto for w in part.welds} == {"eye_1", "eye_2"}


def test_the_eyes_of_a_link_follow_a_bush_each() -> None:
    part = made("link", bush_od_2=60.0, axis_2=(0.0, 1.0, 0.1))
    one, two = part.piece("eye_1"), part.piece("eye_2")
    assert [p.steps[0].od for p in (one, two)] == [48.0, 70.0]  # type: ignore[union-attr]
    assert [p.steps[0].bore for p in (one, two)] == [38.0, 60.0]  # type: ignore[union-attr]
    assert two.place.axis == pytest.approx(unit((0.0, 1.0, 0.1)))


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"bush_2": (-60.0, 120.0, 104.0)}, "bush_2 = 56.0 mm from bush_1, 63 or more"),
        ({"axis_1": (1.0, 0.5, 0.0)}, "axis_1 = 27.2 deg to the tube, 45 or more"),
        ({"eye_od_2": 39.0}, "eye_od_2 = 39 mm, 40 mm or more: a wall round the bush 38"),
        ({"tube": "50x3", "eye_length": 40.0}, "tube = 50x3, od 40 or less: it lands on the cup"),
    ],
)
def test_a_link_that_cannot_be_is_refused_in_words(values: dict[str, Any], said: str) -> None:
    assert said in refused("link", **values)
