"""Short files to start from: each runs as it is, is invented, and says so."""

from __future__ import annotations

import os
from importlib import resources
from pathlib import Path

from brackets.core.errors import InputError
from brackets.core.tables.lookup import allowed
from brackets.core.units import shown
from brackets.output.folder import replacing

STARTS = {
    "bay": (".toml", "brackets fit {file}"),
    "recipe": (".py", "brackets make {file} --pitch 90"),
    "shop": (".toml", "brackets make cup --shop {file}"),
    "readings": (".toml", "brackets measure {file}"),
}
"""What a start ends in, and the command that runs it."""


def start(kind: str) -> str:
    """The text of a start. Raises InputError where there is none of this kind."""
    if kind not in STARTS:
        raise InputError(f"kind = {shown(kind)}, {allowed(kind, tuple(STARTS))}: what to start")
    return resources.files("brackets.app.gallery").joinpath("starts", f"{kind}.txt").read_text("utf-8")


def write_start(kind: str, file: Path) -> str:
    """Writes a start; the command that runs it. Raises InputError where the file is there or ends in another way.

    Raises OSError where it cannot be written.
    """
    text = start(kind)
    ending, command = STARTS[kind]
    said = shown(str(file))
    if os.path.lexists(file):
        raise InputError(f"file = {said}, must not be there yet: nothing is written over")
    if file.suffix != ending:
        raise InputError(f"file = {said}, must end in {ending}: a {kind} to start from")
    with replacing(file) as new:
        new.write_text(text, "utf-8")
    return command.format(file=file)
