"""Looks rows up by name, with the nearest names where there is none, and reads rows that a person typed."""

from __future__ import annotations

import csv
import difflib
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache, partial
from importlib import resources
from types import MappingProxyType
from typing import NoReturn, Protocol

from brackets.core import units
from brackets.core.errors import InputError
from brackets.core.units import INCH, shown

FEW = 16
"""Up to this many choices are all named in a message; beyond that only the nearest."""
_LIKE_ENOUGH = 0.6
"""difflib ratio from which a known name counts as near a mistyped one."""


@cache
def csv_rows(name: str) -> tuple[Mapping[str, str], ...]:
    """The rows of a shipped CSV table, header lines starting with # left out."""
    lines = [line for line in _text(name).splitlines() if line.strip() and not line.startswith("#")]
    return tuple(MappingProxyType(dict(row)) for row in csv.DictReader(lines))


@cache
def toml_rows(name: str, table: str) -> tuple[Mapping[str, object], ...]:
    """The [[table]] rows of a shipped TOML file."""
    rows = tomllib.loads(_text(name))[table]
    return tuple(MappingProxyType(row) for row in rows)


def inches(text: str) -> float:
    """mm from a cell that holds inches, 5/16 or 0.065, rounded once."""
    return float(Fraction(text) * INCH)


def plain(text: str) -> str:
    """A name as it is compared: no case, one space between words."""
    return " ".join(text.casefold().split())


def nearest(value: str, names: Iterable[str], *, n: int = 3) -> tuple[str, ...]:
    """The known names most like `value`, best first."""
    known = {plain(name): name for name in names}
    return tuple(known[hit] for hit in difflib.get_close_matches(plain(value), known, n, _LIKE_ENOUGH))


def listed(names: Sequence[str]) -> str:
    """Choices in a row, those with a comma in them in quotes."""
    return ", ".join(f'"{name}"' if "," in name else name for name in names)


def allowed(value: object, names: Sequence[str]) -> str:
    """ "must be one of ..." when the choices are few, else the nearest names."""
    near = nearest(value, names) if isinstance(value, str) else ()
    if len(names) <= FEW:
        said = f"must be one of {listed(names)}"
        return f"{said} (nearest: {near[0]})" if near else said
    return f"not in the table; nearest: {', '.join(near or names[:3])}"


def unknown(what: str, value: object, names: Sequence[str]) -> NoReturn:
    """InputError for a name that is in no row."""
    raise InputError(f"{what} = {shown(value)}, {allowed(value, names)}")


def _text(name: str) -> str:
    return resources.files("brackets.core.tables").joinpath("data", name).read_text("utf-8")


NEEDED = object()
"""Stands for "no default": the key must be there."""


LONGEST = 300
"""Characters of a text in a row."""


class _Reads(Protocol):
    def __call__(self, value: object, /, *, name: str) -> float: ...


class Row:
    """A mapping read key by key; `problems` is what is wrong, `finish` adds the keys nobody asked for."""

    def __init__(self, raw: Mapping[str, object], where: str, *, bare: str = "mm") -> None:
        self.raw, self.where, self.bare = raw, where, bare
        self.problems: list[str] = []
        self._asked: list[str] = []

    def text(self, key: str, default: object = NEEDED) -> str:
        """Words, not empty."""
        value = self._get(key, default, "must be text")
        if isinstance(value, str) and (value.strip() or value == default):
            if value.isprintable() and len(value) <= LONGEST:
                return value
            self.wrong(key, value, f"must be one line of at most {LONGEST} characters")
            return ""
        self.wrong(key, value, "must be text")
        return ""

    def choice(self, key: str, choices: Sequence[str], default: object = NEEDED) -> str:
        """One of a few words."""
        value = self._get(key, default, f"must be one of {listed(choices)}")
        if isinstance(value, str) and value in choices:
            return value
        self.wrong(key, value, allowed(value, choices))
        return choices[0]

    def length(self, key: str, lo: float, hi: float, *, default: object = NEEDED) -> float:
        """mm from lo to hi."""
        read = partial(units.length, bare=self.bare)
        return self._measure(key, lo, hi, default, read, " mm")

    def mass(self, key: str, lo: float, hi: float, *, default: object = NEEDED) -> float:
        """kg from lo to hi."""
        return self._measure(key, lo, hi, default, units.mass, " kg")

    def force(self, key: str, lo: float, hi: float, *, default: object = NEEDED) -> float:
        """N from lo to hi."""
        return self._measure(key, lo, hi, default, units.force, " N")

    def number(self, key: str, lo: float, hi: float, *, default: object = NEEDED) -> float:
        """A plain number from lo to hi."""
        return self._measure(key, lo, hi, default, units.number)

    def yes_no(self, key: str) -> bool:
        """Yes or no; no where it is not there."""
        value = self._get(key, False, "must be true or false")
        if not isinstance(value, bool):
            self.wrong(key, value, "must be true or false")
        return value is True

    def table(self, key: str) -> Row:
        """The sub-table of this key, empty where it is not there; read it, then hand it to `take`."""
        value = self.given(key)
        if isinstance(value, Mapping):
            return Row(value, f"{self.where}.{key}", bare=self.bare)
        if value is not None:
            self.wrong(key, value, "must be a table { key = value, ... }")
        return Row({}, f"{self.where}.{key}", bare=self.bare)

    def given(self, key: str) -> object:
        """The value as typed, None where it is not there."""
        self._asked.append(key)
        return self.raw.get(key)

    def wrong(self, key: str, value: object, must: str) -> None:
        """Notes one problem, unless this key has one already."""
        line = f"{self.where}.{key} = {'missing' if value is NEEDED else shown(value)}, {must}"
        if not any(known.startswith(f"{self.where}.{key} ") for known in self.problems):
            self.problems.append(line)

    def take(self, other: Row) -> None:
        """Adds the problems of a sub-table that has been read, unless it is itself no table."""
        if not any(known.startswith(f"{other.where} ") for known in self.problems):
            self.problems += other.finish()

    def finish(self) -> list[str]:
        """Every problem, keys nobody asked for last."""
        for key in self.raw:
            if key not in self._asked:
                self.problems.append(
                    f"{self.where}.{key} = {shown(self.raw[key])}, no such key: {allowed(key, self._asked)}"
                )
        return self.problems

    def _get(self, key: str, default: object, must: str) -> object:
        self._asked.append(key)
        value = self.raw.get(key, default)
        if value is NEEDED:
            self.wrong(key, value, must)
        return value

    def _measure(
        self, key: str, lo: float, hi: float, default: object, read: _Reads, unit: str = ""
    ) -> float:
        must = f"must be {lo:g} to {hi:g}{unit}"
        value = self._get(key, default, must)
        if value is NEEDED:
            return lo
        if key not in self.raw and isinstance(default, float):
            return default
        try:
            found = read(value, name=f"{self.where}.{key}")
        except InputError as wrong:
            self.problems += wrong.problems
            return lo
        if lo <= found <= hi:
            return found
        self.wrong(key, value, must)
        return lo
