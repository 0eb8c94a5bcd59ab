"""An STL of several pieces: every edge is run along by two triangles, and splitting it gives the pieces back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh

from brackets import recipe
from brackets.core.place import Place
from brackets.geometry.shapes import circle, rectangle
from brackets.kernel.mesh import mesh, together
from brackets.model import mass
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Step, Turned
from brackets.output import stl


def box(name: str, x: float, y: float, z: float = 0.0) -> Plate:
    return Plate(name=name, t=10.0, wall=Wall(outline=rectangle(20, 20, centre=(x, y))), place=Place((0, 0, z)))


def ring(name: str, od: float, bore: float, z: float) -> Turned:
    return Turned(name=name, place=Place((0, 0, z)), steps=(Step(length=10.0, od=od, bore=bore),))


TOUCHING: dict[str, tuple[Piece, ...]] = {
    "side by side": (box("a", 0, 0), box("b", 20, 0)),
    "along one edge": (box("a", 0, 0), box("b", 20, 20)),
    "at one corner": (box("a", 0, 0), box("b", 20, 20, 10)),
    "four round one edge": (box("a", 0, 0), box("b", 20, 0), box("c", 20, 20), box("d", 0, 20)),
    "sleeve in cup": (ring("a", 50, 40, 0), ring("b", 60, 50, 0)),
    "washer on plate": (
        Plate(name="a", t=10.0, wall=Wall(outline=circle((0, 0), 30), openings=(Hole(at=(0, 0), d=11),))),
        ring("b", 20, 11, 10),
    ),
    "the same twice": (box("a", 0, 0), box("b", 0, 0)),
}


def times(body: Any) -> np.ndarray[Any, Any]:
    """How many triangles run along each edge."""
    edges = np.sort(body.edges, axis=1)
    return np.unique(edges, axis=0, return_counts=True)[1]


def read(path: Path) -> Any:
    return trimesh.load_mesh(path)  # joins equal corners, as readers do


@pytest.mark.parametrize("name", TOUCHING)
def test_pieces_that_touch_share_no_edge(name: str, tmp_path: Path) -> None:
    part = Part(name=name, pieces=TOUCHING[name])
    stl.write(part, tmp_path / "p.stl")
    body = read(tmp_path / "p.stl")
    assert set(times(body)) == {2}
    assert body.is_watertight
    assert body.is_winding_consistent
    found = body.split(only_watertight=True)
    assert len(found) == len(part.pieces)
    volumes = sorted(one.volume for one in found)
    skin = (0.02 + 2 * stl.APART) * max(one.area for one in found)  # the mesh's tolerance, and drawn in twice
    assert volumes == pytest.approx(sorted(mass.volume(piece) for piece in part.pieces), abs=skin)
    body.merge_vertices(digits_vertex=3)
    assert len(body.split()) == len(part.pieces), "still apart where corners are joined to 0.001 mm"


def test_as_they_stand_such_pieces_do_share_edges(tmp_path: Path) -> None:
    """What was wrong: the triangles of the pieces, one after the other."""
    for name in ("side by side", "along one edge", "four round one edge", "washer on plate"):
        (tmp_path / "p.stl").write_bytes(stl.text(together([mesh(piece) for piece in TOUCHING[name]])))
        assert times(read(tmp_path / "p.stl")).max() > 2, name


def test_nothing_moves_but_shared_corners_and_they_by_no_more_than_is_said() -> None:
    meshes = [mesh(piece) for piece in TOUCHING["side by side"]]
    left = stl.drawn_apart(meshes)
    for before, after in zip(meshes, left, strict=True):
        moved = np.linalg.norm(after.vertices - before.vertices, axis=1)
        assert sorted(moved.round(9)) == [0.0] * 4 + [stl.APART] * 4
        low, high = before.vertices.min(axis=0), before.vertices.max(axis=0)
        assert ((after.vertices >= low) & (after.vertices <= high)).all(), "into the piece, not out of it"
        np.testing.assert_allclose(np.abs(before.vertices[moved > 0][:, 0]), 10.0)
    (alone,) = stl.drawn_apart(meshes[:1])
    assert alone is meshes[0]
    assert stl.drawn_apart([]) == []


def test_every_shipped_weldment_splits_into_its_pieces(tmp_path: Path) -> None:
    for name in ("stay", "ears_on_base", "cup_on_plate"):
        opened = recipe(name)
        part = opened.build(opened.Params())
        stl.write(part, tmp_path / f"{name}.stl")
        body = read(tmp_path / f"{name}.stl")
        assert set(times(body)) == {2}, name
        assert len(body.split()) == len(part.pieces), name
