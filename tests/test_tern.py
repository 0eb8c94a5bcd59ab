"""The worked bay, Tern (invented), against sums apart from this program: plain shapes, plain rotations, sampling.

The bay is fitted once, by the README's `brackets flat`.
"""

from __future__ import annotations

import io
import itertools
import json
import math
import re
import runpy
from collections.abc import Iterator, Mapping
from contextlib import redirect_stdout
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import trimesh
from json_schema import loose, problems
from test_inches import inch, unbracketed

from brackets import bay
from brackets.app.cli.app import main
from brackets.app.cli.fit_view import fit_text
from brackets.bay import fitting as fitted
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.checks import diagonals
from brackets.bay.clear.moving import by_pair
from brackets.bay.clear.paths import WITHIN
from brackets.bay.fitting import Fit
from brackets.bay.hung.mount_frames import mass_of, mount_frame
from brackets.bay.hung.movement import movement_of
from brackets.bay.report.whole import to_buy
from brackets.bay.schema.asked import EXPECTED_OF_FIT
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.clearance.bodies import skins
from brackets.clearance.places import moved
from brackets.core.schema.reading import changed
from brackets.forming.cut_list import cut_list
from brackets.library.recipe import shipped
from brackets.model import mass
from brackets.model.plate import Folded, Plate
from brackets.output import facts
from brackets.output.bay_facts import record
from brackets.output.facts_schemas import schema_of

Array = npt.NDArray[np.float64]

STEEL = 7.85e-6
"""kg/mm3, EN 1993-1-1:2005, 3.2.6."""

CENTRE = np.array(52 * np.array((-400, -70, 310)) + 26 * np.array((-395, 72, 200))) / 78
"""Of the two lumps."""


@pytest.fixture(scope="module")
def tern() -> Bay:
    return bay.read(Path(shipped(), "tern.toml"))


@dataclass(frozen=True)
class Laid:
    """What `brackets flat` of the bay ended with, printed, wrote into `into`, and the fit that it made."""

    status: int
    said: str
    into: Path
    fit: Fit


@pytest.fixture(scope="module")
def laid(tmp_path_factory: pytest.TempPathFactory) -> Laid:
    into = tmp_path_factory.mktemp("tern") / "flat"
    fits: list[Fit] = []
    fit, said = fitted.fit, io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(said):
        patch.setattr(fitted, "fit", lambda *a, **k: fits.append(fit(*a, **k)) or fits[-1])
        status = main(["flat", str(Path(shipped(), "tern.toml")), "--into", str(into)])
    (done,) = fits
    return Laid(status, said.getvalue(), into, done)


@pytest.fixture(scope="module")
def done(laid: Laid) -> Fit:
    return laid.fit


# --------------------------------------------------------------------------------------- from the file alone


def test_the_powertrain_weighs_what_its_lumps_do(tern: Bay) -> None:
    """Boxes about their own middles, then about the common one."""
    found = mass_of(tern)
    assert found is not None
    assert found.kg == pytest.approx(78, abs=1e-9)
    assert found.centroid.tolist() == pytest.approx(CENTRE.tolist(), abs=1e-6)
    whole = np.zeros((3, 3))
    for kg, at, size in ((52, (-400, -70, 310), (190, 190, 390)), (26, (-395, 72, 200), (250, 165, 234))):
        a, b, c = size
        off = np.array(at) - CENTRE
        whole += kg / 12 * np.diag([b * b + c * c, a * a + c * c, a * a + b * b])
        whole += kg * (off @ off * np.eye(3) - np.outer(off, off))
    assert np.allclose(found.inertia, whole, rtol=1e-9, atol=1e-3)


def test_both_diagonals_of_the_frame(tern: Bay) -> None:
    assert diagonals(tern.data[0].marks) == pytest.approx((math.hypot(700, 530),) * 2, abs=1e-9)
    assert math.hypot(700, 530) == pytest.approx(878.01, abs=0.01)


REACH = {"tray_left": 118 - 60, "tray_right": 118 - 60, "link_front": 54 - 3}


@pytest.mark.parametrize("name", REACH)
def test_reach_from_bush_to_what_the_ears_stand_on(tern: Bay, name: str) -> None:
    (mount,) = (mount for mount in tern.mounts if mount.name == name)
    assert mount_frame(tern, mount, "chassis").values["rail reach"] == pytest.approx(REACH[name], abs=1e-6)


def test_reach_and_slope_on_the_sloping_rail_by_the_rotated_frame(tern: Bay) -> None:
    """Into the rail's own axes: along it, up as near as may be, across; its inner face is half its width off."""
    start, end = np.array((0, -297, 430.0)), np.array((-700, -267, 335.0))
    along = (end - start) / np.linalg.norm(end - start)
    up = np.array((0, 0, 1.0)) - along[2] * along
    up /= np.linalg.norm(up)
    inward = np.cross(along, up)
    inward *= np.sign(inward[1])
    off = np.array((-400, -193, 376.0)) - start
    (mount,) = (mount for mount in tern.mounts if mount.name == "engine_right")
    values = mount_frame(tern, mount, "chassis").values
    axis = np.array((700, -30, 95.0)) / np.linalg.norm((700, -30, 95))
    assert axis @ inward == pytest.approx(0, abs=1e-9)
    assert values["rail slope"] == pytest.approx(0, abs=1e-6)  # the bush lies along the rail
    down = np.array((0, -1.0, 0)) - (np.array((0, -1.0, 0)) @ axis) * axis  # the ears stand `toward`
    lean = math.acos(-down @ inward / np.linalg.norm(down))
    assert abs(values["rail lean"]) == pytest.approx(math.degrees(lean), abs=1e-6)
    assert values["rail reach"] == pytest.approx((off @ inward - 25) / math.cos(lean), abs=1e-6)


def test_one_edit_of_the_file_moves_the_whole_powertrain_and_every_gap_to_it(tern: Bay) -> None:
    bare = replace(tern, parts=(), mounts=(), contacts=(), paths=(), expected=(), accepts=())
    shifted = replace(bare, powertrain=changed(bare.powertrain, place_at=(-10.0, 0.0, 0.0)))
    was, now = (bay_bodies(placed_bay(one)) for one in (bare, shifted))
    changed_gaps = 0
    for (i, engine), chassis in itertools.product(enumerate(was), was):
        if (engine.side, chassis.side) != ("powertrain", "chassis"):
            continue
        by_hand = skins(engine.body.placed(moved((-10, 0, 0))), chassis.body).distance
        assert skins(now[i].body, chassis.body).distance == pytest.approx(by_hand, abs=1e-6)
        changed_gaps += abs(skins(engine.body, chassis.body).distance - by_hand) > 1e-6
    assert changed_gaps > 10


@pytest.mark.checkout
def test_the_scan_is_what_its_script_writes(tmp_path: Path) -> None:
    """Its triangles may come in another order on another kernel; the body is the same."""
    shipped_scan = Path(shipped(), "tern_engine.stl")
    assert shipped_scan.stat().st_size < 100_000
    write = runpy.run_path(str(Path(shipped(), "_tern_scan.py")))["write"]
    write(tmp_path / "again.stl")
    one, other = (trimesh.load_mesh(path) for path in (shipped_scan, tmp_path / "again.stl"))
    assert one.is_watertight
    assert one.volume == pytest.approx(other.volume, rel=1e-4)
    assert np.allclose(one.bounds, other.bounds, atol=1e-3)
    assert np.allclose(one.bounds, ((-490, -150, 150), (-300, 51, 540)), atol=0.2)


# --------------------------------------------------------------------------------------------- the whole bay


def cone_reach(r: float, rise: float, run: float) -> float:
    """How far the rim of a round end reaches past its middle, level, where the pipe falls `rise` over `run`."""
    return r * rise / math.hypot(rise, run)


GAPS: Mapping[tuple[str, str], float] = {
    ("fuel_hose", "engine"): 340 - 313.5 - 6,
    ("tray", "brake_pipe"): (86 - 30) - (20 + 2.5),
    ("exhaust", "swing_arm"): (665 - 590) - cone_reach(21, 300, 110),
    ("sprocket", "chain"): (665 - 470) - 45,
    ("gearbox", "bulkhead"): 270,
    ("gearbox", "doubler"): 270 - 3,
    ("torque_link", "doubler"): 54 - 24 - 3,
}
"""Standing still, mm."""


@pytest.mark.parametrize("names", GAPS, ids=" | ".join)
def test_gaps_at_rest_by_plain_shapes(done: Fit, names: tuple[str, str]) -> None:
    bodies = {thing.name: thing.body for thing in done.things}
    found = skins(*(bodies[name] for name in names)).distance
    assert found == pytest.approx(GAPS[names], abs=0.06)  # of round bodies as many flats
    (pair,) = (pair for pair in done.pairs if {pair.a, pair.b} == set(names))
    assert pair.low - 1e-6 <= GAPS[names] <= pair.high + 0.05


def turned(roll: float, pitch: float, yaw: float) -> Array:
    """Right-handed about x, then y, then z, degrees."""
    a, b, c = np.radians((roll, pitch, yaw))
    x = np.array(((1, 0, 0), (0, math.cos(a), -math.sin(a)), (0, math.sin(a), math.cos(a))))
    y = np.array(((math.cos(b), 0, math.sin(b)), (0, 1, 0), (-math.sin(b), 0, math.cos(b))))
    z = np.array(((math.cos(c), -math.sin(c), 0), (math.sin(c), math.cos(c), 0), (0, 0, 1)))
    return np.asarray(z @ y @ x)


MOUNTS = ("tray_left", "tray_right", "engine_right", "link_front", "link_rear")


def places(bay: Bay) -> Iterator[tuple[Array, Array]]:
    """Turns and shifts of the powertrain, densely over what its file types and its bushes make more of."""
    whole = movement_of(bay).whole
    for turns in itertools.product(*(np.linspace(*span, 5) for span in whole.turns)):
        rotation = turned(*turns)
        for shift in itertools.product(*(np.linspace(*span, 3) for span in whole.travel)):
            yield rotation, np.array(shift, dtype=float)


def test_its_bushes_turn_it_further_than_is_typed_and_shift_it_less(done: Fit) -> None:
    """Yaw by the pull of the chain, that the torque link takes off the middle; pitch by a foot on the kick start.
    All other ways the typed movement is more."""
    movement = movement_of(done.bay)
    assert (movement.how, movement.problem, movement.lacking) == ("both", "", ())
    more = {(i, end): by[end] for i, by in enumerate(movement.by) for end in (0, 1) if by[end] != "typed"}
    assert more == {(4, 0): "kick start", (5, 0): "pulling away", (5, 1): "first gear"}
    assert movement.whole.turns[1][0] == pytest.approx(-1.257, abs=2e-3)
    assert movement.whole.turns[2][1] == pytest.approx(0.904, abs=2e-3)
    assert movement.turned_most[1] == "kick start"


def test_with_no_weight_on_it_hangs_by_its_sag_over_where_it_is_drawn(done: Fit) -> None:
    """765 N on three bushes of 350 N/mm across their axes, of which one slants: three quarters of a mm; the bolts
    of the three and both paths are judged there, those of the link as drawn."""
    at = movement_of(done.bay).unloaded
    assert at is not None
    assert at.shift[2] == pytest.approx(78 * 9.80665 / 1050, rel=0.06)
    assert {one.name: one.unloaded for one in done.bolts if one.name in MOUNTS} == {
        name: not name.startswith("link") for name in MOUNTS
    }
    assert [path.unloaded for path in done.paths] == [True, True]


def test_the_fuel_hose_clears_standing_still_and_is_short_when_the_engine_moves(done: Fit) -> None:
    """The front of the head, sampled, carried about the centre of mass by what is typed, which is further than its
    bushes let it; the hose is a line of radius 6."""
    names = frozenset(("engine", "fuel_hose"))
    (pair,) = (pair for pair in done.pairs if {pair.a, pair.b} == names)
    assert (pair.state, pair.needed, pair.short) == ("clear", 20.0, False)
    front = np.array([(-340.0, y, z) for y in np.linspace(-123, 23, 9) for z in np.linspace(440, 540, 21)])
    least = math.inf
    typed = itertools.product(*(np.linspace(-most, most, 5) for most in (0.5, 0.8, 0.3)))
    shifts = [np.array(shift) for shift in itertools.product((-3.0, 0, 3), (-2.0, 0, 2), (-4.0, 0, 3))]
    for rotation, shift in ((turned(*angles), shift) for angles in typed for shift in shifts):
        now = (front - CENTRE) @ rotation.T + CENTRE + shift
        least = min(least, float(np.hypot(now[:, 0] + 313.5, now[:, 2] - 480).min()) - 6)
    move = by_pair(done.moved)[names]
    assert move.needed == 15.0
    assert move.short
    assert move.low <= least <= move.high + 0.3
    assert move.high - move.low < 0.3
    assert move.case == "typed"
    said = [f for f in done.findings if f.code == "gap moved" and f.limit]
    assert [(f.level, f.limit, set(f.about)) for f in said] == [("caution", 15.0, names)]
    ends = [f for f in done.findings if f.code == "gap moved" and not f.limit]  # cups of the tray, at their ears
    assert {f.about for f in ends} == {("tray", "left_ears"), ("tray", "right_ears")}
    assert {f.level for f in ends} == {"caution"}


def test_all_else_meets_what_the_file_asks(done: Fit) -> None:
    assert [f.sentence for f in done.findings if f.level == "stop"] == []
    assert {(pair.a, pair.b) for pair in done.pairs if pair.short} == set()
    assert [{move.a, move.b} for move in done.moved if move.short] == [{"engine", "fuel_hose"}]
    cautions = {f.code for f in done.findings if f.level == "caution"}
    assert cautions == {"gap moved", "gap less pos", "weld near", "chain line", "strength scope"}
    near = [f.piece.split(" | ")[-1] for f in done.findings if f.code == "weld near"]
    assert all(name in ("tank", "brake_pipe", "fuel_hose") or name.endswith(" bush") for name in near)


def test_what_the_file_expects_comes_out(done: Fit) -> None:
    assert len([row for row in done.bay.expected if row.what in EXPECTED_OF_FIT]) == 9
    assert not [f for f in done.findings if f.code == "expected"]


def test_the_link_is_asked_for_what_two_moved_points_are_apart(done: Fit) -> None:
    """Its bar is 162 long; the change of the distance between its bush centres is shared by its two bushes."""
    fixed, moving = np.array((-54, 75, 270.0)), np.array((-216, 75, 270.0))
    apart = [
        float(np.linalg.norm((moving - CENTRE) @ rotation.T + CENTRE + shift - fixed)) - 162
        for rotation, shift in places(done.bay)
    ]
    (link,) = done.links
    assert link.length == pytest.approx(162, abs=1e-6)
    demand = link.demand
    assert demand is not None
    assert demand.squeeze.low - 0.05 <= -min(apart) <= demand.squeeze.high + 1e-6
    assert demand.stretch.low - 0.05 <= max(apart) <= demand.stretch.high + 1e-6


def hull_of_ear(r: float, half: float, down: float) -> float:
    """mm2 of an ear: a round of radius r, and straight tangents from it to a foot 2 * half wide, `down` below."""
    far = math.hypot(half, down)
    turn = math.acos(r / far) + math.atan2(half, down)
    return r * math.sqrt(far**2 - r**2) + half * down + r * r * (math.pi - turn)


def test_masses_of_plain_pieces(done: Fit) -> None:
    """Ears: hull of a round and a foot, its hole 10 mm as finished (close fit of M10 is more: within 1 %). Crush
    tubes, cups and the eyes of the link: rings."""
    kg = {f"{part.name}: {one.name}": mass.of(one).kg for part in done.stood.parts for one in part.part.pieces}
    ear = (hull_of_ear(22, 17, 58 - 8) - math.pi / 4 * 10**2) * 6 * STEEL
    assert kg["left_ears: ears/ear_front"] == pytest.approx(ear, rel=0.01)
    assert kg["left_ears: base/crush_tube_1"] == pytest.approx(math.pi / 4 * (17**2 - 11**2) * 60 * STEEL, rel=1e-3)
    assert kg["tray: cup_left"] == pytest.approx(math.pi / 4 * (55**2 - 45**2) * 40 * STEEL, rel=1e-3)
    eye = math.pi / 4 * (48**2 - 38**2) * 30 * STEEL
    assert kg["torque_link: eye_1"] == pytest.approx(eye, rel=1e-3)


def test_left_and_right_are_one_pair(done: Fit) -> None:
    by_name = {part.name: part.part for part in done.stood.parts}
    left, right = by_name["left_ears"].mass, by_name["right_ears"].mass
    assert right.kg == pytest.approx(left.kg, rel=1e-9)
    assert (right.centroid * (1, -1, 1)).tolist() == pytest.approx(left.centroid.tolist(), abs=1e-6)


def test_the_ways_out(done: Fit) -> None:
    strut, whole = done.paths
    assert (strut.name, strut.out, strut.held) == ("strut out", True, ())
    assert (whole.name, whole.out, whole.held) == ("engine and gearbox out", True, ())
    # Lips end 36 under the bosses at 86, go 159 up and back over the swing arm, whose top is at 205; it hangs
    # higher with no weight on it, and turned a little: 0.07 deg over the 200 mm from its middle to the lip's end.
    at = movement_of(done.bay).unloaded
    assert at is not None
    assert whole.low == pytest.approx(86 - 36 + 159 - 205 + at.shift[2], abs=WITHIN + math.radians(0.08) * 200)
    assert {"tray", "fork", "engine", "gearbox", "exhaust"} <= set(whole.moving)
    assert not {"strut", "torque_link"} & set(whole.moving)


GRIPS = {**dict.fromkeys(("T1", "T2", "T3", "T4"), 5.0), **dict.fromkeys(("E1", "E2", "E3"), 8.0),
         "L1": 10.0, "L2": 10.0}  # fmt: skip
"""The plates that the boss bolts go through."""

CLAMPED = {"left_ears": 8 + 60 + 4, "right_ears": 8 + 60 + 4, "upper_ears": 12 + 50 + 4,
           "link_bracket": 8 + 3 + 1.5 + 4}  # fmt: skip
"""Base, rail or doubler and sheet, and spreader."""


def test_grips_and_lengths_of_bolts(done: Fit) -> None:
    bosses = {one.name: one.bolt.grip for one in done.bolts if isinstance(one.bolt, BossBolt)}
    assert bosses == pytest.approx(GRIPS, abs=1e-3)
    through = {one.name: one for one in done.bolts if "base/bolt" in one.name}
    assert len(through) == 8
    for name, one in through.items():
        assert one.bolt.grip == pytest.approx(CLAMPED[name.split()[0]], abs=1e-3), name  # type: ignore[union-attr]
    lengths = {one.name: one.used.length for one in done.bolts if one.used is not None}
    assert len(lengths) == len(done.bolts) == 22
    assert lengths["tray_left"] == 100
    assert lengths["upper_ears base/bolt_1"] == 80  # 66 of grip, 3.2 of washers, 6.8 of nut and two threads: 78.5


def test_every_bolt_comes_out_and_is_got_at(done: Fit) -> None:
    assert [one.name for one in done.bolts if not any(way.out for way in one.withdrawals)] == []
    assert [(one.name, end.end) for one in done.bolts for end in one.ends if not end.ok] == []


def test_the_lock_nuts_of_the_link_are_bought_and_not_cut(done: Fit) -> None:
    (nuts,) = (item for item in to_buy(done) if (item.kind, item.what) == ("nut", "M12 plain"))
    assert (nuts.number, nuts.where) == (2, ("torque_link",))
    cut = cut_list((part.name, part.part) for part in done.stood.parts)
    assert not [item for item in cut if any("nut" in name for name in item.names)]
    (stud,) = (item for item in cut if item.section == "threaded bar M12")
    assert stud.material == "8.8"


def test_its_facts_are_as_the_schema_says(done: Fit) -> None:
    """Most of what a bay can have is in Tern; none of it may be left out."""
    said = json.loads(facts.text(record(done)))
    rule = schema_of("fit")
    rule["required"] = [key for key in rule["required"] if key in said]
    assert list(problems(rule, said)) == []
    empty = {key for key, one in said.items() if one == []}
    assert empty == {"files", "fit_ups", "left_out", "notes"}
    short = {key: one[:1] if isinstance(one, list) else one for key, one in said.items()}
    assert list(loose(rule, short)) == []


def test_every_part_stands_on_its_mounts(done: Fit) -> None:
    assert {part.name for part in done.stood.parts} == {entry.row.name for entry in done.bay.parts}
    assert [m for part in done.stood.parts for m in part.misfits if m.off > 0.01 or m.angle > 0.01] == []


def test_every_blank_of_the_bay_is_laid_out(laid: Laid) -> None:
    """The README's `brackets flat recipes/tern.toml`."""
    assert laid.status == 0
    plates = sum(isinstance(piece, Folded | Plate) for part in laid.fit.stood.parts for piece in part.part.pieces)
    told = json.loads((laid.into / "facts.json").read_text("utf-8"))
    assert sum(blank["count"] for blank in told["blanks"]) == plates > 0
    assert f"{plates}, " in laid.said
    assert "tern-sheets.pdf" in laid.said


# ----------------------------------------------------------------------------------------------- the smallest bay


def test_the_shelf_meets_both_rules_that_it_enters() -> None:
    """Hose: 85 less 60 less 10 of it, 4 less when the engine comes forward. Tray: 85 less 62; sheet: 85."""
    found = fitted.fit(bay.read(Path(shipped(), "shelf.toml")))
    gaps = {frozenset((pair.a, pair.b)): pair for pair in found.pairs}
    moves = by_pair(found.moved)
    for names, still in ((("hose", "engine"), 15.0), (("tray", "engine"), 23.0), (("sheet", "engine"), 85.0)):
        assert gaps[frozenset(names)].low == pytest.approx(still, abs=0.2)
        assert moves[frozenset(names)].low <= still - 4 + 0.05
    assert {f.level for f in found.findings} == {"advice"}


# -------------------------------------------------------------------------------------------------- in inches


def test_its_whole_screen_says_inches_were_it_typed_in_inches(done: Fit, monkeypatch: pytest.MonkeyPatch) -> None:
    """A row of each kind of table, each figure from the mm beside it by 25.4: low ends down, high ends up."""
    monkeypatch.setenv("COLUMNS", "110")
    screen = unbracketed(fit_text(inch(done), None))
    # Strength is in N, mm and MPa in any bay.
    screen = re.sub(r"(ring, must be a tube that goes on [\d.]+|throat = [\d.]+) mm", "", screen)
    rest = re.sub(r"\(the least spare is -?[\d.]+ mm\)|sections in mm, as the stock names them", "", screen)
    rest = re.sub(r"N/mm|N mm", "", rest)
    assert re.findall(r".{20}\bmm\b.{9}", rest.replace("A mm moves the engine a mm along", "")) == []
    for row in (
        "fuel hose, end to the engine 2.783 2.480 1.575 3.079 4.331 1.248 typed typed",  # 70.7 63 40 78.2 110 31.7
        "torque_link link_front 6.378 -0.145 to +0.193 0.099 of 0.157 0.008 of 0.118 1.8 of 4",  # 2.5 of 4
        "final chain, 19.307 in from centre to centre; degrees and in",  # 490.4
        "out of line by 0.000 0.039 0.364 0.315",  # 0.00 1 9.24 8
        "axes off parallel by 0.00 0.3 0.96 1",  # degrees
        "gearbox, front -11.024 2.835 8.110",  # -280.0 72.0 206.0
        "link_bracket down 0.157 in link_front: 0.000, 0.000, -0.157",  # 4
        "1 plate 10 S235 6.850 x 1.969",  # 174.0 x 50.0
        "comes out 1.457 of 3.543 in, then",  # 37 of 90
    ):
        assert row in screen, row
