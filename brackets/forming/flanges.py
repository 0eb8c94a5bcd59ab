"""Flanges from the lengths a fabricator knows: outside, inside or to the tangent.

A flange's frame: x along its bend line, y away from it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from brackets.core.errors import InputError, OutOfRange
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, scale, unit
from brackets.geometry.curve import Outline
from brackets.geometry.segments import JOIN
from brackets.geometry.shapes import chamfered, polygon
from brackets.model.bend_allowance import Measured, joggle_web, setback
from brackets.model.fold_tree import line_place
from brackets.model.holes import Opening, Point
from brackets.model.plate import Flange, Plate, Relief, Wall
from brackets.model.weld import Along, StraightEdge, Weld


def lip(
    start: Point,
    end: Point,
    *,
    t: float,
    length: float,
    inside_radius: float,
    angle: float = 90.0,
    measured: Measured = "outside",
    parent: int = 0,
    corner: float = 0.0,
    chamfer: float = 0.0,
    openings: Sequence[Opening] = (),
    relief: Relief | None = None,
) -> Flange:
    """A straight flange on a bend line of its parent.

    start, end: ends of the bend line in the parent's frame, (x, y), mm, the parent on its right;
    t: thickness of the plate, mm;
    length: height of the flange, mm, as `measured`;
    inside_radius: of the bend, mm;
    angle: degrees the metal is turned by, towards +z of the parent where positive;
    measured: where `length` begins, "outside", "inside" or "tangent", as `setback` says;
    parent: 0 for the base, n for the n-th flange;
    corner, chamfer: radius of the two free corners, or how far they are cut off, mm; one of the two;
    openings: holes, slots and windows in the flange's frame, x along the bend line and y away from it;
    relief: what is cut out beside the ends of the bend.
    Raises InputError where `length` does not reach past the bend, or `corner` and `chamfer` are both given.

    >>> edge = lip((40, 20), (40, -20), t=2, length=30, inside_radius=3)
    >>> edge.width, edge.wall.outline.bounds
    (40.0, (0.0, 0.0, 40.0, 25.0))
    """
    problems = []
    back = setback(angle, inside_radius, t, measured)
    tall = length - back
    if not tall > JOIN:
        problems.append(
            f"length = {length:g} mm, must be over {back:.6g} mm: flange measured {measured}, bend "
            f"{angle:g} deg, r {inside_radius:g}, t {t:g}"
        )
    if corner and chamfer:
        problems.append(f"corner = {corner:g} mm and chamfer = {chamfer:g} mm, must be one of the two")
    if problems:
        raise InputError(*problems)
    wide, _, _ = line_place(start, end).local((*end, 0.0))
    return Flange(
        parent=parent,
        start=start,
        end=end,
        angle=angle,
        inside_radius=inside_radius,
        wall=Wall(outline=_sheet(wide, tall, corner, chamfer), openings=tuple(openings)),
        relief=relief,
    )


def _sheet(wide: float, tall: float, corner: float, chamfer: float) -> Outline:
    corners = ((0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall))
    if chamfer:
        return chamfered(corners, chamfer, legs=(0.0, 0.0, chamfer, chamfer))
    return polygon(corners, radii=(0.0, 0.0, corner, corner))


def joggle(
    start: Point,
    end: Point,
    *,
    number: int,
    t: float,
    offset: float,
    inside_radius: float,
    beyond: Wall,
    angle: float = 45.0,
    parent: int = 0,
) -> tuple[Flange, Flange]:
    """A joggle: two equal, opposite bends after which the plate goes on, parallel to where it was.

    start, end: ends of the first bend line in the parent's frame, (x, y), mm, the parent on its right;
    number: which flange of the piece the first of the two will be, counted from 1;
    t: thickness of the plate, mm;
    offset: how far the plate is shifted, mm, towards +z of the parent where positive;
    inside_radius: of both bends, mm;
    beyond: the wall past the joggle, in the frame of the second flange, x along its bend line and y away from it;
    angle: of each bend, degrees;
    parent: what the first flange hangs on, 0 for the base, n for the n-th flange.
    Returns the two flanges: the web between the bends, and what lies beyond.
    Raises InputError where the two bends alone shift it further.

    >>> beyond = Wall(outline=rectangle(40, 25, centre=(20, 12.5)))
    >>> web, _ = joggle((40, 20), (40, -20), number=1, t=2, offset=10, inside_radius=3, beyond=beyond)
    >>> round(web.wall.outline.bounds[3], 3), round(joggle_web(10, 45, 3, 2), 3)
    (10.828, 10.828)
    """
    web = joggle_web(abs(offset), angle, inside_radius, t)
    if not web > JOIN:
        raise OutOfRange(f"offset = {offset:g} mm leaves no web between the bends, must leave some: a joggle")
    turn = abs(angle) if offset > 0 else -abs(angle)
    wide, _, _ = line_place(start, end).local((*end, 0.0))
    first = Flange(
        parent=parent,
        start=start,
        end=end,
        angle=turn,
        inside_radius=inside_radius,
        wall=Wall(outline=_sheet(wide, web, 0.0, 0.0)),
    )
    second = Flange(
        parent=number,
        start=(0.0, web),
        end=(wide, web),
        angle=-turn,
        inside_radius=inside_radius,
        wall=beyond,
    )
    return first, second


HEEL = 6.0
"""Nose and heel of a gusset, mm: common practice, no source."""


@dataclass(frozen=True)
class Corner:
    """The corner between a plate and a tube that stands on it, on one side of the tube, for a gusset.

    foot: where the tube's axis leaves the plate's upper face, mm; way: along the tube; od: of the tube, mm; side:
    +1 where the tube leans to, -1 for the open side; leg, rise: of the gusset along the plate and along the tube,
    from where plate and tube's wall meet, mm; t: its thickness, mm.
    """

    foot: Vec
    way: Vec
    od: float
    side: int
    leg: float
    rise: float
    t: float

    @property
    def out(self) -> Vec:
        """Along the plate, away from the tube."""
        x, y, _ = unit(self.way)
        lean = math.hypot(x, y)
        if lean < 1e-9:
            return (0.0, float(self.side), 0.0)
        return (self.side * x / lean, self.side * y / lean, 0.0)

    @property
    def tube_line(self) -> Point:
        """The tube's direction in the gusset's plane: along the plate, up."""
        d = unit(self.way)
        return (d[0] * self.out[0] + d[1] * self.out[1], d[2])

    @property
    def heel(self) -> Vec:
        """Where the tube's wall meets the plate in this corner."""
        return add(self.foot, scale(self.out, self.od / 2 / self.tube_line[1]))

    @property
    def place(self) -> Place:
        """The gusset's frame: x along the plate, y up, z across, the lower face half its thickness back."""
        axis = cross(self.out, (0.0, 0.0, 1.0))
        return Place(add(self.heel, scale(axis, -self.t / 2)), axis, (0.0, 0.0, 1.0))

    @property
    def nose(self) -> float:
        return min(HEEL, self.leg / 3, self.rise / 3)

    def points(self) -> tuple[Point, ...]:
        """The gusset's outline in its own frame: heel cut off, legs along plate and tube, noses square to them."""
        dp, dq = self.tube_line
        n = self.nose
        across = (dq, -dp)
        return (
            (n, 0.0),
            (self.leg, 0.0),
            (self.leg, n),
            (self.rise * dp + n * across[0], self.rise * dq + n * across[1]),
            (self.rise * dp, self.rise * dq),
            (n * dp, n * dq),
        )

    @property
    def toe(self) -> Point:
        """The far end of the gusset on the plate."""
        far = add(self.heel, scale(self.out, self.leg))
        return (far[0], far[1])

    @property
    def tip(self) -> Vec:
        """The upper end of its edge on the tube."""
        return self.place.point((*self.points()[4], self.t / 2))

    @property
    def high(self) -> Vec:
        """The outer corner of its upper nose."""
        return self.place.point((*self.points()[3], self.t / 2))

    def edge_distance(self, p: Point) -> float:
        """Distance from a point of the plate to the gusset's edges on it, mm."""
        x, y = p[0] - self.heel[0], p[1] - self.heel[1]
        along = x * self.out[0] + y * self.out[1]
        past = max(-along, along - self.leg, 0.0)
        aside = abs(x * self.out[1] - y * self.out[0]) - self.t / 2
        return math.hypot(past, max(0.0, aside)) if past > 0 else aside

    def gusset(self, name: str, *, material: str = "S235") -> Plate:
        """The gusset, in the plate's frame."""
        wall = Wall(outline=polygon(self.points()))
        return Plate(name=name, place=self.place, material=material, t=self.t, wall=wall)

    def welds(self, name: str, plate: str, tube: str, *, leg: float) -> tuple[Weld, ...]:
        """Both sides along the plate with a leg as the gusset is thick, and the edge on the tube with `leg`."""
        n, (dp, dq) = self.nose, self.tube_line
        lower = (n * dp, n * dq, self.t / 2)
        upper = (self.rise * dp, self.rise * dq, self.t / 2)
        return (
            Weld(piece=name, edge=Along((n, 0.0), (self.leg, 0.0), "low"), onto=plate, leg=self.t),
            Weld(piece=name, edge=Along((n, 0.0), (self.leg, 0.0), "high"), onto=plate, leg=self.t),
            Weld(piece=name, edge=StraightEdge(lower, upper), onto=tube, leg=leg, sides=2),
        )
