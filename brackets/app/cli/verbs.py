"""The options of verbs whose work is in modules of their own: `brackets measure` and `brackets bolts`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from brackets.app.cli.options import AsJson, Into, Paper, ShopFile


def measure(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Readings, as TOML.")],
    as_json: AsJson = False,
    into: Into = None,
    paper: Paper = None,
    shop: ShopFile = None,
) -> int:
    """Readings to coordinates and masses.

    Calliper, tape and scale, one TOML file.
    """
    from brackets.app.cli import measure_cmd

    return measure_cmd.measure(file, as_json, into, paper=paper, shop=shop)


def bolts(
    words: Annotated[list[str], typer.Argument(metavar="RECIPE|BAY.toml [--NAME VALUE]", hidden=True)],
    as_json: AsJson = False,
    into: Into = None,
) -> int:
    """Whether the bolts go in.

    For how far off the holes of a recipe or of a bay may be.
    """
    from brackets.app.cli import bolts_cmd
    from brackets.app.cli.options import one_word, split
    from brackets.core.errors import InputError

    typed = split(words)
    if typed.problems:
        raise InputError(*typed.problems)
    target = one_word(typed, "recipe or bay", "brackets bolts adaptor")
    return bolts_cmd.bolts(target, typed.texts, as_json, into)
