"""What acts on one body of a part from outside. N, N mm, mm, in the part's frame."""

from __future__ import annotations

from dataclasses import dataclass

from brackets.hold.check import Array


@dataclass(frozen=True, eq=False)
class Applied:
    """What acts on one body at a seat: `wrench` (cases, 6), at (3,) mm; `ear` where it is one of two ears."""

    body: str
    seat: str
    at: Array
    wrench: Array
    ear: int | None = None
