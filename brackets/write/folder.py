"""A folder of results that is there whole or not at all.

It is filled beside its name and swapped in at the end: whatever stops the work, the folder of last time stays.
"""

from __future__ import annotations

import errno
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from brackets.errors import OutOfRange
from brackets.write.facts import NAME

NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
"""The system's words for a full disk, which come without a file's name."""


@contextmanager
def fresh(path: Path | str) -> Iterator[Path]:
    """An empty folder to fill; it becomes `path` when the block ends, and vanishes when the block fails.

    A folder of that name is replaced whole, if it is empty or has a facts.json: anything else may be somebody's
    and is refused (OutOfRange). Raises OSError, under the name `path`, where the disk is full or refuses.
    """
    target = Path(path).resolve()
    _ours(target)
    new = _beside(target, "new")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        new.mkdir()
        yield new
        _swap(new, target)
    except OSError as error:
        if error.errno in NO_ROOM or str(error.filename).startswith(str(new)):
            raise OSError(error.errno, error.strerror, str(path)) from error
        raise
    finally:
        shutil.rmtree(new, ignore_errors=True)


def _ours(target: Path) -> None:
    """Refuse to replace what does not look like a folder of results."""
    if target.is_dir():
        if any(target.iterdir()) and not (target / NAME).is_file():
            raise OutOfRange(
                f"folder = {target}, must be new, empty or written by this program: "
                f"it has no {NAME}, so what is in it is left alone"
            )
    elif target.exists():
        raise OutOfRange(f"folder = {target}, must be a folder: it is a file")


def _swap(new: Path, target: Path) -> None:
    """Put `new` in the place of `target`; the old one comes back if that fails."""
    if not target.exists():
        new.rename(target)
        return
    old = _beside(target, "old")
    try:
        target.rename(old)
        new.rename(target)
    finally:
        if old.exists() and not target.exists():
            old.rename(target)
        shutil.rmtree(old, ignore_errors=True)


def _beside(target: Path, what: str) -> Path:
    """A hidden name beside `target` that nobody has."""
    return target.with_name(f".{target.name}.{what}-{secrets.token_hex(6)}")
