"""The command's process ends with its status once all is done and said, and takes nothing apart before."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ENDS = """
import atexit, sys, threading, time
from brackets.__main__ import main
from brackets.app.cli import app


class Held:
    def __del__(self):
        print("taken apart")


def run():
    atexit.register(print, "last words")
    print("x" * 100_000)
    threading.Thread(target=lambda: (time.sleep(0.2), print("a thread"))).start()
    {ends}


held = Held()
app.main = run
{before}
sys.exit(main())
"""
ALL = ["x" * 100_000, "a thread", "last words"]


def ended(ends: str, before: str = "") -> subprocess.CompletedProcess[str]:
    code = ENDS.format(ends=ends, before=before)
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)


@pytest.mark.parametrize("status", [0, 1, 2])
def test_threads_and_last_words_are_waited_for_and_nothing_is_taken_apart(status: int) -> None:
    done = ended(f"return {status}")
    assert (done.stdout.splitlines(), done.stderr, done.returncode) == (ALL, "", status)


def test_an_interrupted_command_ends_with_the_status_of_shells() -> None:
    done = ended("raise KeyboardInterrupt")
    assert (done.stdout.splitlines(), done.stderr) == (ALL, "stopped, nothing written\n")
    assert done.returncode == 130


def test_an_error_of_our_own_ends_as_any_program_does() -> None:
    done = ended("raise RuntimeError('ours')")
    assert done.stdout.splitlines() == [*ALL, "taken apart"]
    assert (done.stderr.splitlines()[-1], done.returncode) == ("RuntimeError: ours", 1)


@pytest.mark.parametrize("watch", ["settrace", "setprofile"])
def test_under_a_debugger_or_a_measurement_nothing_is_cut_short(watch: str) -> None:
    for before, said in (("", ["left at once"]), (f"; sys.{watch}(lambda *_: None)", [])):
        done = ended("return 1", "import os; os._exit = lambda _: print('left at once')" + before)
        assert [line for line in done.stdout.splitlines() if line == "left at once"] == said
        assert done.returncode == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="writes to a device that is always full")
def test_what_cannot_be_said_at_the_end_is_told_as_by_any_program() -> None:
    done = ended("sys.stdout.flush(); sys.stdout = open('/dev/full', 'w'); print('lost'); return 1")
    assert "Traceback" not in done.stderr
    assert "No space left" in done.stderr  # the interpreter's own words for it
