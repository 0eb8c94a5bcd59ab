"""Writes a position of the powertrain into its bay file; every byte that does not say it stays as it was."""

from __future__ import annotations

import os
import re
from codecs import BOM_UTF8
from collections.abc import MutableMapping
from pathlib import Path
from typing import Any

import tomlkit

from brackets.bay.position.placing import SHIFTS, typed_position
from brackets.bay.schema.record import Bay
from brackets.clearance.places import Array
from brackets.core.units import length
from brackets.output.folder import replacing

BARE_END = re.compile(r"(?<!\r)\n")

TURNED = ("roll", "pitch", "yaw")

SAME = 1e-9
"""mm and degrees within which a figure is the one that is there already."""

DIGITS = 9
"""Decimals that are written at most: nine are a millionth of what can be measured."""


def read_only(path: Path) -> bool:
    """Whether its owner has closed a file, or nobody here may write it: it could be replaced all the same."""
    return not path.stat().st_mode & 0o222 or not os.access(path, os.W_OK)


def write_place(bay: Bay, at: Array) -> tuple[str, ...]:
    """Writes a position (6,) under [powertrain] of the bay's own file: a line for each figure that is new.

    Raises OSError where the file cannot be written."""
    old = typed_position(bay.powertrain)
    new = [i for i in range(len(at)) if abs(at[i] - old[i]) > SAME]
    if not new:
        return ()
    mark, text = _read(bay.path)
    whole = tomlkit.parse(text)
    per = length(1.0, bare=bay.bare)
    powertrain = whole.setdefault("powertrain", tomlkit.table())
    told = []
    if any(i < SHIFTS for i in new):
        where, key = _where(powertrain, "at")
        there = where.get(key)
        figures = [_plain(at[i] / per) for i in range(SHIFTS)]
        if isinstance(there, list) and len(there) == SHIFTS:
            for i in (i for i in new if i < SHIFTS):
                there[i] = figures[i]
        else:
            where[key] = figures
        told.append(f"place.at = [{', '.join(f'{figure:g}' for figure in figures)}] {bay.bare}")
    for i in (i for i in new if i >= SHIFTS):
        name = TURNED[i - SHIFTS]
        where, key = _where(powertrain, name)
        where[key] = _plain(at[i])
        told.append(f"place.{name} = {_plain(at[i])} deg")
    with replacing(bay.path) as beside:
        beside.write_bytes(mark + _ended_as(text, tomlkit.dumps(whole)).encode("utf-8"))
    return tuple(told)


def _read(path: Path) -> tuple[bytes, str]:
    """The mark that some editors put before a file, and its text with the ends of lines as they are."""
    found = path.read_bytes()
    mark = BOM_UTF8 if found.startswith(BOM_UTF8) else b""
    return mark, found.removeprefix(mark).decode("utf-8")


def _ended_as(text: str, new: str) -> str:
    """New text whose lines all end as those of the old one do."""
    return BARE_END.sub("\r\n", new) if "\r\n" in text and not BARE_END.search(text) else new


def _where(powertrain: MutableMapping[str, Any], name: str) -> tuple[MutableMapping[str, Any], str]:
    """The table and key of a figure: place_at, or at of place, which is made where there is neither."""
    if f"place_{name}" in powertrain:
        return powertrain, f"place_{name}"
    if "place" not in powertrain and any(key.startswith("place_") for key in powertrain):
        return powertrain, f"place_{name}"
    if "place" not in powertrain:
        powertrain["place"] = tomlkit.inline_table()
    return powertrain["place"], name


def _plain(value: float) -> float | int:
    """As people write it: 12 and not 12.0."""
    found = round(float(value), DIGITS) + 0.0
    return int(found) if found.is_integer() else found
