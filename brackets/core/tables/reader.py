"""Reads one row somebody typed, a shipped one or their own, and notes everything wrong with it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Protocol

from brackets.core import units
from brackets.core.errors import InputError
from brackets.core.tables.lookup import allowed, listed
from brackets.core.units import shown

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
