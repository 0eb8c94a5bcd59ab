"""A picture is made without a screen, of the size asked for, and shows what was asked for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkIOImage import vtkPNGReader

from brackets.errors import OutOfRange
from brackets.preview.build import source, whole
from brackets.preview.png import write
from brackets.preview.shot import Shot

SIZE = (320, 240)
GROUND = (245, 243, 238)


@pytest.fixture(scope="module")
def ears() -> bytes:
    return whole(source("ears", bare="mm"), {})


def drawn(block: bytes, path: Path, shot: Shot) -> NDArray[np.uint8]:
    """The picture as (height, width, 3) int."""
    write(block, path, shot)
    return read(path)


def read(path: Path) -> NDArray[np.uint8]:
    reader = vtkPNGReader()
    reader.SetFileName(str(path))
    reader.Update()
    found = reader.GetOutput()
    width, height, _ = found.GetDimensions()
    rows = vtk_to_numpy(found.GetPointData().GetScalars()).reshape(height, width, -1)
    return np.ascontiguousarray(rows[::-1, :, :3])


def metal(picture: NDArray[np.uint8]) -> float:
    """Share of the picture that is not its ground."""
    return float((np.abs(picture.astype(int) - GROUND).max(axis=2) > 12).mean())


def test_a_picture_has_its_size_and_shows_the_part_on_its_ground(ears: bytes, tmp_path: Path) -> None:
    picture = drawn(ears, tmp_path / "a.png", Shot(size=SIZE))
    assert picture.shape == (240, 320, 3)
    assert tuple(picture[2, 2]) == GROUND
    assert 0.05 < metal(picture) < 0.9


def test_a_section_takes_half_away(ears: bytes, tmp_path: Path) -> None:
    whole_ = metal(drawn(ears, tmp_path / "a.png", Shot(size=SIZE, views=("front",))))
    half = metal(drawn(ears, tmp_path / "b.png", Shot(size=SIZE, views=("front",), cut=("z", None))))
    assert half == pytest.approx(whole_ / 2, rel=0.15)  # one of two ears: edges and rounding of pixels


def test_a_cut_face_is_filled(ears: bytes, tmp_path: Path) -> None:
    """Looking square at the cut, the upper ear is metal, not its far inside: one colour from edge to edge."""
    picture = drawn(ears, tmp_path / "a.png", Shot(size=SIZE, views=("left",), cut=("y", 20.0)))[:120]
    inside = picture[np.abs(picture.astype(int) - GROUND).max(axis=2) > 12]
    assert len(inside) > 200
    assert np.median(np.abs(inside.astype(int) - np.median(inside, axis=0)).max(axis=1)) < 6


def test_pieces_pulled_apart_reach_further(ears: bytes, tmp_path: Path) -> None:
    near = drawn(ears, tmp_path / "a.png", Shot(size=SIZE, views=("front",)))
    far = drawn(ears, tmp_path / "b.png", Shot(size=SIZE, views=("front",), apart=1.0))
    assert metal(far) < 0.8 * metal(near)


def test_two_views_stand_side_by_side(ears: bytes, tmp_path: Path) -> None:
    picture = drawn(ears, tmp_path / "a.png", Shot(size=SIZE, views=("top", "front")))
    assert metal(picture[:, :160]) > 0.05
    assert metal(picture[:, 160:]) > 0.05
    assert not np.array_equal(picture[:, :160], picture[:, 160:])


def test_dark_has_a_dark_ground(ears: bytes, tmp_path: Path) -> None:
    assert drawn(ears, tmp_path / "a.png", Shot(size=SIZE, dark=True))[2, 2].max() < 40


def test_everything_wrong_with_a_picture_is_said_at_once() -> None:
    with pytest.raises(OutOfRange) as refused:
        Shot.of_texts(views="slant,north", pixels="9x9", cut="q", apart="200", dark=False)
    assert [problem.partition(" = ")[0] for problem in refused.value.problems] == [
        "from",
        "pixels",
        "cut",
        "pull-apart",
    ]


def test_words_become_a_shot() -> None:
    shot = Shot.of_texts(views="top, slant", pixels="800x600", cut="x=1in", apart="50%", dark=True)
    assert shot == Shot(views=("top", "slant"), size=(800, 600), cut=("x", 25.4), apart=0.5, dark=True)
