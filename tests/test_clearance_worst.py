"""The worst place of a movement: within the interval said of it, and not beaten by trying many places."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance.bodies import skins

V = cq.Vector


def lump(rng: np.random.Generator) -> cq.Shape:
    """Something with flats, edges and a round boss, so that the worst may be anywhere."""
    x, y, z = (float(v) for v in rng.uniform(40, 120, 3))
    made = cq.Workplane().box(x, y, z)
    return made.faces(">Z").workplane().circle(min(x, y) / 3).extrude(float(rng.uniform(10, 40))).val()


def bay(seed: int) -> tuple[clearance.Body, list[clearance.Body], clearance.Moves]:
    """An engine with two things round it, and a movement whose corners need not be the worst of it."""
    rng = np.random.default_rng(seed)
    engine = clearance.body(lump(rng), name="engine", tolerance=0.1)
    others = []
    for n in range(2):
        way = rng.normal(size=3)
        way /= np.linalg.norm(way)
        axis = rng.normal(size=3)
        turn = clearance.about((0, 0, 0), axis / np.linalg.norm(axis), float(rng.uniform(0, 180)))
        other = clearance.body(lump(rng), name=f"other {n}", tolerance=0.1).placed(turn)
        out = 60.0
        while (near := skins(engine, other.placed(clearance.moved(way * out))).distance) < 14:
            out += max(1.0, 14 - near)
        others.append(other.placed(clearance.moved(way * out)))
    degrees = {name: float(rng.uniform(0.3, 1.5)) for name in ("roll", "pitch", "yaw")}
    travel = {name: float(rng.uniform(0, 4)) for name in ("up", "down", "fore", "aft", "side")}
    return engine, others, clearance.powertrain_moves(rng.uniform(-60, 60, 3), **degrees, **travel)


def at_worst(engine: clearance.Body, moves: clearance.Moves, pair: clearance.SweptPair) -> clearance.Body:
    return engine.placed(moves.place(np.array([*np.radians(pair.worst.angles), *pair.worst.travel])))


@pytest.mark.parametrize("seed", range(3))
def test_no_place_tried_is_nearer_than_proven_nor_than_the_worst_said(seed: int) -> None:
    engine, others, moves = bay(seed)
    rng = np.random.default_rng(seed + 100)
    within = 2.0
    swept = clearance.sweep(engine, others, moves, within, needed=30.0)
    assert swept.finished
    low, high = moves.limits.T
    tries = np.vstack((rng.uniform(0, 1, (800, 6)), rng.integers(0, 2, (64, 6)), rng.beta(0.3, 0.3, (800, 6))))
    for pair in swept.pairs:
        other = others[pair.j]
        found = clearance.gap(at_worst(engine, moves, pair), other)
        assert pair.settled
        assert pair.low - 1e-9 <= found.low <= found.high <= pair.high + 1e-9
        assert pair.high - pair.low <= within
        slack = engine.bound + other.bound
        sampled = min(skins(engine.placed(moves.place(low + s * (high - low))), other).distance for s in tries)
        assert sampled + slack >= pair.low
        assert pair.high <= sampled + slack + 1e-3  # followed down: not only within the width


def test_the_worst_within_the_range_is_followed_to_where_it_is() -> None:
    """A block turned under a wall: its corner is highest at atan(30 / 50), no corner of the range."""
    block = clearance.body(cq.Solid.makeBox(100, 60, 40, V(-50, -30, -20)), name="block")
    wall = clearance.body(cq.Solid.makeBox(10, 400, 400, V(65, -200, -200)), name="wall")
    found = clearance.rock(block, wall, ((0, 0, 0), (0, 0, 1)), (0, 45), within=0.5)
    assert found.low <= 65 - math.hypot(50, 30) <= found.high
    assert found.high == pytest.approx(65 - math.hypot(50, 30), abs=1e-3)
    assert found.worst.angles[0] == pytest.approx(math.degrees(math.atan2(30, 50)), abs=0.5)
