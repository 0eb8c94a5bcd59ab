"""Results kept by what they were worked out from: in memory, and on disk for the next run and for other processes.

A result is asked for by the name of the work and the values it depends on. The program's own sources are among
these, so a changed program finds nothing of the old one's. What cannot be read back is worked out again; a disk
that is full, read-only or gone costs time and nothing else.
"""

from __future__ import annotations

import atexit
import os
import pickle
import sys
from collections.abc import Callable, Iterable
from functools import cache, wraps
from pathlib import Path
from typing import TYPE_CHECKING, ParamSpec, TypeVar, cast

from brackets.core.identity import UnknownContentError, identity, program
from brackets.core.recent import Recent

if TYPE_CHECKING:
    import diskcache

T = TypeVar("T")
P = ParamSpec("P")

FOLDER = "BRACKETS_CACHE"
"""Environment variable: the folder results are kept in, or "off" for none on disk."""
LARGEST = 2**30
"""Bytes on disk; what was stored first goes first."""
ENABLED = True
"""Whether anything is kept by this process."""
TOGETHER = 256
"""Results written to the disk at once; what a killed process had not written yet is worked out again."""
IN_MEMORY = 50_000
"""Results of this process that are kept in memory."""
_UNREADABLE = (
    pickle.UnpicklingError,
    EOFError,
    AttributeError,
    ImportError,
    IndexError,
    KeyError,
    TypeError,
    ValueError,
)
"""What reading a torn or foreign pickle may raise."""


def folder() -> Path | None:
    """Where results are kept on disk; None where that is turned off."""
    told = os.environ.get(FOLDER, "")
    if told.lower() == "off":
        return None
    if told:
        return Path(told)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "brackets" / "kept"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "brackets"
    return Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "brackets"


@cache
def _disk(path: Path, process: int) -> diskcache.Cache | None:
    """One connection for each process, since a connection must not be carried over a fork."""
    try:
        import diskcache
    except ImportError:
        return None
    try:
        path.mkdir(parents=True, exist_ok=True, mode=0o700)
        disk = diskcache.Cache(str(path), size_limit=LARGEST, timeout=5)
    except _failures():
        return None
    atexit.register(disk.close)  # the last one to close it puts its journal in order
    return disk


_WHERE = (FOLDER, "XDG_CACHE_HOME", "HOME", "LOCALAPPDATA")
"""Environment variables that say where `folder` is."""
_OPENED: dict[tuple[str | int | None, ...], diskcache.Cache | None] = {}
"""By what these say and by process: a fit asks a thousand times."""


def _open() -> diskcache.Cache | None:
    asked = (os.getpid(), *map(os.environ.get, _WHERE))
    if asked not in _OPENED:
        path = folder()
        _OPENED[asked] = None if path is None else _disk(path, asked[0])
    return _OPENED[asked]


_MEMORY: Recent[str, object] = Recent(IN_MEMORY)


def kept(work: str, make: Callable[[], T], *values: object, in_memory: bool = True) -> T:
    """The result of `make`, which must depend on `values` and nothing else; made once for each set of them.

    work: names what is done, so that two kinds of work on the same values are told apart; make: does it; values:
    as `identity` reads them; where it cannot, the result is made each time; in_memory: False for large results that
    this process asks for once. An error that `make` raises is not kept. The result must be a value that nobody
    changes.
    """
    if not ENABLED:
        return make()
    try:
        key = identity(work, program(), values)
    except UnknownContentError:
        return make()
    if key in _MEMORY:
        return cast("T", _MEMORY.get(key))
    disk = _open()
    found = _by_another(key, on_disk=disk is not None)
    if found is None and disk is not None:
        found = _read(disk, key)
    if found is not None:
        if in_memory:
            _MEMORY.put(key, found[0])
        return cast("T", found[0])
    for begins in _BEGINS:
        begins()
    if _HAND_OVER:
        _HAND_OVER[0](key, None)
    result = make()
    if in_memory:
        _MEMORY.put(key, result)
    if disk is not None or _HAND_OVER:
        _write(key, result)
    return result


def has(work: str, *values: object) -> bool:
    """Whether the result of some work on these values is kept, so that `kept` will not make it."""
    if not ENABLED:
        return False
    try:
        key = identity(work, program(), values)
    except UnknownContentError:
        return False
    if key in _MEMORY or key in _ARRIVED or key in _WAITING:
        return True
    disk = _open()
    try:
        return disk is not None and key in disk
    except _failures():
        return False


Arrived = Callable[[str], Iterable[tuple[str, bytes]]]
"""What tells, where processes work ahead of this one, what they have done since it was last asked; one that is at
what is named may be waited for."""
_ELSEWHERE: list[Arrived] = []
_BEGINS: list[Callable[[], None]] = []
_ARRIVED: dict[str, bytes] = {}
_HAND_OVER: list[Callable[[str, bytes | None], None]] = []
"""In such a process: what takes a result in place of the disk, and None when it is begun."""


def elsewhere(arrived: Arrived | None, begins: Callable[[], None] = lambda: None) -> None:
    """From now on what another process has worked out is taken from there, and `begins` is called before something
    is worked out here; None: no longer, and what came last is what there is."""
    _take("")
    _ELSEWHERE[:] = [] if arrived is None else [arrived]
    _BEGINS[:] = [] if arrived is None else [begins]


def handed_over(to: Callable[[str, bytes | None], None]) -> None:
    """This process was forked to work ahead: what it keeps goes `to` the other."""
    _HAND_OVER[:] = [to]
    _ELSEWHERE.clear()
    _BEGINS.clear()
    _ARRIVED.clear()


def unasked() -> None:
    """Put on the disk what came from another process and was not asked for, and drop it here.

    Most of it is what larger results were made of that were taken whole: where one of those changes the next time,
    the rest of what it was made of is there."""
    if _open() is not None:
        for key, written in _ARRIVED.items():
            _await(key, written)
    _ARRIVED.clear()


def _take(wanted: str) -> None:
    for take in _ELSEWHERE:
        _ARRIVED.update((key, written) for key, written in take(wanted) if key not in _MEMORY)


def _by_another(key: str, *, on_disk: bool) -> tuple[object] | None:
    if key not in _ARRIVED:
        _take(key)
    written = _ARRIVED.pop(key, None)
    if written is None:
        return None
    try:
        found = (pickle.loads(written),)
    except _UNREADABLE:
        return None
    if on_disk:
        _await(key, written)
    return found


_WAITING: dict[str, bytes] = {}
"""What is not on the disk yet."""
_STARTED: list[int] = []
"""The process that it is of."""


def _read(disk: diskcache.Cache, key: str) -> tuple[object] | None:
    try:
        stored = _WAITING.get(key) or disk.get(key)
        return None if stored is None else (pickle.loads(stored),)
    except _UNREADABLE:
        return None
    except _failures():
        return None


def _write(key: str, result: object) -> None:
    """Kept for the disk with others: one at a time they cost more than the small ones among them save."""
    try:
        written = pickle.dumps(result, protocol=pickle.HIGHEST_PROTOCOL)
    except (pickle.PicklingError, AttributeError, TypeError):  # no value that can be sent
        return
    if _HAND_OVER:
        _HAND_OVER[0](key, written)
    else:
        _await(key, written)


def _await(key: str, written: bytes) -> None:
    if [os.getpid()] != _STARTED:  # nothing of another process's, after a fork
        _STARTED[:] = [os.getpid()]
        _WAITING.clear()
        atexit.register(flush)
    _WAITING[key] = written
    if len(_WAITING) >= TOGETHER:
        flush()


def flush() -> None:
    """Write to the disk what waits for it."""
    disk = _open() if _WAITING else None
    if disk is None:
        return
    waiting = dict(_WAITING)
    _WAITING.clear()
    try:
        with disk.transact():
            for key, written in waiting.items():
                disk.set(key, written)
    except _failures():
        return


def _failures() -> tuple[type[Exception], ...]:
    """What a disk that is full, locked, damaged or gone may raise."""
    import sqlite3

    import diskcache

    return (OSError, sqlite3.Error, diskcache.Timeout)


def keeps(work: str) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Marks a function of values alone: its result is kept by its arguments, as `kept` does."""

    def mark(function: Callable[P, T]) -> Callable[P, T]:
        @wraps(function)
        def ask(*args: P.args, **kwargs: P.kwargs) -> T:
            return kept(work, lambda: function(*args, **kwargs), args, kwargs)

        return ask

    return mark


def forget() -> None:
    """Drop what is kept in memory; the disk keeps its own."""
    _MEMORY.clear()
    _ARRIVED.clear()


def clear() -> int:
    """Drop everything, on disk too. Returns how many results were on disk."""
    forget()
    _WAITING.clear()
    disk = _open()
    if disk is None:
        return 0
    try:
        return int(disk.clear())
    except _failures():
        return 0


def amount() -> tuple[int, int]:
    """How many results are on disk, and the bytes they take."""
    flush()
    disk = _open()
    if disk is None:
        return 0, 0
    try:
        return len(disk), int(disk.volume())
    except _failures():
        return 0, 0
