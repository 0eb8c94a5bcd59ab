"""`brackets hang` at the screen and for scripts: Tern, small bays whose figures are worked out by hand, what a bay
does not say, and what is refused. All bays are invented."""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from brackets import mode_findings, modes, on_bushes, read_bay, under_cases
from brackets.app.cli.app import main
from brackets.bay.hung.load_cases import load_cases_of
from brackets.hang.load import G
from brackets.library.recipe import shipped

TERN = shipped() / "tern.toml"
LUMP = '[[lump]]\nname = "engine"\nmass = 80\nat = [0, 0, 300]\nsize = [300, 300, 400]\n'
MOUNT = '[[mount]]\nname = "{}"\nbush = "{}"\nat = {}\naxis = [1, 0, 0]\n'
PAIR = MOUNT.format("left", "R60", [0, 250, 200]) + MOUNT.format("right", "R60", [0, -250, 200])
REAR = MOUNT.format("rear", "R60", [-400, 0, 200])
IDLE = "cylinders = 4\nstrokes = 4\nidle = 900\n"
SOFT = (
    '[[bush]]\nname = "S"\nod = 50\nshell_length = 40\nsleeve_od = 18\nsleeve_bore = 12.2\nsleeve_length = 52\n'
    'kind = "bonded rubber"\nmass = 0.3\nbolt = "M12"\ntravel = { radial = 6, axial = 5 }\n'
)
"""A bush whose stiffness is not typed."""
DRIVE = "[powertrain]\ntorque = 100\ncrank = {{ at = [0, 0, 200], axis = [1, 0, 0] }}\n{}"


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "110")
    return tmp_path / "bay.toml"


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(["hang", *words, *(() if "--into" in words else ("--no-files",))])
    out, err = capsys.readouterr()
    return status, out, err


def scripts(capsys: pytest.CaptureFixture[str], file: Path, text: str) -> dict[str, Any]:
    file.write_text(f"format = 1\n{text}", encoding="utf-8")
    status, out, err = run(capsys, str(file), "--json")
    assert status in (0, 1), err
    found: dict[str, Any] = json.loads(out)
    return found


def test_tern_has_the_figures_of_its_mechanics(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    """Those that test_hang_bay works out by other ways, asked for here through the command alone."""
    status, out, _ = run(capsys, str(TERN), "--json")
    found, on = json.loads(out), on_bushes(read_bay(TERN))
    assert status == 0
    assert found["mass_kg"] == 78
    weight, *cases = found["cases"]
    assert [case["name"] for case in cases] == [case.name for case in load_cases_of(read_bay(TERN), on)]
    rows = {row["name"]: row for row in weight["mounts"]}
    assert [round(row["force_n"][2]) for row in rows.values()] == [307, 228, 230, 0]
    assert sum(row["share"] for row in rows.values()) == pytest.approx(1)
    assert rows["tray_left"]["share"] == pytest.approx(307.145 / (78 * G), rel=1e-4)
    assert rows["torque_link"]["after_the_weight"]
    hz = [row["hz"] for row in found["modes"]]
    assert hz == pytest.approx([10.70, 17.32, 18.10, 18.56, 31.40, 36.71], abs=0.01)
    (state, *_), = (result.mounts for result in under_cases(78, on.mass.centroid, on.mounts, []))
    assert rows["tray_left"]["force_n"] == pytest.approx(state.force)
    swings = modes(78, on.mass.inertia, on.mounts, centre=on.mass.centroid)
    assert sorted(f["sentence"] for f in found["findings"] if f["code"].startswith("mode")) == sorted(
        f.sentence for f in mode_findings(swings, on.engine, on.idle)
    )
    assert [len(row["flags"]) for row in found["modes"]] == [1, 2, 2, 2, 2, 2]
    assert found["idle"]["firing_hz"] == pytest.approx(1100 / 60)
    assert {row["how"] for row in found["stiffness"] if row["value"] is not None} == {"invented"}


def test_the_screen_of_tern_begins_with_its_verdict_and_the_three_worst(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    status, out, err = run(capsys, str(TERN))
    lines = out.splitlines()
    assert (status, err) == (0, "")
    assert lines[:4] == [
        "Tern (invented)",
        "nothing stops: 12 cautions, 3 advice",
        "judged: weight, first gear, rebound, braking, pulling away, cornering left, cornering right, bump, kick"
        " start, idle",
        "the 3 worst of 15, all below",
    ]
    assert lines[4].startswith("caution  tray_right: if it fails the powertrain turns over 5 degrees")
    assert lines[-1] == lines[1]
    told = " ".join(out.split())
    for part in (
        "tray_left 307 40 % -1 12 15 % 15 %",
        "torque_link 0 0 % 0 0 0 % 0 % bolted up after the weight is on",
        "torque_link 0 0 % 2028 0 51 % 25 % bolted up after the weight is on",
        "what the others carry with one missing, the most in any case missing mount N of its load in case",
        "tight run: 2138 N along (-1.00, 0.00, -0.02) at -471, 177, 241 mm slack run: 0 N",
        "its mass feels (0, 0, -2.5) g beside its weight",
        "force 1: 800 N along (0.00, 0.00, -1.00) at -520, 60, 250 mm",
        "tray_left yes 25.6 2.59 on tray_right, engine_right, torque_link",
        "10.70 9.6-11.7 5 0 0 0 94 0 near an order",
        "Q45 radial 350 280 to 420 N/mm invented",
        "Q45 conical none N mm/rad NOT SAID, taken as none",
        "bush Q45: its typed stiffness as known to 20% either way: common practice, no source",
        "the sprocket turns right-handed about (0, 1, 0) going forward, as typed",
        "[powertrain] reverse: no reverse",
        "[[snubber]]: nothing is taken to catch the powertrain beside its bushes",
        "Strength: only hold computes it",
    ):
        assert part in told, part


def test_three_mounts_share_as_their_sag_and_tilt_say(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    """Sag s and pitch p of a mass between left and right: 2 k s + F = W, F = k (s - 400 p), and the rear's moment
    is what three bushes resist by tilting: 400 F = 3 c p."""
    found = scripts(capsys, file, LUMP + PAIR + REAR)
    share = {row["name"]: row["share"] for row in found["cases"][0]["mounts"]}
    k, c = (row["value"] for row in found["stiffness"] if row["direction"] in ("radial", "conical"))
    pitch = 400 * k / (400**2 * k + 3 * c)  # of 1 mm of sag
    rear = 3 * c * pitch / 400
    assert share["rear"] == pytest.approx(rear / (2 * k + rear))
    assert share["left"] == share["right"] == pytest.approx(k / (2 * k + rear))
    gone = {row["mount"]: row for row in found["missing"]}
    sag, alone = 80 * G / (2 * k + rear), 80 * G / (2 * k)
    assert gone["rear"]["drop_mm"] == pytest.approx(alone - sag * (1 - 400 * pitch))
    assert not gone["left"]["within_the_sum"]


def test_what_holds_nothing_is_said_and_has_no_figure(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    """A bush that neither twists nor tilts lets the powertrain turn: three of them hold it, two do not, and not
    either where the mass is only balanced on the line between them, as with the rear one missing."""
    loose = SOFT + "stiffness = { radial = 300, axial = 100, torsion = 0 }\n"
    mounts = (PAIR + REAR).replace("R60", "S")
    file.write_text(f"format = 1\n{loose}{LUMP}{mounts}", encoding="utf-8")
    status, out, err = run(capsys, str(file))
    assert (status, err) == (0, "")
    said = " ".join(out.split())
    assert "left NO it is free to turn about" in said
    assert "caution left: if it fails nothing holds the powertrain in case weight" in said
    found = json.loads(run(capsys, str(file), "--json")[1])
    assert [(row["held"], row["drop_mm"]) for row in found["missing"]] == [(False, None)] * 3


def test_a_turn_beyond_the_sum_has_no_figure(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    found = scripts(capsys, file, LUMP + PAIR)
    assert [(row["within_the_sum"], row["drop_mm"], row["turn_deg"]) for row in found["missing"]] == [
        (False, None, None)
    ] * 2
    assert "left NOT KNOWN over 5 on right: beyond this sum" in " ".join(run(capsys, str(file))[1].split())


def test_first_gear_and_reverse_are_those_that_are_typed(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    """100 Nm by 3.5 about the crank: 700 N on each of two bushes 500 apart, less what their own turning takes."""
    both = scripts(capsys, file, DRIVE.format("first = 3.5\nreverse = 3\n") + LUMP + PAIR + REAR)
    assert [case["name"] for case in both["cases"]] == ["weight", "first gear", "reverse"]
    up = [{row["name"]: row["force_n"][2] for row in case["mounts"]} for case in both["cases"]]
    assert sum(up[1].values()) == pytest.approx(80 * G)
    more = {name: up[1][name] - up[0][name] for name in up[0]}
    assert more["left"] == pytest.approx(-more["right"])
    assert 600 < abs(more["left"]) < 700
    assert up[2]["left"] - up[0]["left"] == pytest.approx(-more["left"] * 3 / 3.5)
    one = scripts(capsys, file, DRIVE.format("first = 3.5\n") + LUMP + PAIR + REAR)
    assert [case["name"] for case in one["cases"]] == ["weight", "first gear"]
    assert "[powertrain] reverse: no reverse" in one["not_said"]
    none = scripts(capsys, file, DRIVE.format("") + LUMP + PAIR + REAR)
    assert [case["name"] for case in none["cases"]] == ["weight"]
    assert "[powertrain] traction.tyre_radius: the torque is not capped by what the tyres take" in none["not_said"]


def test_a_transaxle_has_no_gear_without_its_final_drive(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    axle = '[powertrain]\nlayout = "transaxle"\ntorque = 100\nfirst = 3.5\naxle = { at = [0, 0, 150] }\n'
    found = scripts(capsys, file, axle + LUMP + PAIR + REAR)
    assert [case["name"] for case in found["cases"]] == ["weight"]
    assert "[powertrain] final: no first gear and no reverse" in found["not_said"]
    assert "[powertrain] axle.axis: the torque acts about what these are by default" in found["not_said"]
    found = scripts(capsys, file, axle + "final = 4\n" + LUMP + PAIR + REAR)
    assert [case["name"] for case in found["cases"]] == ["weight", "first gear"]


def test_no_frequency_is_held_against_an_idle_that_nobody_typed(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    known = scripts(capsys, file, f"[powertrain]\n{IDLE}" + LUMP + PAIR + REAR)
    assert known["idle"]["firing_hz"] == 30
    assert all(row["flags"] is not None for row in known["modes"])
    for key in ("cylinders", "strokes", "idle"):
        rest = "".join(f"{line}\n" for line in IDLE.splitlines() if not line.startswith(key))
        found = scripts(capsys, file, f"[powertrain]\n{rest}" + LUMP + PAIR + REAR)
        assert found["idle"] is None
        assert [row["flags"] for row in found["modes"]] == [None] * 6
        assert f"[powertrain] {key}: no frequency is held against idle" in found["not_said"]
        assert not [f for f in found["findings"] if f["code"].startswith("mode")]
        assert [row["hz"] for row in found["modes"]] == [row["hz"] for row in known["modes"]]
    assert "not judged" in run(capsys, str(file))[1]


def test_more_than_a_bush_carries_stops(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    found = scripts(capsys, file, LUMP.replace("80", "2000") + PAIR + REAR)
    assert found["verdict"].startswith("STOP: do not cut")
    assert [f["code"] for f in found["findings"]][0] == "mount load"
    status, out, _ = run(capsys, str(file))
    assert status == 1
    assert out.splitlines()[1].startswith("STOP: do not cut: ")


def test_scripts_get_the_program_and_the_sum_of_what_was_read(
    capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    found = scripts(capsys, file, LUMP + PAIR + REAR)
    assert found["format"] == 1
    assert found["program"]["name"] == "brackets"
    assert found["inputs_sha256"] == {"bay.toml": sha256(file.read_bytes()).hexdigest()}
    assert set(found) == {
        "format", "program", "inputs_sha256", "bay", "verdict", "mass_kg", "centroid_mm", "inertia_kg_mm2", "cases",
        "missing", "heat", "modes", "idle", "stiffness", "assumed", "not_said", "findings", "set_height",
        "movement", "driveline", "through", "movers", "compared", "files", "formats",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", ["lump = none, must be one or more", "mount = none, must be one or more"]),
        (LUMP, ["mount = none, must be one or more: what the powertrain hangs on"]),
        (PAIR, ["lump = none, must be one or more: what the powertrain weighs"]),
        (
            SOFT + LUMP + MOUNT.format("left", "S", [0, 250, 200]),
            ["bush S: stiffness radial = none, must be typed", "bush S: stiffness axial = none, must be typed"],
        ),
        ("wrong = 1\n", ["wrong"]),
        ("= not a file of ours", [""]),
    ],
)  # fmt: skip
def test_what_cannot_be_hung_is_refused_by_key(
    text: str, said: list[str], capsys: pytest.CaptureFixture[str], file: Path
) -> None:
    file.write_text(f"format = 1\n{text}", encoding="utf-8")
    status, out, err = run(capsys, str(file))
    assert (status, out) == (2, "")
    assert "Traceback" not in err
    for part in said:
        assert part in err
    assert all(line.startswith(str(file)) for line in err.splitlines() if "must" in line)


def test_a_file_that_is_not_there_is_one_line(capsys: pytest.CaptureFixture[str], file: Path) -> None:
    status, _, err = run(capsys, "nowhere.toml")
    assert status == 2
    assert len(err.splitlines()) == 1
