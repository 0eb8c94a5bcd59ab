"""Bodies that turn and slide by themselves while another moves: closed forms, and two movements densely sampled."""

from __future__ import annotations

import itertools
import math

import cadquery as cq
import numpy as np
import pytest

from brackets.clearance.bodies import Body, body, skins
from brackets.clearance.motion import Moves, powertrain_moves
from brackets.clearance.own_moves import STAYS, WITHIN, IndependentGap, OwnMoves, independent_gap
from brackets.core.errors import InputError

UP = (0.0, -1.0, 0.0)
"""About -y, so that what lies forward of the hinge goes up."""


def box(low: tuple[float, ...], high: tuple[float, ...], name: str = "") -> Body:
    size = np.subtract(high, low)
    return body(cq.Solid.makeBox(*size).moved(cq.Location(cq.Vector(*low))), name=name)


ARM = box((0, -20, -10), (400, 20, 10), "arm")
"""400 long and 20 high from its hinge at the origin."""

ROOF = box((150, -200, 250), (600, 200, 260), "roof")


def holds(found: IndependentGap, gap: float) -> None:
    assert found.finished
    assert found.low - 1e-6 <= gap <= found.high + 1e-6
    assert found.high - found.low <= WITHIN + 1e-9


@pytest.mark.parametrize("top", [5.0, 31.0])
def test_a_bar_that_turns_up_to_a_roof_is_nearest_by_its_far_edge(top: float) -> None:
    t = math.radians(top)
    found = independent_gap(ROOF, ARM, others=OwnMoves(axis=UP, turn=(-20, top)), needed=240)
    holds(found, 250 - 400 * math.sin(t) - 10 * math.cos(t))
    assert found.b.turn == pytest.approx(top)  # the end itself, not the middle of a cell beside it
    assert found.a.turn == found.a.travel == 0


def test_a_bar_is_nearest_to_a_wall_between_the_ends_of_its_turn() -> None:
    wall = box((430, -200, -400), (440, 200, 400))
    found = independent_gap(wall, ARM, others=OwnMoves(axis=UP, turn=(-40, 35)), needed=30)
    holds(found, 430 - math.hypot(400, 10))
    assert abs(found.b.turn) < 6
    ends = (430 - 400 * math.cos(math.radians(35)), 430 - 400 * math.cos(math.radians(40)))
    assert min(ends) > 80  # who looks at the ends alone finds nothing


def test_a_turn_of_half_a_round_reaches_what_is_behind() -> None:
    behind = box((-460, -200, -5), (-450, 200, 5))
    found = independent_gap(behind, ARM, others=OwnMoves(axis=UP, turn=(0, 180)), needed=60)
    holds(found, 450 - math.hypot(400, 10))  # its corner, a little before the end


def test_an_arm_and_a_reach_are_from_the_line_it_turns_about() -> None:
    """The furthest corner of the bar from a line 100 behind it and 5 above: 500 and 15; its way is the chord."""
    own = OwnMoves(about=(-100.0, 70.0, 5.0), axis=UP, turn=(-60, 20), along=(0.0, 1.0, 0.0), travel=(-7, 3))
    assert own.arm(ARM) == pytest.approx(math.hypot(500, 15), abs=0.01)
    assert own.reach(ARM) == pytest.approx(2 * math.hypot(500, 15) * math.sin(math.radians(30)) + 7, abs=0.02)


def test_a_body_far_from_the_line_it_turns_about_goes_round_that_line() -> None:
    """A rod 500 from its line passes a wall on the way, not as drawn, at an end or half way."""
    t = math.radians(15)
    at = (500 - 500 * math.cos(t), 500 * math.sin(t))
    rod = body(cq.Solid.makeCylinder(10, 100, cq.Vector(*at, 0), cq.Vector(0, 0, 1)))
    wall = box((-60, -400, 0), (-50, 400, 100))
    swings = OwnMoves(about=(500.0, 0.0, 40.0), turn=(-10, 50))
    found = independent_gap(wall, rod, others=swings, needed=60, within=4)
    assert found.finished
    assert found.low <= 50 - 10 <= found.high + 1e-6
    assert found.high - found.low <= 4
    assert found.b.turn == pytest.approx(15, abs=7)


def test_a_slide_takes_its_whole_length_off_and_its_way_back_nothing() -> None:
    drops = OwnMoves(along=(0.0, 0.0, 1.0), travel=(-30, 60))
    found = independent_gap(ROOF, ARM, others=drops, needed=200)
    holds(found, 250 - 10 - 60)
    assert found.b.travel == pytest.approx(60)


def test_two_that_move_by_themselves_both_count() -> None:
    up = OwnMoves(along=(0.0, 0.0, 1.0), travel=(0, 60))
    down = OwnMoves(along=(0.0, 0.0, -1.0), travel=(-5, 40))
    found = independent_gap(ROOF, ARM, own=down, others=up, needed=200)
    holds(found, 250 - 10 - 60 - 40)
    assert (found.a.travel, found.b.travel) == (pytest.approx(40), pytest.approx(60))


def test_a_turn_and_a_slide_of_one_body_both_count() -> None:
    t = math.radians(20)
    both = OwnMoves(axis=UP, turn=(0, 20), along=(0.0, 0.0, 1.0), travel=(0, 30))
    found = independent_gap(ROOF, ARM, others=both, needed=200)
    holds(found, 250 - 400 * math.sin(t) - 10 * math.cos(t) - 30)


def test_a_bar_that_goes_through_the_roof_leaves_nothing() -> None:
    found = independent_gap(ROOF, ARM, others=OwnMoves(axis=UP, turn=(0, 60)), needed=5)
    assert (found.low, found.high) == (0.0, 0.0)


def test_far_off_it_is_followed_only_until_it_is_surely_enough() -> None:
    found = independent_gap(ROOF, ARM, others=OwnMoves(axis=UP, turn=(0, 5)), needed=3)
    true = 250 - 400 * math.sin(math.radians(5)) - 10 * math.cos(math.radians(5))
    assert 3 + 25 <= found.low <= true <= found.high


def test_work_that_is_cut_short_is_still_true() -> None:
    own = OwnMoves(axis=UP, turn=(-20, 31))
    true = 250 - 400 * math.sin(math.radians(31)) - 10 * math.cos(math.radians(31))
    found = independent_gap(ROOF, ARM, others=own, needed=200, looks=1)
    assert not found.finished
    assert found.low <= true <= found.high + 1e-6


def sampled(one: Body, other: Body, own: OwnMoves, others: OwnMoves, engine: Moves, count: int) -> float:
    """The least distance of two boxes over corners and random places of both movements, each whatever the other."""
    random = np.random.default_rng(11)
    limits = np.vstack((own.limits, others.limits, engine.limits))
    corners = [np.array(at) for at in itertools.product(*({float(a), float(b)} for a, b in limits))]
    inner = random.uniform(limits[:, 0], limits[:, 1], (count, len(limits)))
    least = math.inf
    for at in (*corners, *inner):
        a = one.placed(own.place(at[:2])).placed(engine.place(at[4:]))
        least = min(least, skins(a, other.placed(others.place(at[2:4]))).distance)
    return least


ENGINE = powertrain_moves((100, 0, 400), pitch=2, up=3, down=6, fore=4, aft=4)


@pytest.mark.parametrize("whose", ["chassis", "powertrain"])
def test_a_hinge_and_an_engine_move_each_whatever_the_other_does(whose: str) -> None:
    swings = OwnMoves(axis=UP, turn=(-10, 20))
    one, other = (ROOF, ARM) if whose == "chassis" else (ARM, ROOF)
    own, others = (STAYS, swings) if whose == "chassis" else (swings, STAYS)
    found = independent_gap(one, other, own=own, others=others, engine=ENGINE, needed=150)
    least = sampled(one, other, own, others, ENGINE, 1500)
    assert found.finished
    assert found.low <= least  # proven, whatever is sampled
    assert found.high <= least + 0.05  # and found at a place
    assert found.high - found.low <= WITHIN + 1e-9
    alone = independent_gap(one, other, own=own, others=others, needed=150)
    assert found.high < alone.low - 5  # the engine's 6 mm and its turn are in it


def test_what_it_is_given_is_held_to_its_limits() -> None:
    with pytest.raises(InputError) as wrong:
        OwnMoves(axis=(0.0, 0.0, 2.0), turn=(5, 20), travel=(1.0, 2.0))
    assert wrong.value.problems == (
        "turn = 5 to 20 deg, must be -180 to 0, and 0 to 180",
        "travel = 1.0 to 2.0 mm, must be 0 or less to 0 or more",
        "axis = (0.0, 0.0, 2.0), must be of length 1: a direction",
    )
    with pytest.raises(InputError, match="any_way = 2 mm, must be 0"):
        independent_gap(ARM, ROOF, engine=Moves(any_way=2))
