"""Points and lists from a spreadsheet: the text that the same entries would be if typed."""

from __future__ import annotations

import re
from pathlib import Path

from brackets.errors import BadFile, OutOfRange
from brackets.given import given_text

LARGEST = 1_000_000
"""Bytes: a list of points is a few lines; anything larger is another file by mistake."""


def csv_text(path: str, *, beside: Path | None, name: str) -> str:
    """Entries "0,0; 80,0" of a CSV file, one a line; a heading line and lines starting with # are left out.

    `path` is relative to `beside`, or to where the program runs. Raises OutOfRange where there is no such file.
    """
    where = (Path.cwd() if beside is None else beside) / path
    shown = f'{name} = "@{path}"'
    try:
        text = given_text(where, what="a list from a file", largest=LARGEST)
    except BadFile as error:
        raise OutOfRange(f"{shown}, {'; '.join(error.problems)}") from None
    lines = [line.strip() for line in text.splitlines()]
    rows = [re.split(r"\s*[,;\t]\s*", line) for line in lines if line and not line.startswith("#")]
    if rows and not any(re.search(r"\d", cell) for cell in rows[0]):
        rows = rows[1:]
    return "; ".join(",".join(cell for cell in row if cell) for row in rows)
