"""The least gap over a movement against closed forms, and against dense sampling that may never find less."""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
import trimesh

from brackets import clearance
from brackets.clearance.bodies import skins
from brackets.clearance.moving_pair import MovingPair
from brackets.clearance.sweeps import no_less_than
from brackets.core import kept
from brackets.core.errors import InputError

V = cq.Vector
NONE = ((0.0, 0.0),) * 3
Z = ((0, 0, 0), (0, 0, 1))


def block(
    x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0), **more: float
) -> clearance.Body:
    return clearance.body(
        cq.Solid.makeBox(x, y, z, V(at[0] - x / 2, at[1] - y / 2, at[2] - z / 2)), name="block", **more
    )


def rod(r: float, length: float, at: tuple[float, float, float], way: V = V(0, 0, 1)) -> clearance.Body:  # noqa: B008
    return clearance.body(cq.Solid.makeCylinder(r, length, V(*at) - way * (length / 2), way), name="rod")


def channel(inside: float) -> clearance.Body:
    """Open towards +x: not convex."""
    outer = cq.Solid.makeBox(60, inside + 20, 40, V(-30, -inside / 2 - 10, -20))
    return clearance.body(
        outer.cut(cq.Solid.makeBox(60, inside, 60, V(-20, -inside / 2, -30))), name="channel"
    )


def within(found: clearance.SweepResult, true: float, width: float) -> None:
    assert found.finished
    assert found.low <= true <= found.high, (found.low, true, found.high)
    assert found.high - found.low <= width


def corner_reach(half_x: float, half_y: float, degrees: float) -> float:
    a = math.radians(degrees)
    return half_x * math.cos(a) + half_y * math.sin(a)


@pytest.mark.parametrize("degrees", [0.5, 3.0, 10.0])
def test_box_rocking_beside_a_wall(degrees: float) -> None:
    wall = block(10, 400, 400, (65, 0, 0))
    found = clearance.rock(block(100, 60, 40), wall, Z, (-degrees, degrees), NONE, 0.02)
    within(found, 60 - corner_reach(50, 30, degrees), 0.02)
    assert abs(found.worst.angles[0]) == pytest.approx(degrees, abs=0.5)


def test_box_rocking_past_its_worst_corner() -> None:
    """The corner passes straight under the wall at atan(30/50) = 31 deg: the worst is inside the range."""
    wall = block(10, 400, 400, (70, 0, 0))
    found = clearance.rock(block(100, 60, 40), wall, Z, (0, 45), NONE, 0.02)
    within(found, 65 - math.hypot(50, 30), 0.02)
    assert found.worst.angles[0] == pytest.approx(math.degrees(math.atan2(30, 50)), abs=2)


def test_box_rocking_and_travelling_beside_a_wall() -> None:
    wall = block(10, 400, 400, (65, 0, 0))
    travel = ((-5, 4), (-3, 3), (-7, 4))
    found = clearance.rock(block(100, 60, 40), wall, Z, (-3, 3), travel, 0.05)
    within(found, 60 - corner_reach(50, 30, 3) - 4, 0.05)
    assert found.worst.travel[0] == pytest.approx(4, abs=0.05)


def test_cylinder_lifting_towards_a_plate() -> None:
    """Rocking about its own axis a rod stays where it is; only the lift counts."""
    shaft = rod(20, 100, (0, 0, 0), V(0, 1, 0))
    plate = block(200, 200, 10, (0, 0, 45))
    found = clearance.rock(shaft, plate, ((0, 0, 0), (0, 1, 0)), (-5, 5), ((0, 0), (0, 0), (-7, 4)), 0.3)
    within(found, 40 - 20 - 4, 0.3)


def test_travel_in_any_direction_is_taken_off_exactly() -> None:
    moves = clearance.Moves(any_way=3.0)
    found = clearance.sweep(block(20, 20, 20), rod(5, 40, (30, 0, 0)), moves, 0.3)
    assert found.low <= 15 - 3 <= found.high
    assert found.high - found.low < 0.3


def test_arm_in_a_channel_that_is_not_convex() -> None:
    """A bar between two walls, carried sideways 3 and turned 1 deg: the end corner comes nearest."""
    moves = clearance.Moves(turns=(clearance.Turn((0, 0, 1), -1, 1),), travel=((-1, 1), (-3, 3), (-2, 2)))
    found = clearance.sweep(block(30, 20, 10, (10, 0, 0)), channel(40), moves, 0.05)
    end = 25 * math.sin(math.radians(1)) + 10 * math.cos(math.radians(1))
    within(found, 20 - end - 3, 0.05)


def test_bush_halves_meet_radially_in_the_round() -> None:
    """A sleeve in a cup: radial travel is round, so a gap of 5 less 3 is left, not 5 less 3 root 2."""
    cup = clearance.body(
        cq.Solid.makeCylinder(30, 40, V(0, 0, -20)).cut(cq.Solid.makeCylinder(25, 60, V(0, 0, -30))),
        name="cup",
    )
    found = clearance.sweep(
        rod(20, 80, (0, 0, 0)), cup, clearance.bush_moves((0, 0, 1), radial=3, axial=4), 0.4
    )
    within(found, 2.0, 0.4)


def test_bush_halves_meet_endways() -> None:
    ear = block(60, 60, 6, (0, 0, 33))
    found = clearance.sweep(
        rod(20, 40, (0, 0, 0)), ear, clearance.bush_moves((0, 0, 1), radial=3, axial=6), 0.1
    )
    within(found, 10 - 6, 0.1)


def test_roll_pitch_and_yaw_are_composed_in_the_order_said() -> None:
    moves = clearance.powertrain_moves((10, 20, 30), roll=4, pitch=3, yaw=2, up=1, fore=5)
    at = np.radians((4, -3, 2)).tolist() + [5, 0, 1]
    place = moves.place(np.array(at))
    roll = clearance.about((10, 20, 30), (1, 0, 0), 4)
    pitch = clearance.about((10, 20, 30), (0, 1, 0), -3)
    yaw = clearance.about((10, 20, 30), (0, 0, 1), 2)
    by_hand = clearance.moved((5, 0, 1)) @ yaw @ pitch @ roll
    assert place.matrix == pytest.approx(by_hand.matrix, abs=1e-12)
    assert moves.position(np.array(at)).angles == pytest.approx((4, -3, 2))


@pytest.mark.parametrize("seed", range(6))
def test_dense_sampling_never_finds_less(seed: int) -> None:
    """A lumpy body with all six freedoms near a bracket: 3000 places tried, none under the low end."""
    rng = np.random.default_rng(seed)
    shape = cq.Workplane().box(120, 60, 50).faces(">Z").workplane().circle(15).extrude(30).val()
    engine = clearance.body(shape, name="engine", tolerance=0.1)
    bracket = (
        cq.Workplane("XZ")
        .polyline([(0, 0), (50, 0), (50, 6), (6, 6), (6, 50), (0, 50)])
        .close()
        .extrude(30)
        .val()
    )
    axis = rng.normal(size=3)
    place = clearance.about((0, 0, 0), axis / np.linalg.norm(axis), rng.uniform(0, 180))
    other = clearance.body(bracket, name="bracket").placed(place).placed(clearance.moved((95, 20, 20)))
    moves = clearance.powertrain_moves(
        rng.uniform(-20, 20, 3), roll=3, pitch=2, yaw=1, up=4, down=7, fore=5, aft=5, side=3
    )
    found = clearance.sweep(engine, other, moves, 0.6)
    assert found.finished
    assert found.high - found.low <= 0.6
    least = math.inf
    low, high = moves.limits.T
    for share in np.vstack((rng.uniform(0, 1, (2500, 6)), rng.integers(0, 2, (500, 6)))):
        stands = engine.placed(moves.place(low + share * (high - low)))
        least = min(least, skins(stands, other).distance)
    slack = engine.bound + other.bound
    assert least + slack >= found.low
    assert found.high <= least + slack + 0.6
    assert clearance.gap(engine.placed(_place(moves, found.worst)), other).high == pytest.approx(
        found.high, abs=1e-6
    )


@pytest.mark.parametrize("seed", range(4))
def test_no_search_however_short_ends_under_what_one_look_says(seed: int) -> None:
    rng = np.random.default_rng(seed)
    ends = np.sort(rng.uniform(-4, 4, (3, 2)), axis=1)
    turns = tuple(
        clearance.Turn(axis, low, high)
        for axis, (low, high) in zip(np.eye(3).tolist(), np.sort(rng.uniform(-3, 3, (3, 2)), axis=1), strict=True)
    )
    about, travel = tuple(rng.uniform(-50, 50, 3)), tuple(map(tuple, ends))
    moves = clearance.Moves(about, turns, travel, any_way=0.2 * (seed % 2))
    one, other = block(100, 60, 40), channel(30).placed(clearance.moved((115, 10, 5)))
    floor = no_less_than(one, other, moves)
    for looks in (1, 3, 40):
        for needed in (None, 5.0):
            assert floor <= clearance.sweep(one, other, moves, 0.3, needed=needed, looks=looks).low
    assert floor > clearance.gap(one, other).low - 25  # and it says something


def test_one_look_says_nothing_of_a_body_inside_another() -> None:
    within_it = block(100, 60, 40)
    moves = clearance.Moves(travel=((-1, 1),) * 3)
    assert no_less_than(rod(5, 10, (0, 0, 0)), within_it, moves) == 0
    assert no_less_than(within_it, rod(5, 10, (0, 0, 0)), moves) == 0


def _place(moves: clearance.Moves, worst: clearance.Position) -> clearance.Transform:
    return moves.place(np.array([*np.radians(worst.angles), *worst.travel]))


def test_only_pairs_that_matter_are_followed() -> None:
    engine = block(100, 60, 40)
    near, middle, far = (block(10, 80, 80, (x, 0, 0)) for x in (75, 85, 300))
    moves = clearance.powertrain_moves((0, 0, 0), roll=1, up=4)
    few = clearance.sweep(engine, (far, middle, near), moves, 0.1)
    assert [pair.j for pair in few.pairs if pair.settled] == [2]
    more = clearance.sweep(engine, (far, middle, near), moves, 0.1, needed=40)
    assert sorted(pair.j for pair in more.pairs if pair.settled) == [1, 2]
    assert all(pair.low >= 40 for pair in more.pairs if not pair.settled)


def test_only_pairs_with_a_changed_body_are_searched_again(
    keeping: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The nearest of four goes 3 mm further away, and another becomes the least: three are as they were."""
    searched: list[float] = []
    start = MovingPair.start
    monkeypatch.setattr(
        MovingPair, "start", lambda pair: (searched.append(round(pair.b.box[0, 0])), start(pair))[1]
    )
    engine, moves = block(100, 60, 40), clearance.powertrain_moves((0, 0, 0), roll=1, up=4)
    rest = [block(10, 80, 80, (x, 0, 0)) for x in (76, 85, 300)]

    def swept(x: float) -> clearance.SweepResult:
        return clearance.sweep(engine, (block(10, 80, 80, (x, 0, 0)), *rest), moves, 0.1, needed=40)

    first = swept(75)
    assert (first.pairs[0].j, sorted(searched)) == (0, [70, 71, 80])
    searched.clear()
    warm = swept(78)
    assert (warm.pairs[0].j, searched) == (1, [73])
    monkeypatch.setattr(kept, "ENABLED", False)
    assert swept(78) == warm
    assert sorted(searched[1:]) == [71, 73, 80]


def test_what_is_not_asked_for_is_followed_only_as_far_as_the_least_of_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is wanted of three: one look at each that may be nearest, and one of them is followed."""
    searched: list[float] = []
    start = MovingPair.start
    monkeypatch.setattr(MovingPair, "start", lambda pair: (searched.append(pair.b.box[0, 0]), start(pair))[1])
    engine, moves = block(100, 60, 40), clearance.powertrain_moves((0, 0, 0), roll=1, up=4)
    others = [block(10, 80, 80, (x, 0, 0)) for x in (90, 75, 300)]
    assert clearance.sweep(engine, others, moves, 0.1).pairs[0].j == 1
    assert len(searched) == 1


def test_looks_are_shared_by_the_pairs_that_matter() -> None:
    walls = [block(10, 400, 400, (65, 0, 0)), block(10, 400, 400, (-65, 0, 0))]
    moves = clearance.powertrain_moves((0, 0, 0), roll=2, pitch=2, yaw=3)
    found = clearance.sweep(block(100, 60, 40), walls, moves, 0.5, needed=20, looks=40)
    assert not found.finished
    assert 30 < found.looks < 60
    assert len({round(pair.low, 6) for pair in found.pairs}) == 1  # the bay is the same either way


def test_a_body_swallowed_from_the_start_is_not_clear() -> None:
    engine = block(100, 60, 40)
    found = clearance.rock(rod(5, 10, (0, 0, 0)), engine, Z, (-1, 1), ((-1, 1),) * 3, 0.5)
    assert (found.low, found.high) == (0, 0)
    assert found.pairs[0].gap.state == "inside"


def test_a_body_driven_into_another_by_its_movement_hits() -> None:
    found = clearance.rock(block(100, 60, 40), block(10, 80, 80, (57, 0, 0)), Z, (-1, 1), ((-3, 3),) * 3, 0.5)
    assert (found.low, found.high) == (0, 0)
    assert found.pairs[0].gap.state == "hit"


def test_a_pin_carried_wholly_into_a_block_hits() -> None:
    """The pin never crosses the skin of the grown block where it is looked at: it is within it."""
    found = clearance.sweep(
        block(2, 2, 2), block(60, 60, 60, (40, 0, 0)), clearance.Moves(travel=((0, 40), (0, 0), (0, 0)))
    )
    assert (found.low, found.high) == (0, 0)


def test_work_limit_still_gives_a_true_interval() -> None:
    wall = block(10, 400, 400, (65, 0, 0))
    moves = clearance.powertrain_moves((0, 0, 0), roll=2, pitch=2, yaw=3)
    true = clearance.sweep(block(100, 60, 40), wall, moves, 0.5)
    found = clearance.sweep(block(100, 60, 40), wall, moves, 0.5, looks=20)
    assert not found.finished
    assert found.low <= true.low <= true.high <= found.high


def test_scan_rocks_too() -> None:
    scan = trimesh.creation.icosphere(subdivisions=4, radius=50)
    found = clearance.rock(
        clearance.body(scan, name="scan"), block(10, 90, 90, (65, 0, 0)), Z, (-3, 3), ((-2, 2),) * 3, 0.1
    )
    within(found, 60 - 50 - 2, 0.1)


def test_wrong_movements_are_refused_together() -> None:
    with pytest.raises(InputError) as caught:
        clearance.Moves(
            turns=(clearance.Turn((0, 0, 1), 3, -3),), travel=((2, 1), (0, 0), (0, 0)), any_way=-1
        )
    assert len(caught.value.problems) == 3
    with pytest.raises(InputError, match="roll = -1"):
        clearance.powertrain_moves((0, 0, 0), roll=-1)
    with pytest.raises(InputError, match="within = 0"):
        clearance.rock(block(1, 1, 1), block(1, 1, 1, (5, 0, 0)), Z, (-1, 1), NONE, 0)
