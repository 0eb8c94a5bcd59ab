"""The command `brackets`, also as `python -m brackets`: signals are heeded before anything is loaded."""

import atexit
import gc
import os
import sys

import brackets.interrupts as interrupts

STOPPED = 130
"""What the command line returns when it was interrupted by whatever signal."""
SELDOM = 100_000
"""New values between two looks for dead ones: a bay makes millions and hardly any cycle; a tenth of the time."""


def main() -> int:
    """Runs the command line of this process and returns its status, with which the process then ends.

    It ends as soon as all is done and said: taking apart what the kernel and the libraries brought takes the
    interpreter up to a second, and the system does it at once. Threads, and whatever else is to be done at the end,
    are waited for as ever: leaving is done last, since it is asked for first.
    """
    ended: list[int] = []
    atexit.register(_leave, ended)
    interrupts.heed()
    gc.set_threshold(SELDOM)
    try:
        from brackets.app.cli.app import main as run

        status = run()
        ended.append(interrupts.status() if status == STOPPED else status)
    except KeyboardInterrupt:
        print("stopped, nothing written", file=sys.stderr)
        ended.append(interrupts.status())
    finally:
        interrupts.finished()
    return ended[0]


def _leave(ended: list[int]) -> None:
    """Ends the process with the status it has. The interpreter does it where something went wrong, and under a
    debugger or a measurement, which has last words of its own."""
    if not ended or sys.gettrace() is not None or sys.getprofile() is not None:
        return
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except (OSError, ValueError):  # the reader is gone, or the stream is closed
        return
    os._exit(ended[0])


if __name__ == "__main__":
    sys.exit(main())
