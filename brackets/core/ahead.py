"""A second processor that works ahead: a forked child does the same work from its other end.

Nothing is shared out. The process goes through its work as it always does; a child that is forked where something
of it is not kept goes through it backwards, and every result that `core/kept.py` keeps lies in a file in memory,
which the process looks into before it works something out. So results, and their order, are those of one processor,
and a child that crashes costs nothing. Where the two meet, the process waits for what the child is at, LONGEST at
most and once in vain, and the child is ended. Off unless a command turns it on; only on Linux, where a fork is
cheap, and only in a process of one Python thread, as the locks of others would stay held in the child.
"""

from __future__ import annotations

import gc
import math
import os
import signal
import sys
import threading
import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from brackets.core import kept

CORES = "BRACKETS_CORES"
"""Environment variable: how many processors a command may use; 1 turns this off."""
MOST = 3
"""Children at once: more of them meet each other oftener than they save."""
KEY = 64
"""Letters of a result's name; eight bytes after them say how long it is."""
SIZE = 8
BEGUN = 2**64 - 1
"""Said in place of how long a result is: it is being worked out."""
LONGEST = 10.0
"""Seconds that are waited for one result; a child that needs longer is taken to hang."""
LATE = 0.5
"""Seconds from the begin of some work to the first fork: where nearly all of it is kept, a child would only read
what this process reads."""
LOOK = 0.002
"""Seconds between two looks for it."""
HEARD = ("SIGINT", "SIGTERM", "SIGHUP", "SIGALRM")
"""Signals that the command heeds by raising something: the child ends by them."""

REFUSALS = (ValueError, ImportError, RuntimeError, OSError)
"""What a task may raise of which the next one may know nothing; by anything else the child ends."""

Task = Callable[[], object]


@dataclass
class _Turn:
    """Whether a command lets children work, whether there are any now, and which of how many this one is."""

    on: bool = False
    busy: bool = False
    child: tuple[int, int] | None = None
    children: list[_Child] = field(default_factory=list)


@dataclass
class _Child:
    """A forked process, the file that it writes, and how far that has been read."""

    process: int
    file: int
    read: int = 0
    at: dict[str, float] = field(default_factory=dict)
    """What it has begun and not handed over, and when that was seen."""


_turn = _Turn()


@contextmanager
def allowed() -> Iterator[None]:
    """Meanwhile children may work ahead, where there is more than one processor."""
    was, _turn.on = _turn.on, True
    try:
        yield
    finally:
        _turn.on = was
        kept.unasked()


@contextmanager
def ahead(tasks: Sequence[Task]) -> Iterator[None]:
    """Meanwhile children do the tasks, the last one first; what this process asks for anew they may have done.

    tasks: what is about to be done here, in that order, as functions without arguments; what they raise or return
    is dropped, what they keep is handed over. In a child the tasks are done at once, by itself.
    """
    if _turn.child is not None:
        _backwards(tasks, *_turn.child)
        yield
        return
    if _turn.busy or len(tasks) < 2 or _spare() < 1:
        yield
        return
    _turn.busy = True
    late = time.monotonic() + LATE

    def begins() -> None:
        """Something is worked out here: where that is not the first moment any more, there is work for others."""
        nonlocal late
        if time.monotonic() >= late:
            late = math.inf
            for number in range(spare := _spare()):
                _start(tasks, number, spare)

    try:
        kept.elsewhere(_arrived, begins)
        yield
    finally:
        kept.elsewhere(None)
        while _turn.children:
            _end(_turn.children.pop())
        _turn.busy = False


def _spare() -> int:
    """How many children may work."""
    if not (_turn.on and kept.ENABLED and sys.platform == "linux" and threading.active_count() == 1):
        return 0
    told = os.environ.get(CORES, "")
    there = len(os.sched_getaffinity(0))
    return min(there, int(told) if told.isdecimal() else there, MOST + 1) - 1


def _start(tasks: Sequence[Task], number: int, of: int) -> None:
    try:
        file = os.memfd_create("ahead")
    except OSError:
        return
    parent = os.getpid()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # of threads: those of numpy's, who heeds forks
            process = os.fork()
    except OSError:
        os.close(file)
        return
    if process:
        _turn.children.append(_Child(process, file))
        return
    try:
        _work(tasks, file, parent, number, of)
    finally:
        os._exit(0)


def _work(tasks: Sequence[Task], file: int, parent: int, number: int, of: int) -> None:
    """The child's whole life."""
    for name in HEARD:
        signal.signal(getattr(signal, name), signal.SIG_DFL)
    gc.disable()
    _turn.child, _turn.children = (number, of), []

    def hand_over(key: str, written: bytes | None) -> None:
        if os.getppid() != parent:
            os._exit(0)
        length = BEGUN if written is None else len(written)
        os.write(file, key.encode("ascii") + length.to_bytes(SIZE, "little") + (written or b""))

    kept.handed_over(hand_over)
    _backwards(tasks, number, of)


def _backwards(tasks: Sequence[Task], number: int, of: int) -> None:
    """Every `of`-th first, so that several children do not all do the same."""
    order = list(reversed(tasks))
    for task in (*order[number::of], *(one for n in range(of) if n != number for one in order[n::of])):
        try:
            task()
        except REFUSALS:  # the parent meets it in its own turn
            continue


def _arrived(wanted: str) -> Iterator[tuple[str, bytes]]:
    """What children have handed over since they were last asked; the one that is at `wanted` is waited for."""
    for one in _turn.children:
        yield from _read(one)
        if wanted in one.at:
            until = time.monotonic() + min(LONGEST, max(2 * (time.monotonic() - one.at[wanted]), LONGEST / 20))
            while wanted in one.at and time.monotonic() < until and _lives(one):
                time.sleep(LOOK)
                yield from _read(one)
            if wanted in one.at:  # it hangs, or has crashed
                os.kill(one.process, signal.SIGKILL)
                one.at.clear()


def _read(one: _Child) -> Iterator[tuple[str, bytes]]:
    there = os.fstat(one.file).st_size
    while there - one.read >= KEY + SIZE:
        head = os.pread(one.file, KEY + SIZE, one.read)
        key, length = head[:KEY].decode("ascii"), int.from_bytes(head[KEY:], "little")
        start = one.read + KEY + SIZE
        if length == BEGUN:
            one.at[key], one.read = time.monotonic(), start
            continue
        if there - start < length:
            return
        one.at.pop(key, None)
        one.read = start + length
        yield key, os.pread(one.file, length, start)


def _lives(one: _Child) -> bool:
    """Whether it has not ended; one that has is still to be waited for."""
    return os.waitid(os.P_PID, one.process, os.WEXITED | os.WNOHANG | os.WNOWAIT) is None


def _end(child: _Child) -> None:
    os.kill(child.process, signal.SIGKILL)
    os.waitpid(child.process, 0)
    os.close(child.file)
