"""What is not asked of the kernel about two faces could not have been the nearest."""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IMeshTools import IMeshTools_MeshAlgoType_Delabella

from brackets import clearance
from brackets.clearance import exact, gaps, pairs
from brackets.clearance import triangles as tri
from brackets.clearance.cores import Core
from brackets.clearance.places import Transform, spun, transform
from brackets.clearance.triangles import between
from brackets.core import kept

SURE = 1e-6
"""mm: the kernel's own tolerance and rounding."""
ON_IT = 1e-5
"""mm: a point that near a body lies on it, as closely as halving triangles finds it."""

SHAPES = {
    "box with a hole": cq.Workplane().box(40, 30, 12).faces(">Z").workplane().hole(9).val(),
    "tube": cq.Workplane().circle(21).circle(18).extrude(60).val(),
    "filleted box": cq.Workplane().box(40, 30, 20).edges().fillet(5).val(),
    "cone": cq.Solid.makeCone(20, 6, 30),
    "torus": cq.Solid.makeTorus(30, 6),
    "half a ball": cq.Solid.makeSphere(15, angleDegrees1=0),
}

names = st.sampled_from(sorted(SHAPES))
numbers = st.floats(-1, 1, allow_nan=False)


def core(name: str) -> Core:
    return clearance.body(SHAPES[name], name=name).core


@st.composite
def places(draw: st.DrawFn, reach: float) -> Transform:
    """Any turn, and a move of up to `reach` mm along each axis."""
    axis = np.array([draw(numbers) for _ in range(3)])
    length = float(np.linalg.norm(axis))
    axis = axis / length if length > 0.1 else np.array((0.0, 0.0, 1.0))
    move = np.array([draw(numbers) for _ in range(3)]) * reach
    return transform((spun(axis, draw(numbers) * np.pi), move))


@settings(max_examples=80, deadline=None)
@given(names, names, places(60.0), st.integers(0, 99), st.integers(0, 99))
def test_no_piece_of_a_face_is_nearer_to_the_other_than_said(
    one: str, other: str, across: Transform, i: int, j: int
) -> None:
    """Edges and corners by their chains against the triangles, the kernel on the true ones."""
    a, b = core(one), core(other)
    ours, theirs = (c.face_parts(n % len(c.faces)) for c, n in ((a, i), (b, j)))
    near = exact._near(theirs, ours, across, 1e9)
    assert len(near) == len(theirs.pieces)
    for least, piece in near:
        true = BRepExtrema_DistShapeShape(ours.face, piece.shape.Moved(across.location)).Value()
        assert least <= true + SURE


@settings(max_examples=80, deadline=None)
@given(st.integers(2, 9), places(30.0), st.randoms(use_true_random=False))
def test_the_distance_of_a_chain_without_area_is_that_of_its_points(
    count: int, across: Transform, chance: object
) -> None:
    """The collision library on triangles without area, beside a dense walk along the chain: never more."""
    rng = np.random.default_rng(chance.getrandbits(32))  # type: ignore[attr-defined]
    chain = rng.normal(0, 20, (count, 3))
    plate = rng.normal(0, 20, (3, 3))
    found = between(exact.flat(plate).tree, exact._chained(chain), across).distance
    steps = np.linspace(0, 1, 60)[:, None]
    walked = np.vstack([(1 - steps) * p + steps * q for p, q in zip(chain, chain[1:], strict=False)])
    true = float(_to_triangle(across.points(walked), plate).min())
    assert found <= true + 1e-9
    assert found >= true - float(np.linalg.norm(np.diff(chain, axis=0), axis=1).max()) / 59 - 1e-9


def _to_triangle(points: np.ndarray, corners: np.ndarray) -> np.ndarray:
    """mm of each point, by the triangle's inside and its three sides."""
    a, b, c = corners
    across = np.cross(b - a, c - a)
    ends = ((a, b), (b, c), (c, a))
    inside = np.all([np.cross(q - p, points - p) @ across >= 0 for p, q in ends], axis=0)
    sides = []
    for p, q in ends:
        share = np.clip((points - p) @ (q - p) / ((q - p) @ (q - p)), 0, 1)[:, None]
        sides.append(np.linalg.norm(points - p - share * (q - p), axis=1))
    return np.where(inside, abs((points - a) @ across) / np.linalg.norm(across), np.min(sides, axis=0))


@settings(max_examples=40, deadline=None)
@given(names, names, places(1.0), st.floats(1, 200))
def test_faces_left_out_as_too_far_behind_were_not_the_nearest(
    one: str, other: str, turned: Transform, away: float
) -> None:
    """The gap of two whole bodies against the kernel on all of both. Where the kernel says more, it has missed the
    least, as beside a cone: two points on the bodies that are nearer show it."""
    a, b = clearance.body(SHAPES[one], name=one), clearance.body(SHAPES[other], name=other)
    b = b.placed(Transform(turned.turn, np.array((75.0 + away, 0.0, 0.0)) + turned.move))
    found, by_hulls = gaps._by_surfaces(a, b, None), clearance.gap(a, b)
    assert max(found.low, by_hulls.low) <= min(found.high, by_hulls.high)
    moved = SHAPES[other].wrapped.Moved(b.place.location)
    said = BRepExtrema_DistShapeShape(SHAPES[one].wrapped, moved).Value()
    assert found.low - SURE <= said
    if said > found.high + SURE:
        assert math.dist(found.p, found.q) <= found.high + SURE
        for shape, spot in ((SHAPES[one].wrapped, found.p), (moved, found.q)):
            corner = cq.Vertex.makeVertex(*spot).wrapped
            assert BRepExtrema_DistShapeShape(shape, corner).Value() <= ON_IT


def test_the_kernel_misses_the_least_of_a_cone_and_a_box_and_is_not_believed() -> None:
    """It says 47.758 for its two corners; triangles no further than 0.002 mm off either body are 47.447 apart."""
    a, b = clearance.body(SHAPES["box with a hole"]), clearance.body(SHAPES["cone"])
    turn = np.array(((0.8, 0.4, -(0.2**0.5)), (0.4, 0.2, 0.8**0.5), (0.2**0.5, -(0.8**0.5), 0.0)))
    b = b.placed(Transform(turn, np.array((86.0, 0.0, 0.0))))
    found, by_hulls = gaps._by_surfaces(a, b, None), clearance.gap(a, b)
    assert max(found.low, by_hulls.low) <= min(found.high, by_hulls.high)
    moved = SHAPES["cone"].wrapped.Moved(b.place.location)
    assert BRepExtrema_DistShapeShape(SHAPES["box with a hole"].wrapped, moved).Value() > 47.7
    fine = [clearance.body(SHAPES[name], tolerance=0.002) for name in ("box with a hole", "cone")]
    near = between(fine[0].core.tree, fine[1].core.tree, b.place).distance
    assert found.low - 0.004 <= near <= found.high + 0.004


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_the_quick_way_of_cutting_up_leaves_nothing_of_a_face_out(name: str) -> None:
    """The area of a flat face's triangles is the face's, but for the chords of its round edges."""
    mesh = tri.of_shape(SHAPES[name].wrapped, 4e-3 if name == "torus" else 1e-3, name)
    for number, face in enumerate(tri.faces_of(SHAPES[name].wrapped)):
        props = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, props)
        part = mesh.triples[mesh.starts[number] : mesh.starts[number + 1]]
        assert tri.areas(mesh.corners, part).sum() / 2 == pytest.approx(props.Mass(), rel=2e-3)


def test_a_face_the_quick_way_leaves_bare_is_cut_up_the_usual_way(monkeypatch: pytest.MonkeyPatch) -> None:
    real, ways = tri.BRepMesh_IncrementalMesh, []

    def fails_once(shape: object, ask: object) -> None:
        ways.append(ask.MeshAlgo)  # type: ignore[attr-defined]
        if ask.MeshAlgo != IMeshTools_MeshAlgoType_Delabella:  # type: ignore[attr-defined]
            real(shape, ask)

    monkeypatch.setattr(tri, "BRepMesh_IncrementalMesh", fails_once)
    mesh = tri.of_shape(SHAPES["tube"].wrapped, 0.05, "tube")
    assert len(ways) == 2
    assert len(mesh.bounds) == 4


def test_two_bodies_are_settled_once_whichever_is_asked_first(
    keeping: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The distance is kept by the two shapes, their tolerance and how they stand to one another, and by no cap; it
    is that of either order to the last bit."""
    asked: list[object] = []

    def counted(*given: object) -> pairs.Settled:
        asked.append(given)
        return settle(*given)  # type: ignore[arg-type]

    settle = pairs._exact
    monkeypatch.setattr(pairs, "_exact", counted)
    rod = cq.Solid.makeCylinder(5, 20)
    place = clearance.moved((6.0, 2.0, 25.0)) @ clearance.about((0, 0, 0), (1.0, 0, 0), 8.0)
    inner = clearance.body(rod, name="rod", place=place)
    tube = clearance.body(SHAPES["tube"], name="tube")
    first, again = clearance.gap(inner, tube, cap=50.0), clearance.gap(tube, inner)
    assert len(asked) == 1
    assert (first.low, first.high, first.p, first.q) == (again.low, again.high, again.q, again.p)
    kept.forget()
    kept.clear()
    assert clearance.gap(tube, inner) == again
    assert len(asked) == 2
    clearance.gap(inner.placed(clearance.moved((0, 0, 1e-9))), tube)
    clearance.gap(clearance.body(rod, tolerance=0.1, place=place), tube)
    assert len(asked) == 4
