"""Joint angles of a shaft and the line of a chain over a movement: closed forms, joints turned step by step, and
dense sampling."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from brackets.clearance.greatest import Most
from brackets.clearance.motion import Moves, bush_moves, powertrain_moves
from brackets.clearance.shaft_lines import FINE, RIGHT, ShaftLines, chain, in_view, left_of_pair, shaft, views_of
from brackets.core.errors import InputError

Array = NDArray[np.float64]
X, Y = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)
BACK = (-600.0, 0.0, 0.0)


def turned(axis: int, degrees: float) -> Array:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    found = np.eye(3)
    i, j = [k for k in range(3) if k != axis]
    found[[i, i, j, j], [i, j, i, j]] = c, -s, s, c
    return found


# -------------------------------------------------------------------------------------------------------- standing


@given(a=st.floats(0, 40), b=st.floats(0, 40), spin=st.lists(st.floats(-180, 180), min_size=3, max_size=3),
       flip=st.tuples(st.booleans(), st.booleans()))  # fmt: skip
@settings(deadline=None, max_examples=60)
def test_of_both_views_the_compound_angle_follows(
    a: float, b: float, spin: list[float], flip: tuple[bool, bool]
) -> None:
    """tan^2 c = tan^2 a + tan^2 b where the axis lies in both views; c is the same however all of it is turned, and
    whichever way an axis is typed."""
    way = 500 * np.array((-1.0, math.tan(math.radians(a)), math.tan(math.radians(b))))
    compound = math.degrees(math.atan(math.hypot(math.tan(math.radians(a)), math.tan(math.radians(b)))))
    assert in_view(X, tuple(way), 2) == pytest.approx(a, abs=1e-9)
    assert in_view(X, tuple(way), 1) == pytest.approx(b, abs=1e-9)
    frame = turned(0, spin[0]) @ turned(1, spin[1]) @ turned(2, spin[2])
    ends = [frame @ (np.array(X) * (-1 if one else 1)) for one in flip]
    found = shaft(None, moving=(7, 8, 9), moving_axis=tuple(ends[0]), fixed=tuple(frame @ way + (7, 8, 9)),
                  fixed_axis=tuple(ends[1])).at_rest()  # fmt: skip
    assert found.at_moving == pytest.approx(compound, abs=1e-6)
    assert found.at_fixed == pytest.approx(compound, abs=1e-6)
    assert found.left == pytest.approx(0, abs=1e-3)  # both axes are parallel
    assert found.length == pytest.approx(float(np.linalg.norm(way)))


def test_the_views_are_those_that_show_the_length() -> None:
    assert views_of((-600, 100, 50)) == (1, 2)  # side and plan
    assert views_of((30, 400, -80)) == (2, 0)  # plan and front
    assert views_of((30, 40, -80)) == (1, 0)  # side and front


def driven(angle: Array, bend: float, plane: float) -> Array:
    """How far the driven shaft of a Cardan joint has turned, radians: tan driven = tan driving / cos bend, counted
    from where the driving fork lies square to the plane of the bend, the driven fork in it."""
    turns = angle - plane
    return np.asarray(np.arctan2(np.sin(turns), np.cos(turns) * math.cos(bend)) + plane)


@pytest.mark.parametrize(
    ("one", "two", "apart"),
    [(5, 5, 0), (5, 3, 0), (12, 9, 25), (20, 20, 90), (30, 10, 140), (0, 8, 50), (35, 35, 12)],
)
def test_what_a_pair_leaves_is_what_both_joints_turned_step_by_step_leave(
    one: float, two: float, apart: float
) -> None:
    """Least and most speed of the driven over the driving shaft, of which one joint's are its cosine and one over
    it. The forks of the shaft between stand in line, so that the second joint undoes the first in one plane."""
    b1, b2, plane = (math.radians(v) for v in (one, two, apart))
    angle = np.linspace(0, 2 * math.pi, 200_001)
    between = np.unwrap(driven(angle, b1, 0.0))
    # the second joint is driven at its other fork: the same relation from the far side, in its own plane
    turns = between - plane
    out = np.unwrap(np.arctan2(np.sin(turns) * math.cos(b2), np.cos(turns)) + plane)
    speed = np.gradient(out, angle)[5:-5]
    ratio = math.sqrt(float(speed.min()) / float(speed.max()))
    axes = math.acos(math.cos(b1) * math.cos(b2) + math.sin(b1) * math.sin(b2) * math.cos(plane))
    left = float(left_of_pair(np.array(b1), np.array(b2), np.array(axes)))
    assert math.cos(left) == pytest.approx(ratio, abs=1e-7)


def test_a_bent_pair_in_one_plane_cancels_both_ways() -> None:
    """Output and input parallel (Z) or leaning alike to either side (W); what is unequal is about the root of the
    difference of the squares; square to one another they add."""
    three = math.radians(3)
    for axes in (0.0, 2 * three):
        assert math.degrees(float(left_of_pair(np.array(three), np.array(three), np.array(axes)))) < 0.01
    five, four, one = (math.radians(v) for v in (5, 4, 1))
    unequal = math.degrees(float(left_of_pair(np.array(five), np.array(four), np.array(one))))
    assert unequal == pytest.approx(3.0, abs=0.01)
    square = math.acos(math.cos(three) ** 2)
    both = float(left_of_pair(np.array(three), np.array(three), np.array(square)))
    assert math.cos(both) == pytest.approx(math.cos(three) ** 2)


# ---------------------------------------------------------------------------------------------------------- moving


def near(found: Most | None, true: float, rest: float = FINE) -> None:
    assert found is not None
    assert found.low - 1e-9 <= true <= found.high + 1e-9
    assert found.high - found.low <= rest + 1e-9


def test_up_alone_bends_both_joints_alike_and_leaves_nothing() -> None:
    moves = powertrain_moves((0, 0, 0), up=20, down=30)
    line = shaft(moves, moving=(0, 0, 0), moving_axis=X, fixed=BACK, fixed_axis=X)
    near(line.most_at_moving(), math.degrees(math.atan(30 / 600)), 0)
    near(line.most_at_fixed(), math.degrees(math.atan(30 / 600)), 0)
    near(line.most_left(), 0.0, 0)
    found = line.most_at_moving()
    assert found is not None
    assert found.worst.travel == (0, 0, -30)


def test_a_pitch_about_the_flange_bends_its_own_joint_alone() -> None:
    moves = powertrain_moves((0, 0, 0), pitch=2)
    line = shaft(moves, moving=(0, 0, 0), moving_axis=X, fixed=BACK, fixed_axis=X)
    near(line.most_at_moving(), 2.0)
    near(line.most_at_fixed(), 0.0)
    near(line.most_left(), 2.0)


def test_a_pitch_about_a_point_before_the_flange_bends_both() -> None:
    """The flange, 300 back of the crank, goes up by 300 sin 2 as its nose goes down; its axis then points back and
    up, the shaft back and down, so that its own joint bends by the sum."""
    moves = powertrain_moves((300, 0, 0), pitch=2)
    line = shaft(moves, moving=(0, 0, 0), moving_axis=X, fixed=BACK, fixed_axis=X)
    a = math.radians(2)
    slope = math.degrees(math.atan2(300 * math.sin(a), 600 + 300 - 300 * math.cos(a)))
    assert slope == pytest.approx(1.0, abs=0.01)
    near(line.most_at_fixed(), slope)
    near(line.most_at_moving(), 2 + slope)


def test_roll_about_the_shaft_itself_does_nothing() -> None:
    moves = powertrain_moves((0, 0, 0), roll=20)
    line = shaft(moves, moving=(0, 0, 0), moving_axis=X, fixed=BACK, fixed_axis=X)
    for found in (line.most_at_moving(), line.most_at_fixed(), line.most_left()):
        near(found, 0.0, 0)


def test_the_line_of_a_chain_follows_travel_and_yaw() -> None:
    """500 from middle to middle; a yaw of 1 deg about the front sprocket leaves it in the plane of the other, and
    the other out of its own by 500 sin 1."""
    front = {"moving": (0.0, 0.0, 0.0), "moving_axis": Y, "fixed": (-500.0, 2.0, 0.0), "fixed_axis": (0, -1, 0)}
    still = chain(None, **front).at_rest()
    assert (still.out, still.axes) == (pytest.approx(2), pytest.approx(0))
    sideways = chain(powertrain_moves((0, 0, 0), side=3, pitch=10), **front)
    near(sideways.most_out(), 5.0)
    near(sideways.most_axes(), 0.0)
    yawed = chain(powertrain_moves((0, 0, 0), yaw=1), **front)
    near(yawed.most_axes(), 1.0)
    a = math.radians(1)
    near(yawed.most_out(), 500 * math.sin(a) + 2 * math.cos(a))


MOVES = {"roll": 3.0, "pitch": 2.0, "yaw": 1.5, "up": 5.0, "down": 7.0, "fore": 4.0, "aft": 6.0, "side": 3.0}


def sampled(line: ShaftLines, moves: Moves, random: np.random.Generator, count: int = 1500) -> dict[str, float]:
    """Every figure at places all over the movement and at as many corners of it, by plain vectors: the most of
    each."""
    limits = moves.limits
    places = random.uniform(limits[:, 0], limits[:, 1], (count, 6))
    ends = np.where(random.random((count, 6)) < 0.5, limits[:, 0], limits[:, 1])
    most: dict[str, float] = dict.fromkeys(("moving", "fixed", "left", "axes", "out"), 0.0)
    own = np.asarray(line.moving_axis) / np.linalg.norm(line.moving_axis)
    other = np.asarray(line.fixed_axis) / np.linalg.norm(line.fixed_axis)
    for at in (*places, *ends):
        place = moves.place(at)
        p, a = place.points(np.asarray(line.moving, dtype=float)[None])[0], place.turn @ own
        way = np.asarray(line.fixed) - p
        unit = way / np.linalg.norm(way)
        one, two, axes = (math.acos(min(1.0, float(u @ v))) for u, v in ((a, unit), (other, unit), (a, other)))
        left = float(left_of_pair(np.array(one), np.array(two), np.array(axes)))
        found = {"moving": math.degrees(one), "fixed": math.degrees(two), "left": math.degrees(left),
                 "axes": math.degrees(axes), "out": max(abs(float(way @ other)), abs(float(way @ a)))}  # fmt: skip
        most = {name: max(most[name], value) for name, value in found.items()}
    return most


@pytest.mark.parametrize("seed", range(6))
def test_all_freedoms_at_once_hold_what_is_sampled(seed: int) -> None:
    """Shafts of 300 to 900 that lean, axes up to 12 deg or so off; no sample is past the high end, and the low end,
    which is a place of the movement, is not far past any."""
    random = np.random.default_rng(seed)
    p, about = random.uniform(-300, 300, (2, 3))
    way = np.array((-random.uniform(300, 900), *random.uniform(-60, 60, 2)))
    axes = [np.array(X) + random.uniform(-0.15, 0.15, 3) for _ in range(2)]
    moves = powertrain_moves(about, **MOVES)
    line = shaft(moves, moving=tuple(p), moving_axis=tuple(axes[0]), fixed=tuple(p + way),
                 fixed_axis=tuple(axes[1]))  # fmt: skip
    most = sampled(line, moves, random)
    for name, found, wide in (
        ("moving", line.most_at_moving(), 0.3), ("fixed", line.most_at_fixed(), 0.3),
        ("left", line.most_left(), 0.5), ("axes", line.most_axes(), 0.3),
    ):  # fmt: skip
        assert found is not None
        assert most[name] <= found.high + 1e-6, name
        assert found.low <= most[name] + wide, name
        assert found.high - found.low <= FINE + 1e-9, name


@given(data=st.data())
@settings(deadline=None, max_examples=12)
def test_whatever_the_axes_and_the_movement_the_worst_place_has_the_low_end(data: st.DataObject) -> None:
    """Put where it says, the shaft bends by what it says; no corner of the movement is past the high end."""
    number = st.floats(-1, 1)
    vector = st.tuples(number, number, number)
    given_ = [np.array(data.draw(vector)) for _ in range(4)]
    moves = powertrain_moves(200 * given_[0], **{k: v * data.draw(st.floats(0, 1)) for k, v in MOVES.items()})
    way = np.array((-500.0, 0, 0)) + 200 * given_[1]
    line = shaft(moves, moving=(10, 20, 30), moving_axis=tuple(np.array(X) + 0.4 * given_[2]),
                 fixed=tuple(way), fixed_axis=tuple(np.array(X) + 0.4 * given_[3]))  # fmt: skip
    most = sampled(line, moves, np.random.default_rng(1), 150) if moves.limits.any() else {}
    for name, found in (("moving", line.most_at_moving()), ("fixed", line.most_at_fixed()),
                        ("left", line.most_left()), ("out", line.most_out())):  # fmt: skip
        assert found is not None
        at = np.r_[np.radians(found.worst.angles), found.worst.travel]
        assert ((moves.limits[:, 0] - 1e-9 <= at) & (at <= moves.limits[:, 1] + 1e-9)).all()
        place = moves.place(at)
        moved = place.points(np.asarray(line.moving, dtype=float)[None])[0]
        there = ShaftLines(None, tuple(moved), tuple(place.turn @ np.asarray(line.moving_axis)), line.fixed,
                           line.fixed_axis).at_rest()  # fmt: skip
        said = {"moving": there.at_moving, "fixed": there.at_fixed, "left": there.left, "out": there.out}[name]
        assert said == pytest.approx(found.low, abs=2e-3)
        assert most.get(name, 0.0) <= found.high + 1e-6


def test_nothing_is_followed_past_a_right_angle() -> None:
    line = shaft(powertrain_moves((0, 0, 0), up=300), moving=(0, 0, 0), moving_axis=X, fixed=(-20, 0, 1),
                 fixed_axis=(0.0, 0.0, 1.0))  # fmt: skip
    found = line.most_at_fixed()
    assert found is not None
    assert found.low == found.high == RIGHT


def test_a_bush_and_two_points_that_are_one_are_refused() -> None:
    ends = {"moving": (0, 0, 0), "moving_axis": X, "fixed": BACK, "fixed_axis": X}
    with pytest.raises(InputError, match="with any_way or round, must be turns and travels"):
        shaft(bush_moves((1, 0, 0), radial=2, axial=1), **ends)  # type: ignore[arg-type]
    with pytest.raises(InputError, match="one and the same, must be apart"):
        chain(None, **{**ends, "fixed": (0, 0, 0)})  # type: ignore[arg-type]


@pytest.mark.parametrize("moves_away", [True, False])
def test_the_worst_may_lie_between_the_ends_of_a_turn(moves_away: bool) -> None:
    """A point goes round a circle of 200, seen from 600 away: the most is where the line of sight touches the
    circle, asin(200 / 600), 109.5 deg round; the turn goes from 85 to 115. Seen from either body it is the same."""
    at = (200 * math.cos(math.radians(100)), 200 * math.sin(math.radians(100)), 0.0)
    moves, touches = powertrain_moves((0, 0, 0), yaw=15), math.degrees(math.asin(200 / 600))
    if moves_away:
        near(shaft(moves, moving=at, moving_axis=X, fixed=BACK, fixed_axis=X).most_at_fixed(), touches)
    else:
        near(shaft(moves, moving=BACK, moving_axis=X, fixed=at, fixed_axis=X).most_at_moving(), touches)
