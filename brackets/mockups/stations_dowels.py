"""Where dowels go: two holes common to all the pieces of a stack, or to as many of them in a row as have a place.

mm. Two equal dowels let a sheet be turned round, or turned over about the line through both: a third hole, for a
wire, lies off that line and off the middle, so that it shows either.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
from manifold3d import CrossSection
from numpy.typing import NDArray

from brackets.geometry.segments import Point

APART = 2.0
"""Dowel diameters from middle to middle at the least: nearer they let a sheet swing."""
WIRE = 3.0
"""mm: hole for the wire."""
WIRE_EDGE = 2.0
"""mm left between the wire's hole and an edge."""
ALONG = (0.3, 0.7, 0.2, 0.8, 0.4, 0.6)
"""Where between the two dowels the wire is tried: never the middle."""
SNAP = 0.75
"""mm, more than half the diagonal of 1 x 1: so far inside, the nearest whole mm is still in place."""
ROUNDING = 0.02
"""mm: what the corners of an offset round a curve may lie off."""
SEGMENTS = 180
"""Of a circle that is offset by."""

Piece = tuple[int, int]
"""Number of the station, from 0, and of the piece in it."""
Link = tuple[Piece, Piece]


@dataclass(frozen=True)
class DowelGroup:
    """Pieces in a row held by the same two dowels at `a` and `b`; `wire`: where its hole is, None without room."""

    pieces: tuple[Piece, ...]
    a: Point
    b: Point
    wire: Point | None


@dataclass(frozen=True)
class Dowels:
    """The groups, the longest first; neighbours that no two dowels hold; pieces that lie on none of a neighbour."""

    groups: tuple[DowelGroup, ...]
    loose: tuple[Link, ...]
    apart: tuple[Piece, ...]


def dowels(stations: Sequence[Sequence[CrossSection]], d: float, edge: float) -> Dowels:
    """Dowels of `d` mm for stations one after the other, each a list of pieces, `edge` mm left round
    every hole and half of it between those of two rows."""
    pieces = {(k, i): piece for k, found in enumerate(stations) for i, piece in enumerate(found)}
    web = edge / 2
    room = {key: _eroded(piece, d / 2 + edge) for key, piece in pieces.items()}
    for_wire = {key: _eroded(piece, WIRE / 2 + WIRE_EDGE) for key, piece in pieces.items()}
    links = _links(stations)
    runs, loose = _runs(links, room, APART * d)
    taken: dict[Piece, list[tuple[Point, float]]] = {key: [] for key in pieces}
    groups = list[DowelGroup]()
    wanted = sorted(runs, key=lambda run: (-len(run), run))
    while wanted:
        run = wanted.pop(0)
        common = _common([_free(room[key], taken[key], d / 2 + web) for key in run])
        pair = _pair(common, APART * d, _again([taken[key] for key in run], [room[key] for key in run], d, web))
        if pair is None:
            each = list(zip(run[:-1], run[1:], strict=True))
            if len(each) > 1:  # the holes that are there leave no place common to all
                wanted[:0] = each
            else:
                loose += each
            continue
        wire = _wire(_common([_free(for_wire[key], taken[key], WIRE / 2 + web) for key in run]), pair, d)
        groups.append(DowelGroup(tuple(run), *pair, wire))
        for key in run:
            taken[key] += [(at, d / 2) for at in pair if (at, d / 2) not in taken[key]]
            taken[key] += [] if wire is None else [(wire, WIRE / 2)]
    linked = {key for _, link in links for key in link}
    apart = [key for key in pieces if key not in linked] if len(stations) > 1 else []
    return Dowels(tuple(groups), tuple(sorted(loose)), tuple(sorted(apart)))


def _links(stations: Sequence[Sequence[CrossSection]]) -> list[tuple[float, Link]]:
    """Pieces of neighbouring stations that lie on one another, those of the larger common area first."""
    found = []
    for k, (below, above) in enumerate(zip(stations, stations[1:], strict=False)):
        for i, one in enumerate(below):
            for j, other in enumerate(above):
                area = (one ^ other).area()
                if area > 0:
                    found.append((round(area, 3), ((k, i), (k + 1, j))))
    return sorted(found, key=lambda each: (each[1][0][0], -each[0], each[1]))


def _runs(
    links: Sequence[tuple[float, Link]], room: dict[Piece, CrossSection], apart: float
) -> tuple[list[tuple[Piece, ...]], list[Link]]:
    """Rows of pieces that each have a place for two dowels common to all of them, and the links that none holds."""
    runs, loose, used = list[tuple[Piece, ...]](), list[Link](), set[Link]()
    for _, link in links:
        if link in used:
            continue
        used.add(link)
        common = room[link[0]] ^ room[link[1]]
        if _pair(common, apart) is None:
            loose.append(link)
            continue
        run = [*link]
        for _, (a, b) in links:
            if a == run[-1] and (a, b) not in used:
                smaller = common ^ room[b]
                if _pair(smaller, apart) is not None:
                    used.add((a, b))
                    run.append(b)
                    common = smaller
        runs.append(tuple(run))
    return runs, loose


def _eroded(region: CrossSection, by: float) -> CrossSection:
    return region.offset(-by - ROUNDING, circular_segments=SEGMENTS).simplify(ROUNDING / 4)


def _common(regions: Sequence[CrossSection]) -> CrossSection:
    return reduce(lambda one, other: one ^ other, regions)


def _free(region: CrossSection, taken: Sequence[tuple[Point, float]], by: float) -> CrossSection:
    """What is left of a region `by` mm off the holes that are there."""
    for at, r in taken:
        region = region - CrossSection.circle(r + by, SEGMENTS).translate(at)
    return region


def _again(
    taken: Sequence[Sequence[tuple[Point, float]]], rooms: Sequence[CrossSection], d: float, web: float
) -> tuple[Point, ...]:
    """Dowels that are there in one piece of a row and may go through all of it."""
    there = dict.fromkeys(at for row in taken for at, r in row if r == d / 2)
    return tuple(
        at
        for at in there
        if all(holds(room.offset(ROUNDING / 2), at) for room in rooms)
        and all(other == at or math.dist(at, other) >= r + d / 2 + web for row in taken for other, r in row)
    )


def _pair(region: CrossSection, apart: float, there: Sequence[Point] = ()) -> tuple[Point, Point] | None:
    """Two points of a region, or of those that are `there`, as far apart as may be, in whole mm where there is
    room; None where that is less than `apart`."""
    for inside, snaps in ((region.offset(-SNAP), True), (region, False)):
        spots = _corners(inside)
        if snaps:
            spots = np.unique(np.round(spots), axis=0)
        spots = np.vstack((spots, np.reshape(there, (-1, 2))))
        if len(spots) < 2:
            continue
        far = np.round(np.linalg.norm(spots[:, None] - spots[None], axis=2), 6)
        if far.max() >= apart:
            i, j = np.unravel_index(int(far.argmax()), far.shape)
            return _point(spots[i]), _point(spots[j])
    return None


def _corners(region: CrossSection) -> NDArray[np.float64]:
    """(k, 2): corners of the hull of a region, in order of u and v."""
    rings = region.hull().to_polygons() if not region.is_empty() else []
    spots = np.vstack([np.zeros((0, 2)), *rings])
    return spots[np.lexsort((spots[:, 1], spots[:, 0]))]


def _wire(region: CrossSection, pair: tuple[Point, Point], d: float) -> Point | None:
    """Where a wire shows that a piece is turned round or over."""
    a, b = np.array(pair[0]), np.array(pair[1])
    way = (b - a) / np.linalg.norm(b - a)
    aside = np.array((-way[1], way[0])) * max(d, 2 * WIRE)
    for share in ALONG:
        for sign in (1.0, -1.0):
            spot = np.round(a + share * (b - a) + sign * aside)
            along, off = float((spot - a) @ way), float((spot - a) @ aside) / float(np.linalg.norm(aside))
            shows = min(2 * abs(off), abs(2 * along - float(np.linalg.norm(b - a)))) >= WIRE
            if shows and holds(region, _point(spot)):
                return _point(spot)
    return None


def holds(region: CrossSection, spot: Point) -> bool:
    """Whether a point lies in a region."""
    small = CrossSection.square((1e-3, 1e-3), True).translate(spot)
    return bool((small - region).is_empty())


def _point(spot: NDArray[np.float64]) -> Point:
    return (float(spot[0]) + 0.0, float(spot[1]) + 0.0)
