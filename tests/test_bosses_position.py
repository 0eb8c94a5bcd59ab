"""Where the engine stands, from points measured on it; and the set-up's marks and taped diagonals."""

from __future__ import annotations

import math

import numpy as np
import pytest

from brackets.core.errors import InputError
from brackets.survey.position import position, square

DRAWN = np.array(
    [(-300, 160, 400), (-210, 160, 390), (-320, -140, 120), (-200, -140, 130), (-950, 40, 180)], dtype=float
)
MARKS = np.array([(-50, 265, 0), (-50, -265, 0), (-750, 265, 0), (-750, -265, 0)], dtype=float)
PM = [1.0] * len(DRAWN)
CRANK = (-400.0, -60.0, 220.0)


def turned(roll, pitch, yaw):
    """Roll about x, then pitch about y, then yaw about z, written out as matrices."""
    r, p, y = (math.radians(a) for a in (roll, pitch, yaw))
    rx = [[1, 0, 0], [0, math.cos(r), -math.sin(r)], [0, math.sin(r), math.cos(r)]]
    ry = [[math.cos(p), 0, math.sin(p)], [0, 1, 0], [-math.sin(p), 0, math.cos(p)]]
    rz = [[math.cos(y), -math.sin(y), 0], [math.sin(y), math.cos(y), 0], [0, 0, 1]]
    return np.array(rz) @ np.array(ry) @ np.array(rx)


def moved(roll, pitch, yaw, at, about=CRANK):
    return (DRAWN - about) @ turned(roll, pitch, yaw).T + about + at


@pytest.mark.parametrize(
    ("roll", "pitch", "yaw", "at"),
    [(0, 0, 0, (0, 0, 0)), (1, -3, 0.5, (12, -4, 30)), (-20, 15, 170, (500, 0, -80))],
)
def test_a_known_move_comes_back(roll, pitch, yaw, at):
    found = position(DRAWN, moved(roll, pitch, yaw, at), PM, CRANK)
    assert (found.roll, found.pitch, found.yaw) == pytest.approx((roll, pitch, yaw), abs=1e-9)
    assert found.at == pytest.approx(at, abs=1e-9)
    assert found.impossible == ()
    assert found.named is None


def test_it_is_the_place_a_bay_file_means():
    """The same four figures under [powertrain] put a drawn point where it was measured."""
    from brackets.bay.hung.mount_frames import place_of
    from brackets.bay.schema.standing import Powertrain

    measured = moved(2.0, -3.0, 4.0, (10.0, 5.0, -7.0))
    found = position(DRAWN, measured, PM, CRANK)
    row = Powertrain(
        place_at=found.at, place_roll=found.roll, place_pitch=found.pitch, place_yaw=found.yaw,
        crank_at=CRANK, crank_axis=(1.0, 0.0, 0.0),
    )  # fmt: skip
    place = place_of(row)
    for a, b in zip(DRAWN, measured, strict=True):
        assert place.point(tuple(a)) == pytest.approx(tuple(b), abs=1e-9)


def test_the_plus_minus_covers_what_random_errors_do():
    rng = np.random.default_rng(1)
    true = moved(1.0, -3.0, 0.5, (12.0, -4.0, 30.0))
    runs = [position(DRAWN, true + rng.normal(0, 0.5, true.shape), PM, CRANK) for _ in range(300)]
    accused = [r for r in runs if r.named is not None or r.candidates]
    assert len(accused) <= 9, "1 % false alarms"
    runs = [r for r in runs if r.named is None and not r.candidates]
    at = 2 * np.std([r.at for r in runs], axis=0)
    turn = 2 * np.std([(r.roll, r.pitch, r.yaw) for r in runs], axis=0)
    assert at == pytest.approx(np.array(runs[0].at_pm), rel=0.15)
    assert turn == pytest.approx(np.array(runs[0].turn_pm), rel=0.15)
    assert np.mean([r.misfit for r in runs]) == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize("k", range(5))
def test_a_point_measured_wrong_is_named_and_left_out(k):
    measured = moved(1.0, -3.0, 0.5, (12.0, -4.0, 30.0))
    measured[k] += [0.0, 9.0, 0.0]
    found = position(DRAWN, measured, PM, CRANK)
    assert found.named == k or k in found.candidates
    if found.named == k:
        assert found.at == pytest.approx((12.0, -4.0, 30.0), abs=1e-6)
    assert any(k in (f.a, f.b) for f in found.impossible)


def test_of_three_points_the_wrong_one_cannot_be_told_but_the_distance_is_impossible():
    measured = moved(0, 0, 0, (5.0, 0.0, 0.0))[[0, 2, 4]]
    measured[2] += [-12.0, 0.0, 0.0]
    found = position(DRAWN[[0, 2, 4]], measured, PM[:3])
    assert found.named is None
    assert set(found.candidates) == {0, 1, 2}
    worst = found.impossible[0]
    assert 2 in (worst.a, worst.b)
    assert worst.measured - worst.drawn == pytest.approx(12.0, abs=1.0)


def test_left_and_right_exchanged_is_pointed_out():
    swapped = DRAWN * [1.0, -1.0, 1.0]
    assert position(DRAWN, swapped, PM).mirrored
    assert not position(DRAWN, moved(1, 2, 3, (4, 5, 6)), PM).mirrored


@pytest.mark.parametrize(
    ("drawn", "words"),
    [
        (DRAWN[:2], "must be at least 3"),
        (np.array([(0, 0, 0), (1, 1, 1), (2, 2, 2)], dtype=float), "all in a line as drawn"),
    ],
)
def test_points_that_cannot_fix_a_place_are_refused(drawn, words):
    with pytest.raises(InputError) as refused:
        position(drawn, DRAWN[: len(drawn)], PM[: len(drawn)])
    assert words in str(refused.value)


def test_terns_diagonals_agree():
    """Tern (invented): 878.5 and 877.8 taped, 878.01 calculated, difference 0.7 of 3 allowed."""
    found = square(MARKS, (878.5, 877.8), 3.0)
    assert found.drawn == (pytest.approx(math.hypot(700, 530)), pytest.approx(math.hypot(700, 530)))
    assert found.pairs == ((0, 3), (1, 2))
    assert found.difference == pytest.approx(0.7)
    assert found.agrees
    assert not square(MARKS, (878.5, 874.4), 3.0).agrees


def test_a_side_that_stands_ahead_is_worked_out_from_the_diagonals():
    """Parallelogram with the right side 6 mm ahead: diagonals by Pythagoras."""
    shifted = 6.0
    long, wide = 700.0, 530.0
    first, second = math.hypot(long + shifted, wide), math.hypot(long - shifted, wide)
    found = square(MARKS, (first, second), 3.0)
    assert found.ahead == pytest.approx(shifted, abs=1e-9)


@pytest.mark.parametrize("order", [(0, 1, 2, 3), (0, 2, 3, 1), (3, 1, 2, 0)])
def test_the_diagonals_are_found_whatever_order_the_marks_come_in(order):
    found = square(MARKS[list(order)], (878.0, 878.0), 3.0)
    assert found.drawn == (pytest.approx(878.01, abs=0.01), pytest.approx(878.01, abs=0.01))


def test_marks_in_a_line_are_refused():
    with pytest.raises(InputError):
        square(np.array([(k, 0, 0) for k in range(4)], dtype=float), (1.0, 1.0), 3.0)
