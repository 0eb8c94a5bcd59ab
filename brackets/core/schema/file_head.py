"""The head of a TOML file that a person wrote: its format, unit of bare numbers, name, and the keys it may hold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from brackets.core.errors import BadFile
from brackets.core.schema.file_keys import UNITS, FileKeys
from brackets.core.tables.lookup import nearest
from brackets.core.text_files import LONGEST_NAME
from brackets.core.units import row_name, shown

Table = Mapping[str, object]


def known_format(raw: Table, keys: FileKeys, *, path: Path, known: int) -> None:
    """Refuses a file of another format before anything else of it is read. Raises BadFile."""
    found = raw.get("format")
    if found != known or isinstance(found, bool):
        newer = isinstance(found, int) and found > known
        hint = ": written for a newer version of this program" if newer else ""
        raise BadFile(path, f"format = {shown(found)}, must be {known}: the format of a {keys.title}{hint}")


def strange_keys(raw: Table, keys: FileKeys) -> Iterator[str]:
    """A line for every key at the top that the file may not hold."""
    for key in raw:
        if key not in keys.names:
            yield f"{row_name(key, 0)}: no such key, nearest: {', '.join(nearest(key, keys.names, n=1)) or 'none'}"


def unit_of(raw: Table, problems: list[str]) -> str:
    """Unit of bare numbers; mm, with a line among the problems, where it is none."""
    found = raw.get("unit", "mm")
    if found in UNITS:
        return str(found)
    problems.append(f'unit = {shown(found)}, must be "mm" or "in": unit of bare numbers')
    return "mm"


def name_of(raw: Table, stem: str, problems: list[str], *, what: str, other: str) -> str:
    """What it is called: its own name, else the file's `stem`, else `other` where the stem will not do."""
    named = raw.get("name", stem)
    if isinstance(named, str) and named.isprintable() and len(named) <= LONGEST_NAME:
        return named
    if "name" in raw:
        problems.append(f"name = {shown(named)}, must be one line of at most {LONGEST_NAME} characters: {what}")
    return other
