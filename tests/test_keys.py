"""`brackets keys`: the list and the JSON Schema say what the readers of the three files take and refuse."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from json_schema import problems

import brackets
from brackets.app.cli.app import main
from brackets.app.gallery.files import KINDS
from brackets.bay.schema.keys import BAY_KEYS
from brackets.core.errors import BadFile, InputError
from brackets.core.schema.checked import Param
from brackets.core.schema.file_keys import TableKeys, example, sample_rows
from brackets.core.schema.reading import from_mapping
from brackets.core.schema.sizes import Size
from brackets.core.tables.bush_rows import BOBBIN_KINDS, BUSH_KINDS, SAMPLE, THREE_PIECES, Bobbin, Bush, Rubber
from brackets.core.tables.bush_table import BushRow, all_bushes
from brackets.core.tables.data_files import toml_rows
from brackets.forming.shop_file import parse
from brackets.library.recipe import recipe
from brackets.survey.file import read as read_readings

HERE = Path(__file__).parent
SCHEMAS = {name: kind.json_schema() for name, kind in KINDS.items()}
SHIPPED = {name: tomllib.loads(kind.text()) for name, kind in KINDS.items()}


def tables_of(name: str) -> Iterator[TableKeys]:
    yield KINDS[name].keys.at_top
    for table in KINDS[name].keys.tables:
        yield table
        yield from table.inner


TABLES = [pytest.param(name, table, id=f"{name}-{table.name}") for name in KINDS for table in tables_of(name)]
KEYS = [(name, table, param) for name in KINDS for table in tables_of(name) for param in table.params]


def complete(name: str, table: TableKeys) -> dict[str, object]:
    """A row with an example of every key that must be given."""
    rows = sample_rows(table, SHIPPED[name]) if table.name else [SHIPPED[name]]
    found = {p.name: example(table, p, rows) for p in table.params}
    by = {p.name: table.needed_by(p) for p in table.params}
    needed = {name for name, one in by.items() if one is not None and found[one.key] in one.words}
    return {p.name: found[p.name] for p in table.params if p.required or p.name in needed}


@pytest.mark.parametrize("name", KINDS)
def test_the_shipped_file_meets_its_schema(name: str) -> None:
    assert list(problems(SCHEMAS[name], SHIPPED[name])) == []


@pytest.mark.parametrize(
    ("name", "file"), [("bay", "two_hands.toml"), ("bay", "cases/tern.toml"), ("readings", "cases/readings.toml")]
)
def test_other_files_that_are_read_meet_it_too(name: str, file: str) -> None:
    found = tomllib.loads((HERE / file).read_text("utf-8"))
    assert list(problems(SCHEMAS[name], found)) == []


@pytest.mark.parametrize(
    ("name", "text", "where"),
    [
        ("bay", "format = 1\nkeep_outs = []", "keep_outs: no such key"),
        ("bay", "format = 2", ".format: maximum"),
        ("bay", "", "file: required"),
        ("bay", "format = 1\nunit = 'cm'", ".unit: enum"),
        ("bay", "format = 1\n[[boss]]\nname = 'H1'\nat = [1, 2]\nnormal = [0, 0, 1]", ".boss[0].at: minItems"),
        ("bay", "format = 1\n[[boss]]\nname = 'H1'\nat = [1, 2, 3]", ".boss[0]: required"),
        ("bay", "format = 1\n[[part]]\nname = 'a'", ".part[0]: allOf"),
        ("bay", "format = 1\n[gap]\nfixed = { rest = 5, moved = 2 }", ".gap.fixed: required"),
        ("bay", "format = 1\n[[keep_out]]\nname = 'a'\ntube = { bore = 3 }", ".keep_out[0].tube.bore: no such key"),
        ("bay", "format = 1\n[[path]]\nname = 'a'\npart = 'b'\nlegs = [[1, 2]]", ".path[0].legs[0]: anyOf"),
        ("shop", "format = 1\nname = 's'", "file: required"),
        ("shop", "format = 1\nname = 's'\n[brake]\nforce = 1", ".brake: required"),
        ("shop", "format = 1\nname = 's'\nbrake = { length = 30000 }", ".brake.length: maximum"),
        ("shop", "format = 1\nname = 's'\nbrake = { length = 900 }\nsample = 1", ".sample: enum"),
        ("readings", "format = 1\n[[hole]]\nname = 3", ".hole[0].name: type"),
        ("readings", "format = 1\n[place]\nat = [0, 0, 0]", ".place: required"),
    ],
)
def test_the_schema_refuses_what_the_reader_refuses(name: str, text: str, where: str, tmp_path: Path) -> None:
    assert any(where in line for line in problems(SCHEMAS[name], tomllib.loads(text)))
    (tmp_path / "a.toml").write_text(text, "utf-8")
    with pytest.raises((BadFile, InputError)):
        read_file(name, tmp_path / "a.toml")


@pytest.mark.parametrize(
    ("text", "good"),
    [
        ("recipe = 'ears'\nt = 500", False),
        ("recipe = 'ears'\nt = '1/4in'", True),
        ("recipe = 'ears'\nback = 3", False),
        ("recipe = 'ears'\nback = true", True),
        ("recipe = './mine.py'\nt = 500", True),
        ("mirror_of = 'b'", True),
    ],
)
def test_a_part_is_judged_by_its_recipe_where_that_is_shipped(text: str, good: bool) -> None:
    part = tomllib.loads(f"format = 1\n[[part]]\nname = 'a'\n{text}")
    assert (list(problems(SCHEMAS["bay"], part)) == []) == good
    if "ears" in text:
        values = {key: value for key, value in part["part"][0].items() if key in ("t", "back")}
        try:
            from_mapping(recipe("ears").Params, values)
        except InputError:
            assert not good


def read_file(name: str, path: Path) -> object:
    if name == "shop":
        return parse(path.read_text("utf-8"))
    if name == "readings":
        return read_readings(path)
    from brackets.bay.file import read

    return read(path)


def faults_of_keys(check: Callable[[dict[str, Any], Param], list[str]]) -> list[str]:
    """What `check` says of any key of any file, each with its key: all of it is told at once."""
    assert len(KEYS) > 400
    return [
        f"{name} {table.name}.{param.name}: {fault}"
        for name, table, param in KEYS
        for fault in check(schema_of(name, table, param), param)
    ]


def refused(param: Param, value: object, **how: str) -> str:
    """Why a key's rule does not take a value, or nothing."""
    try:
        param.from_toml(value, **how)
    except InputError as error:
        return str(error)
    return ""


def fault_of_example(schema: dict[str, Any], param: Param) -> list[str]:
    [shown] = schema["examples"]
    said = refused(param, shown)
    return [*([f"its example {shown!r} is refused: {said}"] if said else []), *problems(schema, shown)]


def test_each_example_is_taken_by_its_rule_and_its_schema() -> None:
    assert faults_of_keys(fault_of_example) == []


def faults_of_limits(schema: dict[str, Any], param: Param) -> list[str]:
    if not isinstance(param.rule, Size):
        return []
    found = [fault for end in (param.rule.lo, param.rule.hi) for fault in problems(schema, end)]
    in_inches = param.rule.lo / 25.4 if param.rule.kind == "length" and param.rule.lo > 0 else param.rule.lo
    for past in (in_inches - 1e-6, param.rule.hi + 1e-6):
        if not list(problems(schema, past)):
            found.append(f"{past} is taken by the schema")
        if not refused(param, past):
            found.append(f"{past} is taken by its rule")
    return found


def test_each_limit_is_the_readers() -> None:
    """Both ends are taken by the schema; what lies past either, in mm and in inches, is refused by both."""
    assert faults_of_keys(faults_of_limits) == []


def faults_in_inches(schema: dict[str, Any], param: Param) -> list[str]:
    if not (param.rule.kind == "length" and isinstance(param.rule, Size) and param.rule.lo > 0):
        return []
    least = param.rule.lo / 25.4 * (1 + 1e-9)
    said = refused(param, least, bare="in")
    return [*([f"{least} in is refused: {said}"] if said else []), *problems(schema, least)]


def test_what_is_taken_in_inches_is_no_fault_to_an_editor() -> None:
    assert faults_of_keys(faults_in_inches) == []


def schema_of(name: str, table: TableKeys, param: Param) -> dict[str, Any]:
    """What the schema of the file says of one key."""
    found = SCHEMAS[name]
    if table.name == "legs":
        found = found["properties"]["path"]["items"]["properties"]["legs"]["items"]["anyOf"][0]
    elif table.name == "forces":
        found = found["properties"]["load_case"]["items"]["properties"]["forces"]["items"]
    elif table.name:
        row = found["properties"][table.name]
        found = {"table": row, "rows": row.get("items"), "named": row.get("additionalProperties")}[table.form]
    said: dict[str, Any] = found["properties"][param.name]
    return said


ROWS = (
    "bay/schema/standing.py", "bay/schema/keep_out.py", "bay/schema/asked.py", "bay/schema/keys.py",
    "bay/schema/drive_keys.py", "bay/schema/loads.py", "survey/file_rows.py", "forming/shop_rows.py",
)
"""Where keys are declared: a name that stands here alone is read by nobody."""

BY_WORD = {"readings dividers"}
"""Keys that are read by a word of another key: `tool = "dividers"`."""


def test_every_key_of_a_file_is_read_by_somebody() -> None:
    home = Path(brackets.__file__).parent
    sources = (path for path in home.rglob("*.py") if path.relative_to(home).as_posix() not in ROWS)
    used = {name for path in sources for name in re.findall(r"""[.}"'](_?[a-z]\w*)""", path.read_text("utf-8"))}
    endings = tuple(name for name in used if name.startswith("_"))
    declared = {
        f"{name} {param.name}": param.name
        for name in KINDS
        for table in tables_of(name)
        for param in table.params
    }
    unread = {key for key, name in declared.items() if name not in used and not name.endswith(endings)}
    assert unread == BY_WORD


BUSH = BAY_KEYS.table("bush")


def nested(row: Mapping[str, object]) -> dict[str, Any]:
    """stiffness_radial as stiffness = { radial = .. }: as a file is written."""
    found: dict[str, Any] = {}
    for key, value in row.items():
        group = BUSH.group_of(key)
        (found.setdefault(group, {}) if group else found)[key.removeprefix(f"{group}_") if group else key] = value
    return found


WHOLE = {
    "name": "B", "kind": "solid", "od": 60, "shell_length": 40, "sleeve_od": 18, "sleeve_bore": 12.2,
    "sleeve_length": 52, "sleeve_offset": 1, "bolt": "M12", "end_flange": 1, "mass": 1, "load": 100, "heat": 80,
    "travel_radial": 1, "travel_axial": 1, "travel_tilt": 4, "stiffness_radial": 1, "stiffness_axial": 1,
    "stiffness_torsion": 1, "stiffness_known": "guess", "dynamic": 1, "rubber_inner_r": 9, "rubber_outer_r": 28,
    "rubber_length": 38, "rubber_hardness": 45, "hardness_pm": 3, "sample": True, "source": "me",
    "stiffness_pm": 0.1, "measured_torsion": 1, "measured_conical": 1, "measured_pm": 0.1,
    "measured_radial": 300, "measured_axial": 100,
    "radial_readings_travel": [0, 1, 2], "radial_readings_force": [0, 300, 590], "radial_about": 400,
    "axial_readings_travel": [0, 2], "axial_readings_force": [0, 200], "axial_about": 100,
    "readings_travel_pm": 0.02, "readings_force_pm": 5,
}  # fmt: skip
"""Every key of a sleeve bush in one piece or two halves."""


OF_ALL = ("travel", "stiffness", "measured", "radial_", "axial_", "readings")
STUD, TAPPED = (
    {
        **{key: value for key, value in WHOLE.items() if key.startswith(OF_ALL)},
        "mass": 1, "load": 100, "heat": 80,
        "name": "B", "kind": kind, "od": 50, "height": 40, "plate_t": 3, "plate_od": 48, "thread": "M10",
        f"{one}_stud": 25, f"{other}_tapped": 10, "dynamic": 1, "sample": True, "source": "me",
    }
    for kind, one, other in (("rubber bobbin", "first", "second"), ("poly bobbin", "second", "first"))
)  # fmt: skip
"""Every key of a bobbin, with a stud at its first end or at its second: one end cannot have both."""


THREE = {
    **{key: value for key, value in WHOLE.items() if not key.startswith(("rubber", "hardness"))},
    "kind": "poly, three pieces", "flange_od": 70,
}  # fmt: skip
"""Every key of a bush of three pieces."""


def row_of(raw: Mapping[str, object]) -> BushRow:
    return from_mapping(BushRow, nested(raw))


def test_a_bush_has_the_keys_of_its_kinds_and_no_other() -> None:
    assert {param.name for param in BUSH.params} == {*WHOLE, *THREE, *STUD, *TAPPED}
    sleeve = row_of(WHOLE).record
    assert isinstance(sleeve, Bush)
    assert sleeve.rubber == Rubber(inner_r=9, outer_r=28, length=38, hardness=45)
    assert (sleeve.known, sleeve.sleeve_offset, sleeve.travel_tilt, sleeve.source) == ("guess", 1, 4, "me")
    made = [row_of(row).record for row in (STUD, TAPPED)]
    assert [(m.first.stud, m.second.tapped) for m in made if isinstance(m, Bobbin)] == [(25, 10), (None, None)]
    assert [(m.second.stud, m.first.tapped) for m in made if isinstance(m, Bobbin)] == [(None, None), (25, 10)]


@pytest.mark.parametrize("row", [WHOLE, THREE, STUD, TAPPED], ids=["sleeve", "three", "stud", "tapped"])
def test_a_key_of_another_kind_is_refused(row: dict[str, Any]) -> None:
    """Every key that a kind has not got: with the words of the kinds that have it, or the end's other thread."""
    for name, value in {**WHOLE, **THREE, **STUD, **TAPPED}.items():
        if name not in row:
            with pytest.raises(InputError) as caught:
                row_of({**row, name: value})
            [line] = caught.value.problems
            both = f"{name.partition('_')[0]} = both stud and tapped, must have one of the two"
            if line != both + ": how its thread is":
                assert line.startswith(f"{name} = "), line
                assert ", only where kind is " in line


@pytest.mark.parametrize("row", [WHOLE, THREE, STUD, TAPPED], ids=["sleeve", "three", "stud", "tapped"])
def test_a_key_that_its_kind_must_have_is_asked_for_by_reader_and_schema(row: dict[str, Any]) -> None:
    """Each key left out: refused by both, or by neither and then it has its default."""
    for param in BUSH.params:
        if param.name not in row or param.name == "kind":
            continue
        left = {key: value for key, value in row.items() if key != param.name}
        faults = list(problems(SCHEMAS["bay"], {"format": 1, "bush": [nested(left)]}))
        needed = param.required or any(
            one.names(param.name) and param.name.startswith(one.must) and row["kind"] in one.words
            for one in BushRow._where
            if one.must
        )
        if needed or param.name.startswith(BushRow._whole):
            with pytest.raises(InputError, match=" = nothing, must "):
                row_of(left)
            assert faults, param.name
        else:
            assert getattr(row_of(left), param.name) == param.default
            assert not faults, param.name


@pytest.mark.parametrize("kind", BUSH_KINDS + BOBBIN_KINDS)
def test_a_bush_of_every_kind_is_read(kind: str) -> None:
    whole = STUD if kind in BOBBIN_KINDS else THREE if kind in THREE_PIECES else WHOLE
    assert row_of({**whole, "kind": kind.upper()}).record.kind == kind


def test_the_shipped_rows_are_read_as_ones_own_are() -> None:
    """A row with a fault in it is refused by the same words, wherever it stands."""
    rows = [from_mapping(BushRow, row).record for row in toml_rows("bushes.toml", "bush")]
    assert [row.name for row in rows] == [row.name for row in all_bushes()]
    assert all(replace(row, source=SAMPLE) == shipped for row, shipped in zip(rows, all_bushes(), strict=True))


def test_a_name_of_a_table_or_key_is_the_readers(tmp_path: Path) -> None:
    """A file with one key more than the list has is refused, by the name of that key."""
    for name in KINDS:
        text = {"shop": "name = 's'\nbrake = { length = 900 }\n"}.get(name, "")
        (tmp_path / "a.toml").write_text(f"format = 1\n{text}[unheard_of]\na = 1\n", "utf-8")
        with pytest.raises((BadFile, InputError), match="unheard_of"):
            read_file(name, tmp_path / "a.toml")


@pytest.mark.parametrize(("name", "table"), TABLES)
def test_a_row_of_the_examples_alone_is_read(name: str, table: TableKeys) -> None:
    one_of_several = (  # of optional keys
        "keep_out", "keep_within", "reading", "step", "weighing", "snubber", "forces",
    )  # fmt: skip
    if table.name not in one_of_several:
        from_mapping(table.row, complete(name, table))


@pytest.mark.parametrize("name", KINDS)
def test_keys_prints_every_key_once(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["keys", name, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    listed = [(t["heading"], key["name"]) for t in told["tables"] for key in t["keys"]]
    assert len(set(listed)) == len(listed)
    wanted = sum(len(t.params) + (0 if t.short is None else 1) for t in tables_of(name))
    assert len(listed) == wanted
    assert all(key["meaning"] and key["example"] and key["kind"] for t in told["tables"] for key in t["keys"])
    assert main(["keys", name]) == 0
    assert "what it is" in capsys.readouterr().out


def test_keys_of_one_table(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["keys", "bay", "path"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "[[path]]: paths in and out" in said
    assert "legs of [[path]]" in said
    assert "[[mount]]" not in said


def test_the_schema_is_printed_as_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["keys", "shop", "--json-schema"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told == json.loads(json.dumps(SCHEMAS["shop"]))
    assert told["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["boy"], 'file = "boy", must be one of bay, shop, readings, family (nearest: bay): kind of file'),
        (["bay", "mounts"], 'table = "mounts", not in the table; nearest: mount: table of a bay file'),
        (["bay", "mount", "--json-schema"], "--json-schema = given with TABLE or --json, must stand alone"),
    ],
)
def test_what_is_wrong_is_one_line(words: list[str], line: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["keys", *words]) == 2
    said = capsys.readouterr()
    assert line in said.err
    assert said.err.count("\n") == 1
    assert said.out == ""
