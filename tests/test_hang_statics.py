"""What mounts carry and where the powertrain goes: by hand, by equilibrium, by its energy, and with stops."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hang_bays import RandomBay, random_bay, turn

from brackets.core.errors import InputError
from brackets.hang.cases import one_missing, under_cases
from brackets.hang.load import G, Load, LoadCase, road_cases
from brackets.hang.mount import Mount, Stop, as_mounts, lever, link, stiffness_matrix
from brackets.hang.settle import least_along
from brackets.hang.statics import NotHeldError, Reactions, reactions

BAYS = 300


def test_three_reactions_by_hand() -> None:
    """Statics of three supports: 220 kg, mounts (-250, +-300), (700, 0), centre (50, 20): 809.99, 666.16, 681.30 N
    by moments about two axes, whatever the stiffness."""
    at = (-250, 300, 0), (-250, -300, 0), (700, 0, 0)
    for stiffness in ((150, 150, 300), (10, 90, 40)):
        found = reactions(220, (50, 20, 0), [{"position": p, "stiffness": stiffness} for p in at])
        assert found.vertical.tolist() == [pytest.approx(n, abs=0.005) for n in (809.99, 666.16, 681.30)]


def test_a_shaft_drive_turns_one_side_up() -> None:
    """400 Nm x 3.3 = 1320 Nm over mounts 0.5 m apart: 2640 N up and down beside 893 N of weight each: the reaction
    is against the shaft, so that the left side goes down and carries 3533 N, and the right pulls up 1747 N."""
    mounts = [Mount(name=n, position=(0, y, 0), stiffness=300) for n, y in (("left", 250), ("right", -250))]
    mounts.append(Mount(name="rear", position=(-900, 0, 0), stiffness=1e-3))
    case = LoadCase(name="first gear", loads=(Load(couple=(-1320e3, 0, 0)),))
    weight, first = under_cases(2 * 893 / G, (0, 0, 0), mounts, [case])
    assert weight.found.vertical[:2].tolist() == [pytest.approx(893, abs=0.1)] * 2
    assert first.found.vertical[:2].tolist() == [pytest.approx(3533, abs=0.5), pytest.approx(-1747, abs=0.5)]
    assert [state.lifts for state in first.mounts[:2]] == [False, True]
    assert [state.reverses for state in first.mounts[:2]] == [False, True]
    assert not any(state.lifts or state.reverses for state in weight.mounts)


def bay_of(rng: random.Random) -> tuple[RandomBay, Reactions]:
    bay = random_bay(rng)
    return bay, reactions(bay.mass, bay.centre, bay.mounts, bay.loads, stops=bay.stops, felt=bay.felt)


def test_in_300_random_bays_forces_and_moments_balance(rng: Callable[[int], random.Random]) -> None:
    """Weight, load, mounts, their couples and stops add up to nothing, about a point that is none of theirs."""
    for n in range(BAYS):
        bay, found = bay_of(rng(n))
        point = np.array([17.0, -40.0, 120.0])
        load = bay.loads[0]
        pull = bay.mass * G * (np.array(bay.felt) - [0, 0, 1])
        ways = [np.array(stop.direction) for stop in bay.stops]
        stopped = [-push * way for push, way in zip(found.pushes, ways, strict=True)]
        forces = [pull, np.array(load.force), *found.forces, *stopped]
        at = [bay.centre, load.at, *(m.position for m in found.mounts), *(stop.at for stop in bay.stops)]
        moments = [np.cross(np.array(p) - point, f) for p, f in zip(at, forces, strict=True)]
        size = sum(float(np.linalg.norm(f)) for f in forces)
        assert float(np.linalg.norm(np.sum(forces, axis=0))) < 1e-9 * size
        left = np.sum(moments, axis=0) + found.couples.sum(axis=0) + np.array(load.couple)
        assert float(np.linalg.norm(left)) < 1e-9 * sum(float(np.linalg.norm(m)) for m in moments)
        assert found.balance < 1e-9


def test_in_300_random_bays_stops_push_or_are_open(rng: Callable[[int], random.Random]) -> None:
    """Complementarity, from where each stop's point went: gap left >= 0 less what it is pressed, push >= 0, and
    push x opening = 0."""
    closed = 0
    for n in range(BAYS):
        bay, found = bay_of(rng(n))
        for stop, push in zip(bay.stops, found.pushes, strict=True):
            opening = stop.gap - float(np.array(stop.direction) @ found.at(stop.at))
            assert push >= 0
            assert opening + push / stop.stiffness > -1e-9 * (1 + abs(opening))
            assert push * (opening + push / stop.stiffness) == pytest.approx(0, abs=1e-6 * (1 + push))
            closed += push > 0
    assert closed > 50


def test_stops_are_those_of_all_sets_that_fit(rng: Callable[[int], random.Random]) -> None:
    """By another way: of all sets of closed stops exactly one keeps every condition, and it is the one found."""
    tried = 0
    for n in range(60):
        bay, found = bay_of(rng(n))
        if not bay.stops:
            continue
        centre = np.array(bay.centre)
        stiff = stiffness_matrix(as_mounts(bay.mounts), centre)
        weight = np.array([0, 0, -bay.mass * G, 0, 0, 0])
        load = weight + bay.loads[0].about(centre) + bay.mass * G * np.array([*bay.felt, 0, 0, 0])
        carrying = stiffness_matrix([mount for mount in bay.mounts if not mount.late], centre)
        rest = np.linalg.solve(carrying, weight)
        load = load + (stiff - carrying) @ rest
        rows = np.array([stop.row(centre) for stop in bay.stops])
        gaps = np.array([stop.gap for stop in bay.stops]) + rows @ rest
        springs = np.array([stop.stiffness for stop in bay.stops])
        fits = []
        for on in itertools.product((False, True), repeat=len(bay.stops)):
            chosen = np.array(on)
            with_ = stiff + (rows[chosen].T * springs[chosen]) @ rows[chosen]
            q = np.linalg.solve(with_, load + rows[chosen].T @ (springs[chosen] * gaps[chosen]))
            pressed = rows @ q - gaps
            if (pressed[chosen] > 0).all() and (pressed[~chosen] <= 0).all():
                fits.append(springs * np.where(chosen, pressed, 0))
        assert len(fits) == 1
        assert found.pushes.tolist() == [pytest.approx(p, rel=1e-6, abs=1e-6) for p in fits[0]]
        tried += 1
    assert tried > 30


def energy(mounts: tuple[Mount, ...], centre: Any, q: Any) -> float:
    """Strain energy by large turns (Rodrigues), N mm: nothing of it is taken from the library's matrices."""
    u, w = np.array(q[:3]), np.array(q[3:])
    size = float(np.linalg.norm(w))
    k = w / size if size else np.zeros(3)
    total = 0.0
    for mount in mounts:
        r = np.array(mount.position) - centre
        moved = r * math.cos(size) + np.cross(k, r) * math.sin(size) + k * (k @ r) * (1 - math.cos(size))
        own = mount.rotation.T @ (u + moved - r)
        twist = mount.rotation.T @ w
        total += 0.5 * float(own @ mount.stiffness @ own) + 0.5 * float(twist @ mount.torsion @ twist)
    return total


def test_the_stiffness_matrix_is_the_hessian_of_the_energy(rng: Callable[[int], random.Random]) -> None:
    """Of 15 bays every figure of it, of 285 more one each."""
    step = np.array([1e-3] * 3 + [1e-6] * 3)
    whole = list(itertools.combinations_with_replacement(range(6), 2))
    for n in range(BAYS):
        bay = random_bay(rng(n))
        centre = np.array(bay.centre)
        stiff = stiffness_matrix(bay.mounts, centre)
        for i, j in whole if n < 15 else rng(n + 7000).sample(whole, 1):
            a, b = np.eye(6)[i] * step, np.eye(6)[j] * step
            four = [s * t * energy(bay.mounts, centre, s * a + t * b) for s in (1, -1) for t in (1, -1)]
            hessian = sum(four) / (4 * step[i] * step[j])
            assert hessian == pytest.approx(stiff[i, j], abs=2e-4 * math.sqrt(stiff[i, i] * stiff[j, j]))


def test_the_stiffness_matrix_is_symmetric_and_pushes_back(rng: Callable[[int], random.Random]) -> None:
    for n in range(BAYS):
        bay = random_bay(rng(n))
        stiff = stiffness_matrix(bay.mounts, bay.centre)
        assert (stiff == stiff.T).all()
        size = np.sqrt(np.diag(stiff))
        assert np.linalg.eigvalsh(stiff / np.outer(size, size)).min() > 0


def test_a_turned_bay_has_turned_reactions(rng: Callable[[int], random.Random]) -> None:
    """Everything but the weight, which is turned along by what is felt, about z and any axis."""
    for n in range(20):
        bay, found = bay_of(rng(n))
        spin = turn(rng(n + 1000))

        def spun(v: Any, spin: Any = spin) -> Any:
            return tuple(spin @ np.array(v))

        mounts = [Mount(name=m.name, position=spun(m.position), stiffness=m.stiffness, torsion=m.torsion,
                        rotation=spin @ m.rotation) for m in bay.mounts]  # fmt: skip
        load = bay.loads[0]
        loads = [Load(force=spun(load.force), at=spun(load.at), couple=spun(load.couple))]
        down = np.array([0.0, 0, -1])
        felt = tuple(spin @ (np.array(bay.felt) + down) - down)
        whole = [Mount(name=m.name, position=m.position, stiffness=m.stiffness, torsion=m.torsion,
                       rotation=m.rotation) for m in bay.mounts]  # fmt: skip
        bare = reactions(bay.mass, bay.centre, whole, bay.loads, felt=bay.felt)
        turned = reactions(bay.mass, spun(bay.centre), mounts, loads, felt=felt)
        assert turned.forces == pytest.approx(bare.forces @ spin.T, rel=1e-6, abs=1e-6)


def test_a_link_carries_along_its_length_only() -> None:
    made = link(name="link", position=(100, 0, 300), to=(400, 0, 300), stiffness=500)
    assert made.outer[0] @ [0, 1, 0] == pytest.approx([0, 0, 0])
    assert made.outer[0] @ [0, 0, 1] == pytest.approx([0, 0, 0])
    four = [{"position": (x, y, 0), "stiffness": 200} for x in (-200, 200) for y in (-200, 200)]
    push = Load(force=(1000, 0, 0), at=(100, 0, 300))
    found = reactions(100, (0, 0, 100), [*four, made], [push])
    assert found.forces[4][0] < -300
    assert found.forces[4][1:] == pytest.approx([0, 0], abs=1e-9)
    slanted = link(name="slanted", position=(0, 0, 0), to=(3, 4, 12), stiffness=169)
    assert slanted.outer[0] == pytest.approx(np.outer((3, 4, 12), (3, 4, 12)))
    with pytest.raises(InputError, match="another point than its position"):
        link(name="none", position=(1, 2, 3), to=(1, 2, 3), stiffness=10)


def test_a_stop_takes_over_when_its_gap_is_used_up() -> None:
    """100 kg on 4 x 250 N/mm sags 0.98 mm; 3 g down want 2.94 mm more, a stop of 3000 N/mm at 1 mm takes over:
    1000 (x) + 3000 (x - 1) = 2942 N, x = 1.4855 mm, 1456.5 N."""
    four = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    stop = Stop(name="snubber", at=(0, 0, 0), direction=(0, 0, -2), gap=1, stiffness=3000)
    found = reactions(100, (0, 0, 0), four, stops=[stop], felt=(0, 0, -3))
    assert found.moved[2] == pytest.approx(-(3 * 100 * G + 3000) / 4000)
    assert found.pushes[0] == pytest.approx(3000 * (-found.moved[2] - 1))
    assert found.closed == ("snubber",)
    shy = reactions(100, (0, 0, 0), four, stops=[stop], felt=(0, 0, -1000 / (100 * G) + 1e-9))
    assert shy.closed == ()


def test_the_search_along_a_step_stops_where_the_energy_is_least() -> None:
    """1 N/mm, 1 N, a stop of 9 N/mm from 0.5 mm: (t - 1) + 9 (t - 0.5) = 0 at 0.55, past the corner at 0.5; with
    one of 0.1 N/mm from 0.2 mm first (t - 1) + 0.1 (t - 0.2) + 9 (t - 0.5) = 0 at 5.52 / 10.1."""
    k, f, step = np.diag([1.0] * 6), np.eye(6)[0], np.eye(6)[0]
    one = least_along(k, f, step[None], np.array([0.5]), np.array([9.0]), np.zeros(6), step)
    assert one == pytest.approx(0.55)
    both, gaps, springs = np.array([step, step]), np.array([0.5, 0.2]), np.array([9.0, 0.1])
    two = least_along(k, f, both, gaps, springs, np.zeros(6), step)
    assert two == pytest.approx(5.52 / 10.1)
    back = least_along(k, 0 * f, step[None], np.array([0.5]), np.array([9.0]), step, -step)
    assert back == pytest.approx(1.0)  # out of the stop, and on to where the spring is at rest


def test_a_pad_that_carries_lets_go() -> None:
    """A pad under the middle carries from the start; 2 g upwards lift the powertrain off it."""
    four = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    pad = Stop(name="pad", at=(0, 0, 0), direction=(0, 0, -1), gap=0, stiffness=1000, carries=True)
    weight, jump = under_cases(100, (0, 0, 0), four, [LoadCase(name="jump", felt=(0, 0, 2))], stops=[pad])
    assert weight.found.pushes[0] == pytest.approx(100 * G / 2)
    assert weight.found.moved == pytest.approx(np.zeros(6))
    assert (weight.separates, jump.separates) == ((), ("pad",))
    assert jump.found.pushes[0] == 0


def test_what_is_bolted_up_late_carries_nothing_as_drawn() -> None:
    """A post of 1000 N/mm beside 4 x 250, bolted up with the weight on: nothing of 980.7 N, half of what comes."""
    four = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    post = {"name": "post", "position": (0, 0, 0), "stiffness": (0, 0, 1000), "late": True}
    weight, bump = under_cases(100, (0, 0, 0), [*four, post], [LoadCase(name="bump", felt=(0, 0, -2))])
    assert weight.found.vertical[4] == pytest.approx(0)
    assert weight.found.moved == pytest.approx(np.zeros(6))
    assert weight.found.movement[2] == pytest.approx(-100 * G / 1000)
    assert bump.found.vertical[4] == pytest.approx(100 * G)
    assert bump.mounts[4].give[2] == pytest.approx(-100 * G / 1000)
    assert bump.found.moved[2] == pytest.approx(-200 * G / 2000)
    (without, *_), after = (
        one_missing(100, (0, 0, 0), [*four, post], [LoadCase(name="bump", felt=(0, 0, -2))]) for _ in range(2)
    )
    assert without.held
    assert after[4].drop == pytest.approx(200 * G / 1000)  # the post is gone, four take the bump


def test_a_link_that_carries_no_weight_is_not_said_to_lift() -> None:
    four = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    bar = link(name="link", position=(0, 0, 300), to=(100, 0, 250), stiffness=300)
    push = LoadCase(name="push", loads=(Load(force=(500, 0, 0), at=(0, 0, 300)),))
    _, pushed = under_cases(100, (0, 0, 0), [*four, bar], [push])
    assert abs(pushed.mounts[4].force[2]) > 10
    assert (pushed.mounts[4].lifts, pushed.mounts[4].reverses) == (False, False)


def test_what_nothing_holds_is_named() -> None:
    two = [{"name": n, "position": (-250, y, 0), "stiffness": 300} for n, y in (("left", 300), ("right", -300))]
    with pytest.raises(NotHeldError) as wrong:
        reactions(220, (50, 20, 0), two)
    assert str(wrong.value) == (
        "mounts = left, right, must hold the powertrain against its weight: it is free to turn about (0, 1, 0) "
        "through -250, 20, 0 mm"
    )
    rail = [{"position": (x, y, 0), "stiffness": (0, 100, 100)} for x in (-100, 100) for y in (-100, 100)]
    with pytest.raises(NotHeldError, match=r"against its loads: it is free to slide along \(1, 0, 0\)"):
        reactions(100, (0, 0, 0), rail, felt=(1, 0, 0))
    assert reactions(100, (0, 0, 0), rail).vertical.sum() == pytest.approx(100 * G)


def test_mounts_that_make_no_sense_are_refused_all_at_once() -> None:
    with pytest.raises(InputError) as wrong:
        reactions(100, (0, 0, 0), [
            {"position": (0, 0), "stiffness": (1, -1, 1), "rotation": np.eye(3) * 2, "low": 2, "travel": (1, 2)},
            {"position": (0, 0, 0), "stiffnes": 3},
            {"position": "here", "stiffness": [[1, 2, 0], [0, 1, 0], [0, 0, 1]], "load": -1, "high": math.nan},
        ])  # fmt: skip
    lines = wrong.value.problems
    assert len(lines) == 11
    for part in (
        "mounts[1]: mount: position = (0, 0), must be three finite numbers, mm",
        "mounts[1]: mount: stiffness = (1, -1, 1), must be 0 N/mm or more in every direction",
        "must be a turn: 3 by 3", "low = 2, must be 0 to 1", "travel = (1, 2), must be three of 0 mm or more",
        "mounts[2]: stiffnes = 3, must be one of position, stiffness", "mounts[2]: stiffness is missing",
        "mounts[3]: mount: position = here, must be three finite numbers, mm", "must be symmetric, N/mm",
        "load = -1 N, must be above 0", "high = nan, must be 1 or more",
    ):  # fmt: skip
        assert any(part in line for line in lines), part
    with pytest.raises(InputError) as wrong:
        reactions(-1, (0, 0), [{"position": (0, 0, 0), "stiffness": 1}])
    assert len(wrong.value.problems) == 2
    with pytest.raises(InputError, match="mounts = none, must be one or more"):
        reactions(100, (0, 0, 0), [])
    with pytest.raises(InputError) as wrong:
        Stop(name="s", at=(0, 0, 0), direction=(0, 0, 0), gap=-1, stiffness=0)
    assert len(wrong.value.problems) == 3


@pytest.mark.parametrize("dynamic", [0.99, 10.01])
def test_a_bush_that_shaking_makes_softer_or_ten_times_stiffer_is_refused(dynamic: float) -> None:
    with pytest.raises(InputError, match=f"dynamic = {dynamic:g}, must be 1 to 10: a part of its stiffness"):
        Mount(position=(0, 0, 0), stiffness=1, dynamic=dynamic)
    assert Mount(position=(0, 0, 0), stiffness=1, dynamic=10).shaken.stiffness[0, 0] == 10


def test_mounts_of_one_name_are_told_apart() -> None:
    two = [{"position": (x, 0, 0), "stiffness": 1, "torsion": 1} for x in (0, 1)]
    assert [mount.name for mount in as_mounts(two)] == ["mount 1", "mount 2"]


def test_a_load_over_what_a_row_allows_and_a_travel_used_up_are_shares_of_it() -> None:
    mount = {"position": (0, 0, 0), "stiffness": 100, "torsion": 1e6, "load": 2000, "travel": (None, 5, 9.80665)}
    (weight,) = under_cases(100, (0, 0, 0), [mount], [])
    (state,) = weight.mounts
    assert state.overload == pytest.approx(980.665 / 2000)
    assert state.overtravel == pytest.approx(1.0)
    assert state.give == (0, 0, pytest.approx(-9.80665))
    (stuck,) = under_cases(100, (0, 0, 0), [{**mount, "travel": (0, None, 0)}], [])[0].mounts
    assert stuck.overtravel == math.inf
    (square,) = under_cases(100, (0, 0, 0), [{**mount, "travel": (0, None, None)}], [])[0].mounts
    assert square.overtravel is None  # nothing is asked of it along x


def test_what_holds_if_one_mount_fails() -> None:
    """Three mounts: without one the powertrain hangs about the line of two, and only a washer keeps it."""
    at = {"left": (0, 300, 0), "right": (0, -300, 0), "rear": (-500, 0, 0)}
    three = [{"name": n, "position": p, "stiffness": 300} for n, p in at.items()]
    found = one_missing(150, (-100, 0, 50), three)
    assert [each.held for each in found] == [False] * 3
    assert found[2].free == "it is free to turn about (0, -1, 0) through 0, 0, 0 mm"
    washer = Stop(name="washer", at=(-500, 0, 0), direction=(0, 0, -1), gap=5, of="rear")
    up = LoadCase(name="jump", felt=(0, 0, 3))
    rear = one_missing(150, (-100, 0, 50), three, stops=[washer])[2]
    assert (rear.held, rear.by, rear.small) == (True, ("left", "right", "washer"), True)
    assert rear.drop == pytest.approx(5, abs=0.05)  # its gap, and what the washer gives
    again = one_missing(150, (-100, 0, 50), three, [up], stops=[washer])[2]
    assert (again.held, again.case) == (False, "jump")
    deep = Stop(name="washer", at=(-500, 0, 0), direction=(0, 0, -1), gap=60, of="rear")
    far = one_missing(150, (-100, 0, 50), three, stops=[deep])[2]
    assert far.held
    assert not far.small
    with pytest.raises(InputError, match=r"washer: of = 'front', must be one of left, rear, right"):
        one_missing(150, (0, 0, 0), three, stops=[Stop(name="washer", at=(0, 0, 0), direction=(1, 0, 0), gap=1,
                                                       of="front")])  # fmt: skip


def test_four_mounts_hold_without_any_one() -> None:
    four = [{"position": (x, y, z), "stiffness": 300} for x, y, z in
            ((-200, -200, 0), (-200, 200, 0), (200, -200, 0), (200, 200, 60))]  # fmt: skip
    found = one_missing(150, (10, 5, 40), four, road_cases())
    assert all(each.held and each.drop > 1 for each in found)
    assert found[0].by == ("mount 2", "mount 3", "mount 4")


def test_what_the_others_carry_with_one_missing_is_what_they_carry_without_it() -> None:
    """Four mounts of different stiffness: without one, the same as a powertrain that never had it."""
    at = ((-200, -200, 0), (-200, 200, 0), (200, -200, 0), (200, 200, 60))
    four = [{"name": f"m{i}", "position": p, "stiffness": 200 + 50 * i, "load": 1000} for i, p in enumerate(at)]
    cases = [*road_cases(), LoadCase(name="torque", loads=(Load(couple=(0, 150e3, 0)),))]
    for i, each in enumerate(one_missing(150, (10, 5, 40), four, cases)):
        left = under_cases(150, (10, 5, 40), [mount for k, mount in enumerate(four) if k != i], cases)
        assert [one.mount for one in each.loads] == [f"m{k}" for k in range(4) if k != i]
        for k, one in enumerate(each.loads):
            forces = {result.case.name: float(np.linalg.norm(result.mounts[k].force)) for result in left}
            assert one.force == pytest.approx(max(forces.values()), rel=1e-9)
            assert forces[one.case] == pytest.approx(one.force, rel=1e-9)
            assert one.overload == pytest.approx(one.force / 1000)
    assert not any(each.loads for each in one_missing(150, (0, 0, 0), four[:3]) if not each.held)


def test_a_case_says_what_its_loads_are() -> None:
    assert {case.counts for case in road_cases()} == {"characteristic"}
    assert all("no source" in case.why for case in road_cases())
    with pytest.raises(InputError) as wrong:
        LoadCase(name="x", felt=(0, 0, 99), counts="doubled")  # type: ignore[arg-type]
    assert len(wrong.value.problems) == 2


def test_a_point_goes_where_turn_and_shift_take_it() -> None:
    assert lever((0, 0, 100)) @ [1, 0, 0, 0, 0.01, 0] == pytest.approx([2, 0, 0])
    assert lever((10, 0, 0)) @ [0, 0, 0, 0, 0, 0.1] == pytest.approx([0, 1, 0])
