"""A recipe's values as fields of a form, what was typed, and why there is no new picture."""

from __future__ import annotations

import re
import traceback
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from brackets.core.errors import BadFile, BadRecipe, InputError, KernelFailed
from brackets.core.schema.checked import Checked, Param, fields
from brackets.core.schema.reading import values
from brackets.core.schema.reading import worked_out as follow_here
from brackets.core.schema.sizes import Stock
from brackets.library import recipe as recipe_file

Values = Mapping[str, Mapping[str, str]]
"""What was typed: for each part (a lone recipe's own name is "") the text of each value."""


def form(
    cls: type[Checked], texts: Mapping[str, str], *, params: Checked | None, worked_out: Iterable[str] = ()
) -> list[dict[str, Any]]:
    """A field for every value in the recipe's order.

    `texts`: what was typed, shown as it was; `params`: the values in use, None where there are none yet;
    `worked_out`: names whose values the bay works out.
    """
    stored = {} if params is None else values(params)
    known = set(worked_out)
    following = () if params is None else follow_here(params)
    return [
        _field(param, texts, stored, param.name in known) | {"follows": param.name in following}
        for param in fields(cls)
    ]


def _field(param: Param, texts: Mapping[str, str], stored: Mapping[str, Any], worked_out: bool) -> dict[str, Any]:
    default = None if param.required else param.to_text(param.default)
    value = stored.get(param.name, None if param.required else param.default)
    number = value if isinstance(value, int | float) and not isinstance(value, bool) else None
    rule = param.rule
    return {
        "name": param.name,
        "kind": rule.kind,
        "unit": param.unit,
        "meaning": param.meaning,
        "allowed": rule.allowed,
        "slider": rule.slider,
        "choices": list(rule.choices),
        "sizes": [rule.to_text(size) for size in rule.sizes] if isinstance(rule, Stock) else [],
        "optional": param.optional,
        "default": default,
        "typed": param.name in texts,
        "worked_out": worked_out and param.name not in texts,
        "text": texts.get(param.name, param.to_text(value) if param.name in stored else default or ""),
        "number": number,
    }


def wrong(cls: type[Checked], texts: Mapping[str, str], *, bare: str) -> dict[str, str]:
    """Name to what is wrong with what was typed for it, each value by its own rule."""
    known = {param.name: param for param in fields(cls)}
    found = {}
    for name, text in texts.items():
        if name not in known:
            found[name] = f"{name}: no such value"
            continue
        try:
            if text.startswith("@"):
                raise InputError(f"{name} = @..., must be typed here: files are read from the command line only")
            known[name].from_text(text, bare=bare)
        except InputError as error:
            found[name] = "; ".join(error.problems)
    return found


def by_field(problems: Iterable[str], names: Iterable[str]) -> tuple[dict[str, str], list[str]]:
    """Problems that begin with the name of a value, by that name; and the rest."""
    known = set(names)
    at: dict[str, list[str]] = {}
    rest = []
    for problem in problems:
        first = re.match(r"\w+", problem)
        if first is not None and first[0] in known:
            at.setdefault(first[0], []).append(problem)
        else:
            rest.append(problem)
    return {name: "; ".join(lines) for name, lines in at.items()}, rest


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
