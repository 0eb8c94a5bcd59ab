"""What a recipe raises and prints while its code runs, as an error with the line it came from."""

from __future__ import annotations

import sys
import threading
from contextlib import suppress
from pathlib import Path
from types import ModuleType, TracebackType
from typing import Any

from brackets.core.errors import OURS, BadRecipe

_LONGEST = 200


class RecipeErrors:
    """Turns whatever a stranger's code raises into a BadRecipe with the line of the recipe it came from.

    What it prints goes to the error stream: the other one is for results. Our own errors pass once the recipe is
    loaded (`module` is given): they name the value that is wrong. Ctrl-C passes always.
    """

    def __init__(self, path: Path, doing: str, module: ModuleType | None = None) -> None:
        self.path, self.doing = path, doing
        self.passes: tuple[type[Exception], ...] = (BadRecipe,) if module is None else OURS
        self.ran_from = str(path) if module is None else str(module.__file__)

    def __enter__(self) -> None:
        _print_to_errors()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        _print_as_before()
        if error is None or isinstance(error, (KeyboardInterrupt, *self.passes)):
            return
        line = _line(trace, self.ran_from)
        where = self.path if line is None else f"{self.path}:{line}"
        said = _said(error)
        named = said if isinstance(error, OURS) else f"{type(error).__name__}: {said}"
        raise BadRecipe(f"{where}: {named}, while {self.doing}") from error


_PRINTING = threading.Lock()
_printers: list[object] = []
"""What sys.stdout was before the first of the recipes that run now, once for each of them."""


def _print_to_errors() -> None:
    """Recipes run in several threads at once, and only the first finds the output as it was."""
    with _PRINTING:
        _printers.append(_printers[0] if _printers else sys.stdout)
        sys.stdout = sys.stderr


def _print_as_before() -> None:
    with _PRINTING:
        was: Any = _printers.pop()
        if not _printers:
            sys.stdout = was


def _said(error: BaseException) -> str:
    """The error's own words on one line; a stranger's error may fail to say any."""
    if isinstance(error, ModuleNotFoundError) and (error.name or "").startswith("brackets."):
        return f"no module {error.name}: since 0.2 names are taken from brackets itself, `from brackets import ...`"
    said = ""
    with suppress(Exception):
        said = " ".join(str(error).split())[:_LONGEST]
    return said or "no message"


def _line(trace: TracebackType | None, path: str) -> int | None:
    """The line in the recipe that was running, the innermost one."""
    found = None
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == path:
            found = trace.tb_lineno
        trace = trace.tb_next
    return found
