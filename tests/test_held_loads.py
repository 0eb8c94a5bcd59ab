"""The loads of a bay's mounts and cases at the seats of its parts: signs, moments, links, scatter, of Tern."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from brackets import read_bay
from brackets.bay import held_loads
from brackets.bay.held_loads import MOST_CORNERS, BayLoads, loads_of, part_cases
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.place import Place
from brackets.hang.load import G, LoadCase, road_cases
from brackets.hold.part_cases import PartCase, SeatLoad
from brackets.library.recipe import shipped

KEPT = ("weight", "bump", "rebound", "braking", "pulling away", "cornering left", "cornering right")


@pytest.fixture(scope="module")
def stood() -> PlacedBay:
    return placed_bay(read_bay(shipped() / "tern.toml"))


@pytest.fixture(scope="module")
def loads(stood: PlacedBay) -> Iterator[BayLoads]:
    """Tern on the road: bump, rebound, braking, pulling away, cornering either way."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(held_loads, "load_cases_of", lambda bay, on: road_cases())
        yield loads_of(stood.bay)


def cases(stood: PlacedBay, loads: BayLoads, name: str, **more: float) -> tuple[PartCase, ...]:
    part = next(each for each in stood.parts if each.name == name)
    return part_cases(stood.bay, loads, part.part, name, **more)


def typed(stood: PlacedBay, loads: BayLoads, name: str) -> dict[str, dict[str, SeatLoad]]:
    """By case and seat, those of the cases as they are typed, no scatter."""
    return {
        case.name: {load.seat: load for load in case.loads}
        for case in cases(stood, loads, name) if "bushes" not in case.name
    }  # fmt: skip


def turning(stood: PlacedBay, name: str, load: SeatLoad) -> np.ndarray:
    """Moment about the origin of the bay of what acts at a seat, N mm."""
    seat = next(each for each in stood.parts if each.name == name).part.seat(load.seat)
    return np.cross(seat.place.at, load.force) + np.array(load.moment)


POWERTRAIN = (("tray", "bush_left"), ("tray", "bush_right"), ("strut", "bush"), ("fork", "bush"))
FELT = {case.name: np.array(case.felt) for case in road_cases()} | {"weight": np.zeros(3)}


@pytest.mark.parametrize("case", KEPT)
def test_the_seats_of_the_powertrain_carry_its_weight_and_what_it_feels(
    stood: PlacedBay, loads: BayLoads, case: str
) -> None:
    """All forces and moments at the seats are in balance with 78 kg at the centre of the lumps."""
    at = [typed(stood, loads, part)[case][seat] for part, seat in POWERTRAIN]
    pull = 78 * G * (FELT[case] - [0, 0, 1])
    assert sum(np.array(load.force) for load in at) == pytest.approx(-pull, abs=1e-6)
    centre = np.array([(-400 * 52 - 395 * 26) / 78, (-70 * 52 + 72 * 26) / 78, (310 * 52 + 200 * 26) / 78])
    turn = sum(turning(stood, part, load) for (part, _), load in zip(POWERTRAIN, at, strict=True))
    # First order: the weight keeps its place; what is left over is that of rounding.
    assert turn == pytest.approx(-np.cross(centre, pull), abs=1e-3)


@pytest.mark.parametrize(
    ("chassis", "powertrain", "seat"),
    [
        ("left_ears", "tray", "bush_left"), ("right_ears", "tray", "bush_right"),
        ("upper_ears", "strut", "bush"), ("link_bracket", "fork", "bush"),
    ],
)  # fmt: skip
def test_the_two_halves_of_a_mount_are_pushed_apart_alike(
    stood: PlacedBay, loads: BayLoads, chassis: str, powertrain: str, seat: str
) -> None:
    """Force and moment, about one point, are equal and opposite; the link between the last two hands them on."""
    for case in KEPT:
        one, other = typed(stood, loads, chassis)[case]["bush"], typed(stood, loads, powertrain)[case][seat]
        assert np.array(one.force) == pytest.approx(-np.array(other.force), abs=1e-9)
        assert turning(stood, chassis, one) == pytest.approx(-turning(stood, powertrain, other), abs=1e-6)


def test_a_seat_off_its_bush_is_turned_by_what_acts_at_the_bush(stood: PlacedBay, loads: BayLoads) -> None:
    """The strut 7 mm forward and 3 mm down: the same force, and about the bay's origin the same moment."""
    strut = next(each for each in stood.parts if each.name == "strut").part
    off = strut.placed(Place(at=(7.0, 0.0, -3.0)))
    for case in (case for case in part_cases(stood.bay, loads, off, "strut") if "bushes" not in case.name):
        (load,), there = case.loads, typed(stood, loads, "strut")[case.name]["bush"]
        assert load.force == there.force
        moment = np.cross(off.seat("bush").place.at, load.force) + np.array(load.moment)
        assert moment == pytest.approx(turning(stood, "strut", there), abs=1e-6)


def test_a_link_is_pulled_at_both_ends_along_its_length(stood: PlacedBay, loads: BayLoads) -> None:
    """From (-216, 75, 270) to (-54, 75, 270): along x alone. Pulling away throws the engine back against it."""
    for case in KEPT:
        at = typed(stood, loads, "torque_link")[case]
        front, rear = np.array(at["bush_2"].force), np.array(at["bush_1"].force)
        assert front[1:] == pytest.approx([0, 0])
        assert front == pytest.approx(-rear)
    away = typed(stood, loads, "torque_link")["pulling away"]
    assert away["bush_1"].force[0] < -1000  # the fork goes back and pulls the rear bush with it: in tension
    assert typed(stood, loads, "fork")["pulling away"]["bush"].force[0] > 1000


def test_scatter_comes_as_corners_that_are_factored_and_hold_the_case_between_them(
    stood: PlacedBay, loads: BayLoads
) -> None:
    """Each corner is an end of the bounds in all three directions; a link has two, a tray those of both bushes."""
    of_strut = cases(stood, loads, "strut")
    bump = next(case for case in loads.cases if case.name == "bump").by_mount["engine_right"]
    corners = [case for case in of_strut if case.name.startswith("bump, bushes")]
    assert len(corners) == 8
    assert {case.counted for case in corners} == {"factored"}
    forces = np.array([case.loads[0].force for case in corners])
    assert forces.min(axis=0) == pytest.approx(bump.low)
    assert forces.max(axis=0) == pytest.approx(bump.high)
    assert (forces.min(axis=0) <= bump.force).all()
    assert (forces.max(axis=0) >= bump.force).all()
    assert sum(case.name.startswith("bump, bushes") for case in cases(stood, loads, "torque_link")) == 2
    assert sum(case.name.startswith("bump, bushes") for case in cases(stood, loads, "tray")) == MOST_CORNERS


def test_the_load_factor_is_in_the_corners_and_not_in_what_is_characteristic(
    stood: PlacedBay, loads: BayLoads
) -> None:
    once, twice = (cases(stood, loads, "strut", load_factor=f) for f in (1.0, 2.0))
    for one, other in zip(once, twice, strict=True):
        by = 2.0 if "bushes" in one.name else 1.0
        assert np.array(other.loads[0].force) == pytest.approx(by * np.array(one.loads[0].force))
        assert np.array(other.loads[0].moment) == pytest.approx(by * np.array(one.loads[0].moment))


def test_factored_cases_are_multiplied_by_nothing(stood: PlacedBay) -> None:
    with pytest.MonkeyPatch.context() as patch:
        own = LoadCase(name="own", felt=(0.0, 0.0, -2.0), counts="factored")
        patch.setattr(held_loads, "load_cases_of", lambda bay, on: (own,))
        found = loads_of(stood.bay)
    once, twice = (
        [case for case in cases(stood, found, "strut", load_factor=f) if case.name.startswith("own")]
        for f in (1, 2)
    )
    assert once == twice
    assert once[0].counted == "factored"


def test_a_part_without_a_mount_has_no_case(stood: PlacedBay, loads: BayLoads) -> None:
    strut = next(each for each in stood.parts if each.name == "strut")
    assert part_cases(stood.bay, loads, strut.part, "nobody") == ()


def test_without_load_cases_there_are_no_loads(stood: PlacedBay) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(held_loads, "load_cases_of", lambda bay, on: ())
        assert loads_of(stood.bay).cases == ()
