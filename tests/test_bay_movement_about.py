"""Figures of hoses, shafts, chains and gaps over the movement, told about the points they hang on: against places
tried one by one, and against the box about the powertrain's own point. The bay is invented."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from test_bay_movement import BODIES, CASES, TOP, bay_of, mounts
from test_hang_travel import turned

from brackets.bay.clear import nearer_regions, regions
from brackets.bay.clear.drive_rules import drive_cells, drive_findings, drive_record
from brackets.bay.clear.driveline import Drive, drives, drives_at, line_at
from brackets.bay.clear.nearer_regions import named_pairs
from brackets.bay.clear.regions import cases_of, moves_of
from brackets.bay.clear.slack import slack_cells, slack_findings, slacks
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.hung.load_cases import load_cases_of
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.hung.movement import movement_of
from brackets.bay.hung.on_bushes import on_bushes
from brackets.bay.hung.spots import frame_along
from brackets.bay.schema.record import Bay
from brackets.clearance.bodies import Body, body
from brackets.clearance.gaps import gap
from brackets.clearance.places import Transform
from brackets.clearance.sweeps import SweepResult, sweep
from brackets.core.place import Place
from brackets.hang.statics import reactions

ENDS = """
[[slack]]
name = "hose"
powertrain = [100, 150, 200]
chassis = [180, 260, 240]
length = 146
least = 139
[[shaft]]
name = "prop"
joints = "Cardan"
powertrain = { at = [-150, 0, 40], axis = [-1, 0, 0] }
chassis = { at = [-800, 20, 10], axis = [1, 0, 0.02] }
angle = { moved = 0.1 }
[[chain]]
name = "final"
powertrain = { at = [-100, 150, 60], axis = [0, 1, 0] }
chassis = { at = [-600, 150, 40], axis = [0, 1, 0] }
offset = { moved = 0.5 }
[[load_case]]
name = "yank"
forces = [{ at = [-100, 150, 60], force = [-900, 100, 0] }]
why = "invented"
"""


def watched(folder: Path, moves: str = "overshoot = 1.4") -> Bay:
    return bay_of(folder, moves=moves, more=CASES + ENDS + BODIES)


@pytest.fixture(scope="module")
def yanked(tmp_path_factory: pytest.TempPathFactory) -> Bay:
    """The bay with its hose, shaft and chain, its movement worked out once for all who change nothing of it."""
    return watched(tmp_path_factory.mktemp("yanked"))


@pytest.fixture(scope="module")
def driven(yanked: Bay) -> tuple[Drive, ...]:
    return drives(yanked)


@pytest.fixture(scope="module")
def tried(yanked: Bay, rng: Callable[[int], random.Random]) -> list[tuple[str, Transform]]:
    """300 places that it may be in, and of each the case that alone leads there."""
    return [anywhere(yanked, rng(n)) for n in range(300)]


@pytest.fixture(scope="module")
def figures(yanked: Bay, tried: list[tuple[str, Transform]]) -> list[dict[tuple[str, str], float]]:
    """What shaft and chain have in each of them."""
    rest = drives_at(yanked, place_of(yanked.powertrain))
    matrices = (np.column_stack([place.turn, place.move]) for _, place in tried)
    return [values(drives_at(yanked, Place.of_matrix(one.tolist())), rest) for one in matrices]


def anywhere(bay: Bay, chosen: random.Random) -> tuple[str, Transform]:
    """Some case, or a mix of any two, with some bushes and the overshoot: its name, "" of a mix, and the place."""
    on = on_bushes(bay)
    one, other = chosen.sample(load_cases_of(bay, on), 2)
    share, far = chosen.choice((0.0, 0.0, chosen.random())), movement_of(bay).overshoot
    soft = [mount.scaled(chosen.choice((mount.low, mount.low, chosen.uniform(mount.low, mount.high))))
            for mount in on.mounts]  # fmt: skip
    parts = ((one, far * (1 - share)), (other, far * share))
    felt = sum(part * np.array(case.felt) for case, part in parts)
    loads = [load.times(part) for case, part in parts for load in case.loads if part]
    rest = reactions(on.mass.kg, on.mass.centroid, on.mounts).rest
    found = reactions(on.mass.kg, on.mass.centroid, soft, loads, felt=tuple(map(float, felt)))  # type: ignore[arg-type]
    moved, centre = found.movement - rest, np.asarray(on.mass.centroid)
    turn = turned(moved[3:])
    return one.name if share == 0 else "", Transform(turn, centre - turn @ centre + moved[:3])


def values(found: tuple[Drive, ...], rest: tuple[Drive, ...]) -> dict[tuple[str, str], float]:
    """Every figure as it stands, lengths as how much longer or shorter than at rest, never under 0."""
    made = {}
    for drive, drawn in zip(found, rest, strict=True):
        more = drive.length - drawn.length
        for figure in drive.figures:
            grows = figure.what in ("longer by", "centres further by")
            made[drive.row.name, figure.what] = (
                max(more if grows else -more, 0.0) if figure.still is None else figure.still
            )
    return made


def test_no_place_that_is_tried_has_more_than_is_proven_and_some_have_nearly_as_much(
    yanked: Bay,
    driven: tuple[Drive, ...],
    tried: list[tuple[str, Transform]],
    figures: list[dict[tuple[str, str], float]],
) -> None:
    """300 places by the mechanics, a mix of two cases with any bushes, each a rigid motion. The least of what is
    proven is reached to a tenth and what second-order terms take, which the box about the engine's point is not."""
    proven = {(drive.row.name, figure.what): figure.moved for drive in driven for figure in drive.figures}
    (hose,) = slacks(yanked)
    most = dict.fromkeys(proven, 0.0)
    ends = [math.inf, -math.inf]
    for (_, place), found in zip(tried, figures, strict=True):
        for key, value in found.items():
            bound = proven[key]
            assert bound is not None
            assert value <= bound.high + 1e-6, key
            most[key] = max(most[key], value)
        apart = math.dist(place.points(np.array([hose.row.powertrain]))[0], hose.row.chassis)
        assert hose.found.least[0] - 1e-6 <= apart <= hose.found.most[1] + 1e-6
        ends = [min(ends[0], apart), max(ends[1], apart)]
    for key, bound in proven.items():
        assert bound is not None
        assert bound.high < 1.15 * most[key] + 0.15, key
    assert hose.found.most[1] - ends[1] < 0.3
    assert ends[0] - hose.found.least[0] < 0.5  # no convex figure: over all of it at once


def test_told_about_its_ends_a_figure_is_never_more_than_in_the_box(
    yanked: Bay, driven: tuple[Drive, ...]
) -> None:
    box = moves_of(yanked)
    assert box is not None
    for drive in driven:
        line = line_at(drive.row, place_of(yanked.powertrain), box)
        by_box = {
            "joint on the powertrain": line.most_at_moving(), "joint on the chassis": line.most_at_fixed(),
            "both joints together": line.most_left(), "out of line by": line.most_out(),
            "axes off parallel by": line.most_axes(),
        }  # fmt: skip
        for figure in drive.figures:
            most = by_box.get(figure.what)
            assert figure.moved is not None
            if most is not None:
                assert figure.moved.high <= most.high + 0.05
                if figure.what in ("out of line by", "joint on the chassis"):
                    assert figure.moved.high < 0.95 * most.high


def test_the_case_that_takes_a_hose_or_a_chain_there_is_named(
    yanked: Bay, driven: tuple[Drive, ...]
) -> None:
    """Longest where the pull on the sprocket takes its end back, shortest by braking, forward; the chain is out of
    line by that pull; on the screen, in findings and for scripts."""
    (hose,) = slacks(yanked)
    assert (hose.least_by, hose.most_by) == ("brake", "yank")
    assert slack_cells(hose)[-2:] == ("brake", "yank")
    said = [finding.sentence for finding in slack_findings([hose])]
    assert any("mm by brake, it may be 139 at the shortest" in one for one in said)
    cases = {(drive.row.name, f.what): f.moved.case for drive in driven for f in drive.figures if f.moved}
    assert cases["final", "out of line by"] == "yank"
    assert cases["final", "centres nearer by"] == "yank"
    assert cases["final", "centres further by"] == "brake"
    assert cases["prop", "joint on the chassis"] == "brake"
    chain = next(drive for drive in driven if drive.row.name == "final")
    assert drive_cells(chain.figures[0])[-1].endswith("; by yank")
    assert drive_record(chain)["figures"][0]["case"] == "yank"
    (line,) = (f.sentence for f in drive_findings(driven) if f.code == "chain line")
    assert "; by yank), 0.5 typed" in line


def test_the_case_named_is_that_of_the_worst_place_tried(
    yanked: Bay,
    driven: tuple[Drive, ...],
    tried: list[tuple[str, Transform]],
    figures: list[dict[tuple[str, str], float]],
) -> None:
    """Of the places that one case alone leads to."""
    (hose,) = slacks(yanked)
    apart = []
    most: dict[tuple[str, str], tuple[float, str]] = {}
    for (case, place), found in zip(tried, figures, strict=True):
        if case:
            apart.append((math.dist(place.points(np.array([hose.row.powertrain]))[0], hose.row.chassis), case))
            for key, value in found.items():
                most[key] = max(most.get(key, (0.0, "")), (value, case))
    assert (hose.least_by, hose.most_by) == (min(apart)[1], max(apart)[1])
    named = {(drive.row.name, f.what): f.moved.case for drive in driven for f in drive.figures if f.moved}
    assert named == {key: case for key, (_, case) in most.items()}


def test_what_is_typed_and_what_is_worked_out_are_not_added(
    tmp_path: Path, yanked: Bay, driven: tuple[Drive, ...]
) -> None:
    """A typed travel of 4 mm sideways, and a worked-out yaw: the chain is out of line by the greater of both."""
    typed = watched(tmp_path, "side = 4, overshoot = 1.4")
    assert movement_of(typed).how == "both"

    def out(found: tuple[Drive, ...]) -> tuple[float, str]:
        (moved,) = (f.moved for drive in found for f in drive.figures if f.what == "out of line by")
        assert moved is not None
        return moved.high, moved.case

    assert out(driven)[0] < 4
    assert out(drives(typed)) == (pytest.approx(4, abs=0.06), "typed")
    little = watched(tmp_path, "side = 0.2, overshoot = 1.4")
    assert out(drives(little)) == out(driven)


def test_a_hose_is_as_near_and_as_far_as_the_larger_typed_movement_takes_it(tmp_path: Path) -> None:
    """Its ends are 80, 110 and 40 mm apart along the axes, of which 20 typed ahead and back."""
    (hose,) = slacks(watched(tmp_path, "fore = 20, aft = 20, overshoot = 1.4"))
    assert (hose.least_by, hose.most_by) == ("typed", "typed")
    assert hose.found.least == pytest.approx([math.hypot(60, 110, 40)] * 2, abs=0.06)
    assert hose.found.most == pytest.approx([math.hypot(100, 110, 40)] * 2, abs=0.06)


def test_nothing_is_named_where_the_movement_is_typed_alone(tmp_path: Path) -> None:
    bay = bay_of(tmp_path, moves="down = 3, roll = 1", more=ENDS.split("[[load_case]]")[0] + BODIES)
    (hose,) = slacks(bay)
    assert (hose.least_by, hose.most_by) == ("", "")
    assert {f.moved.case for drive in drives(bay) for f in drive.figures if f.moved} == {""}


def box_body(low: tuple[float, float, float], high: tuple[float, float, float]) -> Body:
    corners = np.array([[(low, high)[i >> k & 1][k] for k in range(3)] for i in range(8)], dtype=float)
    faces = [(0, 2, 3), (0, 3, 1), (4, 5, 7), (4, 7, 6), (0, 1, 5), (0, 5, 4), (2, 6, 7), (2, 7, 3), (0, 4, 6),
             (0, 6, 2), (1, 3, 7), (1, 7, 5)]  # fmt: skip
    return body((corners.tolist(), faces))


def test_a_gap_told_about_its_nearest_point_is_proven_and_nearer_to_what_is_tried(
    yanked: Bay, tried: list[tuple[str, Transform]]
) -> None:
    """A knob under the engine and a wall before it, 250 places: none nearer than the low end. Braking takes the
    engine forward and its nose down, which takes the knob back again; the box has the one without the other."""
    knob, wall = box_body((100, -10, -60), (120, 10, -40)), box_body((131, -50, -99), (140, 50, 0))
    moves = moves_of(yanked)
    assert moves is not None
    box = sweep(knob, wall, moves, 0.1, needed=50).pairs
    (near,) = named_pairs(yanked, [(knob, wall)], box, moves, cases_of(yanked))
    least, case = min((gap(knob.placed(place), wall).low, case) for case, place in tried[:250])
    assert box[0].low <= near.pair.low <= least + 1e-6
    assert least - near.pair.low < 0.3 * (least - box[0].low)
    assert near.case == case
    worst = moves.place(np.r_[np.radians(near.pair.worst.angles), near.pair.worst.travel])
    assert gap(knob.placed(worst), wall).high == pytest.approx(near.pair.high, abs=1e-6)  # as the page turns it


def test_a_gap_told_about_its_nearest_point_takes_few_looks_however_narrow_it_is_wanted(
    tmp_path: Path, rng: Callable[[int], random.Random], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two long walls that the movement turns along one another: what is not told apart by then stays proven."""
    bay = watched(tmp_path)
    along, wall = box_body((-200, -200, -60), (120, 200, -40)), box_body((131, -300, -99), (140, 300, 0))
    moves, took = moves_of(bay), []
    assert moves is not None

    def counted(*args: Any, **named: Any) -> SweepResult:
        took.append(sweep(*args, **named))
        return took[-1]

    box = sweep(along, wall, moves, 0.5, needed=50).pairs
    monkeypatch.setattr(nearer_regions, "sweep", counted)
    monkeypatch.setattr(nearer_regions, "NARROW", 1e-3)
    monkeypatch.setattr(nearer_regions, "LOOKS", 30)
    (near,) = named_pairs(bay, [(along, wall)], box, moves, cases_of(bay))
    assert took
    assert max(one.looks for one in took) <= 40
    assert not all(one.finished for one in took)
    tried = min(gap(along.placed(anywhere(bay, rng(n))[1]), wall).low for n in range(60))
    assert near.pair.low <= tried + 1e-6


@pytest.mark.parametrize("typed", ["overshoot = 1.4", "fore = 9, overshoot = 1.4", "fore = 0.1, overshoot = 1.4"])
def test_what_surely_is_not_nearest_is_not_swept_and_nothing_is_another_for_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, typed: str
) -> None:
    """The typed movement far nearer than the cases, and far less near; then everything swept instead."""
    bay = watched(tmp_path, typed)
    both = box_body((100, -10, -60), (120, 10, -40)), box_body((135, -50, -99), (144, 50, 0))
    moves, took = moves_of(bay), []
    assert moves is not None

    def counted(*args: Any, **named: Any) -> SweepResult:
        took.append(sweep(*args, **named))
        return took[-1]

    box = sweep(*both, moves, 0.1, needed=50).pairs
    for module in (nearer_regions, regions):
        monkeypatch.setattr(module, "sweep", counted)
    (found,) = named_pairs(bay, [both], box, moves, cases_of(bay))
    few = len(took)
    for module in (nearer_regions, regions):
        monkeypatch.setattr(module, "no_less_than", lambda *_: 0.0)
    (everything,) = named_pairs(bay, [both], box, moves, cases_of(bay))
    assert found == everything
    assert few < len(took) - few


def test_ways_between_cases_that_lift_it_off_other_stops_count_at_a_mount(tmp_path: Path) -> None:
    """Pulled to either side and up it runs under a slanting stop; half way there is only the pull up, which raises
    its mounts by 0.5 g further than either case does."""
    sides = "".join(
        f'[[snubber]]\nname = "{name}"\nat = [0, 0, 0]\ndirection = [0, {y}, 1]\ngap = 1\nstiffness = 1e5\n'
        f'[[load_case]]\nname = "{name}"\nfelt = [0, {2 * y}, 0.5]\nwhy = "invented"\n'
        for name, y in (("left", 1), ("right", -1))
    )
    path = tmp_path / "bay.toml"
    top = TOP.format(moves="", stiffness=100).replace("at = [0, 0, 100]", "at = [0, 0, 0]")
    path.write_text(top + mounts() + sides + BODIES, "utf-8")
    movement = movement_of(read(path))
    up = 0.5 * 100 * 9.80665 / 400
    (way,) = movement.ways
    assert way.name == "between left and right"
    assert max(case.travel[2][1] for case in movement.cases) < up <= way.travel[2][1]
    for each in movement.mounts.values():
        assert each[-1].name == "between left and right"
        assert max(region.travel[2][1] for region in each[:-1]) < each[-1].travel[2][1] - 0.3 * up


def test_a_gap_over_the_movement_is_held_to_a_figure(tmp_path: Path) -> None:
    """Within what the row allows beyond either end of its interval nothing is said, past that it is, and of what
    there is not."""
    plain = fit(bay_of(tmp_path))
    low, high = next((one.low, one.high) for one in plain.moved if {one.a, one.b} == {"engine", "floor"})
    row = '[[expected]]\nwhat = "gap moved"\nof = {}\nvalue = {}\nwithin = 0.1\n'
    both = '["floor", "engine"]'
    rows = [row.format(both, value) for value in (low - 0.09, high + 0.09, low - 0.11, high + 0.11)]
    done = fit(bay_of(tmp_path, more=CASES + BODIES + "".join(rows) + row.format('["floor", "roof"]', 9)))
    said = [finding.sentence for finding in done.findings if finding.code == "expected"]
    assert sorted(one.partition(", expected")[2].split()[0] for one in said) == sorted(
        f"{value:g}" for value in (low - 0.11, high + 0.11, 9)
    )
    assert any(one.startswith("gap moved: nothing there is called that") for one in said)


WAYS = ((0, 0, 0), (0, 0, 1), (1, 0, 0), (0, 3, 0), (1, 1, 1), (-5, 1e-9, 0))


def test_a_frame_along_a_way_is_square_whatever_is_asked() -> None:
    for way in WAYS:
        for other in WAYS:
            frame = np.array(frame_along(way, other))
            assert frame @ frame.T == pytest.approx(np.eye(3), abs=1e-12)
            if any(way):
                assert frame[0] == pytest.approx(np.array(way) / np.linalg.norm(way))
    assert np.array(frame_along((0, 0, 2), (1, 0, 5)))[1] == pytest.approx((1, 0, 0))
