"""3MF and GLB of a part and of several: each piece under its name, in its place, with unit and colour, read back by
lib3mf and by trimesh."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from bracket import OTHER, PART

from brackets.core.errors import InputError
from brackets.kernel.mesh import mesh
from brackets.model import mass
from brackets.model.kinds import kind_of
from brackets.output import glb, items, three_mf
from brackets.output.step import COLOURS

NAMES = [piece.name for piece in PART.pieces]
BAY = items.items_of_all((PART, OTHER))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    at = tmp_path_factory.mktemp("shared")
    for write, suffix in ((three_mf.write, "3mf"), (glb.write, "glb")):
        write(items.items(PART), at / f"part.{suffix}", title="bracket")
        write(BAY, at / f"bay.{suffix}", title="bay")
    return at


def objects(path: Path) -> tuple[Any, list[tuple[str, Any, str, tuple[float, ...]]]]:
    """The unit, and of every object name, object, material and colour as lib3mf reads them."""
    import lib3mf

    model = lib3mf.get_wrapper().CreateModel()
    model.QueryReader("3mf").ReadFromFile(str(path))
    found = []
    them = model.GetMeshObjects()
    while them.MoveNext():
        one = them.GetCurrentMeshObject()
        group, number, there = one.GetObjectLevelProperty()
        assert there
        base = model.GetBaseMaterialGroupByID(group)
        colour = base.GetDisplayColor(number)
        shares = (colour.Red / 255, colour.Green / 255, colour.Blue / 255)
        found.append((one.GetName(), one, base.GetName(number), shares))
    return model.GetUnit() == lib3mf.ModelUnit.MilliMeter, found


def test_3mf_has_an_object_a_piece_with_name_material_and_colour(folder: Path) -> None:
    in_mm, found = objects(folder / "part.3mf")
    assert in_mm
    assert [name for name, *_ in found] == NAMES
    for (_, one, material, colour), piece in zip(found, PART.pieces, strict=True):
        assert one.IsManifoldAndOriented()
        assert material == piece.material
        assert colour == pytest.approx(COLOURS[kind_of(piece)], abs=0.5 / 255 + 1e-9)
    _, found = objects(folder / "bay.3mf")
    assert [name for name, *_ in found] == [f"{p.name}/{piece.name}" for p in (PART, OTHER) for piece in p.pieces]


def test_another_reader_of_3mf_finds_every_piece_in_its_place(folder: Path) -> None:
    scene = trimesh.load(folder / "part.3mf")
    assert set(scene.geometry) == set(NAMES)
    for piece in PART.pieces:
        body = scene.geometry[piece.name]
        assert body.is_watertight
        assert body.volume == pytest.approx(mass.volume(piece), rel=0.01)
        np.testing.assert_allclose(body.bounds, bounds(piece), atol=1e-3)


def test_glb_has_a_node_a_piece_in_metres_with_y_up(folder: Path) -> None:
    scene = trimesh.load(folder / "part.glb")
    assert set(scene.graph.nodes_geometry) == set(NAMES)
    for piece in PART.pieces:
        place, geometry = scene.graph[piece.name]
        body = scene.geometry[geometry].copy().apply_transform(place)
        low, high = bounds(piece)
        np.testing.assert_allclose(1000 * body.bounds[0], (low[0], low[2], -high[1]), atol=1e-3)
        np.testing.assert_allclose(1000 * body.bounds[1], (high[0], high[2], -low[1]), atol=1e-3)
        assert 1e9 * body.volume == pytest.approx(mass.volume(piece), rel=0.01)  # and so not inside out
        material = body.visual.material
        assert material.name == piece.material
        light = [255 * glb.linear(share) for share in COLOURS[kind_of(piece)]]
        assert list(material.baseColorFactor[:3]) == pytest.approx(light, abs=1.0)
    assert set(trimesh.load(folder / "bay.glb").graph.nodes_geometry) == {item.name for item in BAY}


def bounds(piece: Any) -> tuple[Any, Any]:
    corners = mesh(piece, tolerance=0.02, angle=0.2).vertices
    return corners.min(axis=0), corners.max(axis=0)


def test_half_the_light_of_a_screen_is_a_fifth_of_the_light() -> None:
    """IEC 61966-2-1: 0.5 is 0.2140 of the light, and below 0.04045 it is a straight line."""
    found = [glb.linear(0.5), glb.linear(0.04), glb.linear(1.0)]
    assert found == pytest.approx([0.21404, 0.04 / 12.92, 1.0], abs=1e-5)


def test_the_same_bodies_give_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    three_mf.write(items.items_of_all((PART, OTHER)), tmp_path / "bay.3mf", title="bay")
    glb.write(items.items_of_all((PART, OTHER)), tmp_path / "bay.glb", title="bay")
    for name in ("bay.3mf", "bay.glb"):
        assert (tmp_path / name).read_bytes() == (folder / name).read_bytes()


def test_a_file_of_no_bodies_is_refused(tmp_path: Path) -> None:
    for write in (three_mf.write, glb.write):
        with pytest.raises(InputError, match="items = none, must be one or more"):
            write((), tmp_path / "none", title="none")
