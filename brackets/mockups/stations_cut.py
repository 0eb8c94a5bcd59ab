"""A body cut into stations: where the sheets lie on the axis, the region of each, and what is hollowed out. mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, JoinType
from numpy.typing import NDArray

from brackets.drawing.stations import Axes, Ring
from brackets.geometry.segments import Point
from brackets.kernel.sections import SlicedBody, joined
from brackets.mockups.stations_dowels import SEGMENTS, DowelGroup, Piece
from brackets.mockups.stations_values import StationValues

SMOOTH = 0.05
"""mm: how far a drawn outline may lie off the triangles' own section."""
ROUGH = 0.1
"""mm: the same of the body's outline on the two faces, which is sanded to by eye."""
SPECK = 1.0
"""mm2: pieces and holes smaller than this are no more than rounding."""
WORTH = 400.0
"""mm2: a hollow smaller than this, 20 x 20, is not worth a cut: common practice, no source."""
INNER = 5.0
"""mm: least inside radius of a hollow, for a hot wire or a coping saw: common practice, no source."""
COVER = 0.01
"""mm to which it is found how far the body stands out of its stack."""
FAR = 1e6

FRAMES: dict[str, tuple[tuple[int, float], tuple[int, float], tuple[int, float]]] = {
    "x": ((1, 1.0), (2, 1.0), (0, 1.0)),
    "y": ((0, -1.0), (2, 1.0), (1, 1.0)),
    "z": ((1, -1.0), (0, 1.0), (2, 1.0)),
}
"""Axis of the stations to what runs right, up and along it: number of the bay's coordinate, and its sign. Seen
against the axis, with the bay's up or else its front up the sheet."""


def frame_of(axis: str) -> NDArray[np.float64]:
    """(3, 3) float: right, up and along as rows."""
    rows = np.zeros((3, 3))
    for row, (column, sign) in zip(rows, FRAMES[axis], strict=True):
        row[column] = sign
    return rows


def axes_of(axis: str, *, named: bool) -> Axes:
    """The same for drawings."""
    right, up = (("xyz"[column], sign) for column, sign in FRAMES[axis][:2])
    return Axes(right, up, axis, named)


@dataclass(frozen=True, eq=False)
class StationCut:
    """One sheet before it is drawn: its number, its faces, where it is cut, its region, what the body is on its
    faces, and the outline of all of the body within its pitch; `shifted`: its cut lay in a flat face."""

    number: int
    low: float
    high: float
    at: float | None
    region: CrossSection
    marked_face: CrossSection
    other_face: CrossSection
    shadow: CrossSection
    shifted: bool


def cut_up(bodies: Sequence[SlicedBody], values: StationValues, bound: float) -> tuple[StationCut, ...]:
    """Every sheet of the stack from the low end up; those with nothing in them are left out, not counted out.

    bound: how far the true surface may lie from the triangles, mm, by which `outside` is larger.
    """
    low = min(body.ends[0] for body in bodies)
    high = max(body.ends[1] for body in bodies)
    pitch, outside = values.pitch, values.true_at == "outside"
    start = low if values.start is None else values.start
    first = math.floor((low - start) / pitch + 1e-9)
    last = math.ceil((high - start) / pitch - 1e-9)
    levels = [start + k * pitch for k in range(first, last + 1)]
    shadows = [joined(list(each)) for each in zip(*(body.shadows(levels) for body in bodies), strict=True)]
    found = []
    for number, (a, b, shadow) in enumerate(zip(levels, levels[1:], shadows, strict=False), 1):
        middle, half = (a + b) / 2, values.board / 2
        there = [body for body in bodies if body.ends[0] < b and body.ends[1] > a]
        cut = _grown(shadow, bound) if outside else joined([body.section(middle) for body in there])
        region = _tidy(cut if outside else cut.simplify(SMOOTH), fill=values.fill)
        if region.is_empty():
            continue
        faces = [
            joined([body.section(at) for body in there]).simplify(ROUGH) for at in (middle - half, middle + half)
        ]
        shifted = not outside and any(body.in_a_flat(middle) for body in there)
        found.append(
            StationCut(
                number=number,
                low=middle - half,
                high=middle + half,
                at=None if outside else middle,
                region=region,
                marked_face=faces[1],
                other_face=faces[0],
                shadow=shadow,
                shifted=shifted,
            )
        )
    return tuple(found)


def _grown(region: CrossSection, bound: float) -> CrossSection:
    """A plain outline that holds the region and all within `bound` of it."""
    # several corners taken away one after the other may move an edge by more than SMOOTH
    plain = region.simplify(SMOOTH).offset(bound + 2 * SMOOTH, JoinType.Miter)
    exact = region.offset(bound, JoinType.Miter) if bound > 0 else region
    return plain if (exact - plain).area() <= SPECK * 1e-3 else exact


def _tidy(region: CrossSection, *, fill: bool) -> CrossSection:
    """Without specks, and without holes where they are to be filled."""
    rings = [ring for ring in region.to_polygons() if abs(_area(ring)) >= SPECK]
    if fill:
        rings = [ring for ring in rings if _area(ring) > 0]
    return CrossSection(rings)


def _area(ring: NDArray[np.float64]) -> float:
    x, y = ring.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)


def stands_out(cuts: Sequence[StationCut]) -> tuple[float, int]:
    """How far at the most, mm to COVER, the body stands out of its sheets, and the number of the sheet where."""
    most, where = 0.0, 0
    for cut in cuts:
        if _covered(cut, most + COVER):
            continue
        low, high = most + COVER, 2 * (most + 1.0)
        while not _covered(cut, high):
            low, high = high, 2 * high
        while high - low > COVER:
            middle = (low + high) / 2
            low, high = (low, middle) if _covered(cut, middle) else (middle, high)
        most, where = high, cut.number
    return most, where


def _covered(cut: StationCut, by: float) -> bool:
    grown = cut.region.offset(by, circular_segments=SEGMENTS)
    return bool((cut.shadow - grown).area() <= SPECK * 1e-3)


def pieces_of(cuts: Sequence[StationCut]) -> list[list[CrossSection]]:
    """The pieces of each sheet, the largest first."""
    return [
        sorted(cut.region.decompose(), key=lambda one: (-round(one.area(), 3), one.bounds())) for cut in cuts
    ]


def hollowed(
    cuts: Sequence[StationCut],
    pieces: Sequence[Sequence[CrossSection]],
    groups: Sequence[DowelGroup],
    *,
    wall: float,
    rib: float,
) -> list[list[CrossSection]]:
    """The pieces with a wall of `wall` mm left inside their own edge and their neighbours', so that nothing opens
    between two sheets, and a rib of `rib` mm through each pair of dowels. The end sheets stay whole."""
    numbered = {cut.number: cut.region for cut in cuts}
    kept = _ribs(groups, rib + 2 * SMOOTH)
    found = []
    for k, cut in enumerate(cuts):
        around = [numbered.get(cut.number - 1), cut.region, numbered.get(cut.number + 1)]
        if any(region is None for region in around):
            found.append(list(pieces[k]))
            continue
        void = _eroded(around[1], wall + SMOOTH)
        for region in (around[0], around[2]):
            void = void ^ _eroded(region, wall + SMOOTH)
        row = []
        for i, piece in enumerate(pieces[k]):
            own = void ^ piece
            for bar in kept.get((k, i), ()):
                own = own - bar
            own = own.offset(-INNER, circular_segments=SEGMENTS).offset(INNER, circular_segments=SEGMENTS)
            worth = [part for part in own.decompose() if part.area() >= WORTH]
            row.append(piece - joined([part.simplify(SMOOTH) for part in worth]) if worth else piece)
        found.append(row)
    return found


def _eroded(region: CrossSection | None, by: float) -> CrossSection:
    assert region is not None
    return region.offset(-by, circular_segments=SEGMENTS)


def _ribs(groups: Sequence[DowelGroup], rib: float) -> dict[Piece, list[CrossSection]]:
    """What stays of each piece for its dowels: a bar through both, from edge to edge, and a pad round the wire."""
    found: dict[Piece, list[CrossSection]] = {}
    for group in groups:
        (au, av), (bu, bv) = group.a, group.b
        turn = math.degrees(math.atan2(bv - av, bu - au))
        bars = [CrossSection.square((FAR, rib), True).rotate(turn).translate(group.a)]
        if group.wire is not None:
            bars.append(CrossSection.circle(rib / 2, SEGMENTS).translate(group.wire))
        for key in group.pieces:
            found.setdefault(key, []).extend(bars)
    return found


THIN_STEPS = 24


def narrowest(region: CrossSection, least: float) -> float | None:
    """mm: how narrow a piece is at its narrowest, where that is less than `least`; None where it is not."""
    if _whole(region, least - COVER):
        return None
    low, high = 0.0, least
    for _ in range(THIN_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if _whole(region, middle) else (low, middle)
    return low


def _whole(region: CrossSection, width: float) -> bool:
    """Whether a piece is still one where all that is narrower than `width` is taken away."""
    left = [part for part in region.offset(-width / 2).decompose() if part.area() > 0]
    return len([part for part in left if part.area() >= SPECK]) <= 1 and bool(left)


def rings_of(region: CrossSection) -> tuple[Ring, ...]:
    """Its edges as plain polygons, outer ones first, in an order that does not hang on how they were found."""
    rings = []
    for ring in region.to_polygons():
        points = [(float(u) + 0.0, float(v) + 0.0) for u, v in np.round(ring, 6)]
        points = [p for p, q in zip(points, (*points[1:], points[0]), strict=True) if p != q]
        if len(points) > 2:
            first = points.index(min(points))
            rings.append((*points[first:], *points[:first]))
    return tuple(sorted(rings, key=lambda ring: (_signed(ring) < 0, ring)))


def _signed(ring: Ring) -> float:
    return _area(np.array(ring))


def point_of(place: Sequence[float], frame: NDArray[np.float64]) -> tuple[Point, float]:
    """A point of the bay as (u, v) and its place on the axis."""
    u, v, w = frame @ np.array(place, dtype=float)
    return (float(u), float(v)), float(w)
