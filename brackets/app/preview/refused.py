"""Why there is no new picture: what to say at which field, what to say above all, and where in the user's file."""

from __future__ import annotations

import traceback
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from brackets.app.preview.fields import by_field
from brackets.core.errors import BadFile, BadRecipe, InputError, KernelFailed
from brackets.library import recipe as recipe_file

PACKAGE = Path(recipe_file.__file__).resolve().parents[1]
MOST_LINES = 60
"""Lines of a traceback that are shown: a page, the last ones."""


class Refused(Exception):  # noqa: N818
    """No picture of these values. `fields`: part to value to sentence; `lines`: sentences for no field alone;
    `trace`: the user's own lines that led there; `forms`: the fields as far as they are known."""

    def __init__(
        self,
        *,
        lines: Sequence[str] = (),
        fields: Mapping[str, Mapping[str, str]] | None = None,
        trace: Sequence[str] = (),
        forms: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__("; ".join(lines))
        self.lines, self.trace = tuple(lines), tuple(trace)
        self.fields = {} if fields is None else fields
        self.forms = {} if forms is None else forms

    def as_input_error(self) -> InputError:
        """The same for a command line: every sentence, at once."""
        at = [line for lines in self.fields.values() for line in lines.values()]
        return InputError(*(at + [*self.lines, *self.trace] or ["no picture"]))


@contextmanager
def refusals(*, forms: dict[str, Any]) -> Iterator[None]:
    """Turns what our own errors say into a Refused, with the lines of a recipe that failed."""
    try:
        yield
    except InputError as error:
        at, rest = by_field(error.problems, [field["name"] for field in forms.get("", ())])
        raise Refused(fields={"": at}, lines=rest, forms=forms) from None
    except BadFile as error:
        raise Refused(lines=str(error).splitlines(), trace=trace_of(error), forms=forms) from None
    except BadRecipe as error:
        raise Refused(lines=str(error).splitlines(), trace=trace_of(error), forms=forms) from None
    except KernelFailed as error:
        raise Refused(lines=[f"the solid kernel gave up: {error}"], forms=forms) from None


def trace_of(error: BadFile | BadRecipe) -> list[str]:
    """The traceback of the recipe that failed, from the recipe's first line on; empty where none did."""
    blamed = error.__cause__ if isinstance(error, BadFile) else error
    cause = blamed.__cause__ if isinstance(blamed, BadRecipe) else None
    if cause is None:
        return []
    frames = traceback.extract_tb(cause.__traceback__)
    start = next((i for i, frame in enumerate(frames) if not _ours(Path(frame.filename))), None)
    if start is None:
        return []
    lines = traceback.format_list(frames[start:]) + traceback.format_exception_only(cause)
    return [line for block in lines for line in block.rstrip("\n").splitlines()][-MOST_LINES:]


def _ours(path: Path) -> bool:
    """Whether a line that led to a recipe is the program's own."""
    return path.is_relative_to(PACKAGE) and not path.is_relative_to(recipe_file.shipped())
