"""The welds of a part as lines in space: from the edges in its record, with the direction across each throat.

mm, in the part's frame. A straight edge is one line; a curved one is followed by chords, which are never longer
than it. The direction across a throat follows from the two faces that the weld joins: that of the piece whose edge
it is, and that of what it is welded onto. Where either is not known all that pulls across counts as shear in the
throat.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np

from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec, add, cross, degrees_between, dot, length, scale, square_to, sub, unit
from brackets.geometry.regions import Region
from brackets.hold.check import Array
from brackets.hold.fillets import throat_of
from brackets.hold.weld_lines import WeldGroup, WeldSegment
from brackets.model import bent_tube
from brackets.model.edges import Stretch, last_straight, stretches
from brackets.model.faces import FlatFace, flat_faces
from brackets.model.fold_tree import tree
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned
from brackets.model.weld import Along, AtSeat, Circle, OpeningRim, StraightEdge, TubeRim, Weld

STRAIGHT = 1e-6
"""mm that the middle of a straight edge may lie off the line of its ends."""
CHORD = 10.0
"""Degrees of a turn that one chord follows a curved weld by: 0.13 % shorter than the curve."""
CHORDS_ROUND = round(360 / CHORD)
FINE = 40
"""Parts of a chord in which a weld begins or ends to count: each counts whole or not."""
NEAR = 1.0
"""mm that a welded edge may lie off the face it is on: a root gap that is welded over."""
FLAT = 0.999
"""Cosine over which two faces lie on one another."""
SCOPE = (60.0, 120.0)
"""Degrees between the faces that a fillet joins, EN 1993-1-8:2005 4.3.2.1."""


@dataclass(frozen=True, eq=False)
class WeldedEdge:
    """The lines of one weld of the record; `angle`: degrees between its faces, the least and the most; `left_out`:
    mm of it where the faces stand outside 60 to 120 degrees, which is not counted; lies: whether it is along the
    side of a plate that lies flat on the other."""

    weld: Weld
    lines: tuple[WeldSegment, ...]
    angle: tuple[float, float]
    left_out: float
    lies: bool = False

    @property
    def length(self) -> float:
        """mm that count."""
        return float(sum(line.length for line in self.lines))


def welded_edge(part: Part, weld: Weld) -> WeldedEdge:
    """A weld of a part as lines of throat. Raises InputError where its piece has no such edge."""
    return _between(part.piece(weld.piece), _onto(part, weld.onto), weld)


@lru_cache(maxsize=256)
def _between(piece: Piece, onto: Piece | Seat, weld: Weld) -> WeldedEdge:
    flats = () if isinstance(onto, Seat) else tuple(flat_faces(onto))
    throat = throat_of(weld.leg)
    lines, angles, left_out, lies = [], [], 0.0, False
    for shift in _sides(piece, weld):
        for stretch in stretches(piece, weld.edge):
            for chord in _chords(stretch, partial(_counts, piece, weld, onto, flats, shift)):
                start, middle, end = (piece.place.point(add(p, shift)) for p in chord)
                if length(sub(end, start)) < STRAIGHT:
                    continue
                own = _own_face(piece, weld, middle, shift)
                other = _face_at(onto, flats, middle, unit(sub(end, start)))
                across: Vec | None = None
                if own is not None and other is not None:
                    out = _lying(piece, weld, middle, own, other, unit(sub(end, start)))
                    own, lies = out, lies or out is not own
                    between = 180.0 - degrees_between(own, other)
                    if not _in_scope(between):
                        left_out += length(sub(end, start))
                        continue
                    angles.append(between)
                    across = add(own, other)
                lines.append(WeldSegment(start, end, throat, across))
    return WeldedEdge(weld, tuple(lines), (min(angles, default=90.0), max(angles, default=90.0)), left_out, lies)


def _onto(part: Part, name: str) -> Piece | Seat:
    seats = {seat.name: seat for seat in part.seats}
    return seats[name] if name in seats else part.piece(name)


def _sides(piece: Piece, weld: Weld) -> tuple[Vec, ...]:
    """Where the edge lies beside the one drawn, in the piece's frame: one line, or one on either side."""
    if weld.sides == 1:
        return ((0.0, 0.0, 0.0),)
    t = piece.t if isinstance(piece, Plate | Folded) else 0.0
    if isinstance(weld.edge, StraightEdge):
        return ((0.0, 0.0, t / 2), (0.0, 0.0, -t / 2))
    low = isinstance(weld.edge, Along | AtSeat | OpeningRim) and weld.edge.face == "low"
    return ((0.0, 0.0, 0.0), (0.0, 0.0, t if low else -t))


def _chords(stretch: Stretch, counts: Callable[[Vec, Vec], bool]) -> Iterator[tuple[Vec, Vec, Vec]]:
    """Start, the edge's own middle, end of each chord, in the piece's frame; shorter ones where the weld begins to
    count or ends to. counts: of a point of the edge and another beside it."""
    a, middle, b = (stretch.at(s) for s in (0.0, 0.5, 1.0))
    straight = length(sub(middle, scale(add(a, b), 0.5))) < STRAIGHT
    closed = length(sub(a, b)) < STRAIGHT
    count = 1 if straight and not closed else CHORDS_ROUND if closed else _count(stretch)
    points = [stretch.at(i / (2 * count)) for i in range(2 * count + 1)]
    for i in range(count):
        start, half, end = points[2 * i : 2 * i + 3]
        if count == 1 or counts(start, half) is counts(end, half):
            yield start, half, end
            continue
        for j in range(FINE):
            first, middle, last = (stretch.at((i + (j + far) / FINE) / count) for far in (0.0, 0.5, 1.0))
            yield first, middle, last


def _counts(
    piece: Piece, weld: Weld, onto: Piece | Seat, flats: Sequence[FlatFace], shift: Vec, at: Vec, beside: Vec
) -> bool:
    """Whether the faces at a point of a weld stand at an angle that counts, or one of them is not known."""
    here, there = (piece.place.point(add(p, shift)) for p in (at, beside))
    along = unit(sub(there, here))
    own, other = _own_face(piece, weld, here, shift), _face_at(onto, flats, here, along)
    if own is None or other is None:
        return True
    return _in_scope(180.0 - degrees_between(_lying(piece, weld, here, own, other, along), other))


def _in_scope(between: float) -> bool:
    """Of the degrees between two faces."""
    return SCOPE[0] <= round(between, 6) <= SCOPE[1]


def _count(stretch: Stretch) -> int:
    """By how much the edge turns from end to end."""
    ways = [sub(stretch.at((i + 0.01) / 8), stretch.at((i) / 8)) for i in range(8)]
    ways.append(sub(stretch.at(1.0), stretch.at(0.99)))
    turned = sum(degrees_between(p, q) for p, q in zip(ways, ways[1:], strict=False) if any(p) and any(q))
    return max(2, math.ceil(turned / CHORD))


def wall_place(piece: Plate | Folded, wall: int) -> Place:
    """Where a wall of a plate stands in the part."""
    return piece.place @ (HERE if isinstance(piece, Plate) else tree(piece).walls[wall].place)


def _own_face(piece: Piece, weld: Weld, at: Vec, shift: Vec) -> Vec | None:
    """Out of the metal of the welded piece beside its weld: of a plate its face, of a tube its outside."""
    match weld.edge:
        case Along() | AtSeat() | OpeningRim():
            assert isinstance(piece, Plate | Folded)
            high = (weld.edge.face == "high") != (any(shift))
            return scale(wall_place(piece, weld.edge.wall).axis, 1.0 if high else -1.0)
        case StraightEdge():
            if isinstance(piece, Plate | Folded) and any(shift):
                return scale(piece.place.axis, math.copysign(1.0, shift[2]))
            return None
        case TubeRim():
            assert isinstance(piece, Tube | BentTube)
            run = HERE if weld.edge.end == "start" else last_straight(piece).place
            return _radial(piece.place @ run, at)
        case Circle():
            return _radial(piece.place, at)


def _lying(piece: Piece, weld: Weld, at: Vec, own: Vec, other: Vec, along: Vec) -> Vec:
    """`own`, or where a plate lies flat on what it is welded onto, out of its side along that edge."""
    if not isinstance(piece, Plate | Folded) or not isinstance(weld.edge, Along) or dot(own, other) > -FLAT:
        return own
    walls = [piece.wall] if isinstance(piece, Plate) else [node.wall for node in tree(piece).walls]
    side = unit(cross(along, other))
    x, y, _ = wall_place(piece, weld.edge.wall).local(add(at, side))
    return side if Region(walls[weld.edge.wall].outline).distance((x, y)) < 0 else scale(side, -1.0)


def _radial(axis: Place, at: Vec) -> Vec | None:
    out = square_to(sub(at, axis.at), axis.axis)
    return unit(out) if length(out) > STRAIGHT else None


def _face_at(body: Piece | Seat, flats: Sequence[FlatFace], at: Vec, along: Vec) -> Vec | None:
    """Out of what is welded onto, with its flat faces, at a point of its surface; None where it is not known."""
    if isinstance(body, Seat):
        if body.kind == "round":
            return _radial(body.place, at)
        return scale(body.place.axis, -1.0) if body.kind in ("face", "boss", "bolt") else None
    if isinstance(body, Tube | BentTube | Turned):
        for axis, r in _barrels(body):
            out = square_to(sub(at, axis.at), axis.axis)
            if abs(length(out) - r) < NEAR and length(out) > STRAIGHT:
                return unit(out)
    return _flat_at(flats, at, along)


def _barrels(piece: Piece) -> Iterator[tuple[Place, float]]:
    """Axis and outside radius of a round piece, straight by straight, step by step."""
    if isinstance(piece, Tube):
        yield piece.place, piece.od / 2
    elif isinstance(piece, BentTube):
        for run in bent_tube.straights(piece):
            yield piece.place @ run.place, piece.od / 2
    elif isinstance(piece, Turned):
        for step in piece.steps:
            yield piece.place, step.od / 2


def _flat_at(flats: Sequence[FlatFace], at: Vec, along: Vec) -> Vec | None:
    """The largest flat face that a line at a point runs in."""
    found: list[FlatFace] = []
    for face in flats:
        x, y, z = face.place.local(at)
        if abs(z) < NEAR and abs(dot(face.place.axis, along)) < 1e-3 and face.region.distance((x, y)) > -NEAR:
            found.append(face)
    return max(found, key=lambda face: face.region.area).place.axis if found else None


def shares(groups: Sequence[WeldGroup], wrench: Array) -> list[Array]:
    """What each of several groups that carry together takes of a wrench, as one rigid group of lines.

    groups: each all lines of one joint; wrench: (..., 6) force N and moment N mm about the origin. Returns (..., 6)
    each; their sum is the wrench but for what no line resists (a moment about the one line that all lie on).
    """
    whole = WeldGroup([line for group in groups for line in group.lines])
    force = wrench[..., :3]
    about = wrench[..., 3:] - np.cross(whole.centre, force)
    turn = about @ np.linalg.pinv(whole.turning, hermitian=True, rcond=1e-9).T
    even = force / whole.area
    found = []
    for group in groups:
        one = np.zeros_like(wrench)
        for line in group.lines:
            far, first, second = line.integrals()
            a, first, second = line.throat * far, line.throat * first, line.throat * second
            one[..., :3] += a * even + np.cross(turn, first - a * whole.centre)
            spread = turn * (np.trace(second) - first @ whole.centre) - turn @ second
            about = np.outer(turn @ first, whole.centre).reshape(turn.shape)
            one[..., 3:] += np.cross(first, even) + spread + about
        found.append(one)
    return found
