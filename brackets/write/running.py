"""Whether a process is still running, so that what it left unfinished is not swept away under it."""

from __future__ import annotations

import os
import sys

STILL_ACTIVE = 259
"""Exit status of a process that has not ended: Windows API, GetExitCodeProcess."""

QUERY = 0x1000
"""PROCESS_QUERY_LIMITED_INFORMATION: Windows API, process security and access rights."""


def running(pid: int) -> bool:
    """Whether there is a process of this number; it may be another that got the number since."""
    if sys.platform == "win32":
        return _on_windows(pid)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True


def _on_windows(pid: int) -> bool:
    """os.kill would end it there."""
    import ctypes

    kernel = ctypes.windll.kernel32  # type: ignore[attr-defined]
    handle = kernel.OpenProcess(QUERY, False, pid)
    if not handle:
        return False
    status = ctypes.c_ulong()
    known = kernel.GetExitCodeProcess(handle, ctypes.byref(status))
    kernel.CloseHandle(handle)
    return not known or status.value == STILL_ACTIVE
