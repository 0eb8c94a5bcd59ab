"""brackets keys and brackets new: every key of a file, for people, scripts and editors; a file to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from brackets.app.cli.screen import AsJson
from brackets.app.cli.trouble import FINE


def keys(
    file: Annotated[str, typer.Argument(metavar="bay|shop|readings|family|facts", help="Kind of file.")],
    name: Annotated[
        str | None, typer.Argument(metavar="TABLE", help="One table alone, mount for [[mount]].")
    ] = None,
    as_schema: Annotated[
        bool, typer.Option("--json-schema", help="JSON Schema, draft 2020-12, by which an editor checks.")
    ] = False,
    as_json: AsJson = False,
) -> int:
    """Every key of a file: kind, limits, default, meaning, example.

    A key a.b may stand as b = .. under [TABLE.a], or as a = { b = .. }. Lengths are mm;
    text carries its own unit: "1/4in". Examples are from the shipped files, which are invented.
    """
    import json
    from dataclasses import asdict

    from brackets.app.cli.screen import table
    from brackets.app.gallery.files import kind_of_file
    from brackets.core.errors import InputError
    from brackets.core.names import allowed
    from brackets.core.schema.file_keys import KEY_HEAD
    from brackets.core.units import shown

    if file == "facts":
        return _facts_keys(name, as_schema or as_json)
    kind = kind_of_file(file)
    if as_schema and (name is not None or as_json):
        raise InputError("--json-schema = given with TABLE or --json, must stand alone: schema of the whole file")
    if as_schema:
        print(json.dumps(kind.json_schema(), indent=2, ensure_ascii=False))
        return FINE
    tables = [table.name for table in kind.keys.tables]
    if name is not None and name not in tables:
        raise InputError(f"table = {shown(name)}, {allowed(name, tables)}: table of a {kind.keys.title}")
    sections = [section for section in kind.sections if name is None or section.table == name]
    if as_json:
        listed = [asdict(section) for section in sections]
        print(json.dumps({"format": 1, "file": file, "tables": listed}, indent=2, ensure_ascii=False))
        return FINE
    for section in sections:
        print(f"{section.heading}: {section.about}")
        print(table(KEY_HEAD, [key.cells for key in section.keys]) if section.keys else "", end="\n\n")
    print(f"brackets new {file} FILE writes a short one that runs.")
    return FINE


def _facts_keys(name: str | None, as_schema: bool) -> int:
    """Every key of the facts.json that make, or another command by its name, writes: types and meaning."""
    import json

    from brackets.app.cli.screen import table
    from brackets.core.errors import InputError
    from brackets.core.units import shown
    from brackets.output.facts_schemas import COMMANDS, schema_of, schema_rows

    if name not in (None, *COMMANDS):
        others = ", ".join(COMMANDS)
        raise InputError(f"table = {shown(name)}, must be left out: facts.json is one table; or one of {others}")
    found = schema_of(name or "make")
    if as_schema:
        print(json.dumps(found, indent=2, ensure_ascii=False))
    else:
        print(table(("key", "type", "meaning"), list(dict.fromkeys(schema_rows(found)))))
    return FINE


def new(
    kind: Annotated[str, typer.Argument(metavar="bay|recipe|shop|readings|family", help="What to start.")],
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Must not be there yet.")],
) -> int:
    """A short commented file to start from, which runs.

    All in it is invented and says so: put your own figures in its place.
    """
    from brackets.app.gallery.files import write_start

    command = write_start(kind, file)
    what = kind if kind == "readings" else f"a {kind}"
    print(f"{file}: {what} to start from, ALL INVENTED; run it: {command}")
    return FINE
