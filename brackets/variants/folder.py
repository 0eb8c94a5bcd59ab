"""The folder of a family: the results as they finish, and its tables, there whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from brackets.core.finding import VERDICTS
from brackets.core.identity import UnknownContentError, identity
from brackets.output import facts, formats
from brackets.output.folder import fresh, refuse_foreign
from brackets.variants.job import program

if TYPE_CHECKING:
    from brackets.variants.page import Picture
    from brackets.variants.plan import Plan
    from brackets.variants.rows import Rows
    from brackets.variants.subject import Subject

KEPT = "results.jsonl"
"""What results are kept in; it is carried over whatever is written beside it."""

TABLES = ("rows.csv", "rows.xlsx", "rows.jsonl", "rows.html")

FORMAT = 1


def begun(folder: Path) -> None:
    """Makes the folder where it is not there, so that results can be kept in it. Raises InputError, OSError."""
    refuse_foreign(folder)
    if not folder.is_dir() or facts.listed(folder) is None:
        with fresh(folder) as at:
            formats.write("facts", {"format": FORMAT, "files": []}, at)


MADE_OF = "made_of"
"""Key of facts.json: what the tables were written from."""


def made_of(subject: Subject, plan: Plan, folder: Path, *, pictured: bool = False) -> str:
    """A key of all that the tables of a family follow from: program, recipe, bay, shop, rows, and kept results.

    "" where that cannot be told, as where a function of a script ties values.
    """
    try:
        results = facts.digest_of(folder / KEPT)
        rows = (plan.axes, plan.listed, dict(plan.tied), plan.left_out, plan.row_name, dict(plan.base))
        return identity("tables of a family", FORMAT, subject.name, subject.job.hash, rows, results, pictured)
    except (OSError, UnknownContentError):
        return ""


def unchanged(folder: Path, key: str) -> tuple[str, ...]:
    """Names of the tables in a folder that were made of `key` and are as we wrote them; none where one is not."""
    sums = facts.listed(folder) if key else None
    if not sums or sums.pop(facts.NAME) == "" or set(sums) != set(TABLES):
        return ()
    told = json.loads((folder / facts.NAME).read_bytes())
    if told.get(MADE_OF) != key:
        return ()
    for name, digest in sums.items():
        path = folder / name
        if path.is_symlink() or not path.is_file() or facts.digest_of(path) != digest:
            return ()
    return (*TABLES, facts.NAME)


def record(rows: Rows) -> dict[str, Any]:
    """What a family came to, for scripts."""
    verdicts = [row.verdict for row in rows]
    return {
        "format": FORMAT,
        "family": rows.name,
        "program": program(),
        "varied": list(rows.varied),
        "counts": {word: verdicts.count(word) for word in VERDICTS},
        "every_row": [{"label": f.label, "piece": f.piece, "said": f.said} for f in rows.common],
        "strength": _strength(rows),
    }


def _strength(rows: Rows) -> str:
    judged = [row.strength for row in rows if row.strength is not None]
    if not judged:
        return "not judged"
    return f"{sum(1 for one in judged if one.meets)} of {len(judged)} judged meet the rules you entered"


def write(
    rows: Rows,
    folder: Path,
    *,
    made_of: str = "",
    pictures: Mapping[int, Picture] | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """Writes rows.csv, rows.xlsx, rows.jsonl, rows.html and facts.json; their names. Raises OSError.

    made_of: the key by which the same run finds that nothing changed; "" where rows failed or nobody can tell.
    """
    each: tuple[Callable[[Path], None], ...]
    each = (rows.csv, rows.xlsx, rows.jsonl, partial(rows.html, pictures=pictures))
    writers = dict(zip(TABLES, each, strict=True))
    with fresh(folder) as at:
        for name, writer in writers.items():
            say(f"writing {name}")
            writer(at / name)
        formats.write("facts", {**record(rows), MADE_OF: made_of, "files": list(writers)}, at)
    return (*writers, facts.NAME)
