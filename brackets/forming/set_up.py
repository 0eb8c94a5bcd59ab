"""The set-up dimensions of a weldment: for each piece where it goes from the datum, and what to check it by.

mm and degrees from the record, never from a picture. Degrees in plan run from x towards y, seen against z.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations
from typing import Literal, assert_never

from brackets.core.vectors import Vec, cross, dot, length, sub
from brackets.forming.part_numbers import piece_list
from brackets.forming.set_up_datum import (
    ALONG,
    ON,
    Datum,
    Feature,
    Spot,
    axes_of,
    coaxial,
    datum_of,
    end_spots,
    nearest,
    on_axis,
    planes_of,
)
from brackets.geometry.segments import Line
from brackets.model.kinds import known
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece, Seat
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

AXES = ("x", "y", "z")

REMEMBERED = 32
"""Parts whose set-up is kept in memory: facts and sheets ask for it."""

NEAR_SQUARE = 1e-3
"""Degrees within which a plate stands square on A."""

Kind = Literal["from datum", "apart", "diagonal", "to A", "in plan"]
"""from datum: along x, y or z; apart: between faces, or between bush centres; diagonal: to check squareness by;
to A: degrees to A, or to the xy plane where A is an axis; in plan: degrees from x towards y of an axis, the way in
which it rises, or of the level line of a face."""


@dataclass(frozen=True, kw_only=True)
class SetUpDimension:
    """One dimension: `what` of `piece` (two names where it is between two), `value` in mm, or degrees of an angle.

    `to` is what is measured to, `start` what it is measured from where that is not the datum; `axis` is 0, 1, 2 for
    x, y, z from the datum.
    """

    piece: str
    what: str
    kind: Kind
    value: float
    to: Feature | Spot
    start: Feature | Spot | None = None
    axis: int | None = None

    @property
    def is_angle(self) -> bool:
        return self.kind in ("to A", "in plan")

    @property
    def text(self) -> str:
        """The value as a person writes it, to 0.1."""
        shown = f"{self.value + 0.0:.1f}".removesuffix(".0")
        return f"{'0' if shown in ('-0', '0') else shown}{'°' if self.is_angle else ''}"


@dataclass(frozen=True, kw_only=True)
class SetUp:
    """Datum and dimensions of a weldment, in the order in which its pieces are numbered; `unknown` are the pieces
    that nothing is known of here."""

    datum: Datum
    dimensions: tuple[SetUpDimension, ...]
    unknown: tuple[str, ...]


def set_up(part: Part) -> SetUp | None:
    """The set-up dimensions of a part of more than one piece; None where there is nothing to set up.

    part: as it stands; values do not depend on where that is.

    >>> base = plate(rectangle(100, 60), 6, name="base")
    >>> ear = plate(rectangle(40, 30), 5, name="ear", place=Place((0, 0, 21), (1, 0, 0), (0, 0, 1)))
    >>> tee = Part(name="tee", pieces=(base, ear))
    >>> [(one.what, "xyz"[one.axis], one.text) for one in set_up(tee).dimensions]
    [('face nearer C', 'x', '50'), ('lowest corner nearest B', 'y', '10'), ('lowest corner nearest B', 'z', '0')]
    """
    return None if len(part.pieces) < 2 else _set_up(part)


@lru_cache(maxsize=REMEMBERED)
def _set_up(part: Part) -> SetUp:
    datum = datum_of(part)
    found: list[SetUpDimension] = []
    unknown = []
    for listed in piece_list(part):
        for name in listed.names:
            piece = part.piece(name)
            if name == datum.piece:
                continue
            rows = list(_of_piece(part, piece, datum))
            found += rows
            if not rows:
                unknown.append(name)
    found += _of_bushes(part, datum)
    found += _between(part, datum)
    return SetUp(datum=datum, dimensions=tuple(found), unknown=tuple(unknown))


def _of_piece(part: Part, piece: Piece, datum: Datum) -> Iterator[SetUpDimension]:
    match known(piece):
        case Plate() | Folded() as flat:
            yield from _of_plate(part, flat, datum)
        case Turned() as turned:
            yield from _of_turned(turned, datum)
        case Tube() | BentTube() as tube:
            yield from _of_tube(part, tube, datum)
        case CustomPiece():
            return
        case other:
            assert_never(other)


def aligned(way: Vec) -> int | None:
    """Which axis of the datum a direction, given in it, runs along; None where it is none."""
    for i in range(3):
        if math.hypot(*(c for k, c in enumerate(way) if k != i)) < ALONG:
            return i
    return None


def _at(piece: str, what: str, to: Feature | Spot, axis: int, datum: Datum) -> SetUpDimension:
    value = datum.local(to.at)[axis]
    return SetUpDimension(piece=piece, what=what, kind="from datum", value=value, to=to, axis=axis)


def _point(piece: str, what: str, spot: Spot, datum: Datum) -> Iterator[SetUpDimension]:
    for i in range(3):
        yield _at(piece, what, spot, i, datum)


def _of_axis(piece: str, axis: Feature, datum: Datum, what: str = "axis") -> Iterator[SetUpDimension]:
    """How an axis that runs along none of the datum's leans to A, and which way it points in plan."""
    way = datum.direction(axis.way)
    if way[2] < -ALONG:
        way = (-way[0], -way[1], -way[2])
    lean = math.degrees(math.atan2(abs(way[2]), math.hypot(way[0], way[1])))
    square = aligned(way)
    if square is None or square == 2:
        yield SetUpDimension(piece=piece, what=what, kind="to A", value=lean, to=axis)
    if square is None and lean < 90.0 - 1e-6:
        turn = math.degrees(math.atan2(way[1], way[0])) % 360.0
        if abs(way[2]) < ALONG:
            turn %= 180.0
        yield SetUpDimension(piece=piece, what=what, kind="in plan", value=turn, to=axis)


def _of_turned(piece: Turned, datum: Datum) -> Iterator[SetUpDimension]:
    (axis,) = axes_of(piece)
    along = aligned(datum.direction(axis.way))
    ends = [plane for plane in planes_of(piece) if length(cross(plane.way, axis.way)) < ALONG]
    low, high = (pick(ends, key=lambda f: dot(sub(f.at, axis.at), axis.way)) for pick in (min, max))
    if along is None:
        yield from _of_axis(piece.name, axis, datum)
        near = min((low, high), key=lambda f: datum.local(on_axis(axis, f))[2])
        yield from _point(piece.name, "middle of its lower end", Spot(on_axis(axis, near), (axis, near)), datum)
        return
    for i in range(3):
        if i != along:
            yield _at(piece.name, f"axis, along {AXES[along]}", axis, i, datum)
    for end in sorted((low, high), key=lambda f: datum.local(f.at)[along]):
        yield _at(piece.name, "its two ends", end, along, datum)


def _of_tube(part: Part, tube: Tube | BentTube, datum: Datum) -> Iterator[SetUpDimension]:
    lines = axes_of(tube)
    start, end = end_spots(part, tube)
    along = aligned(datum.direction(lines[0].way))
    if isinstance(tube, Tube) and along is not None:
        for i in range(3):
            if i != along:
                yield _at(tube.name, f"axis, along {AXES[along]}", lines[0], i, datum)
        for word, spot in (("start", start), ("end", end)):
            if spot is not None:
                yield _at(tube.name, f"node of its {word}", spot, along, datum)
        return
    for number, line in enumerate(lines, 1):
        what = "axis" if len(lines) == 1 else f"axis of straight {number}"
        yield from _of_axis(tube.name, line, datum, what)
    if start is not None:
        yield from _point(tube.name, "node of its start", start, datum)
    for number, (a, b) in enumerate(zip(lines, lines[1:], strict=False), 1):
        at = nearest(a, b)
        if at is not None:
            yield from _point(tube.name, f"corner {number} of its axis", Spot(at, (a, b)), datum)
    if end is not None:
        yield from _point(tube.name, "node of its end", end, datum)


def _of_plate(part: Part, piece: Plate | Folded, datum: Datum) -> Iterator[SetUpDimension]:
    faces = _faces(piece)
    along = aligned(datum.direction(faces[0].way))
    if along is None:
        yield from _of_leaning_plate(piece, faces, datum)
        return
    near, _ = sorted(faces, key=lambda f: datum.local(f.at)[along])
    what = "lower face" if along == 2 else f"face nearer {_from(datum, along)}"
    holes = [axis for axis in axes_of(piece) if _pivot(piece, axis)]
    seats = (seat.place for seat in bush_seats(part))
    bush = next((at.at for at in seats if any(coaxial(axis, at.at, at.axis) for axis in holes)), None)
    if bush is not None:
        near, what = max(faces, key=lambda f: dot(sub(bush, f.at), f.way)), "inside face"
    yield _at(piece.name, what, near, along, datum)
    others = [i for i in range(3) if i != along]
    if holes:
        for i in others:
            yield _at(piece.name, "bolt hole", holes[0], i, datum)
    spots = _corners(piece, near)
    if not spots:
        return
    first = _lowest(spots, datum, others)
    if not holes or (others[-1] == 2 and abs(datum.local(first.at)[2]) < ON):
        for i in others:
            which = "lowest corner" if others[-1] == 2 else "corner"
            yield _at(piece.name, f"{which} nearest {_from(datum, others[0])}", first, i, datum)
    if not any(_same(spot, first, i, datum) for spot in spots if spot is not first for i in others):
        far = max(spots, key=lambda spot: math.dist(spot.at, first.at))
        for i in others:
            yield _at(piece.name, "corner furthest from that", far, i, datum)


def _of_leaning_plate(
    piece: Plate | Folded, faces: tuple[Feature, Feature], datum: Datum
) -> Iterator[SetUpDimension]:
    """A plate that is square to none of the datum's axes: its angles, two corners of its foot on one face, and its
    highest where the two angles do not say how it leans."""

    def against(face: Feature) -> tuple[float, float]:
        way = datum.direction(face.way)
        most = max(range(3), key=lambda i: round(abs(way[i]), 6))
        return (way[most], way[0])

    face = min(faces, key=against)
    way = datum.direction(face.way)
    most = max(range(3), key=lambda i: round(abs(way[i]), 6))
    towards = f"face towards {'-' if way[most] < 0 else '+'}{AXES[most]}"
    lean = math.degrees(math.atan2(math.hypot(way[0], way[1]), abs(way[2])))
    yield SetUpDimension(piece=piece.name, what=towards, kind="to A", value=lean, to=face)
    turn = math.degrees(math.atan2(-way[0], way[1])) % 180.0
    yield SetUpDimension(piece=piece.name, what=towards, kind="in plan", value=turn, to=face)
    spots = sorted(_corners(piece, face), key=lambda spot: round(datum.local(spot.at)[2], 3))
    if not spots:
        return
    foot = [spot for spot in spots if _same(spot, spots[0], 2, datum)]
    first = min(foot, key=lambda spot: (round(datum.local(spot.at)[0], 3), datum.local(spot.at)[1]))
    told = [("corner of that face", first)]
    if len(foot) > 1:
        told.append(("its other lowest corner", max(foot, key=lambda spot: math.dist(spot.at, first.at))))
    if len(foot) == 1 or abs(lean - 90.0) > NEAR_SQUARE:
        told.append(("its highest corner", spots[-1]))
    for what, spot in told:
        yield from _point(piece.name, what, spot, datum)


def _from(datum: Datum, axis: int) -> str:
    return ("B" if axis == 0 else "A") if datum.round else "CBA"[axis]


def _same(a: Spot, b: Spot, i: int, datum: Datum) -> bool:
    return abs(datum.local(a.at)[i] - datum.local(b.at)[i]) < ON


def _faces(piece: Plate | Folded) -> tuple[Feature, Feature]:
    """The two faces of a plate, or of the base of a bent one, normals out of the metal."""
    axis, at = piece.place.axis, piece.place.at
    down = (-axis[0], -axis[1], -axis[2])
    return (
        Feature(piece.name, "plane", at, down),
        Feature(piece.name, "plane", piece.place.point((0.0, 0.0, piece.t)), axis),
    )


def _pivot(piece: Plate | Folded, axis: Feature) -> bool:
    return any(
        getattr(hole, "kind", "") == "pivot"
        and length(sub(piece.place.point((*hole.at, 0.0)), axis.at)) < ON  # type: ignore[union-attr]
        for hole in piece.holes()
    )


def _corners(piece: Plate | Folded, face: Feature) -> tuple[Spot, ...]:
    """The sharp corners of a plate on one of its faces; none of one that is cut to a tube, or bent."""
    if isinstance(piece, Folded) or piece.wall.seats:
        return ()
    z = 0.0 if dot(face.way, piece.place.axis) < 0 else piece.t
    sides = piece.wall.outline.segments
    found = []
    for before, after in zip((sides[-1], *sides[:-1]), sides, strict=True):
        if not isinstance(before, Line) or not isinstance(after, Line):
            continue
        planes = []
        for side in (before, after):
            dx, dy = side.tangent(0.0)
            way = piece.place.direction((dy, -dx, 0.0))
            planes.append(Feature(piece.name, "plane", piece.place.point((*side.a, 0.0)), way))
        if length(cross(planes[0].way, planes[1].way)) > 0.05:
            at = piece.place.point((*after.a, z))
            found.append(Spot(at, (face, planes[0], planes[1])))
    return tuple(found)


def _lowest(spots: Sequence[Spot], datum: Datum, axes: Sequence[int]) -> Spot:
    """The lowest of them, and of those equally low the nearest to the datum's origin."""

    def key(spot: Spot) -> tuple[float, ...]:
        local = datum.local(spot.at)
        return tuple(round(local[i], 3) for i in reversed(axes))

    return min(spots, key=key)


def bush_seats(part: Part) -> tuple[Seat, ...]:
    """The bush seats of a part, each centre once, under its shortest name."""
    found: dict[tuple[float, ...], Seat] = {}
    for seat in part.seats:
        if seat.kind == "bush":
            key = tuple(round(c, 4) for c in seat.place.at)
            if key not in found or len(seat.name) < len(found[key].name):
                found[key] = seat
    return tuple(found.values())


def _bush_axis(part: Part, seat: Seat) -> Feature | None:
    """A bore or a bolt hole that the seat's axis runs through."""
    at, way = seat.place.at, seat.place.axis
    pieces = sorted(part.pieces, key=lambda piece: not isinstance(piece, Turned))
    return next((axis for piece in pieces for axis in axes_of(piece) if coaxial(axis, at, way)), None)


def _centre(part: Part, seat: Seat, axis: Feature) -> Spot | None:
    """The bush centre, in the middle of two faces square to its axis: a cup's ends, or the ears' inner faces."""
    square = [
        plane
        for piece in part.pieces
        if any(coaxial(line, seat.place.at, seat.place.axis) for line in axes_of(piece))
        for plane in planes_of(piece)
        if length(cross(plane.way, axis.way)) < ALONG
    ]
    for a, b in combinations(square, 2):
        near, far = on_axis(axis, a), on_axis(axis, b)
        middle = tuple((p + q) / 2 for p, q in zip(near, far, strict=True))
        if dot(a.way, b.way) < 0 and math.dist(middle, seat.place.at) < ON:
            return Spot(seat.place.at, (axis, a, b))
    return None


def _of_bushes(part: Part, datum: Datum) -> Iterator[SetUpDimension]:
    for seat in bush_seats(part):
        axis = _bush_axis(part, seat)
        if axis is None:
            continue
        named = f"seat {seat.name}"
        along = aligned(datum.direction(axis.way))
        if along is None:
            centre = _centre(part, seat, axis)
            if centre is not None:
                yield from _point(named, "bush centre", centre, datum)
        else:
            for i in range(3):
                if i != along:
                    yield _at(named, f"bush axis, along {AXES[along]}", axis, i, datum)
            lean = 90.0 if along == 2 else 0.0
            what = f"bush axis, along {AXES[along]}"
            yield SetUpDimension(piece=named, what=what, kind="to A", value=lean, to=axis)
            continue
        yield from _of_axis(named, axis, datum, "bush axis")


def _between(part: Part, datum: Datum) -> Iterator[SetUpDimension]:
    yield from _ears(part)
    centres = [(seat.name, spot) for seat in bush_seats(part) if (spot := _spot(part, seat))]
    for (a, p), (b, q) in combinations(centres, 2):
        yield _apart(f"{a}, {b}", "between bush centres", p, q)
    bosses = [
        (seat.name, spot) for seat in part.seats if seat.kind in ("boss", "bolt") and (spot := _boss(part, seat))
    ]
    for name, spot in centres:
        far = sorted(bosses, key=lambda boss: -round(math.dist(boss[1].at, spot.at), 6))
        for other, boss in far[: 2 if len(centres) > 1 else None]:
            row = _apart(f"{name}, {other}", "bush centre to boss", spot, boss)
            yield replace(row, kind="diagonal")


def _apart(names: str, what: str, a: Spot, b: Spot) -> SetUpDimension:
    return SetUpDimension(piece=names, what=what, kind="apart", value=math.dist(a.at, b.at), to=b, start=a)


def _spot(part: Part, seat: Seat) -> Spot | None:
    axis = _bush_axis(part, seat)
    return None if axis is None else _centre(part, seat, axis)


def _boss(part: Part, seat: Seat) -> Spot | None:
    """Where the seat's hole opens on the face that meets the boss."""
    at, way = seat.place.at, seat.place.axis
    for piece in part.pieces:
        for axis in axes_of(piece):
            if not coaxial(axis, at, way):
                continue
            for other in part.pieces:
                for plane in planes_of(other):
                    if length(cross(plane.way, way)) < ALONG and length(sub(on_axis(axis, plane), at)) < ON:
                        return Spot(at, (axis, plane))
    return None


def _ears(part: Part) -> Iterator[SetUpDimension]:
    """Between plates that stand parallel on one bolt: the gap inside them, and the diagonals across their feet."""
    plates = [piece for piece in part.pieces if isinstance(piece, Plate | Folded)]
    for a, b in combinations(plates, 2):
        pivots = [axis for axis in axes_of(a) if _pivot(a, axis)]
        shared = [axis for axis in pivots if any(coaxial(axis, o.at, o.way) for o in axes_of(b) if _pivot(b, o))]
        if not shared or length(cross(a.place.axis, b.place.axis)) > ALONG:
            continue
        towards = sub(_middle(b), _middle(a))
        inner = max(_faces(a), key=lambda f: dot(f.way, towards)), min(_faces(b), key=lambda f: dot(f.way, towards))
        gap = abs(dot(sub(inner[1].at, inner[0].at), inner[0].way))
        names, what = f"{a.name}, {b.name}", "between inside faces"
        yield SetUpDimension(piece=names, what=what, kind="apart", value=gap, to=inner[1], start=inner[0])
        yield from _across(a, b, inner)


def _middle(piece: Plate | Folded) -> Vec:
    return piece.place.point((0.0, 0.0, piece.t / 2))


def _across(a: Plate | Folded, b: Plate | Folded, inner: tuple[Feature, Feature]) -> Iterator[SetUpDimension]:
    """From each corner of one foot to the far corner of the other, on the inside faces."""
    feet = []
    for piece, face in zip((a, b), inner, strict=True):
        spots = _corners(piece, face)
        hole = next(axis for axis in axes_of(piece) if _pivot(piece, axis))
        feet.append(sorted(spots, key=lambda spot: -length(cross(sub(spot.at, hole.at), hole.way)))[:2])
    if any(len(foot) < 2 for foot in feet):
        return
    (p, q), second = feet
    r, s = sorted(second, key=lambda spot: math.dist(spot.at, p.at))
    for one, other in ((p, s), (q, r)):
        row = _apart(f"{a.name}, {b.name}", "diagonal across the feet, inside", one, other)
        yield replace(row, kind="diagonal")

