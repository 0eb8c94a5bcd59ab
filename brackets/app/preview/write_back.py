"""Writes values tried in the page back to the bay file: all of them or none, and nothing else changes."""

from __future__ import annotations

import os
import stat
from codecs import BOM_UTF8
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit

from brackets.app.command_line import command_line
from brackets.app.preview.bay_source import BaySource
from brackets.app.preview.fields import Values
from brackets.app.preview.messages import PLACE, not_written
from brackets.app.preview.place_back import with_place
from brackets.app.preview.recipe_source import RecipeSource
from brackets.app.preview.splice import with_value
from brackets.core.errors import BadFile, BadRecipe, InputError
from brackets.core.schema.checked import Param
from brackets.core.schema.rule import Plain
from brackets.core.text_files import given_bytes, given_text, given_toml
from brackets.library import recipe as recipe_file
from brackets.output.folder import replacing

WHAT = "a bay file (TOML)"
WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH


def keep(what: RecipeSource | BaySource, typed: Values) -> dict[str, Any]:
    """Writes what was typed, or says how to make it: `done` says which, `lines` say it in words."""
    if isinstance(what, RecipeSource):
        return {
            "done": False,
            "lines": ["A recipe keeps no values. To make this one:", command(what.target, typed)],
        }
    try:
        changed = kept(what.path, typed)
    except (InputError, BadRecipe, BadFile) as error:
        why = error.problems if isinstance(error, InputError) else str(error).splitlines()
    except OSError as error:
        why = [f"{what.path.name}: {error.strerror}"]
    else:
        return {"done": True, "lines": [f"Written to {what.path.name}:", *changed]}
    return {"done": False, "lines": not_written(why, typed)}


def command(target: str, typed: Values) -> str:
    """The command that makes a recipe with what was typed."""
    words = ["brackets", "make", target]
    for name, text in typed.get("", {}).items():
        words += [f"--{name.replace('_', '-')}", text]
    return command_line(words)


def kept(path: Path, typed: Values) -> list[str]:
    """Writes every value into the bay file and says so, a line each; or none of them.

    Not a byte changes but the values written and the lines of new ones: comments, newlines, a byte order mark and
    the mode stay. Raises InputError with the reason of each value that cannot be written, BadFile, OSError.
    """
    was = given_bytes(path, what=WHAT)
    if not os.access(path, os.W_OK) or not path.stat().st_mode & WRITABLE:
        raise BadFile(path, "is read-only, must be writable: values are kept in it")
    text, whole = given_text(path, what=WHAT), given_toml(path, what="a bay file")
    bare = str(whole.get("unit", "mm"))
    told: list[str] = []
    problems: list[str] = []
    for part, texts in typed.items():
        if part == PLACE:
            try:
                text, lines = with_place(text, texts, bare=bare)
                told += lines
            except InputError as error:
                problems += [f"{part}: {problem}" for problem in error.problems]
            continue
        try:
            number, row = _row(whole, part)
            known = _known(path, row)
        except (InputError, BadRecipe, BadFile) as error:
            problems += [f"{part}: {line}" for line in str(error).splitlines()] if texts else []
            continue
        for name, given in texts.items():
            try:
                if name not in known:
                    raise InputError(f"{name} = {given}, must be a value of its recipe: it has none of this name")
                value = known[name].from_text(given, bare=bare)
                way: list[str | int] = ["part", number, *_where(row, name)]
                text = with_value(text, way, written(known[name], value, bare=bare))
                told.append(f"{part}: {name} = {known[name].to_text(value)}")
            except InputError as error:
                problems += [f"{part}: {problem}" for problem in error.problems]
    if problems:
        raise InputError(*problems)
    _replace(path, was, (BOM_UTF8 if was.startswith(BOM_UTF8) else b"") + text.encode())
    return told


def _row(whole: Mapping[str, Any], part: str) -> tuple[int, Mapping[str, Any]]:
    """The number and the row of a part. Raises InputError where the file has none of that name, or several."""
    rows = whole.get("part")
    found = [
        (number, row)
        for number, row in enumerate(rows if isinstance(rows, list) else ())
        if isinstance(row, Mapping) and row.get("name") == part
    ]
    if len(found) != 1:
        raise InputError(f"{len(found)} parts of this name stand in the file now, must be one")
    return found[0]


def _known(path: Path, row: Mapping[str, Any]) -> Mapping[str, Param]:
    """The values that the recipe of a part has. Raises BadRecipe, BadFile."""
    opened = recipe_file.recipe(str(row.get("recipe", "")), beside=path.parent)
    return {param.name: param for param in opened.params}


def written(param: Param, value: Plain, *, bare: str) -> Any:
    """The value as the file has such values: a plain figure in mm, else a text with its unit."""
    if value is None:
        return "none"
    plain = bare == "mm" or param.unit != "mm"
    found = param.to_json(value) if plain else param.to_text(value)
    return _whole(found)


def _whole(found: Any) -> Any:
    """50.0 as 50: how people write it."""
    if isinstance(found, float) and found.is_integer():
        return int(found)
    if isinstance(found, list):
        return [_whole(each) for each in found]
    if isinstance(found, Mapping):
        table = tomlkit.inline_table()
        table.update({key: _whole(each) for key, each in found.items()})
        return table
    return found


def _where(row: Mapping[str, Any], name: str) -> tuple[str, ...]:
    """The keys under which a value stands or belongs: cup_od may stand in `cup = { od = 60 }`."""
    if name not in row:
        for key, inner in row.items():
            if isinstance(inner, Mapping) and inner and name.startswith(f"{key}_"):
                return key, name.removeprefix(f"{key}_")
    return (name,)


def _replace(path: Path, was: bytes, new: bytes) -> None:
    """Puts the new bytes in the file's place, all at once; a link stays one, and a private file private."""
    with replacing(path) as beside:
        with open(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(new)
        if given_bytes(path, what=WHAT) != was:
            raise BadFile(path, "was changed by another program in this moment: keep once more")
