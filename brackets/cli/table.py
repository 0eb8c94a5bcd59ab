"""Plain text tables that line up, and that stay readable on a narrow terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from shutil import get_terminal_size

GAP = "  "
NARROW = 24
"""Columns left for the last cell below which a row is printed as lines instead."""
WIDEST = 110


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = (), width: int | None = None
) -> str:
    """Rows under their headings, the last column wrapped to the terminal; columns `right` are set right.

    Where the terminal is too narrow for that, each row is its cells one under the other.
    """
    if width is None:
        width = min(get_terminal_size((WIDEST, 24)).columns, WIDEST)
    sizes = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head) - 1)]
    left = width - sum(size + len(GAP) for size in sizes)
    if left < NARROW:
        return "\n\n".join(_upright(head, row, width) for row in rows)
    lines = [_level(cells, sizes, left, right) for cells in (head, *rows)]
    rule = GAP.join("-" * size for size in (*sizes, min(left, max(map(len, (c[-1] for c in (head, *rows)))))))
    return "\n".join((lines[0], rule, *lines[1:]))


def facts(pairs: Sequence[tuple[str, str]], *, width: int | None = None) -> str:
    """Name and value, one a line, values lined up and wrapped."""
    if width is None:
        width = min(get_terminal_size((WIDEST, 24)).columns, WIDEST)
    size = max((len(name) for name, _ in pairs), default=0)
    left = max(width - size - len(GAP), NARROW)
    return "\n".join(_level((name, value), [size], left, ()) for name, value in pairs)


def _level(cells: Sequence[str], sizes: Sequence[int], left: int, right: Sequence[int]) -> str:
    start = GAP.join(
        cell.rjust(size) if i in right else cell.ljust(size)
        for i, (cell, size) in enumerate(zip(cells[:-1], sizes, strict=True))
    )
    indent = " " * (len(start) + len(GAP)) if sizes else ""
    wrapped = textwrap.wrap(cells[-1], left, break_on_hyphens=False) or [""]
    first = f"{start}{GAP}{wrapped[0]}" if sizes else wrapped[0]
    return "\n".join([first.rstrip(), *(indent + line for line in wrapped[1:])])


def _upright(head: Sequence[str], row: Sequence[str], width: int) -> str:
    return "\n".join(
        textwrap.fill(f"{name}: {cell}", max(width, NARROW), subsequent_indent="  ")
        for name, cell in zip(head, row, strict=True)
        if cell
    )
