"""Dimension lines of the set-up views: from the datum on one line a direction, and between two features.

mm of paper; the figures are those of the set-up.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.drawing.pictures import TYPE, Laid, Picture, arrow, bounds_of, dot_at
from brackets.drawing.record import Stroke, Words, width
from brackets.drawing.spread import spread
from brackets.drawing.view_directions import OVER, in_view
from brackets.forming.set_up import SetUp
from brackets.forming.set_up_datum import Feature, Spot
from brackets.forming.set_up_dimension import SetUpDimension, aligned
from brackets.geometry.segments import Point
from brackets.geometry.shapes import rectangle

BESIDE = 4.0
"""mm from a view to the line its distances are measured along."""

JOG = 5.0
"""mm from that line to the figures, in which lines lead to where there is room for them."""

LEVEL = 7.0
"""mm between one dimension line and the next."""

FRAME = 4.4
"""mm: the frame round the letter of a datum."""

SEEN_AT = 0.03
"""mm of the part: how near a line of a picture lies to the plane it is measured to."""


def running(found: SetUp, view: str, picture: Picture, laid: Laid, axis: int) -> Iterator[Stroke | Words]:
    """Distances along one axis from one line, each at its own place as near as there is room."""
    across = axis == OVER[view][0][0]
    k = 0 if across else 1
    values: dict[str, tuple[float, Point | None]] = {"0": (0.0, None)}
    for one in found.dimensions:
        if one.kind == "from datum" and one.axis == axis:
            at = _feature(found, view, picture, laid, one, k)
            before = values.get(one.text)
            if before is None or (at is not None and (before[1] is None or at[1 - k] < before[1][1 - k])):
                values[one.text] = (one.value, at)
    box = laid.box(bounds_of(picture))
    low = box[1 - k] - BESIDE
    ordered = sorted(values.items(), key=lambda pair: pair[1][0])
    wanted = [laid.at[k] + laid.scale * value for _, (value, _) in ordered]
    sizes = [width(text, TYPE) + 1.4 if across else TYPE + 0.9 for text, _ in ordered]
    set_at = spread(wanted, sizes)
    ends = (min(wanted), max(wanted))
    yield from _line(k, low, ends[0], low, ends[1])
    for (text, (_, feature)), place, stands in zip(ordered, wanted, set_at, strict=True):
        start = low + BESIDE - 0.8 if feature is None else min(feature[1 - k] - 0.8, low + BESIDE + 1e3)
        yield from _line(k, low, place, start, place)
        yield from _line(k, low, place, low - JOG, stands)
        yield _head(k, low, place, origin=text == "0")
        w = width(text, TYPE)
        p = (stands - w / 2, low - JOG - TYPE) if across else (low - JOG - 1.0 - w, stands - 0.36 * TYPE)
        yield Words(p, text, TYPE)
        if text == "0":
            letter = ("B", "A", "A")[axis] if found.datum.round else "CBA"[axis]
            level = (abs(y - stands) < (FRAME + TYPE) / 2 + 0.8 for y in set_at)
            widest = max(width(other, TYPE) for (other, _), near in zip(ordered, level, strict=True) if near)
            left = low - JOG - 1.0 - widest
            yield from _letter(letter, (stands, p[1] - 4.6) if across else (left - 4.0, stands))


def _letter(letter: str, middle: Point) -> Iterator[Stroke | Words]:
    """The letter of a datum in its frame (ISO 5459)."""
    yield Stroke.of("tangent", rectangle(FRAME, FRAME, centre=middle))
    yield Words((middle[0] - width(letter, TYPE) / 2, middle[1] - 0.36 * TYPE), letter, TYPE)


def _line(k: int, u0: float, v0: float, u1: float, v1: float) -> Iterator[Stroke]:
    """A thin line between (v, u) where k is 0, else (u, v); none of no length."""
    a, b = ((v0, u0), (v1, u1)) if k == 0 else ((u0, v0), (u1, v1))
    if math.dist(a, b) > 1e-6:
        yield Stroke.line("leader", a, b)


def _head(k: int, low: float, at: float, *, origin: bool) -> Stroke:
    """A ring where it begins, a tick at every other place (ISO 129-1: dimensions from a common origin)."""
    p = (at, low) if k == 0 else (low, at)
    if origin:
        return dot_at(p, 0.7)
    return Stroke.line("leader", (p[0] - 0.7, p[1] - 0.7), (p[0] + 0.7, p[1] + 0.7))


def _feature(
    found: SetUp, view: str, picture: Picture, laid: Laid, one: SetUpDimension, k: int
) -> Point | None:
    """Where the thing measured to is met first, coming from the line of figures; None where it has no place of
    its own in the view."""
    to = one.to
    at = laid.point(in_view(view, found.datum.local(to.at)))
    if isinstance(to, Spot):
        return at
    if to.kind == "axis" and math.hypot(*in_view(view, found.datum.direction(to.way))) < 1e-6:
        return at
    flat = next(seen for seen in picture if seen.piece == to.piece)
    value = one.value * OVER[view][k][1]
    if to.kind == "axis":
        box = bounds_of((flat,))
        p = (value, box[1]) if k == 0 else (box[0], value)
        return laid.point(p)
    spots = [p for run in (*flat.visible, *flat.hidden) for p in run if abs(p[k] - value) < SEEN_AT]
    return laid.point(min(spots, key=lambda p: p[1 - k])) if spots else None


def linear(found: SetUp, one: SetUpDimension) -> tuple[int, Point, Point] | None:
    """Whether it runs along x or y, and its two ends as seen from above; None where it runs along neither."""
    if one.start is None or one.kind != "apart":
        return None
    a, b = found.datum.local(one.start.at), found.datum.local(one.to.at)
    if isinstance(one.to, Feature):
        i = aligned(found.datum.direction(one.to.way))
    else:
        i = aligned(tuple(q - p for p, q in zip(a, b, strict=True)))  # type: ignore[arg-type]
    return None if i is None or i == 2 else (i, a[:2], b[:2])


def between_two(
    text: str, i: int, ends: tuple[Point, Point], picture: Picture, laid: Laid, level: int
) -> Iterator[Stroke | Words]:
    """Over the view from above where it runs along x, to its right where along y; `level` counts them from 1."""
    box = laid.box(bounds_of(picture))
    low, high = sorted(laid.at[i] + laid.scale * p[i] for p in ends)
    u = box[3] + LEVEL * level - 2.0 if i == 0 else box[2] + LEVEL * 1.6 * level - 6.0
    from_u = box[3] + 0.8 if i == 0 else box[2] + 0.8
    for v in (low, high):
        yield from _line(i, from_u, v, u + 1.5, v)
    tips = [(low, u), (high, u)] if i == 0 else [(u, low), (u, high)]
    yield from _line(i, u, low, u, high)
    for tip, tail in (tips, tips[::-1]):
        yield from arrow(tip, tail)
    w, middle = width(text, TYPE), (low + high) / 2
    yield Words((middle - w / 2, u + 0.9) if i == 0 else (u + 1.0, middle - 0.36 * TYPE), text, TYPE)
