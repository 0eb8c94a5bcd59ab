"""What a command on a file depends on, told without reading the file as what it is: nothing heavy is loaded."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterator
from pathlib import Path

from brackets.library.recipe import shipped

LARGEST = 2**28
"""Bytes: a file beside it that is larger is told by its size and the time it was written."""


def inputs_of(file: Path) -> tuple[tuple[str, str], ...]:
    """Name and content of a TOML file, of every file that a text in it names beside it (a scan, a shop profile, a
    recipe with the Python files in its folder, a list of points), and of the shipped recipes.

    Raises OSError where the file is not there, tomllib.TOMLDecodeError or UnicodeDecodeError where it cannot be
    read: the command that reads it says so in its own words.
    """
    found = {file.resolve()}
    for text in _texts(tomllib.loads(file.read_text("utf-8-sig"))):
        beside = file.parent / text.removeprefix("@")
        if len(text) < 1000 and "\0" not in text and beside.is_file():
            found.add(beside.resolve())
            if beside.suffix == ".py":
                found |= {one.resolve() for one in beside.parent.glob("*.py")}
    found |= set(shipped().glob("*.py"))
    return tuple((str(path), _content(path)) for path in sorted(found))


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts(one)


def _content(path: Path) -> str:
    told = path.stat()
    if told.st_size > LARGEST:
        return f"{told.st_size} bytes of {told.st_mtime_ns}"
    return hashlib.sha256(path.read_bytes()).hexdigest()
