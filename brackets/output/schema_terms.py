"""What the JSON Schemas of facts are put together from: values, lists and tables, each with its meaning."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

Schema = dict[str, Any]


def value(kind: str, about: str) -> Schema:
    """A value of a type."""
    return {"type": kind, "description": about}


def text(about: str) -> Schema:
    """Words."""
    return value("string", about)


def mm(about: str) -> Schema:
    """A length whose key need not name its unit."""
    return value("number", f"mm: {about}")


def no_mm(about: str, where: str) -> Schema:
    """A length that need not exist, and where it does not."""
    return or_null(mm(f"{about}; null {where}"))


def one_of(words: Sequence[str], about: str) -> Schema:
    """One of these words."""
    return {**text(about), "enum": list(words)}


def or_null(of: Schema) -> Schema:
    """The same, or null."""
    return {**of, "type": [of["type"], "null"]}


def each(of: Schema, about: str) -> Schema:
    """A list."""
    return {"type": "array", "description": about, "items": of}


def table(about: str, keys: Mapping[str, Schema], maybe: Collection[str] = ()) -> Schema:
    """An object with these keys and no other; those of `maybe` may be left out."""
    return {
        "type": "object",
        "description": about,
        "properties": dict(keys),
        "required": [key for key in keys if key not in maybe],
        "additionalProperties": False,
    }


def point(about: str) -> Schema:
    """Figures in mm."""
    return each(value("number", "mm"), about)


def names(about: str) -> Schema:
    """Names or sentences."""
    return each(value("string", "its name"), about)
