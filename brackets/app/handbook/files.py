"""The kinds of file there are, each with its keys and the shipped file that examples are taken from."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from importlib import resources

from brackets.bay.keys import BAY_KEYS
from brackets.core.errors import OutOfRange
from brackets.core.schema.file_keys import FileKeys, Section, listed
from brackets.core.schema.json_schema import json_schema
from brackets.core.tables.lookup import allowed
from brackets.core.units import shown
from brackets.forming.shop_rows import SHOP_KEYS
from brackets.library.recipe import shipped
from brackets.survey.file_keys import READINGS_KEYS


@dataclass(frozen=True)
class KindOfFile:
    """`keys` of a kind of file, and the text of the shipped one."""

    keys: FileKeys
    text: Callable[[], str]

    @property
    def sections(self) -> tuple[Section, ...]:
        """Its keys: the top of the file, then each table."""
        return tuple(listed(self.keys, tomllib.loads(self.text())))

    def json_schema(self) -> dict[str, object]:
        return json_schema(self.keys, tomllib.loads(self.text()))


KINDS = {
    "bay": KindOfFile(BAY_KEYS, lambda: (shipped() / "alder.toml").read_text("utf-8")),
    "shop": KindOfFile(
        SHOP_KEYS, lambda: resources.files("brackets.forming").joinpath("shop.toml").read_text("utf-8")
    ),
    "readings": KindOfFile(READINGS_KEYS, lambda: (shipped() / "readings.toml").read_text("utf-8")),
}


def kind_of_file(name: str) -> KindOfFile:
    """The kind of file of this name. Raises OutOfRange where there is none."""
    if name not in KINDS:
        raise OutOfRange(f"file = {shown(name)}, {allowed(name, tuple(KINDS))}: kind of file")
    return KINDS[name]
