"""facts.json of `make` against the schema that comes with the program."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
import trimesh
from ears_bay import ENGINE, THREE_MOUNTS
from json_schema import loose, problems
from three_bays import written

from brackets.app.cli import fit_watch
from brackets.app.cli.app import main
from brackets.library.recipe import recipe, recipes, shipped
from brackets.output import facts
from brackets.output.facts_schemas import COMMANDS, schema_of, schema_rows
from brackets.output.part_files import made, record

SCHEMA = facts.schema()
WRITTEN = {"program", "inputs_sha256", "sha256", "own_sha256"}
"""Keys that only a written file has."""


def keys(schema: dict[str, Any], where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    for key, inner in schema.get("properties", {}).items():
        yield f"{where}.{key}", inner
        yield from keys(inner, f"{where}.{key}")
    for inner in (schema.get("items"), *schema.get("anyOf", ())):
        if inner:
            yield from keys(inner, where)


@pytest.mark.parametrize("name", recipes())
def test_the_facts_of_every_recipe_are_as_the_schema_says(name: str) -> None:
    found = recipe(name)
    for hand in ("", "right") if name in ("stay", "tray") else ("",):
        said = json.loads(facts.text(record(made(found, found.Params(), hand=hand))))
        allowed = {**SCHEMA, "required": [key for key in SCHEMA["required"] if key not in WRITTEN]}
        assert list(problems(allowed, said)) == []


def test_a_written_file_is_as_the_schema_says_and_a_changed_one_is_not(tmp_path: Path) -> None:
    assert main(["make", "cup", "--bush-od", "60", "--into", str(tmp_path / "cup")]) == 0
    said = json.loads((tmp_path / "cup" / facts.NAME).read_text("utf-8"))
    assert list(problems(SCHEMA, said)) == []
    for change in ({"mass_kg": "1"}, {"more": 1}, {"program": {"name": "brackets"}}, {"format": 2}):
        assert list(problems(SCHEMA, {**said, **change})), change
    assert list(problems(SCHEMA, {key: value for key, value in said.items() if key != "shop"}))


def test_every_key_is_explained_and_every_figure_names_its_unit() -> None:
    """But for numbers of things, shares, and a finding's own, whose unit is a key beside them."""
    bare = {"format", "flange", "wall", "k", "sides", "turn", "count", "number", "bends", "value", "limit"}
    bare |= {"step", "weld", "weld_on_sheet", "side"}
    for where, schema in keys(SCHEMA):
        if "anyOf" not in schema:
            assert schema["description"], where
        kinds = schema.get("type", ())
        if {"number", "integer"} & set([kinds] if isinstance(kinds, str) else kinds):
            name = where.rsplit(".", 1)[1]
            assert name in bare or re.search(r"_(mm|mm2|mm3|mm4|deg|kg)$", name), where


def test_the_command_explains_every_key_and_prints_the_schema(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "110")
    assert main(["keys", "facts"]) == 0
    told = capsys.readouterr().out
    assert "pieces[].flat.outline[].sweep_deg" in told
    rows = [key for key, _, _ in schema_rows(SCHEMA)]
    assert len(rows) == len(set(rows)) > 100
    assert main(["keys", "facts", "--json-schema"]) == 0
    assert json.loads(capsys.readouterr().out) == SCHEMA
    assert main(["keys", "facts", "mount"]) == 2
    assert 'table = "mount", must be left out: facts.json is one table' in capsys.readouterr().err


PLATE = """format = 1
part = [{ name = "near", recipe = "cup", bush_od = 50, at = [0, 300, 0] }, { name = "far", mirror_of = "near" }]
"""
FAMILY = """format = 1
recipe = "cup"
[vary]
bush_od = [50, 60]
"""


HUNG = f"""format = 1
{ENGINE}[powertrain]
torque = 100
first = 3.5
cylinders = 4
strokes = 4
idle = 900
[[shaft]]
name = "shaft"
joints = "Cardan"
powertrain = {{ at = [-300, 0, 200], axis = [-1, 0, 0] }}
chassis = {{ at = [-1000, 0, 180], axis = [1, 0, 0] }}
{THREE_MOUNTS}"""
VERBS = ["measure", "bolts", "family", "hands", "watch", "flat", "card", "mockup", "stations", "jig", "hang"]


@pytest.mark.parametrize("verb", VERBS)
def test_facts_say_the_sum_of_every_file_that_was_read(
    verb: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bay, rows, readings = tmp_path / "bay.toml", tmp_path / "rows.toml", tmp_path / "readings.toml"
    bay.write_text(HUNG if verb == "hang" else PLATE)
    rows.write_text(FAMILY)
    readings.write_bytes(Path(shipped(), "readings.toml").read_bytes())
    slab = tmp_path / "slab.stl"
    slab.write_bytes(trimesh.creation.box((40, 60, 30)).export(file_type="stl"))
    into, shop = str(tmp_path / "out"), tmp_path / "shop.toml"
    assert main(["new", "shop", str(shop)]) == 0
    runs = {
        "measure": (["measure", str(readings), "--shop", str(shop)], {readings, shop}),
        "bolts": (["bolts", str(bay)], {bay}),
        "family": (["family", str(rows), "--workers", "0", "--shop", str(shop)], {rows, shop}),
        "hands": (["family", str(bay), "--hands", "near,far"], {bay}),
        "watch": (["fit", str(bay), "--watch"], {bay}),
        "flat": (["flat", "ears_on_base", "--shop", str(shop)], {shop}),
        "card": (["card", str(bay)], {bay}),
        "mockup": (["mockup", "cup", "--shop", str(shop)], {shop}),
        "jig": (["jig", "ears_on_base", "--shop", str(shop)], {shop}),
        "hang": (["hang", str(bay), "--compare", "rubber,solid"], {bay}),
        "stations": (["stations", str(slab), "--unit", "mm", "--axis", "z", "--pitch", "10"], {slab}),
    }
    monkeypatch.setattr(fit_watch, "stay", lambda file, once, watched: once() and 0)
    words, files = runs[verb]
    assert main([*words, "--into", into]) in (0, 1)
    said = json.loads((tmp_path / "out" / facts.NAME).read_text("utf-8"))
    assert said["inputs_sha256"] == {one.name: sha256(one.read_bytes()).hexdigest() for one in files}
    assert said["program"]["name"] == "brackets"
    if verb in COMMANDS:
        rule = schema_of(verb)
        assert list(problems(rule, said)) == []
        for key in rule["required"]:
            assert list(problems(rule, {one: said[one] for one in said if one != key})), key
        assert list(problems(rule, {**said, "more": 1}))


LOOSE = """format = 1
[pattern]
clockwise = ["a", "b", "c"]
[[hole]]
name = "a"
[[hole]]
name = "b"
d = 8.5
[[hole]]
name = "c"
[[reading]]
between = ["a", "b"]
values = [80]
[[reading]]
between = ["b", "c"]
values = [80]
"""
UNEQUAL = """format = 1
part = [{ name = "near", recipe = "cup", bush_od = 50, at = [0, 300, 0] },
  { name = "far", recipe = "cup", bush_od = 52, at = [0, -300, 0] }]
"""
SMALL = """format = 1
name = "small bed (invented)"
brake = { length = 1000 }
printer_3d = { bed = [110, 110, 40], nozzle = 0.8 }
"""
FULLER = {
    "mockup": ("mockup cup --length 60 --shop small.toml", ("joints", "bodies", "findings")),
    "bolts": ("bolts cup_on_plate --trials 100", ("groups",)),
    "measure": ("measure loose.toml", ("stops", "holes")),
    "hands": ("family unequal.toml --hands near,far", ("prevents", "figures")),
}


@pytest.mark.parametrize("command", FULLER)
def test_facts_in_which_more_is_said_are_as_the_schema_says(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A mock-up in halves, slots, holes that hang loose, hands that differ; and no inner key may be left out."""
    monkeypatch.chdir(tmp_path)
    Path("loose.toml").write_text(LOOSE)
    Path("small.toml").write_text(SMALL)
    Path("unequal.toml").write_text(UNEQUAL)
    words, filled = FULLER[command]
    assert main([*words.split(), "--into", "out"]) in (0, 1)
    said, rule = json.loads(Path("out", facts.NAME).read_text("utf-8")), schema_of(command)
    assert list(problems(rule, said)) == []
    for key in filled:
        assert said[key], key
        first, inner = said[key][0], rule["properties"][key]["items"]
        for name in inner.get("required", ()):
            assert list(problems(inner, {one: first[one] for one in first if one != name})), (key, name)


ASKED = """\
[[slack]]
name = "hose"
powertrain = [0, 250, 300]
chassis = [-100, 250, 300]
length = 150
[[shaft]]
name = "shaft"
joints = "Cardan"
powertrain = { at = [-50, 250, 215], axis = [-1, 0, 0] }
chassis = { at = [-600, 260, 205], axis = [1, 0, 0] }
angle = { rest = 4, moved = 4.5 }
plunge = { shorter = 5, longer = 4 }
[[prop]]
name = "sump"
at = [0, 250, 150]
ground = -95
"""


def test_the_facts_of_a_fitted_bay_are_as_the_schema_says(tmp_path: Path) -> None:
    """A brace fouls the arm, so that the cut list has its STOP: all else of what it says must be there."""
    bay = written(tmp_path, "stop", ASKED)
    welded = bay.read_text("utf-8").replace("ears_on_base", "ears").replace("base = {", 'seat = "flat"\n# {')
    bay.write_text(welded, "utf-8")
    assert main(["fit", str(bay), "--into", str(tmp_path / "out")]) == 1
    said, rule = json.loads((tmp_path / "out" / facts.NAME).read_text("utf-8")), schema_of("fit")
    assert list(problems(rule, said)) == []
    assert list(problems(rule, {**said, "more": 1}))
    for key in ("pairs", "moved", "slacks", "drives", "props", "paths", "bolts", "cut", "fit_ups"):
        assert said[key], key
    short = {key: one[:1] if isinstance(one, list) else one for key, one in said.items()}
    assert [key for key in loose(rule, short) if not key.startswith("inputs_sha256.")] == ["cut.STOP"]
    for one in said["bolts"]:
        kind = next(of for of in rule["properties"]["bolts"]["items"]["anyOf"] if not list(problems(of, one)))
        assert kind["properties"]["kind"]["enum"] == [one["kind"]]
        assert all(list(problems(kind, {at: one[at] for at in one if at != name})) for name in one)


UNITS = r"\b(mm|mm2|N/mm|MPa|kg|newton|Hz|degrees|share|number of|no unit|in unit)\b"


def test_every_figure_names_its_unit_in_its_key_or_its_meaning() -> None:
    """Keys of measure and bolts stay as scripts read them, so that their meaning has the unit."""
    bare = {"format", "count"}
    for command in ("hands", "mockup", "jig", "measure", "bolts", "fit", "hang"):
        shared = SCHEMA["properties"]
        of = {key: one for key, one in schema_of(command)["properties"].items() if one != shared.get(key)}
        if command == "fit":
            part = of["parts"]["items"]["properties"]
            of["parts"] = {
                **of["parts"],
                "items": {"properties": {key: one for key, one in part.items() if one != shared.get(key)}},
            }
        for where, inner in keys({"properties": of}):
            if where.startswith(".findings"):
                continue
            told = inner
            while "items" in told:
                told = told["items"]
            kinds = told.get("type", ())
            if {"number", "integer"} & set([kinds] if isinstance(kinds, str) else kinds):
                name = where.rsplit(".", 1)[1]
                about = f"{inner['description']} {told['description']}"
                named = re.search(r"_(mm|mm2|mm3|deg|kg|m|nm|hz)(_estimate)?$", name)
                assert name in bare or named or re.search(UNITS, about), (command, where)


def test_every_key_of_the_other_commands_is_explained_and_printed(capsys: pytest.CaptureFixture[str]) -> None:
    for command in COMMANDS:
        rule = schema_of(command)
        assert all(schema.get("description") or "anyOf" in schema for _, schema in keys(rule))
        assert main(["keys", "facts", command, "--json-schema"]) == 0
        assert json.loads(capsys.readouterr().out) == rule
