"""A straight round tube, its two ends cut as they meet other things.

Its own frame: axis along z, from the start node at z = 0 to the end node at z = length. A node is where the
tube's axis meets the axis of the tube it is coped to, or the plane it is cut to; for a square end it is the end.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, Self

from brackets.pieces.piece import Piece


@dataclass(frozen=True, kw_only=True)
class TubeEnd:
    """How one end is cut.

    square: straight across. plane: to a flat at `angle` degrees (90 is square). saddle: to a round tube of outer
    radius `r` whose axis lies at `angle` degrees to this tube's (15 to 90), passing `offset` mm to one side.
    `clock` is where the acute side (the short point) lies, degrees round the tube's own z from x towards y.

    Seen from the node with the tube's body pointing away along w (w = +z at the start, -z at the end), the acute
    direction is c = (cos clock, sin clock, 0); the main axis or the plane leans towards c over the body:
    its direction is cos(angle) w + sin(angle) c. `offset` moves the main axis along w cross c.
    """

    kind: Literal["square", "plane", "saddle"] = "square"
    angle: float = 90.0
    r: float = 0.0
    offset: float = 0.0
    clock: float = 0.0

    def mirrored(self) -> TubeEnd:
        return replace(self, offset=-self.offset + 0.0, clock=(180.0 - self.clock) % 360.0)


SQUARE = TubeEnd()


@dataclass(frozen=True, kw_only=True)
class Tube(Piece):
    """A tube of outer diameter `od` and `wall`, mm, `length` from node to node."""

    od: float
    wall: float
    length: float
    start: TubeEnd = SQUARE
    end: TubeEnd = SQUARE

    @property
    def bore(self) -> float:
        return self.od - 2 * self.wall

    def _other_hand(self) -> Self:
        return replace(self, start=self.start.mirrored(), end=self.end.mirrored())
