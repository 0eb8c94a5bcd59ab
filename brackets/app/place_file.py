"""Writes a position of the powertrain into its bay file; every byte that does not say it stays as it was."""

from __future__ import annotations

import os
from codecs import BOM_UTF8
from pathlib import Path

from brackets.app.preview.place_back import with_place
from brackets.app.preview.typed_place import figure_text
from brackets.bay.position.placing import SHIFTS, typed_position
from brackets.bay.schema.asked import FIGURES
from brackets.bay.schema.record import Bay
from brackets.clearance.places import Array
from brackets.core.units import length
from brackets.output.folder import replacing

SAME = 1e-9
"""mm and degrees within which a figure is the one that is there already."""


def read_only(path: Path) -> bool:
    """Whether its owner has closed a file, or nobody here may write it: it could be replaced all the same."""
    return not path.stat().st_mode & 0o222 or not os.access(path, os.W_OK)


def write_place(bay: Bay, at: Array) -> tuple[str, ...]:
    """Writes a position (6,) under [powertrain] of the bay's own file: a line for each figure that is new.

    Raises OSError where the file cannot be written, InputError where the place stands in a form that is left to the
    hand."""
    old = typed_position(bay.powertrain)
    new = [i for i in range(len(at)) if abs(at[i] - old[i]) > SAME]
    if not new:
        return ()
    mark, text = _read(bay.path)
    text, _ = with_place(text, {FIGURES[i]: figure_text(i, float(at[i]), bay.bare) for i in new}, bare=bay.bare)
    with replacing(bay.path) as beside:
        beside.write_bytes(mark + text.encode("utf-8"))
    told = []
    if any(i < SHIFTS for i in new):
        figures = ", ".join(f"{at[i] / length(1.0, bare=bay.bare):g}" for i in range(SHIFTS))
        told.append(f"place.at = [{figures}] {bay.bare}")
    told += [f"place.{FIGURES[i]} = {figure_text(i, float(at[i]), bay.bare)}" for i in new if i >= SHIFTS]
    return tuple(told)


def _read(path: Path) -> tuple[bytes, str]:
    """The mark that some editors put before a file, and its text with the ends of lines as they are."""
    found = path.read_bytes()
    mark = BOM_UTF8 if found.startswith(BOM_UTF8) else b""
    return mark, found.removeprefix(mark).decode("utf-8")
