"""Flat and simply folded plate: adaptors, gussets, cap plates, base plates, a cup let into an edge.

Each has its lower face at z = 0 and its upper face at z = t unless it says otherwise. A plate with a cup: z out
of the casting, origin on the cup's axis, y from the cup to the holes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, scale
from brackets.geometry.curve import Outline
from brackets.geometry.distance import contains
from brackets.geometry.regions import clip_circle, single
from brackets.geometry.shapes import polygon, rectangle, round_hull
from brackets.library.ears import FACES
from brackets.model.holes import Hole, Opening, Point
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Flange, Folded, Plate, Wall
from brackets.model.weld import Along, StraightEdge, Weld

UNDER = Place(axis=(0.0, 0.0, -1.0), up=(0.0, 1.0, 0.0))
"""The lower face of a plate, looking out of the metal."""

LEAST_FLAT = 1.0
"""Least flat left beside a bend that the geometry accepts, mm: the brake's least flange is a finding."""


def round_holes(holes: Iterable[Point], edge: float, extra: Iterable[Point] = ()) -> Outline:
    """Outline round some holes: a string pulled tight round discs about the holes, and round further points.

    holes: (x, y) of the centres, mm; edge: radius of the discs, mm, which is the least distance from a centre to
    the edge; extra: (x, y) of points that must lie within it too.

    >>> round(round_holes([(0, 0), (40, 0)], 10).area, 2)  # 40 by 20 and a whole circle of radius 10
    1114.16
    """
    return round_hull([(x, y, edge) for x, y in holes] + [(x, y, 0.0) for x, y in extra])


def plate(
    outline: Outline,
    t: float,
    *,
    openings: Sequence[Opening] = (),
    name: str = "plate",
    material: str = "S235",
    place: Place | None = None,
) -> Plate:
    """A flat plate with its lower face in the xy plane of its place.

    outline: mm; t: thickness, mm; openings: holes, slots, windows; name, material: of the piece; place: where it
    stands, None for the origin.

    >>> piece = plate(rectangle(100, 50), 6, openings=[bolt_hole((0, 0), "M10")])
    >>> piece.t, piece.wall.outline.area, len(piece.wall.openings)
    (6, 5000.0, 1)
    """
    return Plate(
        name=name,
        place=Place() if place is None else place,
        material=material,
        t=t,
        wall=Wall(outline=outline, openings=tuple(openings)),
    )


def flat_part(piece: Plate, *, name: str, seats: Sequence[Seat] = ()) -> Part:
    """A part of one plate, with a seat on either face: "under" and "top".

    piece: the plate; name: of the part; seats: further ones.

    >>> part = flat_part(plate(rectangle(100, 50), 6), name="shim")
    >>> round(part.mass.kg, 4)  # 100 * 50 * 6 mm³ of steel, 7850 kg/m³
    0.2355
    """
    faces = (
        Seat(name="under", place=piece.place @ UNDER, kind="face"),
        Seat(name="top", place=piece.place @ Place(at=(0.0, 0.0, piece.t)), kind="face"),
    )
    return Part(name=name, pieces=(piece,), seats=(*faces, *seats))


def gusset_outline(leg_x: float, leg_y: float, *, nose: float, corner: float) -> Outline:
    """Outline of a right-angled gusset whose legs run along x and y from the origin.

    leg_x, leg_y: lengths of the legs, mm; nose: height of the blunt ends, cut square, mm; corner: mm cut off both
    legs at the right angle, so that it passes over the weld beneath.

    >>> gusset_outline(40, 30, nose=6, corner=0).area  # 6 by 30, and 34 wide from 30 down to 6
    792.0
    """
    points: list[Point] = [(corner, 0.0), (leg_x, 0.0), (leg_x, nose), (nose, leg_y), (0.0, leg_y), (0.0, corner)]
    if corner == 0:
        points = [(0.0, 0.0), *points[1:-1]]
    return polygon(points)


@dataclass(frozen=True, kw_only=True)
class Lips:
    """Bent ends of a base plate.

    height: outside, from the plate's lower face, mm; angle: degrees, positive bends up; inside_radius: mm; count: 1
    for the end at +x alone, 2 for both.
    """

    height: float
    angle: float
    inside_radius: float
    count: int

    def rules(self, length: float, t: float) -> Iterator[str]:
        """What is wrong with them on a plate `length` mm long, a line each."""
        back = self.inside_radius + t
        if length - self.count * back <= LEAST_FLAT:
            yield f"length = {length:g} mm, more than {self.count * back + LEAST_FLAT:g}: the bends take that much"
        if self.height - back <= LEAST_FLAT:
            yield (
                f"flange = {self.height:g} mm, more than {back + LEAST_FLAT:g}: inside radius, plate and some flat"
                " (an outside height)"
            )


def base_plate(
    width: float,
    length: float,
    t: float,
    *,
    radius: float = 0.0,
    lips: Lips | None = None,
    openings: Sequence[Opening] = (),
    name: str = "base",
    material: str = "S235",
) -> Piece:
    """A base plate about the origin, lower face at z = 0, with its ends bent where `lips` are given.

    width: mm along y; length: mm along x; t: thickness, mm; radius: of the free corners, mm; lips: the bent ends
    (one: that at +x), None for a flat plate; openings: holes, slots, windows; name, material: of the piece. With
    lips, length and height are outside sizes of a square bend, and at other angles the flats are the same. Raises
    InputError where the bends leave no flat.

    >>> base_plate(80, 120, 8).wall.outline.area
    9600.0
    >>> bent = base_plate(80, 120, 8, lips=Lips(height=30, angle=90, inside_radius=8, count=2))
    >>> bent.base.outline.bounds  # 120 less radius and thickness at both ends
    (-44.0, -40.0, 44.0, 40.0)
    """
    h = width / 2
    if lips is None:
        return plate(rectangle(length, width, radius=radius), t, openings=openings, name=name, material=material)
    problems = list(lips.rules(length, t))
    if problems:
        raise InputError(*problems)
    back = lips.inside_radius + t
    left = -length / 2 + (back if lips.count == 2 else 0.0)
    right = length / 2 - back
    rise = lips.height - back
    lip_r = min(radius, rise)
    lip = Wall(
        outline=polygon([(0.0, 0.0), (width, 0.0), (width, rise), (0.0, rise)], radii=[0.0, 0.0, lip_r, lip_r])
    )
    lines = [((right, h), (right, -h)), ((left, -h), (left, h))][: lips.count]
    free = radius if lips.count == 1 else 0.0
    return Folded(
        name=name,
        material=material,
        t=t,
        base=Wall(
            outline=polygon([(left, -h), (right, -h), (right, h), (left, h)], radii=[free, 0.0, 0.0, free]),
            openings=tuple(openings),
        ),
        flanges=tuple(
            Flange(start=start, end=end, angle=lips.angle, inside_radius=lips.inside_radius, wall=lip)
            for start, end in lines
        ),
    )


HEEL = 6.0
"""Nose and heel of a gusset, mm: common practice, no source."""

SHOULDER = 10.0
"""Plate beside the cup at the mouth of its seat, mm: common practice, no source."""


def seat_level(cup_od: float, notch: float) -> float:
    """y of the lower edge of a plate that a cup is let into, mm; the origin is on the cup's axis.

    cup_od: outside of the cup, mm; notch: share of that diameter that lies in the plate, 0 to 1.

    >>> seat_level(70, 0.25)  # 35 above the axis is the cup's top; a quarter of 70 lies in the plate
    17.5
    """
    return cup_od * (0.5 - notch)


def seated_outline(holes: Sequence[Point], edge: float, *, cup_od: float, notch: float) -> Outline:
    """Outline of a plate round its holes and down to a cup let into its lower edge; origin on the cup's axis.

    holes: (x, y) of the centres, mm; edge: least mm from a centre to the edge; cup_od: outside of the cup, mm;
    notch: share of that diameter that lies in the plate. SHOULDER (10 mm) of plate is left beside the seat's mouth.
    Raises InputError where the seat leaves no plate, or cuts it in two.

    >>> seated_outline([(-30, 60), (30, 60)], 15, cup_od=70, notch=0.25).bounds  # from seat_level to 60 + 15
    (-45.0, 17.5, 45.0, 75.0)
    """
    y = seat_level(cup_od, notch)
    wide = mouth(cup_od, notch) + SHOULDER
    whole = round_hull([(hx, hy, edge) for hx, hy in holes] + [(-wide, y, 0.0), (wide, y, 0.0)])
    return single(clip_circle(whole, (0.0, 0.0), cup_od / 2), "plate left outside the cup")


def mouth(cup_od: float, notch: float) -> float:
    """Half the width of the seat at the plate's edge, mm."""
    return math.sqrt(max(0.0, (cup_od / 2) ** 2 - seat_level(cup_od, notch) ** 2))


def seat_welds(piece: str, onto: str, *, cup_od: float, notch: float, leg: float) -> tuple[Weld, Weld]:
    """Two welds along a cup's seat in a plate's edge, one on each face of the plate.

    piece: name of the plate; onto: name of the cup; cup_od: its outside, mm; notch: share of that diameter that
    lies in the plate; leg: of the welds, mm.

    >>> low, high = seat_welds("plate", "cup", cup_od=70, notch=0.5, leg=5)
    >>> low.edge.start, low.edge.end, high.edge.face  # half of the cup: the seat is as wide as it is
    ((-35.0, 0.0), (35.0, 0.0), 'high')
    """
    x, y = mouth(cup_od, notch), seat_level(cup_od, notch)
    return (
        Weld(piece=piece, edge=Along((-x, y), (x, y), "low"), onto=onto, leg=leg),
        Weld(piece=piece, edge=Along((-x, y), (x, y), "high"), onto=onto, leg=leg),
    )


def gusset_room(
    outline: Outline, openings: Sequence[Hole], count: int, *, spread: float, cup_od: float, t: float
) -> float:
    """mm along the plate from the cup that every one of `count` gussets has metal under both its faces.

    `outline` and `openings` are the plate's, origin on the cup's axis; `spread` degrees from gusset to gusset about
    y, as `cup_gussets` sets them, `t` mm thick. Up to where a face's line leaves the outline, found by halving to
    1e-9 mm, or meets a hole. Infinite where there are none.
    """
    room = math.inf
    for i in range(count):
        a = math.radians(90.0 + spread * (i - (count - 1) / 2))
        out, side = (math.cos(a), math.sin(a)), (-math.sin(a), math.cos(a))
        for half in (-t / 2, t / 2):
            foot = (out[0] * cup_od / 2 + side[0] * half, out[1] * cup_od / 2 + side[1] * half)
            room = min(room, _to_edge(outline, foot, out), *(_to_hole(hole, foot, out) for hole in openings))
    return room


def _to_edge(outline: Outline, foot: Point, out: Point) -> float:
    """Up to where the line is inside; the outlines that carry a cup are convex but for its seat."""
    x0, y0, x1, y1 = outline.bounds
    low, high = 0.0, math.hypot(x1 - x0, y1 - y0)
    while high - low > 1e-9:
        middle = (low + high) / 2
        inside = contains(outline, (foot[0] + middle * out[0], foot[1] + middle * out[1])).side != "outside"
        low, high = (middle, high) if inside else (low, middle)
    return low


def _to_hole(hole: Hole, foot: Point, out: Point) -> float:
    along = (hole.at[0] - foot[0]) * out[0] + (hole.at[1] - foot[1]) * out[1]
    aside = (hole.at[0] - foot[0]) * out[1] - (hole.at[1] - foot[1]) * out[0]
    return along - math.sqrt(hole.d**2 / 4 - aside**2) if along > 0 and abs(aside) < hole.d / 2 else math.inf


def cup_gussets(
    count: int,
    *,
    spread: float,
    cup_od: float,
    legs: Point,
    t: float,
    above: float,
    leg: float,
    plate_name: str,
    cup: str,
) -> tuple[tuple[Plate, ...], tuple[Weld, ...]]:
    """Gussets between a plate and the cup that stands on it: (plates, welds).

    count: how many; spread: degrees from one to the next about y; cup_od: outside of the cup, mm; legs: mm along
    the plate, away from the cup, and along the cup; t: thickness, mm; above: z of the plate's upper face, mm; leg:
    of the welds, mm; plate_name, cup: names of the pieces they are welded to. A gusset's edge is straight and
    touches the round cup along its middle line, which is the line that is welded from both sides.

    >>> pieces, welds = cup_gussets(
    ...     2, spread=60, cup_od=70, legs=(40, 30), t=5, above=8, leg=4, plate_name="plate", cup="cup"
    ... )
    >>> len(pieces), [weld.onto for weld in welds[:3]]  # a gusset: both faces to the plate, one edge to the cup
    (2, ['plate', 'plate', 'cup'])
    """
    heel = min(HEEL, *(v / 3 for v in legs))
    outline = gusset_outline(*legs, nose=heel, corner=heel)
    pieces, welds = [], []
    for i in range(count):
        a = math.radians(90.0 + spread * (i - (count - 1) / 2))
        out: Vec = (math.cos(a), math.sin(a), 0.0)
        axis: Vec = (out[1], -out[0], 0.0)
        at = add((out[0] * cup_od / 2, out[1] * cup_od / 2, above), scale(axis, -t / 2))
        name = f"gusset_{i + 1}"
        pieces.append(plate(outline, t, name=name, place=Place(at, axis, (0.0, 0.0, 1.0))))
        welds += [
            Weld(piece=name, edge=Along((heel, 0.0), (legs[0], 0.0), face), onto=plate_name, leg=leg)
            for face in FACES
        ]
        welds.append(
            Weld(
                piece=name, edge=StraightEdge((0.0, heel, t / 2), (0.0, legs[1], t / 2)), onto=cup, leg=leg, sides=2
            )
        )
    return tuple(pieces), tuple(welds)
