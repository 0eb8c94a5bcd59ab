"""A second reader of JSON Schema, for tests: the words of draft 2020-12 that ours use, each by its own sentence of
the specification (JSON Schema Core and Validation, 2020-12); a word it does not know is refused."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

TYPES = {"object": dict, "array": list, "string": str, "integer": int, "number": (int, float), "null": type(None)}
SILENT = {"$schema", "title", "description", "default", "examples"}


def problems(schema: dict[str, Any], value: object, where: str = "") -> Iterator[str]:
    """One line for every place where the value breaks the schema."""
    for word, says in schema.items():
        if word in SILENT or word in ("properties", "additionalProperties", "then"):
            continue
        if word == "if":
            then = schema["then"] if not list(problems(says, value)) else {}
            yield from problems(then, value, where)
            continue
        if not CHECKS[word](says, value):
            yield f"{where or 'file'}: {word} {says}"
    if isinstance(value, dict):
        known = schema.get("properties", {})
        for key, inner in value.items():
            rule = known.get(key, schema.get("additionalProperties", True))
            if rule is False:
                yield f"{where}.{key}: no such key"
            elif rule is not True:
                yield from problems(rule, inner, f"{where}.{key}")
    if isinstance(value, list):
        for i, inner in enumerate(value):
            yield from problems(schema.get("items", {}), inner, f"{where}[{i}]")


def _type(names: Any, value: object) -> bool:
    names = [names] if isinstance(names, str) else names
    if isinstance(value, bool):
        return "boolean" in names
    whole = isinstance(value, float) and value.is_integer() and "integer" in names
    return whole or any(isinstance(value, TYPES[name]) for name in names)


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _same(a: object, b: object) -> bool:
    return a == b and isinstance(a, bool) == isinstance(b, bool)


CHECKS: dict[str, Any] = {
    "type": _type,
    "enum": lambda says, value: any(_same(one, value) for one in says),
    "minimum": lambda says, value: not _number(value) or value >= says,
    "maximum": lambda says, value: not _number(value) or value <= says,
    "minLength": lambda says, value: not isinstance(value, str) or len(value) >= says,
    "maxLength": lambda says, value: not isinstance(value, str) or len(value) <= says,
    "minItems": lambda says, value: not isinstance(value, list) or len(value) >= says,
    "maxItems": lambda says, value: not isinstance(value, list) or len(value) <= says,
    "required": lambda says, value: not isinstance(value, dict) or set(says) <= set(value),
    "anyOf": lambda says, value: any(not list(problems(one, value)) for one in says),
    "allOf": lambda says, value: all(not list(problems(one, value)) for one in says),
    "items": lambda says, value: True,
}


def loose(schema: dict[str, Any], value: dict[str, Any]) -> Iterator[str]:
    """Keys of the value, and of its tables and the first of each of its lists, that the schema lets be left out."""
    for key in value:
        if not list(problems(schema, _less(value, key))):
            yield key
        first, inner = value[key], schema["properties"][key]
        if isinstance(first, list):
            first, inner = first[0] if first else None, inner["items"]
        if isinstance(first, dict) and ("required" in inner or "anyOf" in inner):
            yield from (f"{key}.{one}" for one in first if not list(problems(inner, _less(first, one))))


def _less(value: dict[str, Any], key: str) -> dict[str, Any]:
    return {one: inner for one, inner in value.items() if one != key}
