"""Results kept in one file as they finish: a line each, with its key and a checksum; whatever ends the work, the
lines that are there stay good.

A line is JSON: {"key":KEY,"result":{..},"sum":SUM}; SUM is of the text before it. A line that is torn, as a killed
process or a full disk leaves the last one, is dropped and said. What is kept of other values, recipes or bays stays
and is found again when they are.
"""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from brackets.core.errors import BadFile, InputError
from brackets.output.folder import running

HEAD = b'{"format":1,"what":"results of brackets family, one a line"}\n'
SUM = 16
"""Characters of the checksum."""

FORCED = 2.0
"""Seconds after which what was written is forced to the disk: what a power cut may cost."""


class Store:
    """The results of one file by their keys, as JSON text; `dropped` says what was torn or damaged in it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.dropped: tuple[str, ...] = ()
        self._texts: dict[str, str] = {}
        self._out: BinaryIO | None = None
        self._forced = 0.0

    def __contains__(self, key: str) -> bool:
        return key in self._texts

    def __len__(self) -> int:
        return len(self._texts)

    def text(self, key: str) -> str:
        """The result under a key. Raises KeyError where there is none."""
        return self._texts[key]

    def add(self, key: str, text: str) -> None:
        """Keeps one more. Raises OSError, under the file's name, where the disk is full or refuses."""
        out = self._out
        if out is None:
            raise ValueError(f"{self.path}: not open for more results")
        end = out.tell()
        try:
            out.write(line(key, text))
            out.flush()
            if time.monotonic() - self._forced > FORCED:
                os.fsync(out.fileno())
                self._forced = time.monotonic()
        except OSError as error:
            with suppress(OSError):
                os.ftruncate(out.fileno(), end)
            raise OSError(error.errno, error.strerror, str(self.path)) from error
        self._texts[key] = text

    def _read(self) -> int:
        """Takes in every good line; the byte after the last whole one."""
        good, dropped = 0, []
        with self.path.open("rb") as kept:
            for number, each in enumerate(kept, 1):
                whole = each.endswith(b"\n")
                good += len(each) if whole else 0
                if number == 1 and each == HEAD:
                    continue
                found = parsed(each)
                if number == 1 and (whole or not HEAD.startswith(each)):
                    raise BadFile(self.path, "is another file, must be one that results of a family are kept in")
                if found is not None:
                    self._texts[found[0]] = found[1]
                elif whole:
                    dropped.append(f"{self.path}: line {number} is damaged, left out")
                else:
                    dropped.append(f"{self.path}: the last line is torn, dropped: it is worked out again")
        self.dropped = tuple(dropped)
        return good


def line(key: str, text: str) -> bytes:
    """A result as a line of the file."""
    body = f'{{"key":"{key}","result":{text}'.encode()
    return body + b',"sum":"' + _sum(body) + b'"}\n'


def parsed(each: bytes) -> tuple[str, str] | None:
    """Key and result of a line; None where it is torn or damaged."""
    tail = len(b',"sum":""}\n') + SUM
    body, end = each[:-tail], each[-tail:]
    if end != b',"sum":"' + _sum(body) + b'"}\n' or not body.startswith(b'{"key":"'):
        return None
    key, _, text = body.removeprefix(b'{"key":"').partition(b'","result":')
    return key.decode(), text.decode()


def _sum(body: bytes) -> bytes:
    return hashlib.sha256(body).hexdigest()[:SUM].encode()


@contextmanager
def kept(path: Path | None) -> Iterator[Store]:
    """The store of a file, open for more results and held against a second process; in memory alone for None.

    Raises BadFile where it is another file, InputError where another process is at it, OSError where the disk is.
    """
    if path is None:
        yield _InMemory()
        return
    store = Store(path)
    with _held(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        good = store._read() if path.exists() else 0
        with path.open("r+b" if path.exists() else "w+b") as out:
            if out.seek(0, os.SEEK_END) != good:
                out.truncate(good)
                out.seek(good)
            store._out = out
            if not good:
                out.write(HEAD)
            try:
                yield store
            finally:
                store._out = None
                with suppress(OSError):
                    out.flush()
                    os.fsync(out.fileno())


class _InMemory(Store):
    def __init__(self) -> None:
        super().__init__(Path("memory"))

    def add(self, key: str, text: str) -> None:
        self._texts[key] = text


@contextmanager
def _held(path: Path) -> Iterator[None]:
    """Refuses a second process at the same file; a killed one's mark is taken away."""
    mark = path.with_name(f".{path.name}.held")
    path.parent.mkdir(parents=True, exist_ok=True)
    for _ in range(2):
        try:
            handle = os.open(mark, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
            break
        except FileExistsError:
            holder = _holder(mark)
            if holder is not None and running(holder) and holder != os.getpid():
                raise InputError(f"{path}: process {holder} is at it, must be one at a time") from None
            with suppress(FileNotFoundError):
                mark.unlink()
    else:
        raise InputError(f"{path}: another process is at it, must be one at a time")
    try:
        with os.fdopen(handle, "w") as out:
            out.write(str(os.getpid()))
        yield
    finally:
        with suppress(FileNotFoundError):
            mark.unlink()


def _holder(mark: Path) -> int | None:
    with suppress(OSError, ValueError):
        return int(mark.read_text())
    return None


