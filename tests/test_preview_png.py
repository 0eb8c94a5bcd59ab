"""A picture is made without a screen, of the size asked for, and shows what was asked for."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from preview_bay import written
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkIOImage import vtkPNGReader

from brackets.app.cli.app import main
from brackets.app.preview.blocks import pack, unpack
from brackets.app.preview.build import source, whole
from brackets.app.preview.lettering import annotate
from brackets.app.preview.png import write
from brackets.app.preview.shot import Shot
from brackets.app.preview.vtk_body import VtkBody
from brackets.core.errors import InputError
from brackets.core.schema.reading import from_texts
from brackets.forming.flat_pattern import blank_of
from brackets.library import recipe as recipe_file
from brackets.model.plate import Folded

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


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full is Linux's")
def test_a_full_disk_is_told(ears: bytes) -> None:
    with pytest.raises(OSError, match="No space left"):
        write(ears, Path("/dev/full"), Shot(size=SIZE))


def test_a_picture_has_its_size_and_shows_the_part_on_its_ground(ears: bytes, tmp_path: Path) -> None:
    picture = drawn(ears, tmp_path / "a.png", Shot(size=SIZE, axes=False))
    assert picture.shape == (240, 320, 3)
    assert tuple(picture[2, 2]) == GROUND
    assert 0.05 < metal(picture) < 0.9


def test_a_section_takes_half_away(ears: bytes, tmp_path: Path) -> None:
    whole_ = metal(drawn(ears, tmp_path / "a.png", Shot(size=SIZE, axes=False, views=("front",))))
    half = metal(drawn(ears, tmp_path / "b.png", Shot(size=SIZE, axes=False, views=("front",), cut=("z", None))))
    assert half == pytest.approx(whole_ / 2, rel=0.15)  # one of two ears: edges and rounding of pixels


def test_a_cut_face_is_filled(ears: bytes, tmp_path: Path) -> None:
    """Looking square at the cut, the upper ear is metal, not its far inside: one colour from edge to edge."""
    picture = drawn(ears, tmp_path / "a.png", Shot(size=SIZE, axes=False, views=("left",), cut=("y", 20.0)))[:120]
    inside = picture[np.abs(picture.astype(int) - GROUND).max(axis=2) > 12]
    assert len(inside) > 200
    assert np.median(np.abs(inside.astype(int) - np.median(inside, axis=0)).max(axis=1)) < 6


def test_pieces_pulled_apart_reach_further(ears: bytes, tmp_path: Path) -> None:
    near = drawn(ears, tmp_path / "a.png", Shot(size=SIZE, axes=False, views=("front",)))
    far = drawn(ears, tmp_path / "b.png", Shot(size=SIZE, axes=False, views=("front",), apart=1.0))
    assert metal(far) < 0.8 * metal(near)


def test_two_views_stand_side_by_side(ears: bytes, tmp_path: Path) -> None:
    picture = drawn(ears, tmp_path / "a.png", Shot(size=SIZE, axes=False, views=("top", "front")))
    assert metal(picture[:, :160]) > 0.05
    assert metal(picture[:, 160:]) > 0.05
    assert not np.array_equal(picture[:, :160], picture[:, 160:])


def test_dark_has_a_dark_ground(ears: bytes, tmp_path: Path) -> None:
    assert drawn(ears, tmp_path / "a.png", Shot(size=SIZE, axes=False, dark=True))[2, 2].max() < 40


@pytest.fixture(scope="module")
def folded() -> bytes:
    return whole(source("ears", bare="mm"), {"": {"back": "yes"}})


def test_flat_a_folded_piece_is_as_long_as_its_blank(folded: bytes, tmp_path: Path) -> None:
    """Drawn at one scale, two sizes side by side: length over width is that of the closed-form blank."""
    opened = recipe_file.recipe("ears")
    piece = opened.build(from_texts(opened.Params, {"back": "yes"})).pieces[0]
    assert isinstance(piece, Folded)
    blank = blank_of(piece)
    header, blobs = unpack(folded)
    body = VtkBody(header["items"][0], blobs[header["items"][0]["mesh"]], 0, header, Shot(fold=0.0))
    local = np.array(piece.place.inverse().matrix())
    size = np.ptp(body.points @ local[:3, :3].T, axis=0)
    assert size == pytest.approx((blank.length, blank.width, piece.t), abs=0.15)  # live deflection, float32
    made, laid = (drawn(folded, tmp_path / "a.png", Shot(size=SIZE, axes=False, fold=f)) for f in (1.0, 0.0))
    assert not np.array_equal(made, laid)


def test_bend_lines_show_with_the_axes(folded: bytes, tmp_path: Path) -> None:
    shot = Shot(size=SIZE, views=("rear",), fold=0.0)
    with_lines, without = (
        drawn(folded, tmp_path / "a.png", replace(shot, axes=axes)) for axes in (True, False)
    )
    changed = np.abs(with_lines.astype(int) - without).max(axis=2) > 12
    assert changed[:160, 80:].any()  # away from the axes at the bottom left


PAIR = {"a": "x", "b": "y", "state": "clear", "spare": -2.0, "level": "caution", "said": "8.0 mm, spare -2.0"}


def test_a_short_gap_is_drawn_where_it_is_and_goes_with_the_half_that_is_cut_away(
    ears: bytes, tmp_path: Path
) -> None:
    header, blobs = unpack(ears)
    pair = {**PAIR, "p": [0.0, -20.0, 0.0], "q": [0.0, 20.0, 0.0]}
    near = {**pair, "level": "", "spare": 4.0, "said": "8.0 mm, spare 4.0"}
    shot = Shot(size=SIZE, views=("front",), axes=False)

    def red(pairs: list[dict[str, object]], shot: Shot) -> int:
        picture = drawn(pack({**header, "pairs": pairs}, blobs), tmp_path / "a.png", shot).astype(int)
        return int((picture[:, :, 0] - picture[:, :, 1:].max(axis=2) > 60).sum())

    assert red([], shot) == 0
    assert red([pair], shot) > 60
    assert red([pair], replace(shot, cut=("x", -5.0))) == 0
    assert red([near], replace(shot, gaps=True)) == 0
    bodies = [VtkBody(header["items"][0], blobs[header["items"][0]["mesh"]], 0, header, shot)]
    told = {**header, "pairs": [near]}
    _, tags = annotate(told, bodies, replace(shot, gaps=True), lambda _: True)
    assert [tag.text for tag in tags] == ["8.0 mm, spare 4.0"]
    assert annotate(told, bodies, shot, lambda _: True)[1] == []


def test_everything_wrong_with_a_picture_is_said_at_once() -> None:
    with pytest.raises(InputError) as refused:
        Shot.of_texts(views="slant,north", pixels="9x9", cut="q", apart="200", fold="-1", dark=False)
    assert [problem.partition(" = ")[0] for problem in refused.value.problems] == [
        "from",
        "pixels",
        "cut",
        "pull-apart",
        "fold",
    ]


def test_words_become_a_shot() -> None:
    words = {"views": "top, slant", "pixels": "800x600", "cut": "x=1in", "apart": "50%", "fold": "0"}
    wanted = {"views": ("top", "slant"), "size": (800, 600), "cut": ("x", 25.4), "apart": 0.5, "fold": 0.0}
    assert Shot.of_texts(**words, gaps=True, dark=True) == Shot(**wanted, gaps=True, dark=True)


# ---------------------------------------------------------------- the command


def test_a_bay_that_stops_ends_with_1_and_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Page and picture are written all the same: they show what stops. Either once ended with 0."""
    page, picture = tmp_path / "bay.html", tmp_path / "bay.png"
    asked = ["view", str(written(tmp_path)), "--html", str(page), "--png", str(picture), "--pixels", "160x120"]
    assert main(asked) == 1
    said = capsys.readouterr().out.splitlines()
    assert said[:2] == [str(page), str(picture)]
    assert said[2].startswith("STOP: do not cut: ")
    assert page.exists()
    assert read(picture).shape == (120, 160, 3)


def test_a_file_is_named_by_what_is_in_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`--png a.jpg` wrote a PNG."""
    jpg, txt = tmp_path / "a.jpg", tmp_path / "a.txt"
    assert main(["view", "cup", "--png", str(jpg), "--html", str(txt)]) == 2
    assert capsys.readouterr().err.splitlines() == [
        f"--html = {txt}, must end in .html or .htm: no other kind is written",
        f"--png = {jpg}, must end in .png: no other kind is written",
    ]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("at", ["5000", "-5000"])
def test_a_cut_beside_everything_is_refused(ears: bytes, tmp_path: Path, at: str) -> None:
    """`--cut z=5000` cut nothing, and did not say so."""
    with pytest.raises(InputError, match=rf"cut = z={at} mm, must be more than -\d.* and less than \d.* mm"):
        write(ears, tmp_path / "a.png", Shot(size=SIZE, cut=("z", float(at))))
