"""Gussets in the corner between a plate and a tube that stands on it, square or leaning.

The plate's frame: z out of the plate. A gusset stands in the plane the tube leans in, square to the plate; its
edge touches the round tube along its middle line, which is welded from both sides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, scale, unit
from brackets.geometry.shapes import polygon
from brackets.model.holes import Point
from brackets.model.plate import Plate, Wall
from brackets.model.weld import Along, StraightEdge, Weld

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
