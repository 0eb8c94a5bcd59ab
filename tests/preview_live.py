"""A running page for tests: `brackets view` in a process of its own, its address, and what it was told to watch."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

HEED = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
"""What a program under test runs first: one started in the background is told by the shell to ignore Ctrl-C."""

PATIENCE = 120
"""Seconds that anything is waited for which comes, however busy the machine is."""

NO_SPARE = "from brackets.app.preview import process; process.REST = 1e6"
"""A page that is looked at keeps no second builder warm, which loads for seconds; that has tests of its own."""


@contextmanager
def running(target: str, *more: str) -> Iterator[str]:
    """The address of a live page of `target`; the process is ended as Ctrl-C ends it, and must end well."""
    process = subprocess.Popen(
        [sys.executable, "-c", f"{HEED}; {NO_SPARE}; from brackets.app.cli import main; raise SystemExit(main())"]
        + ["view", target]
        + ["--no-browser", *more],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])},
    )
    assert process.stdout is not None
    try:
        yield process.stdout.readline().split()[-1]
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=PATIENCE) == 130
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
