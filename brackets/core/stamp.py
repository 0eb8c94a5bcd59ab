"""What shows that a file was written or replaced since, without reading it."""

from __future__ import annotations

import os
from pathlib import Path

Stamp = tuple[int, int, int] | None


def stamp(path: Path | str) -> Stamp:
    """Time of change in ns, size in bytes and number on the disk of a file; None where there is none.

    A file of the same name, size and time in another's place has another number.
    """
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
