"""A shelf for one end of a bobbin: a plate with a hole for the stud, on edge against a flat, two gussets under it.

The shelf's frame: origin the middle of the flat that the bobbin stands on, z into the bobbin, y along the shelf to
what it is welded to, x to its right. mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields

from brackets.core.place import Place
from brackets.core.schema.bounds import at_least, at_most
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import ring_spanner
from brackets.geometry.shapes import polygon
from brackets.library.ears import FACES
from brackets.library.plates import gusset_outline, plate
from brackets.model.holes import Point, bolt_hole
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.weld import Along, Weld

BESIDE = 3.0
"""Flat beside a bobbin that is not typed, mm: common practice, no source."""

HEEL = 6.0
"""Nose and heel of the gussets, mm: common practice, no source."""

LEAST = 1.0
"""Least room that the geometry accepts, mm."""


@dataclass(frozen=True, kw_only=True)
class StudShelf:
    """The sizes of a shelf, mm.

    od: of the bobbin that stands on it; thread: of its stud, as "M10"; t: of the plate; width: across; front: from
    the stud to the free end; reach: from the stud to what it is welded to; radius: of the free corners; gusset_t,
    gusset_along, gusset_down: thickness of the gussets, their leg along the shelf and the other; leg: of the welds.
    """

    od: float
    thread: str
    t: float
    width: float
    front: float
    reach: float
    radius: float
    gusset_t: float
    gusset_along: float
    gusset_down: float
    leg: float

    @classmethod
    def of(cls, values: object) -> StudShelf:
        """The shelf of a recipe's values, which have all of these under the same names."""
        return cls(**{field.name: getattr(values, field.name) for field in fields(cls)})

    @property
    def between(self) -> float:
        """Between the gussets, mm."""
        return self.width - 2 * self.gusset_t

    def rules(self, *, reach: str = "reach") -> Iterator[str]:
        """What is wrong with the sizes, a line each, called as the recipes call them; `reach`: what says how far
        the stud is off."""
        room = max(bolt(self.thread).washer_od, ring_spanner(bolt(self.thread).nut_across_flats).head) + 2 * LEAST
        why = f"a washer and a ring spanner on {self.thread} go between the gussets"
        if self.width < room + 2 * self.gusset_t:
            yield at_least("width", self.width, room + 2 * self.gusset_t, why)
        if self.reach < self.od / 2 + LEAST:
            least = self.od / 2 + LEAST
            yield f"{reach} = {self.reach:.4g} mm off the plate or face, {least:g} or more: half the bobbin"
        flat = min(self.width / 2, self.front) - LEAST
        if self.radius > flat:
            yield at_most("radius", self.radius, flat, "less than half the width and than the front")
        along = self.reach + self.front - self.radius
        if self.gusset_along > along:
            yield at_most("gusset_along", self.gusset_along, along, "the straight of the shelf's sides")


    def washers_off(
        self, names: Sequence[str], points: Sequence[Point], sizes: Sequence[str]
    ) -> Iterator[str]:
        """Refuses bosses whose washer runs into the foot of the shelf or of a gusset, or a weld of them.

        names, points, sizes: of the bosses' bolts, (x, y) mm in the plane that the shelf is welded to, x as the
        shelf's and y along the stud.
        """
        for name, (x, y), size in zip(names, points, sizes, strict=True):
            off = min(
                math.hypot(max(x0 - x, x - x1, 0.0), max(y0 - y, y - y1, 0.0)) for x0, y0, x1, y1 in self.feet
            )
            room = off - self.leg - bolt(size).washer_od / 2
            if room < LEAST:
                yield f"bosses = {room:.1f} mm from the washer of {name} to the shelf's weld, {LEAST:g} mm or more"

    @property
    def feet(self) -> tuple[tuple[float, float, float, float], ...]:
        """Where shelf and gussets meet what they are welded to: low x and y, high x and y; y along the stud."""
        half, inner, low = self.width / 2, self.width / 2 - self.gusset_t, -self.t - self.gusset_down
        return (
            (-half, -self.t, half, 0.0),
            (-half, low, -inner, -self.t),
            (inner, low, half, -self.t),
        )


def foot_corners(shelf: StudShelf) -> tuple[Point, ...]:
    """(x, y) of the corners of a box round the feet of a shelf, y along the stud, mm."""
    half, low = shelf.width / 2, -shelf.t - shelf.gusset_down
    return ((-half, low), (half, low), (half, 0.0), (-half, 0.0))


def stud_shelf(shelf: StudShelf, *, name: str = "stud_shelf") -> Part:
    """The shelf and its two gussets, flush with its sides, with a weld on each edge that a torch gets at.

    shelf: its sizes; name: of the part. Its pieces are "shelf", "gusset_left" and "gusset_right", its seats "bush"
    and "foot", which it is welded to. `StudShelf.rules` says which sizes go together.

    >>> sizes = StudShelf(
    ...     od=50, thread="M10", t=6, width=56, front=28, reach=45, radius=8,
    ...     gusset_t=5, gusset_along=45, gusset_down=40, leg=5,
    ... )
    >>> stud_shelf(sizes).piece("shelf").wall.openings[0].d  # the clear hole for an M10 stud, ISO 273 medium
    11.0
    """
    half, end = shelf.width / 2, shelf.reach
    corners = [(-half, -shelf.front), (half, -shelf.front), (half, end), (-half, end)]
    top = plate(
        polygon(corners, radii=[shelf.radius, shelf.radius, 0.0, 0.0]),
        shelf.t,
        openings=[bolt_hole((0.0, 0.0), shelf.thread, name="stud")],
        name="shelf",
        place=Place(at=(0.0, 0.0, -shelf.t)),
    )
    heel = min(HEEL, shelf.gusset_along / 3, shelf.gusset_down / 3)
    outline = gusset_outline(shelf.gusset_along, shelf.gusset_down, nose=heel, corner=heel)
    clear = half - shelf.gusset_t - shelf.leg
    pieces, welds = [top], [
        Weld(piece="shelf", edge=Along((half, end), (-half, end), "high"), onto="foot", leg=shelf.leg),
        Weld(piece="shelf", edge=Along((clear, end), (-clear, end), "low"), onto="foot", leg=shelf.leg),
    ]
    for side, x, inner in (("left", -half, "high"), ("right", half - shelf.gusset_t, "low")):
        stand = Place((x, end, -shelf.t), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
        gusset = plate(outline, shelf.gusset_t, name=f"gusset_{side}", place=stand)
        pieces.append(gusset)
        down = [Along((0.0, shelf.gusset_down), (0.0, heel), face) for face in FACES]
        welds += [Weld(piece=gusset.name, edge=edge, onto="foot", leg=shelf.leg) for edge in down]
        along = Along((heel, 0.0), (shelf.gusset_along, 0.0), FACES[inner == "high"])
        welds.append(Weld(piece=gusset.name, edge=along, onto="shelf", leg=shelf.leg))
    return Part(
        name=name,
        pieces=tuple(pieces),
        welds=tuple(welds),
        seats=(
            Seat(name="bush", place=Place(), kind="bush", d=shelf.od),
            Seat(name="foot", place=Place((0.0, end, -shelf.t / 2), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), kind="face"),
        ),
    )
