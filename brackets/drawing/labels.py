"""Places labels so that none lies on a line or on another label, with a leader back to what it names."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from brackets.drawing.record import Stroke, Words
from brackets.geometry.segments import Bounds, Line, Point

CLEAR = 0.8
"""mm of white round a label."""

FAR = (3.0, 5.0, 8.0, 12.0, 17.0, 24.0, 33.0, 45.0)
"""How far from its thing a label is tried, mm, nearest first."""

LEADER_DIRECTIONS = 16
"""Directions tried at each distance."""

CROSSING = 6.0
"""What a leader over a line costs, as mm of distance; over another leader three times as much."""

HOLE = 40.0
"""What a leader through a hole costs: more than any way round it."""

ANOTHER = 20.0
"""What a label, or its leader, within the outline of another thing costs: there it is read as that one's."""

HAIR = 1e-6
"""mm added to the box round a chord."""

CHORD = 0.1
"""mm: how far the chords that stand for an arc may lie from it; well inside CLEAR."""


class Board:
    """What is drawn so far: chords of every stroke, the holes, and the boxes of the labels."""

    def __init__(self, strokes: Iterable[Stroke]) -> None:
        self.chords: list[_Chord] = []
        self.leaders: list[_Chord] = []
        self.holes: list[tuple[Point, float]] = []
        self.boxes: list[Bounds] = []
        self.areas: list[Bounds] = []
        for stroke in strokes:
            self.add(stroke)

    def add(self, stroke: Stroke) -> None:
        for segment in stroke.segments:
            points = segment.points(CHORD)
            self.chords += [_chord(a, b) for a, b in zip(points, points[1:], strict=False)]
        if stroke.layer == "cut" and stroke.circle is not None:
            self.holes.append(stroke.circle)

    def block(self, box: Bounds) -> None:
        """Keep labels out of `box`."""
        self.boxes.append(box)

    def named_area(self, box: Bounds) -> None:
        """The box round a thing that has a label of its own: rather no place for those of what lies outside it."""
        self.areas.append(grown(box, HAIR))

    def free(self, box: Bounds) -> bool:
        """Whether a label in `box` would lie on nothing."""
        roomy = grown(box, CLEAR)
        return not any(touches(roomy, other) for other in self.boxes) and not any(
            through(roomy, a, b) for span, a, b in self.chords if touches(roomy, span)
        )

    def label(self, text: str, about: Point, *, size: float = 3.0, start: float = 0.0) -> Iterator[Stroke | Words]:
        """The words and, where they do not stand beside it, a leader from `start` mm off the point `about`."""
        words = Words((0.0, 0.0), text, size)
        x0, y0, x1, y1 = words.box
        wide, tall = x1 - x0, y1 - y0
        best: tuple[float, Bounds, tuple[Point, Point]] | None = None
        for far in FAR:
            if best is not None and best[0] <= far + start:
                break
            for i in range(LEADER_DIRECTIONS):
                turn = math.tau * i / LEADER_DIRECTIONS
                box = _beside(about, turn, start + far, wide, tall)
                if not self.free(box):
                    continue
                leader = _leader(about, box, start)
                if any(through(other, *leader) for other in self.boxes):
                    continue
                cost = start + far + self._crossed(leader) + self._in_others(about, box, leader)
                if best is None or cost < best[0]:
                    best = (cost, box, leader)
        if best is None:
            best = self._outside(about, wide, tall, start)
        _, box, leader = best
        self.boxes.append(box)
        self.chords.append(_chord(*leader))
        self.leaders.append(_chord(*leader))
        yield Words((box[0] - x0, box[1] - y0), text, size)
        if math.dist(*leader) > CLEAR:
            yield Stroke.line("leader", *leader)

    def _crossed(self, leader: tuple[Point, Point]) -> float:
        """What the leader costs for the lines and holes it runs over."""
        near, a, b = _chord(*leader)
        lines = sum(_cross(a, b, c, d) for span, c, d in self.chords if touches(near, span))
        lines += 2 * sum(_cross(a, b, c, d) for span, c, d in self.leaders if touches(near, span))
        holes = sum(_off(centre, a, b) < radius for centre, radius in self.holes)
        return CROSSING * lines + HOLE * holes

    def _in_others(self, about: Point, box: Bounds, leader: tuple[Point, Point]) -> float:
        """What it costs that the label, or its leader, lies within or along the outline of another thing."""
        others = [area for area in self.areas if not _holds(area, about)]
        inside = any(touches(box, area) for area in others)
        return ANOTHER * (inside + any(through(area, *leader) for area in others))

    def _outside(
        self, about: Point, wide: float, tall: float, start: float
    ) -> tuple[float, Bounds, tuple[Point, Point]]:
        """To the right of everything, as high as it can be without lying on another."""
        right = max([span[2] for span, _, _ in self.chords] + [b[2] for b in self.boxes])
        box = (right + 3.0, about[1], right + 3.0 + wide, about[1] + tall)
        return math.inf, box, _leader(about, box, start)


_Chord = tuple[Bounds, Point, Point]
"""The box round a chord, a hair larger so that it is never empty, and its ends."""


def _chord(a: Point, b: Point) -> _Chord:
    low, high = (min(a[0], b[0]), min(a[1], b[1])), (max(a[0], b[0]), max(a[1], b[1]))
    return (low[0] - HAIR, low[1] - HAIR, high[0] + HAIR, high[1] + HAIR), a, b


def _off(p: Point, a: Point, b: Point) -> float:
    """Distance of `p` from the line between a and b, mm."""
    return math.dist(p, a) if a == b else math.dist(p, Line(a, b).point(Line(a, b).nearest(p)))


def grown(box: Bounds, by: float) -> Bounds:
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def touches(a: Bounds, b: Bounds) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _holds(box: Bounds, p: Point) -> bool:
    return box[0] <= p[0] <= box[2] and box[1] <= p[1] <= box[3]


def through(box: Bounds, a: Point, b: Point) -> bool:
    """Whether the straight line from a to b enters the box."""
    low, high = 0.0, 1.0
    for i in (0, 1):
        run = b[i] - a[i]
        if run == 0.0:
            if not box[i] < a[i] < box[i + 2]:
                return False
            continue
        first, last = sorted(((box[i] - a[i]) / run, (box[i + 2] - a[i]) / run))
        low, high = max(low, first), min(high, last)
    return low < high


def _beside(about: Point, turn: float, far: float, wide: float, tall: float) -> Bounds:
    """A box of that size whose nearest point to `about` lies `far` off in the direction `turn`."""
    x, y = about[0] + far * math.cos(turn), about[1] + far * math.sin(turn)
    left = x - wide * (1.0 - math.cos(turn)) / 2.0
    low = y - tall * (1.0 - math.sin(turn)) / 2.0
    return (left, low, left + wide, low + tall)


def _leader(about: Point, box: Bounds, start: float) -> tuple[Point, Point]:
    """From `start` mm off `about` to the nearest point of the box."""
    end = (min(max(about[0], box[0]), box[2]), min(max(about[1], box[1]), box[3]))
    far = math.dist(about, end)
    if far <= start:
        return end, end
    begin = tuple(p + start / far * (q - p) for p, q in zip(about, end, strict=True))
    stop = tuple(q - min(CLEAR, far - start) / far * (q - p) for p, q in zip(about, end, strict=True))
    return (begin[0], begin[1]), (stop[0], stop[1])


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def put(made: Iterable[Stroke | Words], strokes: list[Stroke], words: list[Words]) -> None:
    """Adds what was made, such as a label and its leader, to the strokes and the words of a drawing."""
    for one in made:
        if isinstance(one, Words):
            words.append(one)
        else:
            strokes.append(one)
