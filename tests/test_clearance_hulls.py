"""Hulls of solids from their edges: they hold the solid, and decide no gap that they cannot."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance import hull_distance
from brackets.clearance.hulls import hulls_of

V = cq.Vector
TUBE = cq.Solid.makeCylinder(12, 60, V(), V(1, 0, 0.2))
SHAPES = {
    "box": cq.Solid.makeBox(40, 30, 12),
    "rod": cq.Solid.makeCylinder(8, 40),
    "cone": cq.Solid.makeCone(20, 6, 30),
    "pointed cone": cq.Solid.makeCone(20, 0, 30),
    "ball": cq.Solid.makeSphere(15, V(), V(0, 0, 1), -90, 90, 360),
    "ring": cq.Solid.makeTorus(30, 6),
    "rounded box": cq.Workplane().box(40, 30, 20).edges().fillet(5).val(),
    "plate": cq.Workplane().box(60, 40, 8).edges("|Z").fillet(10).faces(">Z").workplane().hole(20).val(),
}
LARGER = {
    "mitred tube": TUBE.cut(cq.Solid.makeBox(90, 90, 90, V(30, -45, -45)).rotate(V(30, 0, 6), V(30, 0, 7), 20)),
    "coped tube": TUBE.cut(cq.Solid.makeCylinder(18, 90, V(0, 0, -40))),
    "segment": cq.Workplane().moveTo(-20, 0).threePointArc((0, 3), (20, 0)).close().extrude(10).val(),
    "spline": cq.Workplane().spline([(0, 0), (20, 9), (40, 0)]).lineTo(20, -10).close().extrude(12).val(),
}
ALL = SHAPES | LARGER


def ways(count: int) -> np.ndarray:
    found = np.random.default_rng(7).normal(size=(count, 3))
    return np.concatenate((found / np.linalg.norm(found, axis=1)[:, None], np.eye(3), -np.eye(3)))


@pytest.mark.parametrize("name", ALL)
def test_a_hull_reaches_as_far_as_the_solid_and_no_further_where_that_is_convex(name: str) -> None:
    """Against corners of triangles, which lie on the solid; they fall short of it by their bound at most."""
    core = clearance.body(ALL[name], tolerance=0.02).core
    (hull,) = core.hulls
    for way in ways(60):
        spot, _ = hull.furthest(tuple(way.tolist()))
        reach, least = float(np.dot(spot, way)), float((core.mesh.corners @ way).max())
        assert reach >= least - 1e-6
        if name in SHAPES:
            assert reach <= least + core.mesh.bound + 1e-6


def test_a_short_arc_is_not_taken_for_its_whole_circle() -> None:
    """A segment 3 high on a chord of 40: radius (20^2 + 3^2) / 6 = 68.17, its circle would reach 133 down."""
    (hull,) = clearance.body(LARGER["segment"]).core.hulls
    assert hull.furthest((0.0, 1.0, 0.0))[0][1] == pytest.approx(3)
    assert hull.furthest((0.0, -1.0, 0.0))[0][1] == pytest.approx(0)


def test_a_point_of_the_hull_over_a_hole_shows_no_distance() -> None:
    """A pin of radius 2 stands 5 over the middle of a hole of radius 10: hypot(5, 10 - 2) to its rim, 5 to the
    hull."""
    plate, pin = clearance.body(SHAPES["plate"]), clearance.body(cq.Solid.makeCylinder(2, 30, V(0, 0, 9)))
    found = hull_distance.between(plate.core.hulls, pin.core.hulls, pin.place)
    assert found is not None
    assert found.low == pytest.approx(5, abs=1e-5)
    assert found.high == math.inf
    assert clearance.gap(plate, pin).best == pytest.approx(math.hypot(5, 8), abs=1e-3)


def test_a_rim_is_no_disc() -> None:
    """A ball over the open end of a tube, 3 off its axis: nearest at its rim, where the hull has a lid."""
    tube = clearance.body(cq.Workplane().circle(21).circle(18).extrude(60).val())
    ball = clearance.body(cq.Solid.makeSphere(10, V(), V(0, 0, 1), -90, 90, 360), place=clearance.moved((3, 0, 90)))
    found = clearance.gap(tube, ball)
    assert found.best == pytest.approx(math.hypot(30, 18 - 3) - 10, abs=1e-3)
    assert found.how != "a plane between the hulls"


def test_of_several_solids_the_nearest_decides() -> None:
    """A U of three plates, each a solid: what stands between its sides is 12 from one, 8 from the other."""
    sides = [cq.Solid.makeBox(40, 4, 60), cq.Solid.makeBox(40, 4, 60, V(0, 40, 0))]
    plates = cq.Compound.makeCompound([*sides, cq.Solid.makeBox(40, 36, 4, V(0, 4, 0))])
    found = clearance.gap(clearance.body(plates), clearance.body(cq.Solid.makeBox(10, 16, 10, V(0, 16, 40))))
    assert (found.state, found.how) == ("clear", "a plane between the hulls")
    assert found.low <= 8 <= found.high
    assert found.high - found.low < 1e-5


def test_edges_far_off_their_faces_make_no_hull() -> None:
    from OCP.BRep import BRep_Builder

    shape = cq.Solid.makeBox(10, 10, 10)
    faces = [face.wrapped for face in shape.Faces()]
    assert len(hulls_of(shape.wrapped, faces)) == 1
    BRep_Builder().UpdateEdge(shape.Edges()[0].wrapped, 0.01)
    assert hulls_of(shape.wrapped, faces) == ()


@pytest.mark.parametrize("count", [2, 3, 4])
def test_the_nearest_to_the_origin_of_a_few_points_is_as_a_dense_net_of_them(count: int) -> None:
    rng = np.random.default_rng(count)
    shares = rng.dirichlet(np.full(count, 0.7), 4000)
    for _ in range(60):
        spots = rng.normal(size=(count, 3)) + rng.normal(size=3) * 2
        found = hull_distance.nearest([tuple(spot.tolist()) for spot in spots])
        net = float(np.linalg.norm(shares @ spots, axis=1).min())
        if found is None:
            assert net < 0.6
            continue
        assert min(found[1]) > 0
        assert sum(found[1]) == pytest.approx(1)
        foot = np.array(found[1]) @ spots[list(found[0])]
        if 0 in found[0]:  # the first is always among them; where it is not needed, another choice may be nearer
            assert float(np.linalg.norm(foot)) <= float(np.linalg.norm(spots[0])) + 1e-12
        up = foot / np.linalg.norm(foot)
        if float((spots @ up).min()) > float(np.linalg.norm(foot)) - 1e-9:
            assert float(np.linalg.norm(foot)) <= net + 1e-9
