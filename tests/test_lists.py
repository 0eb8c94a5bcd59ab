"""The lists that `make` and `fit` write, read by others: openpyxl and csv, with commas and with semicolons."""

from __future__ import annotations

import csv
import json
import math
import re
import zipfile
from hashlib import sha256
from pathlib import Path

import openpyxl
import pytest
import trimesh
from test_write_step import materials

from brackets.app.cli.app import main
from brackets.library.recipe import shipped


def of_csv(path: Path, delimiter: str = ",") -> list[list[str]]:
    with path.open(encoding="utf-8-sig", newline="") as given:
        return list(csv.reader(given, delimiter=delimiter))


def of_book(path: Path, name: str) -> list[list[object]]:
    return [list(row) for row in openpyxl.load_workbook(path)[name].iter_rows(values_only=True)]


def same(cells: list[list[str]], book: list[list[object]]) -> bool:
    """Heading and rows: words as words, figures as numbers to what the CSV says."""
    if cells[0] != book[0] or len(cells) != len(book):
        return False
    for texts, values in zip(cells[1:], book[1:], strict=True):
        for text, value in zip(texts, values, strict=True):
            if isinstance(value, int | float):
                if abs(float(text) - value) > 5.1e-5:
                    return False
            elif text != (value or ""):
                return False
    return True


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bay's lists with commas, and with semicolons."""
    folder = tmp_path_factory.mktemp("shelf")
    for name, more in (("comma", []), ("semicolon", ["--semicolons"])):
        assert main(["fit", str(shipped() / "shelf.toml"), "--into", str(folder / name), *more]) in (0, 1)
    return folder


def test_the_cut_table_of_tubes_is_a_workbook_too(tmp_path: Path) -> None:
    """Eyes hypot(260, 28) apart, a tube of 25 coped to 48 at both: sqrt(24^2 - 12.5^2) less at each."""
    assert main(["make", "link", "--into", str(tmp_path / "link")]) in (0, 1)
    cells = of_csv(tmp_path / "link" / "link-tubes.csv")
    book = of_book(tmp_path / "link" / "link-tubes.xlsx", "tubes")
    assert same(cells, book)
    long = cells[0].index("long_mm")
    assert isinstance(book[1][long], float)
    assert book[1][long] == pytest.approx(math.hypot(260, 28) - 2 * math.sqrt(24**2 - 12.5**2), abs=1e-4)


def test_every_list_of_a_bay_is_a_sheet_of_its_workbook(shelf: Path) -> None:
    listed = sorted((shelf / "comma").glob("*.csv"))
    assert {one.name for one in listed} >= {"gaps.csv", "buy.csv", "cut.csv"}
    for one in listed:
        if one.stem.endswith("-tubes"):
            assert same(of_csv(one), of_book(one.with_suffix(".xlsx"), "tubes"))
        else:
            assert same(of_csv(one), of_book(shelf / "comma" / "lists.xlsx", one.stem)), one.name


def test_semicolons_and_a_byte_order_mark_by_one_option(shelf: Path, tmp_path: Path) -> None:
    """The cells are the same, and the sums in facts.json are of the files as they are."""
    folders = [shelf / "semicolon"]
    assert main(["make", "link", "--semicolons", "--into", str(tmp_path / "link")]) in (0, 1)
    folders.append(tmp_path / "link")
    for folder in folders:
        sums = json.loads((folder / "facts.json").read_text("utf-8"))["sha256"]
        found = sorted(folder.glob("*.csv"))
        assert found
        for one in found:
            assert one.read_bytes().startswith(b"\xef\xbb\xbf")
            assert sums[one.name] == sha256(one.read_bytes()).hexdigest()
    for one in (shelf / "semicolon").glob("*.csv"):
        plain = shelf / "comma" / one.name
        assert not plain.read_bytes().startswith(b"\xef\xbb\xbf")
        assert of_csv(one, ";") == of_csv(plain)


def test_every_piece_of_a_bay_has_its_material_in_step_glb_and_3mf(shelf: Path) -> None:
    """Read by the kernel and by trimesh; bolts and nuts have a property class and no material."""
    said = json.loads((shelf / "comma" / "facts.json").read_text("utf-8"))
    assert [(part["name"], [piece["name"] for piece in part["pieces"]]) for part in said["parts"]] == [
        ("tray", ["tray"])
    ]
    wanted = {"tray": said["parts"][0]["pieces"][0]["material"]}
    known, found = materials(shelf / "comma" / "assembly.step")
    assert set(wanted) <= set(found)
    assert all(found[name] == pytest.approx(known[of]) for name, of in wanted.items())
    scene = trimesh.load(shelf / "comma" / "assembly.glb")
    named = {node: scene.geometry[scene.graph[node][1]].visual.material.name for node in scene.graph.nodes_geometry}
    assert {f"tray/{name}": of for name, of in wanted.items()}.items() <= named.items()
    with zipfile.ZipFile(shelf / "comma" / "assembly.3mf") as given:
        model = given.read("3D/3dmodel.model").decode()
    for name, of in wanted.items():
        [told] = re.findall(rf'<object [^>]*name="tray/{re.escape(name)}"[^>]*>', model)
        [(group, index)] = re.findall(r'pid="(\d+)" pindex="(\d+)"', told)
        bases = re.findall(rf'<basematerials id="{group}".*?</basematerials>', model, re.DOTALL)
        assert re.findall(r'<base name="([^"]*)"', bases[0])[int(index)] == of
