"""One value of a TOML text changed or added, and not a letter else: comments, order, newlines, spelling stay."""

from __future__ import annotations

import secrets
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import InlineTable

from brackets.core.errors import InputError

Way = Sequence[str | int]
"""Keys and numbers that lead to a value: ("part", 0, "length")."""

BY_HAND = "must be typed into the file by hand: what stands there is of a form that this does not change"


def with_value(text: str, way: Way, value: Any) -> str:
    """The text with the value at the end of `way`: in place of the one that is there, or added to its table.

    Raises InputError where the text is not TOML, has no such table, or would change in any other respect.
    """
    plain = tomlkit.item(value).as_string()
    said = f"{way[-1]} = {plain}"
    try:
        wanted = tomllib.loads(text)
        table = at(wanted, way[:-1])
        there = isinstance(table, list) or way[-1] in table
        new = _changed(text, way, plain) if there else _added(text, way, plain)
        table[way[-1]] = tomllib.loads(f"v = {plain}")["v"]
        same = tomllib.loads(new) == wanted
    except (TOMLKitError, LookupError, TypeError, ValueError, RecursionError):
        raise InputError(f"{said}, {BY_HAND}") from None
    if not same:
        raise InputError(f"{said}, {BY_HAND}")
    return new


def at(whole: Any, way: Way) -> Any:
    """What stands at the end of `way`."""
    for step in way:
        whole = whole[step]
    return whole


def _changed(text: str, way: Way, plain: str) -> str:
    begin, end, _ = _span(text, way)
    return text[:begin] + plain + text[end:]


def _added(text: str, way: Way, plain: str) -> str:
    """After the last value of the table that has no heading of its own: behind it in a table on one line, else
    below."""
    table = at(tomlkit.parse(text), way[:-1])
    own = [key for key, value in table.items() if isinstance(value, InlineTable) or not isinstance(value, Mapping)]
    last = own[-1]
    begin, end, where = _span(text, (*way[:-1], last))
    if isinstance(where, InlineTable):
        return f"{text[:end]}, {way[-1]} = {plain}{text[end:]}"
    line = text[text.rfind("\n", 0, begin) + 1 : begin]
    key = line[: len(line) - len(line.lstrip())] + str(way[-1])
    below = text.find("\n", end) + 1
    newline = "\r\n" if "\r\n" in text[: below or None].splitlines(keepends=True)[-1] else "\n"
    if not below:
        newline = "\r\n" if "\r\n" in text else "\n"
        return f"{text}{newline}{key} = {plain}"
    return f"{text[:below]}{key} = {plain}{newline}{text[below:]}"


def _span(text: str, way: Way) -> tuple[int, int, Any]:
    """Where a value begins and ends, and its table. Found by writing a mark in its place: what stands before and
    after the mark must be the text's own, to the letter."""
    mark = "kept"
    while mark in text:
        mark += secrets.token_hex(4)
    whole = tomlkit.parse(text)
    where = at(whole, way[:-1])
    where[way[-1]] = mark
    head, found, tail = tomlkit.dumps(whole).partition(f'"{mark}"')
    if not (found and text.startswith(head) and text.endswith(tail) and len(head) + len(tail) <= len(text)):
        raise ValueError
    return len(head), len(text) - len(tail), where
