"""Flat and simply folded plate: adaptors, gussets, cap plates, base plates and what bolts through a hollow rail.

Each has its lower face at z = 0 and its upper face at z = t unless it says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from brackets.build.faces import boss_holes
from brackets.build.rounds import ring
from brackets.errors import OutOfRange
from brackets.outline import Outline, polygon, rectangle, round_hull
from brackets.part import Part
from brackets.pieces import (
    Circle,
    Flange,
    Folded,
    Opening,
    Piece,
    Place,
    Plate,
    Point,
    Seat,
    Wall,
    Weld,
)

UNDER = Place(axis=(0.0, 0.0, -1.0), up=(0.0, 1.0, 0.0))
"""The lower face of a plate, looking out of the metal."""

LEAST_FLAT = 1.0
"""Least flat left beside a bend that the geometry accepts, mm: the brake's least flange is a finding."""


def round_holes(holes: Iterable[Point], edge: float, extra: Iterable[Point] = ()) -> Outline:
    """The outline round the holes: a string pulled tight `edge` mm from every centre and round `extra` points."""
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
    """A flat plate with its lower face in the xy plane of `place`."""
    return Plate(
        name=name,
        place=Place() if place is None else place,
        material=material,
        t=t,
        wall=Wall(outline=outline, openings=tuple(openings)),
    )


def flat_part(piece: Plate, *, name: str, seats: Sequence[Seat] = ()) -> Part:
    """A part of one plate, with a seat on either face beside those given."""
    faces = (
        Seat(name="under", place=piece.place @ UNDER, kind="face"),
        Seat(name="top", place=piece.place @ Place(at=(0.0, 0.0, piece.t)), kind="face"),
    )
    return Part(name=name, pieces=(piece,), seats=(*faces, *seats))


def gusset_outline(leg_x: float, leg_y: float, *, nose: float, corner: float) -> Outline:
    """A right-angled gusset: legs along x and y from the origin, noses cut square `nose` mm high.

    `corner` is cut off at the right angle so that it passes over the weld beneath.
    """
    points: list[Point] = [(corner, 0.0), (leg_x, 0.0), (leg_x, nose), (nose, leg_y), (0.0, leg_y), (0.0, corner)]
    if corner == 0:
        points = [(0.0, 0.0), *points[1:-1]]
    return polygon(points)


@dataclass(frozen=True, kw_only=True)
class Fixing:
    """How a base plate is held: bolts of one size at `points`, through a hollow `through` mm deep, or welded."""

    size: str
    points: tuple[Point, ...]
    through: float = 0.0
    tube_wall: float = 3.0
    spreader_t: float = 0.0
    spreader_edge: float = 0.0


def through_hollow(
    fixing: Fixing, *, tubes: bool = True, material: str = "S235"
) -> tuple[tuple[Piece, ...], tuple[Weld, ...]]:
    """Crush tubes below a base plate and the spreader plate on the far side of the rail, with their welds.

    The rail is `through` mm deep under z = 0. A crush tube is as long as the rail is deep and is welded to the
    spreader; its bore is the bolt's hole. `tubes` no leaves the crush tubes out.
    """
    holes = boss_holes(fixing.points, fixing.size)
    bore, od = holes[0].d, holes[0].d + 2 * fixing.tube_wall
    crushed = [
        ring(f"crush_tube_{i}", od=od, bore=bore, length=fixing.through, material=material).placed(
            Place(at=(*hole.at, -fixing.through))
        )
        for i, hole in enumerate(holes if tubes else (), 1)
    ]
    edge = fixing.spreader_edge
    spreader = plate(
        round_holes(fixing.points, edge),
        fixing.spreader_t,
        openings=holes,
        name="spreader",
        material=material,
        place=Place(at=(0.0, 0.0, -fixing.through - fixing.spreader_t)),
    )
    leg = min(fixing.tube_wall, fixing.spreader_t)
    welds = [Weld(piece=tube.name, edge=Circle(0.0, od), onto="spreader", leg=leg) for tube in crushed]
    return (*crushed, spreader), tuple(welds)


@dataclass(frozen=True, kw_only=True)
class Lips:
    """Bent ends of a base plate: `height` outside, `angle` up (negative: down), inside radius, one or two."""

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
    """A base plate `length` mm along x by `width` along y, lower face at z = 0, free corners rounded.

    With `lips` one or both ends (first +x) are bent; length and height are then outside sizes of a square bend,
    and at other angles the flats are the same. Raises OutOfRange where the bends leave no flat.
    """
    h = width / 2
    if lips is None:
        return plate(rectangle(length, width, radius=radius), t, openings=openings, name=name, material=material)
    problems = list(lips.rules(length, t))
    if problems:
        raise OutOfRange(*problems)
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
