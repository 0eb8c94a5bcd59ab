"""The set-up dimensions of a plate: where its face, its bolt hole and its corners go, or how it leans."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from brackets.core.vectors import cross, dot, length, sub
from brackets.forming.set_up_bushes import bush_seats
from brackets.forming.set_up_datum import ON, Datum, Feature, Spot, axes_of, coaxial
from brackets.forming.set_up_dimension import AXES, SetUpDimension, aligned, at_point, from_datum
from brackets.geometry.segments import Line
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate

NEAR_SQUARE = 1e-3
"""Degrees within which a plate stands square on A."""


def of_plate(part: Part, piece: Plate | Folded, datum: Datum) -> Iterator[SetUpDimension]:
    """The dimensions of a plate, or of the base of a bent one."""
    faces = faces_of(piece)
    along = aligned(datum.direction(faces[0].way))
    if along is None:
        yield from _of_leaning_plate(piece, faces, datum)
        return
    near, _ = sorted(faces, key=lambda f: datum.local(f.at)[along])
    what = "lower face" if along == 2 else f"face nearer {_from(datum, along)}"
    holes = [axis for axis in axes_of(piece) if is_pivot(piece, axis)]
    seats = (seat.place for seat in bush_seats(part))
    bush = next((at.at for at in seats if any(coaxial(axis, at.at, at.axis) for axis in holes)), None)
    if bush is not None:
        near, what = max(faces, key=lambda f: dot(sub(bush, f.at), f.way)), "inside face"
    yield from_datum(piece.name, what, near, along, datum)
    others = [i for i in range(3) if i != along]
    if holes:
        for i in others:
            yield from_datum(piece.name, "bolt hole", holes[0], i, datum)
    spots = corners_of(piece, near)
    if not spots:
        return
    first = _lowest(spots, datum, others)
    if not holes or (others[-1] == 2 and abs(datum.local(first.at)[2]) < ON):
        for i in others:
            which = "lowest corner" if others[-1] == 2 else "corner"
            yield from_datum(piece.name, f"{which} nearest {_from(datum, others[0])}", first, i, datum)
    if not any(_same(spot, first, i, datum) for spot in spots if spot is not first for i in others):
        far = max(spots, key=lambda spot: math.dist(spot.at, first.at))
        for i in others:
            yield from_datum(piece.name, "corner furthest from that", far, i, datum)


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
    spots = sorted(corners_of(piece, face), key=lambda spot: round(datum.local(spot.at)[2], 3))
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
        yield from at_point(piece.name, what, spot, datum)


def _from(datum: Datum, axis: int) -> str:
    return ("B" if axis == 0 else "A") if datum.round else "CBA"[axis]


def _same(a: Spot, b: Spot, i: int, datum: Datum) -> bool:
    return abs(datum.local(a.at)[i] - datum.local(b.at)[i]) < ON


def _lowest(spots: Sequence[Spot], datum: Datum, axes: Sequence[int]) -> Spot:
    """The lowest of them, and of those equally low the nearest to the datum's origin."""

    def key(spot: Spot) -> tuple[float, ...]:
        local = datum.local(spot.at)
        return tuple(round(local[i], 3) for i in reversed(axes))

    return min(spots, key=key)


def faces_of(piece: Plate | Folded) -> tuple[Feature, Feature]:
    """The two faces of a plate, or of the base of a bent one, normals out of the metal."""
    axis, at = piece.place.axis, piece.place.at
    down = (-axis[0], -axis[1], -axis[2])
    return (
        Feature(piece.name, "plane", at, down),
        Feature(piece.name, "plane", piece.place.point((0.0, 0.0, piece.t)), axis),
    )


def is_pivot(piece: Plate | Folded, axis: Feature) -> bool:
    """Whether an axis is that of a hole for a pivot bolt."""
    return any(
        getattr(hole, "kind", "") == "pivot"
        and length(sub(piece.place.point((*hole.at, 0.0)), axis.at)) < ON  # type: ignore[union-attr]
        for hole in piece.holes()
    )


def corners_of(piece: Plate | Folded, face: Feature) -> tuple[Spot, ...]:
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
