"""The process that builds: it reads requests, one JSON line each, and answers with blocks of bytes.

Apart from the server, so that a recipe that hangs or crashes takes nothing with it, and because the solid kernel
keeps the interpreter to itself while it works. Only the newest request is built.
"""

from __future__ import annotations

import json
import os
import queue
import struct
import sys
import threading
from collections.abc import Callable, Iterator
from io import FileIO
from typing import Any

SIZE = struct.Struct("<I")
PAUSE = 0.05
"""Seconds between a picture and its checks: the page draws it meanwhile, by software with every processor there is,
and a slider that goes on moving is not waited for."""


class Requests:
    """Requests as they come in on a pipe, by a thread of their own; ends the process when the pipe is closed."""

    def __init__(self, pipe: FileIO) -> None:
        self._waiting: queue.SimpleQueue[dict[str, Any] | None] = queue.SimpleQueue()
        self._taken: list[dict[str, Any] | None] = []
        threading.Thread(target=self._read, args=(pipe,), daemon=True).start()

    def _read(self, pipe: FileIO) -> None:
        rest = b""
        while got := pipe.read(1 << 16):
            *lines, rest = (rest + got).split(b"\n")
            for line in lines:
                self._waiting.put(json.loads(line))
        self._waiting.put(None)

    def newest(self) -> dict[str, Any] | None:
        """The newest request, waiting for one; None when there will be no more."""
        request = self._taken.pop() if self._taken else self._waiting.get()
        while request is not None and not self._waiting.empty():
            request = self._waiting.get()
        return request

    def newer(self) -> bool:
        """Whether another request is waiting, or comes within PAUSE."""
        if not self._taken:
            try:
                self._taken.append(self._waiting.get(timeout=PAUSE))
            except queue.Empty:
                return False
        return True


def run(
    target: str, bare: str, requests: Requests, answer: Callable[[bytes], None], *, printed: bool = False
) -> None:
    """Answers requests until there are no more."""
    from brackets.app.preview.build import answers, source
    from brackets.app.preview.scene import pack

    what = source(target, bare=bare, printed=printed)
    answer(pack({"answer": "ready", "seq": 0}, {}))
    while (request := requests.newest()) is not None:
        for block in answers(what, request, requests.newer):
            answer(block)
        answer(pack({"answer": "idle", "seq": request["seq"]}, {}))


def main() -> None:
    """Requests on standard input, answers on what was standard output; what a recipe prints goes to the errors."""
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    target, bare, *more = sys.argv[1:]

    def answer(block: bytes) -> None:
        out.write(SIZE.pack(len(block)) + block)
        out.flush()

    try:
        run(target, bare, Requests(FileIO(0, closefd=False)), answer, printed="printed" in more)
    except BrokenPipeError:  # the server was killed: nobody is left to answer, nor to flush to
        os._exit(1)


def blocks(data: bytes) -> Iterator[bytes]:
    """The blocks in what a child wrote."""
    at = 0
    while at < len(data):
        (size,) = SIZE.unpack_from(data, at)
        yield data[at + SIZE.size : at + SIZE.size + size]
        at += SIZE.size + size


if __name__ == "__main__":
    main()
