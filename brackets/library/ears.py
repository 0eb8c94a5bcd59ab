"""Ears: two plates, loose or folded in one with a back, that hold a bush by the bolt through its sleeve.

Frame: origin at the bush centre, z the bush axis, y from the bush towards what the ears are fixed to. Looking
against z, x is to the right. The ears stand at z = +inside/2 and -inside/2.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.core.errors import OutOfRange
from brackets.core.place import Place
from brackets.core.schema.bounds import at_least, at_most
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import Vec, add, dot, length, scale, square_to, unit
from brackets.geometry.curve import Outline
from brackets.geometry.regions import cut, single
from brackets.geometry.shapes import polygon, round_hull
from brackets.model.holes import Point, bolt_hole
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Plate, TubeSeat, Wall
from brackets.model.weld import Along, AtSeat, Face, Weld

FIT_UP = 0.5
"""Gap left between a back's foot and the tube it stands beside, mm: common practice, no source."""

DEEP = 0.9
"""How near a foot's edge must pass the tube's axis, in radii, for the cut to be an edge and not a feather."""

BEYOND = 1e3
"""Larger than any ear, mm."""

LEAST_BITE = 0.02
"""How deep a foot's corner must lie within the tube, in tube diameters, so that the cut edge ends in a corner."""

LEAST_METAL = 3.0
"""Least metal between a bush bolt's hole and an edge that the geometry accepts, mm: findings ask for more."""

FACES: tuple[Face, Face] = ("low", "high")

FOOT = 0.85
"""Widest foot on a round tube, in tube diameters: beyond it the edge runs out along the tube."""


@dataclass(frozen=True, kw_only=True)
class Rail:
    """A round tube that ears stand on: its axis passes (offset, reach, 0) along (tan side, tan slope, 1).

    od: outside, mm; reach: from the bush's centre to its axis, mm along y; slope, side: degrees that it leans from
    the bush axis towards y and x; offset: mm to the right. The frame is that of the ears.
    """

    od: float
    reach: float
    slope: float = 0.0
    side: float = 0.0
    offset: float = 0.0

    @property
    def at(self) -> Vec:
        return (self.offset, self.reach, 0.0)

    @property
    def axis(self) -> Vec:
        return unit((math.tan(math.radians(self.side)), math.tan(math.radians(self.slope)), 1.0))

    def centre(self, z: float) -> Point:
        """Where the axis passes the plane at `z`."""
        dx, dy, dz = self.axis
        return (self.offset + dx / dz * z, self.reach + dy / dz * z)

    def clear(self, p: Point, z: float) -> float:
        """How far the point (x, y, z) is outside the tube, mm."""
        ax = self.axis
        d = (p[0] - self.offset, p[1] - self.reach, z)
        along = sum(u * v for u, v in zip(d, ax, strict=True))
        return math.sqrt(max(0.0, sum(u * u for u in d) - along * along)) - self.od / 2

    def nearest(self, far: float) -> float:
        """Least distance from the bush axis to the tube's outside within `far` mm of the bush, along its axis."""
        ends = [math.hypot(*self.centre(z)) for z in (-far, far)]
        dx, dy, dz = self.axis
        sx, sy = dx / dz, dy / dz
        z = -(self.offset * sx + self.reach * sy) / (sx * sx + sy * sy) if sx or sy else 0.0
        inner = math.hypot(*self.centre(max(-far, min(far, z))))
        return min(*ends, inner) - self.od / 2 / dz

    def sits(self, ears: Ears) -> bool:
        """Whether every corner of the feet lies well within the tube, through the whole thickness."""
        for level in ears.levels:
            x, y = self.centre(level)
            for face in (level - ears.t / 2, level + ears.t / 2):
                for corner in (x - ears.foot / 2, x + ears.foot / 2):
                    if self.clear((corner, y), face) > -LEAST_BITE * self.od:
                        return False
        return True

    def level(self, x: float) -> float:
        """y of the tube's near side at `x`, level with the bush."""
        return self.reach - math.sqrt(max(0.0, (self.od / 2) ** 2 - (x - self.offset) ** 2))

    def chord_middle(self, p: Point, way: Point, z: float) -> Point:
        """The middle of what the tube cuts, at level `z`, out of the line through `p` along `way`.

        Raises InputError where the line misses the tube or only grazes it.
        """
        ax = self.axis
        d = (p[0] - self.offset, p[1] - self.reach, z)
        w = (way[0], way[1], 0.0)
        flat_d = square_to(d, ax)
        flat_w = square_to(w, ax)
        s = -dot(flat_d, flat_w) / dot(flat_w, flat_w)
        if length(add(flat_d, scale(flat_w, s))) > DEEP * self.od / 2:
            raise OutOfRange(
                f"slope = {self.slope:g} deg, side_angle = {self.side:g} deg, must be smaller or the foot nearer"
                " the tube's middle: the back's side of an ear misses the tube"
            )
        return (p[0] + s * way[0], p[1] + s * way[1])

    def mirrored(self) -> Rail:
        return replace(self, offset=-self.offset, side=-self.side)

    def seat(self) -> Seat:
        """The seat on the tube: on its axis nearest the bush, z along it, y towards the bush."""
        ax = self.axis
        t = -dot(self.at, ax)
        at = add(self.at, scale(ax, t))
        return Seat(name="foot", place=Place(at, ax, scale(at, -1.0)), kind="round", d=self.od)


@dataclass(frozen=True, kw_only=True)
class Ears:
    """Sizes of a pair of ears, straight, joggled or folded with a back; mm.

    bolt: through the bush's sleeve, as "M12"; inside: between the ears, the sleeve's length and its play; ear_r:
    radius round the pivot; t: thickness; foot: width where they stand; leg: of the welds; material: of the plate.
    """

    bolt: str
    inside: float
    ear_r: float
    t: float
    foot: float
    leg: float
    material: str = "S235"

    def rules(self, on: Rail | FlatSeat) -> Iterator[str]:
        """What is wrong with these ears on that seat, a line each."""
        bore = hole(self.bolt, "pivot")
        if self.ear_r < bore / 2 + LEAST_METAL:
            why = f"metal round a {bore:g} hole for {self.bolt}"
            yield at_least("ear_r", self.ear_r, bore / 2 + LEAST_METAL, why)
        if isinstance(on, Rail):
            if self.foot > FOOT * on.od + 1e-9:
                why = f"{FOOT:g} of the tube's outside {on.od:g}, beyond it the edge runs out to a feather"
                yield at_most("foot", self.foot, FOOT * on.od, why)
            least = on.nearest(self.inside / 2 + self.t) - bore / 2
            if least < LEAST_METAL:
                yield (
                    f"reach = {on.reach:g} mm, {on.reach + LEAST_METAL - least:.1f} or more: the tube must not"
                    " reach the bolt's hole"
                )
            elif not on.sits(self):
                yield (
                    f"side_angle = {on.side:g} deg, slope = {on.slope:g} deg: smaller, or a narrower foot: the ends"
                    " of the foot run past the tube"
                )
        else:
            far = self.inside / 2 + self.t
            room = on.met(-far, far).clear((0.0, 0.0), 0.0)
            if room < bore / 2 + LEAST_METAL:
                yield (
                    f"reach = {on.reach:g} mm, more: the flat is {room:.1f} mm from the bush centre,"
                    f" {bore / 2 + LEAST_METAL:g} or more"
                )

    @property
    def crown(self) -> Point:
        """A point in the metal on the far side of the pivot from the seat."""
        return (0.0, -(self.ear_r + hole(self.bolt, "pivot") / 2) / 2)

    @property
    def levels(self) -> tuple[float, float]:
        """z of the middle of each ear."""
        far = (self.inside + self.t) / 2
        return far, -far


def ear_foot(ear_r: float, rail_od: float | None) -> float:
    """Width of an ear's foot that the trade would pick, mm: as wide as the ear, on a round tube at most 0.8 of it.

    ear_r: radius of the ear round its pivot, mm; rail_od: outside of the tube it stands on, mm, None for a flat.
    Common practice, no source.

    >>> ear_foot(25, None), ear_foot(25, 40)
    (50, 32.0)
    """
    return 2 * ear_r if rail_od is None else min(2 * ear_r, 0.8 * rail_od)


def pivot_seat() -> Seat:
    return Seat(name="bush", place=Place(), kind="bush")


def _profile(ears: Ears, feet: Sequence[Point]) -> Outline:
    """The ear round its pivot, down to the corners of its foot."""
    return round_hull([(0.0, 0.0, ears.ear_r), *((x, y, 0.0) for x, y in feet)])


def _loose(ears: Ears, walls: Sequence[Wall]) -> tuple[Piece, ...]:
    names = ("ear_front", "ear_rear")
    return tuple(
        Plate(name=name, place=Place(at=(0.0, 0.0, low)), wall=wall, t=ears.t, material=ears.material)
        for name, low, wall in zip(names, _lows(ears), walls, strict=True)
    )


def _lows(ears: Ears) -> tuple[float, float]:
    """z of the rear face of each ear."""
    return ears.inside / 2, -ears.inside / 2 - ears.t


def on_tube(ears: Ears, rail: Rail, *, name: str = "ears") -> Part:
    """A part of two loose ears coped to a round tube, with a weld on both faces of each foot.

    ears: their sizes; rail: the tube they stand on, at any slope and side angle; name: of the part. Its pieces are
    "ear_front" and "ear_rear", its seats "bush" at the origin and "foot" on the tube's axis. `Ears.rules` says
    which sizes go together.

    >>> ears = Ears(bolt="M12", inside=52, ear_r=22, t=6, foot=38, leg=5)
    >>> part = on_tube(ears, Rail(od=48.3, reach=80))
    >>> part.seat("foot").place.at, [piece.place.at[2] for piece in part.pieces]  # 52 apart, 6 thick
    ((0.0, 80.0, 0.0), [26.0, -32.0])
    """
    walls = []
    for level, low in zip(ears.levels, (ears.inside / 2, -ears.inside / 2 - ears.t), strict=True):
        x, y = rail.centre(level)
        feet = [(x - ears.foot / 2, y), (x + ears.foot / 2, y)]
        # where it passes the plate's own z = 0: both ears of a rail square to them are one shape, made once
        seat = TubeSeat(at=(*rail.centre(low), 0.0), axis=rail.axis, r=rail.od / 2, keep=ears.crown)
        walls.append(
            Wall(
                outline=_profile(ears, feet),
                openings=(bolt_hole((0.0, 0.0), ears.bolt, kind="pivot", name="pivot"),),
                seats=(seat,),
            )
        )
    pieces = _loose(ears, walls)
    welds = tuple(
        Weld(piece=p.name, edge=AtSeat(0, face), onto="foot", leg=ears.leg) for p in pieces for face in FACES
    )
    return Part(name=name, pieces=pieces, welds=welds, seats=(pivot_seat(), rail.seat()))


@dataclass(frozen=True, kw_only=True)
class FlatSeat:
    """A flat face that ears stand on: it passes (offset, reach, 0).

    reach, offset: mm, in the frame of the ears; lean: degrees that it is turned about the bush axis, from x towards
    y, as seen in the plane z = 0; slope: degrees from the bush axis, from z towards y, as seen in the plane x = 0.
    """

    reach: float
    offset: float = 0.0
    lean: float = 0.0
    slope: float = 0.0

    def met(self, low: float, high: float) -> FlatSeat:
        """The flat as a plate between these levels of z is cut to it: square, where it comes nearest the bush. On a
        slope the plate stands on one edge of its foot, the other t tan(slope) off."""
        rise = math.tan(math.radians(self.slope))
        return replace(self, reach=self.reach + min(low * rise, high * rise), slope=0.0)

    @property
    def along(self) -> Point:
        """Unit vector along the flat, to the right."""
        a = math.radians(self.lean)
        return (math.cos(a), math.sin(a))

    def level(self, x: float) -> float:
        """y of the flat at `x`."""
        return self.reach + (x - self.offset) * math.tan(math.radians(self.lean))

    def clear(self, p: Point, z: float) -> float:
        """How far (x, y, z) is off the flat at its own level, on the bush's side, mm."""
        c, s = self.along
        reach = self.reach + z * math.tan(math.radians(self.slope))
        return (p[0] - self.offset) * s - (p[1] - reach) * c

    def corners(self, foot: float, ear_r: float = 0.0) -> tuple[Point, Point]:
        """Left and right corner of a foot `foot` mm wide, or as wide as the ear is where it meets the flat."""
        c, s = self.along
        left, right = -foot / 2, foot / 2
        half = math.sqrt(max(0.0, ear_r**2 - self.clear((0.0, 0.0), 0.0) ** 2))
        if half > 0:
            middle = -(self.offset * c + self.reach * s)
            left, right = min(left, middle - half), max(right, middle + half)
        ends = [(self.offset + at * c, self.reach + at * s) for at in (left, right)]
        return ends[0], ends[1]

    def trimmed(self, ear: Outline, *, local: Callable[[Point], Point]) -> Outline:
        """The ear cut off at the flat; `local` takes points of the ear's plane to the outline's own."""
        c, s = self.along
        box = [
            (self.offset + side * BEYOND * c - deep * s, self.reach + side * BEYOND * s + deep * c)
            for side, deep in ((-1, 0.0), (1, 0.0), (1, BEYOND), (-1, BEYOND))
        ]
        return single(cut(ear, polygon([local(p) for p in box])), "ear left on the bush's side of the flat")

    def raised(self, t: float) -> FlatSeat:
        """The top of a plate `t` mm thick that lies on this flat."""
        lean, slope = math.radians(self.lean), math.radians(self.slope)
        return replace(self, reach=self.reach - t * math.hypot(1 / math.cos(lean), math.tan(slope)))

    def mirrored(self) -> FlatSeat:
        return replace(self, offset=-self.offset, lean=-self.lean)

    def seat(self) -> Seat:
        c, s = self.along
        out = (-s, c, -c * math.tan(math.radians(self.slope)))
        place = Place((self.offset, self.reach, 0.0), out, (0.0, 0.0, 1.0))
        return Seat(name="foot", place=place, kind="face")


def on_flat(ears: Ears, flat: FlatSeat, *, name: str = "ears") -> Part:
    """A part of two loose ears that stand on a flat, with a weld on both faces of each foot.

    On a flat that slopes each is cut square, to its own length.

    ears: their sizes; flat: what they stand on; name: of the part. Its pieces are "ear_front" and "ear_rear", its
    seats "bush" at the origin and "foot". `Ears.rules` says which sizes go together. Raises InputError where the
    flat cuts all of an ear away.

    >>> ears = Ears(bolt="M12", inside=52, ear_r=22, t=6, foot=44, leg=5)
    >>> on_flat(ears, FlatSeat(reach=60)).pieces[0].wall.outline.bounds  # from the ear's round down to the flat
    (-22.0, -22.0, 22.0, 60.0)
    """
    walls, feet = [], []
    for low in _lows(ears):
        met = flat.met(low, low + ears.t)
        ear = _profile(ears, met.corners(ears.foot))
        walls.append(
            Wall(
                outline=met.trimmed(ear, local=lambda p: p),
                openings=(bolt_hole((0.0, 0.0), ears.bolt, kind="pivot", name="pivot"),),
            )
        )
        feet.append(met.corners(ears.foot, ears.ear_r))
    pieces = _loose(ears, walls)
    welds = tuple(
        Weld(piece=p.name, edge=Along(right, left, face), onto="foot", leg=ears.leg)
        for p, (left, right) in zip(pieces, feet, strict=True)
        for face in FACES
    )
    return Part(name=name, pieces=pieces, welds=welds, seats=(pivot_seat(), flat.seat()))
