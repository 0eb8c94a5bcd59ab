"""Ctrl-C, SIGTERM and a closed terminal, heeded by the command between two statements and never inside an import.

A library that is interrupted while it loads is left half made: the solid kernel then ends the process with a
segmentation fault. A signal that comes inside an import is held until the import is over. Until `heed` is called
Ctrl-C ends in a traceback, so nothing is imported here but what the interpreter has in it: `_signal` is `signal`
without the enumerations that it loads.
"""

from __future__ import annotations

import sys
import time

TYPE_CHECKING = False
if TYPE_CHECKING:
    import signal
    from types import FrameType
else:
    import _signal as signal

AGAIN = 0.02
"""Seconds after which a held signal is tried again."""

LONGEST_HOLD = 30.0
"""Seconds after which a signal is heeded even inside an import, which may be of a recipe that never ends."""

HEEDED = ("SIGINT", "SIGTERM", "SIGHUP")
IMPORT_SYSTEM = frozenset(
    ("importlib._bootstrap", "importlib._bootstrap_external", "_frozen_importlib", "_frozen_importlib_external")
)
"""Names of the modules whose frames stand below every module that is being loaded."""

_held: tuple[int, float] | None = None
_came: int = signal.SIGINT


def heed() -> None:
    """Makes each signal raise KeyboardInterrupt where that harms nothing; one that is ignored stays ignored."""
    for name in HEEDED:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
            signal.signal(number, _stop)
    if hasattr(signal, "SIGALRM"):
        signal.signal(signal.SIGALRM, _try_again)


def finished() -> None:
    """Ctrl-C no longer matters, nor a signal that was held: only the interpreter is still to end.

    The alarm is called off: as it ends the interpreter lets go of our handler, and an alarm then kills it. The
    interpreter remembers a KeyboardInterrupt that left a text it executed, as the standard library's dataclasses do
    while a module loads, and ends by SIGINT whatever the signal was (CPython 3.11, seen with `python -m`): one more
    text, executed without harm, makes it forget.
    """
    exec("")
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(signal, "SIGALRM"):
        signal.signal(signal.SIGALRM, signal.SIG_IGN)
        signal.setitimer(signal.ITIMER_REAL, 0.0)


def status() -> int:
    """The status after the signal that came last, as shells give it: 128 and its number."""
    return 128 + _came


def _stop(number: int, frame: FrameType | None) -> None:
    global _held, _came
    _came = number
    if _importing(frame) and (_held is None or time.monotonic() - _held[1] < LONGEST_HOLD):
        _held = (number, time.monotonic() if _held is None else _held[1])
        _later()
        return
    _held = None
    raise KeyboardInterrupt


def _try_again(_: int, frame: FrameType | None) -> None:
    if _held is not None:
        _stop(_held[0], frame)


def _later() -> None:
    """Windows has no alarm: a thread raises the signal again."""
    if sys.platform == "win32":
        import threading

        threading.Timer(AGAIN, signal.raise_signal, (_came,)).start()
    else:
        signal.setitimer(signal.ITIMER_REAL, AGAIN)


def _importing(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_globals.get("__name__") in IMPORT_SYSTEM:
            return True
        frame = frame.f_back
    return False
