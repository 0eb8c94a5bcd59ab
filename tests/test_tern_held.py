"""How much of its rule of strength Tern uses, part by part: sums by hand from loads, sizes and statics alone.

The loads are those of the bay's mounts (`bay/held_loads.py`), which are held against an energy elsewhere. What each
place carries, its section and its stress are worked out here: nothing of `brackets.hold` takes part. Metal: S235,
fy 235 MPa (EN 1993-1-1:2005 table 3.1); own factor 2 on yield; plates: stress along and shear put together by von
Mises, shear 1.5 F/A; welds: fy / (sqrt(3) beta_w 2) with beta_w 0.8 (EN 1993-1-8:2005 4.5.3.3, own factor and yield
in the place of gamma_M2 and tensile strength).
"""

from __future__ import annotations

import json
import math
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from brackets import read_bay
from brackets.app.cli.app import main
from brackets.bay.expected_to_hold import expected_to_hold
from brackets.bay.held_loads import BayLoads, loads_of, part_cases
from brackets.bay.held_parts import BayHeld, held_under
from brackets.bay.schema.asked import ExpectedRow
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.errors import InputError
from brackets.library.recipe import shipped

Array = npt.NDArray[np.float64]
YIELD = 235 / 2
WELD = 235 / (math.sqrt(3) * 0.8 * 2)
FACTOR = 1.35
"""Load factor of Tern."""


@pytest.fixture(scope="module")
def stood() -> PlacedBay:
    return placed_bay(read_bay(shipped() / "tern.toml"))


@pytest.fixture(scope="module")
def loads(stood: PlacedBay) -> BayLoads:
    return loads_of(stood.bay)


@pytest.fixture(scope="module")
def held(stood: PlacedBay, loads: BayLoads) -> BayHeld:
    return held_under(stood, loads)


def forces(stood: PlacedBay, loads: BayLoads, name: str) -> dict[str, list[Array]]:
    """By seat, N on the part in every case with the load factor, corners of the scatter too."""
    part = next(each.part for each in stood.parts if each.name == name)
    found: dict[str, list[Array]] = {}
    for case in part_cases(stood.bay, loads, part, name, load_factor=FACTOR):
        for load in case.loads:
            by = FACTOR if case.counted == "characteristic" else 1.0
            found.setdefault(load.seat, []).append(by * np.array(load.force))
    return found


def mises(direct: float, shear: float) -> float:
    return math.sqrt(direct**2 + 3 * shear**2)


def left_ears(stood: PlacedBay, loads: BayLoads) -> float:
    """Root of an ear, 34 x 6 at the base's upper face, 68 up: half the force each, bent over 50 mm both ways."""
    worst = 0.0
    for x, y, z in np.abs(forces(stood, loads, "left_ears")["bush"]) / 2:
        arm, w, t = 118 - 68, 34, 6
        direct = z / (w * t) + 6 * x * arm / (w * t**2) + 6 * y * arm / (t * w**2)
        worst = max(worst, mises(direct, 1.5 * math.hypot(x, y) / (w * t)))
    return worst / YIELD


def right_ears(stood: PlacedBay, loads: BayLoads) -> float:
    """Crush tube 17 x 3: 12 kN of preload, what pulls, and the tilt over two bolts, held by the base's edge 24 off.
    """
    worst = 0.0
    for x, y, z in forces(stood, loads, "right_ears")["bush"]:
        bolt = max(z / 2 + abs(x) * 58 / 130, 0.0) + abs(y) * (118 - 60) / 24 / 2
        worst = max(worst, (12000 + bolt) / (math.pi / 4 * (17**2 - 11**2)))
    return worst / YIELD


def upper_ears(stood: PlacedBay, loads: BayLoads) -> float:
    """End of an ear's first bend (26 down, middle of the plate at 11 round it, 45 degrees): half the force each."""
    axis = np.array((700.0, -30, 95)) / math.sqrt(700**2 + 30**2 + 95**2)
    down = np.array((0, -1.0, 0)) - (np.array((0, -1.0, 0)) @ axis) * axis
    down /= np.linalg.norm(down)
    slant = (down - axis) / math.sqrt(2)
    third, normal = np.cross(axis, down), np.cross(slant, np.cross(axis, down))
    round_bend = 11 * (1 - math.cos(math.pi / 4))
    lever = -(26 + 11 * math.sin(math.pi / 4)) * down + round_bend * axis  # from the section to the bolt in its ear
    worst, w, t = 0.0, 30, 6
    for force in np.array(forces(stood, loads, "upper_ears")["bush"]) / 2:
        moment = np.cross(lever, force)
        direct = abs(force @ slant) / (w * t)
        direct += 6 * abs(moment @ third) / (w * t**2) + 6 * abs(moment @ normal) / (t * w**2)
        shear = 1.5 * math.hypot(force @ third, force @ normal) / (w * t)
        shear += abs(moment @ slant) * (3 + 1.8 * t / w) / (w * t**2)
        worst = max(worst, mises(direct, shear))
    return worst / YIELD


def link_bracket(stood: PlacedBay, loads: BayLoads) -> float:
    """Base 60 x 8, a beam on its bolts at 56 to both sides: bent at the ears' foot, 20 off the middle."""
    most = max(abs(f[0]) for f in forces(stood, loads, "link_bracket")["bush"]) / 2
    return mises(6 * most * (56 - 20) / (60 * 8**2), 1.5 * most / (60 * 8)) / YIELD


def fork(stood: PlacedBay, loads: BayLoads) -> float:
    """Plate 50 x 10 in four-point bending: bolts at 65 to both sides, ears at 18.25 and 6 thick; the bolts lie 2
    below the bush, which twists it."""
    most = max(abs(f[0]) for f in forces(stood, loads, "fork")["bush"]) / 2
    direct = 6 * most * (65 - 18.25 - 3) / (50 * 10**2)
    return mises(direct, 2 * most * (3 + 1.8 * 10 / 50) / (50 * 10**2)) / YIELD


def tray(stood: PlacedBay, loads: BayLoads) -> float:
    """The tray beside T1 and T3, 285 from the right bush: floor 194 less two holes of 11, two lips of 23 on r 8,
    t 5, strips without the bends between them."""
    t, floor, lip, far = 5.0, 194 - 2 * 11.0, 36 - 13.0, 107.5
    middle_of_lip = -(13 - 2.5 + lip / 2)
    area = t * (floor + 2 * lip)
    centre = t * 2 * lip * middle_of_lip / area
    second = t * (floor * centre**2 + floor * t**2 / 12 + 2 * lip * ((middle_of_lip - centre) ** 2 + lip**2 / 12))
    wide = t * ((194**3 - (161**3 - 139**3)) / 12 + 2 * lip * far**2)  # holes 150 apart
    top, bottom = t / 2 - centre, centre - middle_of_lip + lip / 2
    worst = 0.0
    for x, y, z in forces(stood, loads, "tray")["bush_right"]:
        over = z * 285 + y * (118 - (83.5 + centre))
        for down, aside in ((top, 97.0), (-bottom, 110.0)):
            direct = abs(y / area + over * down / second) + abs(x) * 285 / wide * aside
            worst = max(worst, mises(direct, abs(z) / (2 * t * lip) + abs(x) / (t * floor)))
    return worst / YIELD


def ring(points: Array, kept: Array, throat: float, force: Array, moment: Array) -> float:
    """MPa: most of a closed weld of lines, rigid against one another; moment about the origin of the points."""
    ends = np.roll(points, -1, axis=0)
    area = np.where(kept, np.linalg.norm(ends - points, axis=1), 0.0) * throat
    middle = (points + ends) / 2
    centre = area @ middle / area.sum()
    arm = middle - centre
    inertia = (area * (arm * arm).sum(axis=1)).sum() * np.eye(3) - (arm * area[:, None]).T @ arm
    turn = np.linalg.solve(inertia, moment - np.cross(centre, force))
    return float(np.linalg.norm(force / area.sum() + np.cross(turn, arm), axis=1)[kept].max())


ROUND = np.linspace(0, 2 * math.pi, 7200, endpoint=False)
COUNTS = 0.5
"""Cosine of 60 degrees: fillets at less than 60 or over 120 do not count (EN 1993-1-8:2005 4.3.2.1)."""


def strut(stood: PlacedBay, loads: BayLoads) -> float:
    """Fillet of leg 5 where the tube of 32 stands on its plate at 42 degrees: what of it lies at 60 to 120."""
    way = np.array((0, -58.0, 53)) / math.hypot(58, 53)
    foot = np.array((-400, -158, 255 + 53 * 2 / 58))
    side = np.cross(way, (1.0, 0, 0))
    out = np.cos(ROUND)[:, None] * np.array((1.0, 0, 0)) + np.sin(ROUND)[:, None] * side
    points = 16 * out - (16 * out[:, 1] / way[1])[:, None] * way
    kept = np.abs(out[:, 1]) <= COUNTS
    bush = np.array((-400, -193, 376.0)) - foot
    each = forces(stood, loads, "strut")["bush"]
    return max(ring(points, kept, 5 / math.sqrt(2), f, np.cross(bush, f)) for f in each) / WELD


def torque_link(stood: PlacedBay, loads: BayLoads) -> float:
    """Fillet of leg 4.25 where the tube of 28 lands on the eye of 48: pulled straight, what lies at 60 to 120."""
    y, z = 14 * np.cos(ROUND), 14 * np.sin(ROUND)
    points = np.stack([np.sqrt(24**2 - z**2), y, z], axis=1)
    kept = np.abs(z * np.sin(ROUND) / 24) <= COUNTS
    each = forces(stood, loads, "torque_link")["bush_2"]
    return max(ring(points, kept, 4.25 / math.sqrt(2), f, np.zeros(3)) for f in each) / WELD


BY_HAND = {one.__name__: one for one in (
    left_ears, right_ears, tray, upper_ears, strut, link_bracket, fork, torque_link
)}  # fmt: skip


def row_of(stood: PlacedBay, name: str) -> ExpectedRow:
    (row,) = (row for row in stood.bay.expected if row.what == "utilisation" and row.of == (name,))
    return row


@pytest.mark.parametrize("name", BY_HAND)
def test_each_part_uses_of_the_rule_what_a_hand_sum_says(
    stood: PlacedBay, loads: BayLoads, held: BayHeld, name: str
) -> None:
    """Row of the file, hand and program: within a hundredth of the rule."""
    row, by_hand = row_of(stood, name), BY_HAND[name](stood, loads)
    assert by_hand == pytest.approx(row.value, abs=row.within)
    assert row.within <= 0.01
    part = next(part for part in held.parts if part.name == name)
    assert part.held is not None
    assert row.clause is not None
    found = [c.check.worst for c in part.held.checks if c.place == row.place and row.clause in c.check.clause]
    assert max(found) == pytest.approx(by_hand, abs=0.01)


def test_every_part_of_tern_has_a_row_and_meets_the_rule_where_it_is_checked(
    stood: PlacedBay, held: BayHeld
) -> None:
    assert {part.name for part in held.parts} == set(BY_HAND)
    for part in held.parts:
        assert part.held is not None
        assert part.utilisation <= 1
        assert not part.held.exceeds
    assert not [f for f in held.findings if f.level == "stop" or f.code == "expected"]


def test_its_welds_can_be_checked(held: BayHeld) -> None:
    """Every throat is 3 mm, every wall that is welded too."""
    refused = [r for part in held.parts if part.held is not None for r in part.held.refused]
    assert not [r for r in refused if r.place.startswith("weld ") or "throat" in r.problem]


def utilisation(value: float, **more: object) -> ExpectedRow:
    return ExpectedRow(what="utilisation", of=("strut",), value=value, within=0.01, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("off", "place", "says"),
    [
        (0.009, "weld tube | plate", None),
        (0.011, "weld tube | plate", "utilisation: 0.9"),
        (0.0, "weld tube | moon", "utilisation: nothing there is called that, or no check of it was made"),
    ],
)
def test_a_row_that_does_not_come_out_is_a_caution(
    held: BayHeld, off: float, place: str, says: str | None
) -> None:
    strut = next(part for part in held.parts if part.name == "strut")
    row = utilisation(strut.utilisation + off, place=place, clause="4.5.3.3")
    said = [(f.level, f.code, f.about) for f in expected_to_hold([row], held.parts)]
    assert said == ([] if says is None else [("caution", "expected", ("strut",))])
    assert says is None or next(expected_to_hold([row], held.parts)).sentence.startswith(says)


def test_a_row_is_of_the_part_that_uses_most_where_it_names_no_place(held: BayHeld) -> None:
    strut = next(part for part in held.parts if part.name == "strut")
    assert [*expected_to_hold([utilisation(strut.utilisation)], held.parts)] == []
    assert [*expected_to_hold([replace(utilisation(1.0), of=("nobody",))], held.parts)] == []  # not judged


@pytest.mark.parametrize(
    ("given", "problem"),
    [
        ({"what": "utilisation", "of": ("strut",), "case": "bump"}, "case, without = given, must be none"),
        ({"what": "mass", "of": ("strut",), "place": "tube"}, "place, clause = given, must be none"),
        ({"what": "utilisation", "of": ("strut", "tray")}, "must be 1 name"),
    ],
)
def test_what_a_row_may_not_say(given: dict[str, object], problem: str) -> None:
    with pytest.raises(InputError, match=problem):
        ExpectedRow(value=0.5, **given)  # type: ignore[arg-type]


def test_its_lightest_tray_is_not_named_while_no_clause_covers_a_tube_on_its_cup(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """All that is checked of a lip of 37 holds; the cup is a ring under its tube's end, which nothing covers."""
    asks = ["family", str(shipped() / "tern.toml"), "--part", "tray", "--lightest", "--side-lip", "37"]
    assert main([*asks, "--no-files", "--workers", "0"]) == 2
    said = " ".join(capsys.readouterr().err.split())
    assert "lightest = none of 1 rows: 1 do not meet the strength you entered" in said
    assert "nearest: row 1: tray: wall of cup_left under tube_left: " in said
    assert "utilisation" not in said


def test_its_lightest_tray_is_named_where_you_judged_what_no_clause_covers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A lip of 36 on the same tube is too soft at the right bush, a thinner tube's weld too thin to count."""
    places = [f"tray: wall of cup_{side} under tube_{side}" for side in ("left", "right")]
    bay, rows = tmp_path / "mine.toml", tmp_path / "rows.csv"
    typed = f"[hold]\nby_other_means = {json.dumps(places)}\n"
    bay.write_text((shipped() / "tern.toml").read_text("utf-8").replace("[hold]\n", typed), "utf-8")
    shutil.copy(shipped() / "tern_engine.stl", tmp_path)
    rows.write_text("side_lip,tube\n36,25x5\n37,25x4\n37,25x5\n", "utf-8")
    asks = ["family", str(bay), "--part", "tray", "--lightest", "--rows", str(rows)]
    assert main([*asks, "--no-files", "--workers", "0"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "row 3: 5.744 kg, the lightest that meets the rules you entered" in said
    assert "3 rows, 2 of them lighter: 3 asked for strength, 1 built" in said
    assert "36, row 1: stiffness you entered: tray: tray_right: utilisation over 1.00" in said
    assert "25x4, row 2: tray: weld tube_left | cup_left: throat = 2.828 mm, must be at least 3 mm" in said
    for place in places:
        assert f"judged by you {place}: by other means, as typed" in said
