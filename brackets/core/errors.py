"""What can go wrong, in words for the person who typed it: every wrong value at once, never a traceback.

One problem reads "name = value unit, what is allowed, what it is".
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

ALIKE = 20
"""Problems of one name that are all told; of more than that FIRST are, and how many more there are."""
FIRST = 10
MOST = 100
"""Problems told in all; beyond that the file is another one by mistake."""

_NAME = re.compile(r"(?:[^=]*?\b(?:line|row) [^:=]+: )?(?P<name>[^=]+?) = ")


def told(problems: Sequence[str]) -> tuple[str, ...]:
    """What is said of many problems: the first few of those of one name, in a list or in one row after another, and
    how many more there are.

    >>> told([f"od = {-i} mm, must be 10 to 110 mm: outside" for i in range(1, 10_000)])[-1]
    'and 9989 more of od, which are told once these are put right'
    """
    names = [found["name"] if (found := _NAME.match(line)) else "" for line in problems]
    many = {name: count for name, count in Counter(names).items() if name and count > ALIKE}
    lines: list[str] = []
    so_far: Counter[str] = Counter()
    for name, line in zip(names, problems, strict=True):
        so_far[name] += 1
        if name not in many or so_far[name] <= FIRST:
            lines.append(line)
        if name in many and so_far[name] == FIRST:
            more = many[name] - FIRST
            lines.append(f"and {more} more of {name}, which are told once these are put right")
    more = len(lines) - MOST
    return (*lines[:MOST], *((f"and {more} more",) if more > 0 else ()))


class InputError(ValueError):
    """What somebody gave cannot be used: an unknown name, an open outline, a value outside its range.

    `problems` holds one line for each thing that is wrong; its text has the first few of each name, as `told`.
    """

    def __init__(self, problem: str, *more: str) -> None:
        self.problems: tuple[str, ...] = (problem, *more)
        super().__init__("\n".join(told(self.problems)))

    def __reduce__(self) -> tuple[type[InputError], tuple[str, ...]]:
        return type(self), self.problems


class OutOfRange(InputError):  # noqa: N818  (the name says what happened; scripts rely on it)
    """One value, or several, outside the range it may have: nothing else is wrong with it."""


def joined(errors: Sequence[InputError]) -> InputError:
    """All problems of several errors as one: OutOfRange where every one of them is."""
    kind = OutOfRange if all(isinstance(error, OutOfRange) for error in errors) else InputError
    return kind(*(problem for error in errors for problem in error.problems))


class BadFile(ValueError):  # noqa: N818
    """A file that cannot be used; each problem names the key, its value and what is allowed. `problems` has all of
    them, its text as many as `told` says."""

    def __init__(self, path: str | Path, problem: str, *more: str) -> None:
        self.path = Path(path)
        self.problems: tuple[str, ...] = (problem, *more)
        super().__init__("\n".join(f"{self.path}: {line}" for line in told(self.problems)))

    def __reduce__(self) -> tuple[type[BadFile], tuple[object, ...]]:
        return type(self), (self.path, *self.problems)


class BadRecipe(ImportError):  # noqa: N818
    """A recipe that cannot be loaded or breaks the rules of a recipe file."""


class KernelFailed(RuntimeError):  # noqa: N818
    """The solid kernel refused: names the piece, the operation, its size and the kernel's own reason."""

    def __init__(self, piece: str, operation: str, size: str, reason: str) -> None:
        self.piece, self.operation, self.size, self.reason = piece, operation, size, reason
        super().__init__(f"{piece}: {operation} ({size}) failed: {reason}")

    def __reduce__(self) -> tuple[type[KernelFailed], tuple[str, str, str, str]]:
        return type(self), (self.piece, self.operation, self.size, self.reason)


OURS = (InputError, BadFile, BadRecipe, KernelFailed)
"""What this library refuses with, in words of its own."""
