"""Writes values tried in the page back to the bay file, its comments and order as they were."""

from __future__ import annotations

import os
import shlex
from collections.abc import Mapping, MutableMapping
from pathlib import Path
from typing import Any

import tomlkit

from brackets.app.preview.bay_source import BaySource
from brackets.app.preview.fields import Values
from brackets.app.preview.recipe_source import RecipeSource
from brackets.core.errors import BadRecipe, InputError
from brackets.core.schema.checked import Param
from brackets.core.schema.rule import Plain
from brackets.library import recipe as recipe_file


def keep(what: RecipeSource | BaySource, typed: Values) -> dict[str, Any]:
    """Writes what was typed, or says how to make it: `done` says which, `lines` say it in words."""
    if isinstance(what, RecipeSource):
        return {
            "done": False,
            "lines": ["A recipe keeps no values. To make this one:", command(what.target, typed)],
        }
    try:
        changed = kept(what.path, typed)
    except (InputError, BadRecipe) as error:
        return {"done": False, "lines": ["Nothing was written.", *str(error).splitlines()]}
    except OSError as error:
        return {"done": False, "lines": [f"Nothing was written: {error.strerror}"]}
    return {"done": True, "lines": [f"Written to {what.path.name}:", *changed]}


def command(target: str, typed: Values) -> str:
    """The command that makes a recipe with what was typed."""
    words = ["brackets", "make", target]
    for name, text in typed.get("", {}).items():
        words += [f"--{name.replace('_', '-')}", text]
    return shlex.join(words)


def kept(path: Path, typed: Values) -> list[str]:
    """A line for each value written into the bay file. Raises InputError where a value is wrong, OSError."""
    whole = tomlkit.parse(path.read_text("utf-8"))
    bare = str(whole.get("unit", "mm"))
    told = []
    for entry in whole.get("part", []):
        texts = typed.get(str(entry.get("name")), {})
        if not texts:
            continue
        opened = recipe_file.recipe(str(entry["recipe"]), beside=path.parent)
        known = {param.name: param for param in opened.params}
        for name, text in texts.items():
            if name not in known:
                raise InputError(f"{name}: no such value")
            value = known[name].from_text(text, bare=bare)
            where, key = _where(entry, name)
            where[key] = written(known[name], value, bare=bare)
            told.append(f"{entry['name']}: {name} = {known[name].to_text(value)}")
    _replace(path, tomlkit.dumps(whole))
    return told


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


def _where(entry: MutableMapping[str, Any], name: str) -> tuple[MutableMapping[str, Any], str]:
    """The table and key that hold a value: cup_od may stand in `cup = { od = 60 }`."""
    if name not in entry:
        for key, inner in entry.items():
            if isinstance(inner, MutableMapping) and name.startswith(f"{key}_"):
                return inner, name.removeprefix(f"{key}_")
    return entry, name


def _replace(path: Path, text: str) -> None:
    beside = path.with_name(f".{path.name}.new")
    beside.write_text(text, "utf-8")
    os.replace(beside, path)
