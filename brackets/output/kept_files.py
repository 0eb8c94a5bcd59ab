"""Files that are kept by what they are written from, so that what did not change is not drawn again."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from brackets.core.kept import kept


def kept_files(work: str, into: Path, make: Callable[[Path], Sequence[str]], *values: object) -> tuple[str, ...]:
    """Files in the folder `into`, written by `make` or copied from what is kept; returns their names in order.

    work: names what is written; make: writes into an empty folder that it is given and returns the names; values:
    what the files depend on, as `identity` reads them. Raises OSError as writing does.
    """

    def written() -> tuple[tuple[str, bytes], ...]:
        with tempfile.TemporaryDirectory(dir=into) as folder:
            return tuple((name, Path(folder, name).read_bytes()) for name in make(Path(folder)))

    files = kept(work, written, *values, in_memory=False)
    for name, data in files:
        (into / name).write_bytes(data)
    return tuple(name for name, _ in files)
