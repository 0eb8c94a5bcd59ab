"""A bay file as the mechanics of its bushes take it: Tern, and small bays whose figures are worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from test_hang_statics import energy

from brackets import OnBushes, drive_reactions, mode_findings, modes, on_bushes, read_bay, under_cases
from brackets.core.errors import InputError
from brackets.hang.load import G
from brackets.hang.measured import Known
from brackets.library.recipe import shipped

LUMP = '[[lump]]\nname = "engine"\nmass = 80\nat = [0, 0, 300]\nsize = [300, 300, 400]\n'
MOUNT = '[[mount]]\nname = "{}"\nbush = "R60"\nat = {}\naxis = [0, 1, 0]\n{}\n'


@pytest.fixture(scope="module")
def tern() -> OnBushes:
    return on_bushes(read_bay(shipped() / "tern.toml"))


def bay(tmp_path: Path, text: str) -> OnBushes:
    file = tmp_path / "bay.toml"
    file.write_text(f"format = 1\n{text}", encoding="utf-8")
    return on_bushes(read_bay(file))


def test_tern_weighs_what_its_lumps_do_and_hangs_on_three_mounts_and_a_link(tern: OnBushes) -> None:
    """52 and 26 kg: centre a third of the way from the engine to the gearbox. Q45: 350 and 110 N/mm."""
    assert tern.mass.kg == 78
    assert tern.mass.centroid == pytest.approx([(-400 * 2 - 395) / 3, (-70 * 2 + 72) / 3, (310 * 2 + 200) / 3])
    assert [mount.name for mount in tern.mounts] == ["tray_left", "tray_right", "engine_right", "torque_link"]
    left = tern.mounts[0]
    assert left.position.tolist() == [-395, 265, 118]
    assert left.outer[0] == pytest.approx(np.diag([110, 350, 350]))
    assert (left.load, left.travel, left.late) == (2000, (6, 6, 5), False)
    sloping = np.array([700, -30, 95]) / np.linalg.norm([700, -30, 95])
    assert sloping @ tern.mounts[2].outer[0] @ sloping == pytest.approx(110)


def test_a_link_is_its_two_bushes_in_series_and_goes_on_last(tern: OnBushes) -> None:
    """2000 and 2000 N/mm in series: 1000 along the link, forward; none across."""
    link = tern.mounts[3]
    assert link.position.tolist() == [-216, 75, 270]
    assert link.outer[0] == pytest.approx(np.diag([1000.0, 0, 0]))
    assert link.late
    assert link.load == 4000


def test_tern_stands_where_its_energy_is_least(tern: OnBushes) -> None:
    """By another way: the strain energy of three bushes, by large turns, less the work of the weight, rises in
    every direction from where it is found; the link carries nothing; the three carry the weight."""
    (weight,) = under_cases(tern.mass.kg, tern.mass.centroid, tern.mounts, [])
    found = weight.found
    assert found.vertical.sum() == pytest.approx(78 * G)
    assert found.vertical[3] == pytest.approx(0)
    assert found.vertical[:3].tolist() == [pytest.approx(n, abs=1) for n in (307, 228, 230)]

    def total(q: np.ndarray) -> float:
        return energy(tern.mounts[:3], found.centre, q) + 78 * G * float(q[2])

    steps = np.array([1e-2] * 3 + [1e-5] * 3)
    slopes = [(total(found.movement + s) - total(found.movement - s)) / 2 for s in np.diag(steps)]
    assert np.array(slopes) / steps == pytest.approx(np.zeros(6), abs=78 * G * 5)  # what is second order
    least = total(found.movement)
    assert all(total(found.movement + sign * 10 * s) > least for s in np.diag(steps) for sign in (1, -1))


def test_what_the_torque_link_costs_tern_at_idle(tern: OnBushes) -> None:
    """By another way: the second differences of the strain energy over the mass. No mode is lower with the link,
    and the one that it holds goes up most."""
    sizes, centre = (tern.mass.kg, tern.mass.inertia), np.asarray(tern.mass.centroid)
    body = np.zeros((6, 6))
    body[:3, :3], body[3:, 3:] = tern.mass.kg * np.eye(3), tern.mass.inertia
    step = np.array([1e-3] * 3 + [1e-6] * 3)
    found = []
    for mounts in (tern.mounts[:3], tern.mounts):
        hessian = np.zeros((6, 6))
        for i in range(6):
            for j in range(6):
                a, b = np.eye(6)[i] * step, np.eye(6)[j] * step
                four = [s * t * energy(mounts, centre, s * a + t * b) for s in (1, -1) for t in (1, -1)]
                hessian[i, j] = sum(four) / (4 * step[i] * step[j])
        square = np.sort(np.linalg.eigvals(np.linalg.solve(body, hessian * 1000)).real)
        hz = modes(*sizes, mounts, centre=centre).hz
        assert hz == pytest.approx(np.sqrt(square) / 2 / math.pi, rel=1e-4)
        found.append(hz)
    without, with_ = found
    assert (without <= with_ * (1 + 1e-12)).all()
    assert with_.tolist() == [pytest.approx(hz, abs=0.01) for hz in (10.70, 17.32, 18.10, 18.56, 31.40, 36.71)]
    assert float((with_ - without).max()) > 4
    swings = modes(*sizes, tern.mounts, centre=centre)
    assert [f.code for f in mode_findings(swings, tern.engine, tern.idle)].count("mode isolates") == 5


def test_what_is_not_known_of_tern_is_said(tern: OnBushes) -> None:
    assert tern.drive is not None
    assert tern.drive.kind == "chain"
    assert "bush Q45: nothing says its conical stiffness, taken as none" in tern.notes
    assert (tern.idle, tern.stops) == (1100, ())
    assert (tern.engine.name, tern.engine.firing) == ("twin 360", (0, 360))


def test_a_transaxle_turns_about_its_axle_and_its_tyres_cap_it(tmp_path: Path) -> None:
    """300 Nm x 3.5 x 4.1 = 4305 Nm; 1.0 x 6000 N x 0.3 m = 1800 Nm is all the tyres take."""
    text = (
        '[powertrain]\nlayout = "transaxle"\ntorque = 300\nfirst = 3.5\nreverse = 3.2\nfinal = 4.1\n'
        "axle = { at = [-200, 0, 150], axis = [0, 1, 0] }\n"
        "traction = { tyre_radius = 300, driven_load = 6000, grip = 1.0 }\n"
    )
    found = bay(tmp_path, text + LUMP + MOUNT.format("left", [0, 250, 200], ""))
    assert found.drive is not None
    first, back = drive_reactions(found.drive)
    assert first.loads[0].couple == (0, pytest.approx(-4305e3), 0)
    assert back.torque == pytest.approx(-300e3 * 3.2 * 4.1)
    assert drive_reactions(found.drive, grip=found.grip)[0].torque == pytest.approx(1800e3)


def test_a_shaft_turns_about_the_crank_where_the_powertrain_stands(tmp_path: Path) -> None:
    text = (
        "[powertrain]\ntorque = 300\nfirst = 3.5\nfinal = 4.1\ncrank = { at = [0, 0, 100], axis = [1, 0, 0] }\n"
        "place = { at = [0, 0, 10], yaw = 90 }\ntraction = { tyre_radius = 300, driven_load = 4100, grip = 1.0 }\n"
    )
    found = bay(tmp_path, text + LUMP + MOUNT.format("left", [0, 250, 200], ""))
    assert found.drive is not None
    assert found.drive.axis == (pytest.approx(0, abs=1e-12), pytest.approx(1), pytest.approx(0))
    assert found.drive.at[2] == pytest.approx(110)
    first, _ = drive_reactions(found.drive, grip=found.grip)
    assert (first.torque, first.capped) == (pytest.approx(300e3), True)  # 1230 Nm at the wheels over 4.1
    assert found.mass.centroid[2] == pytest.approx(310)


def test_a_chain_without_its_radii_is_not_taken_for_a_shaft(tmp_path: Path) -> None:
    text = (
        "[powertrain]\ntorque = 60\n[[chain]]\nname = \"chain\"\n"
        "powertrain = { at = [-470, 177, 200], axis = [0, 1, 0] }\n"
        "chassis = { at = [-960, 177, 180], axis = [0, 1, 0] }\n"
    )
    found = bay(tmp_path, text + LUMP + MOUNT.format("left", [0, 250, 200], ""))
    assert found.drive is None
    assert "the sprockets of the chain are not typed: no drive reaction" in found.notes


def test_what_is_measured_of_a_bush_wins_in_every_mount_on_it(tmp_path: Path) -> None:
    file = tmp_path / "bay.toml"
    mounts = MOUNT.format("left", [0, 250, 200], "") + MOUNT.format("right", [0, -250, 200], "")
    file.write_text(f"format = 1\n{LUMP}{mounts}", encoding="utf-8")
    measured = {"R60": {"radial": Known(value=400.0, low=390.0, high=410.0, how="measured")}}
    found = on_bushes(read_bay(file), measured)
    assert [mount.stiffness[0, 0] for mount in found.mounts] == [400, 400]


def test_a_bay_without_lumps_mounts_or_stiffness_is_refused_with_all_that_lacks(tmp_path: Path) -> None:
    with pytest.raises(InputError) as wrong:
        bay(tmp_path, "")
    assert wrong.value.problems == (
        "lump = none, must be one or more: what the powertrain weighs",
        "mount = none, must be one or more: what the powertrain hangs on",
    )
