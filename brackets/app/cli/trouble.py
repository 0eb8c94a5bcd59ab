"""What went wrong, in one clear line each on the error stream, and the status that goes with it."""

from __future__ import annotations

import errno
import functools
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import ParamSpec

import typer

from brackets.core.errors import OURS, BadFile, InputError, KernelFailed
from brackets.core.errors import told as told_of

FINE, STOPS, WRONG = 0, 1, 2
"""Statuses: all is well; a finding of level stop, a foul, or no room to write; the input is wrong."""
STOPPED = 130
"""Status after Ctrl-C, as shells give it (128 + SIGINT)."""
PIPE_GONE = 141
"""Status where the reader of our output went away, as shells give it (128 + SIGPIPE)."""

USAGE: type[Exception] = typer.BadParameter.__mro__[1]
"""What the option parser raises; typer brings it but has no public name for it."""


LONGEST_LINE = 800
"""Characters of a line: room for every choice there is, not for a file that was taken for a name."""


@dataclass(frozen=True)
class Ran:
    """A verb that ran to its end, and its status."""

    status: int


_NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
_P = ParamSpec("_P")


def guarded(verb: Callable[_P, int]) -> Callable[_P, Ran]:
    """The verb as the command line runs it: prints what goes wrong and gives the status."""

    @functools.wraps(verb)
    def run(*args: _P.args, **kwargs: _P.kwargs) -> Ran:
        try:
            status = verb(*args, **kwargs)
            sys.stdout.flush()
            return Ran(status)
        except (*OURS, OSError, KeyboardInterrupt) as error:
            return Ran(told(error))

    return run


def told(error: BaseException) -> int:
    """Prints what went wrong; the status for it. An OSError without a file's name is our own mistake: raised."""
    if isinstance(error, BrokenPipeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return PIPE_GONE
    lines, status = _lines(error)
    for line in lines:
        print(_clear(line), file=sys.stderr)
    return status


def _clear(line: str) -> str:
    """On one line of bearable length, and without characters that steer a terminal."""
    return _cut("".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in _cut(line)))


def _cut(line: str) -> str:
    half = LONGEST_LINE // 2
    return line if len(line) <= LONGEST_LINE else f"{line[:half]} ... {line[-half:]}"


def _lines(error: BaseException) -> tuple[tuple[str, ...], int]:
    if isinstance(error, KeyboardInterrupt):
        return (f"stopped, {_what_is_there(error)}",), STOPPED
    if isinstance(error, InputError):
        return told_of(error.problems), WRONG
    if isinstance(error, BadFile):
        return tuple(str(error).splitlines()), WRONG
    if isinstance(error, KernelFailed):
        return (f"the solid kernel gave up, nothing written: {error}",), STOPS
    if isinstance(error, OSError):
        return _of_system(error)
    if isinstance(error, USAGE):
        said = getattr(error, "format_message", error.__str__)()
        return (f"{' '.join(said.split())} (brackets --help)",), WRONG
    return told_of(str(error).splitlines()), WRONG


def _of_system(error: OSError) -> tuple[tuple[str, ...], int]:
    if error.errno in _NO_ROOM:
        where = f" for {error.filename}" if error.filename else ""
        return (f"the disk is full: no room{where}, {_what_is_there(error)}",), STOPS
    if error.filename is None:
        if isinstance(error, FileNotFoundError) and not _stands_somewhere():
            return ("the folder you stand in is gone: change to one that is there; nothing written",), WRONG
        raise error
    return (f"{error.filename}: {error.strerror}, {_what_is_there(error)}",), WRONG


def _what_is_there(error: BaseException) -> str:
    """What is written all the same, as a note on the error says it."""
    return "; ".join(getattr(error, "__notes__", ())) or "nothing written"


def _stands_somewhere() -> bool:
    try:
        os.getcwd()
    except FileNotFoundError:
        return False
    return True
