"""Round pieces: a tube, straight or bent, its ends cut as they meet other things; cups, bungs, sleeves.

A straight tube's own frame: axis along z, from the start node at z = 0 to the end node at z = length. A
node is where the tube's axis meets the axis of the tube it is coped to, or the plane it is cut to; for a
square end it is the end. A bent tube's own frame: the start node at the origin, the first straight along z.

Its own frame: axis along z, starting at z = 0; steps follow each other upwards.
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
class CutTube(Piece):
    """What straight and bent tubes have alike: outer diameter `od` and `wall`, mm, and the cuts of their ends.

    `start_also` and `end_also` are the further cuts of an end that meets more than one thing, in the order in
    which they are made.
    """

    od: float
    wall: float
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
class Tube(CutTube):
    """A straight tube, `length` mm from node to node."""

    length: float


@dataclass(frozen=True, kw_only=True)
class BentTube(CutTube):
    """A tube bent round a former of one centre-line radius `bend_r`, mm.

    `points` are the node of the start, the corners where the straights' axes meet, and the node of the end,
    in the tube's own frame: the first is the origin, the second lies on +z. The clock of the start's cuts
    is counted as on a straight tube; the end's is counted from the same line scribed along the tube,
    carried through every bend without twist.
    """

    points: tuple[Vec, ...]
    bend_r: float

    def _other_hand(self) -> Self:
        turned = super()._other_hand()
        return replace(turned, points=tuple((-x + 0.0, y, z) for x, y, z in self.points))


@dataclass(frozen=True, kw_only=True)
class Step:
    """A length of one outer diameter `od` and one `bore` (0: solid), mm."""

    length: float
    od: float
    bore: float = 0.0


@dataclass(frozen=True, kw_only=True)
class BushBore:
    """How the bore for a bush comes to its finished size, that of the step; mm on the diameter.

    `lower` and `upper` are the deviations allowed of `size`, `tolerance` and `source` say what they are by. `now`
    is the bore before welding and `stock` what was to be left in it for finishing; a cup that is bored to size
    before welding has no `stock` and is `now` at its size. `slip`: the bush slips in; else it is pressed.
    """

    size: float
    lower: float
    upper: float
    tolerance: str
    source: str
    now: float
    stock: float
    slip: bool = False

    @property
    def left(self) -> float:
        """What the bore is under its size before welding, mm."""
        return round(self.size - self.now, 6)

    @property
    def after_welding(self) -> bool:
        """Whether it is brought to size after welding."""
        return self.stock > 0.0

    @property
    def allowed(self) -> tuple[float, float]:
        """Least and largest finished bore, mm."""
        return round(self.size + self.lower, 6), round(self.size + self.upper, 6)


@dataclass(frozen=True, kw_only=True)
class Turned(Piece):
    """Steps on one axis, finished sizes. `thread` names a thread in the bore, which is then the tapping size.

    `bush` says how a bore for a bush comes to its size, where it is one.
    """

    steps: tuple[Step, ...]
    thread: str | None = None
    bush: BushBore | None = None

    @property
    def length(self) -> float:
        return sum(step.length for step in self.steps)
