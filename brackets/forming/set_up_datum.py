"""What a weldment is set up from: a datum on its base piece, and what on the pieces a square or a rule is laid to.

mm, in the part's frame, in closed form. A is the base's face, or the axis of the longest tube, or what the part is
welded to; x is measured from C, y from B, z from A (of an axis: x from B along it, y and z from A).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, square_to, sub
from brackets.model import mass
from brackets.model.bent_tube import straights
from brackets.model.faces import flat_faces
from brackets.model.holes import Hole
from brackets.model.landing import on_plate
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

ALONG = 1e-6
"""Sine of an angle under which two directions are one: rounding of typed places."""

ON = 1e-3
"""mm from a plane or an axis within which a point lies on it."""

WIDE = 8.0
"""mm: a straight edge shorter than this is none to lay a square on."""


@dataclass(frozen=True)
class Feature:
    """A plane or an axis of a piece that can be measured to, in the part's frame; `way` is its normal or direction.

    `r` is of a round outside: a plane that is `r` off an axis is laid against it, and touches along a line.
    """

    piece: str
    kind: Literal["plane", "axis"]
    at: Vec
    way: Vec
    r: float = 0.0


@dataclass(frozen=True)
class Spot:
    """A point where features meet: of an axis and a plane; of an axis, in the middle of two planes; of two axes,
    the point of the first that is nearest to the second; of three planes, a corner."""

    at: Vec
    by: tuple[Feature, ...]


@dataclass(frozen=True)
class Datum:
    """`frame`: origin and directions; `piece` is the base, empty where the part is measured from what it is welded
    to; `round`: whether A is an axis. `names` say what A, B and C are, `features` are those there are of them."""

    frame: Place
    piece: str
    round: bool
    names: tuple[str, str, str]
    features: tuple[Feature | None, Feature | None, Feature | None]

    def local(self, p: Vec) -> Vec:
        """A point of the part as x, y, z from the datum."""
        return self.frame.local(p)

    def direction(self, way: Vec) -> Vec:
        return self.frame.local_direction(way)


def datum_of(part: Part) -> Datum:
    """The datum of a part of several pieces: a plate that two pieces and more are welded to or that lie on it; else
    the longest tube; else what the part as a whole is welded to; else its heaviest piece."""
    base = _base(part)
    if base is None:
        return _of_seat(part)
    return _of_tube(part, base) if isinstance(base, Tube | BentTube | Turned) else _of_plate(part, base)


def _base(part: Part) -> Piece | None:
    met = {piece.name: set[str]() for piece in part.pieces}
    for weld in part.welds:
        if weld.onto in met:
            met[weld.piece].add(weld.onto)
            met[weld.onto].add(weld.piece)
    plates = [piece for piece in part.pieces if isinstance(piece, Plate | Folded) and len(met[piece.name]) > 1]
    tubes = [piece for piece in part.pieces if isinstance(piece, Tube | BentTube) and met[piece.name]]
    if plates:
        return max(plates, key=lambda piece: (len(met[piece.name]), mass.of(piece).kg))
    if tubes:
        return max(tubes, key=_long)
    if any(weld.onto not in met for weld in part.welds):
        return None
    known = [piece for piece in part.pieces if isinstance(piece, Plate | Folded | Turned | Tube | BentTube)]
    return max(known, key=lambda piece: mass.of(piece).kg) if known else None


def _long(tube: Tube | BentTube) -> float:
    return tube.length if isinstance(tube, Tube) else math.fsum(line.length for line in straights(tube))


def planes_of(piece: Piece) -> tuple[Feature, ...]:
    """The flat faces of a piece, normals out of the metal."""
    return tuple(Feature(piece.name, "plane", face.place.at, face.place.axis) for face in flat_faces(piece))


def axes_of(piece: Piece) -> tuple[Feature, ...]:
    """The axes of a piece: its own where it is round, those of the round holes of a plate's base."""
    found: list[Feature] = []
    if isinstance(piece, Tube | Turned):
        found.append(Feature(piece.name, "axis", piece.place.at, piece.place.axis))
    elif isinstance(piece, BentTube):
        for line in straights(piece):
            place = piece.place @ line.place
            found.append(Feature(piece.name, "axis", place.at, place.axis))
    elif isinstance(piece, Plate | Folded):
        wall = piece.wall if isinstance(piece, Plate) else piece.base
        for hole in wall.openings:
            if isinstance(hole, Hole):
                found.append(Feature(piece.name, "axis", piece.place.point((*hole.at, 0.0)), piece.place.axis))
    return tuple(found)


def coaxial(feature: Feature, at: Vec, way: Vec) -> bool:
    """Whether an axis is the line through `at` along `way`."""
    off = sub(at, feature.at)
    return length(cross(feature.way, way)) < ALONG and length(square_to(off, feature.way)) < ON


def corner(p: Feature, q: Feature, r: Feature) -> Vec | None:
    """Where three planes meet; None where they do not in one point."""
    down = dot(p.way, cross(q.way, r.way))
    if abs(down) < ALONG:
        return None
    a, b, c = (dot(f.at, f.way) for f in (p, q, r))
    sums = add(add(scale(cross(q.way, r.way), a), scale(cross(r.way, p.way), b)), scale(cross(p.way, q.way), c))
    return scale(sums, 1.0 / down)


def on_axis(axis: Feature, plane: Feature) -> Vec:
    """Where an axis passes a plane that it is not parallel to."""
    far = dot(sub(plane.at, axis.at), plane.way) / dot(axis.way, plane.way)
    return add(axis.at, scale(axis.way, far))


def nearest(axis: Feature, other: Feature) -> Vec | None:
    """The point of an axis nearest to another; None where they are parallel."""
    across = cross(axis.way, other.way)
    size = dot(across, across)
    if size < ALONG**2:
        return None
    far = dot(cross(sub(other.at, axis.at), other.way), across) / size
    return add(axis.at, scale(axis.way, far))


def _of_plate(part: Part, base: Piece) -> Datum:
    assert isinstance(base, Plate | Folded)
    stands = [one for one in on_plate(base, part) if one.wall == 0]
    covered = {face: math.fsum(one.region.area for one in stands if one.face == face) for face in ("high", "low")}
    high = covered["high"] >= covered["low"]
    up = Place((0.0, 0.0, base.t)) if high else Place(axis=(0.0, 0.0, -1.0))
    face = base.place @ up
    a = Feature(base.name, "plane", face.at, face.axis)
    side = "upper" if high else "lower"
    of = f"{side} face of {base.name}" if isinstance(base, Plate) else f"{side} face of the floor of {base.name}"
    c, c_name = _side(base, face, 0)
    b, b_name = _side(base, face, 1)
    origin = add(face.at, scale(face.x, dot(sub(c.at, face.at), face.x) - c.r))
    origin = add(origin, scale(face.up, dot(sub(b.at, face.at), face.up) - b.r))
    return Datum(Place(origin, face.axis, face.up), base.name, False, (of, b_name, c_name), (a, b, c))


def _side(base: Plate | Folded, face: Place, i: int) -> tuple[Feature, str]:
    """What x (i = 0) or y is measured from, and its name: the left or lower straight edge of the base, else the
    middle of its hole furthest that way, else where a straight edge laid against its outline touches."""
    word, what = ("left", "lower")[i], "edge" if isinstance(base, Plate) else "outside face"
    out = scale((face.x, face.up)[i], -1.0)
    straight = [
        (dot(sub(one.place.at, face.at), out), one)
        for one in flat_faces(base)
        if dot(one.place.axis, out) > 1.0 - ALONG and one.region.outer.bounds[2] - one.region.outer.bounds[0] > WIDE
    ]
    reach = _reach(base, face, i)
    if straight:
        far, best = max(straight, key=lambda pair: pair[0])
        if far > reach - ON:
            return Feature(base.name, "plane", best.place.at, best.place.axis), f"{word} {what} of {base.name}"
    holes = [feature for feature in axes_of(base) if length(cross(feature.way, face.axis)) < ALONG]
    if holes:
        first = max(holes, key=lambda feature: dot(sub(feature.at, face.at), out))
        return first, f"through the middle of {_hole_name(base, first)} of {base.name}"
    at = add(face.at, scale(out, reach))
    return Feature(base.name, "plane", at, out), f"a straight edge laid against the {word} side of {base.name}"


def _reach(base: Plate | Folded, face: Place, i: int) -> float:
    """How far the base reaches against x or y of `face`, mm; of a bent one its flat walls are asked."""
    if isinstance(base, Plate):
        box = base.wall.outline.bounds
        corners = [(x, y, 0.0) for x in (box[0], box[2]) for y in (box[1], box[3])]
        return max(-face.local(base.place.point(p))[i] for p in corners)
    spots = [one.place.point((*edge.a, 0.0)) for one in flat_faces(base) for edge in one.region.outer.segments]
    return max(-face.local(p)[i] for p in spots)


def _hole_name(base: Plate | Folded, axis: Feature) -> str:
    for number, hole in enumerate(base.holes(), 1):
        if isinstance(hole, Hole) and length(sub(base.place.point((*hole.at, 0.0)), axis.at)) < ON:
            return f"hole {hole.name or number}"
    return "a hole"


def _of_tube(part: Part, base: Piece) -> Datum:
    assert isinstance(base, Tube | BentTube | Turned)
    axis = axes_of(base)[0]
    others = [feature for piece in part.pieces if piece.name != base.name for feature in axes_of(piece)]
    ends = [spot for spot in end_spots(part, base) if spot is not None] if not isinstance(base, Turned) else []
    origin = ends[0].at if ends else axis.at
    square = [feature.way for feature in others if abs(dot(feature.way, axis.way)) < ALONG]
    up = _most(square) if square else _own(base, axis.way)
    frame = Place(origin, up, cross(up, axis.way))  # x = up' cross axis' runs along the tube
    turn = math.degrees(math.atan2(dot(up, base.place.up), dot(up, base.place.x))) % 360.0
    names = (
        f"axis of {base.name}, z {_plain_angle(turn)} deg from its clock line",
        f"where the axis of {base.name} {_start(base, ends)}",
        "",
    )
    return Datum(frame, base.name, True, names, (axis, None, None))


def _start(base: Piece, ends: list[Spot]) -> str:
    """What stands at the start of a tube, where x begins."""
    by = ends[0].by[1].piece if ends else base.name
    return "has its start" if by == base.name else f"meets {by}, at its start"


def _most(ways: list[Vec]) -> Vec:
    """The direction that most of them have, either way round; the first of equals."""

    def same(a: Vec) -> int:
        return sum(length(cross(a, b)) < ALONG for b in ways)

    return max(ways, key=same)


def _own(base: Piece, axis: Vec) -> Vec:
    """z of the part, or y for a tube along it, made square to the tube."""
    up: Vec = (0.0, 0.0, 1.0) if abs(axis[2]) < 0.9 else (0.0, 1.0, 0.0)
    return square_to(up, axis)


def _plain_angle(value: float) -> str:
    return f"{round(value, 1) % 360:g}"


def _of_seat(part: Part) -> Datum:
    """What the part is welded to where it stands: z out of it, x along it."""
    names = {piece.name for piece in part.pieces}
    seat = part.seat(next(weld.onto for weld in part.welds if weld.onto not in names))
    frame, what = seat_frame(seat)
    middle = f"the middle of seat {seat.name}"
    if seat.kind == "round":
        return Datum(frame, "", True, (f"axis of {what}", middle, ""), (None, None, None))
    return Datum(frame, "", False, (f"face of {what}", middle, middle), (None, None, None))


def seat_frame(seat: Seat) -> tuple[Place, str]:
    """A datum on what a seat meets, and the words for it."""
    at, axis, up = seat.place.at, seat.place.axis, seat.place.up
    if seat.kind == "round":
        d = "" if seat.d is None else f", Ø{seat.d:g}"
        return Place(at, up, cross(up, axis)), f"the tube at seat {seat.name}{d}"
    return Place(at, scale(axis, -1.0), up), f"what seat {seat.name} stands on"


def end_spots(part: Part, tube: Tube | BentTube) -> tuple[Spot | None, Spot | None]:
    """The nodes of a tube's two ends, and by what they are found: the axis or the plane that the end is cut to."""
    from brackets.forming.cut_rows import node

    lines = axes_of(tube)
    found: list[Spot | None] = []
    others = [piece for piece in part.pieces if piece.name != tube.name]
    for which, axis in (("start", lines[0]), ("end", lines[-1])):
        at = node(tube, which)  # type: ignore[arg-type]
        by = next(_node_by(tube, others, axis, at), None)
        found.append(None if by is None else Spot(at, (axis, by)))
    return found[0], found[1]


def _node_by(tube: Tube | BentTube, others: list[Piece], axis: Feature, at: Vec) -> Iterator[Feature]:
    for piece in (tube, *others):
        for plane in planes_of(piece):
            if abs(dot(plane.way, axis.way)) > ALONG and length(sub(on_axis(axis, plane), at)) < ON:
                yield plane
    for piece in others:
        for other in axes_of(piece):
            spot = nearest(axis, other)
            if spot is not None and length(sub(spot, at)) < ON:
                yield other
