"""What a fitted bay says where a scan leaves open whether a part is inside it: a stop everywhere it is read."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from brackets.app.cli.fit_view import fit_text
from brackets.app.preview.gap_rows import at_rest, when_moved
from brackets.bay.clear.scan_rules import open_scan_findings
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.output.bay_facts import record
from brackets.output.bay_lists import write_gaps

NOT_KNOWN = "inside not known"
BAY = """
format = 1
name = "cube"
[[keep_out]]
name = "engine"
side = "powertrain"
mesh = "engine.stl"
unit = "cm"
{more}
[[lump]]
name = "engine"
mass = 50
at = [0, 0, 0]
[powertrain]
moves = {{ up = 2 }}
[[part]]
name = "gusset"
recipe = "gusset"
side = "chassis"
at = [0, 0, {z}]
[[path]]
name = "gusset out"
part = "gusset"
legs = [[0, 0, {leg}]]
"""


def bay(folder: Path, *, more: str = "", z: float = 0.0, leg: float = 100.0, keep: str = "half") -> Path:
    cube = trimesh.creation.box((40, 40, 40))
    there = {"half": cube.face_normals.sum(axis=1) > 0, "all but one": np.arange(12) > 0}[keep]
    cube.update_faces(there)
    (folder / "engine.stl").write_bytes(cube.export(file_type="stl"))
    (folder / "bay.toml").write_text(BAY.format(more=more, z=z, leg=leg), "utf-8")
    return folder / "bay.toml"


@pytest.fixture(scope="module")
def half(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    return fit(read(bay(tmp_path_factory.mktemp("half"))))


def test_it_stops_at_rest_and_on_the_way_and_names_both(half: Fit) -> None:
    found = [f for f in half.findings if f.code == NOT_KNOWN]
    assert [f.level for f in found] == ["stop", "stop"]
    assert [f.piece for f in found] == ["gusset | engine", "gusset out"]
    assert all(set(f.about) == {"gusset", "engine"} for f in found)
    assert found[0].sentence == (
        "engine: open there, so that it cannot be told whether gusset is inside;"
        ' say scanned = "outside" or "inside" of it, or scan what is missing'
    )
    assert half.stops


def test_it_stands_in_the_table_the_json_the_csv_and_the_page(half: Fit, tmp_path: Path) -> None:
    text = fit_text(half, None)
    assert next(line for line in text.splitlines() if line.endswith("gusset | engine")).split()[:5] == [
        "?", "INSIDE?", "15", "INSIDE?", "5"
    ]  # fmt: skip
    assert "gusset out  NOT KNOWN" in text
    facts = record(half)
    note = half.pairs[0].note
    assert note
    assert facts["pairs"][0]["note"] == facts["moved"][0]["note"] == note
    assert facts["paths"][0]["notes"] == [{"pair": ["gusset", "engine"], "note": note}]
    write_gaps(half, tmp_path / "gaps.csv")
    rows = csv.DictReader((tmp_path / "gaps.csv").read_text("utf-8").splitlines())
    assert [row["note"] for row in rows] == [note]
    for table in (at_rest(half.pairs), when_moved(half.moved)):
        assert table["rows"][0]["level"] == "stop"
        assert "perhaps one inside the other" in table["rows"][0]["cells"]


def test_what_was_put_right_is_advice_and_a_file_that_looks_damaged_a_caution(half: Fit) -> None:
    [advice] = [f for f in half.findings if f.code == "scan file"]
    assert (advice.level, advice.piece, advice.about) == ("advice", "engine", ("engine",))
    assert advice.sentence == "open: 1 hole, the largest 693 mm across"
    [scan] = [t for t in half.things if t.name == "engine"]
    doubted = replace(scan, body=replace(scan.body, doubts=("was the file cut short?",)))
    found = list(open_scan_findings([doubted], (), (), ()))
    assert [(f.code, f.level, f.sentence) for f in found if f.level == "caution"] == [
        ("scan file", "caution", "was the file cut short?")
    ]


def test_a_movement_alone_that_leaves_it_open_stops_too(half: Fit) -> None:
    found = [f for f in open_scan_findings(half.things, (), half.moved, ()) if f.code == NOT_KNOWN]
    assert [(f.level, f.sentence.split(":")[0]) for f in found] == [("stop", "when moved")]


@pytest.mark.parametrize(
    ("more", "keep", "state"),
    [
        ('scanned = "outside"', "half", "inside"),
        ('scanned = "inside"', "half", "clear"),
        ("", "all but one", "inside"),
    ],
)
def test_the_side_that_was_scanned_or_a_scan_nearly_whole_decides(
    tmp_path: Path, more: str, keep: str, state: str
) -> None:
    from brackets.bay.clear.pairs import pairs
    from brackets.bay.stand.bodies import bay_bodies
    from brackets.bay.stand.placed import placed_bay

    where = read(bay(tmp_path, more=more, keep=keep))
    found = pairs(where, bay_bodies(placed_bay(where)))
    assert [(p.state, p.note, p.stops) for p in found] == [(state, "", state == "inside")]


def test_scanned_is_of_a_mesh_only_and_one_of_two_words(tmp_path: Path) -> None:
    from brackets.core.errors import BadFile

    path = bay(tmp_path, more='scanned = "above"')
    with pytest.raises(BadFile, match='scanned = "above", must be one of outside, inside'):
        read(path)
    text = path.read_text("utf-8").replace(
        'mesh = "engine.stl"\nunit = "cm"', "box = { from = [0,0,0], to = [1,1,1] }"
    )
    path.write_text(text.replace("above", "inside"), "utf-8")
    with pytest.raises(BadFile, match="scanned = inside, only with a mesh"):
        read(path)
