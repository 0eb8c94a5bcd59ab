"""Reads the tables of a TOML file that a person wrote by the rules of their rows, everything wrong said at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TypeVar

from brackets.core.errors import InputError
from brackets.core.names import nearest
from brackets.core.schema.checked import Checked
from brackets.core.schema.file_keys import UNITS, FileKeys
from brackets.core.schema.file_kinds import mistaken
from brackets.core.schema.reading import from_mapping
from brackets.core.schema.refused import Refused
from brackets.core.text_files import LONGEST_NAME, MOST_ROWS
from brackets.core.units import row_name, shown

C = TypeVar("C", bound=Checked)
Table = Mapping[str, object]


class FileReader:
    """One file: its format, unit and name first, then its tables and lists of tables.

    `problems` gathers a line for everything that is wrong; whoever made the reader refuses the file with them.
    `refused` has the rows that are in the file and wrong.
    Raises InputError at once where the file is of another kind or format, since nothing else of it can be told.
    """

    def __init__(self, raw: Table, keys: FileKeys, *, format: int, beside: Path | None = None) -> None:
        other = mistaken(raw, keys.title)
        if other:
            raise InputError(other)
        told = raw.get("format")
        if told != format or isinstance(told, bool):
            newer = isinstance(told, int) and told > format
            hint = ": written for a newer version of this program" if newer else ""
            raise InputError(f"format = {shown(told)}, must be {format}: the format of a {keys.title}{hint}")
        self.raw, self.beside = raw, beside
        self.refused = Refused()
        self.problems = [
            f"{row_name(key, 0)}: no such key, nearest: {', '.join(nearest(key, keys.names, n=1)) or 'none'}"
            for key in raw
            if key not in keys.names
        ]
        self.bare = self._unit()

    def _unit(self) -> str:
        found = self.raw.get("unit", "mm")
        if found in UNITS:
            return str(found)
        self.problems.append(f'unit = {shown(found)}, must be "mm" or "in": unit of bare numbers')
        return "mm"

    def name(self, stem: str, *, what: str, other: str) -> str:
        """What the file calls itself, else its `stem`, else `other` where the stem will not do."""
        named = self.raw.get("name", stem)
        if isinstance(named, str) and named.isprintable() and len(named) <= LONGEST_NAME:
            return named
        if "name" in self.raw:
            allowed = f"must be one line of at most {LONGEST_NAME} characters"
            self.problems.append(f"name = {shown(named)}, {allowed}: {what}")
        return other

    def table(self, key: str) -> Table:
        """The table of that name as it was typed; empty where there is none."""
        value = self.raw.get(key, {})
        if isinstance(value, Mapping):
            return value
        self.problems.append(f"{key} = {shown(value)}, must be a table: [{key}]")
        return {}

    def rows(self, key: str, *, most: int = MOST_ROWS) -> Sequence[Table]:
        """The tables of a list, as they were typed."""
        value = self.raw.get(key, [])
        if isinstance(value, list) and len(value) > most:
            self.problems.append(f"{key} = {len(value)} rows, must be {most} or fewer: [[{key}]]")
            return []
        if isinstance(value, list) and all(isinstance(row, Mapping) for row in value):
            return value
        self.problems.append(f"{key} = {shown(value)}, must be a list of tables: [[{key}]]")
        return []

    def one(self, cls: type[C], row: object, where: str) -> C | None:
        """A table by the rules of its row, or None where something of it is wrong; `where` names it."""
        if not isinstance(row, Mapping):
            self.problems.append(f"{where} = {shown(row)}, must be a table")
            return None
        try:
            return from_mapping(cls, row, bare=self.bare, where=where, beside=self.beside)
        except InputError as error:
            self.problems += error.problems
            self.refused.add(cls, row.get("name"))
            return None

    def given(self, key: str, cls: type[C]) -> C | None:
        """The table of that name by the rules of its row; left out whole, every key of it has its default."""
        return self.one(cls, self.table(key), key)

    def many(
        self, key: str, cls: type[C], *, called: Callable[[Table], object] | None = None, most: int = MOST_ROWS
    ) -> tuple[C, ...]:
        """The rows of a list that are right; a message names a row by what it is `called`, else by its `name`."""
        made = [
            self.one(cls, row, f"{key} {row_name(called(row) if called else row.get('name'), i)}")
            for i, row in enumerate(self.rows(key, most=most), 1)
        ]
        return tuple(row for row in made if row is not None)
