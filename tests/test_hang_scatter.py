"""Bounds over the scatter of the bushes: nothing inside the box leaves them, and exact ones are reached."""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hang_bays import POINT, RandomBay, inside, random_bay, softened

from brackets.core.errors import InputError
from brackets.hang import scatter
from brackets.hang.load import G, Load, LoadCase
from brackets.hang.mount import Mount, Stop
from brackets.hang.scatter import ReactionRange, reaction_range
from brackets.hang.statics import NotHeldError, reactions
from brackets.hang.travel import movement_bounds


def bounds(bay: RandomBay) -> ReactionRange:
    return reaction_range(
        bay.mass, bay.centre, bay.mounts, bay.loads, stops=bay.stops, felt=bay.felt, points=[POINT]
    )


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


def test_no_case_nor_the_way_to_it_passes_the_bounds_of_movement(rng: Callable[[int], random.Random]) -> None:
    """Cases at any part of their load up to the overshoot, with any bushes of the scatter."""
    for n in range(2):
        chosen, bay = rng(n + 300), random_bay(rng(n), scatter=True)
        bay = replace(bay, mounts=tuple(m for m in bay.mounts if not m.late))
        cases = [LoadCase(name="one", loads=bay.loads), LoadCase(name="two", felt=bay.felt)]
        body = bay.mass, bay.centre, bay.mounts
        found = movement_bounds(*body, cases, stops=bay.stops, points=[POINT], overshoot=1.4)
        for _ in range(12):
            case, part = chosen.choice(cases), chosen.uniform(0, 1.4)
            felt = tuple(part * g for g in case.felt)
            some = replace(bay, loads=tuple(load.times(part) for load in case.loads), felt=felt)  # type: ignore[arg-type]
            factors = [[chosen.uniform(m.low, m.high) for _ in range(6)] for m in bay.mounts]
            everything = (np.full((len(bay.mounts), 3), -np.inf), np.full((len(bay.mounts), 3), np.inf))
            pushes = (np.full(len(bay.stops), -np.inf), np.full(len(bay.stops), np.inf))
            box = ReactionRange(
                forces=everything, moved=found.moved, points=found.points, pushes=pushes, exact=False
            )
            inside(some, box, factors)


def test_bounds_of_movement_by_hand() -> None:
    """100 kg on 1000 N/mm: 2 g more sink it 1.961 mm, with an overshoot of 1.5 2.942; 1 g up 1.471. The stop lets
    nothing past that the bounds do not know of."""
    four = [{"name": f"{x} {y}", "position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    cases = [LoadCase(name="bump", felt=(0, 0, -2)), LoadCase(name="hop", felt=(0, 0, 1))]
    free = movement_bounds(100, (0, 0, 0), four, cases, overshoot=1.5)
    assert free.moved[0][2] == pytest.approx(-3 * 100 * G / 1000)
    assert free.moved[1][2] == pytest.approx(1.5 * 100 * G / 1000)
    assert (free.by[0][2], free.by[1][2]) == ("bump", "hop")
    stop = Stop(name="snubber", at=(0, 0, 0), direction=(0, 0, -1), gap=1, stiffness=1e6)
    held = movement_bounds(100, (0, 0, 0), four, cases, stops=[stop], overshoot=1.5)
    assert -1.13 < held.moved[0][2] < -1.0  # a twenty-fourth of 2.942 mm for what lies between
    with pytest.raises(InputError, match="overshoot = 0.5, must be 1 or more"):
        movement_bounds(100, (0, 0, 0), four, cases, overshoot=0.5)


def test_bounds_where_only_stops_hold_are_refused() -> None:
    """A pad holds what slides without it: whether it lets go somewhere in the scatter is then not known."""
    slides = [{"position": (x, y, 0), "stiffness": (100, 100, 0), "low": 0.9} for x in (-9, 9) for y in (-9, 9)]
    pads = [Stop(name=f"{x} {y}", at=(x, y, 0), direction=(0, 0, -1), gap=0, stiffness=1000, carries=True)
            for x in (-200, 200) for y in (-200, 200)]  # fmt: skip
    assert reaction_range(100, (0, 0, 0), slides, stops=pads).pushes[0] == pytest.approx(np.full(4, 25 * G))
    tips = LoadCase(name="tips", loads=(Load(couple=(1.2e5, 1.2e5, 0)),))  # one pad lets go, three hold
    with pytest.raises(InputError, match="must hold the powertrain without its stops"):
        movement_bounds(100, (0, 0, 0), slides, [tips], stops=pads)
    light = movement_bounds(100, (0, 0, 0), slides, [LoadCase(name="hop", felt=(0, 0, 0.5))], stops=pads)
    assert light.moved[1][2] == pytest.approx(50 * G / 4000)  # all four pads stay on: nothing opens


def test_bounds_of_what_nothing_holds_are_refused() -> None:
    with pytest.raises(NotHeldError):
        reaction_range(100, (10, 0, 0), [{"position": (0, 0, 0), "stiffness": 100}])


def test_bounds_of_what_is_only_balanced_are_refused() -> None:
    """On two bushes in line under the centre of mass the weight drives nothing, and yet nothing holds its turn."""
    two = [Mount(position=(x, 0, 0), stiffness=100, low=0.9) for x in (-100, 100)]
    assert reactions(10, (0, 0, 0), two).balance < 1e-12
    with pytest.raises(NotHeldError, match="free to turn about .*, and is only balanced"):
        reaction_range(10, (0, 0, 0), two)


def test_corners_kept_from_another_bay_are_not_taken_for_its_own(rng: Callable[[int], random.Random]) -> None:
    """Bounds are the same to the last bit whether or not others were worked out before: of other loads, of other
    points, with one spring stiffer, or with one bush that scatters more."""
    bay = random_bay(rng(3), scatter=True)
    one, *others = bay.mounts
    variants = [
        bay,
        replace(bay, felt=(0.3, -0.2, 1.1)),
        replace(bay, mounts=(replace(one, stiffness=tuple(1.01 * k for k in one.stiffness)), *others)),
        replace(bay, mounts=(replace(one, high=one.high + 0.1), *others)),
    ]

    def said(found: ReactionRange) -> list[float]:
        return np.concatenate([np.ravel(each) for each in (*found.forces, *found.moved, *found.points)]).tolist()

    after_others = [said(bounds(one)) for one in variants]
    alone = []
    for variant in variants:
        scatter._soft.cache_clear()
        alone.append(said(bounds(variant)))
    assert after_others == alone
    assert len({tuple(each) for each in alone}) == len(variants)


def test_corners_kept_are_told_apart_by_the_springs_that_are_left_at_the_middle(
    rng: Callable[[int], random.Random], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A fifth mount that scatters by a 1024th either way, or by a 512th: no corner of the box is another, and what
    its springs add is."""
    asked: list[tuple[object, ...]] = []
    soft = scatter._soft

    def noted(*key: object) -> scatter._Soft:
        asked.append(key)
        return soft(*key)  # type: ignore[arg-type]

    monkeypatch.setattr(scatter, "_soft", noted)
    four = [Mount(name=f"mount {k}", position=(x, y, 0), stiffness=(200 + 90 * k, 310, 150), low=0.7, high=1.3)
            for k, (x, y) in enumerate(((-300, -200), (-250, 180), (310, 190), (280, -220)))]  # fmt: skip
    bay = replace(random_bay(rng(3), scatter=True), stops=())

    def said(part: float) -> list[float]:
        fifth = Mount(name="fifth", position=(20, 10, 5), stiffness=(90, 80, 70), low=1 - part, high=1 + part)
        found = bounds(replace(bay, mounts=(*four, fifth)))
        return np.concatenate([np.ravel(each) for each in (*found.forces, *found.moved)]).tolist()

    parts = (1 / 1024, 1 / 512)
    after_others = [said(part) for part in parts]
    assert asked[0][:2] == asked[1][:2]  # stiffness of the corners, and springs
    alone = []
    for part in parts:
        soft.cache_clear()
        alone.append(said(part))
    assert after_others == alone
    assert alone[0] != alone[1]
