"""Names as people type them: compared, and the nearest known ones where there is no such name."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NoReturn

from brackets.core.errors import InputError
from brackets.core.units import shown

FEW = 16
"""Up to this many choices are all named in a message; beyond that only the nearest."""
_LIKE_ENOUGH = 0.6
"""difflib ratio from which a known name counts as near a mistyped one."""


def plain(text: str) -> str:
    """A name as it is compared: no case, one space between words."""
    return " ".join(text.casefold().split())


_SIZE = re.compile(r"([a-z]+) ?(\d+(?:\.\d+)?)")
"""A name that is letters and a size: M12, R50."""


def nearest(value: str, names: Iterable[str], *, n: int = 3) -> tuple[str, ...]:
    """The known names most like `value`, best first: of names that are letters and a size the nearest sizes."""
    import difflib  # 5 ms, and most runs have no name wrong

    known = {plain(name): name for name in names}
    alike = difflib.get_close_matches(plain(value), known, n, _LIKE_ENOUGH)
    return tuple(known[hit] for hit in dict.fromkeys((*_sizes(plain(value), known), *alike)))[:n]


def _sizes(value: str, known: Iterable[str]) -> list[str]:
    """Names of the same letters with another size, the nearest first."""
    asked = _SIZE.fullmatch(value)
    if asked is None or value in known:
        return []
    there = [found for found in map(_SIZE.fullmatch, known) if found is not None and found[1] == asked[1]]
    return [found[0] for found in sorted(there, key=lambda found: abs(float(found[2]) - float(asked[2])))]


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
