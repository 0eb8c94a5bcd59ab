"""Frequencies, shapes, what comes through the mounts, and what an engine shakes with: published figures first."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hang_bays import random_bay, turn

from brackets.core.errors import InputError
from brackets.hang.load import G
from brackets.hang.mount import Mount, stiffness_matrix
from brackets.hang.orders import LAYOUTS, CrankLayout, crank_layout, orders
from brackets.hang.response import transmissibility, transmitted
from brackets.hang.vibration import DIRECTIONS, modes, torque_roll_axis

AT = [(x, y, -150) for x in (-400, 400) for y in (-250, 250)]
CORNERS = [{"position": each, "stiffness": (120, 100, 200)} for each in AT]
INERTIA = (10e6, 20e6, 18e6)


def test_six_frequencies_of_the_published_case() -> None:
    """Harris, Shock and Vibration, chapter 3, resilient supports with two planes of symmetry, worked out from its
    closed form: 200 kg, 10, 20, 18 kg m2, mounts (+-0.40, +-0.25, -0.15) m, (120, 100, 200) kN/m each."""
    found = modes(200, INERTIA, CORNERS)
    wanted = (6.3324, 7.3462, 10.0658, 11.5013, 12.6495, 13.5136)
    assert found.hz.tolist() == [pytest.approx(hz, abs=5.1e-5) for hz in wanted]


def test_the_closed_form_of_two_planes_of_symmetry() -> None:
    """Of the same case: x and pitch go together, y and roll, z and yaw alone: roots of two quadratics, and two."""
    found = modes(200, INERTIA, CORNERS)
    k, m, (ix, iy, iz) = np.array([480e3, 400e3, 800e3]), 200.0, (10.0, 20.0, 18.0)
    pairs = [
        [[k[0] / m, -0.15 * k[0] / m], [-0.15 * k[0] / iy, (k[2] * 0.4**2 + k[0] * 0.15**2) / iy]],
        [[k[1] / m, 0.15 * k[1] / m], [0.15 * k[1] / ix, (k[2] * 0.25**2 + k[1] * 0.15**2) / ix]],
    ]
    square = [*np.linalg.eigvals(pairs[0]), *np.linalg.eigvals(pairs[1]), k[2] / m,
              (k[0] * 0.25**2 + k[1] * 0.4**2) / iz]  # fmt: skip
    assert np.sort(np.sqrt(square) / 2 / math.pi) == pytest.approx(found.hz, rel=1e-12)


def test_a_sag_of_five_millimetres_is_seven_hertz() -> None:
    """f = sqrt(g / sag) / 2 pi: 7.048 Hz."""
    k = 100 * G / 5
    found = modes(100, (1e6, 1e6, 1e6), [{"position": (0, 0, 0), "stiffness": (1e-3, 1e-3, k), "torsion": 1e10}])
    assert sorted(found.hz, key=lambda hz: abs(hz - 7.048))[0] == pytest.approx(7.048, abs=5e-4)


def test_a_turned_bay_has_the_same_frequencies_and_twice_the_stiffness_is_root_two_faster(
    rng: Callable[[int], random.Random],
) -> None:
    for n in range(60):
        bay, spin = random_bay(rng(n)), turn(rng(n + 1000))
        shift = np.array([100.0, -30.0, 55.0])
        moved = [Mount(name=m.name, position=spin @ m.position + shift, stiffness=m.stiffness, torsion=m.torsion,
                       rotation=spin @ m.rotation) for m in bay.mounts]  # fmt: skip
        one = modes(bay.mass, bay.inertia, bay.mounts, centre=bay.centre)
        other = modes(bay.mass, spin @ bay.inertia @ spin.T, moved, centre=spin @ np.array(bay.centre) + shift)
        assert other.hz == pytest.approx(one.hz, rel=1e-8)
        hard = modes(bay.mass, bay.inertia, [m.scaled(2) for m in bay.mounts], centre=bay.centre)
        assert hard.hz == pytest.approx(math.sqrt(2) * one.hz, rel=1e-10)


def test_shapes_keep_the_equation_and_share_their_energy(rng: Callable[[int], random.Random]) -> None:
    """K shape = (2 pi f)^2 M shape; shares add up to 1; shapes are square to each other by mass and stiffness."""
    for n in range(50):
        bay = random_bay(rng(n))
        found = modes(bay.mass, bay.inertia, bay.mounts, centre=bay.centre)
        stiff = stiffness_matrix(bay.mounts, bay.centre) * 1000
        body = np.zeros((6, 6))
        body[:3, :3], body[3:, 3:] = bay.mass * np.eye(3), bay.inertia
        for hz, shape in zip(found.hz, found.shapes, strict=True):
            left, right = stiff @ shape, (2 * math.pi * hz) ** 2 * body @ shape
            assert left == pytest.approx(right, abs=1e-7 * float(np.abs(right).max()))
        by_mass = found.shapes @ body @ found.shapes.T
        size = np.sqrt(np.diag(by_mass))
        assert by_mass / np.outer(size, size) == pytest.approx(np.eye(6), abs=1e-9)
        assert found.energy.sum(axis=1) == pytest.approx(np.ones(6))
        assert (np.diff(found.hz) >= 0).all()


def test_the_energy_of_the_published_case_is_where_it_belongs() -> None:
    found = modes(200, INERTIA, CORNERS)
    assert [found.chief(i)[0] for i in range(6)] == ["y", "x", "z", "yaw", "roll", "pitch"]
    assert found.energy[2, DIRECTIONS.index("z")] == pytest.approx(1)


def test_frequencies_move_with_stiffness_as_their_shapes_say(rng: Callable[[int], random.Random]) -> None:
    """d(omega^2) = shape' dK shape over shape' M shape (Rayleigh), against finite differences of one mount."""
    for n in range(10):
        bay = random_bay(rng(n))
        found = modes(bay.mass, bay.inertia, bay.mounts, centre=bay.centre)
        body = np.zeros((6, 6))
        body[:3, :3], body[3:, 3:] = bay.mass * np.eye(3), bay.inertia
        first, *others = bay.mounts
        by = 1e-5
        ends = [modes(bay.mass, bay.inertia, [first.scaled(f), *others], centre=bay.centre).hz
                for f in (1 - by, 1 + by)]  # fmt: skip
        slope = (ends[1] ** 2 - ends[0] ** 2) * (2 * math.pi) ** 2 / (2 * by)
        change = first.matrix(bay.centre) * 1000
        wanted = [float(s @ change @ s / (s @ body @ s)) for s in found.shapes]
        assert slope == pytest.approx(wanted, rel=1e-4, abs=1e-3 * max(map(abs, wanted)))


def test_the_scatter_of_frequencies_holds_every_bush_between(rng: Callable[[int], random.Random]) -> None:
    for n in range(30):
        chosen, bay = rng(n + 900), random_bay(rng(n), scatter=True)
        found = modes(bay.mass, bay.inertia, bay.mounts, centre=bay.centre)
        some = [mount.scaled(chosen.uniform(mount.low, mount.high)) for mount in bay.mounts]
        hz = modes(bay.mass, bay.inertia, some, centre=bay.centre).hz
        assert (hz >= found.low * (1 - 1e-9)).all()
        assert (hz <= found.high * (1 + 1e-9)).all()


def test_shaken_bushes_are_stiffer() -> None:
    shaken = [{**corner, "dynamic": 1.44} for corner in CORNERS]
    assert modes(200, INERTIA, shaken).hz == pytest.approx(1.2 * modes(200, INERTIA, CORNERS).hz)


def test_what_nothing_holds_has_no_frequency() -> None:
    found = modes(100, (1e6, 1e6, 1e6), [{"position": (0, 0, 0), "stiffness": (100, 100, 100)}])
    assert found.hz[:3].tolist() == [0, 0, 0]
    assert found.hz[3:] == pytest.approx(np.full(3, math.sqrt(1000) / 2 / math.pi))


@pytest.mark.parametrize(
    ("inertia", "said"),
    [
        ((1e6, 1e6), "must be 3 or 3 by 3"), ((0, 1e6, 1e6), "must be above 0 about every axis"),
        ((1e6, 1e6, 3e6), "none may be over the sum of the other two"),
        ([[1e6, 2e5, 0], [0, 1e6, 0], [0, 0, 1e6]], "must be symmetric"),
    ],
)  # fmt: skip
def test_an_inertia_that_no_body_has_is_refused_beside_the_mass(inertia: Any, said: str) -> None:
    with pytest.raises(InputError) as wrong:
        modes(0, inertia, CORNERS)
    assert len(wrong.value.problems) == 2
    assert said in wrong.value.problems[1]


def test_the_torque_roll_axis() -> None:
    """A free body under a torque T about its crank turns about inertia^-1 T: not about the crank."""
    inertia = np.array([[4e6, 0, -1e6], [0, 9e6, 0], [-1e6, 0, 8e6]])
    axis = torque_roll_axis(inertia, (2, 0, 0))
    assert np.cross(inertia @ axis, (1, 0, 0)) == pytest.approx(np.zeros(3), abs=1e-9)
    assert axis[2] == pytest.approx(axis[0] / 8)
    with pytest.raises(InputError, match="must not be 0"):
        torque_roll_axis(inertia, (0, 0, 0))
    # shaken fast, mounts hardly matter: it turns about that axis
    soft = [{"position": (0, 0, 0), "stiffness": 1, "torsion": 1}]
    fast = transmitted(100, inertia, soft, [500], couple=(1, 0, 0))
    assert fast.moved[0, 3:] / np.linalg.norm(fast.moved[0, 3:]) == pytest.approx(np.abs(axis), rel=1e-6)


def test_transmissibility() -> None:
    """T(3, 0.1) = 0.14537; T(sqrt 2) = 1 for any damping (Den Hartog, Mechanical Vibrations, from memory)."""
    assert transmissibility(3, 0.1) == pytest.approx(0.14537, abs=5e-6)
    for damping in (0, 0.05, 0.3, 2):
        assert transmissibility(math.sqrt(2), damping) == pytest.approx(1, rel=1e-12)
        assert transmissibility(1.5, damping) < 1 < transmissibility(1.3, damping)
    assert transmissibility(0, 0.1) == 1
    assert transmissibility(1, 0) == math.inf
    with pytest.raises(InputError, match="both must be 0 or more"):
        transmissibility(-1, 0.1)


def test_what_comes_through_one_mount_is_the_closed_form_with_a_loss_factor() -> None:
    """sqrt((1 + h^2) / ((1 - r^2)^2 + h^2)), at several frequencies; at root two 1 whatever the loss."""
    f0 = math.sqrt(100e3 / 10) / 2 / math.pi
    ratios = np.array([0.3, 1.0, math.sqrt(2), 3.0])
    one = [{"position": (0, 0, 0), "stiffness": 100, "torsion": 1e8}]
    for loss in (0.05, 0.4):
        found = transmitted(10, (1e5, 1e5, 1e5), one, ratios * f0, force=(0, 0, 7), loss=loss)
        wanted = np.sqrt((1 + loss**2) / ((1 - ratios**2) ** 2 + loss**2))
        assert found.forces[:, 0, 2] / 7 == pytest.approx(wanted)
        assert found.strength[:, 0] == pytest.approx(found.forces[:, 0, 2])
    with pytest.raises(InputError) as wrong:
        transmitted(10, (1e5, 1e5, 1e5), one, [-1], loss=9)
    assert len(wrong.value.problems) == 2


def test_a_couple_at_rest_comes_through_as_a_pair_of_forces() -> None:
    """At 0 Hz the mounts carry the couple whole: 1000 N mm over 500 mm is 2 N at either side."""
    pair = [{"position": (0, y, 0), "stiffness": (50, 50, 100)} for y in (-250, 250)]
    pair.append({"position": (300, 0, 0), "stiffness": 1e-6})
    found = transmitted(100, (1e6, 1e6, 1e6), pair, [0], couple=(1000, 0, 0), loss=0)
    assert found.forces[0, :2, 2] == pytest.approx([2, 2], rel=1e-6)


def causes(name: str, upto: float = 2) -> list[tuple[float, str]]:
    return [(each.order, each.cause) for each in orders(crank_layout(name)) if each.order <= upto and each.counts]


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("inline six", []),
        ("inline four", [(2, "firing"), (2, "secondary force")]),
        ("inline three", [(1, "primary couple"), (1.5, "firing"), (2, "secondary couple")]),
        ("boxer twin", [(0.5, "cylinders that differ"), (1, "firing"), (1, "primary couple"), (2, "firing"),
                        (2, "secondary couple")]),
        ("boxer four", [(2, "firing"), (2, "secondary couple")]),
        ("twin 360", [(0.5, "cylinders that differ"), (1, "firing"), (1, "primary force"), (2, "firing"),
                      (2, "secondary force")]),
        ("twin 180", [(0.5, "uneven firing"), (1, "primary couple"), (1.5, "uneven firing"), (2, "firing"),
                      (2, "secondary force")]),
        ("vee twin 90", [(0.5, "uneven firing"), (1, "firing"), (1.5, "uneven firing"), (2, "secondary force")]),
        ("vee eight, cross-plane", []),
    ],
)  # fmt: skip
def test_what_textbooks_say_of_engines(name: str, wanted: list[tuple[float, str]]) -> None:
    """Taylor, The Internal Combustion Engine in Theory and Practice, volume 2, engine balance (from memory): which
    force and couple of once and twice a turn each layout is left with, counterweights counted."""
    assert causes(name) == wanted


def test_firing_orders_and_frequencies() -> None:
    """Four strokes: half the cylinders a turn, two strokes: all of them; 1100 a minute of a twin is 18.3 Hz."""
    assert {each.name: each.firing_order for each in LAYOUTS}["inline four"] == 2
    assert crank_layout("twin, two-stroke").firing_order == 2
    assert crank_layout("single").firing_order == 0.5
    firing = [each for each in orders(crank_layout("twin 360")) if each.cause == "firing"]
    assert firing[0].hz(1100) == pytest.approx(1100 / 60)
    assert all(each.strength == pytest.approx(1) for each in firing)


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda each: each.name)
def test_the_pulses_of_every_layout_are_found_by_their_spectrum(layout: CrankLayout) -> None:
    """By another way: a fast Fourier transform of the pulses over a cycle."""
    cycle = 180 * layout.strokes
    pulses = np.zeros(cycle)
    for at in layout.firing:
        pulses[round(at) % cycle] += 1
    spectrum = np.abs(np.fft.rfft(pulses)) / len(layout.firing)
    for each in orders(layout):
        if "firing" in each.cause:
            assert spectrum[round(each.order * layout.strokes / 2)] == pytest.approx(each.strength, abs=1e-9)
    assert sum(value > 1e-6 for value in spectrum[1 : 4 * layout.strokes + 1]) == sum(
        "firing" in each.cause for each in orders(layout)
    )


def test_the_shaking_of_every_layout_follows_from_its_pistons() -> None:
    """By another way: piston forces added up over a turn; what is once a turn and goes with the crank left out."""
    turns = np.radians(np.arange(360.0))
    for layout in LAYOUTS:
        found = {each.cause: each.strength for each in orders(layout)}
        for k, word in ((1, "primary"), (2, "secondary")):
            for cause, arms in (("force", [1.0] * len(layout.throws)), ("couple", list(layout.places))):
                plane = np.zeros(360, dtype=complex)
                for throw, bank, arm in zip(layout.throws, layout.leans, arms, strict=True):
                    lean = math.radians(bank)
                    plane += arm * np.cos(k * (turns + math.radians(throw) - lean)) * np.exp(1j * lean)
                against = abs(np.mean(plane * np.exp(1j * k * turns)))
                with_ = abs(np.mean(plane * np.exp(-1j * k * turns)))
                strength = (against if k == 1 else against + with_) / len(layout.throws)
                assert found.get(f"{word} {cause}", 0.0) == pytest.approx(strength, abs=1e-6), layout.name


def test_a_crank_that_cannot_be_is_refused() -> None:
    with pytest.raises(InputError, match="firing of cylinder 2 = 270 degrees, must be at the top of its stroke"):
        CrankLayout(name="x", throws=(0, 180), firing=(0, 270))
    with pytest.raises(InputError, match="firing = 1 figures, must be 2: one for each of the throws"):
        CrankLayout(name="x", throws=(0, 180), firing=(0,))
    with pytest.raises(InputError, match="strokes = 3, must be 2 or 4"):
        CrankLayout(name="x", strokes=3, throws=(0,), firing=(0,))
    with pytest.raises(InputError, match="layout = 'twin', must be one of single"):
        crank_layout("twin")
