"""Random powertrains on random mounts, stops and loads, for the tests of the mechanics; all invented."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from brackets.core.vectors import Vec
from brackets.hang.load import Load
from brackets.hang.mount import Mount, Stop, link
from brackets.hang.scatter import ReactionRange
from brackets.hang.statics import reactions

POINT = (150.0, -80.0, 320.0)
FRAME = np.array([[2.0, -1, 2], [-1, 2, 2], [2, 2, -1]]) / 3
"""Three directions square to each other, along which POINT is followed too."""


@dataclass(frozen=True)
class RandomBay:
    mass: float
    inertia: Any
    centre: Vec
    mounts: tuple[Mount, ...]
    stops: tuple[Stop, ...]
    loads: tuple[Load, ...]
    felt: Vec


def vec(rng: random.Random, size: float) -> Vec:
    return rng.uniform(-size, size), rng.uniform(-size, size), rng.uniform(-size, size)


def turn(rng: random.Random) -> Any:
    """(3, 3) a random turn: from a random quaternion."""
    w, x, y, z = (rng.gauss(0, 1) for _ in range(4))
    size = math.sqrt(w * w + x * x + y * y + z * z)
    w, x, y, z = w / size, x / size, y / size, z / size
    return np.array([
        [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
        [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
        [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
    ])  # fmt: skip


def random_bay(rng: random.Random, *, scatter: bool = False) -> RandomBay:
    """Three or four mounts round a powertrain, perhaps a link, up to three stops, a load and a pull."""
    mounts, twists = [], rng.random() < 0.5
    for i in range(rng.randint(3, 4)):
        at = (rng.choice((-1, 1)) * rng.uniform(100, 500), rng.choice((-1, 1)) * rng.uniform(100, 300),
              rng.uniform(-200, 300))  # fmt: skip
        mounts.append(Mount(
            name=f"mount {i + 1}", position=at, stiffness=[rng.uniform(50, 800) for _ in range(3)],
            rotation=turn(rng), torsion=rng.uniform(1e4, 1e5) if twists else 0.0, dynamic=1.0,
            low=rng.uniform(0.7, 0.95) if scatter else 1.0, high=rng.uniform(1.05, 1.4) if scatter else 1.0,
        ))  # fmt: skip
    if rng.random() < 0.5:
        at = vec(rng, 300)
        mounts.append(link(name="link", position=at, to=tuple(np.add(at, (250, 10, -20))), stiffness=400,
                           late=rng.random() < 0.5, low=0.8 if scatter else 1.0))  # fmt: skip
    stops = tuple(
        Stop(name=f"stop {i}", at=vec(rng, 300), direction=vec(rng, 1), gap=rng.uniform(0, 3), stiffness=rng.choice(
            (500.0, 20_000.0, 1e6)))
        for i in range(rng.randint(0, 3))
    )  # fmt: skip
    principal = sorted(rng.uniform(2e6, 1.5e7) for _ in range(3))
    principal[2] = min(principal[2], 0.95 * (principal[0] + principal[1]))
    axes = turn(rng)
    return RandomBay(
        mass=rng.uniform(60, 300), inertia=axes @ np.diag(principal) @ axes.T, centre=vec(rng, 60),
        mounts=tuple(mounts), stops=stops, felt=vec(rng, 2.5),
        loads=(Load(force=vec(rng, 3000), at=vec(rng, 400), couple=vec(rng, 1e6)),),
    )  # fmt: skip


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
    if len(found.points[0]) > 1:
        assert (FRAME @ point >= found.points[0][1] - slack).all()
        assert (FRAME @ point <= found.points[1][1] + slack).all()
    assert (one.pushes >= found.pushes[0] - size).all()
    assert (one.pushes <= found.pushes[1] + size).all()
