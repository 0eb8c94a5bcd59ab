"""A bar between two bushes: where it stands, what its bushes take, and its gaps, against places drawn at random."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from brackets.clearance.bodies import Body, body, skins
from brackets.clearance.link_demand import link_demand
from brackets.clearance.link_moves import LinkMoves
from brackets.clearance.motion import Moves, powertrain_moves
from brackets.clearance.places import Array
from brackets.clearance.sweeps import sweep
from brackets.core.errors import InputError

FIXED, MOVING = (-300.0, 120.0, 100.0), (-60.0, 120.0, 130.0)


def engine(**values: float) -> Moves:
    given = {"roll": 2.0, "pitch": 2.0, "yaw": 1.0, "up": 4.0, "down": 6.0, "fore": 5.0, "aft": 3.0, "side": 4.0}
    return powertrain_moves((0.0, 0.0, 40.0), **(given | values))


def drawn(moves: Moves, count: int, seed: int = 1) -> list[Array]:
    """Places of a movement: half of them at its corners, where most of it is worst."""
    rng = np.random.default_rng(seed)
    low, high = moves.limits.T
    n = len(low)
    return [low + (high - low) * (rng.integers(0, 2, n) if i % 2 else rng.random(n)) for i in range(count)]


def turned(v: Array, one: Array, other: Array) -> Array:
    """A vector turned by the smallest turn from one unit direction to another: Rodrigues' formula."""
    axis = np.cross(one, other)
    sine, cosine = float(np.linalg.norm(axis)), float(one @ other)
    if sine == 0:
        return v
    axis = axis / sine
    return np.asarray(v * cosine + np.cross(axis, v) * sine + axis * float(axis @ v) * (1 - cosine))


def test_the_bar_points_at_the_moved_bush_and_shares_what_is_left_over() -> None:
    moves = LinkMoves(engine(), FIXED, MOVING)
    for at in drawn(moves.engine, 50):
        stands = moves.place(at)
        ends = stands.points(np.array([FIXED, MOVING]))
        there = moves.engine.place(at).points(np.array([MOVING]))[0]
        assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(moves.apart)
        assert ends[0] - np.array(FIXED) == pytest.approx(-(ends[1] - there))
        way = (there - np.array(FIXED)) / np.linalg.norm(there - np.array(FIXED))
        assert (ends[1] - ends[0]) / moves.apart == pytest.approx(way)


def test_seen_from_the_engine_the_bar_is_as_far_from_what_is_on_it() -> None:
    still, seen = (
        LinkMoves(engine(), FIXED, MOVING, seen_from_engine=from_engine) for from_engine in (False, True)
    )
    spots = np.array([[-200.0, 110.0, 90.0], [-100.0, 130.0, 140.0]])
    on_engine = np.array([[-60.0, 100.0, 160.0]])
    for at in drawn(still.engine, 20):
        there = still.engine.place(at).points(on_engine)
        assert np.linalg.norm(seen.place(at).points(spots) - on_engine, axis=1) == pytest.approx(
            np.linalg.norm(still.place(at).points(spots) - there, axis=1)
        )


def test_one_travel_straight_along_the_bar_is_taken_by_half_at_either_end() -> None:
    """3 mm back and 5 forward along a bar of 200 with its axes square to it: closed form."""
    moves = LinkMoves(powertrain_moves((0, 0, 0), fore=5, aft=3), (-200.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    found = link_demand(moves, length=200.0, fixed_axis=(0, 1, 0), moving_axis=(0, 1, 0))
    assert (found.stretch.low, found.squeeze.low) == pytest.approx((5.0, 3.0))
    assert found.stretch.worst.travel == pytest.approx((5.0, 0.0, 0.0))
    for end in (found.fixed, found.moving):
        assert end.radial.low == pytest.approx(2.5)
        assert 2.5 <= end.radial.high <= 2.55
        assert end.axial.high <= 0.05
        assert end.tilt.high <= 0.05


def test_a_bar_made_too_short_asks_for_it_at_rest_too() -> None:
    moves = LinkMoves(powertrain_moves((0, 0, 0), fore=1), (-200.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    found = link_demand(moves, length=197.0, fixed_axis=(0, 1, 0), moving_axis=(0, 1, 0))
    assert found.stretch.low == pytest.approx(4.0)
    assert found.squeeze.low == pytest.approx(-3.0)
    assert found.fixed.radial.low == pytest.approx(2.0)


def test_travel_along_the_bush_axis_tilts_both_ends_by_the_angle_of_the_bar() -> None:
    """10 mm sideways at the end of 200: the bar turns by atan 0.05, and is 0.2498 too short."""
    moves = LinkMoves(powertrain_moves((0, 0, 0), side=10), (-200.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    found = link_demand(moves, length=200.0, fixed_axis=(0, 1, 0), moving_axis=(0, 1, 0))
    angle = math.degrees(math.atan(0.05))
    over = math.hypot(200, 10) - 200
    for end in (found.fixed, found.moving):
        assert angle - 1e-9 <= end.tilt.high <= angle + 0.05
        assert end.tilt.low == pytest.approx(angle)
        assert end.radial.low == pytest.approx(over / 2 * math.cos(math.atan(0.05)))
        assert end.axial.low == pytest.approx(over / 2 * math.sin(math.atan(0.05)))


def test_the_engine_turning_about_its_own_bush_tilts_that_end_alone() -> None:
    moves = LinkMoves(powertrain_moves((0, 0, 0), roll=3), (-200.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    found = link_demand(moves, length=200.0, fixed_axis=(0, 1, 0), moving_axis=(0, 1, 0))
    assert found.moving.tilt.low == pytest.approx(3.0)
    assert 3.0 <= found.moving.tilt.high <= 3.05
    assert found.fixed.tilt.high == pytest.approx(0.0, abs=0.05)
    assert found.stretch.high <= 0.05


@pytest.mark.parametrize("seed", [1, 2])
def test_no_place_asks_more_than_the_high_end_and_one_asks_the_low_end(seed: int) -> None:
    rng = np.random.default_rng(seed)
    fixed, moving = np.array(FIXED) + rng.normal(size=3) * 20, np.array(MOVING) + rng.normal(size=3) * 20
    axes = [a / np.linalg.norm(a) for a in np.array([(0.0, 1.0, 0.2 * seed), (0.1, 1.0, 0.0)])]
    moves = LinkMoves(engine(), tuple(fixed), tuple(moving))
    length = moves.apart + 0.7 * seed
    found = link_demand(moves, length=length, fixed_axis=axes[0], moving_axis=axes[1])
    rest = (moving - fixed) / moves.apart
    most = dict.fromkeys(("stretch", "squeeze", "r0", "r1", "x0", "x1", "t0", "t1"), -math.inf)
    for at in drawn(moves.engine, 800, seed):
        place = moves.engine.place(at)
        away = place.points(moving[None])[0] - fixed
        apart = float(np.linalg.norm(away))
        way, off = away / apart, abs(apart - length) / 2
        ears = (axes[0], place.turn @ axes[1])
        now = {"stretch": apart - length, "squeeze": length - apart}
        for i, ear in enumerate(ears):
            now[f"r{i}"] = off * float(np.linalg.norm(np.cross(way, ear)))
            now[f"x{i}"] = off * abs(float(way @ ear))
            bar = turned(axes[i], rest, way)
            now[f"t{i}"] = math.degrees(math.atan2(float(np.linalg.norm(np.cross(bar, ear))), float(bar @ ear)))
        most = {name: max(most[name], now[name]) for name in most}
    told = {"stretch": found.stretch, "squeeze": found.squeeze}
    for i, end in enumerate((found.fixed, found.moving)):
        told |= {f"r{i}": end.radial, f"x{i}": end.axial, f"t{i}": end.tilt}
    for name, figure in told.items():
        assert most[name] <= figure.high + 1e-9, name
        assert figure.low >= most[name] - 0.02, name
        assert figure.high - figure.low <= 0.051, name


def bar() -> Body:
    made = cq.Solid.makeCylinder(12.5, 200, cq.Vector(-280, 120, 102.5), cq.Vector(240, 0, 30))
    return body(made, name="bar")


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> Body:
    size = [b - a for a, b in zip(low, high, strict=True)]
    return body(cq.Solid.makeBox(*size).moved(cq.Location(cq.Vector(*low))), name="box")


@pytest.mark.parametrize("from_engine", [False, True], ids=["chassis", "engine"])
@pytest.mark.parametrize(
    ("low", "high"),
    [((-200.0, 110.0, 146.0), (-160.0, 130.0, 166.0)), ((-280.0, 140.0, 80.0), (-240.0, 160.0, 120.0))],
    ids=["over", "beside the fixed end"],
)
def test_the_gap_of_a_bar_holds_the_least_over_the_movement(
    low: tuple[float, float, float], high: tuple[float, float, float], from_engine: bool
) -> None:
    moves = LinkMoves(engine(yaw=0.0, side=0.0), FIXED, MOVING, seen_from_engine=from_engine)
    one, other = bar(), box(low, high)
    found = sweep(one, other, moves, 1.0, needed=50.0).pairs[0]
    least = min(skins(one.placed(moves.place(at)), other).distance for at in drawn(moves.engine, 400))
    slack = one.bound + other.bound
    assert found.low <= least + slack
    assert found.high <= least + 0.3 + slack
    assert found.high - found.low <= 1.0 + 1e-6
    assert found.low < skins(one, other).distance - 1.0


@pytest.mark.parametrize("from_engine", [False, True], ids=["chassis", "engine"])
def test_no_point_goes_further_than_the_reach_says_nor_out_of_the_region(from_engine: bool) -> None:
    moves = LinkMoves(engine(), FIXED, MOVING, seen_from_engine=from_engine)
    spots = np.array([[-310.0, 130.0, 90.0], [-180.0, 120.0, 115.0], [-50.0, 100.0, 150.0]])
    half = np.abs(moves.limits).max(axis=1)
    region, nothing = moves.region, np.zeros(4)
    for at in drawn(moves.engine, 300):
        gone = np.linalg.norm(moves.place(at).points(spots) - spots, axis=1)
        assert float(gone.max()) <= moves.reach(spots).most(half)
        where = moves.gone(at)
        assert not region.misses(np.r_[where, 0.0], nothing + 1e-9)
        # what is left between where it is and the bar brought there by the smallest turn is its spin
        left = moves.place(at).turn @ moves.bar(np.r_[where, 0.0]).turn.T
        spin = math.acos(max(-1.0, min(1.0, (float(np.trace(left)) - 1) / 2)))
        assert spin <= region.limits[3, 1] + 1e-7


def test_a_bar_that_is_short_for_its_movement_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        LinkMoves(powertrain_moves((0, 0, 0), fore=30), (-50.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    assert str(caught.value) == "bush centres = 50.0 mm apart, 60.0 or more: one of them moves by up to 30.0 mm"
    with pytest.raises(InputError, match="movement = travel any way or round"):
        LinkMoves(Moves(any_way=1.0), FIXED, MOVING)
