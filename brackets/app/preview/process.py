"""The builder as the server sees it: a process that is sent requests, answers in blocks, and can be ended.

Each has a process group of its own, so that it ends with whatever its recipe started; and every wait for one is
bounded, since a recipe's process may ignore all signals but one, or leave the group with our pipe in its hand.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import signal
import sys
import time
from collections.abc import Awaitable, Callable
from typing import Any

from brackets.app.preview.child import SIZE
from brackets.app.preview.tasks import started

LARGEST = 512 * 1024 * 1024
"""Bytes of one block: a bay of scans; more is a mistake, and memory is not without end."""
ENDING = 3.0
"""Seconds a process that was killed is waited for."""
LOOK = 0.25
"""Seconds between looks whether a process that says nothing is still there."""
REST = 2.0
"""Seconds of nothing to do after which a spare process is started: until then the processor is somebody's."""

Process = asyncio.subprocess.Process


async def end(process: Process) -> None:
    """Ends a process and all of its group, whatever they ignore; waits ENDING at most.

    Its pipes are closed here, not left to their end: what it started may have left the group with one in its hand.
    It is waited for also where the wait is cancelled, as the end of the event loop does.
    """
    with contextlib.suppress(ProcessLookupError, PermissionError):
        if sys.platform == "win32":
            process.kill()
        else:
            os.killpg(process.pid, signal.SIGKILL)
    late = time.monotonic() + ENDING
    cancelled: asyncio.CancelledError | None = None
    while process.returncode is None and time.monotonic() < late:
        try:
            await asyncio.sleep(0.01)
        except asyncio.CancelledError as error:
            cancelled = error
    process._transport.close()  # type: ignore[attr-defined]  # asyncio's Process has no close of its own
    if cancelled is not None:
        raise cancelled
    await asyncio.sleep(0)


class Processes:
    """Starts processes that build `target`, and keeps one warm: the solid kernel takes seconds to load."""

    def __init__(self, target: str, bare: str, *, printed: bool = False) -> None:
        self._words = (target, bare, *(("printed",) if printed else ()))
        self._spare: Process | None = None
        self._waiting: asyncio.Task[None] | None = None
        self._warming = False
        self._starting: set[asyncio.Task[Process]] = set()
        self.closed = False

    @property
    def has_spare(self) -> bool:
        """Whether a spare process is there, loaded or loading."""
        return self._spare is not None and self._spare.returncode is None

    async def take(self) -> Process:
        """The spare process, or a new one."""
        spare, self._spare = self._spare, None
        if spare is not None and spare.returncode is None:
            return spare
        if spare is not None:
            await end(spare)
        return await self._start()

    def rest(self) -> None:
        """There is nothing to do: a spare is started if that lasts."""
        if self._waiting is None and not (self._warming or self.has_spare or self.closed):
            self._waiting = asyncio.create_task(self._warm())

    def work(self) -> None:
        """There is something to do."""
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    async def close(self) -> None:
        """Ends the spare process, and any that is just being started; none is asked for any more."""
        self.closed = True
        self.work()
        for starting in tuple(self._starting):
            with contextlib.suppress(OSError):
                await end(await starting)
        if self._spare is not None:
            await end(self._spare)

    async def _warm(self) -> None:
        await asyncio.sleep(REST)
        self._waiting, self._warming = None, True
        try:
            self._spare = await self._start()
        finally:
            self._warming = False

    async def _start(self) -> Process:
        """A process of its own; where the wait for it is cancelled, `close` ends it."""
        starting = asyncio.create_task(self._execute())
        self._starting.add(starting)
        try:
            process = await asyncio.shield(starting)
        except OSError:
            self._starting.discard(starting)
            raise
        self._starting.discard(starting)
        return process

    async def _execute(self) -> Process:
        more: dict[str, Any] = {"start_new_session": True}
        if sys.platform == "win32":
            import subprocess

            more = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
        process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-m",
            "brackets.app.preview.child",
            *self._words,
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
            **more,
        )
        if self.closed:
            await end(process)
        return process


class Builder:
    """One building process, taken when it is first needed and again after it ended.

    `heard` is called with every block; `ended` with a sentence when the process goes away by itself.
    """

    def __init__(
        self,
        processes: Processes,
        *,
        heard: Callable[[bytes], Awaitable[None]],
        ended: Callable[[str], Awaitable[None]],
    ) -> None:
        self._processes = processes
        self._heard, self._ended = heard, ended
        self._process: Process | None = None
        self._listening: asyncio.Task[None] | None = None
        self._one = asyncio.Lock()

    async def request(self, request: dict[str, Any]) -> None:
        """Sends a request, unless this is closed; the process drops older ones it has not begun."""
        async with self._one:
            if self._processes.closed:
                return
            if self._process is None:
                process = await self._processes.take()
                if self._processes.closed:
                    await end(process)
                    return
                self._process = process
                self._listening = started(self._listen(self._process), "what a builder answered was not understood")
            pipe = self._process.stdin
            assert pipe is not None
            with contextlib.suppress(BrokenPipeError, ConnectionResetError):
                pipe.write(json.dumps(request).encode() + b"\n")
                await pipe.drain()

    async def terminate(self) -> None:
        """Ends the process and all that it started; `ended` is not called."""
        process, listening = self._process, self._listening
        self._process = self._listening = None
        if listening is not None:
            listening.cancel()
        if process is not None:
            await end(process)

    async def _listen(self, process: Process) -> None:
        while (block := await _block(process)) is not None:
            await self._heard(block)
        await end(process)
        code = process.returncode
        if self._process is process:
            self._process = self._listening = None
            said = "no status" if code is None else f"signal {-code}" if code < 0 else f"status {code}"
            await self._ended(said)


async def _block(process: Process) -> bytes | None:
    """The next block that a process writes; None once it has ended, also where something it started still holds
    the pipe."""
    assert process.stdout is not None
    reading = asyncio.ensure_future(_read(process.stdout))
    try:
        while not (await asyncio.wait({reading}, timeout=LOOK))[0]:
            if process.returncode is not None:
                await asyncio.wait({reading}, timeout=LOOK)
                break
        return reading.result() if reading.done() else None
    finally:
        reading.cancel()


async def _read(pipe: asyncio.StreamReader) -> bytes | None:
    try:
        (size,) = SIZE.unpack(await pipe.readexactly(SIZE.size))
        return await pipe.readexactly(min(size, LARGEST))
    except (asyncio.IncompleteReadError, ConnectionResetError):
        return None
