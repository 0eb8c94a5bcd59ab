"""How much two bodies share, where, and how far one must be drawn out.

mm and mm3, bay axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold
from numpy.typing import ArrayLike
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS_Shape

from brackets.clearance.bodies import Body, finer, skins
from brackets.clearance.inside import holds
from brackets.clearance.places import Array, Ints, Point, direction, moved, point
from brackets.clearance.triangles import areas
from brackets.core.kept import keeps
from brackets.kernel.shared import common_of

NOTHING = 1e-6  # mm3 of common volume that still counts as touching
SMALL = 60  # faces on both solids together up to which the exact cut is quick enough to be the rule
AXES = (
    (1.0, 0.0, 0.0),
    (-1.0, 0.0, 0.0),
    (0.0, 1.0, 0.0),
    (0.0, -1.0, 0.0),
    (0.0, 0.0, 1.0),
    (0.0, 0.0, -1.0),
)
CLOSE_IN = 0.002  # mm: how close to first contact the pull-out is followed
STEPS = 400  # of the same; a pull along a grazing face ends early, and then a little long


@dataclass(frozen=True, eq=False)
class Shared:
    """Common volume mm3, the volume below which it may be an error of the triangles, and its centroid."""

    volume: float
    doubt: float
    centre: Array
    how: str


@dataclass(frozen=True)
class Pull:
    """Moving the first body `distance` mm along `along` frees it, and it stays free beyond."""

    along: Point
    distance: float


@dataclass(frozen=True, eq=False)
class Overlap:
    """What two bodies share: volume mm3 with the interval that holds it, the common body as corners (n, 3)
    float and triangles (m, 3) int (empty where they share nothing), where it fouls, and the pull-outs of the
    first body, shortest first. volume is None where an open scan leaves no volume to speak of."""

    volume: float | None
    low: float
    high: float
    corners: Array
    triples: Ints
    centre: Point | None
    pulls: tuple[Pull, ...]
    how: str


@keeps("overlap")
def overlap(
    a: Body, b: Body, *, along: ArrayLike | None = None, exact: bool | None = None, pulls: bool = True
) -> Overlap:
    """What two bodies share, where, and how far the first must be drawn out of the second.

    a, b: the bodies; along: (3,) a direction to draw it along besides the six axes; exact: True cuts the true
    solids, False the triangles, None the solids where they have few faces; pulls: False where the pull-outs, which
    take longest, are not wanted. Returns an Overlap: volume mm³ and its interval, the common body, and the
    pull-outs, shortest first.

    >>> block = body(shape(plate(rectangle(20, 10), 5)))
    >>> shared = overlap(block, block.placed(Place(at=(0, 0, 3)).matrix()))
    >>> round(shared.volume, 3), round(shared.pulls[0].distance, 2)  # 20 by 10 by 2; 2 down
    (400.0, 2.0)
    """
    ways = list(AXES) + ([] if along is None else [tuple(direction(along, "along"))])
    common = _cut(a, b)
    out = _pulls(a, b, ways) if pulls else ()
    if common is None:
        return Overlap(
            None, 0.0, np.inf, np.zeros((0, 3)), np.zeros((0, 3), int), None, out, "no inside to share"
        )
    corners, triples = _skin(common)
    volume, off = float(common.volume()), _off(a, b, common)
    low, high, how = max(0.0, volume - off), volume + off, "triangles"
    faces = len(a.core.faces) + len(b.core.faces)
    if a.core.solids and b.core.solids and (exact if exact is not None else faces <= SMALL):
        true = _true(a, b, common)
        if true is None:
            how = "triangles, as the solid kernel's cut fails or is not within their error"
        else:
            volume, low, high, how = true.volume, true.volume, true.volume, true.how
    centre = _middle(common) if len(triples) else None
    return Overlap(volume, low, high, corners, triples, None if centre is None else point(centre), out, how)


def sure_hit(a: Body, b: Body) -> Array | None:
    """A point where two bodies foul: their triangles share more than the error of both; None where that is not
    known."""
    common = _cut(a, b)
    if common is None or common.is_empty():
        return None
    off = 2 * max(a.bound, b.bound, NOTHING) * float(common.surface_area())
    return _middle(common) if float(common.volume()) > max(off, NOTHING) else None


@keeps("sure volume")
def sure_volume(a: Body, b: Body) -> float:
    """mm3 that two bodies share for certain by their triangles; 0 where none, or where an open scan cannot tell."""
    common = _cut(a, b)
    if common is None or common.is_empty():
        return 0.0
    return max(0.0, float(common.volume()) - _off(a, b, common))


def shared(a: Body, b: Body) -> Shared | None:
    """The common volume as exactly as it can be found; None where a body has no inside."""
    if a.core.solids and b.core.solids:
        true = _true(a, b, _cut(a, b))
        if true is not None:
            return true
    while True:
        common = _cut(a, b)
        if common is None:
            return None
        volume, off = float(common.volume()), _off(a, b, common)
        finest = finer(a), finer(b)
        if volume <= NOTHING or volume > off or finest == (a, b):
            break
        a, b = finest
    centre = _middle(common) if volume > 0 else np.zeros(3)
    return Shared(
        volume, NOTHING, centre, "common volume of triangles" if volume > off else "triangles cross"
    )


def _pulls(a: Body, b: Body, ways: Sequence[Sequence[float]]) -> tuple[Pull, ...]:
    """The pull-outs, shortest first; the shortest followed with finer triangles until it is still the shortest."""
    found = sorted((_pull(a, b, way, None) for way in ways), key=lambda p: p.distance)
    settled: set[Point] = set()
    while found and found[0].along not in settled:
        best = pull(a, b, found[0].along, start=found[0].distance)
        settled.add(best.along)
        found = sorted((best, *found[1:]), key=lambda p: p.distance)
    return tuple(found)


def pull(a: Body, b: Body, along: Sequence[float] | Array, *, start: float | None = None) -> Pull:
    """How far the first body must go one way to be free of the second from there on.

    Found from outside inwards (from `start` mm, where it is known to be free there), at the end with triangles
    ten times as fine: never too little; too much by their bound over the sine of the angle at which skin leaves
    skin, a few hundredths of a mm for a saddle.
    """
    found = _pull(a, b, along, start)
    return _pull(finer(a), finer(b), along, found.distance) if found.distance > 0 else found


def _pull(a: Body, b: Body, along: Sequence[float] | Array, start: float | None) -> Pull:
    way = direction(along, "along")
    at = _past(a, b, way) if start is None else start
    if at <= 0:
        return Pull(point(way), 0.0)
    slack = a.bound + b.bound
    for _ in range(STEPS):
        free = skins(a.placed(moved(at * way)), b).distance - slack
        if free < CLOSE_IN:
            break
        at -= free
        if at <= 0:
            return Pull(point(way), 0.0)
    return Pull(point(way), at)


def _past(a: Body, b: Body, way: Array) -> float:
    """mm: a move along `way` that is enough to take a past b, with a margin."""
    corners_a, corners_b = (body.place.points(body.core.hull_points) @ way for body in (a, b))
    slack = a.bound + b.bound
    return float(corners_b.max() - corners_a.min()) + slack + 2 * CLOSE_IN


def _cut(a: Body, b: Body) -> Manifold | None:
    left, right = a.core.manifold, b.core.manifold
    if left is None or right is None:
        return None
    return left.transform(a.place.matrix[:3]) ^ right.transform(b.place.matrix[:3])


def _skin(common: Manifold) -> tuple[Array, Ints]:
    mesh = common.to_mesh64()
    return np.asarray(mesh.vert_properties, dtype=float)[:, :3], np.asarray(mesh.tri_verts, dtype=np.int64)


def _middle(common: Manifold) -> Array:
    """The centre of the largest lump of the common body."""
    lump = max(common.decompose(), key=lambda piece: float(piece.volume()))
    corners, triples = _skin(lump)
    base = corners.mean(axis=0)
    a, b, c = (corners[triples[:, i]] - base for i in range(3))
    parts = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6
    whole = float(parts.sum())
    if whole <= 0:
        return np.asarray(base)
    return np.asarray(base + ((a + b + c) / 4 * parts[:, None]).sum(axis=0) / whole)


def _true(a: Body, b: Body, common: Manifold | None) -> Shared | None:
    """Volume by the solid kernel's cut, one solid of each body at a time, and the centre of the largest piece; None
    where the kernel fails or the triangles prove it wrong.

    A body of several solids that touch is no argument for one cut: the kernel takes for granted that an argument
    does not meet itself, and else drops what is shared without a word. Solids of one body are taken not to overlap.
    """
    ours, theirs = ([(solid, _box(solid)) for solid in _solids(body)] for body in (a, b))
    pieces = []
    for one, its_box in ours:
        for other, other_box in theirs:
            if its_box.IsOut(other_box):
                continue
            piece = _piece(one, other)
            if piece is None:
                return None
            pieces.append(piece)
    volume = sum(each for each, _ in pieces)
    _, centre = max(pieces, key=lambda piece: piece[0], default=(0.0, np.zeros(3)))
    if common is not None and _refuted(a, b, common, volume):
        return None
    return Shared(volume, NOTHING, centre, "common volume of solids")


def _solids(body: Body) -> list[TopoDS_Shape]:
    return [solid.Moved(body.place.location) for solid in body.core.solids]


def _box(solid: TopoDS_Shape) -> Bnd_Box:
    found = Bnd_Box()
    BRepBndLib.Add_s(solid, found, False)
    return found


def _piece(one: TopoDS_Shape, other: TopoDS_Shape) -> tuple[float, Array] | None:
    """mm3 common to two solids, and its centroid; None where the kernel fails."""
    cut = common_of(one, other)
    if not cut.IsDone():
        return None
    sums = GProp_GProps()
    BRepGProp.VolumeProperties_s(cut.Shape(), sums, 1e-9, False, False)
    middle = sums.CentreOfMass()
    return abs(float(sums.Mass())), np.array((middle.X(), middle.Y(), middle.Z()))


def _refuted(a: Body, b: Body, common: Manifold, volume: float) -> bool:
    """Whether the triangles prove that `volume` mm3 is not what two bodies share: it is more or less than their
    error explains, or it is none though a point is in both."""
    by_triangles = float(common.volume())
    if volume < by_triangles - _off(a, b, common) - NOTHING:
        return True
    layers = (2 * one.bound * float(areas(one.core.mesh.corners, one.triples).sum()) / 2 for one in (a, b))
    if volume > by_triangles + sum(layers) + NOTHING:
        return True
    if volume > NOTHING or by_triangles <= NOTHING:
        return False
    spot = _middle(common)
    return holds(a, spot) and holds(b, spot)


def _off(a: Body, b: Body, common: Manifold) -> float:
    """mm3 by which the triangles may show more than is shared: a layer of twice their error on the common skin."""
    return 2 * max(a.bound, b.bound) * float(common.surface_area())
