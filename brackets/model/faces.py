"""The flat faces of a part's pieces, in closed form: what can stand on something.

mm. A face's own frame lies on it with z out of the metal. What a round tube takes of a plate's face is cut out by
arcs within 1e-4 mm of the oval. The face of a custom piece is not known here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, sub, unit
from brackets.geometry.curve import Outline
from brackets.geometry.ellipse import Ellipse
from brackets.geometry.regions import Region, common, cut
from brackets.geometry.segments import JOIN, Line, apart
from brackets.geometry.shapes import circle, polygon
from brackets.model.edges import last_straight
from brackets.model.fold_zones import arcs, slanted, zones
from brackets.model.holes import Point
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate, TubeSeat, Wall
from brackets.model.tube import BentTube, Tube, Turned, Which

LEVEL = 1e-3
"""How far a face may be off a plane, mm, and still lie in it: rounding of typed places."""

PARALLEL = 1e-6
"""The same for its direction, as a sine."""

LEANING = math.cos(math.radians(44.0))
"""Cosine of the angle up to which a face that leans is a foot cut square on a slope, and no chamfer of 45 deg."""

SQUARE = 90.0

SLIVER = 1e-6
"""A region under this, mm2, is rounding and no metal."""


@dataclass(frozen=True)
class FlatFace:
    """One flat face of a piece: `place` on it with z out of the metal, `region` in its x and y."""

    place: Place
    region: Region


def in_plane(part: Part, plane: Place) -> tuple[Region, ...]:
    """The faces of a part's pieces that lie in the xy plane of `plane` and look along its z, in its x and y."""
    return tuple(
        Region(*_seen(face, plane))
        for piece in part.pieces
        for face in flat_faces(piece)
        if length(cross(face.place.axis, plane.axis)) < PARALLEL
        and dot(face.place.axis, plane.axis) > 0
        and abs(plane.local(face.place.at)[2]) < LEVEL
    )


def on_edge(part: Part, plane: Place, *, deep: float) -> tuple[Region, ...]:
    """Straight-edged faces that lean and stand on the plane with one edge, `deep` mm or less behind it with all the
    rest, as they are seen along its z: the feet of plates cut square that stand on a slope."""
    found = []
    for piece in part.pieces:
        for face in flat_faces(piece):
            cosine = dot(face.place.axis, plane.axis)
            if cosine < LEANING or length(cross(face.place.axis, plane.axis)) < PARALLEL:
                continue
            if face.region.holes or not all(isinstance(edge, Line) for edge in face.region.edges):
                continue
            corners = [plane.local(face.place.point((*p, 0.0))) for p in face.region.outer.points()]
            touching = [z for *_, z in corners if abs(z) < LEVEL]
            if len(touching) > 1 and all(-deep <= z < LEVEL for *_, z in corners):
                found.append(Region(polygon([(x, y) for x, y, _ in corners])))
    return tuple(found)


def _seen(face: FlatFace, plane: Place) -> tuple[Outline, tuple[Outline, ...]]:
    def there(p: Point) -> Point:
        x, y, _ = plane.local(face.place.point((p[0], p[1], 0.0)))
        return (x, y)

    return face.region.outer.map(there), tuple(hole.map(there) for hole in face.region.holes)


def flat_faces(piece: Piece) -> Iterator[FlatFace]:
    """Every flat face of a piece, in the part's frame; a plate's edge where it is cut to a tube is none."""
    for face in _own(replace(piece, name="", place=HERE)):
        yield FlatFace(piece.place @ face.place, face.region)


@lru_cache(maxsize=256)
def _own(piece: Piece) -> tuple[FlatFace, ...]:
    return tuple(_in_own_frame(piece))


def _in_own_frame(piece: Piece) -> Iterator[FlatFace]:
    if isinstance(piece, Plate):
        yield from _of_wall(piece.wall, piece.t, HERE, ())
    elif isinstance(piece, Folded):
        left = zones(piece)
        for node, walls in zip(left.tree.walls, left.walls, strict=True):
            hung = [piece.flanges[bend.number - 1] for bend in left.tree.children(node.number)]
            lines = [(flange.start, flange.end) for flange in hung]
            if node.number:
                lines.append(((0.0, 0.0), (piece.flanges[node.number - 1].width, 0.0)))
            for wall in walls:
                yield from _of_wall(wall, piece.t, node.place, tuple(lines))
    elif isinstance(piece, Turned):
        yield from _of_turned(piece)
    elif isinstance(piece, Tube | BentTube):
        yield from _tube_end(piece, "start", HERE)
        last = last_straight(piece)
        yield from _tube_end(piece, "end", last.place @ Place((0.0, 0.0, last.length)))


def _of_wall(wall: Wall, t: float, place: Place, bends: tuple[tuple[Point, Point], ...]) -> Iterator[FlatFace]:
    for z, up in ((0.0, -1.0), (t, 1.0)):
        # x stays as it is seen from above, so that the lower face is mirrored into its own frame
        on = Place((0.0, 0.0, z), (0.0, 0.0, up), (0.0, 1.0, 0.0))
        for region in metal(wall, z):
            flipped = region if up > 0 else _mirrored(region)
            yield FlatFace(place @ on, flipped)
    for region in metal(replace(wall, seats=()), 0.0):
        for edge in region.edges:
            if isinstance(edge, Line) and not any(_on(edge, line) for line in bends):
                for left in _of_edge(wall, edge, t):
                    yield FlatFace(place @ _edge_place(edge), left)


def _of_edge(wall: Wall, edge: Line, t: float) -> Iterator[Region]:
    """What tubes leave of a straight edge, in the edge's own frame."""
    left: tuple[Region, ...] = (Region(_box(edge.length, t)),)
    for seat in wall.seats:
        taken = _through_edge(seat, edge, t)
        if taken is not None:
            left = less(left, taken)
    for region in left:
        along, z = region.outer.segments[0].point(0.5)
        p = edge.point(along / edge.length)
        if not wall.seats or any(kept.distance(p) > -LEVEL for kept in metal(wall, z)):
            yield region


def _through_edge(seat: TubeSeat, edge: Line, t: float) -> Outline | None:
    """What a tube takes of the plane of a plate's edge, in that edge's frame: an oval, or a strip where the tube
    runs along the plane; None where it passes the edge by."""
    frame = _edge_place(edge)
    at, way = frame.local(seat.at), unit(frame.local_direction(seat.axis))
    if abs(way[2]) < PARALLEL:
        half = seat.r**2 - at[2] ** 2
        if half <= 0.0:
            return None
        reach = (edge.length + t + length(sub(at, (0.0, 0.0, at[2])))) * 2.0
        along, across = (reach * way[0], reach * way[1]), (-way[1] * math.sqrt(half), way[0] * math.sqrt(half))
        corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
        return polygon(
            [(at[0] + s * along[0] + c * across[0], at[1] + s * along[1] + c * across[1]) for s, c in corners]
        )
    far = -at[2] / way[2]
    centre = (at[0] + far * way[0], at[1] + far * way[1])
    oval = Ellipse(centre, seat.r / abs(way[2]), seat.r, math.degrees(math.atan2(way[1], way[0])))
    (x, y), r = centre, oval.a
    if apart((x - r, y - r, x + r, y + r), (0.0, 0.0, edge.length, t)):
        return None
    return _outline(oval)


@lru_cache(maxsize=256)
def metal(wall: Wall, z: float) -> tuple[Region, ...]:
    """What there is of a wall at height `z`: its outline less its openings and what tubes take of it."""
    left: tuple[Region, ...] = (Region(wall.outline),)
    for opening in wall.openings:
        left = tuple(part for region in left for part in cut(region, opening.outline))
    for seat in wall.seats:
        oval = _outline(slanted(seat, z))
        left = tuple(part for region in left for part in cut(region, oval))
        if len(left) > 1:
            left = (max(left, key=lambda region: region.distance(seat.keep)),)
    return left


def _outline(oval: Ellipse) -> Outline:
    if abs(oval.a - oval.b) <= JOIN:
        return circle(oval.centre, oval.b)
    return Outline(tuple(arc for half in oval.loop for arc in arcs(half)))


def _mirrored(region: Region) -> Region:
    def flip(p: Point) -> Point:
        return (-p[0], p[1])

    return Region(region.outer.map(flip), tuple(hole.map(flip) for hole in region.holes))


def _edge_place(edge: Line) -> Place:
    """On a plate's cut edge: x along it, y up through the plate, z out of the metal on its left."""
    dx, dy = (edge.b[0] - edge.a[0]) / edge.length, (edge.b[1] - edge.a[1]) / edge.length
    return Place((edge.a[0], edge.a[1], 0.0), (dy, -dx, 0.0), (0.0, 0.0, 1.0))


def _on(edge: Line, line: tuple[Point, Point]) -> bool:
    """Whether the edge's middle lies on a bend line."""
    middle = edge.point(0.5)
    along = Line(*line)
    return math.dist(along.point(along.nearest(middle)), middle) < LEVEL


def _box(x: float, y: float) -> Outline:
    return polygon([(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)])


def _of_turned(piece: Turned) -> Iterator[FlatFace]:
    z = 0.0
    below = 0.0
    for step in piece.steps:
        yield from _ring(z, step.od, max(step.bore, below), -1.0)
        z += step.length
        below = step.od
    above = 0.0
    for step in reversed(piece.steps):
        yield from _ring(z, step.od, max(step.bore, above), 1.0)
        z -= step.length
        above = step.od


def _ring(z: float, od: float, bore: float, up: float) -> Iterator[FlatFace]:
    if od - bore > JOIN:
        holes = (circle((0.0, 0.0), bore / 2),) if bore > 0 else ()
        place = Place((0.0, 0.0, z), (0.0, 0.0, up), (0.0, 1.0, 0.0))
        yield FlatFace(place, Region(circle((0.0, 0.0), od / 2), holes))


def _tube_end(piece: Tube | BentTube, which: Which, node: Place) -> Iterator[FlatFace]:
    """The ring of an end cut once, square or to a flat; a saddle has no flat face."""
    cuts = piece.cuts(which)
    if len(cuts) != 1 or cuts[0].kind == "saddle":
        return
    (end,) = cuts
    angle = SQUARE if end.kind == "square" else end.angle
    turn, lean = math.radians(end.clock), math.radians(angle)
    w: Vec = (0.0, 0.0, 1.0 if which == "start" else -1.0)
    c: Vec = (math.cos(turn), math.sin(turn), 0.0)
    # down the slope of the plane, and out of the metal: square to it, away from the body
    slope = add(scale(w, math.cos(lean)), scale(c, math.sin(lean)))
    out = add(scale(c, math.cos(lean)), scale(w, -math.sin(lean)))
    place = node @ Place(scale(w, end.shift), out, slope)
    outer, inner = (
        _outline(Ellipse((0.0, 0.0), r / math.sin(lean), r, 90.0)) for r in (piece.od / 2, piece.bore / 2)
    )
    yield FlatFace(place, Region(outer, (inner,)))


def area(regions: tuple[Region, ...]) -> float:
    """mm2 of them all."""
    return math.fsum(region.area for region in regions)


def both(regions: tuple[Region, ...], other: Outline) -> tuple[Region, ...]:
    """What of these lies in the outline too."""
    found = (part for region in regions for part in common(region, other))
    return tuple(part for part in found if part.area > SLIVER)


def less(regions: tuple[Region, ...], other: Region | Outline) -> tuple[Region, ...]:
    """What of these is left outside the other."""
    found = (part for region in regions for part in cut(region, other))
    return tuple(part for part in found if part.area > SLIVER)
