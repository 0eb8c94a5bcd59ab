"""Files that are kept by what they are written from, so that what did not change is not drawn again."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from brackets.core.kept import kept

Files = tuple[tuple[str, bytes], ...]
"""Names and contents, in order."""


def kept_files(work: str, make: Callable[[Path], Sequence[str]], *values: object) -> Files:
    """Files as `make` writes them, or as they are kept.

    work: names what is written; make: writes into an empty folder that it is given and returns the names in order;
    values: what the files depend on, as `identity` reads them. Raises OSError as writing does.
    """

    def written() -> Files:
        with tempfile.TemporaryDirectory() as folder:
            return tuple((name, Path(folder, name).read_bytes()) for name in make(Path(folder)))

    return kept(work, written, *values, in_memory=False)
