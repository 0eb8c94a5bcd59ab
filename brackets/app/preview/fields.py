"""A recipe's values as fields of a form: slider, number, list to pick from; and what was typed, read."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from brackets.core.errors import InputError
from brackets.core.schema.checked import Checked, Param, fields
from brackets.core.schema.reading import values
from brackets.core.schema.reading import worked_out as follow_here
from brackets.core.schema.sizes import Stock

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
