"""Least and most distance of two points over a movement: closed forms and dense sampling."""

from __future__ import annotations

import math

import numpy as np
import pytest

from brackets.clearance.distances import WITHIN, PointDistance, point_distance
from brackets.clearance.motion import Moves, Turn, bush_moves, powertrain_moves
from brackets.core.errors import InputError


def near(found: PointDistance, least: float, most: float) -> None:
    for (low, high), true in ((found.least, least), (found.most, most)):
        assert low - 1e-9 <= true <= high + 1e-9
        assert high - low <= WITHIN + 1e-9


def test_nothing_moves() -> None:
    assert point_distance((0, 0, 0), (3, 4, 0), None) == PointDistance(5.0, (5.0, 5.0), (5.0, 5.0))


def test_travels_alone_are_known_exactly() -> None:
    found = point_distance((100, 0, 0), (0, 0, 0), powertrain_moves((0, 0, 0), fore=8, aft=5, side=30))
    assert found.rest == 100
    assert found.least == (95.0, 95.0)  # straight back; to the side it would be further
    assert found.most == (math.hypot(108, 30), math.hypot(108, 30))


def test_a_turn_follows_the_chord() -> None:
    """A point 200 from its axis and one on its circle, 90 deg on: 2 r sin of half the angle between."""
    moves = Moves(turns=(Turn((0.0, 0.0, 1.0), -10, 20),))
    found = point_distance((200, 0, 0), (0, 200, 0), moves)
    near(found, 400 * math.sin(math.radians(35)), 400 * math.sin(math.radians(50)))


def test_the_least_may_lie_between_the_ends_of_a_turn() -> None:
    moves = Moves(turns=(Turn((0.0, 0.0, 1.0), -20, 30),))
    found = point_distance((200, 0, 0), (250 * math.cos(0.1), 250 * math.sin(0.1), 0), moves)
    near(found, 50, math.dist((200 * math.cos(math.radians(-20)), 200 * math.sin(math.radians(-20))),
                              (250 * math.cos(0.1), 250 * math.sin(0.1))))  # fmt: skip


@pytest.mark.parametrize("seed", range(2))
def test_all_freedoms_at_once_hold_what_is_sampled(seed: int) -> None:
    random = np.random.default_rng(seed)
    p, q, about = random.uniform(-400, 400, (3, 3))
    moves = powertrain_moves(about, roll=3, pitch=2, yaw=1, up=5, down=7, fore=4, aft=6, side=3)
    found = point_distance(tuple(p), tuple(q), moves)
    limits = moves.limits
    places = random.uniform(limits[:, 0], limits[:, 1], (4000, 6))
    ends = np.where(random.random((4000, 6)) < 0.5, limits[:, 0], limits[:, 1])
    away = [float(np.linalg.norm(moves.place(at).points(p[None])[0] - q)) for at in (*places, *ends)]
    assert found.least[0] <= min(away)
    assert max(away) <= found.most[1]
    assert min(away) <= found.least[1] + 0.3
    assert found.most[0] - 0.3 <= max(away)
    assert max(found.least[1] - found.least[0], found.most[1] - found.most[0]) <= WITHIN + 1e-9


def test_a_bush_is_refused() -> None:
    with pytest.raises(InputError, match="with any_way or round, must be turns and travels"):
        point_distance((0, 0, 0), (1, 0, 0), bush_moves((1, 0, 0), radial=2, axial=1))
