"""brackets hold BAY.toml: the loads of the bay's cases led through its parts, worst first over all of them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from brackets.app.cli.trouble import FINE, STOPS, WRONG

DEFAULTS: Mapping[str, object] = {
    "counted": "characteristic", "load_factor": 1.0, "own_factor": None, "joints": "rigid", "preload": None,
    "onto_metal": None, "onto_t": None, "casting": None,
}  # fmt: skip
"""Options of a recipe alone as they are where nobody typed them."""

if TYPE_CHECKING:
    from brackets.app.cli.kept_run import Done


def hold_bay(file: Path, *, given: Mapping[str, object], as_json: bool) -> int:
    """Every part of a bay under its load cases: 0 where nothing stops, 1 where something does, 2 where no load case
    is typed, of which nothing is said but what to type.
    """
    from brackets.app.cli.kept_run import kept_run
    from brackets.app.inputs import inputs_of
    from brackets.core.errors import InputError

    typed = [name for name, value in given.items() if value != DEFAULTS.get(name, ())]
    if typed:
        options = (f"--{name.replace('_', '-')}" for name in typed)
        raise InputError(*(f"{one} = given with {file}, must be in the bay file" for one in options))

    def work(_: Path | None) -> Done:
        return *_held(file, as_json), None

    return kept_run("hold", work, lambda: inputs_of(file), str(file), as_json, writes=False)


def _held(file: Path, as_json: bool) -> tuple[str, int]:
    from brackets.app.cli.hold_bay_view import bay_text, record
    from brackets.bay.file import read
    from brackets.bay.held_parts import held_bay
    from brackets.bay.stand.placed import placed_bay
    from brackets.core.errors import BadFile, InputError
    from brackets.core.finding import stopped
    from brackets.output import facts

    bay = read(file)
    stood = placed_bay(bay)
    try:
        held = held_bay(stood)
    except InputError as error:
        raise BadFile(file, *error.problems) from error
    text = facts.told(record(bay, held)).decode().rstrip("\n") if as_json else bay_text(bay, held)
    return text, WRONG if held.asks else STOPS if stopped(held.findings) else FINE
