"""Triangles: closed, near enough, and the same whatever came before."""

from __future__ import annotations

import os
import random
import subprocess
import sys

import numpy as np
import pytest
import trimesh
from kernel import off
from plates import plate

from brackets import kernel as solid
from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.geometry.shapes import circle, rectangle
from brackets.kernel.mesh import Mesh, mesh, of_shape, open_edges, together
from brackets.model import mass
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Flange, Folded, Plate, TubeSeat, Wall
from brackets.model.tube import Step, Tube, TubeEnd, Turned

SADDLE = TubeEnd(kind="saddle", angle=55, r=24, offset=3, clock=30)
SLANTED = TubeSeat(at=(0, -35, 0), axis=(0.3, 0.2, 1), r=20, keep=(0, 20))
U = Folded(
    name="u",
    t=4,
    base=Wall(outline=rectangle(60, 40, centre=(30, 20)), openings=(Hole(at=(30, 20), d=12),)),
    flanges=(
        Flange(start=(0, 40), end=(60, 40), inside_radius=5, wall=Wall(outline=rectangle(60, 30, centre=(30, 15)))),
    ),
)
PIECES: tuple[Piece, ...] = (
    Plate(name="disc", wall=Wall(outline=circle((0, 0), 30), openings=(Hole(at=(4, 0), d=13),)), t=6),
    Plate(name="seated", wall=Wall(outline=rectangle(70, 60, radius=10), seats=(SLANTED,)), t=6),
    Turned(name="cup", steps=(Step(length=5, od=60, bore=20), Step(length=30, od=56, bore=50))),
    Turned(name="bar", steps=(Step(length=5, od=20), Step(length=5, od=10))),
    Tube(name="tube", od=38.1, wall=3.2, length=200, start=SADDLE, end=TubeEnd(kind="plane", angle=60)),
    U,
)
each = pytest.mark.parametrize("piece", PIECES, ids=lambda piece: piece.name)


@each
def test_every_kind_of_piece_is_closed(piece: Piece) -> None:
    found = mesh(piece)
    body = trimesh.Trimesh(found.vertices, found.faces, process=False)
    assert body.is_watertight
    assert body.is_winding_consistent
    assert open_edges(found.faces) == 0
    assert body.volume > 0
    area = sum(face.Area() for face in solid.own_shape(piece).Faces())
    assert abs(body.volume - mass.volume(piece)) <= found.deflection * area + 1e-6 * body.volume


@each
@pytest.mark.parametrize("tolerance", [0.005, 0.1])
def test_no_triangle_is_farther_off_than_is_said(piece: Piece, tolerance: float) -> None:
    found = mesh(piece, tolerance=tolerance, angle=0.5)
    assert found.deflection <= tolerance
    skin = solid.own_shape(piece).shells()
    rng = np.random.default_rng(3)
    some = found.corners[rng.choice(len(found.faces), 40)]
    weights = rng.dirichlet((0.4, 0.4, 0.4), 40)
    spots = np.einsum("ij,ijk->ik", weights, some)
    assert max(off(skin, tuple(spot)) for spot in spots) <= found.deflection + 1e-7


def test_no_skin_is_farther_off_than_is_said() -> None:
    """Points of the true cylinder against the triangles."""
    found = mesh(Turned(name="bar", steps=(Step(length=30, od=50),)), tolerance=0.1, angle=0.5)
    turns = np.linspace(0, 2 * np.pi, 500)
    spots = np.column_stack([25 * np.cos(turns), 25 * np.sin(turns), np.full(500, 11.0)])
    far = np.full(500, np.inf)
    for corners in found.corners:
        near = trimesh.triangles.closest_point(np.broadcast_to(corners, (500, 3, 3)), spots)
        far = np.minimum(far, np.linalg.norm(near - spots, axis=1))
    assert 0.01 < far.max() <= found.deflection


def test_a_finer_mesh_made_before_changes_nothing() -> None:
    piece = plate(random.Random(3))
    coarse = mesh(piece, tolerance=0.2, angle=0.6)
    solid.forget()
    of_shape(solid.own_shape(piece), tolerance=0.002, angle=0.02)
    again = of_shape(solid.own_shape(piece), tolerance=0.2, angle=0.6).moved(piece.place)
    np.testing.assert_array_equal(coarse.vertices, again.vertices)
    np.testing.assert_array_equal(coarse.faces, again.faces)


def test_a_part_is_the_meshes_of_its_pieces_where_they_stand() -> None:
    bar = Turned(name="bar", steps=(Step(length=30, od=10),))
    part = Part(name="p", pieces=(bar, bar.renamed("other").placed(Place((50, 0, 0), (1, 0, 0), (0, 1, 0)))))
    found = mesh(part, angle=0.05)
    assert len(found.faces) == 2 * len(mesh(bar, angle=0.05).faces)
    np.testing.assert_allclose(found.vertices.max(axis=0), (80, 5, 30), atol=1e-9)
    with pytest.raises(ValueError, match="read-only"):
        found.vertices[0] = 0


def test_an_open_mesh_is_told_from_a_closed_one() -> None:
    faces = mesh(PIECES[0]).faces
    assert open_edges(faces[1:]) > 0
    assert open_edges(np.vstack([faces[1:], faces[:1, ::-1]])) > 0


def test_nothing_is_an_empty_mesh() -> None:
    assert isinstance(together([]), Mesh)
    assert together([]).faces.shape == (0, 3)


@pytest.mark.parametrize(
    ("tolerance", "angle"), [(0.0, 0.1), (-1.0, 0.1), (float("nan"), 0.1), (0.1, 0.0), (0.1, 9.0)]
)
def test_a_tolerance_that_makes_no_sense_is_refused(tolerance: float, angle: float) -> None:
    with pytest.raises(InputError, match="triangles"):
        mesh(PIECES[0], tolerance=tolerance, angle=angle)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="nothing forks there")
def test_a_forked_child_hands_nothing_to_the_kernels_threads() -> None:
    """They are not in the child: a mesh there never ended."""
    code = (
        "import os; from brackets.kernel.patches import in_parallel\n"
        "child = os.fork()\n"
        "os._exit(int(in_parallel())) if child == 0 else None\n"
        "print(in_parallel(), os.waitpid(child, 0)[1])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True", "0"]
