"""Where the pieces of a part land on each other: outlines on the faces of a plate, lines round a tube.

mm, degrees. On a plate, what the flat faces of other pieces cover of it; on what is round, the edges that are
welded to it and run on its outside. Nothing is known here of a custom piece.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import assert_never

from brackets.core.place import Place
from brackets.core.vectors import Vec, cross, dot, length
from brackets.geometry.regions import Region, common
from brackets.geometry.segments import Point
from brackets.model.bent_tube import bends
from brackets.model.bent_tube import straights as straights_of
from brackets.model.cope import ENDS, contour, corner_lines, extent
from brackets.model.edges import rim_point, stretches
from brackets.model.faces import LEVEL, PARALLEL, FlatFace, flat_faces, metal
from brackets.model.fold_zones import zones
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import BentTube, Tube, Turned
from brackets.model.weld import Circle, Face, StraightEdge, TubeRim, Weld

LEAST = 0.01
"""mm2 that two faces must have in common: under it they touch along an edge, give or take a rounding."""

STEPS = 360
"""Chords a welded edge is followed by: one a degree round a rim, 0.001 mm off the curve of a tube of 50 mm."""

BOTH: tuple[Face, Face] = ("high", "low")

Curve = tuple[Point, ...]


@dataclass(frozen=True)
class OnPlate:
    """What the piece `name` covers of a face of wall `wall` (0 is the base): `region` in that wall's x and y."""

    name: str
    wall: int
    face: Face
    region: Region


@dataclass(frozen=True)
class OnRound:
    """Where the piece `name` is welded to a round outside: curves of (degrees of its own, mm from its start).

    The start is a tube's sawn start, along the centre line, or the lower end of a turned piece. Degrees run on past
    360 where a curve does. A tube's curves are those of its outside and of its bore, a plate's those of its faces;
    of one that touches by the middle of its edge, both corners as they are seen along the plate.
    """

    name: str
    curves: tuple[Curve, ...]

    @property
    def along(self) -> tuple[float, float]:
        """From where to where it reaches, mm from the start."""
        far = [y for curve in self.curves for _, y in curve]
        return min(far), max(far)

    @property
    def clocks(self) -> tuple[float, float] | None:
        """From how many degrees to how many it reaches, the first from 0 to 360; None where it goes all round."""
        spans = [(min(d for d, _ in curve), max(d for d, _ in curve)) for curve in self.curves]
        first = sum(spans[0]) / 2
        near = [(a - turn, b - turn) for a, b in spans for turn in [360.0 * round(((a + b) / 2 - first) / 360.0)]]
        low, high = min(a for a, _ in near), max(b for _, b in near)
        if high - low > 360.0 - 1e-3:
            return None
        return low % 360.0, low % 360.0 + high - low

    @property
    def clock(self) -> float | None:
        """Degrees of its middle; None where it goes all round."""
        return None if self.clocks is None else sum(self.clocks) / 2 % 360.0


def on_plate(piece: Plate | Folded, part: Part) -> tuple[OnPlate, ...]:
    """What other pieces of `part` cover of the faces of one of its plates, in the order of the pieces."""
    walls = list(_walls(piece))
    return tuple(
        OnPlate(other.name, number, face, region)
        for other in part.pieces
        if other.name != piece.name
        for standing in flat_faces(other)
        for number, place, wall in walls
        for face in BOTH
        if _meets(standing, place, z := piece.t if face == "high" else 0.0, 1.0 if face == "high" else -1.0)
        for mine in metal(wall, z)
        for region in common(mine, _seen(standing, place))
        if region.area > LEAST
    )


def _walls(piece: Plate | Folded) -> Iterator[tuple[int, Place, Wall]]:
    """Number, frame in the part and metal of every wall."""
    if isinstance(piece, Plate):
        yield 0, piece.place, piece.wall
        return
    left = zones(piece)
    for node, walls in zip(left.tree.walls, left.walls, strict=True):
        for wall in walls:
            yield node.number, piece.place @ node.place, wall


def _meets(standing: FlatFace, place: Place, z: float, up: float) -> bool:
    """Whether a face lies in the plane at height `z` of a wall and looks at the metal there."""
    if length(cross(standing.place.axis, place.axis)) >= PARALLEL or dot(standing.place.axis, place.axis) * up > 0:
        return False
    return abs(place.local(standing.place.at)[2] - z) < LEVEL


def _seen(standing: FlatFace, place: Place) -> Region:
    def there(p: Point) -> Point:
        return place.local(standing.place.point((*p, 0.0)))[:2]

    return Region(standing.region.outer.map(there), tuple(hole.map(there) for hole in standing.region.holes))


def on_round(piece: Tube | BentTube | Turned, part: Part) -> tuple[OnRound, ...]:
    """Where other pieces of `part` are welded to the outside of a round one, in the order of the welds."""
    found: dict[str, list[Curve]] = {}
    for weld in part.welds:
        if weld.onto == piece.name:
            other = part.piece(weld.piece)
            if isinstance(weld.edge, StraightEdge) and isinstance(other, Plate):
                for run, way in _corners(other, weld.edge):
                    found.setdefault(other.name, []).extend(_curves(piece, run, way))
                continue
            for run in _edges(other, weld):
                found.setdefault(other.name, []).extend(_curves(piece, run))
        elif weld.piece == piece.name and isinstance(weld.edge, Circle | StraightEdge):
            for run in _edges(piece, weld):
                found.setdefault(weld.onto, []).extend(_curves(piece, run))
    return tuple(OnRound(name, tuple(dict.fromkeys(curves))) for name, curves in found.items() if curves)


def _edges(piece: Piece, weld: Weld) -> Iterator[list[Vec]]:
    """Points along a weld's edge, in the part's frame; of a tube's end the outer edge and the bore's."""
    if isinstance(weld.edge, TubeRim):
        assert isinstance(piece, Tube | BentTube)
        lines = {360.0 * i / STEPS for i in range(STEPS + 1)}
        lines |= {degrees % 360.0 for degrees in corner_lines(piece, weld.edge.end)}
        for r in (piece.od / 2, piece.bore / 2):
            yield [piece.place.point(rim_point(piece, weld.edge.end, turn, r)) for turn in sorted(lines)]
        return
    for run in stretches(piece, weld.edge):
        yield [piece.place.point(run.at(i / STEPS)) for i in range(STEPS + 1)]


def _corners(plate: Plate, edge: StraightEdge) -> Iterator[tuple[list[Vec], Vec]]:
    """Points along both corners of a plate's edge that touches by its middle, and the way from them to what it
    stands on: in the plate's plane, square to the edge."""
    (ax, ay, _), (bx, by, _) = edge.start, edge.end
    long = math.dist((ax, ay), (bx, by))
    if long < LEVEL:  # it runs through the plate, not along it
        return
    way = plate.place.direction(((by - ay) / long, (ax - bx) / long, 0.0))
    for z in (0.0, plate.t):
        shares = (i / STEPS for i in range(STEPS + 1))
        yield [plate.place.point((ax + s * (bx - ax), ay + s * (by - ay), z)) for s in shares], way


@dataclass(frozen=True)
class _Barrel:
    """A straight stretch of a round outside: its frame in the part, what is added to z to be measured from the
    start, its radius at z, and whether z at those degrees is on its metal."""

    place: Place
    start: float
    radius: Callable[[float], float]
    on: Callable[[float, float], bool]


def _barrels(piece: Tube | BentTube | Turned) -> Iterator[_Barrel]:
    match piece:
        case Turned():
            yield _Barrel(piece.place, 0.0, lambda z: _radius(piece, z), lambda _, z: True)
        case Tube():
            yield _Barrel(
                piece.place,
                -extent(piece, "start", (piece.od / 2,))[0],
                lambda _: piece.od / 2,
                lambda turn, z: _within(piece, turn, z, piece.length - z),
            )
        case BentTube():
            lines = straights_of(piece)
            starts = [-extent(piece, "start", (piece.od / 2,))[0], *(bend.end for bend in bends(piece))]
            for i, (line, start) in enumerate(zip(lines, starts, strict=True)):
                # another end than the stretch's own is out of reach
                first, last = (0.0 if i == 0 else math.inf), (0.0 if i == len(lines) - 1 else math.inf)
                yield _Barrel(
                    piece.place @ line.place,
                    start,
                    lambda _: piece.od / 2,
                    lambda turn, z, long=line.length, a=first, b=last: (  # type: ignore[misc]
                        (a == 0.0 or z > -LEVEL)
                        and (b == 0.0 or z < long + LEVEL)
                        and _within(piece, turn, z + a, long - z + b)
                    ),
                )
        case _:
            assert_never(piece)


def _radius(piece: Turned, z: float) -> float:
    """Of its outside at z; infinite at the ends of a step, where it meets a shoulder and nothing lands."""
    below = 0.0
    for step in piece.steps:
        if below + LEVEL < z < below + step.length - LEVEL:
            return step.od / 2
        below += step.length
    return math.inf


def _within(piece: Tube | BentTube, turn: float, from_start: float, from_end: float) -> bool:
    """Whether a line at `turn` degrees has metal so far from both nodes; its very edge is where two ends meet."""
    r = piece.od / 2
    far = dict(zip(ENDS, (from_start, from_end), strict=True))
    return all(math.isinf(far[end]) or far[end] > contour(piece, end, turn, r) + LEVEL for end in ENDS)


def _curves(piece: Tube | BentTube | Turned, run: Sequence[Vec], way: Vec | None = None) -> Iterator[Curve]:
    """What of a run of points lies on the outside, in (degrees, mm); looked at along `way`, where one is given."""
    for barrel in _barrels(piece):
        local = [barrel.place.local(p) for p in run]
        if way is not None:
            local = [_pushed(p, barrel.place.local_direction(way), barrel.radius(p[2])) for p in local]
        on = [
            abs(math.hypot(x, y) - barrel.radius(z)) < LEVEL and barrel.on(math.degrees(math.atan2(y, x)), z)
            for x, y, z in local
        ]
        for stretch in _together(local, on):
            turns = [math.degrees(math.atan2(y, x)) for x, y, _ in stretch]
            yield tuple(zip(_unwound(turns), (z + barrel.start for *_, z in stretch), strict=True))


def _pushed(p: Vec, way: Vec, r: float) -> Vec:
    """The point nearest to p, along a way through it, that lies `r` from the z axis; p where there is none."""
    (x, y, z), (u, v, w) = p, way
    a, b, c = u * u + v * v, x * u + y * v, x * x + y * y - r * r
    if a < PARALLEL or not math.isfinite(r) or b * b < a * c:
        return p
    root = math.sqrt(b * b - a * c)
    s = min(((root - b) / a, (-root - b) / a), key=abs)
    return (x + s * u, y + s * v, z + s * w)


def _together(points: Sequence[Vec], on: Sequence[bool]) -> Iterator[list[Vec]]:
    """Stretches of two and more points that are on; of a ring that is broken once, one stretch."""
    found: list[list[Vec]] = [[]]
    for p, there in zip(points, on, strict=True):
        if there:
            found[-1].append(p)
        elif found[-1]:
            found.append([])
    if len(found) > 1 and on[0] and on[-1] and math.dist(points[0], points[-1]) < LEVEL:
        found[0] = [*found.pop(), *found[0][1:]]
    return (stretch for stretch in found if len(stretch) > 1)


def _unwound(turns: Iterable[float]) -> list[float]:
    """Degrees that run on where they pass 360, the first from 0 to 360."""
    given = list(turns)
    found = [given[0] % 360.0]
    for before, after in pairwise(given):
        found.append(found[-1] + (after - before + 180.0) % 360.0 - 180.0)
    return found


def landed_on(piece: Piece, part: Part) -> tuple[OnPlate, ...] | tuple[OnRound, ...]:
    """What lands on any piece, of either kind."""
    if isinstance(piece, Plate | Folded):
        return on_plate(piece, part)
    if isinstance(piece, Tube | BentTube | Turned):
        return on_round(piece, part)
    assert isinstance(piece, CustomPiece)
    return ()
