"""What a command on a file depends on, told without reading the file as what it is: nothing heavy is loaded."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path

from brackets.core.errors import BadFile
from brackets.core.text_files import given_toml, texts_in
from brackets.library.recipe import shipped

LARGEST = 2**28
"""Bytes: a file beside it that is larger is told by its size and the time it was written."""

LONGEST = 1000
"""Characters of a text that may be a file's name."""


def files_of(file: Path) -> set[Path]:
    """A TOML file, and every file that a text in it names beside it (a scan, a shop profile, a recipe with the
    Python files in its folder, a list of points).

    Raises BadFile where the file cannot be read: the command that reads it says so in its own words.
    """
    texts = _texts_in(file)
    return named(texts, file.parent) | {file.resolve()}


def named(texts: Iterable[str], beside: Path) -> set[Path]:
    """The files that texts name, from the folder `beside`; with a Python file those in its folder."""
    return {path.resolve() for path in _paths(texts, beside) if path.is_file()}


def watched(file: Path) -> set[Path]:
    """Every path whose change may change what comes of a TOML file, whether or not anything is there; the file
    alone where it cannot be read."""
    try:
        return {file, *_paths(_texts_in(file), file.parent), *shipped().glob("*.py")}
    except BadFile:
        return {file}


def _texts_in(file: Path) -> Iterator[str]:
    return texts_in(given_toml(file, what="a file of ours"))


def _paths(texts: Iterable[str], beside: Path) -> Iterator[Path]:
    """What texts would name if they named files."""
    for text in texts:
        if 0 < len(text) < LONGEST and "\0" not in text:
            with suppress(RuntimeError, OSError):  # a home that nobody has, a name that is too long
                path = beside / Path(text.removeprefix("@")).expanduser()
                yield path
                if path.suffix == ".py":
                    yield from path.parent.glob("*.py")


def inputs_of(*files: Path | None) -> tuple[tuple[str, str], ...]:
    """Name and content of TOML files with what they name, and of the shipped recipes. Raises as `files_of` does."""
    return contents(set().union(*(files_of(file) for file in files if file is not None)))


def inputs_typed(target: str, texts: Iterable[str], shop: Path | None) -> tuple[tuple[str, str], ...]:
    """Those of a command on a recipe or a bay: what it names, what the values typed name from here, and the shop.
    Raises as `files_of` does."""
    files = [file for file in (shop, Path(target) if target.endswith(".toml") else None) if file is not None]
    return contents(set().union(*map(files_of, files), named((target, *texts), Path.cwd())))


def contents(files: Iterable[Path]) -> tuple[tuple[str, str], ...]:
    """Name and content of each file and of the shipped recipes. Raises OSError."""
    return tuple((str(path), _content(path)) for path in sorted({*files, *shipped().glob("*.py")}))


def _content(path: Path) -> str:
    told = path.stat()
    if told.st_size > LARGEST:
        return f"{told.st_size} bytes of {told.st_mtime_ns}"
    return hashlib.sha256(path.read_bytes()).hexdigest()
