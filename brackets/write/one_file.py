"""One file that is there whole or not at all: the one of last time stays until the new one is on the disk."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from brackets.write.running import running


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """A name beside `path` to write to; the file takes its place when the block ends, and vanishes when it fails.

    A link stays one: what it points to is replaced. The mode of a file that was there is kept. A device, such as
    /dev/stdout, is written to itself. What runs that were killed left is swept first.
    Raises OSError, under the name `path`, where the disk is full or refuses.
    """
    target = path.resolve()
    if target.exists() and not target.is_file():
        yield path
        return
    _sweep(target)
    new = target.with_name(f".{target.stem}.new-{os.getpid()}-{secrets.token_hex(6)}{target.suffix}")
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
        with suppress(OSError):
            new.unlink()


def _sweep(target: Path) -> None:
    """Remove what killed runs left half written beside `target`."""
    name = re.compile(
        re.escape(f".{target.stem}.") + r"new-(\d{1,9})-[0-9a-f]{12}" + re.escape(target.suffix)
    )
    with suppress(OSError):
        for entry in list(target.parent.iterdir()):
            found = name.fullmatch(entry.name)
            if found and not running(int(found[1])):
                entry.unlink()
