"""The folder of a family: the results as they finish, and its tables, there whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brackets.output import facts, formats
from brackets.output.folder import fresh, refuse_foreign
from brackets.variants.job import program

if TYPE_CHECKING:
    from brackets.variants.page import Picture
    from brackets.variants.rows import Rows

KEPT = "results.jsonl"
"""What results are kept in; it is carried over whatever is written beside it."""

FORMAT = 1


def begun(folder: Path) -> None:
    """Makes the folder where it is not there, so that results can be kept in it. Raises InputError, OSError."""
    refuse_foreign(folder)
    if not folder.is_dir() or facts.listed(folder) is None:
        with fresh(folder) as at:
            formats.write("facts", {"format": FORMAT, "files": []}, at)


def record(rows: Rows) -> dict[str, Any]:
    """What a family came to, for scripts."""
    verdicts = [row.verdict for row in rows]
    return {
        "format": FORMAT,
        "family": rows.name,
        "program": program(),
        "varied": list(rows.varied),
        "counts": {word: verdicts.count(word) for word in ("fine", "caution", "STOP", "refused", "failed")},
        "every_row": [{"label": f.label, "piece": f.piece, "said": f.said} for f in rows.common],
        "strength": "not judged",
    }


def write(
    rows: Rows,
    folder: Path,
    *,
    pictures: Mapping[int, Picture] | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """Writes rows.csv, rows.xlsx, rows.jsonl, rows.html and facts.json; their names. Raises OSError."""
    writers: dict[str, Callable[[Path], None]] = {
        "rows.csv": rows.csv,
        "rows.xlsx": rows.xlsx,
        "rows.jsonl": rows.jsonl,
        "rows.html": partial(rows.html, pictures=pictures),
    }
    with fresh(folder) as at:
        for name, writer in writers.items():
            say(f"writing {name}")
            writer(at / name)
        formats.write("facts", {**record(rows), "files": list(writers)}, at)
    return (*writers, facts.NAME)
