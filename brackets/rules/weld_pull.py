"""How far welding is expected to pull: the shrink of a fillet, what a piece may lean by it, and what to brace.

One published figure is used, and only for what it holds for: legs up to three quarters of the thinner metal. What
it says of a lean is a bound of ours: 0 where all the shrink draws the piece, and where all of it turns the piece
about the far edge of its foot, the shrink over the foot's width times the height. No figure is published for what
bracing takes off it. mm, part's frame.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from brackets.core.vectors import Vec, add, dot, length, scale, sub, unit
from brackets.forming.weld_order import Seam, Step, place, seams
from brackets.model.bores import Bore, bores_on
from brackets.model.extent import corners
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.tube import BentTube, Tube, Turned
from brackets.rules.welds import thickness

SOURCE = 'TWI, FAQ "How much shall I allow for weld shrinkage?": a rule of thumb'
"""Fillets 0.8 mm a weld across it, where the leg is no more than 3/4 of the plate's thickness, and
0.8 mm per 3 m along it. It says itself that shrinkage can hardly be predicted."""

ACROSS = 0.8
"""mm that a fillet shrinks across itself."""

ALONG = 0.8 / 3000.0
"""mm that it shrinks along itself, per mm."""

HOLDS = 0.75
"""Leg over thickness of the thinner metal up to which both hold."""

ROUNDING = 1e-9
"""Of that comparison."""

SAME = 1e-3
"""mm3 of signed foot: pulls whose sum is under it are opposite and alike."""

CHORDS = 24
"""Points that a seam is looked at in."""


@dataclass(frozen=True)
class Pull:
    """What a step pulls: mm `across` the seam and `along` it; None for both, and `why`, where no figure holds."""

    across: float | None
    along: float | None
    why: str = ""

    @property
    def words(self) -> str:
        """For the table."""
        if self.across is None or self.along is None:
            return self.why
        return f"{self.across:.1f} across, {self.along:.2f} along"


@dataclass(frozen=True)
class Lean:
    """How far a place of `piece` may be pulled by its welds to `onto`, while nothing braces it.

    `what`: the place, a seat by its name or its far end; `height`: mm from the seams to it; `most`: mm, from 0 to
    this much, None where no figure holds; `drawn`: mm that it is drawn towards `onto`, at most; `towards`: unit
    vector (3) to the side that is welded, None where both are, so that it leans to either before the second.
    """

    piece: str
    onto: str
    what: str
    height: float
    most: float | None
    drawn: float | None
    towards: Vec | None
    why: str = ""


@dataclass(frozen=True)
class Brace:
    """What to put where, in words; `d` and `length` of the shaft or spacer, mm, None where there is none."""

    pieces: tuple[str, ...]
    words: str
    d: float | None = None
    length: float | None = None


def pull_of(part: Part, step: Step) -> Pull:
    """What one step of the order is expected to pull. Of a tack nothing is known."""
    if step.kind == "tack":
        return Pull(None, None, "")
    across = shrink(part, step.seam)
    if across is None:
        return Pull(None, None, _why(part, step.seam))
    return Pull(across, step.length * ALONG)


def shrink(part: Part, seam: Seam) -> float | None:
    """mm that a seam shrinks across itself; None where the published figure does not hold for it."""
    t = _thinner(part, seam)
    return ACROSS if t is not None and seam.weld.leg <= HOLDS * t + ROUNDING else None


def _why(part: Part, seam: Seam) -> str:
    if seam.weld.onto not in {piece.name for piece in part.pieces}:
        return f"not told: no thickness of {seam.weld.onto}"
    t = _thinner(part, seam)
    if t is None:
        return "not told: no single thickness"
    return f"not told: leg {seam.weld.leg:g} is over {HOLDS:g} x {t:g}"


def _thinner(part: Part, seam: Seam) -> float | None:
    """Thickness of the thinner metal, mm; None where that of either is not known, or of what a seat stands for."""
    pieces = {piece.name: piece for piece in part.pieces}
    ends = [pieces.get(name) for name in (seam.weld.piece, seam.weld.onto)]
    sizes = [None if piece is None else _metal(piece) for piece in ends]
    return None if None in sizes else min(size for size in sizes if size is not None)


def _metal(piece: Piece) -> float | None:
    return piece.wall if isinstance(piece, BentTube) else thickness(piece)


@lru_cache(maxsize=32)
def leans(part: Part) -> tuple[Lean, ...]:
    """How far every piece that is welded to another may be pulled at its bush, its bolt or its far end.

    part: its pieces, welds and seats. In the order of the welds; a piece that hangs on one that leans is
    carried along besides.
    """
    joints: dict[tuple[str, str], list[Seam]] = {}
    for seam in seams(part):
        joints.setdefault((seam.weld.piece, seam.weld.onto), []).append(seam)
    found = []
    for (name, onto), own in joints.items():
        piece = part.piece(name)
        line = _line(part, own)
        what, at = _feature(part, piece, line)
        known = [(seam, size) for seam in own if (size := shrink(part, seam)) is not None]
        height, foot = _height(line, at), _foot(piece)
        towards = _side(part, piece, own)
        if len(known) < len(own) or foot is None:
            why = next((_why(part, seam) for seam in own if shrink(part, seam) is None), "no foot of one width")
            found.append(Lean(name, onto, what, height, None, None, towards, why))
            continue
        most = max(size / (foot + seam.weld.leg / 2) * height for seam, size in known)
        found.append(Lean(name, onto, what, height, most, ACROSS, towards))
    return tuple(found)


def _foot(piece: Piece) -> float | None:
    """mm across what stands on the other piece: a plate's thickness, a round piece's outside."""
    if isinstance(piece, Tube | BentTube):
        return piece.od
    if isinstance(piece, Turned):
        return max(step.od for step in piece.steps)
    return thickness(piece)


def _middle(part: Part, own: Sequence[Seam]) -> Vec:
    return _mean([place(part, seam, seam.length * i / CHORDS) for seam in own for i in range(CHORDS)])


def _mean(points: Sequence[Vec]) -> Vec:
    total: Vec = (0.0, 0.0, 0.0)
    for p in points:
        total = add(total, p)
    return scale(total, 1 / len(points))


def _line(part: Part, own: Sequence[Seam]) -> tuple[Vec, Vec | None]:
    """A point of the longest seam and its direction; the middle of all of them where it closes."""
    seam = max(own, key=lambda one: one.length)
    a, b = place(part, seam, 0.0), place(part, seam, seam.length)
    return (_middle(part, own), None) if seam.closed or math.dist(a, b) < SAME else (a, unit(sub(b, a)))


def _height(line: tuple[Vec, Vec | None], at: Vec) -> float:
    """mm from a place to a line, or to its point where it has no direction."""
    off, way = sub(at, line[0]), line[1]
    return length(off if way is None else sub(off, scale(way, dot(off, way))))


def _side(part: Part, piece: Piece, own: Sequence[Seam]) -> Vec | None:
    """The side of the piece that is welded; None where it is welded on both, or all round."""
    if any(seam.closed for seam in own):
        return None
    axis = piece.place.axis
    sides = [dot(sub(_middle(part, [seam]), _through(piece)), axis) for seam in own]
    metal = _metal(piece)
    if isinstance(piece, Tube | BentTube | Turned) or metal is None:
        return None
    half = [side - metal / 2 for side in sides]
    if not half or min(half) < 0 < max(half):
        return None
    return axis if half[0] > 0 else scale(axis, -1.0)


def _through(piece: Piece) -> Vec:
    """A point of a plate's lower face."""
    return piece.place.at


def _feature(part: Part, piece: Piece, line: tuple[Vec, Vec | None]) -> tuple[str, Vec]:
    """What of a piece must stand right: the seat whose bore it has, else its end furthest from its seams."""
    for seat in part.seats:
        if seat.kind in ("bush", "boss", "bolt"):
            bores = [bore for bore in bores_on(part, seat.place) if bore.piece == piece.name]
            if bores:
                middle = (bores[0].low + bores[0].high) / 2
                return seat.name, seat.place.point((0.0, 0.0, middle))
    points = corners(piece)
    if not points:
        return "far end", piece.place.at
    return "far end", max(points, key=lambda p: _height(line, p))


def braces(part: Part) -> tuple[Brace, ...]:
    """What to put where before it is welded: a shaft in every bore for a bush, spacers between ears, a stay for
    each piece that is welded from one side."""
    found: list[Brace] = []
    done: list[tuple[Bore, ...]] = []
    for seat in part.seats:
        if seat.kind != "bush":
            continue
        bores = bores_on(part, seat.place)
        if not bores or bores in done:
            continue
        done.append(bores)
        d = min(bore.now for bore in bores)
        names = tuple(dict.fromkeys(bore.piece for bore in bores))
        found.append(
            Brace(names, f"a dummy shaft through {', '.join(names)}, a slip fit in {d:g} mm, left in till cold", d)
        )
        for one, other in zip(bores, bores[1:], strict=False):
            if other.low - one.high > SAME:
                gap = other.low - one.high
                found.append(
                    Brace(
                        tuple(dict.fromkeys((one.piece, other.piece))),
                        f"a spacer {gap:.1f} mm long on the shaft between {one.piece} and {other.piece}, nipped",
                        length=gap,
                    )
                )
    for lean in leans(part):
        held = any(lean.piece in brace.pieces and brace.d is not None for brace in found)
        if lean.towards is not None and not held:
            words = f"a stay from {lean.piece} to {lean.onto} against leaning {direction_words(lean.towards)}"
            found.append(Brace((lean.piece, lean.onto), words))
    return tuple(found)


def direction_words(way: Vec) -> str:
    """A direction by the axis it is nearest to, or by its figures: "towards -x", "along (0.50, 0.87, 0.00)"."""
    for i, name in enumerate("xyz"):
        if abs(way[i]) > math.cos(math.radians(1.0)):
            return f"towards {'+' if way[i] > 0 else '-'}{name}"
    return "along (" + ", ".join(f"{c + 0.0:z.2f}" for c in way) + ")"
