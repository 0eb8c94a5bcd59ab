"""The curves that are welded along: how long they are, and where they run in the part.

mm, in the frame of the part. An edge of a plate runs anticlockwise seen from its upper face.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import assert_never

from brackets.core.errors import InputError, OutOfRange
from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec
from brackets.geometry.curve import Outline
from brackets.geometry.ellipse import Ellipse, EllipseArc
from brackets.geometry.ovals import cut_ellipse
from brackets.geometry.regions import Region
from brackets.geometry.segments import JOIN, Segment
from brackets.model import bent_tube as bent
from brackets.model.cope import contour, contours
from brackets.model.fold_tree import tree
from brackets.model.fold_zones import slanted
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import BentTube, Tube, Turned, Which
from brackets.model.weld import Along, AtSeat, Circle, Edge, OpeningRim, StraightEdge, TubeRim

CHORDS = 3600
"""Chords a coped rim is measured by: a tenth of a degree each, short of the curve by less than a millionth."""

FITS: dict[type[Edge], tuple[type[Piece], ...]] = {
    Along: (Plate, Folded),
    OpeningRim: (Plate, Folded),
    AtSeat: (Plate, Folded),
    TubeRim: (Tube, BentTube),
    Circle: (Turned,),
    StraightEdge: (Piece,),
}
"""Which kinds of edge which kinds of piece have."""


@dataclass(frozen=True)
class Stretch:
    """One smooth stretch of an edge: `at` gives its points, in the piece's frame, from 0 to 1."""

    length: float
    at: Callable[[float], Vec]


def length(piece: Piece, edge: Edge) -> float:
    """mm along `edge` of `piece`, an outline as it is drawn: what a tube seat takes of it is not taken off.

    Raises InputError where the piece has no such edge.
    """
    return math.fsum(stretch.length for stretch in stretches(piece, edge))


def points(piece: Piece, edge: Edge, n: int) -> list[Vec]:
    """`n` points along `edge`, both ends included, in the part's frame; on a closed edge the last is the first.

    They are spaced evenly, on an oval or a coped rim evenly by angle. Raises OutOfRange as `length` does.
    """
    if n < 2:
        raise OutOfRange(f"n = {n}, must be 2 or more: points along an edge")
    runs = stretches(piece, edge)
    ends = [0.0]
    for run in runs:
        ends.append(ends[-1] + run.length)
    found = []
    which = 0
    for i in range(n):
        far = ends[-1] * i / (n - 1)
        while which < len(runs) - 1 and far > ends[which + 1]:
            which += 1
        run = runs[which]
        part = min(1.0, max(0.0, (far - ends[which]) / run.length))
        found.append(piece.place.point(run.at(part)))
    return found


def stretches(piece: Piece, edge: Edge) -> tuple[Stretch, ...]:
    """The edge as smooth stretches, one after the other, in the piece's own frame."""
    fits = FITS[type(edge)]
    if not isinstance(piece, fits):
        kinds = " or ".join(kind.__name__ for kind in fits)
        raise InputError(
            f"edge = {type(edge).__name__}, only of a {kinds}: a weld on {piece.name}, a {type(piece).__name__}"
        )
    match edge:
        case StraightEdge():
            return (_straight(edge),)
        case Circle():
            return (_circle(edge),)
        case TubeRim():
            assert isinstance(piece, Tube | BentTube)
            return (_rim(piece, edge.end),)
        case Along() | OpeningRim() | AtSeat():
            assert isinstance(piece, Plate | Folded)
            wall, place = _wall(piece, edge.wall)
            z = 0.0 if edge.face == "low" else piece.t
            return tuple(_flat(run, place, z) for run in _runs(piece, wall, edge, z))
        case _:
            assert_never(edge)


def _runs(piece: Piece, wall: Wall, edge: Along | OpeningRim | AtSeat, z: float) -> Iterator[Segment | EllipseArc]:
    match edge:
        case Along():
            yield from _along(wall.outline, edge, piece.name)
        case OpeningRim():
            _there("opening", edge.opening, len(wall.openings), piece)
            yield from wall.openings[edge.opening].outline.segments
        case AtSeat():
            _there("seat", edge.seat, len(wall.seats), piece)
            seat = wall.seats[edge.seat]
            yield from _seat_edges(wall.metal, slanted(seat, z), seat.keep)
        case _:
            assert_never(edge)


@lru_cache(maxsize=64)
def _seat_edges(metal: Region, tube: Ellipse, keep: tuple[float, float] | None) -> tuple[EllipseArc, ...]:
    """What a tube meets of a wall: its length, its points and its weld ask for it a dozen times over."""
    return tuple(edge for left in cut_ellipse(metal, tube, keep=keep) for edge in left.cut_edges)


def _wall(piece: Plate | Folded, number: int) -> tuple[Wall, Place]:
    """A wall and where its frame stands in the piece's."""
    if isinstance(piece, Plate):
        _there("wall", number, 1, piece)
        return piece.wall, HERE
    _there("wall", number, 1 + len(piece.flanges), piece)
    node = tree(piece).walls[number]
    return node.wall, node.place


def _there(what: str, number: int, count: int, piece: Piece) -> None:
    if not 0 <= number < count:
        allowed = f"0 to {count - 1}" if count else "there is none"
        raise OutOfRange(f"{what} = {number}, {allowed}: an edge of {piece.name}")


def _along(outline: Outline, edge: Along, name: str) -> Iterator[Segment]:
    """The parts of the outline from the start to the end, anticlockwise."""
    segments = outline.segments
    begin, end = (_station(outline, p) for p in (edge.start, edge.end))
    if edge.start == edge.end:
        end = begin + outline.length
    elif abs(begin - end) <= JOIN or outline.length - abs(begin - end) <= JOIN:
        raise InputError(
            f"edge from {edge.start} to {edge.end}, must be two places on the outline: a weld on {name}"
        )
    elif end < begin:
        end += outline.length
    start = 0.0
    for segment in (*segments, *segments):
        low, high = max(begin, start), min(end, start + segment.length)
        if high - low > JOIN:
            yield segment.part((low - start) / segment.length, (high - start) / segment.length)
        start += segment.length


def _station(outline: Outline, p: tuple[float, float]) -> float:
    """How far along the outline, mm from its start, it is nearest to `p`."""
    best, station, start = math.inf, 0.0, 0.0
    for segment in outline.segments:
        s = segment.nearest(p)
        far = math.dist(segment.point(s), p)
        if far < best - JOIN:
            best, station = far, start + s * segment.length
        start += segment.length
    return 0.0 if outline.length - station <= JOIN else station


def _flat(run: Segment | EllipseArc, place: Place, z: float) -> Stretch:
    def at(s: float) -> Vec:
        x, y = run.point(s)
        return place.point((x, y, z))

    return Stretch(run.length, at)


def _straight(edge: StraightEdge) -> Stretch:
    (ax, ay, az), (bx, by, bz) = edge.start, edge.end
    return Stretch(
        math.dist(edge.start, edge.end),
        lambda s: (ax + s * (bx - ax), ay + s * (by - ay), az + s * (bz - az)),
    )


def _circle(edge: Circle) -> Stretch:
    def at(s: float) -> Vec:
        turn = math.tau * s
        return (edge.d / 2 * math.cos(turn), edge.d / 2 * math.sin(turn), edge.z)

    return Stretch(math.pi * edge.d, at)


def _rim(tube: Tube | BentTube, end: Which) -> Stretch:
    return Stretch(_rim_length(tube, end), lambda s: rim_point(tube, end, 360.0 * s, tube.od / 2))


@lru_cache(maxsize=256)
def _rim_length(tube: Tube | BentTube, end: Which) -> float:
    if all(cut.kind == "square" for cut in tube.cuts(end)):
        return math.pi * tube.od
    import numpy as np

    thetas = np.linspace(0.0, 360.0, CHORDS + 1)
    climbs = np.diff(contours(tube, end, thetas, tube.od / 2))
    return float(np.hypot(tube.od * math.sin(math.pi / CHORDS), climbs).sum())


def rim_point(tube: Tube | BentTube, end: Which, theta: float, r: float) -> Vec:
    """The point of a cut end at `theta` degrees of the tube's own on radius `r`, in the tube's frame."""
    turn = math.radians(theta)
    back = contour(tube, end, theta, r)
    last = last_straight(tube)
    z = back if end == "start" else last.length - back
    p = (r * math.cos(turn), r * math.sin(turn), z)
    return p if end == "start" else last.place.point(p)


def last_straight(tube: Tube | BentTube) -> bent.StraightSegment:
    """The straight that a tube's end is cut on, in the tube's own frame."""
    if isinstance(tube, Tube):
        return bent.StraightSegment(place=HERE, length=tube.length)
    return bent.straights(tube)[-1]
