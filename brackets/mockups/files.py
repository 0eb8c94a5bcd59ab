"""The files of a mock-up: each bed as 3MF, each body as STL, the facts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from brackets.core.place import Place
from brackets.mockups.printed import WORDS
from brackets.mockups.record import Laid, MockUp
from brackets.output import facts, formats
from brackets.output.folder import fresh, stem, unique_stems
from brackets.output.format_writers import Bed
from brackets.output.items import Item


def write(
    made: MockUp, into: Path, *, page: str = "", say: Callable[[str], None] = lambda _: None
) -> tuple[str, ...]:
    """Write a mock-up into a folder; the names of its files, in order.

    made: by `mockup`; into: the folder, which is there whole or not at all; page: of its beds, as text, to stand
    beside them; say: a function that is told, in words, what is being done. A 3MF for each bed, every body an item
    under its name, and an STL for each body. Raises OSError as writing does.

    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_mockup(mockup(cup(od=70, bore=60, length=40)), pathlib.Path(folder, "mine"))
    ('cup-bed-1.3mf', 'cup.stl', 'facts.json')
    """
    name = stem(made.name)
    files: list[str] = []
    told = "; ".join(WORDS)
    stems = unique_stems((_called(name, body.name) for body in made.bodies), {facts.NAME})
    with fresh(into) as at:
        for number, bed in enumerate(made.beds, 1):
            called = f"{name}-bed-{number}"
            items = tuple(_item(laid) for laid in bed)
            files += formats.write(
                "bed", Bed(items, f"{made.name}, bed {number}", told), at, called, say=say
            )
        for body, called in zip(made.bodies, stems, strict=True):
            files += formats.write("printed", body.mesh, at, called, say=say)
        if page:
            files += formats.write("beds", page, at, f"{name}-beds", say=say)
        files.append(facts.NAME)
        formats.write("facts", made.record(files), at)
    return tuple(files)


def _called(name: str, body: str) -> str:
    return body if body.startswith(name) else f"{name}-{body}"


def _item(laid: Laid) -> Item:
    return Item(laid.body.name, laid.body.mesh, Place((*laid.at, 0.0)))
