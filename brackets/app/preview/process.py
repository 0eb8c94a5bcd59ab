"""The builder as the server sees it: a process that is sent requests, answers in blocks, and can be ended."""

from __future__ import annotations

import asyncio
import contextlib
import json
import sys
from collections.abc import Awaitable, Callable
from typing import Any

from brackets.app.preview.child import SIZE

LARGEST = 512 * 1024 * 1024
"""Bytes of one block: a bay of scans; more is a mistake, and memory is not without end."""


class Builder:
    """One building process, started when it is first needed and again after it ended.

    `heard` is called with every block; `ended` with a sentence when the process goes away by itself.
    """

    def __init__(
        self,
        target: str,
        bare: str,
        *,
        printed: bool = False,
        heard: Callable[[bytes], Awaitable[None]],
        ended: Callable[[str], Awaitable[None]],
    ) -> None:
        self.target, self.bare, self.printed = target, bare, printed
        self._heard, self._ended = heard, ended
        self._process: asyncio.subprocess.Process | None = None
        self._listening: asyncio.Task[None] | None = None

    async def request(self, request: dict[str, Any]) -> None:
        """Sends a request; the process drops older ones it has not begun."""
        if self._process is None:
            await self._start()
        assert self._process is not None
        assert self._process.stdin is not None
        with contextlib.suppress(BrokenPipeError, ConnectionResetError):
            self._process.stdin.write(json.dumps(request).encode() + b"\n")
            await self._process.stdin.drain()

    async def terminate(self) -> None:
        """Ends the process; `ended` is not called."""
        process, listening = self._process, self._listening
        self._process = self._listening = None
        if listening is not None:
            listening.cancel()
        if process is not None:
            with contextlib.suppress(ProcessLookupError):
                process.kill()
            await process.wait()

    async def _start(self) -> None:
        self._process = await asyncio.create_subprocess_exec(
            sys.executable,
            "-m",
            "brackets.app.preview.child",
            self.target,
            self.bare,
            *(("printed",) if self.printed else ()),
            stdin=asyncio.subprocess.PIPE,
            stdout=asyncio.subprocess.PIPE,
        )
        self._listening = asyncio.create_task(self._listen(self._process))

    async def _listen(self, process: asyncio.subprocess.Process) -> None:
        assert process.stdout is not None
        try:
            while True:
                (size,) = SIZE.unpack(await process.stdout.readexactly(SIZE.size))
                await self._heard(await process.stdout.readexactly(min(size, LARGEST)))
        except (asyncio.IncompleteReadError, ConnectionResetError):
            pass
        code = await process.wait()
        if self._process is process:
            self._process = self._listening = None
            await self._ended(f"signal {-code}" if code < 0 else f"status {code}")
