"""What several verbs share: their options, NAME VALUE pairs, tables for a narrow terminal, progress."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import zip_longest
from pathlib import Path
from shutil import get_terminal_size
from typing import Annotated

import typer

from brackets.app.cli.wrapping import fragments, wrap
from brackets.core.errors import InputError

GAP = "  "
LEAST = 8
"""Letters a cell is wrapped to at the narrowest; below that a row is printed as lines instead."""
WIDEST = 110


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = (), width: int | None = None
) -> str:
    """Rows under their headings, wide cells wrapped to the terminal; columns `right` are set right.

    Words are broken, and then only after / _ -, where the table would not go on the terminal otherwise. Where it is
    too narrow for that too, each row is its cells one under the other.
    """
    room = _width(width) - len(GAP) * (len(head) - 1)
    columns = [[row[i] for row in (head, *rows)] for i in range(len(head))]
    sizes = _sizes(columns, room)
    if sizes is None:
        return "\n\n".join(_upright(head, row, _width(width)) for row in rows)
    rule = GAP.join("-" * size for size in sizes)
    lines = [_level(cells, sizes, right) for cells in (head, *rows)]
    return "\n".join((lines[0], rule, *lines[1:]))


def _sizes(columns: Sequence[Sequence[str]], room: int) -> list[int] | None:
    """Width of each column, the widest narrowed first until all go into `room`; None where they do not."""
    for broken in (lambda word: [word], fragments):
        sizes = [max(map(len, cells)) for cells in columns]
        parts = [[part for cell in cells for word in cell.split() for part in broken(word)] for cells in columns]
        least = [
            min(size, max(LEAST, *map(len, those), 0)) for size, those in zip(sizes, parts, strict=True)
        ]
        while sum(sizes) > room:
            wide = [i for i, size in enumerate(sizes) if size > least[i]]
            if not wide:
                break
            sizes[max(wide, key=sizes.__getitem__)] -= 1
        else:
            return sizes
    return None


def facts(pairs: Sequence[tuple[str, str]], *, width: int | None = None) -> str:
    """Name and value, one a line, values lined up and wrapped."""
    size = max((len(name) for name, _ in pairs), default=0)
    left = max(_width(width) - size - len(GAP), LEAST)
    return "\n".join(_level(pair, [size, left], ()) for pair in pairs)


def line(text: str) -> str:
    """One finding or sentence: wrapped on a terminal, whole in a pipe, where it is searched for."""
    if not sys.stdout.isatty():
        return text
    return "\n".join(wrap(text, _width(None), indent=GAP))


def _width(width: int | None) -> int:
    return min(get_terminal_size((WIDEST, 24)).columns, WIDEST) if width is None else width


def _level(cells: Sequence[str], sizes: Sequence[int], right: Sequence[int]) -> str:
    wrapped = [wrap(cell, size) for cell, size in zip(cells, sizes, strict=True)]
    lines = []
    for texts in zip_longest(*wrapped, fillvalue=""):
        padded = (
            t.rjust(n) if i in right else t.ljust(n) for i, (t, n) in enumerate(zip(texts, sizes, strict=True))
        )
        lines.append(GAP.join(padded).rstrip())
    return "\n".join(lines)


def _upright(head: Sequence[str], row: Sequence[str], width: int) -> str:
    return "\n".join(
        "\n".join(wrap(f"{name}: {cell}", max(width, LEAST), indent=GAP))
        for name, cell in zip(head, row, strict=True)
        if cell
    )


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Gives a function that shows one short text in place of the one before; wiped at the end."""
    live = sys.stderr.isatty()

    def say(doing: str) -> None:
        if live:
            width = max(get_terminal_size().columns - 1, 10)
            print(f"\r{doing[:width]:<{width}}", end="\r", file=sys.stderr, flush=True)

    try:
        yield say
    finally:
        say("")


Into = Annotated[Path | None, typer.Option("--into", metavar="DIR", help="Folder for the files; default out/NAME.")]
AsJson = Annotated[bool, typer.Option("--json", help="The same facts as JSON, for scripts.")]
Paper = Annotated[
    str | None, typer.Option("--paper", metavar="A4|A3|Letter", help="Paper of the templates; default the shop's.")
]
Revision = Annotated[str, typer.Option("--revision", metavar="TEXT", help="What the sheets are marked.")]
By = Annotated[str, typer.Option("--by", metavar="TEXT", help="Who drew it, for the title blocks.")]
Date = Annotated[str, typer.Option("--date", metavar="TEXT", help="Its date, for the title blocks, as typed.")]
Tolerance = Annotated[
    str,
    typer.Option(
        "--general-tolerance", metavar="CLASS", help="For the title blocks: ISO 2768-m, ISO 13920-B."
    ),
]
Semicolons = Annotated[
    bool, typer.Option("--semicolons", help="CSV with ; between cells and a byte order mark, for spreadsheets.")
]
ShopFile = Annotated[
    Path | None, typer.Option("--shop", metavar="FILE", help="Your shop profile; the SAMPLE shop otherwise.")
]
NoFiles = Annotated[bool, typer.Option("--no-files", help="Work it out, write nothing.")]
Bare = Annotated[str, typer.Option("--bare", metavar="mm|in", help="Unit of numbers written without one.")]


@dataclass(frozen=True)
class Typed:
    """The plain words, the text of every named value, and one line for each pair that is not one."""

    words: tuple[str, ...]
    texts: dict[str, str]
    problems: tuple[str, ...]


def split(arguments: Sequence[str]) -> Typed:
    """Words and pairs of "ears --t 6 --seat=flat"; every named value needs a text."""
    words: list[str] = []
    texts: dict[str, str] = {}
    problems: list[str] = []
    rest = list(arguments)
    while rest:
        word = rest.pop(0)
        if not word.startswith("--") or word == "--":
            words.append(word)
            continue
        name, equals, value = word[2:].partition("=")
        if not equals:
            if not rest or rest[0].startswith("--"):
                problems.append(f"--{name} = nothing, must be followed by a value: --{name} VALUE")
                continue
            value = rest.pop(0)
        if name.replace("_", "-") in texts:
            problems.append(f"--{name} = {value}, must be given once: it is there twice")
        texts[name.replace("_", "-")] = value
    return Typed(tuple(words), texts, tuple(problems))


def one_word(typed: Typed, what: str, example: str) -> str:
    """The one plain word there must be; InputError where there are none or several."""
    if len(typed.words) == 1:
        return typed.words[0]
    if not typed.words:
        raise InputError(f"{what} = nothing, must be given: {example}")
    raise InputError(
        f'{what} = "{" ".join(typed.words)}", must be one word: {example}; a value needs its name, --NAME VALUE'
    )
