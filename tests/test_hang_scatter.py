"""Bounds over the scatter of the bushes: nothing inside the box leaves them, and exact ones are reached."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hang_bays import RandomBay, random_bay

from brackets.hang.load import G, Load
from brackets.hang.mount import Mount, Stop
from brackets.hang.scatter import ReactionRange, reaction_range
from brackets.hang.statics import NotHeldError, reactions

POINT = (150.0, -80.0, 320.0)


def bounds(bay: RandomBay) -> ReactionRange:
    return reaction_range(
        bay.mass, bay.centre, bay.mounts, bay.loads, stops=bay.stops, felt=bay.felt, points=[POINT]
    )


def softened(mount: Mount, factors: Any) -> Mount:
    """The mount with each of its own three springs, and the three that turn, times a factor of its own."""
    straight, turning = (np.sqrt(np.diag(factors[i : i + 3])) for i in (0, 3))
    return Mount(
        name=mount.name, position=mount.position, rotation=mount.rotation,
        stiffness=straight @ mount.stiffness @ straight, torsion=turning @ mount.torsion @ turning, late=mount.late,
    )  # fmt: skip


def inside(bay: RandomBay, found: ReactionRange, factors: list[Any]) -> None:
    """One set of stiffnesses: its forces and movements lie in the bounds; gaps are those as drawn."""
    rest = reactions(bay.mass, bay.centre, bay.mounts)
    shift = [float(np.array(stop.direction) @ rest.at(stop.at, from_drawn=False)) for stop in bay.stops]
    mounts = [softened(mount, each) for mount, each in zip(bay.mounts, factors, strict=True)]
    own = reactions(bay.mass, bay.centre, mounts)
    moved = [float(np.array(stop.direction) @ own.at(stop.at, from_drawn=False)) for stop in bay.stops]
    gaps = [stop.gap + a - b for stop, a, b in zip(bay.stops, shift, moved, strict=True)]
    if min(gaps, default=0.0) < 0:
        return  # this set would lean on the stop by its weight alone, which `Stop` cannot say
    stops = [replace(stop, gap=gap) for stop, gap in zip(bay.stops, gaps, strict=True)]
    loads, extra = list(bay.loads), np.zeros((len(mounts), 3))
    for i, mount in enumerate(mounts):
        if mount.late:  # a link of one length carries nothing as drawn, not where these stiffnesses would hang
            at = tuple(map(float, mount.position))
            extra[i] = mount.outer[0] @ (rest.at(at, from_drawn=False) - own.at(at, from_drawn=False))
            loads.append(Load(force=tuple(map(float, extra[i])), at=at))  # type: ignore[arg-type]
    one = reactions(bay.mass, bay.centre, mounts, loads, stops=stops, felt=bay.felt)
    slack = 1e-6
    forces = one.forces + extra
    size = slack * float(np.abs(forces).max())
    assert (forces >= found.forces[0] - size).all()
    assert (forces <= found.forces[1] + size).all()
    went = one.movement - rest.rest
    assert (went >= found.moved[0] - slack).all()
    assert (went <= found.moved[1] + slack).all()
    point = one.at(POINT, from_drawn=False) - rest.at(POINT, from_drawn=False)
    assert (point >= found.points[0][0] - slack).all()
    assert (point <= found.points[1][0] + slack).all()
    assert (one.pushes >= found.pushes[0] - size).all()
    assert (one.pushes <= found.pushes[1] + size).all()


def test_dense_sampling_never_leaves_the_bounds(rng: Callable[[int], random.Random]) -> None:
    """Each spring by itself at random, all springs of a mount together, and corners of the box."""
    exact = 0
    for n in range(12):
        chosen, bay = rng(n + 5000), random_bay(rng(n), scatter=True)
        found = bounds(bay)
        exact += found.exact
        for _ in range(8):
            inside(bay, found, [[chosen.uniform(m.low, m.high) for _ in range(6)] for m in bay.mounts])
            inside(bay, found, [[chosen.uniform(m.low, m.high)] * 6 for m in bay.mounts])
            inside(bay, found, [[chosen.choice((m.low, m.high)) for _ in range(6)] for m in bay.mounts])
    assert 0 < exact < 12  # both ways to bound were tried


def test_exact_bounds_are_reached_at_a_corner() -> None:
    """Two mounts, six springs: all 64 corners by `reactions` give the bounds themselves."""
    mounts = tuple(
        Mount(name=f"m{i}", position=p, stiffness=k, torsion=0, low=low, high=high)
        for i, (p, k, low, high) in enumerate((
            ((-200, 150, 0), (100, 150, 300), 0.8, 1.2), ((-200, -150, 20), (120, 150, 200), 1, 1),
            ((300, 0, -30), (90, 200, 350), 0.7, 1.3),
        ))
    )  # fmt: skip
    load = Load(couple=(1e5, 2e5, -3e4), force=(300, 0, 50))
    found = reaction_range(120, (0, 10, 30), mounts, [load], points=[POINT])
    assert found.exact
    sets = []
    for ends in itertools.product((0, 1), repeat=6):
        halves = (mounts[0], ends[:3]), (mounts[2], ends[3:])
        a, b = ([m.high if e else m.low for e in part] for m, part in halves)
        changed = [softened(mounts[0], [*a, 1, 1, 1]), mounts[1], softened(mounts[2], [*b, 1, 1, 1])]
        sets.append(reactions(120, (0, 10, 30), changed, [load]).forces)
    assert found.forces[0] == pytest.approx(np.min(sets, axis=0))
    assert found.forces[1] == pytest.approx(np.max(sets, axis=0))


def test_a_single_mount_by_hand() -> None:
    """100 kg on 200 N/mm in all: 4.903 mm deep as typed; 0.8 makes it 1.226 deeper, 1.3 1.132 higher."""
    two = [{"position": (x, 0, 0), "stiffness": 100, "torsion": 1e6, "low": 0.8, "high": 1.3} for x in (-1, 1)]
    found = reaction_range(100, (0, 0, 0), two)
    sag = 100 * G / 200
    assert found.moved[0][2] == pytest.approx(sag - sag / 0.8)
    assert found.moved[1][2] == pytest.approx(sag - sag / 1.3)


def test_without_scatter_the_bounds_are_the_figures_themselves(rng: Callable[[int], random.Random]) -> None:
    for n in range(15):
        bay = random_bay(rng(n))
        found = bounds(bay)
        one = reactions(bay.mass, bay.centre, bay.mounts, bay.loads, stops=bay.stops, felt=bay.felt)
        assert found.exact
        for end in (0, 1):
            assert found.forces[end] == pytest.approx(one.forces, rel=1e-6, abs=1e-5)
            assert found.moved[end] == pytest.approx(one.moved, rel=1e-6, abs=1e-9)
            assert found.pushes[end] == pytest.approx(one.pushes, rel=1e-6, abs=1e-3)


def test_a_stop_that_may_close_widens_the_bounds_and_they_still_hold() -> None:
    """A stop that closes only where the mounts are soft: corners alone would not prove anything."""
    four = [Mount(position=(x, y, 0), stiffness=250, low=0.7, high=1.3, name=f"{x} {y}")
            for x in (-200, 200) for y in (-200, 200)]  # fmt: skip
    stop = Stop(name="snubber", at=(0, 0, 0), direction=(0, 0, -1), gap=3, stiffness=2000)
    found = reaction_range(100, (0, 0, 0), four, stops=[stop], felt=(0, 0, -3))
    assert not found.exact
    assert found.pushes[0][0] == 0
    sag = 100 * G / 1000  # as typed; of the softest, 700 N/mm in all, the stop takes a part
    softest = (100 * G * 4 + 2000 * (3 + sag)) / (700 + 2000)
    assert found.moved[0][2] < sag - softest < -3


def test_bounds_of_what_nothing_holds_are_refused() -> None:
    with pytest.raises(NotHeldError):
        reaction_range(100, (10, 0, 0), [{"position": (0, 0, 0), "stiffness": 100}])
