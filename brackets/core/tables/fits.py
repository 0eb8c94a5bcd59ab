"""Limits of a hole's size by ISO 286: tolerance classes H6 to H11, whose lower deviation is 0; mm.

Source: ISO 286-1:2010, table 1 (standard tolerance grades IT6 to IT11), as workshop tables reprint it.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from brackets.core.errors import InputError, OutOfRange
from brackets.core.names import unknown

SOURCE = "ISO 286-1:2010 table 1 (from memory)"

_UP_TO = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0)
"""mm: each range is over the one before and up to and including this."""

_GRADES = {
    "H6": (6, 8, 9, 11, 13, 16, 19, 22, 25),
    "H7": (10, 12, 15, 18, 21, 25, 30, 35, 40),
    "H8": (14, 18, 22, 27, 33, 39, 46, 54, 63),
    "H9": (25, 30, 36, 43, 52, 62, 74, 87, 100),
    "H10": (40, 48, 58, 70, 84, 100, 120, 140, 160),
    "H11": (60, 75, 90, 110, 130, 160, 190, 220, 250),
}
"""Micrometres a range."""

HOLE_CLASSES = tuple(_GRADES)


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Least and most of a bore's size, mm from its nominal size.

    named: what they are known by, "H7" or the two figures; source: where they are from.
    """

    lower: float
    upper: float
    named: str
    source: str

    def of(self, size: float) -> tuple[float, float]:
        """Least and largest size, mm."""
        return round(size + self.lower, 6), round(size + self.upper, 6)


def hole_limits(size: float, tolerance: str) -> Limits:
    """The limits of a hole by its tolerance class, mm from its nominal size.

    size: nominal diameter, mm, over 0 to 180; tolerance: one of HOLE_CLASSES, such as "H7".
    Raises InputError for an unknown class or size.
    Source: ISO 286-1:2010, table 1 (from memory).

    >>> hole_limits(60, "H7").of(60)
    (60.0, 60.03)
    """
    if tolerance not in _GRADES:
        unknown("tolerance", tolerance, HOLE_CLASSES)
    if not 0.0 < size <= _UP_TO[-1]:
        raise OutOfRange(f"size = {size:g} mm, must be over 0 and at most {_UP_TO[-1]:g}: {SOURCE}, {tolerance}")
    upper = _GRADES[tolerance][bisect_left(_UP_TO, size)] / 1000.0
    return Limits(lower=0.0, upper=upper, named=tolerance, source=SOURCE)


def typed_limits(lower: float, upper: float) -> Limits:
    """The limits of a hole as somebody typed them, mm from its nominal size.

    lower, upper: least and most, mm.
    Raises InputError unless `lower` is below `upper`.

    >>> typed_limits(-0.02, 0.01).of(60)
    (59.98, 60.01)
    """
    if not lower < upper:
        raise InputError(f"limits = {lower:g}, {upper:g} mm, the first must be below the second: of the bore")
    return Limits(lower=lower, upper=upper, named=f"{lower:+.3f} {upper:+.3f}", source="as typed")
