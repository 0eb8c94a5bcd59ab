"""File names that every disk takes, made from names that a person typed."""

from __future__ import annotations

import re
from collections.abc import Iterable

DEVICES = frozenset(
    ("con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))),
)
"""Names that are devices on Windows, whatever ending follows: Microsoft, "Naming Files, Paths, and Namespaces"."""

LONGEST = 80
"""Characters of a stem: room for a number and an ending under the 143 that encrypted folders leave of 255."""


def stem(name: str) -> str:
    """`name` in ASCII letters, digits and `_.+-`; never empty, hidden, an option, a device or a path.

    >>> stem("../evil"), stem("CON"), stem("a:b")
    ('evil', 'CON_', 'a-b')
    """
    plain = re.sub(r"[^A-Za-z0-9_.+-]", "-", name)[:LONGEST].lstrip(".-").rstrip(".")
    if plain.split(".")[0].lower() in DEVICES:
        first, dot, rest = plain.partition(".")
        plain = f"{first}_{dot}{rest}"
    return plain or "part"


def unique_stems(names: Iterable[str], taken: set[str]) -> tuple[str, ...]:
    """A stem for each name; where a disk that knows no capitals would take two for one, the later gets a number.

    `taken` are stems in small letters that are in use; the new ones are added to it.
    """
    found = []
    for name in names:
        wanted = stem(name)
        number, tried = 1, wanted
        while tried.lower() in taken:
            number += 1
            tried = f"{wanted}-{number}"
        taken.add(tried.lower())
        found.append(tried)
    return tuple(found)
