"""Scan files that are cut short, damaged or in the wrong unit: one clear line each, nothing lost without a word."""

from __future__ import annotations

import random
import re
import struct
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh

from brackets.bay import file as bay_file
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.scan_files import read
from brackets.clearance.bodies import Body
from brackets.core.errors import InputError

BALL = trimesh.creation.icosphere(subdivisions=3, radius=100)
FACES = len(BALL.faces)
KINDS = {
    "binary.stl": BALL.export(file_type="stl"),
    "text.stl": BALL.export(file_type="stl_ascii").encode(),
    "ball.obj": BALL.export(file_type="obj").encode(),
    "binary.ply": BALL.export(file_type="ply"),
    "text.ply": BALL.export(file_type="ply", encoding="ascii"),
}


def said(folder: Path, name: str, data: bytes, *, unit: str = "mm") -> str:
    """The one line that refuses the file, or what is noted of it, or nothing."""
    path = folder / name
    path.write_bytes(data)
    try:
        return "; ".join(read(path, unit=unit, named=f"mesh = {name}").notes)
    except InputError as error:
        return str(error) if re.fullmatch(f"mesh = {name}, .*", str(error)) else f"not one line: {error}"


@pytest.mark.parametrize("name", KINDS)
def test_a_whole_file_is_read_whole(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(KINDS[name])
    found = read(tmp_path / name, unit="cm", named="mesh")
    assert (len(found.triples), found.notes) == (FACES, ())
    each = found.corners[found.triples]
    volume = float(np.einsum("ij,ij->i", each[:, 0], np.cross(each[:, 1], each[:, 2])).sum() / 6)
    assert volume == pytest.approx(1000 * BALL.volume, rel=1e-5)  # ten times as large each way: cm; STL has floats


def half(name: str) -> bytes:
    data = KINDS[name]
    if name == "ball.obj":  # cut between two lines: nothing in the format says that more was to come
        lines = data.splitlines(keepends=True)
        return b"".join(lines[: len(lines) - FACES + FACES // 4])
    return data[: len(data) // 2]


@pytest.mark.parametrize(
    ("name", "line"),
    [
        ("binary.stl", "is cut short: 639 of 1280 triangles declared"),
        ("text.stl", r"is cut short or damaged: \d+ facets end, \d+ begin"),
        ("ball.obj", r"\d+ of 642 corners belong to no triangle: was the file cut short\?"),
        ("binary.ply", r"is cut short: \d+ bytes, \d+ or more declared"),
        ("text.ply", r"is cut short: \d+ of 1922 lines declared, \d+ of 1280 faces"),
    ],
)
def test_half_a_file_is_said_to_be_cut_short(tmp_path: Path, name: str, line: str) -> None:
    assert re.search(line, said(tmp_path, name, half(name)))


def test_an_obj_cut_within_a_line_says_so(tmp_path: Path) -> None:
    data = KINDS["ball.obj"]
    assert "its last line does not end" in said(tmp_path, "a.obj", data.rstrip()[:-1])
    within_face = data[: data.rindex(b"\nf ") + 5]
    assert "f, has not three values" in said(tmp_path, "b.obj", within_face)
    before_faces = data[: data.index(b"\nf ") + 1]
    assert said(tmp_path, "c.obj", before_faces) == "mesh = c.obj, has no triangles: a mesh"
    beyond = data + b"f 1 2 9999\n"
    assert "has corner 9999 of 642" in said(tmp_path, "d.obj", beyond)


def test_faces_of_many_corners_are_all_read(tmp_path: Path) -> None:
    path = tmp_path / "five.obj"
    ring = [(100 * np.cos(a), 100 * np.sin(a), 0.0) for a in np.arange(5) * 2 * np.pi / 5]
    path.write_text("".join(f"v {x} {y} {z}\n" for x, y, z in ring) + "f 1 2 3 4 5\n", "ascii")
    assert len(read(path, unit="mm", named="mesh").triples) == 3


def test_corners_that_are_no_numbers_are_counted_and_refused(tmp_path: Path) -> None:
    """A tenth of the triangles were dropped without a word before."""
    raw = bytearray(KINDS["binary.stl"])
    for number in range(0, FACES, 10):
        struct.pack_into("<f", raw, 84 + 50 * number + 12, float("nan"))
    assert "128 of 3840 corners are not finite numbers" in said(tmp_path, "nan.stl", bytes(raw))
    for name in ("text.stl", "ball.obj", "text.ply"):
        text = re.sub(rb"-?\d+\.\d{3,}", b"inf", KINDS[name], count=1)
        if name == "text.stl":
            text = re.sub(rb"vertex \S+", b"vertex nan", KINDS[name], count=1)
        assert re.search("1 of \\d+ corners are not finite numbers", said(tmp_path, name, text))


def test_triangle_strips_are_refused_by_name(tmp_path: Path) -> None:
    head = KINDS["text.ply"].split(b"element face")[0]
    strips = b"element tristrips 1\nproperty list int int vertex_indices\nend_header\n"
    body = KINDS["text.ply"].split(b"end_header\n")[1].splitlines(keepends=True)[:642]
    text = head + strips + b"".join(body) + b"4 0 1 2 3\n"
    assert "triangles as strips (tristrips)" in said(tmp_path, "strips.ply", text)


@pytest.mark.parametrize(
    ("factor", "unit", "line"),
    [
        (1e28, "mm", "reaches 1e+30 mm from the origin, must be within 100000 mm: is unit = mm right? No unit"),
        (
            1.0,
            "m",
            "reaches 1e+05 mm from the origin, must be within 100000 mm: is unit = m right? In mm or cm or in",
        ),
        (
            0.001,
            "mm",
            "is 0.346 mm across, must be 1 mm or more: is unit = mm right? In m it would be 346.4 mm across",
        ),
    ],
)
def test_a_size_that_cannot_be_meant_is_refused_with_the_likely_unit(
    tmp_path: Path, factor: float, unit: str, line: str
) -> None:
    ball = BALL.copy()
    ball.apply_translation((1e-3, 0, 0))
    ball.vertices *= factor
    assert line in said(tmp_path, "far.obj", ball.export(file_type="obj", digits=12).encode(), unit=unit)


def test_nothing_the_library_says_comes_out(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    text = KINDS["ball.obj"].replace(b"v ", b"mtllib none.mtl\nusemtl paint\nv ", 1)
    assert said(tmp_path, "a.obj", text) == ""
    said(tmp_path, "b.ply", KINDS["binary.ply"][:400] + b"\xff" * 50_000)
    assert capfd.readouterr() == ("", "")


def spoilt(rng: random.Random, data: bytes) -> bytes:
    """Cut, flipped, stuffed or wiped somewhere."""
    raw = bytearray(data)
    how = rng.choice(("cut", "bits", "zeros", "insert", "swap endings", "empty"))
    at = rng.randrange(len(raw))
    if how == "cut":
        return bytes(raw[:at])
    if how == "bits":
        for _ in range(rng.choice((1, 10, 200))):
            raw[rng.randrange(len(raw))] ^= 1 << rng.randrange(8)
    elif how == "zeros":
        raw[at : at + 2000] = bytes(len(raw[at : at + 2000]))
    elif how == "insert":
        raw[at:at] = rng.randbytes(rng.choice((1, 50, 3000)))
    elif how == "empty":
        return b"" if rng.random() < 0.5 else b"\n" * 3
    return bytes(raw)


def test_random_broken_files_end_in_one_line_or_are_read_whole(
    tmp_path: Path, rng: Callable[[int], random.Random], fuzz: int, capfd: pytest.CaptureFixture[str]
) -> None:
    refused = 0
    for n in range(fuzz):
        one = rng(n)
        name = one.choice(sorted(KINDS))
        ending = one.choice((".stl", ".obj", ".ply")) if one.random() < 0.1 else Path(name).suffix
        data = spoilt(one, KINDS[name])
        line = said(tmp_path, f"{n}{ending}", data)
        assert not line.startswith("not one line"), n
        refused += bool(line)
        if not line:
            found = read(tmp_path / f"{n}{ending}", unit="mm", named="mesh")
            assert FACES - len(found.triples) <= (2 if ending == ".obj" else 0), n  # an f may become a g, a group
    assert refused > 0
    out, err = capfd.readouterr()
    assert (out, err) == ("", "")


def test_a_scan_of_a_bay_is_put_in_order_once_and_anew_when_its_file_is_written_anew(tmp_path: Path) -> None:
    """What is typed of it is looked at too: the same file at another place is another body."""

    def box(high: float) -> None:
        trimesh.creation.box((40, 30, high)).export(tmp_path / "a.stl")

    def stands(at: str = "[0, 0, 0]") -> Body:
        text = f'format = 1\nkeep_out = [{{ name = "a", mesh = "a.stl", unit = "mm", at = {at} }}]\n'
        (tmp_path / "bay.toml").write_text(text, "utf-8")
        (thing,) = bay_bodies(placed_bay(bay_file.read(tmp_path / "bay.toml")))
        return thing.body

    box(20)
    first = stands()
    assert stands() is first
    assert stands("[5, 0, 0]").box[1].tolist() == pytest.approx([25, 15, 10])
    box(60)
    assert stands().box[1].tolist() == pytest.approx([20, 15, 30])
