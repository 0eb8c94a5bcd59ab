"""Stations as written: paper measured by another reader, cut files read back, the command, a bay's bosses."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import cadquery as cq
import ezdxf
import numpy as np
import pytest
import trimesh
from pypdf import PdfReader
from test_paper import strokes

from brackets import InputError, Stations, body, default_shop, stations, write_stations
from brackets.app.cli.app import main
from brackets.drawing.boards import on_board
from brackets.drawing.nest import GAP
from brackets.drawing.stations import FIT_CHECK
from brackets.mockups.stations_source import station_source

BAY = """format = 1
name = "two boxes"
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [-200, -50, 100], to = [-80, 70, 300] }
pos = 2
[[keep_out]]
name = "gearbox"
side = "powertrain"
box = { from = [-80, -30, 100], to = [20, 50, 200] }
[[keep_out]]
name = "rail"
box = { from = [-300, 200, 0], to = [100, 240, 40] }
[powertrain]
place = { at = [0, 0, 5] }
[[boss]]
name = "F1"                      # on the gearbox's front, along x
at = [20, 30, 180]
normal = [1, 0, 0]
thread = "M10"
[[boss]]
name = "S1"                      # on the engine's left side
at = [-105, 70, 250]
normal = [0, 1, 0]
"""


@pytest.fixture
def bay(tmp_path: Path) -> Path:
    path = tmp_path / "boxes.toml"
    path.write_text(BAY, "utf-8")
    return path


@pytest.fixture(scope="module")
def cone() -> Stations:
    return stations(body(cq.Solid.makeCone(60, 40, 100), name="cone", tolerance=0.01), axis="z", pitch=20)


def test_every_station_is_on_paper_at_true_size(cone: Stations, tmp_path: Path) -> None:
    files = write_stations(cone, tmp_path / "cone")
    assert files == ("cone-stations.pdf", "cone-board-1.dxf", "cone-board-1.svg", "facts.json")
    pages = PdfReader(tmp_path / "cone" / files[0]).pages
    texts = [page.extract_text() for page in pages]
    for text in texts:
        assert FIT_CHECK in text
        assert "100 mm must read 99.8 to 100.2" in text
        assert cone.hash in text
        assert "scale 1:1" in text or "facts" in text
    for one in cone.stations:
        (on,) = (n for n, text in enumerate(texts) if f"cone: station {one.number}\n" in text)
        (piece,) = one.pieces
        wanted = np.array(piece.rings[0])
        found = [np.array(path) for path in strokes(pages[on]) if len(path) == len(wanted) + 1]
        off = [np.abs((path[:-1] - path[0]) - (wanted - wanted[0])).max() for path in found]
        assert min(off) < 1e-3
        # each dowel's hole: its centre from the outline's first corner, and its radius
        (outline,) = (path for path, far in zip(found, off, strict=True) if far < 1e-3)
        for hole in piece.holes:
            centre = outline[0] + np.array(hole.at) - wanted[0]
            circles = [np.array(path) for path in strokes(pages[on]) if len(path) == 1 + 3 * 8]
            assert any(
                abs(np.linalg.norm(path[::3] - centre, axis=1) - hole.d / 2).max() < 1e-3 for path in circles
            )


def test_the_printers_correction_is_on_the_paper_and_not_in_the_cut_files(cone: Stations, tmp_path: Path) -> None:
    plain, wide = tmp_path / "plain", tmp_path / "wide"
    write_stations(cone, plain)
    write_stations(cone, wide, shop=replace(default_shop(), bars=(98.0, 100.0)), paper="A3")
    long = []
    for folder in (plain, wide):
        page = PdfReader(folder / "cone-stations.pdf").pages[-1]
        paths = [np.array(path) for path in strokes(page) if len(path) > 50]
        long.append(max(np.ptp(path[:, 0]) for path in paths))
    assert long[1] / long[0] == pytest.approx(100 / 98, rel=1e-6)
    assert (plain / "cone-board-1.dxf").read_bytes() == (wide / "cone-board-1.dxf").read_bytes()


def test_a_boards_cut_files_hold_every_piece_where_it_lies(cone: Stations, tmp_path: Path) -> None:
    write_stations(cone, tmp_path / "cone")
    (board,) = cone.boards
    doc = ezdxf.readfile(tmp_path / "cone" / "cone-board-1.dxf")
    assert doc.units == 4
    space = doc.modelspace()
    lines = [np.array(line.get_points("xy")) for line in space.query('LWPOLYLINE[layer=="CUT"]')]
    circles = [(tuple(c.dxf.center)[:2], c.dxf.radius) for c in space.query('CIRCLE[layer=="CUT"]')]
    assert len(lines) == len(board.pieces) == 5
    for (piece, at, turned), line in zip(board.pieces, lines, strict=True):
        there = on_board(piece, at, turned)
        assert np.allclose(line, np.array(there.rings[0]), atol=1e-9)
        u0, v0, u1, v1 = there.bounds
        assert min(u0, v0) >= GAP - 1e-9
        assert u1 <= 1000 - GAP + 1e-9
        assert v1 <= 500 - GAP + 1e-9
        for hole in there.holes:
            assert any(math.dist(c, hole.at) < 1e-9 and r == hole.d / 2 for c, r in circles)
    assert len(circles) == 5 * 3
    boxes = [on_board(*one).bounds for one in board.pieces]
    for n, a in enumerate(boxes):
        for b in boxes[n + 1 :]:
            assert a[2] + GAP <= b[0] + 1e-9 or b[2] + GAP <= a[0] + 1e-9 or a[3] + GAP <= b[1] + 1e-9 or (
                b[3] + GAP <= a[1] + 1e-9
            )
    words = [text.dxf.text for text in space.query("TEXT")]
    assert {"1", "2", "3", "4", "5"} <= set(words)
    assert any(word.startswith(FIT_CHECK) and cone.hash in word for word in words)
    assert "1: lines at y 0 and x 0" in words
    svg = ElementTree.parse(tmp_path / "cone" / "cone-board-1.svg").getroot()
    cuts = svg.findall(".//{*}g[@id='cut']/{*}path")
    assert len(cuts) == 5 + 15
    x = [float(v) for v in re.findall(r"[ML] (\S+) ", cuts[0].get("d") or "")]
    first = board.pieces[0][0].bounds
    assert max(x) - min(x) == pytest.approx(max(first[2] - first[0], first[3] - first[1]), abs=1e-4)


def test_the_same_stations_give_the_same_bytes(tmp_path: Path) -> None:
    def made(folder: Path) -> dict[str, bytes]:
        thing = body(cq.Solid.makeCone(60, 40, 100).fuse(cq.Solid.makeBox(90, 20, 30)), name="thing")
        write_stations(stations(thing, axis="y", pitch=15, hollow=20, true_at="outside"), folder)
        return {path.name: path.read_bytes() for path in folder.iterdir()}

    one, other = made(tmp_path / "one"), made(tmp_path / "other")
    assert one == other
    assert len(one) == 4


def test_nothing_is_written_of_a_torn_scan(tmp_path: Path) -> None:
    box = trimesh.creation.box([90, 60, 120])
    found = stations(body((box.vertices, box.faces[1:]), name="box"))
    assert write_stations(found, tmp_path / "torn") == ()
    assert not (tmp_path / "torn").exists()


def test_a_bays_powertrain_is_cut_where_it_stands_with_its_bosses(bay: Path) -> None:
    found = stations(bay, pitch=20)
    assert (found.stations[0].low, found.stations[-1].high) == (-200, 20)
    assert [piece.area for one in found.stations for piece in one.pieces] == pytest.approx(
        [120 * 200] * 6 + [80 * 100] * 5
    )
    assert found.stations[0].pieces[0].bounds == pytest.approx((-50, 105, 70, 305))  # y, z; raised by 5
    marks = {b.name: (one.number, b.at, b.d) for one in found.stations for p in one.pieces for b in p.bosses}
    assert marks == {"F1": (11, (30.0, 185.0), 10.0), "S1": (5, (70.0, 255.0), None)}
    assert "How well they are known, mm either way: engine within 2." in found.notes
    only = stations(bay, of=["gearbox"], pitch=20)
    assert len(only.stations) == 5
    assert only.name == "gearbox"
    rail = stations(bay, side="chassis", axis="y", pitch=20)
    assert [piece.area for one in rail.stations for piece in one.pieces] == pytest.approx([400 * 40] * 2)
    assert not any(piece.bosses for one in rail.stations for piece in one.pieces)


def test_what_is_cut_must_be_there_and_said_once(bay: Path) -> None:
    for of, side, unit, said in (
        (["engin"], None, None, ["of = engin, must be a keep-out of boxes.toml; nearest: engine"]),
        (["engine", "engine"], None, None, ["of = engine,engine, each name once"]),
        (["engine"], "chassis", "mm", [
            "unit = mm, must not be given: boxes.toml says its own",
            "side = chassis, must not be given with of = engine: one or the other",
        ]),
        ([], "left", None, ["side = left, must be chassis or powertrain"]),
    ):  # fmt: skip
        with pytest.raises(InputError) as told:
            station_source(bay, of=of, side=side, unit=unit)
        assert list(told.value.problems) == said
    for name, unit, line in (
        ("scan.stl", None, "unit = nothing, must be mm, cm, m, in: of the numbers in scan.stl"),
        ("scan.stl", "yd", "unit = yd, must be mm, cm, m, in: of the numbers in scan.stl"),
        ("scan.stl", "mm", "no such file"),
        ("thing.dwg", None, "file = thing.dwg, must end in .toml, .stl, .obj, .ply, .step, .stp"),
    ):
        with pytest.raises(InputError, match=re.escape(line)):
            station_source(bay.parent / name, unit=unit)
    with pytest.raises(InputError, match=r"of = engine, must not be given: scan\.stl is one body"):
        station_source(bay.parent / "scan.stl", of=["engine"], unit="mm")


def test_the_command_cuts_a_bay(
    bay: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "110")
    into = bay.parent / "foam"
    asked = ["stations", str(bay), "--of", "engine,gearbox", "--pitch", "25", "--hollow", "30", "--into", str(into)]
    assert main(asked) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "stack 9 stations of 25 mm along x, 225.0 mm high" in said
    assert "dowels 2 of 8 x 225 mm through 1 to 9: P at y -17, z 118; Q at y 37, z 192" in said
    assert "boards 1 of 1000 x 500 mm" in said
    assert said.endswith("FIT CHECK ONLY: NEVER LOAD.")
    names = sorted(path.name for path in into.iterdir())
    assert names == [
        "engine-and-gearbox-board-1.dxf", "engine-and-gearbox-board-1.svg", "engine-and-gearbox-stations.pdf",
        "facts.json",
    ]  # fmt: skip
    assert main([*asked, "--json", "--no-files"]) == 0
    told = json.loads(capsys.readouterr().out)
    facts = json.loads((into / "facts.json").read_text("utf-8"))
    assert told["hash"] == facts["hash"]
    assert facts["height_mm"] == 225
    assert facts["asked"]["hollow"] == 30
    assert [one["faces_mm"] for one in facts["stations"]][:2] == [[-200, -175], [-175, -150]]
    assert facts["coordinates"] == ["y", "z"]
    assert all(
        len(piece["holes"]) == 3 for one in facts["stations"] for piece in one["pieces"]
    )
    assert set(facts["sha256"]) == set(names) - {"facts.json"}


def test_the_command_refuses_a_torn_scan_with_every_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "110")
    monkeypatch.chdir(tmp_path)
    box = trimesh.creation.box([90, 60, 120]).subdivide()
    faces = np.delete(np.asarray(box.faces), [0, 30], axis=0)
    trimesh.Trimesh(box.vertices, faces, process=False).export("box.stl")
    assert main(["stations", "box.stl", "--unit", "mm"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert said.startswith("box: not cut STOP: do not cut: 2 stops")
    assert len(re.findall(r"hole [\d.]+ mm across at \(", said)) == 2
    assert not Path("out").exists()
    assert main(["stations", "box.stl", "--unit", "mm", "--close-holes", "80"]) == 0
    assert Path("out", "box_stations", "box-stations.pdf").exists()
    capsys.readouterr()
    wrong = ["stations", "box.stl", "--pitch", "0", "--axis", "q", "--paper", "A9"]
    assert main(wrong) == 2
    lines = capsys.readouterr().err.splitlines()
    assert [line.split(" = ")[0] for line in lines] == ["--axis", "--pitch", "--unit", "--paper"]


@pytest.mark.checkout
def test_a_stack_of_foam_for_tern_holds_its_powertrain(tmp_path: Path) -> None:
    """The shipped demo, coarse: engine, gearbox, sprocket and a bent exhaust, several pieces a station."""
    tern = Path(__file__).resolve().parents[1] / "recipes" / "tern.toml"
    found = stations(tern, axis="y", pitch=50, true_at="outside")
    assert found.name == "tern powertrain"
    assert not found.stops
    assert [one.number for one in found.stations] == list(range(1, len(found.stations) + 1))
    for one, after in pairwise(found.stations):
        assert after.low == pytest.approx(one.high)
    names = {boss.name for one in found.stations for piece in one.pieces for boss in piece.bosses}
    assert names == {"T1", "T2", "T3", "T4", "E1", "E2", "E3", "L1", "L2"}
    assert sum(len(board.pieces) for board in found.boards) == sum(len(one.pieces) for one in found.stations)
