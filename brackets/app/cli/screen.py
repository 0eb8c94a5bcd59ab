"""Tables that line up on a narrow terminal, and progress on a terminal alone."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from itertools import zip_longest
from shutil import get_terminal_size

GAP = "  "
LEAST = 12
"""Columns a cell is wrapped to at the narrowest; below that a row is printed as lines instead."""
WIDEST = 110


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = (), width: int | None = None
) -> str:
    """Rows under their headings, wide cells wrapped to the terminal; columns `right` are set right.

    Where the terminal is too narrow for that, each row is its cells one under the other.
    """
    room = _width(width) - len(GAP) * (len(head) - 1)
    sizes = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head))]
    while sum(sizes) > room and max(sizes) > LEAST:
        sizes[sizes.index(max(sizes))] -= 1
    if sum(sizes) > room:
        return "\n\n".join(_upright(head, row, _width(width)) for row in rows)
    rule = GAP.join("-" * size for size in sizes)
    lines = [_level(cells, sizes, right) for cells in (head, *rows)]
    return "\n".join((lines[0], rule, *lines[1:]))


def facts(pairs: Sequence[tuple[str, str]], *, width: int | None = None) -> str:
    """Name and value, one a line, values lined up and wrapped."""
    size = max((len(name) for name, _ in pairs), default=0)
    left = max(_width(width) - size - len(GAP), LEAST)
    return "\n".join(_level(pair, [size, left], ()) for pair in pairs)


def line(text: str) -> str:
    """One finding or sentence: wrapped on a terminal, whole in a pipe, where it is searched for."""
    if not sys.stdout.isatty():
        return text
    return textwrap.fill(text, _width(None), subsequent_indent=GAP, break_on_hyphens=False)


def _width(width: int | None) -> int:
    return min(get_terminal_size((WIDEST, 24)).columns, WIDEST) if width is None else width


def _level(cells: Sequence[str], sizes: Sequence[int], right: Sequence[int]) -> str:
    wrapped = [textwrap.wrap(cell, size, break_on_hyphens=False) for cell, size in zip(cells, sizes, strict=True)]
    lines = []
    for texts in zip_longest(*wrapped, fillvalue=""):
        padded = (
            t.rjust(n) if i in right else t.ljust(n) for i, (t, n) in enumerate(zip(texts, sizes, strict=True))
        )
        lines.append(GAP.join(padded).rstrip())
    return "\n".join(lines)


def _upright(head: Sequence[str], row: Sequence[str], width: int) -> str:
    return "\n".join(
        textwrap.fill(f"{name}: {cell}", max(width, LEAST), subsequent_indent="  ")
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
