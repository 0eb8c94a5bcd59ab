"""What is being done right now, on a terminal only: quiet in a pipe and in a file."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from shutil import get_terminal_size


@contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """Gives a function that shows one short text in place of the one before; wiped at the end."""
    live = sys.stderr.isatty()

    def say(doing: str) -> None:
        if live:
            width = max(get_terminal_size().columns - 1, 10)
            print(f"\r{doing[:width]:<{width}}", end="\r", file=sys.stderr, flush=True)

    try:
        yield say
    finally:
        say("")
