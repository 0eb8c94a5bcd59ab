"""Names as people type them: compared, and the nearest known ones where there is no such name."""

from __future__ import annotations

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


def nearest(value: str, names: Iterable[str], *, n: int = 3) -> tuple[str, ...]:
    """The known names most like `value`, best first."""
    import difflib  # 5 ms, and most runs have no name wrong

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
