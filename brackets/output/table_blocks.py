"""Tables on a sheet of paper, as blocks of rows: beside one another where they have room, parted where a page ends.

mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from brackets.drawing.record import Table
from brackets.output.blocks import LINE, SIZE, Block, heading, height_of, space
from brackets.output.page import MM, Page, width, wrapped

ROW = 5.2
"""mm: height of a table row, room to write."""

PAD = 1.4
"""mm: white at both sides of a cell."""

BESIDE = 6.0
"""mm between two tables."""

PENCIL = 24.0
"""mm: width of a column that is left blank for the pencil."""

BLANK = ("measured", "cut")
"""Columns for the pencil."""


def tabled(tables: Sequence[Table], wide: float, most: float) -> Iterator[Block]:
    """The tables, beside one another where they have room; one that is taller than `most` mm may be parted."""
    row: list[tuple[Table, list[float]]] = []
    for table in tables:
        sizes = widths(table, wide)
        if row and sum(sum(w) + BESIDE for _, w in row) + sum(sizes) > wide:
            yield from _abreast(row, most)
            row = []
        row.append((table, sizes))
    if row:
        yield from _abreast(row, most)


def _abreast(row: Sequence[tuple[Table, list[float]]], most: float) -> Iterator[Block]:
    stacks = [(tuple(_rows(table, sizes)), sum(sizes)) for table, sizes in row]
    if len(stacks) == 1 or max(height_of(stack) for stack, _ in stacks) > most:
        for stack, _ in stacks:
            yield from stack
            yield space(4.0)
        return

    def put(page: Page, left: float, top: float) -> None:
        for stack, wide in stacks:
            y = top
            for block in stack:
                block.draw(page, left, y)
                y -= block.height
            left += wide + BESIDE

    yield Block(max(height_of(stack) for stack, _ in stacks), put)
    yield space(4.0)


def _rows(table: Table, sizes: Sequence[float]) -> Iterator[Block]:
    """Heading, columns and rows; on a further page heading and columns again."""
    columns = _row(table.columns, sizes, bold=True, keep=True)
    again = (heading(f"{table.heading}, continued"), columns)
    yield heading(table.heading)
    yield columns
    last = len(table.rows) - 1
    for i, cells in enumerate(table.rows):
        yield replace(_row(cells, sizes, keep=i in (0, last - 1) and i < last), again=again)


def _row(cells: Sequence[str], sizes: Sequence[float], *, bold: bool = False, keep: bool = False) -> Block:
    """A row as high as its tallest cell: what is wider than its column goes on in a further line."""
    lines = [
        [cell] if width(cell, SIZE, bold=bold) <= room else wrapped(cell, room, SIZE, bold=bold)
        for cell, room in zip(cells, (size - 2 * PAD + 1e-6 for size in sizes), strict=True)
    ]
    tall = ROW + LINE * (max(map(len, lines), default=1) - 1)

    def put(page: Page, left: float, top: float) -> None:
        page.pen("tangent")
        x, low = left, top - tall
        for words, wide in zip(lines, sizes, strict=True):
            page.canvas.rect(x * MM, low * MM, wide * MM, tall * MM, stroke=1, fill=0)
            for i, each in enumerate(words):
                page.text((x + PAD, top - ROW + 1.6 - LINE * i), each, SIZE, bold=bold)
            x += wide

    return Block(tall, put, keep=keep)


def widths(table: Table, room: float) -> list[float]:
    """mm of each column: as wide as its widest cell; where there is no room for that the widest give way."""
    wide = [
        PENCIL
        if name in BLANK
        else max([width(name, SIZE, bold=True), *(width(cell, SIZE) for cell in cells)]) + 2 * PAD
        for name, *cells in zip(table.columns, *table.rows, strict=True)
    ]
    over = sum(wide) - room
    while over > 1e-9:
        widest = max(wide)
        many = [i for i, w in enumerate(wide) if w >= widest - 1e-9]
        below = max((w for w in wide if w < widest - 1e-9), default=0.0)
        less = min(widest - below, over / len(many))
        for i in many:
            wide[i] -= less
        over -= less * len(many)
    return wide
