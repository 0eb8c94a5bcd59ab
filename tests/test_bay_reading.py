"""Bay files read and built: units, and one clear line for everything that is wrong in one, with nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest

from brackets.app.cli.app import main
from brackets.bay.file import of_table, read
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedPart
from brackets.core.errors import BadFile
from brackets.core.schema.reading import values
from brackets.core.tables.data_files import toml_rows

TOP = """
format = 1
name = "Invented"
"""

RAIL = """
[[keep_out]]
name = "rail"
tube = { from = [-100, 0, 0], to = [300, 0, 0], od = 42.4 }
"""

BOX = """
[[keep_out]]
name = "box"
box = { from = [0, 0, 0], to = [10, 20, 30] }
"""

MOUNT = """
[[mount]]
name = "left"
bush = "R"
at = [100, 0, 80]
axis = [1, 0, 0]
[mount.chassis]
part = "left_ears"
onto = "rail"
"""

BUSH = """
[[bush]]
name = "R"
kind = "bonded rubber"
od = 50
shell_length = 40
sleeve_od = 18
sleeve_bore = 12.2
sleeve_length = 52
bolt = "M12"
rubber = { inner_r = 9, outer_r = 23.5, length = 38, hardness = 40 }
stiffness = { radial = 380, axial = 108, torsion = 20300, known = "invented" }
dynamic = 1.3
travel = { radial = 5, axial = 5 }
load = 2600
heat = 80
mass = 0.27
"""

EARS = """
[[part]]
name = "left_ears"
recipe = "ears"
t = 6
inside = 52.5
ear_r = 26
back = false
seat = "round"
"""

MOUNTED = TOP + RAIL + BUSH + MOUNT + EARS

GUSSET = """
[[part]]
name = "web"
recipe = "gusset"
at = [0, 0, 200]
"""

RAISES = '"""A recipe of our own."""\nraise ValueError("no luck")\n'

NO_BUILD = '''"""A recipe of our own."""
from dataclasses import dataclass
from brackets import Checked

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    pass

def check(p):
    return ()
'''


def bay_file(folder: Path, text: str) -> Path:
    path = folder / "bay.toml"
    path.write_text(text, "utf-8")
    return path


def problems(folder: Path, text: str) -> tuple[str, ...]:
    """What is said of a bay file by whoever refuses it first: its reader, its builder, or its bodies."""
    path = bay_file(folder, text)
    with pytest.raises(BadFile) as caught:
        bay_bodies(placed_bay(read(path)))
    lines = str(caught.value).splitlines()
    assert all(line.startswith(f"{path}: ") for line in lines)
    return tuple(line.removeprefix(f"{path}: ") for line in lines)


def box(line: str) -> str:
    return f'[[keep_out]]\nname = "crate"\n{line}\n'


WRONG: dict[str, tuple[str, list[str]]] = {
    "no format": ('name = "x"', ["format = nothing, must be 1: the format of a bay file"]),
    "newer format": (
        "format = 2",
        ["format = 2, must be 1: the format of a bay file: written for a newer version"],
    ),
    "format in quotes": ('format = "1"', ['format = "1", must be 1']),
    "syntax": (TOP + "[[keep_out]\n", ["is not TOML: "]),
    "key twice": (TOP + 'name = "again"\n', ["is not TOML: "]),
    "unit of the file": (TOP + 'unit = "ft"\n', ['unit = "ft", must be "mm" or "in": unit of bare numbers']),
    "top key": (TOP + "[[keepout]]\nname = 1\n", ["keepout: no such key, nearest: keep_out"]),
    "key of a row": (
        TOP + box("box = { from = [0,0,0], to = [1,1,1] }\nsidee = 'chassis'"),
        ["keep_out crate: sidee: no such value, nearest: side"],
    ),
    "inner key": (
        TOP + box("tube = { from = [0,0,0], to = [1,0,0], odd = 3, od = 4 }"),
        ["keep_out crate: tube_odd: no such value, nearest: tube_od"],
    ),
    "no name": (TOP + "[[keep_out]]\nbox = { from = [0,0,0], to = [1,1,1] }\n", ["keep_out 1: name"]),
    "not a table": (TOP + "gap = 3\n", ["gap = 3, must be a table: [gap]"]),
    "not a list": (TOP + "[boss]\nname = 'a'\n", ["boss = {'name': 'a'}, must be a list of tables: [[boss]]"]),
    "wrong unit": (
        TOP + box("tube = { from = [0,0,0], to = [1,0,0], od = '12 kg' }"),
        ['keep_out crate: tube_od = "12 kg", must be a length'],
    ),
    "bare fraction": (
        TOP + box("tube = { from = [0,0,0], to = [1,0,0], od = '5/16' }"),
        ['keep_out crate: tube_od = "5/16": a bare fraction, write 5/16in if'],
    ),
    "nan": (TOP + box("tube = { from = [0,0,0], to = [1,0,0], od = nan }"), ["keep_out crate: tube_od = nan"]),
    "infinite corner": (TOP + box("box = { from = [0,0,0], to = [1,inf,1] }"), ["keep_out crate: box_to"]),
    "negative wall": (
        TOP + box("tube = { from = [0,0,0], to = [1,0,0], od = 30, wall = -2 }"),
        ["keep_out crate: tube_wall = -2 mm, must be 0.2 to 100 mm"],
    ),
    "wall over half": (
        TOP + box("tube = { from = [0,0,0], to = [1,0,0], od = 30, wall = 15 }"),
        ["keep_out crate: tube_wall = 15 mm, below 15: half the outside"],
    ),
    "from over to": (
        TOP + box("box = { from = [0,9,0], to = [1,1,1] }"),
        ["keep_out crate: box y = from 9 to 1 mm, from must be 0.01 or more below to"],
    ),
    "box as thin as nothing": (
        TOP + box("box = { from = [0,0,0], to = [1,1e-9,1] }"),
        ["keep_out crate: box y = from 0 to 1e-09 mm, from must be 0.01 or more below to"],
    ),
    "thread nobody cuts": (
        TOP + "[[boss]]\nname = 'A'\nat = [0,0,0]\nnormal = [0,0,1]\nthread = 'M99'\n",
        ['boss A: thread: bolt = "M99", not in the table'],
    ),
    "contact with itself": (
        TOP + box("box = { from = [0,0,0], to = [1,1,1] }") + "[[contact]]\npair = ['crate', 'crate']\n",
        ["contact: pair = crate twice, two names"],
    ),
    "gap for no reason": (
        TOP + "[gap]\nfixed = { rest = 5, moved = 2, why = ' ' }\n",
        ['gap fixed: why = "", must say where the rule comes from'],
    ),
    "box without to": (TOP + box("box = { from = [0,9,0] }"), ["keep_out crate: box = incomplete, from and to"]),
    "tube without od": (
        TOP + box("tube = { from = [0,0,0], to = [1,0,0] }"),
        ["keep_out crate: tube = incomplete, from, to and od"],
    ),
    "tube of no length": (
        TOP + box("tube = { from = [1,0,0], to = [1,0,0], od = 3 }"),
        ["keep_out crate: tube = from (1.0, 0.0, 0.0) to (1.0, 0.0, 0.0), must be 0.01 mm or more"],
    ),
    "two shapes": (
        TOP + box("box = { from = [0,0,0], to = [1,1,1] }\nmesh = 'a.stl'\nunit = 'mm'"),
        ["keep_out crate: shape = box and mesh, exactly one of box, tube, rail, mesh, step"],
    ),
    "no shape": (TOP + box(""), ["keep_out crate: shape = none, exactly one of box, tube, rail, mesh, step"]),
    "two coordinates": (TOP + box("box = { from = [0,0], to = [1,1,1] }"), ["keep_out crate: box_from"]),
    "side": (
        TOP + box("box = { from = [0,0,0], to = [1,1,1] }\nside = 'engine'"),
        ['keep_out crate: side = "engine", must be one of chassis, powertrain'],
    ),
    "class of gap": (
        TOP + box("box = { from = [0,0,0], to = [1,1,1] }\nkind = 'hott'"),
        ["keep_out crate: kind = hott, nearest: hot: a class of gap"],
    ),
    "gap without a reason": (TOP + "[gap]\nbelt = { rest = 3, moved = 2 }\n", ["gap belt: why"]),
    "negative gap": (
        TOP + "[gap]\nbelt = { rest = -3, moved = 2, why = 'so' }\n",
        ["gap belt: rest = -3 mm, must be 0 to 500 mm"],
    ),
    "mesh without unit": (
        TOP + box("mesh = 'a.stl'"),
        ["keep_out crate: unit = nothing, one of mm, cm, m, in"],
    ),
    "mesh missing": (
        TOP + box("mesh = 'a.stl'\nunit = 'mm'"),
        ["keep_out crate: mesh = a.stl, no such file beside the bay file"],
    ),
    "step missing": (TOP + box("step = 'a.step'"), ["keep_out crate: step = a.step, no such file beside"]),
    "not a mesh": (
        TOP + box("mesh = 'notes.stl'\nunit = 'mm'"),
        ["keep_out crate: mesh = notes.stl, has no triangles"],
    ),
    "mesh of another ending": (
        TOP + box("mesh = 'notes.txt'\nunit = 'mm'"),
        ["keep_out crate: mesh = notes.txt, must end in .stl, .obj, .ply"],
    ),
    "not a STEP file": (
        TOP + box("step = 'notes.step'"),
        ["keep_out crate: step = notes.step, cannot be read as STEP"],
    ),
    "axis and up parallel": (
        TOP + box("box = { from = [0,0,0], to = [1,1,1], axis = [0,0,1], up = [0,0,2] }"),
        ["keep_out crate: up = (0.0, 0.0, 2.0), must not be parallel to axis = (0.0, 0.0, 1.0)"],
    ),
    "axis of no length": (
        TOP + box("box = { from = [0,0,0], to = [1,1,1], axis = [0,0,0] }"),
        ["keep_out crate: box_axis = 0,0,0, must be x,y,z, not all 0"],
    ),
    "part axis and up parallel": (
        TOP + GUSSET + "axis = [1,0,0]\nup = [2,0,0]\n",
        ["part web: up = (2.0, 0.0, 0.0), must not be parallel to axis = (1.0, 0.0, 0.0)"],
    ),
    "mount axis of no length": (MOUNTED.replace("axis = [1, 0, 0]", "axis = [0, 0, 0]"), ["mount left: axis"]),
    "same keep-out twice": (TOP + BOX + BOX, ["keep_out box: there are 2 of that name, each name once"]),
    "same part twice": (TOP + GUSSET + GUSSET, ["part web: there are 2 of that name, each name once"]),
    "same bush twice": (TOP + BUSH + BUSH, ["bush R: there are two of that name, each name once"]),
    "bush without what its kind must have": (
        TOP + BUSH.replace("od = 50", "od = 5").replace('bolt = "M12"', ""),
        [
            "bush R: od = 5 mm, must be 10 to 300 mm: outside of the bush, pressed into the cup",
            "bush R: bolt = nothing, must be a row of the bolt table where kind is bonded rubber or ",
        ],
    ),
    "part named as a keep-out": (
        TOP + BOX + GUSSET.replace("web", "box"),
        ["part box: a keep-out has that name too, each name once"],
    ),
    "unknown bush": (MOUNTED.replace('bush = "R"', 'bush = "R61"'), ['mount left: bush = "R61"']),
    "unknown bolt": (
        MOUNTED.replace("axis = [1, 0, 0]", 'axis = [1, 0, 0]\nbolt = { size = "M13" }'),
        ['mount left: bolt = "M13"'],
    ),
    "unknown onto": (
        MOUNTED.replace('onto = "rail"', 'onto = "rale"'),
        ["mount left: chassis onto = rale, nearest: rail"],
    ),
    "unknown part of a mount": (
        MOUNTED.replace('part = "left_ears"', 'part = "left_eers"'),
        ["mount left: chassis part = left_eers, nearest: left_ears"],
    ),
    "rail across the bush": (
        MOUNTED.replace("to = [300, 0, 0]", "to = [-100, 300, 0]"),
        ["mount left: onto = rail, a tube that runs with the bush axis: this one lies across it"],
    ),
    "contact": (TOP + BOX + "[[contact]]\npair = ['box', 'bax']\n", ["contact: pair = bax, nearest: box"]),
    "contact of three": (TOP + BOX + "[[contact]]\npair = ['box', 'box', 'box']\n", ["contact 1: pair"]),
    "way of nothing": (
        TOP + GUSSET + "[[path]]\nname = 'out'\npart = 'wab'\nlegs = [[0,0,9]]\n",
        ["path out: part = wab, nearest: web: a part"],
    ),
    "unknown boss": (TOP + GUSSET + "bosses = ['A1']\n", ["part web: bosses = A1, there is none: a [[boss]]"]),
    "negative lump": (TOP + "[[lump]]\nname = 'engine'\nmass = -84\nat = [0,0,0]\n", ["lump engine: mass = -84"]),
    "three marks": (
        TOP + "[[datum]]\nmarks = [[0,0,0],[1,0,0],[0,1,0]]\ndiagonals = [1, 1]\n",
        ["datum 1: marks"],
    ),
    "unknown recipe": (
        TOP + GUSSET.replace('"gusset"', '"guset"'),
        ['part web: recipe = "guset", no such recipe, nearest: gusset'],
    ),
    "recipe file missing": (
        TOP + GUSSET.replace('"gusset"', '"no.py"'),
        ["part web: {here}/no.py: no such file, must be a recipe"],
    ),
    "recipe that raises": (
        TOP + GUSSET.replace('"gusset"', '"raises.py"'),
        ["part web: {here}/raises.py:2: ValueError: no luck"],
    ),
    "recipe without build": (
        TOP + GUSSET.replace('"gusset"', '"no_build.py"'),
        ["part web: {here}/no_build.py: has no build"],
    ),
    "unknown parameter": (TOP + GUSSET + "tt = 6\n", ["part web: tt: no such value, nearest: t"]),
    "parameter out of range": (TOP + GUSSET + "t = -6\n", ["part web: t = -6 mm, must be"]),
    "part with no place": (
        TOP + GUSSET.replace("at = [0, 0, 200]", ""),
        ["part web: at = nothing, a place, bosses or a mount"],
    ),
    "two wrong in one row": (
        TOP + box("tube = { from = [0,0,0], to = [1,0,0], od = -4, wall = 'x' }"),
        ["keep_out crate: tube_od = -4 mm", 'keep_out crate: tube_wall = "x"'],
    ),
    "two wrong in two tables": (
        TOP + box("box = { from = [0,9,0], to = [1,1,1] }") + "[[lump]]\nname = 'engine'\nmass = 0\nat = [0,0,0]\n",
        ["keep_out crate: box y", "lump engine: mass = 0"],
    ),
    "two parts that cannot be built": (
        TOP + GUSSET + "t = 99\n" + GUSSET.replace("web", "rib") + "tt = 6\n",
        ["part web: t = 99 mm", "part rib: tt: no such value"],
    ),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("notes.stl", "notes.txt", "notes.step"):
        (tmp_path / name).write_text("buy bolts\n", "utf-8")
    (tmp_path / "raises.py").write_text(RAISES, "utf-8")
    (tmp_path / "no_build.py").write_text(NO_BUILD, "utf-8")
    return tmp_path


@pytest.mark.parametrize("name", WRONG)
def test_a_bad_bay_gets_one_clear_line_for_each_thing_wrong(folder: Path, name: str) -> None:
    text, starts = WRONG[name]
    said = problems(folder, text)
    assert len(said) == len(starts), said
    for start in starts:
        assert any(line.startswith(start.replace("{here}", str(folder))) for line in said), said


REFUSED = """format = 1
[[keep_out]]
name = "rail"
tube = { from = [-200, 300, 0], to = [200, 300, 0], od = "38,5" }
[[part]]
name = "right"
mirror_of = "ears"
[[part]]
name = "ears"
recipe = "ears"
bosses = 5
[[mount]]
name = "left"
bush = "R60"
at = [0, 230, 110]
axis = [1, 0, 0]
[mount.chassis]
part = "ears"
onto = "rail"
[[contact]]
pair = ["ears", "rail"]
[[contact]]
pair = ["ears", "rial"]
"""


def test_a_row_that_is_wrong_is_not_also_missing(folder: Path) -> None:
    """Who speaks of it is right; a name that is nowhere in the file is told of still."""
    said = problems(folder, REFUSED)
    assert [line.split(":")[0] for line in said] == ["keep_out rail", "part ears", "contact"]
    assert said[2].startswith("contact: pair = rial, nearest: rail")


MORE_REFUSED = """format = 1
gap.loom = { rest = "far", moved = 5, why = "invented" }
[[keep_out]]
name = "wiring"
kind = "loom"
box = { from = [0, 0, 0], to = [10, 10, 10] }
[[mount]]
name = "left"
bush = "R60"
at = [0, 230, "high"]
axis = [1, 0, 0]
[[path]]
name = "engine out"
part = "powertrain"
legs = [[0, 0, 300]]
gap = "wide"
[[prop]]
name = "sump"
at = [0, 0, 100]
[[contact]]
pair = ["left", "wiring"]
[[accept]]
code = "foul"
part = "left bolt"
why = "seen"
by = "A. Fitter"
[[accept]]
code = "path"
part = "engine out"
why = "seen"
by = "A. Fitter"
"""


def test_what_a_wrong_row_does_not_concern_is_looked_at(folder: Path) -> None:
    """A wrong mount excuses neither a prop without ground nor a pair, for which a mount is no name; a class of gap,
    a bolt and a path are there, if wrong."""
    said = problems(folder, MORE_REFUSED)
    assert sorted(line.split(":")[0] for line in said) == ["contact", "gap loom", "mount left", "path engine out",
                                                          "prop sump"]  # fmt: skip
    assert "contact: pair = left, must be one of wiring: a part or keep-out" in said
    wrong_ground = MORE_REFUSED.replace("to = [10, 10, 10]", "to = [10, 10]")
    assert not any(line.startswith("prop") for line in problems(folder, wrong_ground))


# ------------------------------------------------------------------------------------- through the command line


@pytest.mark.parametrize(
    "name",
    [
        "newer format",
        "syntax",
        "wrong unit",
        "mesh missing",
        "not a mesh",
        "unknown parameter",
        "two wrong in one row",
    ],
)
def test_fit_says_it_on_the_error_stream_with_status_2_and_writes_nothing(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    text, starts = WRONG[name]
    bay_file(folder, text)
    monkeypatch.chdir(folder)
    before = sorted(folder.rglob("*"))
    status = main(["fit", "bay.toml", "--into", "out"])
    out, err = capsys.readouterr()
    said = [line for line in err.splitlines() if line.startswith("bay.toml: ")]
    assert (status, out) == (2, "")
    assert [s for s in starts if not any(line.startswith(f"bay.toml: {s}") for line in said)] == []
    assert "Traceback" not in err
    assert sorted(p for p in folder.rglob("*") if "__pycache__" not in str(p)) == before


def test_fit_of_no_file_and_of_a_folder(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(folder)
    assert main(["fit", "none.toml"]) == 2
    assert "none.toml: no such file, must be a bay file (TOML)" in capsys.readouterr().err
    (folder / "sub").mkdir()
    assert main(["fit", "sub"]) == 2
    assert "sub: is a folder, must be a bay file (TOML)" in capsys.readouterr().err
    (folder / "old.toml").write_bytes(b"name = '\xe9'")
    assert main(["fit", "old.toml"]) == 2
    assert "old.toml: is not text in UTF-8" in capsys.readouterr().err


# ------------------------------------------------------------------------------------------------------ units


def test_bare_numbers_are_in_the_unit_of_the_file_and_texts_say_their_own(folder: Path) -> None:
    row = "tube = { from = [0, 0, 0], to = ['100 mm', 1, '1-1/2in'], od = 2, wall = '0.5 mm' }"
    for unit, inch in (("", 1.0), ('unit = "mm"\n', 1.0), ('unit = "in"\n', 25.4)):
        bay = read(bay_file(folder, TOP + unit + box(row)))
        tube = bay.keep_outs[0]
        assert tube.tube_to == (100.0, inch, 38.1)
        assert (tube.tube_od, tube.tube_wall) == (2 * inch, 0.5)
        assert bay.bare == ("in" if inch > 1 else "mm")


def test_default_values_and_what_is_no_length_are_the_same_in_any_unit(folder: Path) -> None:
    text = "[[lump]]\nname = 'engine'\nmass = 84\nat = [1, 0, 0]\n"
    by_unit = {unit: read(bay_file(folder, f'{TOP}unit = "{unit}"\n{text}')) for unit in ("mm", "in")}
    assert [bay.lumps[0].mass for bay in by_unit.values()] == [84.0, 84.0]
    assert [bay.lumps[0].at[0] for bay in by_unit.values()] == [1.0, 25.4]
    assert [bay.gap("fixed").rest for bay in by_unit.values()] == [15.0, 15.0]


def ears(folder: Path, text: str) -> PlacedPart:
    return placed_bay(read(bay_file(folder, text))).parts[0]


def test_what_is_worked_out_does_not_change_with_the_unit(folder: Path) -> None:
    metric = ears(folder, MOUNTED)
    assert metric.worked_out["reach"] == pytest.approx(80.0, abs=1e-12)
    assert metric.worked_out["rail_od"] == 42.4
    inch = MOUNTED.replace("[-100, 0, 0], to = [300, 0, 0]", "['-100 mm', 0, 0], to = ['300 mm', 0, 0]")
    inch = inch.replace("od = 42.4", "od = '42.4 mm'").replace("at = [100, 0, 80]", "at = ['100 mm', 0, '80 mm']")
    for line in EARS.splitlines():
        key, _, value = line.partition(" = ")
        if key in ("t", "inside", "ear_r"):
            inch = inch.replace(f"\n{line}\n", f"\n{key} = '{value} mm'\n")
    bush = BUSH
    for key, value in (("od", "50"), ("shell_length", "40"), ("sleeve_od", "18"), ("sleeve_bore", "12.2")):
        bush = bush.replace(f"\n{key} = {value}\n", f"\n{key} = '{value} mm'\n")
    bush = bush.replace("sleeve_length = 52", "sleeve_length = '52 mm'")
    bush = bush.replace(
        "inner_r = 9, outer_r = 23.5, length = 38", "inner_r = '9 mm', outer_r = '23.5 mm', length = '38 mm'"
    )
    bush = bush.replace("radial = 5, axial = 5", "radial = '5 mm', axial = '5 mm'")
    changed = ears(folder, inch.replace(BUSH, bush).replace(TOP, TOP + 'unit = "in"\n'))
    assert changed.worked_out == metric.worked_out
    assert values(changed.params) == values(metric.params)


def test_a_typed_value_stands_before_one_worked_out(folder: Path) -> None:
    typed = ears(folder, MOUNTED + "reach = '3in'\n")
    assert "reach" not in typed.worked_out
    assert values(typed.params)["reach"] == 76.2


def test_keys_of_a_bush_may_stand_in_tables_of_their_own_or_not(tmp_path: Path) -> None:
    flat = BUSH.replace("travel = { radial = 5, axial = 5 }", "travel_radial = 5\ntravel_axial = 5")
    assert flat != BUSH
    (tmp_path / "bay.toml").write_text(TOP + BUSH, "utf-8")
    (tmp_path / "flat.toml").write_text(TOP + flat, "utf-8")
    assert read(tmp_path / "flat.toml").bushes == read(tmp_path / "bay.toml").bushes


def test_a_shipped_bush_copied_into_a_bay_stays_stamped(tmp_path: Path) -> None:
    """Its figures are as invented as before; one figure of your own and it is yours."""
    row = dict(next(row for row in toml_rows("bushes.toml", "bush") if row["name"] == "R50"))
    rows = (row, {**row, "mass": 0.3})
    copied, own = (of_table({"format": 1, "bush": [one]}, tmp_path / "b.toml") for one in rows)
    assert copied.bushes["R50"].stamp == "SAMPLE: MEASURE YOURS"
    assert own.bushes["R50"].stamp == ""
