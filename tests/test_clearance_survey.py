"""Every part against every obstacle: what is told, in which order, and what two that foul share."""

from __future__ import annotations

import math
import pickle
import subprocess
import sys

import cadquery as cq
import numpy as np
import pytest
import trimesh

from brackets import clearance
from brackets.core.errors import InputError
from brackets.core.identity import identity

V = cq.Vector


def box(x: float, y: float, z: float, at: tuple[float, float, float], name: str = "") -> clearance.Body:
    return clearance.body(
        cq.Solid.makeBox(x, y, z, V(at[0] - x / 2, at[1] - y / 2, at[2] - z / 2)), name=name
    )


def rod(r: float, length: float, at: tuple[float, float, float], name: str = "") -> clearance.Body:
    return clearance.body(cq.Solid.makeCylinder(r, length, V(at[0], at[1], at[2] - length / 2)), name=name)


def test_worst_comes_first_and_only_what_matters_is_settled() -> None:
    part = box(20, 20, 20, (0, 0, 0), "part")
    spots = (200, 40, 22, 19, 15, 24.99)
    others = [rod(5, 40, (x, 0, 0), f"rod {x}") for x in spots]
    rows = clearance.survey([part], others, 8.0)
    assert [row.b for row in rows] == ["rod 15", "rod 19", "rod 22", "rod 24.99", "rod 40", "rod 200"]
    for row, x in zip(rows, sorted(spots), strict=True):
        assert row.gap.low <= x - 15 <= row.gap.high
        assert row.spare == row.gap.low - 8
        if x - 15 < 8:
            assert row.gap.high - row.gap.low < 1e-3


def test_nearest_is_settled_even_when_nothing_is_needed() -> None:
    rows = clearance.survey([box(20, 20, 20, (0, 0, 0))], [rod(5, 40, (x, 0, 0)) for x in (90, 60, 150)], 0.0)
    assert rows[0].j == 1
    assert rows[0].gap.state == "clear"
    assert rows[0].gap.best == pytest.approx(45, abs=1e-3)
    assert {row.gap.state for row in rows[1:]} == {"far"}


def test_each_pair_may_need_its_own_gap() -> None:
    parts = [box(20, 20, 20, (0, 0, 0)), box(20, 20, 20, (0, 100, 0))]
    others = [rod(5, 40, (30, 0, 0)), rod(5, 40, (45, 0, 0))]
    by_obstacle = clearance.survey(parts, others, [2.0, 40.0])
    assert {(row.i, row.j): row.needed for row in by_obstacle}[(0, 1)] == 40
    assert next(row for row in by_obstacle if (row.i, row.j) == (0, 1)).gap.state == "clear"
    by_pair = clearance.survey(parts, others, [[1, 2], [3, 4]])
    assert {(row.i, row.j): row.needed for row in by_pair} == {(0, 0): 1, (0, 1): 2, (1, 0): 3, (1, 1): 4}
    with pytest.raises(InputError, match="2 numbers or 2 by 2"):
        clearance.survey(parts, others, [1.0, 2.0, 3.0])


def test_declared_pairs_are_left_out_and_nothing_else() -> None:
    rows = clearance.survey(
        [box(20, 20, 20, (0, 0, 0))], [rod(5, 40, (15, 0, 0)), rod(5, 40, (30, 0, 0))], 5, skip=[(0, 0)]
    )
    assert [(row.i, row.j) for row in rows] == [(0, 1)]
    assert clearance.survey([], [rod(5, 40, (0, 0, 0))], 5) == ()


def test_rows_are_made_when_asked_for_and_read_as_a_tuple() -> None:
    """Order, equality, slices, sums, hash, words and pickle are those of the tuple of all of them."""
    rng = np.random.default_rng(3)
    parts = [box(20, 30, 10, tuple(rng.uniform(-60, 60, 3)), f"part {n}") for n in range(3)]
    others = [rod(5, 60, tuple(rng.uniform(-90, 90, 3)), f"rod {n}") for n in range(9)]
    others[4] = rod(5, 60, tuple(parts[1].box.mean(axis=0)), "rod 4")  # fouls, and 4 mm are asked; elsewhere 30
    skipped = [(0, 0), (2, 8), (2, -1), (7, 1)]  # the last two are no pairs
    rows = clearance.survey(parts, others, [[2.0] * 9, [float(n) for n in range(9)], [30.0] * 9], skip=skipped)
    all_of_them = tuple(rows)
    assert isinstance(rows, clearance.Rows)
    assert len(rows) == len(all_of_them) == 25
    assert clearance.worst_first(sorted(all_of_them, key=lambda row: (row.b, row.a))) == all_of_them
    assert {(row.i, row.j) for row in rows} == {(i, j) for i in range(3) for j in range(9)} - {(0, 0), (2, 8)}
    assert all((row.a, row.b) == (f"part {row.i}", f"rod {row.j}") for row in rows)
    assert {row.gap.state for row in rows} == {"far", "clear", "hit"}
    assert min(rows, key=lambda row: row.spare).gap.state != rows[0].gap.state == "hit"
    assert rows == all_of_them
    assert all_of_them == rows
    assert rows != all_of_them[1:]
    assert rows != list(all_of_them)
    assert [rows[k] for k in range(-25, 25)] == [all_of_them[k] for k in range(-25, 25)]
    for some in (slice(2, 7), slice(None, None, -3), slice(40, 50)):
        assert rows[some] == all_of_them[some]
    with pytest.raises(IndexError):
        _ = rows[25]
    assert (all_of_them[3] in rows, rows.index(all_of_them[3]), rows.count(all_of_them[3])) == (True, 3, 1)
    assert tuple(reversed(rows)) == all_of_them[::-1]
    assert rows + rows[:2] == all_of_them + all_of_them[:2] == (*all_of_them, *rows[:2])
    assert all_of_them[:1] + rows == (all_of_them[0], *all_of_them)
    assert (hash(rows), repr(rows)) == (hash(all_of_them), repr(all_of_them))
    again = pickle.loads(pickle.dumps(rows))
    assert (type(again), again) == (tuple, all_of_them)
    assert identity(rows) == identity(all_of_them)


def test_a_far_row_is_what_boxes_and_outermost_vertices_say() -> None:
    """Of two boxes in line, by hand: 170 mm between them, and of the vertices nearest to each other the same."""
    near, far = box(20, 20, 20, (0, 0, 0)), box(20, 20, 20, (190, 0, 0))
    rows = clearance.survey([near], [far, rod(5, 40, (30, 0, 0))], 0.0)
    found = rows[-1].gap
    assert (found.state, found.how, found.faces) == ("far", "boxes", (-1, -1))
    assert found.low == pytest.approx(170, abs=2e-6)
    assert found.high == pytest.approx(math.dist(found.p, found.q), abs=2e-6)
    assert (abs(found.p[0]), abs(found.q[0] - 190)) == (10, 10)
    assert 170 <= found.high <= math.hypot(170 + 40, 20, 20)


def test_nothing_asked_leaves_no_rows_and_more_than_all_pairs_is_no_pair() -> None:
    parts, others = [box(20, 20, 20, (0, 0, 0))], [rod(5, 40, (12, 0, 0))]
    for rows in (clearance.survey(parts, [], 5), clearance.survey(parts, others, 5, skip=[(0, 0)])):
        assert (len(rows), tuple(rows), rows == (), bool(rows)) == (0, (), True, False)
    assert clearance.survey(parts, others, -30.0)[0].gap.state == "hit"


def test_survey_agrees_with_every_gap_taken_alone() -> None:
    rng = np.random.default_rng(7)
    parts = [box(20, 30, 10, tuple(rng.uniform(-60, 60, 3))) for _ in range(4)]
    others = [rod(float(rng.uniform(2, 12)), 60, tuple(rng.uniform(-90, 90, 3))) for _ in range(12)]
    rows = clearance.survey(parts, others, 10.0)
    assert len(rows) == 48
    for row in rows:
        true = clearance.gap(parts[row.i], others[row.j])
        assert row.gap.low <= true.high
        assert true.low <= row.gap.high
        if row.gap.state != "far":
            assert row.gap == true
    for i in range(4):
        least = min(clearance.gap(parts[i], other).low for other in others)
        assert min(row.gap.low for row in rows if row.i == i and row.gap.state != "far") == least


def test_cap_spares_the_kernel_and_keeps_a_true_interval() -> None:
    a, b = rod(10, 50, (0, 0, 0)), rod(5, 50, (30, 0, 0))
    for cap in (0.0, 1.0, 14.0):
        found = clearance.gap(a, b, cap=cap)
        assert found.state == "far"
        assert found.low <= 15 <= found.high
    assert clearance.gap(a, b, cap=15.5).state == "clear"


def test_overlap_of_two_boxes() -> None:
    found = clearance.overlap(box(10, 10, 10, (0, 0, 0)), box(10, 10, 10, (8, 1, 2)), along=(1, 1, 0))
    assert found.volume == pytest.approx(2 * 9 * 8, rel=1e-9)
    assert found.centre == pytest.approx((4, 0.5, 1), abs=1e-9)
    ways = {pull.along: pull.distance for pull in found.pulls}
    assert len(ways) == 7
    assert ways[(-1.0, 0.0, 0.0)] == pytest.approx(2, abs=0.01)
    assert ways[(1.0, 0.0, 0.0)] == pytest.approx(18, abs=0.01)
    assert ways[(0.0, 0.0, -1.0)] == pytest.approx(8, abs=0.01)
    assert ways[(0.0, -1.0, 0.0)] == pytest.approx(9, abs=0.01)
    assert found.pulls[0].distance == min(ways.values())
    own = trimesh.Trimesh(found.corners, found.triples)
    assert own.is_watertight
    assert own.volume == pytest.approx(144, rel=1e-6)


def test_overlap_of_a_rod_in_a_plate_is_exact_and_bounded_by_triangles() -> None:
    plate, pin = box(60, 60, 10, (0, 0, 0)), rod(8, 30, (0, 0, 12))
    true = math.pi * 64 * 8
    assert clearance.overlap(plate, pin, pulls=False).volume == pytest.approx(true, rel=1e-9)
    rough = clearance.overlap(plate, pin, exact=False, pulls=False)
    assert rough.low <= true <= rough.high
    assert rough.volume == pytest.approx(true, rel=0.01)


@pytest.mark.parametrize("sunk", [0.05, 0.5])
def test_a_saddle_is_read_as_deep_as_it_is_sunk(sunk: float) -> None:
    """A block 40 wide cut to a tube of 42.4: its ends leave the tube at 19 deg, so that what the triangles may be
    off (0.12 mm at first) would read three times deeper."""
    tube = cq.Solid.makeCylinder(21.2, 200, cq.Vector(0, 0, -100))
    block = cq.Solid.makeBox(40, 60, 30, cq.Vector(-20, 0, -15)).cut(tube)
    saddle = clearance.body(block).placed(clearance.moved((0, -sunk, 0)))
    best = clearance.overlap(saddle, clearance.body(tube)).pulls[0]
    assert best.along == (0, 1, 0)
    assert sunk <= best.distance <= sunk + 0.05


def test_pull_out_is_never_too_short() -> None:
    plate, pin = box(60, 60, 10, (0, 0, 0)), rod(8, 30, (0, 0, 12))
    for pull in clearance.overlap(pin, plate, along=(1, 2, 3)).pulls:
        out = pin.placed(clearance.moved(np.array(pull.along) * pull.distance))
        assert clearance.gap(out, plate).state in ("clear", "touch")
        nearer = pin.placed(clearance.moved(np.array(pull.along) * (pull.distance - 0.2)))
        assert clearance.gap(nearer, plate).state == "hit"


def test_bodies_apart_share_nothing() -> None:
    found = clearance.overlap(box(10, 10, 10, (0, 0, 0)), box(10, 10, 10, (20, 0, 0)))
    assert found.volume == 0
    assert found.centre is None
    assert found.pulls[0].distance == 0


def test_swallowed_body_is_shared_whole() -> None:
    found = clearance.overlap(box(4, 4, 4, (0, 0, 0)), box(40, 40, 40, (10, 0, 0)))
    assert found.volume == pytest.approx(64)
    assert found.pulls[0].along == (-1, 0, 0)
    assert found.pulls[0].distance == pytest.approx(12, abs=0.01)


def test_open_scan_has_no_volume_to_share() -> None:
    scan = trimesh.creation.box((20, 20, 20))
    scan.update_faces(np.arange(12) > 1)
    found = clearance.overlap(box(10, 10, 10, (10, 0, 0)), clearance.body(scan))
    assert found.volume is None
    assert found.pulls[0].distance > 0


def test_only_the_clearance_package_brings_in_the_libraries_it_leans_on() -> None:
    code = (
        "import sys; import brackets.core.errors; assert not {'fcl', 'manifold3d'} & set(sys.modules);"
        "from brackets import clearance; assert 'fcl' in sys.modules and 'manifold3d' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=120)
