"""Where the chassis side is welded: closed forms of one, three and four springs, and random bays whose springs,
stretched from where they are welded to where they are drawn, must carry the weight."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hang_bays import random_bay

from brackets.core.errors import InputError
from brackets.hang.load import G
from brackets.hang.mount import Mount, Stop, link
from brackets.hang.set_height import set_height
from brackets.hang.statics import NotHeldError, reactions


def test_four_alike_are_raised_by_what_their_quarter_of_the_weight_presses_them() -> None:
    corners = [
        {"position": (x, y, 0), "stiffness": (150, 170, 250), "low": 0.8, "high": 1.25}
        for x in (-200, 200) for y in (-200, 200)
    ]  # fmt: skip
    found = set_height(100, (0, 0, 80), corners)
    sag = 100 * G / (4 * 250)
    for one in found.mounts:
        assert one.weld == pytest.approx((0, 0, sag))
        assert one.sinks == pytest.approx((0, 0, -sag))
    assert found.sinks == pytest.approx((0, 0, -sag))
    assert found.turns == pytest.approx((0, 0, 0), abs=1e-12)


def test_three_that_statics_alone_shares_scatter_each_by_itself() -> None:
    """Reactions 809.99, 666.16 and 681.30 N whatever the springs, all in one plane: each sinks by its own R / k."""
    at = (-250, 300, 0), (-250, -300, 0), (700, 0, 0)
    three = [{"position": each, "stiffness": (150, 150, 300), "low": 0.8, "high": 1.25} for each in at]
    found = set_height(220, (50, 20, 0), three)
    for one, force in zip(found.mounts, (809.99, 666.16, 681.30), strict=True):
        sag = force / 300
        assert one.weld[2] == pytest.approx(sag, rel=1e-5)
        assert one.low[2] == pytest.approx(-sag * (1 / 0.8 - 1), rel=1e-5)
        assert one.high[2] == pytest.approx(sag * (1 - 1 / 1.25), rel=1e-5)


def test_what_sags_unevenly_is_turned_back() -> None:
    """Soft in front: it comes to stand nose down, pitch positive about y, by the difference of the two sags."""
    pair = [
        Mount(name=name, position=(x, y, 0), stiffness=k)
        for name, x, k in (("front", 300, 100), ("rear", -300, 200)) for y in (-200, 200)
    ]  # fmt: skip
    found = set_height(80, (0, 0, 0), pair)
    front, rear = 80 * G / 4 / 100, 80 * G / 4 / 200
    assert found.mounts[0].weld[2] == pytest.approx(front)
    assert found.mounts[2].weld[2] == pytest.approx(rear)
    assert found.turns == pytest.approx((0, np.degrees((front - rear) / 600), 0), abs=1e-12)
    assert found.turn == pytest.approx(found.turns[1])


def test_what_is_bolted_up_late_stays_as_drawn_and_meets_the_scatter_of_the_others() -> None:
    corners = [
        {"position": (x, y, 0), "stiffness": 250, "low": 0.8, "name": f"{x} {y}"}
        for x in (-200, 200) for y in (-200, 200)
    ]  # fmt: skip
    late = Mount(name="late", position=(0, 0, 0), stiffness=9000, late=True, low=0.5)
    one = set_height(100, (0, 0, 0), [*corners, late]).mounts[-1]
    assert one.late
    assert one.weld == (0, 0, 0)
    assert one.low[2] == pytest.approx(-100 * G / 1000 * 0.25)
    assert one.sinks[2] == pytest.approx(-100 * G / 1000)


def test_a_link_is_set_by_its_length_alone() -> None:
    corners = [{"position": (x, y, 0), "stiffness": 250} for x in (-200, 200) for y in (-200, 200)]
    leg = link(name="leg", position=(0, 0, 0), to=(100, 0, 100), stiffness=0.001)
    one = set_height(100, (0, 0, 0), [*corners, leg]).mounts[-1]
    assert one.sinks == pytest.approx((0, 0, -0.981), abs=1e-3)
    half = -one.sinks[2] / 2  # its part along (1, 0, 1)
    assert one.weld == pytest.approx((half, 0, half), abs=1e-6)


def test_a_pad_that_takes_weight_from_the_start_holds_it_up() -> None:
    corners = [{"position": (x, y, 0), "stiffness": 250, "low": 0.8} for x in (-200, 200) for y in (-200, 200)]
    pad = Stop(name="pad", at=(0, 0, 0), direction=(0, 0, -1), gap=0, stiffness=1000, carries=True)
    found = set_height(100, (0, 0, 0), corners, stops=[pad])
    assert found.mounts[0].weld[2] == pytest.approx(100 * G / 2000)
    soft = set_height(100, (0, 0, 0), corners).mounts[0].low[2]
    assert soft < found.mounts[0].low[2] < 100 * G / 2000 - 100 * G / 1800 + 1e-9  # all four soft, evenly


def test_springs_from_where_they_are_welded_to_where_they_are_drawn_carry_the_weight() -> None:
    """100 random bays: the force and the couple of every spring, stretched by `weld` and `turns`, add up to it."""
    rng = random.Random(19)
    for _ in range(100):
        bay = random_bay(rng)
        try:
            found = set_height(bay.mass, bay.centre, bay.mounts)
        except NotHeldError:
            continue
        back = -np.radians(found.turns)
        total, size = np.zeros(6), 0.0
        for mount, one in zip(bay.mounts, found.mounts, strict=True):
            if mount.late:
                assert one.weld == (0, 0, 0)
                continue
            straight, turning = mount.outer
            force = straight @ np.array(one.weld)
            arm = mount.position - np.array(bay.centre)
            total += np.concatenate([force, np.cross(arm, force) + turning @ back])
            size += float(np.linalg.norm(force)) * (1 + float(np.linalg.norm(arm)))
        total[2] -= bay.mass * G
        assert np.abs(total).max() <= 1e-9 * size


def test_scattered_bushes_that_are_welded_so_stand_inside_its_range() -> None:
    """Twenty bays, springs drawn at random: the powertrain hung on them from where they are welded."""
    rng = random.Random(7)
    for _ in range(20):
        bay = random_bay(rng, scatter=True)
        early = [mount for mount in bay.mounts if not mount.late]
        try:
            found = set_height(bay.mass, bay.centre, early)
        except NotHeldError:
            continue
        rest = reactions(bay.mass, bay.centre, early).rest
        for _ in range(5):
            drawn = [mount.scaled(rng.uniform(mount.low, mount.high)) for mount in early]
            off = reactions(bay.mass, bay.centre, drawn).rest - rest
            for mount, one in zip(early, found.mounts, strict=True):
                moved = off[:3] + np.cross(off[3:], mount.position - np.array(bay.centre))
                assert (moved >= np.array(one.low) - 1e-9).all()
                assert (moved <= np.array(one.high) + 1e-9).all()


def test_what_is_not_held_or_not_a_mass_is_refused() -> None:
    with pytest.raises(NotHeldError, match="must hold the powertrain against its weight"):
        set_height(100, (9, 0, 0), [{"position": (0, 0, 0), "stiffness": 250}])
    two = [{"position": (x, 0, 0), "stiffness": 250} for x in (-100, 100)]
    with pytest.raises(NotHeldError, match=r"free to turn about \(1, 0, 0\) .*, and is only balanced"):
        set_height(100, (0, 0, 0), two)
    with pytest.raises(InputError, match=r"mass = -1 kg, must be above 0"):
        set_height(-1, (0, 0, 0), [{"position": (0, 0, 0), "stiffness": 250, "torsion": 1e6}])
