"""Pictures of a powertrain on its bushes: loads against limits, frequencies against what shakes, movement, and what
comes through over the engine's speed.

mm of paper, each WIDE wide, from its lower left corner; plain values in, ink out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brackets.drawing.charts import (
    CURVES,
    LINE,
    TYPE,
    Axis,
    Ink,
    after,
    bar,
    before,
    level_axis,
    middled,
    moved,
    named_ends,
    over_axis,
    over_edge,
    rounded,
    run,
    span,
    upright_axis,
)
from brackets.drawing.record import Stroke, Words, width
from brackets.geometry.segments import Point

WIDE = 172.0
"""mm: width of a picture, that of a sheet of A4."""
BAR = 2.2
"""mm: height of a bar."""
ROW = 3.6
"""mm from one bar to the next."""
NAMES = 44.0
"""mm for the names of mounts, cases and directions beside bars."""
BELOW = 9.0
"""mm under the axis: its figures and its name."""
SHOWN = 6
"""Cases drawn of a mount or a direction: at rest, and those that make most of it."""
TALL = 62.0
"""mm: height of the field of a chart with curves."""
RIGHT = 42.0
"""mm for the names of curves beside it."""
PER = "N for each Nm"
DIRECTIONS = (
    ("forward", "mm"), ("left", "mm"), ("up", "mm"), ("roll, left side up", "deg"), ("pitch, nose down", "deg"),
    ("yaw, nose left", "deg"),
)  # fmt: skip
"""Of the six figures of a movement: which way counts as more than 0, and the unit."""


@dataclass(frozen=True, kw_only=True)
class Ranged:
    """A figure by the name of its case, with its least and most where these are known."""

    name: str
    value: float
    low: float | None = None
    high: float | None = None

    @property
    def ends(self) -> tuple[float, float]:
        return (
            min(self.value, self.value if self.low is None else self.low),
            max(self.value, self.value if self.high is None else self.high),
        )


@dataclass(frozen=True, kw_only=True)
class Bars:
    """Bars of one mount or direction, the first of them at rest; limit: None where there is none."""

    name: str
    bars: tuple[Ranged, ...]
    limit: float | None = None

    @property
    def shown(self) -> tuple[Ranged, ...]:
        """The first, and of the others those of the largest figure, in their order."""
        if len(self.bars) <= SHOWN:
            return self.bars
        worst = sorted(self.bars[1:], key=lambda one: -abs(one.value))[: SHOWN - 1]
        return tuple(one for one in self.bars if one is self.bars[0] or one in worst)


@dataclass(frozen=True, kw_only=True)
class Mode:
    """A natural frequency with its scatter, Hz, and what it is called."""

    name: str
    hz: float
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Idling:
    """An engine at idle: turns a minute; orders that shake it; `most`, Hz: what no mode should be over; near: part
    of an order's frequency, either way, within which none should be; fastest: turns a minute, what is drawn."""

    idle: float
    orders: tuple[float, ...]
    most: float
    near: float
    fastest: float


def load_picture(mounts: Sequence[Bars]) -> tuple[Ink, ...]:
    """The size of each mount's force in each case, N, against the load of its row."""
    most = max(max(one.ends[1] for one in each.shown) for each in mounts)
    limits = [each.limit for each in mounts if each.limit is not None]
    axis = Axis(0.0, 1.08 * max(most, *limits, 1.0), NAMES, WIDE - 4.0)
    ink: list[Ink] = list(_bars(mounts, axis, BELOW, "N"))
    return (*ink, *level_axis(axis, BELOW, "force, N"))


def movement_picture(directions: Sequence[Bars]) -> tuple[Ink, ...]:
    """How far each case moves the centre of mass, mm, and turns the powertrain, degrees, from the place as drawn.

    directions: six `Bars`, in the order of DIRECTIONS.
    """
    halves = directions[:3], directions[3:]
    rows = [sum(len(each.shown) + 1 for each in half) for half in halves]
    ink: list[Ink] = []
    for half, left, unit in zip(halves, (0.0, WIDE / 2 + 2.0), ("mm", "degrees"), strict=True):
        ends = [end for each in half for one in each.shown for end in one.ends]
        reach = max(max(map(abs, ends)), 0.05)
        low, high = (-1.5 * reach if min(ends) < -0.02 * reach else 0.0), 1.5 * reach
        axis = Axis(low, high, left + NAMES - 12.0, left + WIDE / 2 - 4.0)
        top = (max(rows) - sum(len(each.shown) + 1 for each in half)) * ROW
        ink += _bars(half, axis, BELOW + top, unit, names=NAMES - 12.0)
        ink += level_axis(axis, BELOW, unit)
        if low < 0:
            ink.append(Stroke.line("tangent", (axis.at(0.0), BELOW), (axis.at(0.0), BELOW + max(rows) * ROW)))
    return tuple(ink)


def _bars(groups: Sequence[Bars], axis: Axis, low: float, unit: str, names: float = NAMES) -> Iterator[Ink]:
    """Groups of bars from the top down, the lowest row over `low`."""
    y = low + sum(len(each.shown) + 1 for each in groups) * ROW
    for each in groups:
        y -= ROW
        count = len(each.bars) - len(each.shown)
        more = f" ({count} smaller not drawn)" if count else ""
        title = after(each.name + more, axis.start - names, y + ROW * 0.35)
        yield title
        top = y + ROW * 0.1
        for one in each.shown:
            y -= ROW
            at = y + ROW / 2
            yield before(_cut(one.name, names - 8.0), axis.start - 1.5, at)
            yield from bar(axis, one.value, at, BAR)
            low_end, high_end = one.ends
            yield from span(axis, low_end, high_end, at, BAR)
            figure = f"{one.value + 0.0:.0f}" if unit == "N" else f"{one.value:z.2f}"
            if one.value < 0:
                yield before(figure, axis.at(min(low_end, one.value)) - 1.0, at)
            else:
                yield after(figure, axis.at(max(high_end, one.value)) + 1.0, at)
        if each.limit is not None:
            x, words = axis.at(each.limit), f"most {each.limit:g} {unit}"
            yield Stroke.line("weld", (x, y + 0.3), (x, top))
            half = width(words, TYPE) / 2
            yield middled(words, (max(min(x, axis.end - half), title.box[2] + 2.0 + half), top + 0.5))


def _cut(text: str, room: float) -> str:
    """The words, or as many letters of them as have room, with three dots."""
    if width(text, TYPE) <= room:
        return text
    while text and width(f"{text}...", TYPE) > room:
        text = text[:-1]
    return f"{text}..."


def frequency_picture(modes: Sequence[Mode], at: Idling) -> tuple[Ink, ...]:
    """Natural frequencies, level, with their scatter, against what shakes, rising with the engine's speed, Hz."""
    left, floor = 16.0, BELOW
    speed = Axis(0.0, at.fastest, left, WIDE - RIGHT)
    lowest = min(at.orders, default=0.0) * at.idle / 60 * (1 + at.near)
    top = 1.12 * max(max(mode.high for mode in modes), at.most, lowest)
    hz = Axis(0.0, top, floor, floor + TALL)
    lines: list[Stroke] = []
    ends: list[tuple[str, Point]] = []
    ink: list[Ink] = [*level_axis(speed, floor, "turns a minute"), *upright_axis(hz, left, "Hz")]
    lines.append(Stroke.line("tangent", (left, hz.end), (speed.end, hz.end)))
    for mode in modes:
        y = hz.at(mode.hz)
        lines.append(Stroke.line("cut", (left, y), (speed.end, y)))
        lines += [
            Stroke.line("ring", (left, hz.at(end)), (speed.end, hz.at(end)))
            for end in (mode.low, mode.high) if abs(end - mode.hz) > 1e-9
        ]  # fmt: skip
        ends.append((mode.name, (speed.end, y)))
    tops = [(f"idle {at.idle:g}", speed.at(at.idle))]
    for order in at.orders:
        x, y = at.fastest, order * at.fastest / 60
        name = f"order {order:g}"
        if y > top:
            x, y = 60 * top / order, top
            tops.append((name, speed.at(x)))
        else:
            ends.append((name, (speed.end, hz.at(y))))
        lines.append(Stroke.line("axis", (left, floor), (speed.at(x), hz.at(y))))
    idle = speed.at(at.idle)
    lines.append(Stroke.line("bend", (idle, floor), (idle, hz.end)))
    for order in at.orders:
        if order * at.idle / 60 * (1 - at.near) > top:
            continue
        low, high = (hz.at(min(order * at.idle / 60 * (1 + by), top)) for by in (-at.near, at.near))
        corners = ((idle - 1.0, low), (idle + 1.0, low), (idle + 1.0, high), (idle - 1.0, high), (idle - 1.0, low))
        box = run(corners, "cut")
        lines += [box] if box is not None else []
    wanted = hz.at(at.most)
    lines.append(Stroke.line("weld", (left, wanted), (idle, wanted)))
    ink += over_edge(tops, hz.end, over_axis(hz, left, "Hz"))
    return (*lines, *ink, *named_ends(ends, speed.end + 5.0, floor + 1.0, hz.end))


def through_picture(
    speeds: Sequence[float], curves: Sequence[tuple[str, Sequence[float]]], idle: float
) -> tuple[Ink, ...]:
    """What comes through to each mount of a couple of 1 Nm that comes as often as the engine fires, N for each Nm,
    over the engine's speed; figures of 0 are left out."""
    left, floor = 16.0, BELOW
    speed = Axis(0.0, max(speeds), left, WIDE - RIGHT)
    values = [value for _, curve in curves for value in curve if value > 0]
    high = rounded(max(values, default=1.0))
    least = max(min(values, default=1.0), high / 1e4)
    low = 10.0 ** math.floor(math.log10(least))
    force = Axis(low, high, floor, floor + TALL, log=True)
    ink: list[Ink] = [
        *level_axis(speed, floor, "turns a minute"),
        *upright_axis(force, left, PER),
        Stroke.line("tangent", (left, force.end), (speed.end, force.end)),
    ]
    ends: list[tuple[str, Point]] = []
    for k, (name, curve) in enumerate(curves):
        points = [
            (speed.at(x), force.at(min(max(value, low), high))) for x, value in zip(speeds, curve, strict=True)
        ]
        stroke = run(points, CURVES[k % len(CURVES)]) if max(curve) > low else None
        if stroke is not None:
            ink.append(stroke)
            ends.append((name, points[-1]))
    x = speed.at(idle)
    ink.append(Stroke.line("tangent", (x, floor), (x, force.end)))
    ink += over_edge([(f"idle {idle:g}", x)], force.end, over_axis(force, left, PER))
    return (*ink, *named_ends(ends, speed.end + 5.0, floor + 1.0, force.end))


def stacked(pictures: Sequence[tuple[str, Sequence[Ink]]], gap: float = 7.0) -> tuple[Ink, ...]:
    """Pictures one under the other, each under its sentence, from 0 down."""
    made: list[Ink] = []
    y = 0.0
    for sentence, ink in pictures:
        for text in broken(sentence, WIDE):
            y -= LINE + 0.4
            made.append(Words((0.0, y), text, TYPE))
        boxes = [one.box if isinstance(one, Words) else one.bounds for one in ink]
        low, high = min(box[1] for box in boxes), max(box[3] for box in boxes)
        y -= 2.0 + high
        made += moved(ink, (0.0, y))
        y += low - gap
    return tuple(made)


def broken(text: str, room: float) -> list[str]:
    """The words in lines of at most `room` mm."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if width(longer, TYPE) <= room or not lines[-1]:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
