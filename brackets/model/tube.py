"""A round tube, straight or bent, its two ends cut as they meet other things.

A straight tube's own frame: axis along z, from the start node at z = 0 to the end node at z = length. A
node is where the tube's axis meets the axis of the tube it is coped to, or the plane it is cut to; for a
square end it is the end. A bent tube's own frame: the start node at the origin, the first straight along z.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal, Self

from brackets.core.vectors import Vec
from brackets.model.piece import Piece

Which = Literal["start", "end"]


@dataclass(frozen=True, kw_only=True)
class TubeEnd:
    """How one end is cut.

    square: straight across. plane: to a flat at `angle` degrees (90 is square). saddle: to a round tube of
    outer radius `r` whose axis lies at `angle` degrees to this tube's (15 to 90), passing `offset` mm to
    one side. `clock` is where the acute side (the short point) lies, degrees round the tube's own z from x
    towards y.

    Seen from the node with the tube's body pointing away along w (w = +z at the start, -z at the end), the
    acute direction is c = (cos clock, sin clock, 0); the main axis or the plane leans towards c over the
    body: its direction is cos(angle) w + sin(angle) c. `offset` moves the main axis along w cross c.

    `shift` is for an end that is cut more than once: how far along w this cut's own node lies from the
    tube's.
    """

    kind: Literal["square", "plane", "saddle"] = "square"
    angle: float = 90.0
    r: float = 0.0
    offset: float = 0.0
    clock: float = 0.0
    shift: float = 0.0

    def mirrored(self) -> TubeEnd:
        return replace(self, offset=-self.offset + 0.0, clock=(180.0 - self.clock) % 360.0)


SQUARE = TubeEnd()


@dataclass(frozen=True, kw_only=True)
class Tube(Piece):
    """A tube of outer diameter `od` and `wall`, mm, `length` from node to node.

    `start_also` and `end_also` are the further cuts of an end that meets more than one thing, in the order in
    which they are made.
    """

    od: float
    wall: float
    length: float
    start: TubeEnd = SQUARE
    end: TubeEnd = SQUARE
    start_also: tuple[TubeEnd, ...] = ()
    end_also: tuple[TubeEnd, ...] = ()

    @property
    def bore(self) -> float:
        return self.od - 2 * self.wall

    def cuts(self, which: Which) -> tuple[TubeEnd, ...]:
        """Every cut of one end, the first one first."""
        return (self.start, *self.start_also) if which == "start" else (self.end, *self.end_also)

    def _other_hand(self) -> Self:
        return replace(
            self,
            start=self.start.mirrored(),
            end=self.end.mirrored(),
            start_also=tuple(cut.mirrored() for cut in self.start_also),
            end_also=tuple(cut.mirrored() for cut in self.end_also),
        )


@dataclass(frozen=True, kw_only=True)
class BentTube(Piece):
    """A tube bent round a former of one centre-line radius `bend_r`, mm.

    `points` are the node of the start, the corners where the straights' axes meet, and the node of the end,
    in the tube's own frame: the first is the origin, the second lies on +z. The clock of the start's cuts
    is counted as on a straight tube; the end's is counted from the same line scribed along the tube,
    carried through every bend without twist.
    """

    od: float
    wall: float
    points: tuple[Vec, ...]
    bend_r: float
    start: TubeEnd = SQUARE
    end: TubeEnd = SQUARE
    start_also: tuple[TubeEnd, ...] = ()
    end_also: tuple[TubeEnd, ...] = ()

    @property
    def bore(self) -> float:
        return self.od - 2 * self.wall

    def cuts(self, which: Which) -> tuple[TubeEnd, ...]:
        """Every cut of one end, the first one first."""
        return (self.start, *self.start_also) if which == "start" else (self.end, *self.end_also)

    def _other_hand(self) -> Self:
        return replace(
            self,
            points=tuple((-x + 0.0, y, z) for x, y, z in self.points),
            start=self.start.mirrored(),
            end=self.end.mirrored(),
            start_also=tuple(cut.mirrored() for cut in self.start_also),
            end_also=tuple(cut.mirrored() for cut in self.end_also),
        )
