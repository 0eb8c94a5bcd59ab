"""A command as it is typed, to be copied from what is printed: each word in quotes where the shell needs them."""

from __future__ import annotations

import os
import re
import shlex
from collections.abc import Iterable

_PLAIN = re.compile(r"[\w+=:./\\-]+")
"""What neither cmd nor PowerShell reads as anything but itself; a comma makes a list in PowerShell."""


def command_line(words: Iterable[str], *, windows: bool = os.name == "nt") -> str:
    """The words on one line.

    words: what the program is to get; windows: in double quotes, as cmd and PowerShell both take them, with quotes
    and backslashes before them as programs read them there (Microsoft, "Parsing C command-line arguments"), else
    for a POSIX shell.

    >>> command_line(["brackets", "make", "my ears.py", "--t", "1/4 in"], windows=False)
    "brackets make 'my ears.py' --t '1/4 in'"
    """
    return " ".join(map(_quoted, words)) if windows else shlex.join(words)


def _quoted(word: str) -> str:
    if _PLAIN.fullmatch(word):
        return word
    escaped = re.sub(r'(\\*)("|$)', lambda found: 2 * found[1] + ('\\"' if found[2] else ""), word)
    return f'"{escaped}"'
