"""Round pieces in card: rolled round their axis at the middle of the card, so that the outside is the steel's.

A tube is one wrap from end to end with its copes, developed as seen from outside, its seam opposite the clock line;
discs inside hold it round. A turned piece is a wrap a step, one for its bore, and rings. mm on the flat card.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from brackets.core.place import Place
from brackets.core.vectors import Vec, add, length, scale, square_to, sub, unit
from brackets.forming.card_stock import Card
from brackets.forming.wrap import SEAM, wrap
from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region
from brackets.geometry.segments import Line, Point
from brackets.geometry.shapes import circle
from brackets.model.bent_tube import corner_angles, frames, setback
from brackets.model.fold_tree import merged
from brackets.model.tube import BentTube, Tube, TubeEnd, Turned, Which

FLAP = 10.0
"""mm of glue flap under the seam: common practice, no source."""

CLEAR = 2.0
"""mm the flap is kept off the ends of the wrap."""

RING = 1.0
"""mm: the narrowest ring that is cut."""

GORE = 22.5
"""Degrees that one joint of a bend turns at most: common practice, no source."""

FLAT = 8.0
"""Thicknesses of card under which a round thing is stacked and not rolled: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Shape:
    """One shape to cut, `count` times: `marks` are lines with their names, `flap` where the glue flap begins."""

    name: str
    region: Region
    count: int = 1
    marks: tuple[tuple[str, Point, Point], ...] = ()
    flap: tuple[Point, Point] | None = None
    rolled: float | None = None


def tube_shapes(tube: Tube, card: Card) -> tuple[Shape, ...]:
    """The wrap of a straight tube, and two discs that go inside it."""
    return (_tube_wrap(tube, card), Shape(name="disc inside", region=Region(_disc(tube.od - 2 * card.t)), count=2))


def gored_shapes(tube: BentTube, card: Card) -> tuple[Shape, ...]:
    """The wraps of a bent tube in order from its start, and discs that go inside, two for each."""
    wraps = [_tube_wrap(one, card) for one in straight_tubes(tube)]
    named = (replace(one, name=f"wrap {n} of {len(wraps)}") for n, one in enumerate(wraps, 1))
    disc = Region(_disc(tube.od - 2 * card.t))
    return (*named, Shape(name="disc inside", region=disc, count=2 * len(wraps)))


def straight_tubes(tube: BentTube) -> tuple[Tube, ...]:
    """A bent tube as straights and gores mitred to each other: card is not bent, it is jointed about its bends."""
    found = []
    points = _about_bends(tube)
    laid, turns = frames(points, Place()), corner_angles(points)
    last = len(laid) - 1
    for i, frame in enumerate(laid):
        start, end = tube.start, tube.end
        if i:
            start = _mitre(turns[i - 1], frame.local_direction(scale(laid[i - 1].axis, -1.0)))
        if i < last:
            end = _mitre(turns[i], frame.local_direction(laid[i + 1].axis))
        found.append(
            Tube(
                name=f"{tube.name} {i + 1}",
                material=tube.material,
                od=tube.od,
                wall=tube.wall,
                length=length(sub(points[i + 1], points[i])),
                start=start,
                end=end,
                start_also=() if i else tube.start_also,
                end_also=() if i < last else tube.end_also,
            )
        )
    return tuple(found)


def _about_bends(tube: BentTube) -> tuple[Vec, ...]:
    """The tube's points with each corner of a bend as the corners of a polygon about its arc."""
    found = [tube.points[0]]
    for i, turn in enumerate(corner_angles(tube.points), 1):
        before = unit(sub(tube.points[i], tube.points[i - 1]))
        after = unit(sub(tube.points[i + 1], tube.points[i]))
        inward = unit(square_to(after, before))
        start = sub(tube.points[i], scale(before, setback(turn, tube.bend_r)))
        centre = add(start, scale(inward, tube.bend_r))
        joints = _joints(turn)
        each = math.radians(turn) / joints
        far = tube.bend_r / math.cos(each / 2)
        for k in range(joints):
            at = (k + 0.5) * each
            out = add(scale(before, far * math.sin(at)), scale(inward, -far * math.cos(at)))
            found.append(add(centre, out))
    return (*found, tube.points[-1])


def _joints(turn: float) -> int:
    return max(1, math.ceil(turn / GORE - 1e-9))


def proud(tube: BentTube) -> float:
    """How far the outermost corner of the mitres stands out past the bends, mm."""
    outer = tube.bend_r + tube.od / 2
    turns = (math.radians(turn) / _joints(turn) for turn in corner_angles(tube.points))
    return max(outer * (1 / math.cos(turn / 2) - 1) for turn in turns)


def turned_shapes(piece: Turned, card: Card) -> tuple[Shape, ...]:
    """For each step its outside and, where the wall has room for two cards, its bore, and two rings or discs.

    A step that is low for its card is stacked from rings or discs.
    """
    found: list[Shape] = []
    t = card.t
    for number, step in enumerate(piece.steps, 1):
        named = f"step {number} " if len(piece.steps) > 1 else ""
        if step.length < FLAT * t:
            layers = max(1, round(step.length / t))
            bore = (circle((0.0, 0.0), step.bore / 2),) if step.bore > 0 else ()
            ring = Region(_disc(step.od), bore)
            found.append(Shape(name=f"{named}layers of {step.length:g} mm", region=ring, count=layers))
            continue
        lined = step.bore > 0 and (step.od - step.bore) / 2 >= 2 * t
        if step.od > t:
            found.append(_plain_wrap(f"{named}outside", step.od - t, step.length, rolled=step.od))
        if lined:
            found.append(_plain_wrap(f"{named}bore", step.bore + t, step.length, rolled=step.bore + 2 * t))
        outer, hole = step.od - 2 * t, step.bore + 2 * t if lined else step.bore
        if outer - hole >= 2 * RING:
            holes = (circle((0.0, 0.0), hole / 2),) if hole > 0 else ()
            what = "ring" if hole > 0 else "disc"
            found.append(Shape(name=f"{named}{what} inside", region=Region(_disc(outer), holes), count=2))
    return tuple(found)


def _mitre(turn: float, inside: tuple[float, float, float]) -> TubeEnd:
    x, y, _ = inside
    return TubeEnd(kind="plane", angle=90.0 - turn / 2, clock=math.degrees(math.atan2(y, x)) % 360.0)


def _disc(d: float) -> Outline:
    return circle((0.0, 0.0), d / 2)


def _tube_wrap(tube: Tube, card: Card) -> Shape:
    scaled = (tube.od - card.t) / tube.od
    wide = math.pi * tube.od
    low = [(x * scaled, y) for x, y in _contour(tube, "start")]
    high = [((wide - x) * scaled, tube.length - y) for x, y in _contour(tube, "end")]
    around = wide * scaled
    bottom = min(y for _, y in low)
    low, high = ([(x, y - bottom) for x, y in line] for line in (low, high))
    ends = low[-1][1], high[0][1]
    ring = [*low, *_flap(around, *ends), *high]
    marks = tuple(
        (f"{degrees:g}" if degrees else "CLOCK LINE", (x, _height(low, x)), (x, _height(high[::-1], x)))
        for degrees in (0.0, 90.0, 270.0)
        for x in (((degrees - SEAM) % 360.0) / 360.0 * around,)
    )
    return Shape(
        name="wrap",
        region=Region(_outline(ring)),
        marks=marks,
        flap=((around, ends[0]), (around, ends[1])),
        rolled=tube.od,
    )


def _contour(tube: Tube, which: Which) -> tuple[Point, ...]:
    return wrap(tube, which, paper=0.0, overlap=0.0).cut


def _plain_wrap(name: str, mean: float, high: float, *, rolled: float) -> Shape:
    around = math.pi * mean
    ring = [(0.0, 0.0), (around, 0.0), *_flap(around, 0.0, high), (around, high), (0.0, high)]
    flap = ((around, 0.0), (around, high))
    return Shape(name=name, region=Region(_outline(ring)), flap=flap, rolled=rolled)


def _flap(x: float, low: float, high: float) -> Iterator[Point]:
    """The glue flap's corners, its ends cut back at 45 degrees."""
    off = min(CLEAR, (high - low) / 4)
    back = min(FLAP, (high - low) / 4)
    yield from ((x, low + off), (x + FLAP, low + off + back), (x + FLAP, high - off - back), (x, high - off))


def _outline(ring: list[Point]) -> Outline:
    points = [p for i, p in enumerate(ring) if math.dist(p, ring[i - 1]) > 1e-6]
    return Outline(merged(tuple(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True))))


def _height(line: list[Point], x: float) -> float:
    """Height of a line that runs rightwards, at `x`."""
    for (ax, ay), (bx, by) in zip(line, line[1:], strict=False):
        if ax <= x <= bx and bx > ax:
            return ay + (by - ay) * (x - ax) / (bx - ax)
    return line[-1][1]
