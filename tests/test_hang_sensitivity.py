"""Derivatives of loads, travels and frequencies: against central differences of the whole computation on random
bays with stops, and against closed forms."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from functools import partial

import numpy as np
import pytest
from hang_bays import RandomBay, random_bay, turn

from brackets.core.errors import InputError
from brackets.hang.cases import CaseResult, under_cases
from brackets.hang.hardness import rubber_modulus, stiffening
from brackets.hang.load import G, LoadCase
from brackets.hang.mount import Mount
from brackets.hang.sensitivity import STEP, WHATS, Figure, Slope, case_slopes, mode_slopes, worst_figures
from brackets.hang.statics import NotHeldError
from brackets.hang.vibration import modes


def changed(mount: Mount, what: str, by: float) -> Mount:
    """The mount with one thing changed by a real step: the angle by Rodrigues' formula."""
    stiffness, torsion, position, rotation = mount.stiffness, mount.torsion, mount.position, mount.rotation
    if what == "stiffness":
        stiffness, torsion = stiffness * (1 + by), torsion * (1 + by)
    elif what in "xyz":
        position = position + by * np.eye(3)["xyz".index(what)]
    else:
        axis, angle = np.eye(3)["xyz".index(what[-1])], math.radians(by)
        skew = np.cross(np.eye(3), axis)
        rotation = (np.eye(3) + math.sin(angle) * skew + (1 - math.cos(angle)) * skew @ skew) @ rotation
    return Mount(
        name=mount.name, position=position, stiffness=stiffness, torsion=torsion, rotation=rotation,
        late=mount.late, dynamic=mount.dynamic, travel=mount.travel, load=mount.load,
    )  # fmt: skip


def central(of: Callable[[tuple[Mount, ...]], float], mounts: tuple[Mount, ...], slope: Slope) -> float:
    """The central difference of a thousandth of STEP."""
    at = next(i for i, mount in enumerate(mounts) if mount.name == slope.mount)
    by = 1e-3 * STEP[slope.what]
    ends = [of((*mounts[:at], changed(mounts[at], slope.what, sign * by), *mounts[at + 1 :])) for sign in (1, -1)]
    return (ends[0] - ends[1]) / (2 * by)


def case_of(bay: RandomBay, mounts: tuple[Mount, ...]) -> CaseResult:
    case = LoadCase(name="case", loads=bay.loads, felt=bay.felt)
    return under_cases(bay.mass, bay.centre, mounts, [case], stops=bay.stops)[1]


def size_of(bay: RandomBay, kind: str, at: int, axis: int, mounts: tuple[Mount, ...]) -> float:
    state = case_of(bay, mounts).mounts[at]
    return math.hypot(*state.force) if kind == "load" else abs(state.give[axis])


def test_loads_and_travels_change_as_finite_differences_say() -> None:
    """Random bays with links, late mounts and stops that close: every mount, every way it may change."""
    rng, closed, late, checked, kinds = random.Random(4), 0, 0, 0, set[str]()
    for _ in range(20):
        bay = random_bay(rng)
        try:
            result = case_of(bay, bay.mounts)
        except NotHeldError:
            continue
        pressed = [abs(float(s.row(bay.centre) @ result.found.moved) - s.gap) for s in bay.stops]
        if min(pressed, default=1.0) < 0.02:  # a difference may open or close it
            continue
        if not result.found.closed and not any(mount.late for mount in bay.mounts) and checked:
            continue
        closed, late = closed + len(result.found.closed), late + any(mount.late for mount in bay.mounts)
        at = rng.randrange(len(bay.mounts))
        axis = rng.randrange(3) if bay.mounts[at].name != "link" else 0
        for kind in rng.choices(("load", "travel")):
            kinds.add(kind)
            figure = Figure(kind=kind, value=0, limit=None, mount=bay.mounts[at].name, case="case", axis=axis)

            of = partial(size_of, bay, kind, at, axis)

            if of(bay.mounts) < 1e-6:
                continue
            slopes = case_slopes(figure, result, bay.mass, stops=bay.stops)
            assert {(slope.mount, slope.what) for slope in slopes} == {
                (mount.name, what) for mount in bay.mounts for what in WHATS
            }
            size = max(abs(slope.effect) for slope in slopes)
            for slope in slopes:
                wanted = central(of, bay.mounts, slope)
                assert abs(slope.per - wanted) * STEP[slope.what] <= 1e-5 * size, (slope, wanted)
                checked += 1
    assert closed > 1
    assert late > 2
    assert checked > 150
    assert kinds == {"load", "travel"}


def test_frequencies_change_as_finite_differences_say() -> None:
    rng = random.Random(5)
    for _ in range(6):
        bay = random_bay(rng)
        mounts = tuple(
            Mount(name=m.name, position=m.position, stiffness=m.stiffness, torsion=m.torsion, rotation=m.rotation,
                  dynamic=rng.uniform(1, 1.8)) for m in bay.mounts)  # fmt: skip
        mode = rng.randrange(2, 6)

        def of(held: tuple[Mount, ...], bay: RandomBay = bay, mode: int = mode) -> float:
            return float(modes(bay.mass, bay.inertia, held, centre=bay.centre).hz[mode])

        figure = Figure(kind="frequency", value=of(mounts), limit=None, mode=mode)
        slopes = mode_slopes(figure, bay.mass, bay.inertia, mounts, centre=bay.centre)
        size = max(abs(slope.effect) for slope in slopes)
        for slope in slopes:
            assert abs(slope.per - central(of, mounts, slope)) * STEP[slope.what] <= 1e-5 * size, slope


def test_all_stiffness_together_moves_a_frequency_by_half_of_itself_and_a_sag_by_minus_itself() -> None:
    """f goes by the root of k, the sag by 1 / k, the load of what statics shares not at all."""
    at = (-250, 300, 0), (-250, -300, 0), (700, 0, 0)
    three = [
        Mount(name=name, position=each, stiffness=(150, 150, 300), travel=(None, None, 5.0))
        for name, each in zip("abc", at, strict=True)
    ]
    found = modes(220, (1e7, 4e7, 4.5e7), three, centre=(50, 20, 80))
    figure = Figure(kind="frequency", value=float(found.hz[5]), limit=None, mode=5)
    slopes = mode_slopes(figure, 220, (1e7, 4e7, 4.5e7), three, centre=(50, 20, 80))
    assert sum(s.per for s in slopes if s.what == "stiffness") == pytest.approx(figure.value / 2)
    (weight,) = under_cases(220, (50, 20, 0), three, [])
    travel = Figure(kind="travel", value=0, limit=5, mount="a", axis=2)
    slopes = case_slopes(travel, weight, 220)
    assert sum(s.per for s in slopes if s.what == "stiffness") == pytest.approx(weight.mounts[0].give[2], rel=1e-5)
    load = case_slopes(Figure(kind="load", value=0, limit=None, mount="a"), weight, 220)
    assert max(abs(s.effect) for s in load if s.what == "stiffness") < 1e-9
    # R of `a` by statics: 220 g, centre at x 50, y 20: half of (700 - 50) / 950 and (20 / 600); 1 mm of c in x.
    one = next(s.per for s in load if (s.mount, s.what) == ("c", "x"))
    assert one == pytest.approx(220 * G / 2 * (300 / 950**2), rel=1e-9)


def test_frequencies_that_coincide_part_either_way() -> None:
    """A body on three links through its centre, alike. One of them stiffer by d makes one of three faster by d / 2;
    turned by a in a plane with another it ties the two, k (1 + a) and k (1 - a), which go by a / 2 either way."""
    links = [
        Mount(name=name, position=(0, 0, 0), stiffness=[100.0 * (name == other) for other in "xyz"], torsion=1e9)
        for name in "xyz"
    ]
    found = modes(50, (1e6, 1e6, 1e6), links)
    for mode, stiffer, turned in ((0, 0.0, -math.radians(1) / 2), (2, 0.5, math.radians(1) / 2)):
        figure = Figure(kind="frequency", value=float(found.hz[mode]), limit=None, mode=mode)
        for slope in mode_slopes(figure, 50, (1e6, 1e6, 1e6), links):
            wanted = stiffer if slope.what == "stiffness" else 0.0
            if slope.what.startswith("about") and slope.what[-1] != slope.mount:
                wanted = turned
            assert slope.per / figure.value == pytest.approx(wanted, abs=1e-9), slope


def test_a_turned_bay_has_turned_derivatives() -> None:
    """Nothing of the figures depends on where x is: the gradient by place turns with the bay."""
    rng = random.Random(6)
    axes = turn(rng)
    at = (-250, 300, 40), (-250, -300, 0), (700, 0, 10)
    flat = [
        Mount(name=name, position=each, stiffness=(150, 200, 300), torsion=1e5)
        for name, each in zip("abc", at, strict=True)
    ]
    turned = [
        Mount(name=m.name, position=axes @ m.position, stiffness=m.stiffness, torsion=m.torsion, rotation=axes)
        for m in flat
    ]
    inertia = np.diag((1e7, 4e7, 4.5e7))
    figure = Figure(kind="frequency", value=0, limit=None, mode=4)
    for what in (("x", "y", "z"), ("about x", "about y", "about z")):
        one, two = (
            {(s.mount, s.what): s.per for s in mode_slopes(figure, 220, body, mounts)}
            for body, mounts in ((inertia, flat), (axes @ inertia @ axes.T, turned))
        )
        for name in "abc":
            there = axes @ [one[name, each] for each in what]
            assert [two[name, each] for each in what] == pytest.approx(there, abs=1e-9)


def test_the_worst_of_each_kind_comes_first() -> None:
    four = [
        Mount(name=f"{x} {y}", position=(x, y, 0), stiffness=300, load=900, travel=(None, None, 1.5))
        for x in (-200, 200) for y in (-1, 1)
    ]  # fmt: skip
    results = under_cases(150, (0, 0, 0), four, [LoadCase(name="bump", felt=(0, 0, -3))])
    found = modes(150, (4e6, 8e6, 8e6), four)
    kinds = [(f.kind, f.case, f.ratio) for f in worst_figures(results, found, 1.0)]
    load = 4 * 150 * G / 4
    assert kinds == [
        ("frequency", "", pytest.approx(found.hz[5])), ("travel", "bump", pytest.approx(load / 300 / 1.5)),
        ("load", "bump", pytest.approx(load / 900)),
    ]  # fmt: skip
    bare = [Mount(name=m.name, position=m.position, stiffness=300) for m in four]
    (only,) = worst_figures(under_cases(150, (0, 0, 0), bare, []))
    assert (only.kind, only.limit, only.ratio, only.unit) == ("load", None, None, "N")
    assert Figure(kind="travel", value=1, limit=0).ratio == math.inf


@pytest.mark.parametrize("hardness", [33.0, 42.0, 55.0, 68.0, 74.0])
def test_hardness_stiffens_rubber_as_its_moduli_do(hardness: float) -> None:
    ends = [rubber_modulus(hardness + by).shear for by in (-1e-4, 1e-4)]
    assert stiffening(hardness) == pytest.approx(math.log(ends[1] / ends[0]) / 2e-4, rel=1e-6)


@pytest.mark.parametrize("hardness", [50.0, 70.0, 95.0])
def test_hardness_stiffens_poly_as_its_moduli_do(hardness: float) -> None:
    least, most = max(hardness - 1e-4, 50.0), min(hardness + 1e-4, 95.0)
    low, high = (rubber_modulus(end, material="poly").shear for end in (least, most))
    assert stiffening(hardness, "poly") == pytest.approx(math.log(high / low) / (most - least), rel=1e-4)


def test_what_is_no_figure_of_the_mounts_is_refused() -> None:
    one = [Mount(name="a", position=(0, 0, 0), stiffness=100)]
    (weight,) = under_cases(10, (0, 0, 0), [Mount(name="a", position=(0, 0, 0), stiffness=100, torsion=1e6)], [])
    with pytest.raises(InputError, match="figure = load of 'b', must be a load or travel of one of the mounts"):
        case_slopes(Figure(kind="load", value=1, limit=None, mount="b"), weight, 10)
    with pytest.raises(InputError, match="figure = frequency of ''"):
        case_slopes(Figure(kind="frequency", value=1, limit=None), weight, 10)
    with pytest.raises(InputError, match="figure = mode 1, must be a mode that is held: its frequency is 0"):
        mode_slopes(Figure(kind="frequency", value=1, limit=None), 10, (1e5, 1e5, 1e5), one)
