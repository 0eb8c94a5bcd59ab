"""The escape hatch: a piece whose solid is made by a function of the user's own.

It has a solid and, through it, a mass; it has no flat pattern, and says so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Self

from brackets.pieces.piece import Piece

Plain = float | int | str | bool


@dataclass(frozen=True, kw_only=True)
class Odd(Piece):
    """`function` names a module-level function as "module:name" that returns a cadquery shape in the piece's frame.

    `args` are plain values. A mirrored Odd piece is mirrored by the kernel once its solid is made.
    """

    function: str
    args: tuple[Plain, ...] = ()
    other_hand: bool = False

    def _other_hand(self) -> Self:
        return replace(self, other_hand=not self.other_hand)
