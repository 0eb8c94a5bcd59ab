"""Many bodies and large scans take memory by blocks, and give what one piece would give."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable

import cadquery as cq
import numpy as np
import pytest
import trimesh

from brackets.clearance import Body, body, gap
from brackets.clearance import triangles as tri
from brackets.clearance.gap_rows import BoxGaps
from brackets.clearance.places import transform
from brackets.clearance.sums import swept_volume

MB = 2**20


def peak(work: Callable[[], object]) -> float:
    """Most memory that arrays take while it runs, MB."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1] / MB
    finally:
        tracemalloc.stop()


def ball(subdivisions: int, radius: float = 100.0, at: tuple[float, float, float] = (0, 0, 0)) -> Body:
    made = trimesh.creation.icosphere(subdivisions=subdivisions)
    return body((made.vertices * radius, made.faces), place=(np.eye(3), at))


def test_two_scans_of_many_patches_are_compared_by_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """2560 patches each, as 327 680 triangles have: all of them at once took five arrays of 52 MB."""
    monkeypatch.setattr(tri, "PATCH", 8)
    a, b = ball(5), ball(5, at=(0, 0, 230))
    for one in (a, b):
        one.core.prepare()
    assert peak(lambda: gap(a, b)) < 100
    assert gap(a, b).low == pytest.approx(30, abs=1e-5)  # both have a corner on the line of centres


def test_many_bodies_are_compared_by_blocks() -> None:
    """100 x 1000: 36 pairs of tips each took 86 MB, and as much again for their lengths."""
    rng = np.random.default_rng(1)
    box = body(cq.Solid.makeBox(2, 2, 2))
    some = [[box.placed((np.eye(3), rng.uniform(0, 900, 3))) for _ in range(n)] for n in (100, 1000)]
    boxes = BoxGaps(*some)
    assert peak(lambda: (boxes.low, boxes.gap(0, 0))) < 60
    for i, j in ((0, 0), (37, 512), (99, 999)):
        away = np.linalg.norm(some[0][i].tips[:, None] - some[1][j].tips[None], axis=2)
        found = boxes.gap(i, j)
        assert found.high == away.min() + 1e-6
        assert np.linalg.norm(np.subtract(found.p, found.q)) == pytest.approx(away.min(), abs=1e-9)
        assert found.low == boxes.low[i, j] <= away.min()


@pytest.mark.parametrize("seed", range(6))
def test_trees_by_blocks_find_the_distance_of_one_tree(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Any way round, near, far and crossing; the points lie as far apart as is said, on the triangles that are
    named."""
    rng = np.random.default_rng(seed)
    bodies = [ball(4), ball(4, 80.0), ball(1, 10.0)]
    whole = [one.core.tree for one in bodies]
    monkeypatch.setattr(tri, "WHOLE", 1000)
    monkeypatch.setattr(tri, "BLOCK", 300)
    monkeypatch.setattr(tri, "TREES", 3)
    cut = [tri.Tree(one.core.mesh.corners, one.core.mesh.triples) for one in bodies]
    assert [len(tree.starts) for tree in cut] == [18, 18, 1]
    turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    across = transform((turn * np.sign(np.linalg.det(turn)), rng.normal(size=3) * (60 + 60 * seed)))
    for i, j in ((0, 1), (1, 0), (0, 2), (2, 0)):
        one, many = tri.between(whole[i], whole[j], across), tri.between(cut[i], cut[j], across)
        assert many.distance == one.distance
        if many.distance > 0:
            assert np.linalg.norm(many.p - many.q) == pytest.approx(many.distance, abs=1e-9)
            q = across.inverse.points(many.q[None])[0]
            for spot, at, number in ((many.p, i, many.on_a), (q, j, many.on_b)):
                three = bodies[at].core.mesh.corners[bodies[at].core.mesh.triples[number]]
                near = trimesh.triangles.closest_point(three[None], spot[None])[0]
                assert np.linalg.norm(near - spot) < 1e-9
        assert all(len(tree._made) <= 3 for tree in cut)


def test_only_what_may_be_the_nearest_gets_a_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tri, "WHOLE", 1000)
    monkeypatch.setattr(tri, "BLOCK", 300)
    a, b = ball(4), ball(4, at=(0, 0, 400))
    assert tri.between(a.core.tree, b.core.tree, b.place).distance == pytest.approx(200, abs=1e-9)
    assert len(a.core.tree._made) + len(b.core.tree._made) < 10


def test_what_is_swept_is_remembered_by_body_and_move() -> None:
    one, other = (body(cq.Solid.makeBox(10, 10, side)).core for side in (10, 20))
    by = np.array((30.0, 0.0, 0.0))
    swept = swept_volume(one, by)
    assert swept_volume(one, by.copy()) is swept
    assert np.ptp(swept.corners, axis=0).tolist() == [40, 10, 10]
    assert np.ptp(swept_volume(other, by).corners, axis=0).tolist() == [40, 10, 20]
    assert np.ptp(swept_volume(one, 2 * by).corners, axis=0).tolist() == [70, 10, 10]
