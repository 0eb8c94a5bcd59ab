"""Long work in the main thread that another thread may end anywhere, as Ctrl-C ends a command.

A process that searches for a minute and is asked for something newer would else have to be killed, and with it all
that it has in its memory: the solid kernel, solids, meshes, gaps.
"""

from __future__ import annotations

import _thread
import signal
from collections.abc import Callable
from types import FrameType
from typing import TypeVar

T = TypeVar("T")


class Overtaken(BaseException):
    """A newer request waits: what is being worked out is asked for no more. No error, so that nothing on the way
    takes it for one."""


class Overtakable:
    """Runs work that `overtake`, called from any other thread, ends by raising Overtaken in the midst of it.

    Takes the signal SIGINT for it, which does nothing outside of such work. To be made in the main thread.
    """

    def __init__(self) -> None:
        self._on = False
        signal.signal(signal.SIGINT, self._heard)

    def run(self, work: Callable[[], T], *, waits: Callable[[], bool]) -> T | None:
        """What `work` returns; None where it was overtaken, or where something `waits` before it begins."""
        try:
            self._on = True
            return None if waits() else work()
        except Overtaken:
            return None
        finally:
            self._on = False

    def overtake(self) -> None:
        """Ends the work that runs, if any does."""
        if self._on:
            _thread.interrupt_main(signal.SIGINT)

    def _heard(self, _number: int, _frame: FrameType | None) -> None:
        if self._on:
            self._on = False
            raise Overtaken
