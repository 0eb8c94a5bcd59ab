"""Every trap noted for the libraries underneath: each test fails if the engine leaned on the library's word."""

from __future__ import annotations

import math

import cadquery as cq
import fcl
import numpy as np
import pytest
import trimesh
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopLoc import TopLoc_Location

from brackets import clearance
from brackets.clearance import exact, pairs
from brackets.clearance.triangles import Tree, between, of_shape
from brackets.core.errors import InputError

V = cq.Vector


def box(size: float, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Solid:
    return cq.Solid.makeBox(size, size, size, V(*(c - size / 2 for c in at)))


def ball(r: float, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Solid:
    return cq.Solid.makeSphere(r, V(*at), V(0, 0, 1), -90, 90, 360)


def model(mesh: trimesh.Trimesh) -> fcl.BVHModel:
    made = fcl.BVHModel()
    made.beginModel(len(mesh.faces), len(mesh.vertices))
    made.addSubModel(mesh.vertices, mesh.faces)
    made.endModel()
    return made


def crate(size: float) -> trimesh.Trimesh:
    return trimesh.creation.box((size,) * 3)


def test_contained_body_is_inside_though_the_library_sees_a_gap() -> None:
    inner, outer = (fcl.CollisionObject(model(crate(size))) for size in (10.0, 100.0))
    assert fcl.distance(inner, outer) == pytest.approx(45)
    assert fcl.collide(inner, outer) == 0
    solids = clearance.body(box(10), name="bolt"), clearance.body(box(100), name="block")
    scans = clearance.body(crate(10)), clearance.body(crate(100))
    for a, b in (solids, scans, (solids[0], scans[1]), (scans[0], solids[1])):
        for found in (clearance.gap(a, b), clearance.gap(b, a), clearance.gap(a, b, cap=1.0)):
            assert (found.state, found.low, found.high) == ("inside", 0, 0)
    assert clearance.survey([solids[0]], [solids[1]], 5.0)[0].gap.state == "inside"


def test_one_lump_of_two_inside_is_enough() -> None:
    two = cq.Compound.makeCompound([box(10, (200, 0, 0)), box(10)])
    found = clearance.gap(clearance.body(two), clearance.body(box(100)))
    assert found.state == "inside"
    scan = trimesh.util.concatenate([crate(10), crate(10).apply_translation((200, 0, 0))])
    assert clearance.gap(clearance.body(scan), clearance.body(box(100))).state == "inside"


def test_body_in_a_cavity_is_clear() -> None:
    shell = trimesh.util.concatenate([crate(100), crate(60)])
    shell.faces[12:] = shell.faces[12:, ::-1]
    for outer in (clearance.body(box(100).cut(box(60))), clearance.body(shell)):
        found = clearance.gap(clearance.body(box(10)), outer)
        assert found.state == "clear"
        assert found.low <= 25 <= found.high


def test_scan_too_open_to_tell_an_inside_says_so() -> None:
    scan = crate(100)
    scan.update_faces(scan.face_normals.sum(axis=1) > 0)
    found = clearance.gap(clearance.body(box(10)), clearance.body(scan, name="old block"))
    assert found.state == "clear"
    assert "old block: open" in found.note


def test_body_inside_a_scan_short_of_a_triangle_is_inside() -> None:
    scan = crate(100)
    scan.update_faces(np.arange(12) > 0)
    found = clearance.gap(clearance.body(box(10)), clearance.body(scan, name="old block"))
    assert (found.state, found.note) == ("inside", "")


def test_inside_out_scan_is_still_closed() -> None:
    scan = crate(100)
    scan.invert()
    assert clearance.gap(clearance.body(box(10)), clearance.body(scan)).state == "inside"


def test_point_level_with_corners_of_a_scan_is_still_counted_right() -> None:
    """A ray through a corner or along a side counts twice or not at all."""
    scan = clearance.body(trimesh.creation.icosphere(subdivisions=3, radius=50))
    for at in ((0, 0, 0), (10, 0, 0), (0, 10, 0), (0, 0, 20), (5, 5, 5)):
        assert clearance.gap(clearance.body(box(2, at)), scan).state == "inside"
    assert clearance.gap(clearance.body(box(2, (0, 0, 60))), scan).state == "clear"


def test_driven_body_hits_though_continuous_collision_misses_it() -> None:
    a, b = model(crate(10)), model(trimesh.creation.box((0.5, 200, 200)))
    start, end = fcl.Transform(np.zeros(3)), fcl.Transform(np.array((1000.0, 3, 2)))
    wall = fcl.Transform(np.array((500.0, 0, 0)))
    found = fcl.ContinuousCollisionResult()
    ask = fcl.ContinuousCollisionRequest()
    fcl.continuousCollide(fcl.CollisionObject(a, start), end, fcl.CollisionObject(b, wall), wall, ask, found)
    missed = not found.is_collide
    sheet = clearance.body(cq.Solid.makeBox(0.5, 200, 200, V(499.75, -100, -100)), name="sheet")
    ours = clearance.path(clearance.body(box(10), name="box"), sheet, [(1000, 3, 2)])
    assert ours.hits == ("box", "sheet")
    assert missed, "the library now sees this hit: the trap is gone, but ours must not lean on it unproven"


def test_gap_in_a_cavity_is_the_true_one_not_the_mesh_one() -> None:
    """Triangles of a ball lie within it and those of a cavity within the cavity: signs differ."""
    for tolerance in (0.2, 0.05):
        a = clearance.body(ball(28), tolerance=tolerance)
        b = clearance.body(box(100).cut(ball(30)), tolerance=tolerance)
        found = clearance.gap(a, b)
        assert found.low <= 2 <= found.high
        assert found.best == pytest.approx(2, abs=1e-4)


def test_reported_deflection_is_not_taken_for_a_bound() -> None:
    """A flat face with a round hole reports nothing or little; its triangles are out by the hole's sagitta."""
    plate = cq.Workplane().box(60, 60, 10).faces(">Z").workplane().hole(40).val()
    mesh = of_shape(plate.wrapped, 0.2, "plate")
    flats = [number for number, face in enumerate(plate.Faces()) if face.geomType() == "PLANE"]
    holed = [number for number in flats if len(plate.Faces()[number].Wires()) == 2]
    assert len(holed) == 2
    assert all(mesh.bounds[number] >= 0.2 for number in holed)
    assert all(mesh.bounds[number] <= 1e-6 for number in flats if number not in holed)


@pytest.mark.parametrize("tolerance", [0.5, 0.05])
def test_bounds_hold_on_turned_faces(tolerance: float) -> None:
    """Five hundred points of each true face are within its bound of its triangles."""
    rng = np.random.default_rng(1)
    cone = cq.Solid.makeCone(30, 5, 40)
    for shape in (ball(40), cone, cq.Solid.makeTorus(30, 8), cq.Solid.makeCylinder(20, 50)):
        mesh = of_shape(shape.wrapped, tolerance, "")
        for number, face in enumerate(shape.Faces()):
            corners, triples = mesh.of_face(number)
            tree = Tree(corners, triples)
            low, high, other_low, other_high = face._uvBounds()
            spots = rng.uniform((low, other_low), (high, other_high), (500, 2))
            surface = BRep_Tool.Surface_s(face.wrapped)
            points = np.array([surface.Value(float(u), float(v)).Coord() for u, v in spots])
            if face.geomType() == "PLANE":
                continue
            speck = Tree(1e-7 * np.eye(3), np.array(((0, 1, 2),)))
            away = [between(tree, speck, clearance.moved(spot)).distance for spot in points]
            assert max(away) <= mesh.bounds[number]


def test_answer_does_not_depend_on_what_the_shape_was_meshed_with_before() -> None:
    fresh, used = ball(20), ball(20)
    BRepMesh_IncrementalMesh(used.wrapped, 0.005, False, 0.1, False)
    assert BRep_Tool.Triangulation_s(used.Faces()[0].wrapped, TopLoc_Location()).NbTriangles() > 2000
    one, two = of_shape(fresh.wrapped, 0.1, ""), of_shape(used.wrapped, 0.1, "")
    assert np.array_equal(one.corners, two.corners)
    assert np.array_equal(one.triples, two.triples)


@pytest.mark.parametrize("lie", [5.0, 40.0, None])
def test_kernel_is_not_believed_outside_the_interval(
    monkeypatch: pytest.MonkeyPatch, by_faces: None, lie: float | None
) -> None:
    """The kernel is made to give a wrong distance, or none: the finely cut faces then decide."""
    a, b = (
        clearance.body(cq.Solid.makeCylinder(10, 50)),
        clearance.body(cq.Solid.makeCylinder(5, 50, V(22, 0, 0))),
    )

    def wrong(*_: object) -> exact.Exact | None:
        return None if lie is None else exact.Exact(lie, np.zeros(3), np.zeros(3))

    monkeypatch.setattr(pairs.exact, "apart", wrong)
    found = clearance.gap(a, b)
    assert found.low <= 7 <= found.high
    assert found.best == pytest.approx(7, abs=1e-3)
    assert "outside" in found.how


def test_kernel_that_calls_crossing_bodies_clear_is_overruled(monkeypatch: pytest.MonkeyPatch) -> None:
    a, b = clearance.body(box(10)), clearance.body(box(10, (9, 0, 0)))
    monkeypatch.setattr(pairs.exact, "apart", lambda *_: exact.Exact(0.01, np.zeros(3), np.zeros(3)))
    assert clearance.gap(a, b).state == "hit"


def test_mirrored_and_stretched_placements_are_refused() -> None:
    for place in (
        np.diag((-1, 1, 1, 1)),
        np.diag((2, 2, 2, 1)),
        np.zeros((4, 4)),
        np.eye(3),
        (np.eye(3), (1, 2)),
    ):
        with pytest.raises(InputError, match="place"):
            clearance.body(box(10)).placed(place)


def test_placements_share_what_is_heavy() -> None:
    one = clearance.body(ball(10))
    moved = one.placed(clearance.moved((30, 0, 0)))
    assert moved.core is one.core
    shape = ball(10)
    first, second = (
        clearance.body(shape),
        clearance.body(shape.moved(cq.Location(V(25, 0, 0), V(1, 2, 3), 30))),
    )
    assert first.core is second.core
    assert clearance.gap(first, second).best == pytest.approx(5, abs=1e-4)


def test_a_body_against_its_own_double() -> None:
    one = clearance.body(box(10))
    assert clearance.gap(one, one.placed(clearance.moved((15, 0, 0)))).best == pytest.approx(5, abs=1e-5)
    assert clearance.gap(one, one).state == "hit"


def test_same_question_same_answer() -> None:
    plate = cq.Workplane().box(60, 60, 10).edges("|Z").fillet(5).val()
    a, b = clearance.body(plate), clearance.body(ball(10, (5, 7, 20)))
    first = clearance.gap(a, b)
    assert all(clearance.gap(a, b) == first for _ in range(3))


def test_exact_gap_of_a_round_part_over_a_scan() -> None:
    """A flat scan of 20 000 triangles under a rod: the true gap, not the gap of the rod's chords."""
    grid = np.linspace(-50, 50, 101)
    x, y = np.meshgrid(grid, grid, indexing="ij")
    corners = np.column_stack((x.ravel(), y.ravel(), np.zeros(x.size)))
    first = (np.arange(100)[:, None] * 101 + np.arange(100)[None]).ravel()
    faces = np.vstack(
        (np.column_stack((first, first + 101, first + 102)), np.column_stack((first, first + 102, first + 1)))
    )
    scan = clearance.body((corners, faces), name="floor")
    rod = cq.Solid.makeCylinder(10, 40, V(-20, 3.3, 14), V(1, 0, 0))
    for shape, true in (
        (rod, 4.0),
        (ball(10, (1.2, 3.4, 12)), 2.0),
        (cq.Solid.makeTorus(20, 5, V(0, 0, 8)), 3.0),
    ):
        found = clearance.gap(clearance.body(shape), scan)
        assert found.low <= true <= found.high
        assert found.best == pytest.approx(true, abs=1e-3)
        assert math.dist(found.p, found.q) == pytest.approx(true, abs=1e-3)


@pytest.mark.parametrize(
    ("what", "word"),
    [
        ((np.zeros((3, 2)), np.zeros((1, 3), int)), "corners"),
        ((np.eye(3), np.zeros((1, 3), float)), "triangles"),
        ((np.eye(3), np.array(((0, 1, 7),))), "0 to 7"),
        ((np.eye(3), np.array(((0, 1, 1),))), "without area"),
        ((np.full((3, 3), np.nan), np.array(((0, 1, 2),))), "finite"),
        ("a shape", "must be a shape"),
    ],
)
def test_bad_bodies_are_refused(what: object, word: str) -> None:
    with pytest.raises(InputError, match=word):
        clearance.body(what)  # type: ignore[arg-type]
    with pytest.raises(InputError, match="tolerance = 0"):
        clearance.body(box(1), tolerance=0)
