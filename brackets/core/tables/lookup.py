"""Opens the shipped tables and says which name was probably meant when one is not there."""

from __future__ import annotations

import csv
import difflib
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import NoReturn

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
