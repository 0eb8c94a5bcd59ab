"""Solids of coped tubes against the end curve and the closed form: two ways that know nothing of each other."""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import pytest
from cadquery import Solid

from brackets.core.errors import KernelFailed
from brackets.kernel.measure import volume_properties
from brackets.kernel.solids import shape
from brackets.kernel.tube import make
from brackets.model.cope import contour
from brackets.model.mass_of_tube import tube_moments
from brackets.model.tube import Tube, TubeEnd

CURVE = 0.01
"""mm, what the curve may leave the solid's edge by: a scriber's line."""

VOLUME = 1e-9
"""Relative: what every solid is held to (measured on 200: 4e-10; the kernel's own curves were up to 8e-8 off)."""

SAMPLES = 41


def saddle(rng: random.Random) -> Tube:
    """A tube with one random saddle: 15 to 90 degrees, off-centre to the full half, often equal or flush."""
    r = rng.uniform(8, 35)
    main_r = rng.choice([r, r * rng.uniform(0.6, 2.5)])
    angle = rng.choice([90.0, rng.uniform(15, 90)])
    offset = rng.choice([0.0, rng.uniform(-1, 1) * main_r, main_r, max(0.0, main_r - r)])
    return Tube(
        name="t",
        od=2 * r,
        wall=rng.uniform(1.2, min(6.0, 0.4 * r)),
        length=2 * (r + main_r) / math.sin(math.radians(angle)) + 150,
        start=TubeEnd(kind="saddle", angle=angle, r=main_r, offset=offset, clock=rng.uniform(0, 360)),
    )


def off_the_curve(tube: Tube, solid: Solid) -> float:
    """How far the solid's end edges lie from the end curve at most, mm along the tube."""
    worst = 0.0
    for edge in solid.Edges():
        if edge.geomType() == "LINE" or edge.Center().z > tube.length - 1e-6:
            continue
        for p in edge.positions([k / (SAMPLES - 1) for k in range(SAMPLES)]):
            r = min(tube.od / 2, tube.bore / 2, key=lambda wall: abs(math.hypot(p.x, p.y) - wall))
            theta = math.degrees(math.atan2(p.y, p.x))
            if abs(math.hypot(p.x, p.y) - r) < 1e-5:
                worst = max(worst, abs(p.z - contour(tube, "start", theta, r)))
    return worst


def check(tube: Tube) -> None:
    solid = make(tube)
    volume, _, _ = volume_properties(solid)
    assert volume == pytest.approx(tube_moments(tube).volume, rel=VOLUME), tube
    assert off_the_curve(tube, solid) <= CURVE, tube


@pytest.mark.parametrize("n", range(15))
def test_random_saddles_follow_curve_and_closed_form(n: int, rng: Callable[[int], random.Random]) -> None:
    check(saddle(rng(n)))


@pytest.mark.fuzz
def test_many_random_saddles_follow_curve_and_closed_form(fuzz: int, rng: Callable[[int], random.Random]) -> None:
    for n in range(1000, 1000 + fuzz):
        check(saddle(rng(n)))


BOTH = Tube(
    name="t",
    od=38,
    wall=3,
    length=240,
    start=TubeEnd(kind="saddle", angle=60, r=25, offset=4, clock=33),
    end=TubeEnd(kind="plane", angle=70, clock=100),
)


def test_both_ends_at_once_agree_in_centroid_and_inertia() -> None:
    wanted = tube_moments(BOTH).mass(1e9)
    volume, centroid, inertia = volume_properties(shape(BOTH))
    assert volume == pytest.approx(wanted.kg, rel=1e-9)
    assert centroid == pytest.approx(wanted.centroid, abs=1e-6)
    assert inertia == pytest.approx(wanted.inertia, abs=1e-8 * wanted.inertia.trace())


def test_the_other_hand_is_made() -> None:
    volume, centroid, _ = volume_properties(shape(BOTH.mirrored()))
    wanted = tube_moments(BOTH)
    assert volume == pytest.approx(wanted.volume, rel=1e-9)
    x, y, z = wanted.centroid
    assert centroid == pytest.approx((-x, y, z), abs=1e-6)


def test_an_end_cut_twice_agrees() -> None:
    first = TubeEnd(kind="saddle", angle=60, r=25, clock=0)
    second = TubeEnd(kind="saddle", angle=50, r=19, clock=150)
    tube = Tube(name="t", od=38, wall=3, length=240, end=first, end_also=(second,))
    volume, _, _ = volume_properties(make(tube))
    assert volume == pytest.approx(tube_moments(tube).volume, rel=1e-9)


def test_square_and_shifted_square_ends() -> None:
    tube = Tube(name="t", od=38, wall=3, length=240, end=TubeEnd(shift=40))
    volume, centroid, _ = volume_properties(shape(tube))
    assert volume == pytest.approx(math.pi * (19**2 - 16**2) * 200, rel=1e-12)
    assert centroid[2] == pytest.approx(100)


def coped(main_r: float, *, angle: float, offset: float = 0.0) -> Tube:
    end = TubeEnd(kind="saddle", r=main_r, angle=angle, offset=offset, clock=12)
    return Tube(name="t", od=38, wall=3, length=340, start=end)


@pytest.mark.parametrize("angle", [90, 60, 25], ids=str)
@pytest.mark.parametrize("off", [0.0, 1e-14, -1e-12, 1e-9, -1e-9], ids=str)
def test_diameters_that_are_equal_but_for_rounding_are_equal(angle: float, off: float) -> None:
    shape(coped(19 + off, angle=angle))  # checked against the closed form to 1e-9 as it is made


@pytest.mark.parametrize(
    ("main_r", "angle"), [(25.0, 90), (25.0, 60), (40.0, 25), (17.5, 60), (17.5, 25), (16.0, 90), (16.0, 25)]
)
def test_a_branch_flush_with_the_side_of_the_main_tube_is_made(main_r: float, angle: float) -> None:
    shape(coped(main_r, angle=angle, offset=abs(main_r - 19)))
    shape(coped(main_r, angle=angle, offset=-abs(main_r - 19) + 1e-13))


def test_edges_that_the_kernel_cuts_off_the_curve_are_drawn_anew() -> None:
    """One of some 60 random saddles: flush with the side of the main tube, 1e-9 of its volume off as it is cut."""
    r, main_r = 41.6268 / 2, 38.4881
    end = TubeEnd(kind="saddle", angle=90.0, r=main_r, offset=main_r - r, clock=291.7253)
    check(Tube(name="t", od=2 * r, wall=2.5154, length=400, start=end))


def test_a_sharp_overhang_is_cut_to_its_very_corner() -> None:
    # the long point lies between two whole degrees, 1.5 mm beyond what they show
    shape(coped(16.05, angle=16))


def test_diameters_a_millionth_of_a_mm_apart_are_refused_rather_than_wrong() -> None:
    # known limit: 1e-8 to 5e-6 mm smaller than the branch, the kernel's cut is up to 1e-4 off in volume
    with pytest.raises(KernelFailed):
        shape(coped(19 - 1e-6, angle=60))
