"""The process that builds: it reads requests, one JSON line each, and answers with blocks of bytes.

Apart from the server, so that a recipe that hangs or crashes takes nothing with it, and because the solid kernel
keeps the interpreter to itself while it works. Only the newest request is built.
"""

from __future__ import annotations

import json
import os
import queue
import signal
import struct
import sys
import threading
import traceback
from collections.abc import Callable, Iterator
from functools import partial
from io import FileIO
from pathlib import Path
from typing import Any

from brackets.app.preview.overtaken import Overtakable

SIZE = struct.Struct("<I")
PAUSE = 0.05
"""Seconds between a shape and its figures and checks: the page draws it meanwhile, by software with every processor
there is, and a slider that goes on moving is not waited for."""


class Requests:
    """Requests as they come in on a pipe, by a thread of their own; `closed` is called when the pipe is closed,
    `came` when a request is waiting.

    Requests to keep what was typed are no pictures: a newer one does not overtake them, and they wait for no build.
    """

    def __init__(self, pipe: FileIO, closed: Callable[[], None] = lambda: None) -> None:
        self.came: Callable[[], None] = lambda: None
        self._waiting: queue.SimpleQueue[dict[str, Any] | None] = queue.SimpleQueue()
        self.to_keep: queue.SimpleQueue[dict[str, Any]] = queue.SimpleQueue()
        self._taken: list[dict[str, Any] | None] = []
        self._closed = closed
        threading.Thread(target=self._read, args=(pipe,), daemon=True).start()

    def _read(self, pipe: FileIO) -> None:
        rest = b""
        while got := pipe.read(1 << 16):
            *lines, rest = (rest + got).split(b"\n")
            for line in lines:
                request = json.loads(line)
                if request.get("stage") == "keep":
                    self.to_keep.put(request)
                else:
                    self._waiting.put(request)
                    self.came()
        self._waiting.put(None)
        self._closed()

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

    def waits(self) -> bool:
        """Whether another request is waiting."""
        return bool(self._taken) or not self._waiting.empty()


def run(
    target: str, bare: str, requests: Requests, answer: Callable[[bytes], None], *, printed: bool = False
) -> None:
    """Answers requests until there are no more."""
    from brackets.app.preview.blocks import pack
    from brackets.app.preview.build import answers, kept_block, moved_block, source
    from brackets.core import kept

    what = source(target, bare=bare, printed=printed)
    answer(pack({"answer": "ready", "seq": 0}, {}))

    def keep_all() -> None:
        try:
            while True:
                answer(kept_block(what, requests.to_keep.get()))
        finally:  # an error: whoever waits for what is written is told so by the end of the process
            if not isinstance(sys.exception(), BrokenPipeError):
                traceback.print_exc()
            os._exit(1)

    threading.Thread(target=keep_all, daemon=True).start()
    trials, search = None, Overtakable()
    requests.came = search.overtake
    while (request := requests.newest()) is not None:
        stage = request["stage"]
        if stage == "moved":
            block = search.run(partial(moved_block, what, request), waits=requests.waits)
            if block is not None:
                answer(block)
        elif stage in ("trial", "best"):
            from brackets.app.preview.trials import Trials

            trials = trials or Trials(Path(target).expanduser().resolve())
            trials.answer(request, lambda header: answer(pack(header, {})), requests.waits)
            more = search.run(partial(trials.more, request), waits=requests.waits) if stage == "trial" else None
            if more is not None:
                answer(pack(more, {}))
        else:
            for block in answers(what, request, requests.newer):
                answer(block)
        answer(pack({"answer": "idle", "seq": request["seq"], "stage": stage}, {}))
        if stage == "moved" and not requests.waits():
            kept.flush()  # for the process that is warm beside this one


def main() -> None:
    """Requests on standard input, answers on what was standard output; what a recipe prints goes to the errors."""
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    target, bare, *more = sys.argv[1:]

    one = threading.Lock()

    def answer(block: bytes) -> None:
        with one:
            out.write(SIZE.pack(len(block)) + block)
            out.flush()

    try:
        run(target, bare, Requests(FileIO(0, closefd=False), _alone), answer, printed="printed" in more)
    except BrokenPipeError:  # the server was killed: nobody is left to answer, nor to flush to
        os._exit(1)


def _alone() -> None:
    """The server is gone: ends this process and what a recipe of its started, whatever it is doing."""
    if sys.platform != "win32" and os.getpgrp() == os.getpid():
        os.killpg(0, signal.SIGKILL)
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
