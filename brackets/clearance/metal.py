"""Whether an edge of one solid runs through the metal of another: they foul, and no triangle was asked.

A point of an edge is held against every face of the other solid: none is nearer than its surface without its trim,
or than its box. Where the foot on the nearest surface is within that face, it is the nearest point of the skin, and
the side of the face tells metal from air. Solids whose faces are planes, cylinders, cones, balls and rings; what is
not found here may foul all the same. mm, the axes of the solid.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepTools import BRepTools
from OCP.TopAbs import TopAbs_FACE, TopAbs_OUT, TopAbs_REVERSED
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape
from OCP.TopTools import TopTools_IndexedMapOfShape

from brackets.clearance.hulls import Hull
from brackets.clearance.places import Array, Ints, Transform
from brackets.clearance.surfaces import Surface, surface

DEEP = 0.1  # mm: an edge less deep in metal is left to the triangles; at this depth any wedge shares a volume
STATIONS = 24  # points of an edge, of a straight one over what is in the other's box
TRIES = 6  # of the deepest points: most are decided at once
MOST = 400_000  # points times faces; with more the triangles are as quick
FAR = 1e-6  # mm: of the kernel's question on which side of its skin the far away is


@dataclass(frozen=True, eq=False)
class Metal:
    """The faces of a solid in closed form. `faces`: their numbers in `hull`; `side`: 1 where a surface's own
    normal, which leaves its axis, leaves the metal too, else -1; `boxes` (f, 2, 3) float mm: what holds each
    face."""

    hull: Hull
    faces: tuple[int, ...]
    lies_on: tuple[Surface, ...]
    side: Array
    boxes: Array

    def depths(self, points: Array) -> Array:
        """(n, f) float mm: how far each of the points (n, 3) is from each surface without its trim, less than 0 on
        the side of the metal; where the face's box is further away, how far that is."""
        low, high = self.boxes[:, 0], self.boxes[:, 1]
        found = np.empty((len(points), len(self.faces)))
        for column, (one, side) in enumerate(zip(self.lies_on, self.side.tolist(), strict=True)):
            x, y, z = one.frame @ (points - one.centre).T
            away = side * _AWAY[one.kind](one, np.hypot(x, y), z)
            off = np.maximum(np.maximum(low[column] - points, points - high[column]), 0.0)
            boxed = np.sqrt(np.einsum("ij,ij->i", off, off))
            found[:, column] = np.where(boxed > np.abs(away), boxed, away)
        return found

    def holds_one(self, points: Array) -> bool:
        """Whether one of the points (n, 3) is for certain DEEP or more in the metal."""
        if not len(points) or len(points) * len(self.faces) > MOST:
            return False
        depths = self.depths(points)
        which = np.abs(depths).argmin(axis=1)
        at = depths[np.arange(len(points)), which]
        deepest = np.argsort(at, kind="stable")[:TRIES]
        return any(self._is_foot(points[k], int(which[k])) for k in deepest[at[deepest] <= -DEEP].tolist())

    def _is_foot(self, point: Array, column: int) -> bool:
        foot = self.lies_on[column].foot(point)
        return foot is not None and self.hull.is_on(self.faces[column], foot)


def _plane(_one: Surface, _out: Array, z: Array) -> Array:
    return z


def _cylinder(one: Surface, out: Array, _z: Array) -> Array:
    return out - one.radius


def _cone(one: Surface, out: Array, z: Array) -> Array:
    return (out - one.radius) * math.cos(one.other) - z * math.sin(one.other)


def _ball(one: Surface, out: Array, z: Array) -> Array:
    return np.hypot(out, z) - one.radius


def _ring(one: Surface, out: Array, z: Array) -> Array:
    return np.hypot(out - one.radius, z) - one.other


_AWAY: dict[str, Callable[[Surface, Array, Array], Array]] = {
    "plane": _plane,
    "cylinder": _cylinder,
    "cone": _cone,
    "sphere": _ball,
    "torus": _ring,
}


def metals_of(hulls: Sequence[Hull], solids: Sequence[TopoDS_Shape], faces: int) -> tuple[Metal, ...]:
    """Of each solid, in the order of its hull; none where a face is a free form or of no solid, or where a solid is
    inside out. faces: how many the whole shape has."""
    if len(hulls) != len(solids) or sum(map(_count, solids)) != faces:
        return ()
    found = [_metal(hull, solid) for hull, solid in zip(hulls, solids, strict=True)]
    return tuple(one for one in found if one is not None) if None not in found else ()


def _count(solid: TopoDS_Shape) -> int:
    found = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(solid, TopAbs_FACE, found)
    return int(found.Extent())


def _metal(hull: Hull, solid: TopoDS_Shape) -> Metal | None:
    numbers = tuple(sorted(hull.faces))
    lies_on = tuple(surface(hull.faces[number]) for number in numbers)
    if not all(_is_simple(one, hull.faces[number]) for one, number in zip(lies_on, numbers, strict=True)):
        return None
    far = BRepClass3d_SolidClassifier(solid)
    far.PerformInfinitePoint(FAR)
    if far.State() != TopAbs_OUT:
        return None
    turned = [hull.faces[number].Orientation() == TopAbs_REVERSED for number in numbers]
    handed = [float(np.linalg.det(one.frame)) > 0 for one in lies_on]
    side = [1.0 if right != back else -1.0 for right, back in zip(handed, turned, strict=True)]
    return Metal(hull, numbers, lies_on, np.array(side), np.array([_box(hull.faces[number]) for number in numbers]))


def _box(face: TopoDS_Face) -> list[list[float]]:
    found = Bnd_Box()
    BRepBndLib.Add_s(face, found, False)
    x0, y0, z0, x1, y1, z1 = found.Get()
    return [[x0, y0, z0], [x1, y1, z1]]


def _is_simple(one: Surface, face: TopoDS_Face) -> bool:
    """Whether a face has a closed form and one sheet: no ring that meets itself, no cone past its tip."""
    if one.kind == "cone":
        _, _, *ends = BRepTools.UVBounds_s(face)
        return all(one.radius + v * math.sin(one.other) >= -FAR for v in ends)
    return bool(one.kind != "free" and (one.kind != "torus" or one.radius > one.other))


def foul(a: Sequence[Metal], b: Sequence[Metal], across: Transform) -> bool:
    """Whether an edge of a solid of one body is for certain in the metal of one of the other, b placed at `across`
    in a's axes."""
    back = across.inverse
    for one in a:
        for other in b:
            if other.holds_one(stations(one.hull, other.hull.box, back)):
                return True
            if one.holds_one(stations(other.hull, one.hull.box, across)):
                return True
    return False


def stations(hull: Hull, box: Array, place: Transform) -> Array:
    """(n, 3) float mm: points on the straight and round edges of a solid placed at `place`, strictly in `box`."""
    along = (np.arange(STATIONS) + 0.5) / STATIONS
    ends = np.array([sorted(side) for side in hull.sides if len(side) == 2], dtype=int).reshape(-1, 2)
    lines = _in_box(place.points(hull.spots[ends[:, 0]]), place.points(hull.spots[ends[:, 1]]), box)
    straight = lines[:, None, 0] + along[:, None] * (lines[:, None, 1] - lines[:, None, 0])
    points = np.concatenate((straight.reshape(-1, 3), place.points(_on_arcs(hull, along).reshape(-1, 3))))
    return points[np.all((points > box[0]) & (points < box[1]), axis=1)]


def _in_box(starts: Array, ends: Array, box: Array) -> Array:
    """(k, 2, 3) float mm: what of the lines (n, 3) to (n, 3) is in a box, of those that reach into it."""
    way = ends - starts
    with np.errstate(divide="ignore", invalid="ignore"):
        first, last = (np.where(way != 0, (side - starts) / way, np.nan) for side in box)
    enter = np.fmax(np.fmin(first, last).max(axis=1, initial=0.0, where=way != 0), 0.0)
    leave = np.fmin(np.fmax(first, last).min(axis=1, initial=1.0, where=way != 0), 1.0)
    kept = enter < leave
    shares = np.stack((enter, leave), axis=1)[kept]
    return np.asarray(starts[kept, None] + shares[..., None] * way[kept, None])


def _on_arcs(hull: Hull, along: Array) -> Array:
    """(k, s, 3) float mm: points of the edges that are arcs of circles."""
    arcs, edges = hull.arcs, _edges(hull)
    turns = np.arccos(np.clip(arcs.half[edges], -1.0, 1.0))[:, None] * (2 * along - 1)
    side = np.cross(arcs.axis[edges], arcs.middle[edges])
    out = np.cos(turns)[..., None] * arcs.middle[edges, None] + np.sin(turns)[..., None] * side[:, None]
    return np.asarray(arcs.centre[edges, None] + arcs.radius[edges, None, None] * out)


def _edges(hull: Hull) -> Ints:
    """Numbers of the arcs that are edges themselves, and no ring round one."""
    return np.flatnonzero(np.array(hull.sure[len(hull.spots) :], dtype=bool))
