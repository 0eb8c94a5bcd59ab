"""A small picture of each row of a family, and its page to be turned about, beside the tables."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from brackets.app.preview.build import source, whole
from brackets.app.preview.fields import Refused
from brackets.app.preview.offline import page
from brackets.app.preview.png import write
from brackets.app.preview.shot import Shot
from brackets.core.errors import InputError
from brackets.output import formats
from brackets.output.folder import fresh
from brackets.variants.page import Picture
from brackets.variants.rows import Rows

MOST = 500
"""Rows that are drawn: a page of its own is 1 MB and takes seconds, of a bay as long as its fit."""

SIZE = (240, 160)
"""Pixels of a picture: some 10 kB."""

FOLDER = "views"
"""Where the pages go, beside the tables."""


def drawn(rows: Rows, folder: Path, say: Callable[[str], None]) -> dict[int, Picture]:
    """A picture of each row that is a part, by its number; its page is written below `folder`.

    Raises InputError where there are too many, KernelFailed and OSError as `brackets view --html` does.
    """
    params = {param.name: param for param in rows.params}
    there = [row for row in rows if not (row.refused or row.failed)]
    if len(there) > MOST:
        raise InputError(f"--pictures = {len(there)} rows, must be {MOST} or fewer: rows that are drawn")
    what = source(rows.job.files[0].path, bare="mm")
    found: dict[int, Picture] = {}
    with fresh(folder / FOLDER) as at:
        for row in there:
            say(f"row {row.name}: drawing")
            texts = {name: params[name].to_text(value) for name, value in row.given.items()}
            try:
                block = whole(what, {rows.job.part: texts} if texts else {})
            except Refused as refused:
                raise refused.as_input_error() from None
            name = f"row_{row.number}.html"
            (at / name).write_text(page(block), "utf-8")
            found[row.number] = Picture(png=_png(block), href=f"{FOLDER}/{name}")
        formats.write("facts", {"format": 1, "files": [Path(one.href).name for one in found.values()]}, at)
    return found


def _png(block: bytes) -> bytes:
    with TemporaryDirectory() as folder:
        path = Path(folder, "picture.png")
        write(block, path, Shot(size=SIZE, axes=False))
        return path.read_bytes()
