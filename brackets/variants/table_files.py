"""Rows of a family from a CSV or XLSX file as it comes, or from mappings: headings are names of values, and `name`.

A cell is read by its value's own rule, text with its unit; an empty one is not stated.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from zipfile import BadZipFile

from brackets.core.errors import BadFile, InputError
from brackets.core.schema.rule import Plain
from brackets.core.text_files import given_bytes, given_text
from brackets.core.units import shown
from brackets.library.recipe import Recipe
from brackets.variants.axes import MOST
from brackets.variants.plan import LONGEST_NAME, ListedRow, unknown

NAME = "name"
"""The heading of the names of rows."""

LARGEST = 200_000_000
"""Bytes: a million rows of twenty values."""

Cells = Mapping[str, object]


def listed_rows(
    recipe: Recipe, rows: str | Path | Sequence[Cells], *, bare: str = "mm", beside: Path | None = None
) -> tuple[ListedRow, ...]:
    """The rows of a file or of mappings; every wrong cell in one BadFile or InputError."""
    if not isinstance(rows, str | Path):
        return _checked(recipe, [(f"row {i}", row) for i, row in enumerate(rows, 1)], bare)
    path = (Path() if beside is None else beside) / rows
    try:
        if path.suffix.lower() == ".xlsx":
            return _checked(recipe, list(_sheet(path)), bare)
        return _checked(recipe, list(_text(path)), bare)
    except InputError as error:
        raise BadFile(path, *error.problems) from None


def _checked(recipe: Recipe, rows: Sequence[tuple[str, Cells]], bare: str) -> tuple[ListedRow, ...]:
    known = {param.name: param for param in recipe.params}
    wrong = [unknown(recipe, name) for name in dict.fromkeys(n for _, row in rows for n in row)
             if name != NAME and name.replace("-", "_") not in known]
    if len(rows) > MOST:
        wrong.append(f"rows = {len(rows)}, {MOST} or fewer: rows of a family")
    if wrong:
        raise InputError(*wrong)
    found = []
    for where, row in rows:
        values: dict[str, Plain] = {}
        for typed, cell in row.items():
            name = typed.replace("-", "_")
            if typed == NAME or cell is None or (isinstance(cell, str) and not cell.strip()):
                continue
            try:
                values[name] = known[name].from_toml(cell, bare=bare)
            except InputError as error:
                wrong += [f"{where}: {problem}" for problem in error.problems]
        called = row.get(NAME) or ""
        if not isinstance(called, str | int | float) or len(str(called)) > LONGEST_NAME:
            wrong.append(f"{where}: name = {shown(called)}, must be text of at most {LONGEST_NAME} characters")
        found.append(ListedRow(values=values, name=str(called).strip()))
    if wrong:
        raise InputError(*wrong)
    return tuple(found)


def _text(path: Path) -> Iterator[tuple[str, Cells]]:
    """Rows of a CSV file, parted by comma, semicolon or tab, whichever its heading has."""
    text = given_text(path, what="a CSV file of rows", largest=LARGEST)
    first = next((line for line in text.splitlines() if line.strip()), "")
    part = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=part, skipinitialspace=True)
    try:
        yield from _rows((f"line {reader.line_num}", cells) for cells in reader)
    except csv.Error as error:
        raise InputError(f"line {reader.line_num}: {error}, must be a CSV file of rows") from None


def _sheet(path: Path) -> Iterator[tuple[str, Cells]]:
    """Rows of the first sheet of a workbook."""
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    data = given_bytes(path, what="a workbook (XLSX) of rows", largest=LARGEST)
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        yield from _rows((f"row {i}", list(cells)) for i, cells in enumerate(sheet.values, 1))
    except (InvalidFileException, BadZipFile, KeyError, IndexError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        raise InputError(f"{str(error)[:100]}, must be a workbook (XLSX) of rows") from None


def _rows(lines: Iterator[tuple[str, Sequence[object]]]) -> Iterator[tuple[str, Cells]]:
    """Cells by their headings; empty lines are passed over."""
    heads: list[str] | None = None
    for where, cells in lines:
        if all(cell is None or not str(cell).strip() for cell in cells):
            continue
        if heads is None:
            heads = [str(cell or "").strip() for cell in cells]
            twice = sorted({head for head in heads if head and heads.count(head) > 1})
            if twice:
                raise InputError(f"heading = {', '.join(twice)}, each once: it is there twice")
            continue
        bare = [str(cell) for head, cell in zip(heads, cells, strict=False) if not head and cell not in (None, "")]
        bare += [str(cell) for cell in cells[len(heads) :] if cell not in (None, "")]
        if bare:
            raise InputError(f"{where}: {shown(bare[0])} has no heading over it, must be the name of a value")
        yield where, {head: cell for head, cell in zip(heads, cells, strict=False) if head}
    if heads is None:
        raise InputError("no heading, must have one: names of values")
