"""What can go wrong, in words for the person who typed it: every wrong value at once, never a traceback.

One problem reads "name = value unit, what is allowed, what it is".
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path


class InputError(ValueError):
    """What somebody gave cannot be used: an unknown name, an open outline, a value outside its range.

    `problems` holds one line for each thing that is wrong.
    """

    def __init__(self, problem: str, *more: str) -> None:
        self.problems: tuple[str, ...] = (problem, *more)
        super().__init__("\n".join(self.problems))

    def __reduce__(self) -> tuple[type[InputError], tuple[str, ...]]:
        return type(self), self.problems


class OutOfRange(InputError):  # noqa: N818  (the name says what happened; scripts rely on it)
    """One value, or several, outside the range it may have: nothing else is wrong with it."""


def joined(errors: Sequence[InputError]) -> InputError:
    """All problems of several errors as one: OutOfRange where every one of them is."""
    kind = OutOfRange if all(isinstance(error, OutOfRange) for error in errors) else InputError
    return kind(*(problem for error in errors for problem in error.problems))


class BadFile(ValueError):  # noqa: N818
    """A file that cannot be used; each problem names the key, its value and what is allowed."""

    def __init__(self, path: str | Path, problem: str, *more: str) -> None:
        self.path = Path(path)
        self.problems: tuple[str, ...] = (problem, *more)
        super().__init__("\n".join(f"{self.path}: {line}" for line in self.problems))

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
