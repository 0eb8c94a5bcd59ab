"""Pictures of a part on paper, to scale: the lines of its pieces, balloons, and what stands in columns beside them.

Pictures come in mm of the part, in the plane they are seen in; what is made of them is in mm of paper.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from brackets.drawing.record import Layer, Stroke, Words, width
from brackets.geometry.segments import Bounds, Line, Point
from brackets.geometry.shapes import circle

SCALES = (2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02)
"""ISO 5455:1979, table: of its enlargements the first, full size, and the reductions, from memory."""

PLAIN = 0.004
"""mm of paper: a point of a run this near to the line past it is left out."""

TYPE = 2.8
"""mm: type on the pictures; its capitals are 2 mm high."""

BALLOON = 3.2
"""mm: radius of a balloon."""

BESIDE = 9.0
"""mm between a picture and the column beside it."""

ROOM = 1.6
"""mm of white between two things in a column."""

Run = tuple[Point, ...]


@dataclass(frozen=True)
class Seen:
    """The lines of one piece in a picture, each a run of points: what is seen of it, and what is hidden."""

    piece: str
    visible: tuple[Run, ...]
    hidden: tuple[Run, ...]


Picture = tuple[Seen, ...]


def bounds_of(picture: Picture) -> Bounds:
    """Of all its lines, hidden ones too."""
    points = [p for one in picture for run in (*one.visible, *one.hidden) for p in run]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def scale_words(scale: float) -> str:
    """ "1:5"."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


@dataclass(frozen=True)
class Laid:
    """Where a picture lies on paper: (0, 0) of it at `at`, at a scale."""

    scale: float
    at: Point

    def point(self, p: Point) -> Point:
        return (self.at[0] + self.scale * p[0], self.at[1] + self.scale * p[1])

    def box(self, box: Bounds) -> Bounds:
        return (*self.point(box[:2]), *self.point(box[2:]))


def lines(
    picture: Picture, laid: Laid, *, hidden: bool, within: float = PLAIN, layer: Layer = "cut"
) -> Iterator[Stroke]:
    """Its lines on paper, `within` mm of them: what is seen on `layer`, under it what is hidden, thin and dashed,
    where that is wanted."""
    if hidden:
        for one in picture:
            yield from _strokes(one.hidden, laid, "mark_other", within)
    for one in picture:
        yield from _strokes(one.visible, laid, layer, within)


def _strokes(runs: Iterable[Run], laid: Laid, layer: Layer, within: float) -> Iterator[Stroke]:
    for run in runs:
        points = _plain([laid.point(p) for p in run], within)
        chords = tuple(Line(a, b) for a, b in zip(points, points[1:], strict=False) if math.dist(a, b) > 1e-6)
        if chords:
            yield Stroke(layer, chords)


def _plain(points: Sequence[Point], within: float) -> list[Point]:
    """The run without the points that lie `within` mm of it anyway (Douglas and Peucker 1973)."""
    keep = {0, len(points) - 1}
    spans = [(0, len(points) - 1)]
    while spans:
        low, high = spans.pop()
        a, b = points[low], points[high]
        far, at = within, None
        for i in range(low + 1, high):
            off = _off(points[i], a, b)
            if off > far:
                far, at = off, i
        if at is not None:
            keep.add(at)
            spans += [(low, at), (at, high)]
    return [points[i] for i in sorted(keep)]


def _off(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    if size == 0.0:
        return math.dist(p, a)
    part = min(1.0, max(0.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / size))
    return math.dist(p, (a[0] + part * dx, a[1] + part * dy))


@dataclass(frozen=True)
class Beside:
    """What stands in a column beside a picture: its size, and the point of the picture that its leader goes to."""

    key: str
    width: float
    height: float
    about: Point


@dataclass(frozen=True)
class Set:
    """One of them where it stands: the middle of its height `y`, its edge next to the picture `x`, and on which
    side of the picture: -1 left, 1 right."""

    of: Beside
    x: float
    y: float
    side: int


def columns(things: Sequence[Beside], box: Bounds) -> tuple[Set, ...]:
    """The things in two columns beside a picture, each as near to its point's height as there is room, in the order
    of these heights, so that no leaders of a column cross by much."""
    middle = (box[0] + box[2]) / 2
    ordered = sorted(things, key=lambda thing: thing.about[0])
    left = [thing for thing in ordered if thing.about[0] < middle]
    right = [thing for thing in ordered if thing.about[0] >= middle]
    while _tall(left) > _tall(right) + max((t.height for t in left), default=0.0) + ROOM:
        right.insert(0, left.pop())
    while _tall(right) > _tall(left) + max((t.height for t in right), default=0.0) + ROOM:
        left.append(right.pop(0))
    return (*_column(left, box[0] - BESIDE, -1, box), *_column(right, box[2] + BESIDE, 1, box))


def _tall(things: Sequence[Beside]) -> float:
    return math.fsum(thing.height + ROOM for thing in things)


def _column(things: Sequence[Beside], x: float, side: int, box: Bounds) -> Iterator[Set]:
    """From the top down, pushed apart where they would touch, then shifted as one to lie level with the picture."""
    ordered = sorted(things, key=lambda thing: -thing.about[1])
    heights: list[float] = []
    for i, thing in enumerate(ordered):
        y = thing.about[1]
        if i:
            y = min(y, heights[-1] - (ordered[i - 1].height + thing.height) / 2 - ROOM)
        heights.append(y)
    if not ordered:
        return
    low = min(box[1], (box[1] + box[3] - _tall(ordered)) / 2)
    short = low - (heights[-1] - ordered[-1].height / 2)
    for i in reversed(range(len(heights))):
        if short <= 0:
            break
        above = math.inf if i == 0 else heights[i - 1] - (ordered[i - 1].height + ordered[i].height) / 2 - ROOM
        heights[i] += short
        short = max(0.0, heights[i] - above)
    for thing, y in zip(ordered, heights, strict=True):
        yield Set(thing, x, y, side)


def balloon(number: int, centre: Point) -> tuple[Stroke, Words]:
    """A number in a circle."""
    text = f"{number}"
    words = Words((centre[0] - width(text, TYPE) / 2, centre[1] - 0.36 * TYPE), text, TYPE)
    return Stroke.of("tangent", circle(centre, BALLOON)), words


def dot_at(p: Point, r: float = 0.5) -> Stroke:
    """The dot that a leader ends in."""
    return Stroke.of("cut", circle(p, r))


def arrow(tip: Point, tail: Point, size: float = 2.4) -> Iterator[Stroke]:
    """An arrow's head of two barbs, 15 degrees either side."""
    turn = math.atan2(tail[1] - tip[1], tail[0] - tip[0])
    for side in (-0.26, 0.26):
        end = (tip[0] + size * math.cos(turn + side), tip[1] + size * math.sin(turn + side))
        yield Stroke.line("tangent", tip, end)


def first_angle(at: Point) -> Iterator[Stroke]:
    """The graphical symbol of first angle projection (ISO 5456-2:1996, figure 2, from memory): a cone seen from the
    side, and to its right the same seen from its narrow end; 16 by 8 mm, its lower left corner at `at`."""
    x, y = at
    narrow, wide = 2.0, 4.0
    corners = [(x, y + wide - narrow), (x + 7.0, y), (x + 7.0, y + 2 * wide), (x, y + wide + narrow)]
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        yield Stroke.line("cut", a, b)
    middle = (x + 14.0, y + wide)
    yield Stroke.of("cut", circle(middle, wide))
    yield Stroke.of("cut", circle(middle, narrow))
    yield Stroke.line("axis", (x - 1.0, y + wide), (x + 19.0, y + wide))
    yield Stroke.line("axis", (middle[0], y - 1.0), (middle[0], y + 2 * wide + 1.0))



SAMPLES, OTHERS = 24, 60
"""Places looked at along the lines of a piece, and of each other one, for the clearest."""


def clear_points(picture: Picture) -> dict[str, Point]:
    """For each piece that is seen the place on its lines that is as far as may be from those of the others: nobody
    takes it for one of theirs."""
    others = {one.piece: _sampled(one, OTHERS) for one in picture}
    found = {}
    for one in picture:
        mine = _sampled(one, SAMPLES)
        rest = [p for name, spots in others.items() if name != one.piece for p in spots]
        if mine:
            found[one.piece] = max(mine, key=lambda p: min((math.dist(p, q) for q in rest), default=0.0))
    return found


def _sampled(one: Seen, count: int) -> list[Point]:
    """About so many places spread evenly along what is seen of it."""
    chords = [(a, b) for run in one.visible for a, b in zip(run, run[1:], strict=False)]
    step = math.fsum(math.dist(a, b) for a, b in chords) / count
    found, far = [], step / 2
    for a, b in chords:
        long = math.dist(a, b)
        while far < long:
            found.append((a[0] + far / long * (b[0] - a[0]), a[1] + far / long * (b[1] - a[1])))
            far += step
        far -= long
    return found
