"""What driving does to the powertrain by the kind of its output, and what the powertrain weighs."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from brackets.core.errors import InputError
from brackets.hang.drive import Drive, Grip, drive_reactions, torque_pulse
from brackets.hang.powertrain import MassLump, powertrain
from brackets.survey.weigh import Weighing, balance

CHAIN: dict[str, Any] = {
    "kind": "chain", "torque": 60e3, "first": 5.0, "axis": (0, 1, 0), "at": (-470, 177, 200),
    "to": (-960, 177, 200), "radius": 45.0, "driven_radius": 45.0,
}  # fmt: skip
"""A sprocket that turns forward (about y, left: wheels roll towards x), its wheel behind it, at one height."""


def test_couples_of_a_shaft_and_of_an_axle() -> None:
    """300 Nm x 3.5 = 1050 Nm about the crank line; x 4.1 = 4305 Nm about the axle; against the output's turn."""
    (shaft,) = drive_reactions(Drive(kind="shaft", torque=300e3, first=3.5, axis=(1, 0, 0)))
    assert shaft.loads[0].couple == (pytest.approx(-1050e3), 0, 0)
    (axle,) = drive_reactions(Drive(kind="axle", torque=300e3, first=3.5 * 4.1, axis=(0, 2, 0)))
    assert axle.loads[0].couple == (0, pytest.approx(-4305e3), 0)
    assert (shaft.torque, shaft.capped) == (pytest.approx(1050e3), False)


def test_reverse_turns_the_other_way() -> None:
    first, back = drive_reactions(Drive(kind="shaft", torque=300e3, first=3.5, reverse=3.2, axis=(1, 0, 0)))
    assert (first.gear, back.gear) == ("first", "reverse")
    assert back.loads[0].couple == (pytest.approx(960e3), 0, 0)


def test_a_chain_pulls_along_its_tight_run() -> None:
    """300 Nm on 45 mm: 6667 N along the upper run, towards the wheel behind; its moment about the sprocket is the
    torque, against its turn. The rim goes forward at the top, so that the upper run is drawn in."""
    (first,) = drive_reactions(Drive(**CHAIN))
    tight, slack = first.loads if first.loads[0].name == "tight run" else first.loads[::-1]
    assert tight.force == (pytest.approx(-300e3 / 45), pytest.approx(0), pytest.approx(0))
    assert tight.at == (pytest.approx(-470), 177, pytest.approx(245))
    assert slack.force == (0, 0, 0)
    moment = sum(load.about((-470, 177, 200)) for load in first.loads)
    assert moment[3:] == pytest.approx([0, -300e3, 0])


def test_in_reverse_the_other_run_is_tight() -> None:
    _, back = drive_reactions(Drive(**CHAIN, reverse=5.0))
    (tight,) = [load for load in back.loads if load.name == "tight run"]
    assert tight.at[2] == pytest.approx(155)
    assert tight.force[0] < 0


@pytest.mark.parametrize("to", [(-960, 177, 180), (-700, 177, 500), (0, 177, 200)])
@pytest.mark.parametrize("driven", [20.0, 45.0, 110.0])
def test_runs_touch_both_wheels_and_carry_the_torque(to: tuple[float, float, float], driven: float) -> None:
    """Each run is square to the radius where it leaves the sprocket, is as far from the other middle as that one's
    radius, and both together turn the powertrain by the torque, whatever the slack run pulls."""
    belt = Drive(**{**CHAIN, "kind": "belt", "to": to, "driven_radius": driven, "slack": 400.0})
    (first,) = drive_reactions(belt)
    middle, far = np.array(belt.at), np.array(to)
    pulls = []
    for load in first.loads:
        along = np.array(load.force) / np.linalg.norm(load.force)
        out = np.array(load.at) - middle
        assert out @ along == pytest.approx(0, abs=1e-9)
        assert np.linalg.norm(out) == pytest.approx(45)
        gone = far - np.array(load.at)
        assert np.linalg.norm(gone - (gone @ along) * along) == pytest.approx(driven)
        pulls.append(float(np.linalg.norm(load.force)))
    assert sorted(pulls) == [pytest.approx(400), pytest.approx(400 + 300e3 / 45)]
    assert sum(load.about(belt.at) for load in first.loads)[3:] == pytest.approx([0, -300e3, 0], abs=1e-6)


def test_tyres_cap_the_torque_only_where_they_are_typed() -> None:
    """Grip 1.0 on 3000 N at 300 mm behind a final drive of 3: 300 Nm at the gearbox."""
    car = Drive(kind="shaft", torque=300e3, first=3.5, axis=(1, 0, 0), clutch=2.0)
    (free,) = drive_reactions(car)
    (held,) = drive_reactions(car, grip=Grip(mu=1.0, load=3000, radius=300, after=3.0))
    assert (free.torque, free.capped) == (pytest.approx(2100e3), False)
    assert (held.torque, held.capped) == (pytest.approx(300e3), True)
    assert Grip(mu=1.0, load=3000, radius=300).torque == pytest.approx(900e3)
    (easy,) = drive_reactions(car, grip=Grip(mu=1.0, load=30e3, radius=300, after=3.0))
    assert (easy.torque, easy.capped) == (pytest.approx(2100e3), False)


def test_pulse_factors_are_those_of_the_rules_and_off_until_asked_for() -> None:
    """CS 22.361(b), 14 CFR 27.361(b): 1.33 for five and more, 2, 3, 4 for four, three, two cylinders."""
    assert [torque_pulse(n) for n in (8, 5, 4, 3, 2, 1)] == [1.33, 1.33, 2, 3, 4, 4]
    assert Drive(**CHAIN).pulse == Drive(**CHAIN).clutch == 1
    with pytest.raises(InputError, match="must be 1 or more"):
        torque_pulse(0)
    with pytest.raises(InputError, match="pulse = 2 and clutch = 1.5, must be one of the two"):
        Drive(**CHAIN, pulse=2, clutch=1.5)


def test_a_drive_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(InputError) as wrong:
        Drive(kind="chain", torque=1, first=1, axis=(0, 1, 0))
    assert wrong.value.problems == tuple(
        f"{name} = None, must be typed: the kind is chain" for name in ("to", "radius", "driven_radius")
    )
    with pytest.raises(InputError) as wrong:
        Drive(kind="shaft", torque=1, first=1, axis=(0, 1, 0), radius=40, slack=3)
    assert wrong.value.problems == (
        "radius = 40.0, must not be typed: the kind is shaft", "slack = 3 N, must not be typed: the kind is shaft",
    )  # fmt: skip
    with pytest.raises(InputError, match="must be over 90 mm from at, across the axis: it is 80"):
        Drive(**{**CHAIN, "to": (-550, 177, 200)})
    with pytest.raises(InputError) as wrong:
        Drive(kind="rope", torque=-1, first=0, axis=(0, 0, 0))
    assert len(wrong.value.problems) == 4


def test_lumps_add_up_by_hand() -> None:
    """150 kg box 500 x 400 x 400 at (0, 0, 200) and 50 kg at (-400, 0, 100): centre (-100, 0, 175); about y
    150/12 (500^2 + 400^2) + 150 (100^2 + 25^2) + 50 (300^2 + 75^2) = 11.5e6; xz: -(150 x 2500 + 50 x 22500)."""
    found = powertrain([MassLump(mass=150, at=(0, 0, 200), shape="box", size=(500, 400, 400)),
                        MassLump(mass=50, at=(-400, 0, 100))])  # fmt: skip
    assert found.mass.kg == 200
    assert found.mass.centroid == pytest.approx([-100, 0, 175])
    assert found.mass.inertia[1, 1] == pytest.approx(11.5e6)
    assert found.mass.inertia[0, 2] == pytest.approx(-(150 * 2500 + 50 * 22500))


def test_a_box_and_a_cylinder_are_what_many_points_make_of_them() -> None:
    """Inertia by summing a grid of points over either solid, the cylinder leaning."""
    steps = (np.arange(40) + 0.5) / 40 - 0.5
    grid = np.array(np.meshgrid(steps, steps, steps)).reshape(3, -1).T
    box = grid * (300, 200, 100)
    round_ = grid[np.hypot(grid[:, 0], grid[:, 1]) <= 0.5] * (200, 200, 400)
    axis = np.array([1, 2, 2]) / 3
    side = np.cross(axis, [0, 0, 1]) / np.linalg.norm(np.cross(axis, [0, 0, 1]))
    leaning = round_ @ np.array([side, np.cross(axis, side), axis])
    for points, lump in (
        (box, MassLump(mass=12, at=(0, 0, 0), shape="box", size=(300, 200, 100))),
        (leaning, MassLump(mass=12, at=(0, 0, 0), shape="cylinder", size=(200, 200, 400), axis=(1, 2, 2))),
    ):
        one = 12 / len(points)
        wanted = one * ((points**2).sum() * np.eye(3) - points.T @ points)
        assert lump.own == pytest.approx(wanted, abs=0.005 * float(np.trace(wanted)))


def test_what_was_weighed_wins_and_the_lumps_give_the_inertia() -> None:
    """Three stands read 40, 30 and 30 kg round (10, 0): the lumps say 90 kg 20 mm off, 300 mm high."""
    stands = ((-100.0, 200.0, 0.0), (-100.0, -200.0, 0.0), (300.0, 0.0, 0.0))
    weighed = balance([Weighing(points=stands, reads=(40, 30, 30))])
    lump = MassLump(mass=90, at=(0, 0, 300), shape="box", size=(400, 300, 300))
    found = powertrain([lump], weighed)
    assert found.mass.kg == pytest.approx(100)
    assert found.mass.centroid == pytest.approx([20, 20, 300])
    assert found.mass.inertia == pytest.approx(lump.own * 100 / 90)
    assert found.mass_off == pytest.approx(10)
    assert found.centre_off == (pytest.approx(20), pytest.approx(20), 0)
    assert found.mass_pm is not None
    assert found.notes[0] == "inertia is that of the lumps times 1.111, the mass weighed over theirs"
    assert [note.split(":")[0] for note in found.notes][1] == "the height of the centre is that of the lumps"
    assert powertrain([lump]).notes == ()
    with pytest.raises(InputError, match="lumps = 0, must be one or more with a mass: scales do not give inertia"):
        powertrain([], weighed)


def test_lumps_that_make_no_sense_are_refused() -> None:
    with pytest.raises(InputError, match="must not be typed: gearbox is a point"):
        MassLump(name="gearbox", mass=1, at=(0, 0, 0), size=(1, 0, 0))
    with pytest.raises(InputError) as wrong:
        MassLump(mass=1, at=(0, 0, 0), shape="cylinder", size=(10, 20, 0))
    assert len(wrong.value.problems) == 2
    with pytest.raises(InputError, match="there is nothing to hang"):
        powertrain([MassLump(mass=0, at=(0, 0, 0))])
    assert math.isclose(MassLump(mass=3, at=(1, 2, 3)).own.sum(), 0)
