"""What a part can stand on, and how much of a flat seat has metal under it; in closed form on boxes and tubes.

mm, bay axes; meshes and STEP files by their triangles. In the seat's plane: x and y of its place, z out of the part
and into what it stands on.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from brackets.bay.hung.block import ALONG, Block, block_of, side_word
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.clearance.bodies import Body
from brackets.clearance.places import Array
from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec, add, dot, length, scale, sub, unit
from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region
from brackets.geometry.segments import Point
from brackets.geometry.shapes import polygon
from brackets.model.faces import area, both, less

AT_ONCE = 200_000
"""Pairs of point and triangle that are worked on at once: some 50 MB."""


@dataclass(frozen=True, eq=False)
class Ground:
    """A keep-out where it stands, with its body; `place` is that of the side it is fixed to."""

    keep_out: KeepOut
    place: Place
    body: Body

    @property
    def name(self) -> str:
        return self.keep_out.name

    @cached_property
    def block(self) -> Block | None:
        """Its flat sides, where it is a box or a rail."""
        return block_of(self.keep_out)

    @property
    def is_tube(self) -> bool:
        return self.keep_out.tube_from is not None

    def distance(self, spots: Array, reach: float) -> Array:
        """(n,) float mm: distance of points (n, 3) from its metal, negative inside a box, rail or tube; infinite
        where no triangle is within `reach` mm."""
        if self.block is not None or self.is_tube:
            return np.array(
                [distance_from_keep_out(self.keep_out, self.place, (x, y, z)) for x, y, z in spots.tolist()]
            )
        return self._distance_to_triangles(spots, reach)

    @cached_property
    def _triangles(self) -> Array:
        return np.asarray(self.body.corners[self.body.triples])

    def _distance_to_triangles(self, spots: Array, reach: float) -> Array:
        from scipy.spatial import cKDTree
        from trimesh.triangles import closest_point

        closest: Callable[[Array, Array], Array] = closest_point
        found = np.full(len(spots), np.inf)
        low, high = spots.min(axis=0) - reach, spots.max(axis=0) + reach
        corners = self._triangles
        near = corners[((corners.max(axis=1) >= low) & (corners.min(axis=1) <= high)).all(axis=1)]
        if not len(near):
            return found
        middles = near.mean(axis=1)
        largest = float(np.linalg.norm(near - middles[:, None, :], axis=2).max())
        step = max(1, AT_ONCE // len(near))
        tree = cKDTree(middles)
        for start in range(0, len(spots), step):
            some = spots[start : start + step]
            lists = tree.query_ball_point(some, reach + largest)
            which = np.repeat(np.arange(len(some)), [len(each) for each in lists])
            if len(which):
                met = closest(near[np.concatenate(lists).astype(int)], some[which])
                far = np.linalg.norm(met - some[which], axis=1)
                np.minimum.at(found, start + which, np.where(far <= reach, far, np.inf))
        return found


def ground(bay: Bay, keep_out: KeepOut, body: Body) -> Ground:
    """A keep-out of the bay where its side stands."""
    place = place_of(bay.powertrain) if keep_out.side == "powertrain" else HERE
    return Ground(keep_out, place, body)


def distance_from_keep_out(keep_out: KeepOut, place: Place, spot: Vec) -> float:
    """Distance of a point from the surface of a tube, rail or box at `place`, mm; negative inside."""
    block = block_of(keep_out)
    if block is not None:
        return block.distance((place @ block.place).local(spot))
    across, past = beside_and_past(keep_out, place, spot)
    if past <= 0:
        return across
    return max(past, across) if across <= 0 else math.hypot(past, across)


def beside_and_past(keep_out: KeepOut, place: Place, spot: Vec) -> tuple[float, float]:
    """mm that a point is outside a tube, square to its axis, and past its nearer end; less than nothing within."""
    assert keep_out.tube_from is not None
    assert keep_out.tube_to is not None
    start, end = place.point(keep_out.tube_from), place.point(keep_out.tube_to)
    way = unit(sub(end, start))
    along = dot(sub(spot, start), way)
    across = length(sub(spot, add(start, scale(way, along)))) - (keep_out.tube_od or 0.0) / 2
    return across, max(-along, along - length(sub(end, start)))


FACING = math.cos(math.radians(45))
"""Cosine between seat and face up to which the face is what the seat stands on."""

LEVEL = 1e-9
"""Slope of a face against the seat below which it is level."""

BEYOND = 1e5
"""Larger than any seat, mm."""

CHORD = 0.01
"""How far the straight pieces that stand for a section's rounded corner may be off it, mm."""

@dataclass(frozen=True)
class BoxFace:
    """The face of a box or rail that a seat looks at, in the seat's plane: the `corners` of its flat anticlockwise,
    the opening of a hollow section's end in it, how far it lies out of the plane: gap = level + slope . (x, y), mm,
    how `deep` the box is behind it, mm along the seat's z, and the radius of the `corner` beside its flat."""

    corners: tuple[Point, ...]
    hollow: Outline | None
    deep: float
    level: float
    slope: Point
    corner: float = 0.0

    def gap(self, p: Point) -> float:
        """mm from the seat's plane at `p` out to the face; less than nothing where the face lies in the part."""
        return self.level + self.slope[0] * p[0] + self.slope[1] * p[1]

    def over(self, regions: tuple[Region, ...]) -> tuple[Region, ...]:
        """What of a seat has the face's metal under it, however far."""
        found = both(regions, polygon(self.corners))
        return found if self.hollow is None else less(found, self.hollow)

    def near(self, regions: tuple[Region, ...], allowed: float) -> tuple[Region, ...]:
        """What of these the box is within `allowed` mm ahead of, or lies in."""
        steep = math.hypot(*self.slope)
        if steep < LEVEL:
            return regions if -self.deep < self.level <= allowed else ()
        down = (-self.slope[0] / steep, -self.slope[1] / steep)
        far = (self.level - allowed) / steep
        x, y = far * down[0], far * down[1]
        across = (-down[1], down[0])
        # the strip from where the gap is what is allowed down to where the box ends behind its face
        deep = (allowed + self.deep) / steep
        corners = [
            (x + a * BEYOND * across[0] + b * deep * down[0], y + a * BEYOND * across[1] + b * deep * down[1])
            for a, b in ((-1, 0), (-1, 1), (1, 1), (1, 0))
        ]
        return both(regions, polygon(_anticlockwise([(*corner, 0.0) for corner in corners])))


def face_of(ground: Ground, plane: Place) -> BoxFace | None:
    """The face of a box or rail that looks most at the seat; None where none does."""
    block = ground.block
    assert block is not None
    own = ground.place @ block.place
    towards = own.local_direction(plane.axis)
    i = max(range(3), key=lambda n: abs(towards[n]))
    if abs(towards[i]) < FACING:
        return None
    level = block.low[i] if towards[i] > 0 else block.high[i]

    def seen(loop: Sequence[Point]) -> list[Vec]:
        """Points of the face, by the block's next two axes, in the seat's plane."""
        found = []
        for b, c in loop:
            spot = [0.0, 0.0, 0.0]
            spot[i], spot[(i + 1) % 3], spot[(i + 2) % 3] = level, b, c
            found.append(plane.local(own.point((spot[0], spot[1], spot[2]))))
        return found

    slope, flat = _plane(seen(_loop(block, i, 0.0)))
    opening = block.is_open_face(i, -1 if towards[i] > 0 else 1)
    hollow = polygon(_anticlockwise(seen(_bore(block, i)))) if opening else None
    return BoxFace(
        corners=tuple(_anticlockwise(seen(_flat(block, i)))),
        hollow=hollow,
        deep=block.sizes[i] / abs(towards[i]),
        level=flat,
        slope=slope,
        corner=0.0 if i == ALONG else block.corner,
    )


def _loop(block: Block, i: int, inset: float) -> list[Point]:
    """The rectangle of the face square to axis `i`, by the next two axes, drawn in by `inset` all round, mm."""
    j, k = (i + 1) % 3, (i + 2) % 3
    lows, highs = (block.low[j] + inset, block.low[k] + inset), (block.high[j] - inset, block.high[k] - inset)
    return [(lows[0], lows[1]), (highs[0], lows[1]), (highs[0], highs[1]), (lows[0], highs[1])]


def _flat(block: Block, i: int) -> list[Point]:
    """What of that face is flat: a long one without its rounded edges, an end with its corners cut round."""
    if i == ALONG:
        return _rounded(_loop(block, i, 0.0), block.corner)
    j, k = (i + 1) % 3, (i + 2) % 3
    inset = block.rounded(j), block.rounded(k)
    lows = block.low[j] + inset[0], block.low[k] + inset[1]
    highs = block.high[j] - inset[0], block.high[k] - inset[1]
    return [(lows[0], lows[1]), (highs[0], lows[1]), (highs[0], highs[1]), (lows[0], highs[1])]


def _bore(block: Block, i: int) -> list[Point]:
    wall = block.wall or 0.0
    if not block.opens:
        return _rounded(_loop(block, i, wall), max(0.0, block.corner - wall))
    low, high = list(block.low), list(block.high)
    low[1], high[1] = low[1] + wall, high[1] - wall
    if i == ALONG and block.opens > 0:
        low[0] += wall
    elif i == ALONG:
        high[0] -= wall
    return _loop(replace(block, low=(low[0], low[1], low[2]), high=(high[0], high[1], high[2])), i, 0.0)


def _rounded(loop: Sequence[Point], r: float) -> list[Point]:
    return list(loop) if r <= 0 else list(polygon(loop, r).points(CHORD))


def _plane(corners: Sequence[Vec]) -> tuple[Point, float]:
    """Slope and height at the origin of the plane through the first, second and fourth corner."""
    (ax, ay, az), (bx, by, bz), _, (dx, dy, dz) = corners
    ux, uy, uz, vx, vy, vz = bx - ax, by - ay, bz - az, dx - ax, dy - ay, dz - az
    whole = ux * vy - uy * vx
    slope = ((uz * vy - uy * vz) / whole, (ux * vz - uz * vx) / whole)
    return slope, az - slope[0] * ax - slope[1] * ay


def _anticlockwise(corners: Sequence[Vec]) -> list[Point]:
    flat = [(x, y) for x, y, _ in corners]
    turned = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(flat, (*flat[1:], flat[0]), strict=True))
    return flat if turned > 0 else flat[::-1]


@dataclass(frozen=True)
class OnBoxes:
    """What a flat seat has under it: mm2 that bear, the widest gap over metal, mm, and (edge, mm, box) of what
    hangs past, furthest first."""

    contact: float
    widest: float
    hangs: tuple[tuple[str, float, str], ...]
    under: tuple[str, ...]


def on_boxes(regions: tuple[Region, ...], plane: Place, grounds: Sequence[Ground], *, allowed: float) -> OnBoxes:
    """A seat's faces on boxes, `allowed` mm being a gap that is still welded over."""
    left = regions
    bearing: list[tuple[float, Ground, BoxFace]] = []
    widest = 0.0
    for ground in grounds:
        face = face_of(ground, plane)
        if face is None:
            continue
        over = face.over(left)
        near = face.near(over, allowed)
        if not near:
            continue
        widest = max(widest, *(face.gap(p) for region in over for p in region.outer.points()))
        bearing.append((area(near), ground, face))
        left = less(left, polygon(face.corners))
    if not bearing:
        return OnBoxes(0.0, 0.0, (), ())
    hangs = [
        (word, far, ground.name)
        for region in left
        for word, far, ground in _nearest_edge(region, plane, [(g, f) for _, g, f in bearing])
    ]
    furthest: dict[tuple[str, str], float] = {}
    for word, far, name in hangs:
        furthest[word, name] = max(far, furthest.get((word, name), 0.0))
    most = sorted(((word, far, name) for (word, name), far in furthest.items()), key=lambda h: -h[1])
    names = tuple(ground.name for _, ground, _ in sorted(bearing, key=lambda b: -b[0]))
    return OnBoxes(math.fsum(b[0] for b in bearing), widest, tuple(most), names)


def _nearest_edge(
    region: Region, plane: Place, bearing: Sequence[tuple[Ground, BoxFace]]
) -> Iterator[tuple[str, float, Ground]]:
    """How far a piece of seat that hangs in the air, or over a rounded corner, reaches past the edges of what bears
    the rest of it: of the box it reaches past the least."""
    reaches = [(ground, list(_past(region, face))) for ground, face in bearing]
    rounded = {ground.name for ground, face in bearing if face.corner}
    ground, past = min(reaches, key=lambda r: max((far for far, _ in r[1]), default=0.0))
    for far, (x, y) in past:
        way = plane.direction((x, y, 0.0))
        yield f"{side_word(way)} {_edge(ground, way, rounded=ground.name in rounded)}", far, ground


def _edge(ground: Ground, way: Vec, *, rounded: bool) -> str:
    """What a bench reader calls the edge that `way` leads out over."""
    block = ground.block
    if block is not None and block.is_rail and abs(dot((ground.place @ block.place).axis, way)) > FACING:
        return "end"
    return "edge of the flat" if rounded else "edge"


def _past(region: Region, face: BoxFace) -> Iterator[tuple[float, Point]]:
    """mm past each edge of the face that the region reaches past at all, and the way out over that edge."""
    for a, b in zip(face.corners, (*face.corners[1:], face.corners[0]), strict=True):
        size = math.dist(a, b)
        out = ((b[1] - a[1]) / size, (a[0] - b[0]) / size)
        far = _reach(region.outer, out) - (a[0] * out[0] + a[1] * out[1])
        if far > 0:
            yield far, out


def _reach(outline: Outline, way: Point) -> float:
    """Greatest extent of an outline along a unit direction, mm from the origin."""
    turned = outline.map(lambda p: (p[0] * way[0] + p[1] * way[1], p[1] * way[0] - p[0] * way[1]))
    return turned.bounds[2]
