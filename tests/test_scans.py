"""Whether a body is inside a scan that is open, inside out or drawn twice: told where it can be, else said."""

from __future__ import annotations

import random
from collections.abc import Callable

import cadquery as cq
import numpy as np
import pytest
import trimesh
from scans import Broken, broken

from brackets import clearance
from brackets.clearance.inside import winding_number
from brackets.clearance.scan import in_order, winding

CENTRE = np.zeros(3)


def crate(size: float = 400.0) -> trimesh.Trimesh:
    return trimesh.creation.box((size,) * 3)


def three_faces(size: float = 400.0) -> trimesh.Trimesh:
    made = crate(size)
    made.update_faces(made.face_normals.sum(axis=1) > 0)
    return made


def block(size: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0), name: str = "gusset") -> clearance.Body:
    low = [c - size / 2 for c in at]
    return clearance.body(cq.Solid.makeBox(size, size, size, cq.Vector(*low)), name=name)


def without(mesh: trimesh.Trimesh, *numbers: int) -> trimesh.Trimesh:
    mesh.update_faces(~np.isin(np.arange(len(mesh.faces)), numbers))
    return mesh


def ordered(mesh: trimesh.Trimesh) -> tuple[float, float, tuple[str, ...]]:
    """Winding numbers of the centre: of the triangles alone, and with their lids; and what was said."""
    found = in_order(np.asarray(mesh.vertices, dtype=float), np.asarray(mesh.faces, dtype=np.int64))
    both = np.vstack((found.triples, found.lids))
    return winding(found.corners, found.triples, CENTRE), winding(found.corners, both, CENTRE), found.notes


def test_the_winding_number_of_a_cube_is_the_share_of_its_faces_that_are_there() -> None:
    """Closed form: each of twelve triangles fills a twelfth of the view from the centre."""
    assert ordered(crate())[0] == pytest.approx(1, abs=1e-12)
    assert ordered(without(crate(), 0))[:2] == pytest.approx((11 / 12, 1), abs=1e-12)
    assert ordered(three_faces())[0] == pytest.approx(0.5, abs=1e-12)


def test_a_triangle_turned_over_is_turned_back() -> None:
    mesh = crate()
    mesh.faces[3] = mesh.faces[3][::-1]
    assert winding(mesh.vertices, mesh.faces, CENTRE) == pytest.approx(10 / 12)
    assert ordered(mesh)[0] == pytest.approx(1)
    assert ordered(mesh)[2] == ("1 triangle of 12 faced against the next: turned",)


def test_triangles_drawn_twice_count_once() -> None:
    mesh = crate()
    mesh = trimesh.Trimesh(
        mesh.vertices, np.vstack((mesh.faces, mesh.faces[:3], mesh.faces[5:6, ::-1])), process=False
    )
    assert ordered(mesh)[::2] == (pytest.approx(1), ("4 triangles drawn twice: kept once",))


@pytest.mark.parametrize(("turned", "said"), [((0,), "1 lump"), ((1,), "1 lump"), ((0, 1), "it faced inwards")])
def test_lumps_that_face_different_ways_are_turned_outwards(turned: tuple[int, ...], said: str) -> None:
    mesh = trimesh.util.concatenate([crate(), crate().apply_translation((1000, 0, 0))])
    for lump in turned:
        mesh.faces[12 * lump : 12 * lump + 12] = mesh.faces[12 * lump : 12 * lump + 12, ::-1]
    scan = clearance.body(mesh, name="engine")
    assert any(note.startswith(said) for note in scan.notes)
    for x in (0.0, 1000.0):
        assert clearance.gap(block(50, (x, 0, 0)), scan).state == "inside"
    assert clearance.gap(block(50, (500, 0, 0)), scan).state == "clear"


@pytest.mark.parametrize("inside_out", [False, True])
def test_a_cavity_stays_one_whichever_way_the_file_faces(inside_out: bool) -> None:
    mesh = trimesh.util.concatenate([crate(), crate(200)])
    mesh.faces[12:] = mesh.faces[12:, ::-1]
    if inside_out:
        mesh.invert()
    scan = clearance.body(mesh)
    assert clearance.gap(block(50), scan).state == "clear"
    assert clearance.gap(block(50, (150, 0, 0)), scan).state == "inside"


def test_two_open_halves_that_face_against_each_other_do_not_cancel() -> None:
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=200)
    upper = mesh.triangles_center[:, 2] > 0
    faces = np.where(upper[:, None], mesh.faces, mesh.faces[:, ::-1])
    corners = mesh.vertices[faces].reshape(-1, 3) + np.repeat(np.where(upper, 2.0, -2.0), 3)[:, None] * (0, 0, 1)
    scan = clearance.body(trimesh.Trimesh(corners, np.arange(len(corners)).reshape(-1, 3)), name="engine")
    found = clearance.gap(block(20, (0, 0, 80)), scan)
    assert found.state == "inside" or found.note


def test_small_holes_are_closed_and_large_ones_are_not() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=100)
    mended = clearance.body(without(ball.copy(), *range(0, 2000, 100)), name="engine")
    assert mended.closed
    assert "20 holes closed" in mended.notes[0]
    assert mended.core.manifold is not None
    cap = np.flatnonzero(ball.triangles_center[:, 2] > 97)
    opened = clearance.body(without(ball.copy(), *cap.tolist()))
    assert not opened.closed
    assert opened.notes[0].startswith("open: 1 hole, the largest ")


def test_loose_triangles_are_no_closed_body_however_small() -> None:
    """Each triangle drawn by itself a hair off its neighbours: a lid on each would leave no inside at all."""
    ball = trimesh.creation.icosphere(subdivisions=3, radius=100)
    xyz = np.asarray(ball.triangles).reshape(-1, 3) + np.random.default_rng(1).normal(
        0, 1e-6, (len(ball.faces) * 3, 3)
    )
    scan = clearance.body((xyz, np.arange(len(xyz)).reshape(-1, 3)))
    assert scan.notes == ("1280 triangles that no other joins",)
    assert clearance.gap(block(20), scan).state == "inside"
    assert clearance.gap(block(20, (200, 0, 0)), scan).note == ""


def test_sides_split_by_a_corner_on_them_are_cracks_and_closed() -> None:
    mesh = crate()
    a, b, c = mesh.faces[0]
    corners = np.vstack((mesh.vertices, (mesh.vertices[a] + mesh.vertices[b]) / 2))
    faces = np.vstack((mesh.faces[1:], [(a, 8, c), (8, b, c)]))
    scan = clearance.body((corners, faces))
    assert scan.closed
    assert clearance.gap(block(50), scan).state == "inside"


def test_what_cannot_be_told_is_told_by_the_side_that_was_scanned() -> None:
    mesh, part = three_faces(), block(50)
    assert clearance.gap(part, clearance.body(mesh, name="engine")).note.startswith("engine: open there")
    outside = clearance.gap(part, clearance.body(mesh, scanned="outside"))
    assert outside.state == "inside"
    inside = clearance.gap(part, clearance.body(mesh, scanned="inside"))
    assert (inside.state, inside.note) == ("clear", "")
    beyond = clearance.gap(block(50, (0, 0, 240)), clearance.body(mesh, scanned="outside"))
    assert (beyond.state, beyond.note) == ("clear", "")


def test_a_floor_pan_is_open_and_a_part_over_it_is_clear_once_the_side_is_said() -> None:
    x, y = np.meshgrid(np.linspace(-500, 500, 41), np.linspace(-500, 500, 41), indexing="ij")
    grid = np.arange(41 * 41).reshape(41, 41)
    a, b, c, d = (one.ravel() for one in (grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]))
    corners = np.column_stack((x.ravel(), y.ravel(), 20 * np.sin(x.ravel() / 90)))
    faces = np.vstack((np.column_stack((a, b, c)), np.column_stack((a, c, d))))
    part = block(50, (0, 0, 60))
    assert clearance.gap(part, clearance.body((corners, faces), name="pan")).note
    said = clearance.body((corners, faces), name="pan", scanned="outside")
    assert clearance.gap(part, said).note == ""
    under = clearance.gap(block(50, (0, 0, -60)), said)
    assert under.state == "inside"


def test_a_body_far_from_an_open_scan_is_clear_without_a_word() -> None:
    scan = clearance.body(three_faces())
    assert clearance.gap(block(50, (0, 0, -1000)), scan).note == ""


def test_an_open_scan_s_inside_point_takes_milliseconds_not_a_sum_over_it_all() -> None:
    """What is summed are the lids: few, however many triangles the scan has."""
    ball = trimesh.creation.icosphere(subdivisions=6, radius=200)
    scan = clearance.body(without(ball, *np.flatnonzero(ball.triangles_center[:, 2] > 190).tolist()))
    assert 0 < len(scan.core.lids) < len(scan.core.mesh.triples) / 100
    spots = np.array(((0.0, 0.0, 0.0), (10.0, 20.0, -190.0), (0.0, 0.0, 260.0)))
    plain = [winding(scan.core.mesh.corners, scan.core.mesh.triples, spot) for spot in spots]
    assert winding_number(scan.core, spots) == pytest.approx(plain, abs=1e-9)


def test_a_rod_that_reaches_through_a_hole_is_not_clear() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=200)
    scan = clearance.body(without(ball, *np.flatnonzero(ball.triangles_center[:, 2] > 180).tolist()), name="engine")
    rod = clearance.body(cq.Solid.makeCylinder(5, 300, cq.Vector(0, 0, 100)), name="rod")
    found = clearance.gap(rod, scan)
    assert found.state == "clear"
    assert found.note == "engine: open there, so that it cannot be told whether rod is inside"


def test_a_way_through_a_hole_of_a_scan_and_a_movement_into_one_are_not_clear() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=200)
    scan = clearance.body(without(ball, *np.flatnonzero(ball.triangles_center[:, 2] > 150).tolist()), name="engine")
    part = block(30, (0, 0, 600))
    assert clearance.gap(part, scan).note == ""
    way = clearance.path(part, scan, [(0, 0, -500)])
    assert [note[:2] for note in way.notes] == [("gusset", "engine")]
    assert clearance.path(part, scan, [(500, 0, 0)]).notes == ()
    moves = clearance.Moves(travel=((0.0, 0.0), (0.0, 0.0), (-450.0, 0.0)))
    assert clearance.sweep(part, scan, moves, 5.0).pairs[0].gap.note
    assert not clearance.sweep(part, scan, clearance.Moves(travel=((0.0, 5.0),) * 3), 5.0).pairs[0].gap.note


def test_faces_without_a_solid_have_an_inside_too() -> None:
    """A surface model, as foreign STEP files have: no solid in it, and a part in its middle read clear."""
    sheet = cq.Compound.makeCompound(cq.Solid.makeBox(400, 400, 400, cq.Vector(-200, -200, -200)).Faces())
    assert clearance.gap(block(50), clearance.body(sheet)).state == "inside"
    assert clearance.gap(block(50, (300, 0, 0)), clearance.body(sheet)).note == ""


def part_in(rng: random.Random, mesh: Broken, where: str) -> clearance.Body | None:
    """A block wholly inside the whole mesh, wholly outside, or through its skin."""
    size = float(rng.uniform(0.03, 0.15) * mesh.whole.scale)
    low, high = mesh.whole.bounds
    outer = clearance.body(mesh.whole)
    for _ in range(60):
        spot = np.array([rng.uniform(a - 2 * size, b + 2 * size) for a, b in zip(low, high, strict=True)])
        made = block(size, (float(spot[0]), float(spot[1]), float(spot[2])))
        state = clearance.gap(made, outer).state
        if {"hit": "through", "inside": "inside"}.get(state, "outside") == where:
            return made
    return None


def broken_set(rng: random.Random) -> tuple[str, float, clearance.Gap] | None:
    """Where a part truly is, how far it is from the nearest hole over its size, and what is said of it."""
    mesh = broken(rng)
    where = rng.choice(("inside", "outside", "through"))
    part = part_in(rng, mesh, where)
    if part is None:
        return None
    size = float(np.ptp(part.box, axis=0).max())
    far = np.inf
    if len(mesh.gone):
        edges = mesh.whole.edges_unique_length.max()
        far = float(np.linalg.norm(mesh.gone - part.box.mean(axis=0), axis=1).min() - edges) / size
    return where, far, clearance.gap(part, clearance.body((mesh.corners, mesh.faces), name="scan"))


def test_random_broken_meshes_never_let_an_inside_pass(rng: Callable[[int], random.Random], fuzz: int) -> None:
    seen, quiet, apart = 0, 0, 0
    for n in range(fuzz):
        found = broken_set(rng(n))
        if found is None:
            continue
        where, far, gap = found
        seen += 1
        plain = gap.state in ("clear", "far") and not gap.note
        if where != "outside":
            assert not plain, (n, where, far)
        if where == "outside":
            assert gap.state != "inside", n
        if where != "through" and far > 1:
            apart += 1
            quiet += plain if where == "outside" else gap.state == "inside"
    print(f"{seen} sets, {apart} not through the skin and further from a hole than its size, {quiet} decided")
    assert seen >= 0.8 * fuzz
    assert quiet >= 0.95 * apart
