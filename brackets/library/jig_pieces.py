"""What a jig is made of: uprights on tabs, turned posts, pins, shafts and spacers. mm, in the jig's frame.

The base's upper face is z = 0. An upright stands square to its shaft, so that it leans with it: cut square,
it then stands on one edge.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.tables.bolt_rows import bolt as bolt_row
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import Vec, cross, dot, unit
from brackets.geometry.curve import Outline
from brackets.geometry.shapes import polygon
from brackets.model.holes import Hole, Point, Window
from brackets.model.piece import Piece
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Step, Turned
from brackets.model.weld import Along, Circle, Face, Weld

METAL = 15.0
"""mm of an upright round its holes: common practice, no source."""

UNDER_HOLE = 5.0
"""mm of an upright between a hole and its foot, at least: common practice, no source."""

UNDER_SHAFT = 2.0
"""mm from the base to the end of a shaft that leans towards it: common practice, no source."""

FOOT = 90.0
"""mm: an upright is no narrower at its foot, nor than SPREAD of its height."""

SPREAD = 0.5

TAB = 20.0
"""mm: width of each of an upright's two tabs, common practice, no source."""

LEG = 6.0
"""mm: leg of the jig's own welds."""

GRIP = 15.0
"""mm that a shaft stands out over either upright, to draw it by."""

HOLLOW = 40.0
"""mm: a shaft thicker than this is bored, BAR mm of metal left all round."""

BAR = 8.0

COLLAR = 10.0
"""mm that a spacer or a pin's shoulder is over what goes through it, on the diameter."""

SPIGOT = 0.6
"""Of a post's outside: its spigot in the base."""

LEAD = 3.0
"""mm that a pin stands out over the bore it is in."""


class TooLowError(InputError):
    """The holes of an upright would lie in the base or under it; `short`: mm that the weldment is to be higher."""

    def __init__(self, short: float) -> None:
        super().__init__(
            f"jig = {short:.1f} mm too low, must stand the weldment so high that every upright has its holes over"
            " the base: a shaft in it leans too far"
        )
        self.short = short

    def __reduce__(self) -> tuple[type[TooLowError], tuple[float]]:  # type: ignore[override]
        return type(self), (self.short,)


@dataclass(frozen=True)
class Standing:
    """A piece that stands on the base, its welds, what is cut out of the base for it, and (x, y) round its foot."""

    piece: Piece
    welds: tuple[Weld, ...]
    openings: tuple[Hole | Window, ...]
    ground: tuple[Point, ...]


def frame(axis: Vec, at: Vec) -> Place:
    """The frame of an upright: z along its shaft, y as far up as it can be, x level."""
    v = (-axis[0] * axis[2], -axis[1] * axis[2], 1.0 - axis[2] * axis[2])
    return Place(at, axis, unit(v))


def upright(name: str, at: Place, holes: Sequence[Hole], t: float, *, base_t: float, clearance: float) -> Standing:
    """An upright `t` thick with its lower face in the xy plane of `at`, up to METAL over its highest hole, two tabs
    through the base.

    at: by `frame`; holes: in that plane; clearance: of the tabs in their slots.
    """
    rise, lean, base = at.up[2], at.axis[2], at.at[2]
    foot = (-base - min(0.0, t * lean)) / rise
    end = foot - base_t / rise
    low = min(h.at[0] - h.d / 2 for h in holes) - METAL
    high = max(h.at[0] + h.d / 2 for h in holes) + METAL
    top = max(h.at[1] + h.d / 2 for h in holes) + METAL
    middle = (low + high) / 2
    half = max((high - low) / 2, FOOT / 2, SPREAD * (top - foot) / 2)
    left, right = middle - half, middle + half
    inset = max(8.0, (2 * half - 2 * TAB) / 6)
    tabs = ((left + inset, left + inset + TAB), (right - inset - TAB, right - inset))
    feet = [p for a, b in tabs for p in ((a, foot), (a, end), (b, end), (b, foot))]
    shoulder = min(h.at[1] for h in holes)
    corners: list[Point] = [(left, foot), *feet, (right, foot)]
    if high - low < 2 * half - 1.0 and shoulder - foot > 1.0:
        corners += [(right, foot + 0.25 * (shoulder - foot)), (high, shoulder), (high, top), (low, top)]
        corners += [(low, shoulder), (left, foot + 0.25 * (shoulder - foot))]
    else:
        corners += [(right, top), (left, top)]
    rounds = [0.0] * len(corners)
    tops = [i for i, (_, y) in enumerate(corners) if y == top]
    for i in tops:
        rounds[i] = 0.9 * min(METAL, (top - foot) / 3)
    outline: Outline = polygon(corners, radii=rounds)
    piece = Plate(name=name, place=at, t=t, wall=Wall(outline=outline, openings=tuple(holes)))
    slots = [_slot(name, at, tab, (end, foot), t, base_t, clearance) for tab in tabs]
    faces: tuple[Face, ...] = ("low", "high") if abs(lean) < 1e-6 else ("low",) if lean > 0 else ("high",)
    between = Along((tabs[0][1], foot), (tabs[1][0], foot))
    welds = [Weld(piece=name, edge=Along(between.start, between.end, f), onto="base", leg=LEG) for f in faces]
    ground = [at.point((x, foot, z))[:2] for x in (left, right) for z in (0.0, t)]
    ground += [p for one in slots for p in one.outline.points()]
    return Standing(piece, tuple(welds), tuple(slots), tuple((x, y) for x, y in ground))


def too_low(at: Place, holes: Sequence[Hole], t: float) -> float:
    """mm by which the base is to be lower for the holes of an upright to lie in it, and the end of the shaft that
    stands out of it to lie over the base; 0 where they do."""
    rise, lean, base = at.up[2], at.axis[2], at.at[2]
    foot = (-base - min(0.0, t * lean)) / rise
    low = min(h.at[1] - h.d / 2 for h in holes)
    end = base + low * rise + min(-GRIP * lean, (t + GRIP) * lean)
    short = 0.0 if low - foot >= UNDER_HOLE else (METAL - low + foot) * rise
    return max(short, UNDER_SHAFT - end if end < 0.0 else 0.0)


def _slot(
    name: str, at: Place, tab: tuple[float, float], span: tuple[float, float], t: float, base_t: float, room: float
) -> Window:
    """What is cut out of the base for a tab: all that the tab takes of it, and half of `room` all round."""
    rise, lean, base = at.up[2], at.axis[2], at.at[2]
    level = unit((at.axis[0], at.axis[1], 0.0))
    far = []
    for z, height in itertools.product((0.0, t), (0.0, -base_t)):
        y = max((height - base - z * lean) / rise, span[0])
        far.append(dot(at.point((0.0, y, z)), level))
    low, high = min(far) - room / 2, max(far) + room / 2
    a, b = (dot(at.point((x, 0.0, 0.0)), at.x) for x in (tab[0] - room / 2, tab[1] + room / 2))
    places = ((low, a), (low, b), (high, b), (high, a))
    corners = [(out * level[0] + x * at.x[0], out * level[1] + x * at.x[1]) for out, x in places]
    return Window(outline=polygon(corners), name=f"tab of {name}")


def post(name: str, at: Point, tall: float, thread: str | None, *, base_t: float, clearance: float) -> Standing:
    """A turned post `tall` mm over the base, a spigot in it, tapped on top for the bolt `thread`; a pad if none."""
    d = bolt_row(thread).d if thread else 10.0
    od = math.ceil(max(2.0 * d, bolt_row(thread).washer_od if thread else 20.0))
    socket = float(round(SPIGOT * od))
    tapped = hole(thread, "tap") if thread else 0.0
    deep = min(2.0 * d, tall) if thread else 0.0
    steps = [Step(length=base_t, od=socket - clearance)]
    if tall - deep > 1e-6:
        steps.append(Step(length=tall - deep, od=float(od)))
    if deep:
        steps.append(Step(length=deep, od=float(od), bore=tapped))
    piece = Turned(name=name, place=Place((*at, -base_t)), steps=tuple(steps), thread=thread)
    weld = Weld(piece=name, edge=Circle(base_t, float(od)), onto="base", leg=LEG)
    opening = Hole(at=at, d=socket, kind="bore", name=name)
    return Standing(piece, (weld,), (opening,), _round(at, od / 2))


def pin(
    name: str, at: Point, low: float, high: float, d: float, shoulder: float, *, base_t: float, clearance: float
) -> Standing:
    """A pin of diameter `d` from `low` to LEAD over `high`, on a shoulder of diameter `shoulder` over the base."""
    spigot = round(min(d, shoulder * SPIGOT)) - clearance if low > 1e-6 else d
    steps = [Step(length=base_t, od=spigot)]
    if low > 1e-6:
        steps.append(Step(length=low, od=shoulder))
    steps.append(Step(length=high - max(low, 0.0) + LEAD, od=d))
    ring = Circle(base_t, shoulder if low > 1e-6 else d)
    piece = Turned(name=name, place=Place((*at, -base_t)), steps=tuple(steps))
    # where the weldment lies on the base the pin is welded from below
    weld = Weld(piece=name, edge=ring if low > LEG else Circle(0.0, spigot), onto="base", leg=LEG)
    opening = Hole(at=at, d=spigot + clearance, kind="bore", name=name)
    return Standing(piece, (weld,), (opening,), _round(at, max(d, shoulder if low > 1e-6 else d) / 2))


def shaft(name: str, axis: Place, low: float, high: float, d: float) -> Turned:
    """A dummy shaft about the z axis of `axis`; a thick one is bored to be lifted."""
    bore = d - 2 * BAR if d > HOLLOW else 0.0
    step = Step(length=high - low, od=d, bore=bore)
    return Turned(name=name, place=axis @ Place((0.0, 0.0, low)), steps=(step,))


def spacer(name: str, axis: Place, low: float, high: float, d: float, clearance: float) -> Turned:
    """What fills a shaft of diameter `d` from `low` to `high`, so that nothing slides along it."""
    step = Step(length=high - low, od=math.ceil(d + COLLAR), bore=d + clearance)
    return Turned(name=name, place=axis @ Place((0.0, 0.0, low)), steps=(step,))


def _round(at: Point, r: float) -> tuple[Point, ...]:
    x, y = at
    return ((x - r, y), (x + r, y), (x, y - r), (x, y + r))


def level_of(axis: Vec) -> Vec:
    """The level direction square to `axis`."""
    return unit(cross((0.0, 0.0, 1.0), axis))
