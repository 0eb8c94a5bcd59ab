"""What a seat has to stand with, as points that each stand for some mm2: for ground that is no flat box.

mm and mm2, bay axes. A flat seat is its pieces' faces; a round one what its pieces were cut to: the edge of a plate
through its thickness, the rim of a coped tube through its wall.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from brackets.clearance.places import Array
from brackets.core.place import HERE, Place
from brackets.core.vectors import cross, length, sub
from brackets.geometry.ovals import cut_ellipse
from brackets.geometry.regions import Region
from brackets.model.cope import contours
from brackets.model.edges import last_straight
from brackets.model.faces import area, metal
from brackets.model.fold_tree import tree
from brackets.model.fold_zones import slanted
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.plate import Folded, Plate, TubeSeat, Wall
from brackets.model.tube import BentTube, Tube, Which

POINTS = 1500
"""Points a flat seat is looked at by: a share is good to about one part in a hundred."""

LAYERS = 8
"""Depths through the metal at which a round seat is looked at."""

ROUND = 120
"""Points along each of these."""

CHORD = 0.02
"""How far the chords of a face's edge may be off it, mm."""

SAME = 1e-3
"""How far a cut's axis or radius may be off the seat's to be the same, mm."""


@dataclass(frozen=True, eq=False)
class Patch:
    """Points (n, 3) mm, and the mm2 (n,) that each stands for; those of an edge stand for none."""

    points: Array
    weights: Array

    @property
    def area(self) -> float:
        return float(self.weights.sum())


def flat_patch(regions: tuple[Region, ...], plane: Place, *, rim_only: bool = False) -> Patch:
    """Points over these regions of a plane, and along their edges; or along their edges alone."""
    whole = area(regions)
    spots: list[tuple[float, float]] = []
    weights: list[float] = []
    for region in regions:
        inside = [] if rim_only else _inside(region, math.sqrt(whole / POINTS))
        spots += inside
        weights += [region.area / max(1, len(inside))] * len(inside)
        rim = rim_points(region)
        spots += rim
        weights += [0.0] * len(rim)
    return Patch(np.array([plane.point((x, y, 0.0)) for x, y in spots]).reshape(-1, 3), np.array(weights))


def _inside(region: Region, step: float) -> list[tuple[float, float]]:
    """Points in the middle of a grid's squares that lie in the metal; at least one."""
    x0, y0, x1, y1 = region.outer.bounds
    while True:
        nx, ny = max(1, round((x1 - x0) / step)), max(1, round((y1 - y0) / step))
        found = [
            (x, y)
            for x in (x0 + (x1 - x0) * (i + 0.5) / nx for i in range(nx))
            for y in (y0 + (y1 - y0) * (j + 0.5) / ny for j in range(ny))
            if region.distance((x, y)) > 0
        ]
        if found:
            return found
        step /= 2


def rim_points(region: Region) -> list[tuple[float, float]]:
    """Points round the outside of a region, a millimetre apart or less."""
    found: list[tuple[float, float]] = []
    corners = region.outer.points(CHORD)
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        n = max(1, math.ceil(math.dist(a, b)))
        found += [(a[0] + (b[0] - a[0]) * i / n, a[1] + (b[1] - a[1]) * i / n) for i in range(n)]
    return found


def round_patch(part: Part, seat: Seat) -> Patch:
    """What the part's pieces were cut to that seat's tube: plate edges and coped ends."""
    found = [*_plate_edges(part, seat), *_coped_ends(part, seat)]
    if not found:
        return Patch(np.zeros((0, 3)), np.zeros(0))
    return Patch(np.concatenate([p.points for p in found]), np.concatenate([p.weights for p in found]))


def _walls(part: Part) -> Iterator[tuple[Wall, float, Place]]:
    for piece in part.pieces:
        if isinstance(piece, Plate):
            yield piece.wall, piece.t, piece.place
        elif isinstance(piece, Folded):
            for node in tree(piece).walls:
                yield node.wall, piece.t, piece.place @ node.place


def _plate_edges(part: Part, seat: Seat) -> Iterator[Patch]:
    for wall, t, place in _walls(part):
        for cut_by in wall.seats:
            if _is_cut_to(cut_by, place, seat):
                yield from _plate_edge(wall, t, place, cut_by)


def _is_cut_to(cut_by: TubeSeat, place: Place, seat: Seat) -> bool:
    at, way = place.point(cut_by.at), place.direction(cut_by.axis)
    off = length(cross(sub(at, seat.place.at), seat.place.axis))
    askew = length(cross(way, seat.place.axis)) / length(way)
    return off < SAME and askew < SAME and (seat.d is None or abs(2 * cut_by.r - seat.d) < 2 * SAME)


def _plate_edge(wall: Wall, t: float, place: Place, cut_by: TubeSeat) -> Iterator[Patch]:
    axis = np.array(cut_by.axis) / np.linalg.norm(cut_by.axis)
    bare = Wall(outline=wall.outline, openings=wall.openings)
    for layer in range(LAYERS):
        z = t * (layer + 0.5) / LAYERS
        for region in metal(bare, z):
            for left in cut_ellipse(region, slanted(cut_by, z), keep=cut_by.keep):
                for run in left.cut_edges:
                    line = np.array([(*run.point(i / ROUND), z) for i in range(ROUND + 1)])
                    middles = (line[1:] + line[:-1]) / 2
                    along = np.linalg.norm(line[1:] - line[:-1], axis=1)
                    out = middles - np.array(cut_by.at)
                    out -= np.outer(out @ axis, axis)
                    out /= np.linalg.norm(out, axis=1)[:, None]
                    steep = np.sqrt(np.maximum(1e-12, 1 - out[:, 2] ** 2))
                    yield Patch(_placed(place, line[1:-1]), np.zeros(len(line) - 2))
                    yield Patch(_placed(place, middles), along * (t / LAYERS) / steep)


def _coped_ends(part: Part, seat: Seat) -> Iterator[Patch]:
    for piece in part.pieces:
        if isinstance(piece, Tube | BentTube):
            ends: tuple[Which, Which] = ("start", "end")
            for which in ends:
                if any(cut.kind == "saddle" for cut in piece.cuts(which)):
                    yield from _coped_end(piece, which, seat)


def _coped_end(piece: Tube | BentTube, which: Which, seat: Seat) -> Iterator[Patch]:
    """The rim between bore and outside, where it lies on the seat's tube."""
    wall = (piece.od - piece.bore) / 2
    turns = np.arange(3 * ROUND) * 360.0 / (3 * ROUND)
    straight = last_straight(piece)
    axis = np.array(seat.place.axis)
    for layer in range(LAYERS):
        r = piece.bore / 2 + wall * (layer + 0.5) / LAYERS
        back = contours(piece, which, turns, r)
        angle = np.radians(turns)
        z = back if which == "start" else straight.length - back
        local = np.column_stack((r * np.cos(angle), r * np.sin(angle), z))
        place = piece.place @ (HERE if which == "start" else straight.place)
        spots = _placed(place, local)
        out = spots - np.array(seat.place.at)
        out -= np.outer(out @ axis, axis)
        far = np.linalg.norm(out, axis=1)
        on = np.abs(far - (seat.d or 0.0) / 2) < SAME
        steep = np.abs((out / np.maximum(far, 1e-12)[:, None]) @ np.array(place.axis))
        flat = r * math.radians(360.0 / len(turns)) * (wall / LAYERS)
        yield Patch(spots[on], flat / np.maximum(steep[on], 1e-3))


def _placed(place: Place, spots: Array) -> Array:
    return np.array([place.point((x, y, z)) for x, y, z in spots.tolist()]).reshape(-1, 3)
