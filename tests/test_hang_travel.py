"""The region of movement: nothing that the cases, the scatter, the ways between and the overshoot do leaves it."""

from __future__ import annotations

import itertools
import math
import pickle
import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hang_bays import FRAME, POINT, RandomBay, inside, random_bay, vec

from brackets.core.errors import OutOfRange
from brackets.hang.load import G, LoadCase
from brackets.hang.mount import Stop
from brackets.hang.scatter import ReactionRange
from brackets.hang.travel import CaseMovement, MovementBounds, movement_bounds
from brackets.hang.turns import beyond_first_order, successive_turns

OVERSHOOT = 1.3


def few_springs(bay: RandomBay, rng: random.Random) -> RandomBay:
    """Only its first mount scatters: few corners, so that many bays can be tried."""
    first = bay.mounts[0].scaled(1.0)
    for name, value in (("low", rng.uniform(0.7, 1)), ("high", rng.uniform(1, 1.4))):
        object.__setattr__(first, name, value)
    return replace(bay, mounts=(first, *(mount for mount in bay.mounts[1:] if not mount.late)))


def box(bay: RandomBay, found: MovementBounds | CaseMovement) -> ReactionRange:
    """Bounds of movement alone, for `inside`."""
    everything = (np.full((len(bay.mounts), 3), -np.inf), np.full((len(bay.mounts), 3), np.inf))
    pushes = (np.full(len(bay.stops), -np.inf), np.full(len(bay.stops), np.inf))
    return ReactionRange(forces=everything, moved=found.moved, points=found.points, pushes=pushes, exact=False)


def loaded(bay: RandomBay, parts: Sequence[tuple[LoadCase, float]]) -> RandomBay:
    """The bay with so much of each case on."""
    felt = tuple(sum(part * case.felt[i] for case, part in parts) for i in range(3))
    loads = tuple(load.times(part) for case, part in parts for load in case.loads)
    return replace(bay, loads=loads, felt=felt)  # type: ignore[arg-type]


def test_no_case_way_scatter_or_overshoot_leaves_the_region(rng: Callable[[int], random.Random]) -> None:
    """100 bays: each case at any part of its load in its own region, and any mix of two in the whole of it."""
    for n in range(100):
        chosen = rng(n + 9000)
        bay = few_springs(random_bay(rng(n)), chosen)
        if n % 15:
            bay = replace(bay, stops=())
        cases = [LoadCase(name="one", loads=bay.loads), LoadCase(name="two", felt=bay.felt)]
        found = movement_bounds(
            bay.mass, bay.centre, bay.mounts, cases, stops=bay.stops, points=[POINT, POINT],
            frames=[np.eye(3), FRAME], overshoot=OVERSHOOT,
        )  # fmt: skip
        no_wider_than_its_box(found)
        assert [case.name for case in found.cases] == ["weight", "one", "two"]
        for case, own in zip(cases, found.cases[1:], strict=True):
            inside(loaded(bay, [(case, OVERSHOOT * chosen.random())]), box(bay, own), factors(bay, chosen))
        share = chosen.random()
        mixed = loaded(bay, [(cases[0], OVERSHOOT * share), (cases[1], OVERSHOOT * (1 - share))])
        inside(mixed, box(bay, found), factors(bay, chosen))


def no_wider_than_its_box(found: MovementBounds) -> None:
    """Along slanting directions a point has no more room than the box of its three figures leaves it there."""
    for case in (found, *found.cases):
        low, high = (end[0] for end in case.points)
        middle, half = (high + low) / 2, (high - low) / 2
        most = FRAME @ middle + np.abs(FRAME) @ half
        least = FRAME @ middle - np.abs(FRAME) @ half
        size = 1e-9 + 1e-9 * float(np.abs(most).max())
        assert (case.points[1][1] <= most + size).all()
        assert (case.points[0][1] >= least - size).all()


def factors(bay: RandomBay, chosen: random.Random) -> list[Any]:
    if chosen.random() < 0.5:
        return [[chosen.choice((mount.low, mount.high)) for _ in range(6)] for mount in bay.mounts]
    return [[chosen.uniform(mount.low, mount.high) for _ in range(6)] for mount in bay.mounts]


def on_four(stiffness: float) -> list[dict[str, Any]]:
    corners = itertools.product((-200, 200), repeat=2)
    return [{"name": f"{x} {y}", "position": (x, y, 0), "stiffness": stiffness} for x, y in corners]


def test_a_region_holds_each_of_its_cases_and_says_whose_its_ends_are() -> None:
    four = on_four(250)
    cases = [LoadCase(name="bump", felt=(0, 0, -2)), LoadCase(name="brake", felt=(1, 0, 0))]
    found = movement_bounds(100, (0, 0, 0), four, cases, overshoot=1.5)
    weight, bump, brake = found.cases
    assert weight.moved[0] == pytest.approx(np.zeros(6))
    assert bump.moved[0][2] == pytest.approx(-3 * 100 * G / 1000)
    assert bump.moved[1][0] == pytest.approx(0)
    assert brake.moved[1][0] == pytest.approx(1.5 * 100 * G / 1000)
    assert (found.by[0][2], found.by[1][0]) == ("bump", "brake")


def test_what_two_cases_hold_down_rises_between_them_and_the_region_knows() -> None:
    """Pulled to either side and up, it runs under a slanting stop and is pressed down; half way from one to the
    other there is only the pull up, 0.5 g: 490.3 N on 400 N/mm raise it 1.226 mm, where neither stop is met yet.
    Neither case nor the way to it raises it so far: it meets the stop at y + z = sqrt(2), with z a quarter of y."""
    four = on_four(100)
    stops = [Stop(name=name, at=(0, 0, 0), direction=(0, y, 1), gap=1, stiffness=1e5)
             for name, y in (("on the left", 1), ("on the right", -1))]  # fmt: skip
    cases = [LoadCase(name="left", felt=(0, 2, 0.5)), LoadCase(name="right", felt=(0, -2, 0.5))]
    found = movement_bounds(100, (0, 0, 0), four, cases, stops=stops)
    up = 0.5 * 100 * G / 400
    for own in found.cases:
        assert own.moved[1][2] < 0.6 * up
    assert up <= found.moved[1][2] < 1.5 * up
    assert found.by[1][2] == "between left and right"
    (way,) = found.ways
    assert (way.name, way.moved[1][2]) == ("between left and right", found.moved[1][2])


def turned(v: Any) -> Any:
    """(3, 3) by a vector of radians: Rodrigues' formula."""
    size = float(np.linalg.norm(v))
    x, y, z = v
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    if size == 0:
        return np.eye(3)
    return np.eye(3) + math.sin(size) / size * cross + (1 - math.cos(size)) / size**2 * cross @ cross


def test_successive_turns_hold_every_turn_of_the_box(rng: Callable[[int], random.Random]) -> None:
    """Roll, pitch and yaw read off the matrix of random turns and of the corners of the box; and hardly more: the
    bounds are off by terms of the second order, so that a tenth of the turn has a hundredth of them."""
    for n in range(60):
        chosen = rng(n)
        size = chosen.choice((0.28, 0.1, 0.01))
        high = np.array([chosen.uniform(0, size) for _ in range(3)])
        low = np.array([-chosen.uniform(0, size) for _ in range(3)])
        ends = successive_turns(low, high)
        corners = [np.where(end, high, low) for end in itertools.product((0, 1), repeat=3)]
        for v in (*corners, *(np.array([chosen.uniform(a, b) for a, b in zip(low, high, strict=True)])
                              for _ in range(10))):  # fmt: skip
            r = turned(v)
            angles = np.array([math.atan2(r[2, 1], r[2, 2]), -math.asin(r[2, 0]), math.atan2(r[1, 0], r[0, 0])])
            assert (angles >= ends[0] - 1e-15).all()
            assert (angles <= ends[1] + 1e-15).all()
        off, tenth = (successive_turns(low * k, high * k)[1] - high * k for k in (0.02, 0.002))
        assert tenth == pytest.approx(off / 100, rel=0.1)


def test_a_turn_that_is_no_small_one_is_refused() -> None:
    assert successive_turns((0, 0, 0), (0.5, 0, 0))[1][0] > 0.5
    with pytest.raises(OutOfRange, match="turn = 29.22 deg, must be up to 28.6") as refused:
        successive_turns((0, -0.51, 0), (0, 0, 0))
    again = pickle.loads(pickle.dumps(refused.value))  # as a worker hands it over
    assert (again.degrees, str(again)) == (pytest.approx(math.degrees(0.51)), str(refused.value))


def test_what_small_turns_leave_out_is_bounded(rng: Callable[[int], random.Random]) -> None:
    for n in range(200):
        chosen = rng(n)
        v, arm = np.array(vec(chosen, 0.3)), np.array(vec(chosen, 700))
        off = turned(v) @ arm - arm - np.cross(v, arm)
        most = beyond_first_order(float(np.linalg.norm(v)), float(np.linalg.norm(arm)))
        assert np.linalg.norm(off) <= most + 1e-9
