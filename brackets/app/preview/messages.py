"""What a page may ask for, and what it is told of values that were not written."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brackets.core.errors import InputError

LONGEST = 4000
"""Characters of one typed value: four hundred points of a list, no more."""


LARGEST = 64 * 1024
"""Bytes of one message: every value of a recipe at once, and no more."""
MOST = 200
"""Values in one message."""


PLACE = "[powertrain] place"
"""The name under which the place of the powertrain is typed and kept, among the parts of a bay."""
FIGURES = frozenset(("fore", "left", "up", "roll", "pitch", "yaw"))
"""What may be typed for it."""


@dataclass(frozen=True)
class Set:
    """Values of `part` ("" for a lone recipe) as typed; None takes the file's or the recipe's own again."""

    part: str
    values: Mapping[str, str | None]


@dataclass(frozen=True)
class Keep:
    """Write what was typed into the file."""


@dataclass(frozen=True)
class Reset:
    """Forget what was typed."""


@dataclass(frozen=True)
class Back:
    """As it was typed before the last change; `again`: as it was before going back."""

    again: bool


@dataclass(frozen=True)
class Try:
    """What the engine would have about it at a place that is not typed yet; `best`: what place would be the best,
    begun from there. `of` comes back with the answer, so that the page knows its own."""

    place: Mapping[str, str]
    of: str
    best: bool = False


Message = Set | Keep | Reset | Back | Try


def message(text: str) -> Message:
    """The message in a text. Raises InputError for anything that is not exactly one of the above."""
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError):
        raise InputError("message = not JSON, must be one object: what the page asks for") from None
    if not isinstance(raw, dict):
        raise InputError("message = no object, must be one object: what the page asks for")
    kind = raw.get("do")
    if kind == "keep" and set(raw) == {"do"}:
        return Keep()
    if kind == "reset" and set(raw) == {"do"}:
        return Reset()
    if kind in ("undo", "redo") and set(raw) == {"do"}:
        return Back(kind == "redo")
    if kind == "set" and set(raw) == {"do", "part", "values"}:
        return _set(raw["part"], raw["values"])
    if kind in ("trial", "best") and set(raw) == {"do", "place", "of"}:
        return _try(raw["place"], raw["of"], best=kind == "best")
    raise InputError(
        "message = of another shape, must be set, undo, redo, keep, reset, trial or best: what the page asks for"
    )


def _try(place: object, of: object, *, best: bool) -> Try:
    if not isinstance(of, str) or len(of) > LONGEST or not isinstance(place, dict) or not set(place) <= FIGURES:
        raise InputError("message = of another shape, must be a place and whose it is: what the page asks for")
    asked = _set(PLACE, place).values
    return Try({name: text for name, text in asked.items() if text is not None}, of, best)


def _set(part: object, values: object) -> Set:
    if not isinstance(part, str) or len(part) > LONGEST or not isinstance(values, dict) or len(values) > MOST:
        raise InputError("message = of another shape, must be a part and its values: what the page asks for")
    for name, text in values.items():
        if not name.isidentifier() or not (text is None or (isinstance(text, str) and len(text) <= LONGEST)):
            raise InputError(f"value = of another shape, must be a text of at most {LONGEST} characters: a value")
    return Set(part, dict(values))


def not_written(why: Sequence[str], typed: Mapping[str, Mapping[str, str]]) -> list[str]:
    """Why nothing was written, and each value that was not."""
    each = ((part, name, text) for part, texts in typed.items() for name, text in texts.items())
    lost = [f"{part}: {name} = {text}".removeprefix(": ") for part, name, text in each]
    return ["Nothing was written:", *why, *(f"not written: {one}" for one in lost)]
