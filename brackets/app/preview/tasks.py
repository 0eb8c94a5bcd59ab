"""Tasks that run beside what started them: what goes wrong in one is told, not kept until nobody asks for it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine


def started(
    work: Coroutine[object, object, None], what: str, *, failed: Callable[[], None] = lambda: None
) -> asyncio.Task[None]:
    """The task that does `work`. An error that ends it goes, as `what`, to the event loop's handler of errors,
    which writes it with its traceback among the errors of the program; `failed` is called then."""
    task = asyncio.create_task(work)

    def ended(done: asyncio.Task[None]) -> None:
        error = None if done.cancelled() else done.exception()
        if error is not None:
            done.get_loop().call_exception_handler({"message": what, "exception": error, "task": done})
            failed()

    task.add_done_callback(ended)
    return task
