"""What a person types for the title blocks of the sheets: revision, who drew it, date, general tolerance."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass

from brackets.core.errors import InputError
from brackets.core.units import shown

LONGEST = 40
"""Characters that a line of the title block has room for."""

STANDARDS = {
    "ISO 2768": r"[fmcv][HKL]?|[HKL]",
    "ISO 13920": r"[ABCD][EFGH]?|[EFGH]",
}
"""Standard to its classes: of sizes and angles, of form and place, or both (ISO 2768-1:1989 table 1, 2768-2:1989
tables 1 to 4, ISO 13920:1996 tables 1 to 3; all from memory)."""

ALLOWED = (
    "must be ISO 2768- with f, m, c or v, then H, K or L, or one of the two (ISO 2768-mK), or ISO 13920- with "
    "A, B, C or D, then E, F, G or H, or one of the two (ISO 13920-BF), or one of each with a comma between"
)


@dataclass(frozen=True, kw_only=True)
class Marks:
    """Each as typed, "" where nothing was. Raises InputError with all that is wrong."""

    revision: str = ""
    by: str = ""
    date: str = ""
    tolerance: str = ""

    def __post_init__(self) -> None:
        told = (
            ("revision", self.revision, "what the sheets are marked"),
            ("by", self.by, "who drew it"),
            ("date", self.date, "the date of the sheets"),
        )
        problems = [
            f"--{name} = {shown(text)}, must be one line of at most {LONGEST} characters: {what}"
            for name, text, what in told
            if len(text) > LONGEST or not text.isprintable()
        ]
        if self.tolerance and not is_class(self.tolerance):
            problems.append(f"--general-tolerance = {shown(self.tolerance)}, {ALLOWED}: of the title blocks")
        if problems:
            raise InputError(*problems)

    @property
    def record(self) -> dict[str, str | None]:
        """For scripts: revision, drawn_by, date, general_tolerance; None where nothing was typed."""
        keys = {"revision": "revision", "by": "drawn_by", "date": "date", "tolerance": "general_tolerance"}
        return {keys[name]: text or None for name, text in asdict(self).items()}


NO_MARKS = Marks()


def is_class(text: str) -> bool:
    """Whether the text names a class of one of STANDARDS, or of each of them once."""
    names = []
    for one in text.split(", "):
        standard, _, letters = one.partition("-")
        if standard not in STANDARDS or re.fullmatch(STANDARDS[standard], letters) is None:
            return False
        names.append(standard)
    return len(names) == len(set(names))
