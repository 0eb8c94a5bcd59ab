"""Volumes and moments of tubes against closed forms and against an integral taken another way."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from brackets.core.errors import InputError
from brackets.model.cope import contour
from brackets.model.mass_of_tube import one_cut, tube_moments
from brackets.model.moments import Moments3
from brackets.model.tube import Tube, TubeEnd

R = 20.0


def _round_the_tube(tube: Tube, points: int = 1200) -> Moments3:
    """The moments by a plain sum over lines of the wall: Gauss in r^2, even steps round."""
    at, weight = np.polynomial.legendre.leggauss(12)
    low, high = (tube.bore / 2) ** 2, (tube.od / 2) ** 2
    sums = np.zeros(10)
    for square, w in zip((low + high + at * (high - low)) / 2, weight * (high - low) / 2, strict=True):
        r = math.sqrt(square)
        for k in range(points):
            theta = 360.0 * k / points
            a, b = contour(tube, "start", theta, r), tube.length - contour(tube, "end", theta, r)
            x, y = r * math.cos(math.radians(theta)), r * math.sin(math.radians(theta))
            area = w / 2 * 2 * math.pi / points
            one, two, three = (b - a) * area, (b**2 - a**2) / 2 * area, (b**3 - a**3) / 3 * area
            sums += (one, x * one, y * one, two, x * x * one, y * y * one, three, x * y * one, y * two, x * two)
    return Moments3.of_values(*sums)


def test_a_rod_coped_to_its_equal_loses_half_a_bicylinder() -> None:
    # bicylinder of r 20: 16 r^3 / 3 = 42666.67 (Archimedes)
    taken = one_cut(TubeEnd(kind="saddle", r=R), R, 0.0)
    assert 2 * taken.volume == pytest.approx(16 * R**3 / 3, rel=1e-14)


def test_a_slanted_rod_coped_to_its_equal_loses_more_by_the_sine() -> None:
    taken = one_cut(TubeEnd(kind="saddle", r=R, angle=30), R, 0.0)
    assert 2 * taken.volume == pytest.approx(16 * R**3 / 3 / math.sin(math.radians(30)), rel=1e-14)


def test_a_mitre_at_the_node_keeps_the_volume() -> None:
    tube = Tube(name="t", od=40, wall=3, length=150, start=TubeEnd(kind="plane", angle=35, clock=20))
    assert tube_moments(tube).volume == pytest.approx(math.pi * (20**2 - 17**2) * 150, rel=1e-14)


def test_a_square_tube_of_38_1_by_3_2() -> None:
    # 38.1 x 3.2 x 250, steel: 0.68855 kg, 211.43 kg mm2 about its axis (closed form)
    found = tube_moments(Tube(name="t", od=38.1, wall=3.2, length=250)).mass(7850)
    assert found.kg == pytest.approx(0.68855, abs=5e-6)
    assert found.inertia[2, 2] == pytest.approx(211.43, abs=5e-3)


@pytest.mark.parametrize(
    "ends",
    [
        {"start": TubeEnd(kind="saddle", angle=60, r=25, offset=4, clock=33)},
        {"end": TubeEnd(kind="saddle", angle=40, r=60, offset=-20, clock=250)},
        {"start": TubeEnd(kind="plane", angle=50, clock=5), "end": TubeEnd(kind="saddle", r=45, clock=77)},
    ],
    ids=["start", "end", "both"],
)
def test_smooth_copes_agree_with_a_plain_sum(ends: dict[str, TubeEnd]) -> None:
    tube = Tube(name="t", od=40, wall=3, length=300, **ends)
    found, plain = tube_moments(tube), _round_the_tube(tube)
    size = np.array([1, *[300.0] * 3, *[300.0**2] * 6]) * plain.volume
    assert np.abs(np.array(found.values()) - plain.values()) / size == pytest.approx(0, abs=1e-12)


def test_overhanging_copes_agree_with_a_plain_sum() -> None:
    tube = Tube(
        name="t",
        od=40,
        wall=3,
        length=300,
        start=TubeEnd(kind="saddle", angle=60, r=15, offset=4, clock=33),
        end=TubeEnd(kind="saddle", angle=75, r=20, offset=11, clock=100),
    )
    found, plain = tube_moments(tube), _round_the_tube(tube, 6000)
    # the plain sum is first order at the square-root corners
    assert found.values()[:4] == pytest.approx(plain.values()[:4], abs=1e-6 * found.volume * 300)


def test_an_end_cut_twice_by_one_cut_is_cut_once() -> None:
    cut = TubeEnd(kind="saddle", angle=60, r=22, offset=4, clock=33)
    once = Tube(name="t", od=40, wall=3, length=300, start=cut)
    deeper = TubeEnd(kind="saddle", angle=60, r=22, offset=4, clock=33, shift=-3)
    twice = Tube(name="t", od=40, wall=3, length=300, start=cut, start_also=(deeper,))
    assert tube_moments(twice).values() == pytest.approx(tube_moments(once).values(), rel=1e-10)


def test_two_cuts_agree_with_a_plain_sum() -> None:
    first = TubeEnd(kind="saddle", angle=60, r=25, clock=0)
    second = TubeEnd(kind="saddle", angle=50, r=25, clock=150)
    tube = Tube(name="t", od=40, wall=3, length=300, end=first, end_also=(second,))
    found, plain = tube_moments(tube), _round_the_tube(tube, 6000)
    assert found.values()[:4] == pytest.approx(plain.values()[:4], rel=1e-6)


def test_the_other_hand_weighs_the_same_mirrored() -> None:
    tube = Tube(
        name="t",
        od=40,
        wall=3,
        length=300,
        start=TubeEnd(kind="saddle", angle=60, r=25, offset=4, clock=33),
        end=TubeEnd(kind="saddle", angle=75, r=20, offset=11, clock=100),
    )
    a, b = tube_moments(tube), tube_moments(tube.mirrored())
    assert (b.volume, -b.x, b.y, b.z, b.zz, -b.zx) == pytest.approx((a.volume, a.x, a.y, a.z, a.zz, a.zx))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"od": 0.0}, "od = 0"),
        ({"wall": 20.0}, "wall = 20"),
        ({"length": -1.0}, "length = -1"),
        ({"start": TubeEnd(kind="saddle", angle=10, r=20)}, "start angle = 10"),
        ({"end": TubeEnd(kind="saddle", r=0)}, "end r = 0"),
        ({"end": TubeEnd(kind="saddle", r=20, offset=21)}, "end offset = 21"),
        ({"start": TubeEnd(kind="plane", angle=2)}, "start angle = 2"),
        ({"length": 20.0, "start": TubeEnd(kind="saddle", r=20)}, "must be more than 20 mm"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_tube_that_cannot_be_made_is_refused(wrong: dict[str, float], said: str) -> None:
    values: dict[str, object] = {"name": "t", "od": 40.0, "wall": 3.0, "length": 200.0} | wrong
    make: Callable[..., Tube] = Tube
    with pytest.raises(InputError, match=said):
        tube_moments(make(**values))
