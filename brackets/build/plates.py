"""Flat and simply folded plate: adaptors, gussets, cap plates, base plates and what bolts through a hollow rail.

Each has its lower face at z = 0 and its upper face at z = t unless it says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from brackets.build.rounds import ring
from brackets.errors import OutOfRange
from brackets.outline import Outline, polygon, round_hull
from brackets.part import Part
from brackets.patterns import bolt_holes
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

BEND_CLEAR = 1e-6
"""Least flat left between two bends, mm: below it there is no wall."""


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


def through_hollow(fixing: Fixing, *, material: str = "S235") -> tuple[tuple[Piece, ...], tuple[Weld, ...]]:
    """Crush tubes below a base plate and the spreader plate on the far side of the rail, with their welds.

    The rail is `through` mm deep under z = 0. A crush tube is as long as the rail is deep and is welded to the
    spreader; its bore is the bolt's hole.
    """
    holes = bolt_holes(fixing.points, fixing.size)
    bore, od = holes[0].d, holes[0].d + 2 * fixing.tube_wall
    tubes = [
        ring(f"crush_tube_{i}", od=od, bore=bore, length=fixing.through, at=-fixing.through, material=material)
        for i in range(1, len(holes) + 1)
    ]
    set_up = [
        replace(tube, place=Place(at=(*hole.at, -fixing.through))) for tube, hole in zip(tubes, holes, strict=True)
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
    welds = [Weld(piece=tube.name, edge=Circle(0.0, od), onto="spreader", leg=leg) for tube in set_up]
    return (*set_up, spreader), tuple(welds)


@dataclass(frozen=True, kw_only=True)
class Lips:
    """Flanges along the two short ends of a base plate: `height` outside, bend angle, inside radius."""

    height: float
    angle: float
    inside_radius: float
    count: int


def lipped(
    width: float,
    length: float,
    t: float,
    *,
    lips: Lips,
    openings: Sequence[Opening] = (),
    name: str = "base",
    material: str = "S235",
) -> Folded:
    """A base plate `length` (along x, outside) by `width`, with one or two ends bent up.

    Angles are positive upwards, negative down. Sizes are outside sizes of a square bend; where the angle is not
    90 degrees the flat of the plate and of the lip is kept and the sizes follow.
    Raises OutOfRange where the bends leave no flat.
    """
    back = lips.inside_radius + t
    flat = length - lips.count * back
    rise = lips.height - back
    problems = []
    if flat <= BEND_CLEAR:
        problems.append(
            f"length = {length:g} mm, must be more than {lips.count * back:g}: the bends take that much"
        )
    if rise <= BEND_CLEAR:
        problems.append(
            f"flange = {lips.height:g} mm, must be more than {back:g} (inside radius and plate): an outside height"
        )
    if problems:
        raise OutOfRange(*problems)
    left = -length / 2 + (back if lips.count == 2 else 0.0)
    right = length / 2 - back
    lip = Wall(outline=polygon([(0.0, 0.0), (width, 0.0), (width, rise), (0.0, rise)]))
    h = width / 2
    flanges = [
        Flange(start=(right, h), end=(right, -h), angle=lips.angle, inside_radius=lips.inside_radius, wall=lip)
    ]
    if lips.count == 2:
        flanges.append(
            Flange(start=(left, -h), end=(left, h), angle=lips.angle, inside_radius=lips.inside_radius, wall=lip)
        )
    return Folded(
        name=name,
        material=material,
        t=t,
        base=Wall(outline=polygon([(left, -h), (right, -h), (right, h), (left, h)]), openings=tuple(openings)),
        flanges=tuple(flanges),
    )
