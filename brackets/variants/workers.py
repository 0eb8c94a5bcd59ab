"""Worker processes of this machine behind the interface of `concurrent.futures`, with a time limit a task.

The standard library's own pool loses every task in hand to one crash and knows no limit; pebble's replaces a worker
that crashed or hangs, and only its own task fails.
"""

from __future__ import annotations

import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager, nullcontext
from multiprocessing.context import SpawnContext, SpawnProcess
from multiprocessing.process import BaseProcess
from multiprocessing.synchronize import Semaphore
from types import ModuleType
from typing import Any, ParamSpec, TypeVar

from pebble import ProcessExpired, ProcessPool

from brackets.variants.job import warm

STARTING = 20.0
"""Seconds that workers are waited for which are still starting when all is done."""

T = TypeVar("T")
P = ParamSpec("P")


class Workers(Executor):
    """`count` spawned processes, warmed once each; `limit`: seconds a task may take, None for any time.

    A task whose worker ends by itself raises ProcessExpired, one over the limit TimeoutError; the others go on.
    """

    def __init__(self, count: int, *, limit: float | None = None, bay: bool = False) -> None:
        self.limit, self._count = limit, count
        spawn = _Spawn()
        self._up = spawn.Semaphore(0)
        self._pool = ProcessPool(max_workers=count, context=spawn, initializer=_start, initargs=(self._up, bay))
        self._started = False

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Hands a task to the next free worker."""
        return self.within(self.limit, fn, *args, **kwargs)

    def within(self, limit: float | None, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """The same with a limit of its own, seconds."""
        with nullcontext() if self._started else _deaf():
            found: Future[T] = self._pool.schedule(fn, args=args, kwargs=kwargs, timeout=limit)
        self._started = True
        return found

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Ends the workers: when all is done, or at once where `cancel_futures`."""
        if not cancel_futures:
            self._pool.close()  # type: ignore[no-untyped-call]
            self._pool.join()
        else:
            self._pool.stop()  # type: ignore[no-untyped-call]
            if wait:
                self._pool.join()

    def finish(self) -> None:
        """Ends the workers at once, since nothing is in hand; those that are still starting are waited for, or they
        would say on the screen that they were cut short."""
        if self._started:
            until = time.monotonic() + STARTING
            for _ in range(self._count):
                self._up.acquire(timeout=max(until - time.monotonic(), 0.0))
        self.shutdown(cancel_futures=True)


class _Process(SpawnProcess):
    """A spawned process that does not run the script again it was started from: a row asks for nothing of it, and
    a script without `if __name__ == "__main__"` would start its family once more in every worker."""

    @staticmethod
    def _Popen(process_obj: BaseProcess) -> Any:  # noqa: N802  (its name in the standard library)
        with _HIDDEN:
            script = sys.modules["__main__"]
            sys.modules["__main__"] = ModuleType("__main__")
            try:
                return SpawnProcess._Popen(process_obj)
            finally:
                sys.modules["__main__"] = script


class _Spawn(SpawnContext):
    Process = _Process


_HIDDEN = threading.Lock()


def _start(up: Semaphore, bay: bool) -> None:
    """What a worker does first."""
    warm(bay)
    up.release()


@contextmanager
def _deaf() -> Iterator[None]:
    """Ctrl-C is for this process alone: workers that start meanwhile are born without an ear for it."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def ended(error: BaseException, limit: float | None) -> str:
    """How a row's worker ended, in words: "worker ended by signal 11", "more than 60 s"."""
    if isinstance(error, ProcessExpired):
        return f"worker ended by signal {-error.exitcode}" if error.exitcode < 0 else (
            f"worker ended with status {error.exitcode}"
        )
    if isinstance(error, TimeoutError):
        return "took too long" if limit is None else f"more than {limit:g} s"
    said = " ".join(str(error).split())[:200]
    return f"{type(error).__name__}: {said}" if said else type(error).__name__
