"""Stud seat: a shelf for one end of a bobbin on the flat side of a rail, gussets under it, welded on edge."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import PLATE, WORKED_OUT, Checked, Part, StudShelf, deg, follows, mm, row, stock, stud_shelf
from brackets.library.stud_shelf import BESIDE

LEVEL = 0.05
"""Degrees of slope and lean that are none: 0.04 mm over a shelf's width."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    od: Annotated[float, mm(10, 200, "outside of the bobbin", takes="bobbin od")] = 50.0
    thread: Annotated[str, row("bolt", "its stud, or the bolt into it", takes="bobbin thread")] = "M10"
    reach: Annotated[float, mm(15, 250, "stud to the rail's face", takes="rail reach")] = 45.0
    slope: Annotated[float, deg(-40, 40, "slope of that face along the stud: 0", takes="rail slope")] = 0.0
    lean: Annotated[float, deg(-40, 40, "lean of that face about the stud: 0", takes="rail lean")] = 0.0
    t: Annotated[float, stock(PLATE, "plate of the shelf", lo=3.0, hi=12.0)] = 6.0
    width: Annotated[float, mm(20, 250, "width of the shelf"), follows("width_for_bobbin")] = WORKED_OUT
    front: Annotated[float, mm(10, 150, "stud to the shelf's free end"), follows("front_for_bobbin")] = WORKED_OUT
    radius: Annotated[float, mm(0, 60, "radius of its free corners")] = 8.0
    gusset_t: Annotated[float, stock(PLATE, "gussets", lo=2.0, hi=10.0)] = 5.0
    gusset_along: Annotated[float, mm(15, 250, "gusset along the shelf"), follows("to_the_stud")] = WORKED_OUT
    gusset_down: Annotated[float, mm(15, 150, "gusset along the rail's face")] = 40.0
    leg: Annotated[float, mm(2, 12, "leg of the welds")] = 5.0

    @property
    def width_for_bobbin(self) -> float:
        return self.od + 2 * BESIDE

    @property
    def front_for_bobbin(self) -> float:
        return self.od / 2 + BESIDE

    @property
    def to_the_stud(self) -> float:
        """The gussets end under the stud."""
        return self.reach

    @cached_property
    def shelf(self) -> StudShelf:
        return StudShelf.of(self)

    def rules(self) -> Iterator[str]:
        for name, cure in (("slope", "the bobbin's axis along the face"), ("lean", "no toward at the mount")):
            if abs(getattr(self, name)) > LEVEL:
                yield f"{name} = {getattr(self, name):g} deg, 0: the shelf is cut square; give {cure}"
        yield from self.shelf.rules()


def build(p: Params) -> Part:
    return stud_shelf(p.shelf, name="stud_seat")
