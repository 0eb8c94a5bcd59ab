"""The kinds of file there are, each with its keys, a shipped file for examples, and a short one to start from."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Callable, Container
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from brackets.app.command_line import command_line
from brackets.bay.schema.keys import BAY_KEYS
from brackets.core.errors import InputError
from brackets.core.names import allowed
from brackets.core.schema.file_keys import FileKeys, Section, listed
from brackets.core.schema.json_schema import json_schema, values_where
from brackets.core.units import shown
from brackets.forming.shop_rows import SHOP_KEYS
from brackets.library.recipe import recipe, recipes, shipped
from brackets.output.folder import replacing
from brackets.survey.file_rows import READINGS_KEYS
from brackets.variants.file_rows import FAMILY_KEYS


def _values(name: str, known: Container[str]) -> dict[str, Any]:
    """Values of a recipe, those left out that the row has keys of its own for."""
    return values_where("recipe", name, [param for param in recipe(name).params if param.name not in known])


@dataclass(frozen=True)
class KindOfFile:
    """`keys` of a kind of file, and the text of the shipped one."""

    keys: FileKeys
    text: Callable[[], str]

    @property
    def sections(self) -> tuple[Section, ...]:
        """Its keys: the top of the file, then each table."""
        return tuple(listed(self.keys, tomllib.loads(self.text())))

    def json_schema(self) -> dict[str, Any]:
        """The schema of the file; of a part in a bay it knows the values of its recipe, where that is shipped."""
        schema = json_schema(self.keys, tomllib.loads(self.text()))
        for table in self.keys.tables:
            if table.open_to and table.form == "rows" and any(p.name == "recipe" for p in table.params):
                known = {param.name for param in table.params}
                row = schema["properties"][table.name]["items"]
                row["allOf"] = [*row.get("allOf", ()), *(_values(name, known) for name in recipes())]
        return schema


KINDS = {
    "bay": KindOfFile(BAY_KEYS, lambda: (shipped() / "tern.toml").read_text("utf-8")),
    "shop": KindOfFile(
        SHOP_KEYS, lambda: resources.files("brackets.forming").joinpath("shop.toml").read_text("utf-8")
    ),
    "readings": KindOfFile(READINGS_KEYS, lambda: (shipped() / "readings.toml").read_text("utf-8")),
    "family": KindOfFile(FAMILY_KEYS, lambda: (shipped() / "ears_family.toml").read_text("utf-8")),
}


def kind_of_file(name: str) -> KindOfFile:
    """The kind of file of this name. Raises InputError where there is none."""
    if name not in KINDS:
        raise InputError(f"file = {shown(name)}, {allowed(name, tuple(KINDS))}: kind of file")
    return KINDS[name]


STARTS = {
    "bay": (".toml", "brackets fit {file}"),
    "recipe": (".py", "brackets make {file} --pitch 90"),
    "shop": (".toml", "brackets make cup --shop {file}"),
    "readings": (".toml", "brackets measure {file}"),
    "family": (".toml", "brackets family {file}"),
}
"""What a start ends in, and the command that runs it."""


def start(kind: str) -> str:
    """The text of a start. Raises InputError where there is none of this kind."""
    if kind not in STARTS:
        raise InputError(f"kind = {shown(kind)}, {allowed(kind, tuple(STARTS))}: what to start")
    return resources.files("brackets.app.gallery").joinpath("starts", f"{kind}.txt").read_text("utf-8")


def write_start(kind: str, file: Path) -> str:
    """Writes a start; the command that runs it. Raises InputError where the file is there or ends in another way.

    Raises OSError where it cannot be written.
    """
    text = start(kind)
    ending, command = STARTS[kind]
    said = shown(str(file))
    if os.path.lexists(file):
        raise InputError(f"file = {said}, must not be there yet: nothing is written over")
    if file.suffix != ending:
        raise InputError(f"file = {said}, must end in {ending}: a {kind} to start from")
    with replacing(file) as new:
        new.write_text(text, "utf-8")
    return command.format(file=command_line([str(file)]))
