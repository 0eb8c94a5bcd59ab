"""One file that is there whole or not at all: the one of last time stays until the new one is on the disk."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """A name beside `path` to write to; the file takes its place when the block ends, and vanishes when it fails.

    A link stays one: what it points to is replaced. The mode of a file that was there is kept. A device, such as
    /dev/stdout, is written to itself. Raises OSError, under the name `path`, where the disk is full or refuses.
    """
    target = path.resolve()
    if target.exists() and not target.is_file():
        yield path
        return
    new = target.with_name(f".{target.stem}.new-{secrets.token_hex(6)}{target.suffix}")
    try:
        yield new
        with open(new, "rb+") as written:
            os.fsync(written.fileno())
        with suppress(FileNotFoundError):
            os.chmod(new, target.stat().st_mode)
        os.replace(new, target)
    except OSError as error:
        if error.filename is None or str(error.filename) == str(new):
            raise OSError(error.errno, error.strerror, str(path)) from error
        raise
    finally:
        with suppress(FileNotFoundError):
            new.unlink()
