"""Hulls of solids from their edges: they hold the solid, and decide no gap that they cannot."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance import hull_distance
from brackets.clearance.hull_points import FacingHulls
from brackets.clearance.hulls import hulls_of
from brackets.clearance.places import IDENTITY

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
LARGER["boss on a plate"] = (
    cq.Workplane().box(40, 20, 5).edges("|Z").fillet(6).union(cq.Workplane().circle(15).extrude(12)).val()
)
ALL = SHAPES | LARGER


def ways(count: int) -> np.ndarray:
    found = np.random.default_rng(7).normal(size=(count, 3))
    return np.concatenate((found / np.linalg.norm(found, axis=1)[:, None], np.eye(3), -np.eye(3)))


@pytest.mark.parametrize("name", ALL)
def test_a_hull_reaches_as_far_as_the_solid_and_no_further_where_that_is_convex(name: str) -> None:
    """Against corners of triangles, which lie on the solid; they fall short of it by their bound at most."""
    core = clearance.body(ALL[name], tolerance=0.02).core
    (hull,), across = core.hulls, clearance.about((3, 0, 0), (0, 0.6, 0.8), 50)
    facing, there = FacingHulls(hull, hull, across), across.points(core.mesh.corners)
    for way in ways(60):
        found = facing.furthest(tuple(way.tolist()))
        assert found.apart == tuple(q - p for p, q in zip(found.p, found.q, strict=True))
        for spot, corners, along in ((found.p, core.mesh.corners, way), (found.q, there, -way)):
            reach, least = float(np.dot(spot, along)), float((corners @ along).max())
            assert reach >= least - 1e-6
            if name in SHAPES:
                assert reach <= least + core.mesh.bound + 1e-6


@pytest.mark.parametrize("name", ["rod", "rounded box", "ring"])
def test_the_ball_or_arc_that_is_named_is_the_one_the_point_is_of(name: str) -> None:
    """Of the body that the point belongs to, counted balls first: the second one's rows are kept in reverse."""
    hull = clearance.body(SHAPES[name]).core.hulls[0]
    other = clearance.body(SHAPES["plate"]).core.hulls[0]
    for a, b in ((hull, other), (other, hull)):
        facing = FacingHulls(a, b, IDENTITY)
        for way in ways(20):
            found = facing.furthest(tuple(way.tolist()))
            for one, spot, of in ((a, found.p, found.of_p), (b, found.q, found.of_q)):
                radius = np.concatenate((one.swell, one.arcs.radius + one.arcs.thick))[of]
                assert np.linalg.norm(spot - one.middles[of]) <= radius + 1e-9


def test_two_hulls_are_searched_from_middle_to_middle_of_their_boxes() -> None:
    """A box 40 by 30 by 12 from the origin, and a rod of 8 mm radius, 40 high, about z, 100 away along x."""
    box, rod = (clearance.body(SHAPES[name]).core.hulls[0] for name in ("box", "rod"))
    facing = FacingHulls(box, rod, clearance.moved((100, 0, 0)))
    assert facing.middle_to_middle == pytest.approx((100 - 20, -15, 20 - 6))


def test_a_short_arc_is_not_taken_for_its_whole_circle() -> None:
    """A segment 3 high on a chord of 40: radius (20^2 + 3^2) / 6 = 68.17, its circle would reach 133 down."""
    (hull,) = clearance.body(LARGER["segment"]).core.hulls
    found = FacingHulls(hull, hull, IDENTITY).furthest((0.0, 1.0, 0.0))
    assert found.p[1] == pytest.approx(3)
    assert found.q[1] == pytest.approx(0)


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
