"""The list of formats: a new entry is written, listed in facts, help and README, by every command it is for."""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_args
from xml.etree import ElementTree

import ezdxf
import openpyxl
import pytest
import trimesh
from pypdf import PdfReader

from brackets.app.cli.app import command, main
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.output import bay_files, facts, formats
from brackets.output.formats import CALLED, COMMANDS, FORMATS, Format, Subject

README = Path(__file__).resolve().parent.parent / "README.md"


def _note(thing: Any, path: Path) -> None:
    path.write_text(f"{type(thing).__name__}\n", "utf-8")


NOTES = {
    "part": ("note", "", "Part"),
    "paper": ("paper", "", "Sheets"),
    "blank": ("blank", "", "Drawing"),
    "tubes": ("tubes", "", "CutTable"),
    "plate": ("plate", "", "Drawing"),
    "bay": ("note", "weighed", "Fit"),
}
"""A made-up format of each thing there is: suffix, a name of its own, what its writer must be given."""


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Format, ...]]:
    extra = tuple(
        Format(name=f"MADE UP {suffix}", suffix=suffix, of=of, stem=stem, holds=f"a note of the {of}", write=_note)
        for of, (suffix, stem, _) in NOTES.items()
    )
    monkeypatch.setattr(formats, "FORMATS", (*extra, *FORMATS))
    command.cache_clear()  # its help has the formats there are
    yield extra
    command.cache_clear()


def notes(folder: Path) -> dict[str, str]:
    """What the made-up formats wrote in a folder, and that its facts list it with its sum and format."""
    said = json.loads((folder / facts.NAME).read_text("utf-8"))
    assert {path.name for path in folder.iterdir()} == set(said["files"]) == set(said["formats"])
    found = {name for name in said["files"] if said["formats"][name].startswith("MADE UP")}
    assert found <= set(said["sha256"])
    return {name: (folder / name).read_text("utf-8").strip() for name in found}


def test_make_writes_a_made_up_format_of_part_paper_blanks_and_tubes(
    made_up: tuple[Format, ...], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["make", "strut", "--into", str(tmp_path / "strut"), "--json"]) == 0
    assert notes(tmp_path / "strut") == {
        "strut.note": "Part",
        "strut.paper": "Sheets",
        "strut-tube-start.blank": "Drawing",
        "strut-tube-end.blank": "Drawing",
        "strut-tubes.tubes": "CutTable",
    }
    said = json.loads(capsys.readouterr().out)
    assert said["formats"]["strut.note"] == "MADE UP note"
    assert said["formats"]["strut.step"] == "STEP"


def test_flat_writes_a_made_up_format_of_paper_and_plate(made_up: tuple[Format, ...], tmp_path: Path) -> None:
    assert main(["flat", "gusset", "--into", str(tmp_path / "flat")]) == 0
    found = notes(tmp_path / "flat")
    assert sorted(found.values()) == ["Drawing", "Sheets"]
    assert {Path(name).suffix for name in found} == {".paper", ".plate"}


BAY = """
format = 1
name = "noted"
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [-50, -50, 400], to = [50, 50, 500] }
[[lump]]
name = "engine"
mass = 50
at = [0, 0, 450]
[[part]]
name = "weighed"
recipe = "gusset"
side = "chassis"
at = [0, 0, 0]
"""


def test_fit_writes_a_made_up_format_of_parts_and_of_the_bay(made_up: tuple[Format, ...], tmp_path: Path) -> None:
    """Whose name no part may take."""
    (tmp_path / "bay.toml").write_text(BAY, "utf-8")
    bay_files.write(fit(read(tmp_path / "bay.toml")), tmp_path / "out")
    assert notes(tmp_path / "out") == {
        "weighed.note": "Fit",
        "weighed-2.note": "Part",
        "weighed-2.paper": "Sheets",
        "weighed-2-plate.blank": "Drawing",
    }


@pytest.mark.parametrize("command", COMMANDS)
def test_help_says_what_a_command_writes(
    command: str, made_up: tuple[Format, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, "--help"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    for one in formats.FORMATS:
        assert (f"{one.name} ({one.holds})" in told) == (one.of in COMMANDS[command])


@pytest.mark.checkout
def test_the_readme_has_the_list() -> None:
    assert f"<!-- formats -->\n{formats.listed()}\n\n" in README.read_text("utf-8")


def _dxf(path: Path) -> bool:
    return len(ezdxf.readfile(path).modelspace()) > 0


def _csv(path: Path) -> bool:
    rows = list(csv.reader(path.read_text("utf-8-sig").splitlines()))
    return all(rows[0]) and len({len(row) for row in rows}) == 1


HUNG = """format = 1
name = "hung"
lump = [{ name = "engine", mass = 80, at = [0, 0, 300], size = [300, 300, 400] }]
mount = [{ name = "left", bush = "R60", at = [0, 250, 200], axis = [1, 0, 0] },
  { name = "right", bush = "R60", at = [0, -250, 200], axis = [1, 0, 0] },
  { name = "rear", bush = "R60", at = [-400, 0, 200], axis = [1, 0, 0] }]
"""

READERS: dict[tuple[str, Subject], Callable[[Path], bool]] = {
    ("STEP", "part"): lambda path: len(trimesh.load(path).geometry) > 0,  # read by cascadio
    ("STEP", "bay"): lambda path: len(trimesh.load(path).geometry) > 0,
    ("STL", "part"): lambda path: trimesh.load(path).is_watertight,
    ("STL", "printed"): lambda path: trimesh.load(path).is_watertight,
    ("3MF", "part"): lambda path: all(one.is_watertight for one in trimesh.load(path).geometry.values()),
    ("3MF", "bay"): lambda path: all(one.is_watertight for one in trimesh.load(path).geometry.values()),
    ("GLB", "part"): lambda path: len(trimesh.load(path).geometry) > 0,
    ("GLB", "bay"): lambda path: len(trimesh.load(path).geometry) > 0,
    ("3MF", "bed"): lambda path: all(one.is_watertight for one in trimesh.load(path).geometry.values()),
    ("HTML", "beds"): lambda path: "<!doctype html" in path.read_text("utf-8").lower(),
    ("PDF", "paper"): lambda path: len(PdfReader(path).pages) > 0,
    ("DXF", "blank"): _dxf,
    ("DXF", "plate"): _dxf,
    ("SVG", "chart"): lambda path: ElementTree.parse(path).getroot().tag.endswith("svg"),
    ("SVG", "plate"): lambda path: ElementTree.parse(path).getroot().tag.endswith("svg"),
    ("SVG", "blank"): lambda path: ElementTree.parse(path).getroot().tag.endswith("svg"),
    ("CSV", "tubes"): _csv,
    ("CSV", "bay"): _csv,
    ("XLSX", "tubes"): lambda path: all(sheet["A1"].value for sheet in openpyxl.load_workbook(path)),
    ("XLSX", "bay"): lambda path: all(sheet["A1"].value for sheet in openpyxl.load_workbook(path)),
    ("JSON", "facts"): lambda path: json.loads(path.read_text("utf-8"))["format"] == 1,
}
"""Somebody else's reader of every format, by what its files are of."""


def test_every_format_is_read_by_somebody_elses_reader_and_comes_out_the_same_twice(tmp_path: Path) -> None:
    bay = BAY.replace('recipe = "gusset"', 'recipe = "strut"')
    (tmp_path / "bay.toml").write_text(bay, "utf-8")
    (tmp_path / "hung.toml").write_text(HUNG, "utf-8")
    found = fit(read(tmp_path / "bay.toml"))
    for run in ("one", "two"):
        bay_files.write(found, tmp_path / "fit" / run)
        assert main(["flat", "gusset", "--into", str(tmp_path / "flat" / run)]) == 0
        assert main(["mockup", "gusset", "--into", str(tmp_path / "mockup" / run)]) == 0
        assert main(["hang", str(tmp_path / "hung.toml"), "--into", str(tmp_path / "hang" / run)]) == 0
    met = set()
    for path in sorted(tmp_path.glob("*/one/*")):
        of = next(one for one in FORMATS if _is_of(one, path))
        assert READERS[of.name, of.of](path), path.name
        assert path.read_bytes() == (path.parent.parent / "two" / path.name).read_bytes()
        met.add((of.name, of.of))
    assert met == set(READERS) == {(one.name, one.of) for one in FORMATS}


def _is_of(one: Format, path: Path) -> bool:
    """Whether a file of this run is of that format: by its ending, its own stem, and the verb that wrote it."""
    if (path.parts[-3] == "mockup") != (one.of in ("bed", "printed", "beds")) and one.of != "facts":
        return False
    if (path.parts[-3] == "hang") != (one.of == "chart") and one.of not in ("facts", "paper"):
        return False
    plate = path.parts[-3] == "flat" and one.suffix in ("dxf", "svg")
    if path.suffix != f".{one.suffix}" or (one.of == "plate") != plate:
        return False
    own = [other.stem for other in FORMATS if other.stem and other.suffix == one.suffix]
    return path.stem == one.stem if one.stem else path.stem not in own


def test_no_two_formats_write_one_file() -> None:
    """And the facts come last and alone, since they hold the sums of the others."""
    files = Counter((one.stem or CALLED[one.of], one.suffix) for one in FORMATS)
    assert [name for name, count in files.items() if count > 1] == []
    assert [one.of for one in FORMATS].index("facts") == len(FORMATS) - 1
    assert f"{FORMATS[-1].stem}.{FORMATS[-1].suffix}" == facts.NAME
    kinds = {of for command in COMMANDS.values() for of in command}
    assert {one.of for one in FORMATS} == set(get_args(Subject)) == kinds


def test_facts_say_the_program_and_the_sum_of_every_file_that_was_read(tmp_path: Path) -> None:
    """A bay with a recipe of its own in a folder beside it; shipped recipes are the program's own."""
    from hashlib import sha256

    import brackets

    (tmp_path / "ours").mkdir()
    for name, text in (("ours/tab.py", TAB), ("bay.toml", BAY.replace('"gusset"', '"ours/tab.py"'))):
        (tmp_path / name).write_text(text, "utf-8")
    assert main(["fit", str(tmp_path / "bay.toml"), "--into", str(tmp_path / "out")]) in (0, 1)
    said = json.loads((tmp_path / "out" / facts.NAME).read_text("utf-8"))
    assert said["program"] == {"name": "brackets", "version": brackets.__version__}
    names = ("bay.toml", "ours/tab.py")
    assert said["inputs_sha256"] == {name: sha256((tmp_path / name).read_bytes()).hexdigest() for name in names}
    facts.write({}, tmp_path / "alone.json")
    assert json.loads((tmp_path / "alone.json").read_text("utf-8"))["inputs_sha256"] is None


TAB = '''
from dataclasses import dataclass
from typing import Annotated
from brackets import Checked, Part, mm, plate, rectangle

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    width: Annotated[float, mm(10, 90, "width")] = 40.0

def build(p: Params) -> Part:
    return Part(name="tab", pieces=(plate(rectangle(p.width, 20), 5, name="tab"),))
'''


def test_a_bay_among_the_shipped_recipes_is_an_input_and_the_recipes_are_not() -> None:
    """Told by the folder alone, the shipped bay's facts named no file at all."""
    from brackets.app.cli.kept_run import users_own
    from brackets.library.recipe import shipped

    bay, own, ours = str(shipped() / "tern.toml"), str(shipped() / "cup.py"), "/elsewhere/cup.py"
    assert users_own(((bay, "1"), (own, "2"), (ours, "3"))) == ((bay, "1"), (ours, "3"))
