"""Charts on paper: axes with figures and a unit, bars with what they may vary by, curves named at their ends.

mm of paper, x right, y up; black lines of the layers that drawings have. What is made is strokes and words.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from brackets.drawing.record import ASCENT, Layer, Stroke, Words, width
from brackets.geometry.segments import Line, Point

TYPE = 2.5
"""mm: type in charts; its capitals are 1.8 mm high, the smallest lettering of ISO 3098-1 (from memory)."""
TICK = 1.2
"""mm: length of a tick."""
LINE = 3.2
"""mm from one line of type to the next, and between names that would lie on one another."""
CURVES: tuple[Layer, ...] = ("cut", "bend", "axis", "ring", "weld", "mark_other")
"""How curves are told apart, in this order: full, dashed long, dash and dot, dotted, thick, dashed short."""

Ink = Stroke | Words


@dataclass(frozen=True)
class Axis:
    """Values from `low` to `high` on paper from `start` to `end`, mm; log: by their logarithms."""

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def at(self, value: float) -> float:
        """Where a value lies, mm."""
        low, high, v = (math.log(x) if self.log else x for x in (self.low, self.high, value))
        return self.start + (v - low) / (high - low) * (self.end - self.start)

    @property
    def ticks(self) -> tuple[float, ...]:
        """Round values on it, some 10 to 25 mm apart."""
        if self.log:
            first, last = math.floor(math.log10(self.low)), math.ceil(math.log10(self.high))
            whole = [m * 10.0**k for k in range(first, last + 1) for m in (1, 2, 5)]
            return tuple(value for value in whole if self.low * 0.999 <= value <= self.high * 1.001)
        step = rounded((self.high - self.low) / max(abs(self.end - self.start) / 11.0, 2.0))
        first = math.ceil(self.low / step - 1e-9)
        return tuple(k * step for k in range(first, math.floor(self.high / step + 1e-9) + 1))


def rounded(value: float) -> float:
    """1, 2 or 5 times a power of ten, none less than `value`.

    >>> rounded(3), rounded(0.11), rounded(50)
    (5.0, 0.2, 50.0)
    """
    power = 10.0 ** math.floor(math.log10(value))
    return next(float(f"{m * power:.3g}") for m in (1, 2, 5, 10) if m * power >= value * (1 - 1e-9))


def said(value: float) -> str:
    """A tick's figure, without idle noughts."""
    return f"{value + 0.0:.10g}"


def level_axis(axis: Axis, y: float, name: str) -> Iterator[Ink]:
    """An axis along x at the height `y`, its figures and, under them at its end, its name below."""
    yield Stroke.line("cut", (axis.start, y), (axis.end, y))
    for value in axis.ticks:
        x = axis.at(value)
        yield Stroke.line("tangent", (x, y), (x, y - TICK))
        yield middled(said(value), (x, y - TICK - LINE + 0.6))
    yield Words((axis.end - width(name, TYPE), y - TICK - 2 * LINE + 0.4), name, TYPE)


def upright_axis(axis: Axis, x: float, name: str) -> Iterator[Ink]:
    """An axis along y at `x`, its figures to the left and its name over it."""
    yield Stroke.line("cut", (x, axis.start), (x, axis.end))
    for value in axis.ticks:
        y = axis.at(value)
        yield Stroke.line("tangent", (x, y), (x - TICK, y))
        figure = said(value)
        yield Words((x - TICK - 0.8 - width(figure, TYPE), y - ASCENT * TYPE / 2), figure, TYPE)
    yield over_axis(axis, x, name)


def over_axis(axis: Axis, x: float, name: str) -> Words:
    """The name of an upright axis at `x`, over it."""
    return Words((x - TICK - 6.0, axis.end + 2.0), name, TYPE)


def over_edge(names: Iterable[tuple[str, float]], y: float, beside: Words) -> Iterator[Words]:
    """Names over the upper edge of a field, its height `y`, each in the middle over its x; those that would meet
    another, or the axis' name `beside`, are a line or more higher."""
    rows = [[(beside.box[0] - 1.2, beside.box[2] + 1.2)]]
    for words, x in sorted(names, key=lambda one: one[1]):
        half = width(words, TYPE) / 2 + 1.2
        row = next((k for k, taken in enumerate(rows) if all(x - half >= b for _, b in taken)), len(rows))
        if row == len(rows):
            rows.append([])
        rows[row].append((x - half, x + half))
        yield middled(words, (x, y + 2.0 + LINE * row))


def middled(text: str, at: Point) -> Words:
    """Words whose middle is over `at`, standing on it."""
    return Words((at[0] - width(text, TYPE) / 2, at[1]), text, TYPE)


def before(text: str, right: float, y: float) -> Words:
    """Words that end at `right`, their middle at the height `y`."""
    return Words((right - width(text, TYPE), y - ASCENT * TYPE / 2), text, TYPE)


def after(text: str, left: float, y: float) -> Words:
    """Words that begin at `left`, their middle at the height `y`."""
    return Words((left, y - ASCENT * TYPE / 2), text, TYPE)


def run(points: Sequence[Point], layer: Layer) -> Stroke | None:
    """A curve through points; None where they are one."""
    chords = tuple(Line(a, b) for a, b in zip(points, points[1:], strict=False) if math.dist(a, b) > 1e-6)
    return Stroke(layer, chords) if chords else None


def bar(axis: Axis, value: float, y: float, tall: float) -> Iterator[Stroke]:
    """A bar along x from 0 to a value, its middle at the height `y`; of nothing a tick."""
    a, b = axis.at(0.0), axis.at(value)
    low, high = y - tall / 2, y + tall / 2
    if abs(b - a) < 0.05:
        yield Stroke.line("cut", (a, low), (a, high))
        return
    corners = ((a, low), (b, low), (b, high), (a, high))
    yield Stroke("cut", tuple(Line(p, q) for p, q in zip(corners, (*corners[1:], corners[0]), strict=True)), True)


def span(axis: Axis, low: float, high: float, y: float, tall: float) -> Iterator[Stroke]:
    """From the least to the most that a value may be: a thin line with an end mark at either."""
    a, b = axis.at(low), axis.at(high)
    if b - a > 0.05:
        yield Stroke.line("tangent", (a, y), (b, y))
        for x in (a, b):
            yield Stroke.line("tangent", (x, y - tall / 4), (x, y + tall / 4))


def named_ends(ends: Iterable[tuple[str, Point]], x: float, low: float, high: float) -> Iterator[Ink]:
    """Names in a column at `x`, each as near to its end's height as there is room between `low` and `high`, with a
    leader from the end."""
    ordered = sorted(ends, key=lambda one: one[1][1])
    heights = apart([point[1] for _, point in ordered], LINE, low, high)
    for (name, point), y in zip(ordered, heights, strict=True):
        yield after(name, x, y)
        yield Stroke.line("leader", (point[0] + 0.4, point[1]), (x - 0.6, y))


def apart(wanted: Sequence[float], step: float, low: float, high: float) -> list[float]:
    """Rising values moved as little as may be until they are `step` apart, from `low` up, and to `high` where there
    is room for all: neighbours that would meet share the middle of what they want."""
    groups: list[list[float]] = []  # of each run: the lowest it wants to begin at, and how many
    for value in wanted:
        groups.append([value, 1.0])
        while len(groups) > 1 and groups[-2][0] + step * groups[-2][1] > groups[-1][0]:
            (first, many), (second, more) = groups[-2:]
            groups[-2:] = [[(first * many + (second - step * many) * more) / (many + more), many + more]]
    found = [first + step * i for first, many in groups for i in range(int(many))]
    for i in range(len(found)):
        found[i] = max(found[i], low + step * i)
    for i in reversed(range(len(found))):
        found[i] = min(found[i], max(high, low + step * (len(found) - 1)) - step * (len(found) - 1 - i))
    return found


def moved(ink: Iterable[Ink], by: Point) -> Iterator[Ink]:
    """The same elsewhere on paper; of strokes made of straight lines alone."""
    dx, dy = by
    for one in ink:
        if isinstance(one, Words):
            yield Words((one.at[0] + dx, one.at[1] + dy), one.text, one.size, one.layer)
        else:
            lines = tuple(Line((s.a[0] + dx, s.a[1] + dy), (s.b[0] + dx, s.b[1] + dy)) for s in one.segments)
            yield Stroke(one.layer, lines, one.closed)
