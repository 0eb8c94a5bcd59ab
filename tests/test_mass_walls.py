"""Openings and tube seats in plate: what they take, and what is refused."""

from __future__ import annotations

import math

import pytest

from brackets.core.errors import InputError
from brackets.core.vectors import Vec
from brackets.geometry.shapes import circle, rectangle
from brackets.model import mass
from brackets.model.holes import Hole, Opening, Slot, Window
from brackets.model.plate import Plate, TubeSeat, Wall

BOX = rectangle(100, 80)


def plate(*openings: Opening, seats: tuple[TubeSeat, ...] = (), t: float = 6.0) -> Plate:
    return Plate(name="ear", wall=Wall(outline=BOX, openings=openings, seats=seats), t=t)


def below(x: float = 0.0, y: float = -40.0, *, r: float = 15.0, axis: Vec = (0, 0, 1)) -> TubeSeat:
    return TubeSeat(at=(x, y, 0.0), axis=axis, r=r, keep=(0.0, 20.0))


def test_openings_take_their_area_times_the_thickness() -> None:
    found = mass.volume(
        plate(
            Hole(at=(0, 0), d=20),
            Slot(a=(-40, 0), b=(-25, 0), d=8),
            Window(outline=rectangle(10, 20, centre=(30, 0))),
        )
    )
    taken = math.pi * 100 + (15 * 8 + math.pi * 16) + 200
    assert found == pytest.approx(6 * (8000 - taken), rel=1e-13)


@pytest.mark.parametrize("lean", [0.0, 10.0, 35.0, 60.0])
def test_a_tube_right_through_takes_a_sheared_cylinder(lean: float) -> None:
    """Cavalieri: every slice is the oval of area pi r2 / cos(lean), shifted evenly; so are its moments."""
    a = math.radians(lean)
    seat = TubeSeat(at=(2, 1, 3), axis=(math.sin(a), 0, math.cos(a)), r=8, keep=(45, 35))
    area, t = math.pi * 64 / math.cos(a), 6.0
    found = mass.solid_moments(plate(seats=(seat,)))
    assert found.volume == pytest.approx(8000 * t - area * t, rel=1e-13)
    shift = math.tan(a)
    assert found.x == pytest.approx(-area * t * 2, rel=1e-11)  # x of the oval's centre averages 2, at z = 3
    assert found.zx == pytest.approx(-area * (2 * t * t / 2 + shift * (t**3 / 3 - 3 * t * t / 2)), rel=1e-11)
    own = (8 / math.cos(a)) ** 2 / 4  # second moment of an oval about its centre over its area
    xx = own * t + 4 * t + shift**2 * t**3 / 12
    assert found.xx == pytest.approx(8000 * 100**2 / 12 * t - area * xx, rel=1e-12)


def test_a_square_tube_seat_takes_half_a_disc() -> None:
    assert mass.volume(plate(seats=(below(),))) == pytest.approx(6 * (8000 - math.pi * 225 / 2), rel=1e-13)


def test_a_tube_leaning_along_the_edge_takes_half_a_disc_too() -> None:
    """A tube whose axis stays in the plane of the edge takes half of every oval."""
    a = math.radians(30)
    seat = below(axis=(math.sin(a), 0, math.cos(a)))
    expected = 6 * (8000 - math.pi * 225 / 2 / math.cos(a))
    assert mass.volume(plate(seats=(seat,))) == pytest.approx(expected, rel=1e-13)


def test_two_tubes_take_what_each_takes() -> None:
    low, high = below(axis=(0.2, 0.1, 1)), TubeSeat(at=(5, 42, 0), axis=(0, 0.3, 1), r=18, keep=(0, 0))
    whole = mass.volume(plate())
    one, other, both = (mass.volume(plate(seats=s)) for s in ((low,), (high,), (low, high)))
    assert whole - both == pytest.approx((whole - one) + (whole - other), rel=1e-12)


def test_a_tube_that_misses_takes_nothing() -> None:
    assert mass.volume(plate(seats=(below(y=-80),))) == pytest.approx(6 * 8000, rel=1e-14)


def test_an_opening_that_meets_a_tube_is_cut_once() -> None:
    """A hole about the tube's own axis, smaller than it, changes nothing; one beside it takes only the rest."""
    seat = TubeSeat(at=(0, 0, 0), axis=(0, 0, 1), r=15, keep=(0, 30))
    assert mass.volume(plate(Hole(at=(0, 0), d=20), seats=(seat,))) == pytest.approx(
        mass.volume(plate(seats=(seat,))), rel=1e-13
    )
    lens = 2 * 15**2 * math.acos(10 / 15) - 10 * math.sqrt(30**2 - 20**2)  # two equal circles 20 mm apart (r = 15)
    both = mass.volume(plate(Hole(at=(20, 0), d=30), seats=(seat,)))
    assert both == pytest.approx(6 * (8000 - 2 * math.pi * 225 + lens), rel=1e-12)


def test_the_side_to_keep_is_what_is_left_of_a_parted_plate() -> None:
    seat = TubeSeat(at=(0, 0, 0), axis=(0, 0, 1), r=60, keep=(0, 39))
    with pytest.raises(InputError, match="must lie in the metal"):
        mass.volume(plate(seats=(seat,)))
    upper = TubeSeat(at=(0, -20, 0), axis=(1, 0, 1), r=45, keep=(0, 30))
    lower = TubeSeat(at=(0, 20, 0), axis=(1, 0, 1), r=45, keep=(0, -30))
    strips = [mass.volume(plate(seats=(seat,))) for seat in (upper, lower)]
    assert strips[0] == pytest.approx(strips[1], rel=1e-12)
    assert 6 * 100 * 15 < strips[0] < 6 * 100 * 40


@pytest.mark.parametrize(
    ("openings", "said"),
    [
        ((Hole(at=(45, 0), d=20, name="A"),), "hole A d = 20 mm at (45, 0), must lie wholly inside"),
        ((Hole(at=(40, 0), d=20),), "hole 0 d = 20 mm at (40, 0), must lie wholly inside"),
        ((Hole(at=(200, 0), d=20),), "must lie wholly inside"),
        ((Hole(at=(0, 0), d=20), Hole(at=(5, 0), d=20)), "must not meet hole 1"),
        ((Hole(at=(0, 0), d=20), Hole(at=(0, 0), d=5)), "must not meet hole 1"),
        ((Hole(at=(0, 0), d=20), Slot(a=(-40, 0), b=(40, 0), d=5)), "must not meet slot 1"),
        ((Window(outline=rectangle(300, 300)),), "window 0, must lie wholly inside"),
    ],
    ids=["over the edge", "touching the edge", "beside", "crossing", "one in the other", "slot", "around"],
)
def test_openings_out_of_place_are_refused(openings: tuple[Opening, ...], said: str) -> None:
    with pytest.raises(InputError) as refused:
        mass.volume(plate(*openings))
    assert said in str(refused.value)
    assert str(refused.value).startswith("ear: ")


@pytest.mark.parametrize(
    ("seats", "said"),
    [
        ((below(axis=(1, 0, 0)),), "must leave the plane"),
        ((below(axis=(1, 0, 0.01)),), "must leave the plane"),
        ((below(r=-2),), "r = -2 mm"),
        ((below(axis=(math.nan, 0, 1)),), "must be finite"),
        ((below(y=0, r=90),), "must leave some of the wall"),
        ((below(), below(x=10)), "tube seats 0 and 1 meet"),
        ((TubeSeat(at=(0, 0, 0), axis=(0, 0, 1), r=10, keep=(0, 5)),), "keep = (0, 5)"),
        ((TubeSeat(at=(0, -20, 0), axis=(1, 0, 1), r=38, keep=(0, 30)),), "through all of its thickness"),
    ],
    ids=["flat", "nearly flat", "negative", "nan", "nothing left", "meeting", "keep cut away", "parted in part"],
)
def test_tube_seats_that_make_no_sense_are_refused(seats: tuple[TubeSeat, ...], said: str) -> None:
    with pytest.raises(InputError) as refused:
        mass.volume(plate(seats=seats))
    assert said in str(refused.value)


def test_everything_wrong_is_said_at_once() -> None:
    with pytest.raises(InputError) as refused:
        mass.volume(plate(Hole(at=(49, 0), d=8), seats=(below(r=0),), t=-1))
    assert len(refused.value.problems) == 3


def test_a_round_plate_with_a_slanted_tube_through_its_rim_is_smooth() -> None:
    """The oval touches and passes the rim at inner heights: halving the plate must give the same metal."""
    seat = TubeSeat(at=(36, 0, 0), axis=(0.5, 0.2, 1), r=9, keep=(-20, 0))
    whole = Plate(name="disc", wall=Wall(outline=circle((0, 0), 40), seats=(seat,)), t=12)
    low = Plate(name="low", wall=whole.wall, t=5)
    moved = TubeSeat(at=(36 + 2.5, 1, 0), axis=seat.axis, r=9, keep=seat.keep)
    high = Plate(name="high", wall=Wall(outline=circle((0, 0), 40), seats=(moved,)), t=7)
    assert mass.volume(whole) == pytest.approx(mass.volume(low) + mass.volume(high), rel=1e-13)
