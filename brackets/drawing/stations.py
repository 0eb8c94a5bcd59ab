"""Stations of a body as templates at true size, and the stack of them seen from the side.

mm. Points are (u, v): u to the right and v up the sheet, as one looks at the marked face of a station, which faces
along the axis of the cuts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.drawing.holes import CROSS
from brackets.drawing.labels import Board, put
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words, width
from brackets.geometry.segments import Bounds, Line, Point
from brackets.geometry.shapes import circle, rectangle

FIT_CHECK = "FIT CHECK ONLY: NEVER LOAD"
"""On every page and every station."""

Ring = tuple[Point, ...]
"""A closed polygon without the repeated first point; anticlockwise round material, clockwise round a hole."""


@dataclass(frozen=True)
class Axes:
    """Which of the bay's coordinates run along `right`, `up` and the `axis` of the stations, each as ("y", -1.0);
    `named`: whether they are those of a bay, in which +x is the front."""

    right: tuple[str, float]
    up: tuple[str, float]
    axis: str
    named: bool = True

    def words(self, which: str, sign: float = 1.0) -> str:
        """ "top, +z"."""
        side = {"x": ("front", "rear"), "y": ("left", "right"), "z": ("top", "bottom")}[which][sign < 0]
        arrow = f"{'+' if sign > 0 else '-'}{which}"
        return f"{side}, {arrow}" if self.named else arrow


@dataclass(frozen=True)
class StationHole:
    """A hole of `d` mm that dowels or a wire go through, and what it is called."""

    at: Point
    d: float
    name: str


@dataclass(frozen=True)
class BossMark:
    """Where a boss of the powertrain is on a station; `d`: of its thread, where its bolt runs along the axis."""

    at: Point
    name: str
    d: float | None = None


@dataclass(frozen=True, kw_only=True)
class StationPiece:
    """One piece of a station: its name, its edges, the outer first, and what is drilled and marked in it. `lines`:
    the values of u and v at which its two reference lines run."""

    name: str
    rings: tuple[Ring, ...]
    holes: tuple[StationHole, ...] = ()
    bosses: tuple[BossMark, ...] = ()
    lines: Point = (0.0, 0.0)

    @property
    def bounds(self) -> Bounds:
        """Of its outer edge."""
        return _bounds(self.rings[0])

    @property
    def area(self) -> float:
        """mm2, holes for dowels not taken off."""
        return sum(ring_area(ring) for ring in self.rings)


@dataclass(frozen=True, kw_only=True)
class Station:
    """One sheet of the stack: its number from 1, its faces' places on the axis, where it is cut (None: the outline
    of all between its faces), its pieces, and the body's own outline on the marked face and on the other."""

    number: int
    low: float
    high: float
    at: float | None
    pieces: tuple[StationPiece, ...]
    marked_face: tuple[Ring, ...] = ()
    other_face: tuple[Ring, ...] = ()


def ring_area(ring: Ring) -> float:
    """mm2, negative of a hole."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2


def _bounds(points: Sequence[Point]) -> Bounds:
    us, vs = zip(*points, strict=True)
    return (min(us), min(vs), max(us), max(vs))


NEAR = 0.3
"""mm: a line of the body's outline on a face that is nearer than this to the cut is not drawn."""
LABEL = 3.0
NUMBER = 8.0
"""mm: size of the words and of a piece's number."""
READ = 3.2
"""mm: size of the letters of a picture once it is on paper."""
ROOM = (250.0, 75.0)
"""mm: about what a picture has on the smallest paper, lying."""
LEVELS = (0.487, 0.387, 0.587, 0.287, 0.687, 0.187, 0.787)
"""Of a piece's height: where room for its number is looked for, off the middle, where a reference line may run."""
ARROW = 4.0
"""mm: half the width of the arrow's head."""


def station_drawing(station: Station, axes: Axes, title: Title, facts: tuple[tuple[str, str], ...]) -> Drawing:
    """One station at true size, its pieces where they stand to one another."""
    corner = [min(piece.bounds[i] for piece in station.pieces) for i in (0, 1)]
    at = (-corner[0], -corner[1])
    strokes: list[Stroke] = []
    for piece in station.pieces:
        strokes += piece_cuts(piece, at)
    own = [ring for piece in station.pieces for ring in piece.rings]
    for layer, rings in (("bevel", station.marked_face), ("ring", station.other_face)):
        strokes += [
            replace(_closed(ring, at), layer=layer)  # type: ignore[arg-type]
            for ring in rings
            if _off(ring, own) > NEAR
        ]
    strokes += [stroke for piece in station.pieces for stroke in piece_marks(piece, at)]
    board, words = Board(strokes), list[Words]()
    for text, about, size, start in _labels(station, axes, title, dict(facts).get("values", ""), at):
        put(board.label(text, about, size=size, start=start), strokes, words)
    material = f"faces at {axes.axis} {station.low:.1f}, {station.high:.1f}; {dict(facts).get('material', '')}"
    return Drawing(
        name=f"station {station.number}",
        title=title,
        facts=tuple((what, material if what == "material" else value) for what, value in facts),
        strokes=tuple(strokes),
        words=tuple(words),
        own_page=True,
        sheet=False,
    )


def stack_picture(
    stations: Sequence[Station],
    axes: Axes,
    title: Title,
    facts: tuple[tuple[str, str], ...],
    tables: tuple[Table, ...],
) -> Drawing:
    """The stack from the side, not to scale: a rectangle for each piece of each sheet, the axis to the right."""
    low, high = stations[0].low, stations[-1].high
    bottom, top = (pick(p.bounds[i] for one in stations for p in one.pieces) for pick, i in ((min, 1), (max, 3)))
    size = READ * max((high - low) / ROOM[0], (top - bottom) / ROOM[1])
    strokes = []
    for one in stations:
        for piece in one.pieces:
            _, v0, _, v1 = piece.bounds
            centre = ((one.low + one.high) / 2, (v0 + v1) / 2)
            strokes.append(Stroke.of("cut", rectangle(one.high - one.low, v1 - v0, centre=centre)))
    words = [Words((low, top + size), f"{axes.words(axes.axis)} is to the right, {axes.words(*axes.up)} up", size)]
    for one in stations:
        if (one.number - 1) % _every(stations, size) == 0:
            left = (one.low + one.high - width(str(one.number), size)) / 2
            words.append(Words((left, bottom - 1.5 * size), str(one.number), size))
    return Drawing(
        name="stack", title=title, facts=facts, strokes=tuple(strokes), words=tuple(words), tables=tables,
        true_size=False,
    )  # fmt: skip


def _every(stations: Sequence[Station], size: float) -> int:
    """Of how many numbers under the stack one is written, so that none runs into the next."""
    pitch = (stations[-1].low - stations[0].low) / max(1, len(stations) - 1) or 1.0
    return max(1, math.ceil(1.3 * width(str(stations[-1].number), size) / pitch))


def piece_cuts(piece: StationPiece, at: Point) -> Iterator[Stroke]:
    """The edges of a piece and its holes with their centres."""
    yield from (_closed(ring, at) for ring in piece.rings)
    for hole in piece.holes:
        (x, y), reach = _moved(hole.at, at), hole.d / 2 + CROSS
        yield Stroke.of("cut", circle((x, y), hole.d / 2))
        yield Stroke.line("punch", (x - reach, y), (x + reach, y))
        yield Stroke.line("punch", (x, y - reach), (x, y + reach))


def piece_marks(piece: StationPiece, at: Point) -> Iterator[Stroke]:
    """Reference lines inside the piece, the arrow on the upright one, and the bosses."""
    for i in (0, 1):
        for low, high in spans(piece.rings, i, piece.lines[i]):
            a, b = ((piece.lines[0], end) if i == 0 else (end, piece.lines[1]) for end in (low, high))
            yield Stroke.line("mark", _moved(a, at), _moved(b, at))
    top = _arrow_tip(piece)
    if top is not None:
        x, y = _moved(top, at)
        left, right = ((x + side * ARROW / 2, y - 2 * ARROW) for side in (-1, 1))
        yield Stroke("mark", (Line(left, (x, y)), Line((x, y), right)))
    for boss in piece.bosses:
        x, y = _moved(boss.at, at)
        if boss.d is not None:
            yield Stroke.of("mark", circle((x, y), boss.d / 2))
        reach = (boss.d or 0.0) / 2 + CROSS
        yield Stroke.line("mark", (x - reach, y - reach), (x + reach, y + reach))
        yield Stroke.line("mark", (x - reach, y + reach), (x + reach, y - reach))


def spans(rings: Sequence[Ring], which: int, value: float) -> list[tuple[float, float]]:
    """From and to, along the other coordinate, of the parts of a line u = `value` (`which` 0) or v = `value` (1)
    that lie inside."""
    other, found = 1 - which, []
    for ring in rings:
        for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
            if (a[which] <= value) != (b[which] <= value):
                share = (value - a[which]) / (b[which] - a[which])
                found.append(a[other] + share * (b[other] - a[other]))
    found.sort()
    return list(zip(found[::2], found[1::2], strict=True))


def _arrow_tip(piece: StationPiece) -> Point | None:
    """The upper end of the longest part of the upright reference line."""
    parts = spans(piece.rings, 0, piece.lines[0])
    if not parts:
        return None
    return (piece.lines[0], max(parts, key=lambda part: part[1] - part[0])[1])


def _labels(
    station: Station, axes: Axes, title: Title, values: str, at: Point
) -> Iterator[tuple[str, Point, float, float]]:
    """Text, what it is about, its size and how far off it begins."""
    for piece in station.pieces:
        middle = _moved(inner_point(piece), at)
        yield piece.name, middle, NUMBER, 0.0
        yield FIT_CHECK, middle, LABEL, 0.0
        yield f"{title.part.removeprefix(f'{FIT_CHECK}. ')} {values}", middle, LABEL, 0.0
        yield f"marked face: {axes.words(axes.axis)}", middle, LABEL, 0.0
        for hole in piece.holes:
            yield hole.name, _moved(hole.at, at), LABEL, hole.d / 2 + CROSS
        for boss in piece.bosses:
            yield boss.name, _moved(boss.at, at), LABEL, (boss.d or 0.0) / 2 + CROSS
        tip = _arrow_tip(piece)
        if tip is not None:
            yield f"{axes.words(*axes.up)}; {line_words(piece, axes)[0]}", _moved(tip, at), LABEL, 0.0
        level = spans(piece.rings, 1, piece.lines[1])
        if level:
            end = (max(level, key=lambda part: part[1] - part[0])[1], piece.lines[1])
            yield line_words(piece, axes)[1], _moved(end, at), LABEL, 0.0


def line_words(piece: StationPiece, axes: Axes) -> tuple[str, str]:
    """Where the upright and the level reference line are in the bay: "y 0", "z 250"."""
    (right, right_sign), (up, up_sign) = axes.right, axes.up
    return f"{right} {right_sign * piece.lines[0] + 0.0:.6g}", f"{up} {up_sign * piece.lines[1] + 0.0:.6g}"


def inner_point(piece: StationPiece) -> Point:
    """A point inside it where it is widest, at one of LEVELS of its height."""
    _, v0, _, v1 = piece.bounds
    widest = (0.0, piece.rings[0][0])
    for share in LEVELS:
        level = v0 + share * (v1 - v0)
        for low, high in spans(piece.rings, 1, level):
            widest = max(widest, (round(high - low, 3), ((low + high) / 2, level)))
    return widest[1]


def _moved(p: Point, by: Point) -> Point:
    return (p[0] + by[0], p[1] + by[1])


def _closed(ring: Ring, by: Point) -> Stroke:
    points = [_moved(p, by) for p in ring]
    return Stroke("cut", tuple(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True)), True)


def _off(ring: Ring, others: Sequence[Ring]) -> float:
    """mm: the farthest that a corner of a ring lies from the nearest edge of the others."""
    import numpy as np

    starts = np.vstack([np.array(other) for other in others])
    ways = np.vstack([np.roll(np.array(other), -1, axis=0) for other in others]) - starts
    lengths = np.maximum((ways * ways).sum(axis=1), 1e-300)
    most = 0.0
    for p in ring:
        off = np.array(p) - starts
        share = np.clip((off * ways).sum(axis=1) / lengths, 0.0, 1.0)
        most = max(most, float(np.linalg.norm(off - share[:, None] * ways, axis=1).min()))
    return most
