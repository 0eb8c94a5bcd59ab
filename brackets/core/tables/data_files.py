"""Reads the shipped tables, CSV and TOML, as they stand in `data`."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from importlib import resources
from types import MappingProxyType

from brackets.core.units import INCH


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


def _text(name: str) -> str:
    return resources.files("brackets.core.tables").joinpath("data", name).read_text("utf-8")
