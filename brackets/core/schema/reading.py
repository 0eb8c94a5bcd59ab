"""Values from what somebody typed: options of the command line, tables of a file, points from a spreadsheet."""

from __future__ import annotations

import dataclasses
import json
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, TypeVar, cast

from brackets.core import units
from brackets.core.errors import BadFile, InputError, joined
from brackets.core.names import nearest
from brackets.core.schema.checked import Checked, Param, fields, misplaced
from brackets.core.schema.rule import Plain
from brackets.core.text_files import given_text

LARGEST = 1_000_000
"""Bytes: a list of points is a few lines; anything larger is another file by mistake."""


def csv_text(path: str, *, beside: Path | None, name: str) -> str:
    """Entries "0,0; 80,0" of a CSV file, one a line; a heading line and lines starting with # are left out.

    `path` is relative to `beside`, or to where the program runs. Raises InputError where there is no such file.
    """
    where = (Path.cwd() if beside is None else beside) / path
    shown = f'{name} = "@{path}"'
    try:
        text = given_text(where, what="a list from a file", largest=LARGEST)
    except BadFile as error:
        raise InputError(f"{shown}, {'; '.join(error.problems)}") from None
    lines = [line.strip() for line in text.splitlines()]
    rows = [re.split(r"\s*[,;\t]\s*", line) for line in lines if line and not line.startswith("#")]
    if rows and not any(re.search(r"\d", cell) for cell in rows[0]):
        rows = rows[1:]
    return "; ".join(",".join(cell for cell in row if cell) for row in rows)


P = TypeVar("P", bound=Checked)
R = TypeVar("R")


def from_texts(cls: type[P], texts: Mapping[str, str], *, bare: str = "mm", beside: Path | None = None) -> P:
    """A recipe's Params from texts, as the command line gives them.

    cls: the Params class; texts: option to text, {"bush-od": "2in"}, a list also as "@file.csv";
    bare: unit of a length written without one, "mm" or "in"; beside: folder that "@file.csv" is looked for in.
    Raises InputError with every unknown name and wrong value at once.

    >>> made_of = from_texts(recipe("gusset").Params, {"leg-x": "2in", "t": "6"})
    >>> made_of.leg_x, made_of.t
    (50.8, 6.0)
    """

    return cls(**read_texts(cls, texts, bare=bare, beside=beside))


def read_texts(
    cls: type[Checked], texts: Mapping[str, str], *, bare: str = "mm", beside: Path | None = None
) -> dict[str, Plain]:
    """The values `from_texts` makes Params of, each right by its own rule."""

    def read(param: Param, value: object) -> Plain:
        text = str(value)
        if param.rule.lists and text.startswith("@"):
            text = csv_text(text[1:], beside=beside, name=param.name)
        return param.from_text(text, bare=bare)

    return _read(cls, texts, read, "")


def from_mapping(
    cls: type[P],
    table: Mapping[str, object],
    *,
    bare: str = "mm",
    where: str = "",
    beside: Path | None = None,
) -> P:
    """A recipe's Params from a TOML table: texts are read with their unit.

    cls: the Params class; table: name to value, where { cup = { od = 60 } } sets cup_od;
    bare: unit of lengths written as plain numbers, "mm" or "in"; where: what goes before every problem, such as
    "part left_ears"; beside: folder that a list given as "@file.csv" is looked for in.
    Raises InputError with every unknown name and wrong value at once.

    >>> values(from_mapping(recipe("gusset").Params, {"leg": {"x": 60, "y": "2in"}}))
    {'leg_x': 60.0, 'leg_y': 50.8, 't': 5.0, 'nose': 6.0, 'corner': 8.0}
    """

    def read(param: Param, value: object) -> Plain:
        if param.rule.lists and isinstance(value, str) and value.startswith("@"):
            value = csv_text(value[1:], beside=beside, name=param.name)
        return param.from_toml(value, bare=bare)

    lead = f"{where}: " if where else ""
    good = _read(cls, spread(cls, table), read, lead)
    try:
        return cls(**good)
    except InputError as error:
        raise type(error)(*(lead + problem for problem in error.problems)) from None


def record_of(cls: type[R], row: Checked, **other: object) -> R:
    """A record of the values of a row by their names, and of `other` where the record is not as it was typed.

    cls: a dataclass.
    """
    names = [one.name for one in dataclasses.fields(cast("Any", cls)) if one.name not in other]
    return cls(**{name: getattr(row, name) for name in names}, **other)


def typed_names(cls: type[Checked], table: Mapping[str, object]) -> frozenset[str]:
    """Names of the values that a TOML table gives, `cup = { od = 60 }` as cup_od."""
    return frozenset(name.replace("-", "_") for name in spread(cls, table))


def changed(params: P, **new: object) -> P:
    """The same Params with some values new: checked again, and what follows the others worked out again.

    params: the old ones, left as they are; new: values by name, in mm, degrees, kg.
    What was stated before stays stated.
    Raises InputError for an unknown name or a value that is not allowed.

    >>> thin = recipe("gusset").Params(t=3.0)
    >>> changed(thin, leg_x=60.0).t, changed(thin, t=4.0).t
    (3.0, 4.0)
    """
    cls = type(params)
    problems = [_unknown(cls, name) for name in new if name not in _names(cls)]
    if problems:
        raise InputError(*problems)
    following = dict.fromkeys(params._following)
    made = dataclasses.replace(params, **{**following, **new})  # type: ignore[type-var]
    return _with_stated(made, stated(params) | set(new))


def stated(params: Checked) -> frozenset[str]:
    """Names of the values that somebody gave, whether or not they differ from the defaults.

    params: the Params of a recipe.

    >>> sorted(stated(recipe("gusset").Params(t=5.0, nose=6.0)))
    ['nose', 't']
    """
    return params._stated


def unstated(params: Checked) -> tuple[str, ...]:
    """ "t 6 mm", "edge 20 mm (worked out)": every value that the user did not give."""
    return tuple(
        f"{param.name} {param.shown(params)}" for param in fields(type(params)) if param.name not in stated(params)
    )


def values(params: Checked) -> dict[str, Plain]:
    """Name to stored value of a recipe's Params, in the order written; mm, degrees, kg.

    >>> values(recipe("gusset").Params(t=6))
    {'leg_x': 45.0, 'leg_y': 45.0, 't': 6.0, 'nose': 6.0, 'corner': 8.0}
    """
    return {param.name: getattr(params, param.name) for param in fields(type(params))}


def taking(params: Checked, link: str) -> tuple[str, Plain] | None:
    """Name and value of the first value that takes that link from a bay; None where none does."""
    found = next((param.name for param in fields(type(params)) if param.rule.takes == link), None)
    return None if found is None else (found, getattr(params, found))


def json_values(params: Checked) -> dict[str, object]:
    """Name to a value that `json` takes; `from_mapping` reads it back."""
    return {param.name: param.to_json(getattr(params, param.name)) for param in fields(type(params))}


def typed(params: Checked) -> dict[str, Plain]:
    """The values the same Params are made from: None where a value follows the others."""
    return {name: None if name in params._following else value for name, value in values(params).items()}


def worked_out(params: Checked) -> tuple[str, ...]:
    """Names of the values that follow the others here, in the order of the recipe."""
    return tuple(name for name in values(params) if name in params._following)


def canonical(params: Checked) -> str:
    """One text for one set of values, the same in every process: what hashes and keys are made from."""
    return json.dumps(values(params), sort_keys=True, separators=(",", ":"), allow_nan=False)


def limits(cls: type[Checked]) -> tuple[tuple[str, Plain], ...]:
    """Every (name, value) with the value at a limit, for one-at-a-time tests."""
    return tuple((param.name, value) for param in fields(cls) for value in param.edges())


def _read(
    cls: type[Checked], given: Mapping[str, object], read: Callable[[Param, object], Plain], where: str
) -> dict[str, Plain]:
    known = {param.name: param for param in fields(cls)}
    good: dict[str, Plain] = {}
    wrong: list[InputError] = []
    there: dict[str, object] = {}
    for typed, value in given.items():
        name = typed.replace("-", "_")
        if name not in known:
            wrong.append(InputError(_unknown(cls, typed)))
            continue
        there[name] = value
        try:
            good[name] = read(known[name], value)
        except InputError as error:
            wrong.append(error)
    wrong += [InputError(p.missing()) for p in known.values() if p.required and p.name not in there]
    wrong += map(InputError, misplaced(cls, there | good))
    if wrong:
        together = joined(wrong)
        raise type(together)(*(where + problem for problem in together.problems))
    return good


def spread(cls: type[Checked], table: Mapping[str, object]) -> dict[str, object]:
    """The table with `cup = { od = 60 }` written as cup_od = 60 where a recipe has no `cup` but cup_ values."""
    known = _names(cls)
    flat: dict[str, object] = {}
    for name, value in table.items():
        inner = name not in known and isinstance(value, Mapping)
        if inner and any(other.startswith(f"{name}_") for other in known):
            flat.update({f"{name}_{key}": v for key, v in value.items()})  # type: ignore[attr-defined]
        else:
            flat[name] = value
    return flat


def _names(cls: type[Checked]) -> list[str]:
    return [param.name for param in fields(cls)]


def _unknown(cls: type[Checked], name: str) -> str:
    near = nearest(name.replace("-", "_"), _names(cls), n=1)
    hint = f", nearest: {near[0]}" if near else f", must be one of {', '.join(_names(cls))}"
    return f"{units.shown(name).strip(chr(34))}: no such value{hint}"


def _with_stated(params: P, names: frozenset[str]) -> P:
    object.__setattr__(params, "_stated", names)
    return params
