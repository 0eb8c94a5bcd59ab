"""The place of the powertrain written into the text of a bay file: figures that stand there are changed where they
stand, others are added, and not a letter else. A figure keeps the unit it was typed in."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit

from brackets.app.preview.messages import PLACE
from brackets.app.preview.splice import BY_HAND, with_value
from brackets.app.preview.typed_place import DIGITS, Texts, figure_of, rules, wrong_place
from brackets.bay.position.placing import SHIFTS
from brackets.bay.schema.asked import FIGURES, POWERTRAIN
from brackets.core.errors import InputError
from brackets.core.units import length

UNIT = re.compile(r"[^\d\s.,/+-][^\d]*$")
"""The unit behind a typed figure, "5/16in"; of feet and inches what comes after the last digit."""

BARE = {"mm": ("", "mm"), "in": ("", "in", "inch", "inches", '"')}
"""Units that a file in mm or in inches writes as a plain number."""

DEGREES = ("", "deg", "°")

FEET = re.compile(r"[0-9]\s*(?:ft|foot|feet|')", re.IGNORECASE)


def with_place(text: str, texts: Texts, *, bare: str) -> tuple[str, list[str]]:
    """The text with the typed figures in it, and a line for each. Raises InputError with what cannot be written.

    bare: the unit of the file's numbers, "mm" or "in".
    """
    wrong = wrong_place(texts, bare=bare)
    if wrong:
        raise InputError(*wrong.values())
    told = [f"{PLACE}: {name} = {typed.strip()}" for name, typed in texts.items()]
    values = {name: written(name, typed, bare=bare) for name, typed in texts.items()}
    shifts = {FIGURES.index(name): value for name, value in values.items() if FIGURES.index(name) < SHIFTS}
    turns = {name: value for name, value in values.items() if FIGURES.index(name) >= SHIFTS}
    powertrain = _powertrain(text)
    place = powertrain.get("place")
    flat = any(key.startswith("place_") for key in powertrain)
    if not place and not flat:
        whole = ({"at": [shifts.get(i, 0) for i in range(SHIFTS)]} if shifts else {}) | turns
        return _begun(text, whole), told
    if shifts:
        text = _with_shifts(text, _way(powertrain, "at"), shifts, bare=bare)
    for name, value in turns.items():
        text = with_value(text, _way(powertrain, name), value)
    return text, told


def written(name: str, typed: str, *, bare: str) -> float | int | str:
    """The figure as it stands in the file: a plain number where it was typed in the file's own unit, or in none, or
    in degrees; else as it was typed."""
    found = UNIT.search(typed.strip())
    unit = "" if found is None else found[0].strip().lower()
    shift = FIGURES.index(name) < SHIFTS
    if unit not in (BARE[bare] if shift else DEGREES) or FEET.search(typed):
        return typed.strip()
    return _number(figure_of(name, typed, bare=bare) / (length(1.0, bare=bare) if shift else 1.0))


def _number(value: float) -> float | int:
    """As people write it: 12 and not 12.0."""
    found = round(value, DIGITS) + 0.0
    return int(found) if found.is_integer() else found


def _powertrain(text: str) -> Mapping[str, Any]:
    try:
        found = tomllib.loads(text).get(POWERTRAIN, {})
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"the file is not TOML now: {error}") from None
    if not isinstance(found, Mapping) or not isinstance(found.get("place", {}), Mapping):
        raise InputError(f"place, {BY_HAND}")
    return found


def _way(powertrain: Mapping[str, Any], key: str) -> tuple[str, ...]:
    """The keys to a figure: place_at, or at of place."""
    if f"place_{key}" in powertrain or not powertrain.get("place"):
        return POWERTRAIN, f"place_{key}"
    return POWERTRAIN, "place", key


def _with_shifts(text: str, way: Sequence[str], shifts: Mapping[int, float | int | str], *, bare: str) -> str:
    there: Any = tomllib.loads(text)
    for key in way:
        there = there.get(key) if isinstance(there, Mapping) else None
    if isinstance(there, list) and len(there) == SHIFTS:
        for i, value in shifts.items():
            text = with_value(text, (*way, i), value)
        return text
    whole: list[float | int | str] = [0, 0, 0]
    if there is not None:
        whole = [_number(v / length(1.0, bare=bare)) for v in _read(there, bare=bare)]
    for i, value in shifts.items():
        whole[i] = value
    return with_value(text, way, whole)


def _read(there: object, *, bare: str) -> tuple[float, float, float]:
    """The shift that the file has, mm, of whatever form it is."""
    at = {name: rules()[name] for name in FIGURES[:SHIFTS]}
    if isinstance(there, str):
        there = [one.strip() for one in there.split(",")]
    if isinstance(there, Mapping):
        there = [there.get(axis) for axis in "xyz"]
    if not isinstance(there, list) or len(there) != SHIFTS:
        raise InputError(f"place, {BY_HAND}")
    x, y, z = (rule.from_toml(v, name=name, bare=bare) for (name, rule), v in zip(at.items(), there, strict=True))
    assert isinstance(x, float) and isinstance(y, float) and isinstance(z, float)  # noqa: PT018  # lengths
    return x, y, z


def _begun(text: str, whole: Mapping[str, Any]) -> str:
    """The text with a place where there was none: in [powertrain], or under a heading of its own at the end."""
    table = tomlkit.inline_table()
    table.update(whole)
    heading, lines = f"[{POWERTRAIN}]", [f"place = {table.as_string()}"]
    if POWERTRAIN in tomllib.loads(text):
        try:
            return with_value(text, (POWERTRAIN, "place"), table)
        except InputError:
            heading = f"[{POWERTRAIN}.place]"
            lines = [f"{key} = {tomlkit.item(value).as_string()}" for key, value in whole.items()]
    newline = "\r\n" if "\r\n" in text else "\n"
    head = text if not text or text.endswith("\n") else text + newline
    new = newline.join([head, heading, *lines, ""])
    wanted = tomllib.loads(text)
    wanted.setdefault(POWERTRAIN, {})["place"] = dict(whole)
    try:
        same = tomllib.loads(new) == wanted
    except tomllib.TOMLDecodeError:
        same = False
    if not same:
        raise InputError(f"place, {BY_HAND}")
    return new
