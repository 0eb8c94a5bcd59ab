"""The options of verbs whose work is in modules of their own: `brackets measure` and `brackets bolts`."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any

import typer

from brackets.app.cli.screen import AsJson, Into, Paper, ShopFile
from brackets.app.cli.trouble import FINE, STOPPED, USAGE, Ran, guarded, told
from brackets.output import formats


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
    from brackets.app.cli.kept_run import told_inputs

    with told_inputs(Path(file), shop):
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
    from brackets.app.cli.kept_run import told_inputs
    from brackets.app.cli.screen import one_word, split
    from brackets.core.errors import InputError

    typed = split(words)
    if typed.problems:
        raise InputError(*typed.problems)
    target = one_word(typed, "recipe or bay", "brackets bolts adaptor")
    bay = Path(target) if target.endswith(".toml") else None
    with told_inputs(bay, words=(target, *typed.texts.values())):
        return bolts_cmd.bolts(target, typed.texts, as_json, into)


VERBS = (
    ("recipes", "brackets.app.cli.recipes_cmd"),
    ("make", "brackets.app.cli.make_cmd"),
    ("fit", "brackets.app.cli.fit_cmd"),
    ("flat", "brackets.app.cli.flat_cmd"),
    ("card", "brackets.app.cli.card_cmd"),
    ("jig", "brackets.app.cli.jig_cmd"),
    ("family", "brackets.app.cli.family_cmd"),
    ("mockup", "brackets.app.cli.mockup_cmd"),
    ("stations", "brackets.app.cli.stations_cmd"),
    ("place", "brackets.app.cli.place_cmd"),
    ("hang", "brackets.app.cli.hang_cmd"),
    ("hold", "brackets.app.cli.hold_cmd"),
    ("measure", "brackets.app.cli.app"),
    ("bolts", "brackets.app.cli.app"),
    ("view", "brackets.app.cli.view_cmd"),
    ("keys", "brackets.app.cli.files_cmd"),
    ("new", "brackets.app.cli.files_cmd"),
    ("cache", "brackets.app.cli.cache_cmd"),
    ("demo", "brackets.app.cli.fit_cmd"),
)
"""Verb and the module that has a function of its name; `make` takes a recipe's values as options of its own."""
OPEN_ENDED = frozenset({"make", "flat", "card", "family", "jig", "mockup", "bolts", "view", "hold"})
"""Verbs that take --NAME VALUE for every value of the recipe."""
SETTINGS: dict[str, Any] = {"max_content_width": 110, "help_option_names": ["-h", "--help"]}


def build() -> typer.Typer:
    """The whole command line."""
    app = typer.Typer(
        name="brackets",
        help="Engine and gearbox mounts made by hand: recipes, files, clearance.",
        add_completion=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings=SETTINGS,
    )
    app.callback()(_options)
    for name, module in VERBS:
        extra = {"ignore_unknown_options": name in OPEN_ENDED}
        verb = getattr(import_module(module), name)
        app.command(
            name,
            context_settings=SETTINGS | extra,
            add_help_option=name != "make",
            epilog=formats.written_by(name) if name in formats.COMMANDS else None,
        )(guarded(verb))
    return app


@cache
def command() -> Any:
    """The same as it is run, built once a process."""
    return typer.main.get_command(build())


def main(argv: Sequence[str] | None = None) -> int:
    """Runs a command line, prints, and returns the status."""
    _open_closed()
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    arguments = list(sys.argv[1:] if argv is None else argv) or ["--help"]
    try:
        ended = command().main(arguments, prog_name="brackets", standalone_mode=False)
        sys.stdout.flush()
    except USAGE as error:
        return told(error)
    except OSError as error:
        return told(error)
    except (KeyboardInterrupt, typer.Abort):
        return told(KeyboardInterrupt())
    if isinstance(ended, Ran):
        return ended.status
    return told(KeyboardInterrupt()) if ended == STOPPED else FINE


def _open_closed() -> None:
    """Streams that the shell closed (`>&-`) go nowhere: else the next file opened would take their place."""
    for name in ("stdin", "stdout", "stderr"):
        if getattr(sys, name) is None:
            mode = "r" if name == "stdin" else "w"
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115  (open to the end)


def _version(asked: bool) -> None:
    if asked:
        from brackets import __version__

        print(__version__)
        raise typer.Exit


def _options(
    version: Annotated[
        bool, typer.Option("--version", help="Print the version.", is_eager=True, callback=_version)
    ] = False,
) -> None: ...
