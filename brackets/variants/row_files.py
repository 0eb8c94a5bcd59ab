"""The files of single rows: what `make` writes of a recipe's, what `fit` writes of a bay with that row's values."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from pathlib import Path

from brackets.core.errors import InputError
from brackets.core.marks import NO_MARKS, Marks
from brackets.core.units import shown
from brackets.library.recipe import recipe
from brackets.output.facts import made_from
from brackets.output.folder import unique_stems
from brackets.variants.job import Job
from brackets.variants.result import Row

FOLDER = "rows"
"""Where they go, a folder for each row, beside the tables of the family."""


def chosen(rows: Sequence[Row], asked: str) -> list[Row]:
    """The rows of "all", which are those that do not stop, or of their numbers "3, 7". Raises InputError."""
    if asked.strip() == "all":
        return [row for row in rows if not row.stops]
    found, wrong = [], []
    for word in asked.split(","):
        number = int(word) if word.strip().isdecimal() and len(word) < 10 else 0
        if not 1 <= number <= len(rows):
            wrong.append(f"files = {shown(word.strip())}, must be all or numbers of rows, 1 to {len(rows)}")
        elif rows[number - 1].refused or rows[number - 1].failed:
            wrong.append(f"files = {number}, a row that is a part: row {number} is {rows[number - 1].verdict}")
        else:
            found.append(rows[number - 1])
    if wrong:
        raise InputError(*wrong)
    return found


def write(
    job: Job, rows: Sequence[Row], into: Path, *, marks: Marks = NO_MARKS, say: Callable[[str], None]
) -> tuple[Path, ...]:
    """Writes the files of these rows, each into a folder of its own below `into`; the folders.

    Raises KernelFailed, InputError and OSError as `make` and `fit` do; rows before are whole then.
    """
    names = unique_stems((row.name if row.name != str(row.number) else f"row_{row.number}" for row in rows), set())
    folders = tuple(into / name for name in names)
    for row, folder in zip(rows, folders, strict=True):
        say(f"row {row.name}: writing its files")
        with made_from((file.path, file.sha256) for file in job.files if Path(file.path).suffix):
            _row(job, row, folder, marks)
    return folders


def _row(job: Job, row: Row, folder: Path, marks: Marks) -> None:
    if job.part:
        from brackets.bay.fitting import fit
        from brackets.output import bay_files
        from brackets.variants.bay_result import with_values

        bay = with_values(Path(job.files[0].path), job.part, row.given, recipe(job.files[1].path).Params)
        bay_files.write(fit(bay if job.shop is None else replace(bay, shop=job.shop)), folder, marks=marks)
        return
    from brackets.output import part_files

    opened = recipe(job.files[0].path)
    part_files.write(part_files.made(opened, opened.Params(**row.given), job.shop), folder, **asdict(marks))
