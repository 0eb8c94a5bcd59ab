"""Strut: one tube between two points, straight or bent, each end coped to a tube, cut to a flat, or left square."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    NO_TOOLS,
    WORKED_OUT,
    Checked,
    Cylinder,
    Finding,
    InputError,
    Layout,
    Part,
    Place,
    PlaneTarget,
    Run,
    Seat,
    Shop,
    Vec,
    choice,
    cross,
    direction,
    dot,
    follows,
    lay_out,
    layout_findings,
    mm,
    norm,
    od_wall,
    point,
    points,
    scale,
    sub,
    unit,
)
from brackets import (
    tube_size as tube,
)

MEETS = ("tube", "flat", "square")
OTHER = 42.4
"""Outside of the tube at an end where it is not typed and the strut is no wider, mm."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    tube: Annotated[str, tube("the strut's tube", od=(10, 90), wall=(1, 8))] = "38x3"
    start: Annotated[Vec, point(3, "where it starts: on that tube's axis, on the flat")] = (
        0.0,
        0.0,
        0.0,
    )
    start_meets: Annotated[str, choice(MEETS, "what it starts at")] = "tube"
    start_way: Annotated[
        Vec, direction("start: along that tube, or square to the flat"), follows("way_at_start")
    ] = WORKED_OUT
    start_od: Annotated[float, mm(10, 200, "start: outside of that tube"), follows("od_at_ends")] = WORKED_OUT
    corners: Annotated[tuple[Vec, ...], points(3, "corners it is bent at, none for a straight one", at_most=6)] = ()
    bend_r: Annotated[float, mm(20, 500, "centre-line radius of the bends")] = 115.0
    end: Annotated[Vec, point(3, "where it ends")] = (40.0, 30.0, 260.0)
    end_meets: Annotated[str, choice(MEETS, "what it ends at")] = "flat"
    end_way: Annotated[
        Vec, direction("end: along that tube, or square to the flat"), follows("way_at_end")
    ] = WORKED_OUT
    end_od: Annotated[float, mm(10, 200, "end: outside of that tube"), follows("od_at_ends")] = WORKED_OUT
    leg: Annotated[float | None, mm(1, 12, "leg of the welds, none for the tube's wall")] = None

    @property
    def od_at_ends(self) -> float:
        return max(OTHER, od_wall(self.tube)[0])

    @property
    def way_at_start(self) -> Vec:
        return self._way(self.start_meets)

    @property
    def way_at_end(self) -> Vec:
        return self._way(self.end_meets)

    def _way(self, meets: str) -> Vec:
        """Level: along x for a tube, or y for a strut along x; upright out of a flat."""
        x, y, z = sub(self.end, self.start)
        if meets != "tube":
            return (0.0, 0.0, 1.0) if abs(z) > abs(x) / 2 else (1.0, 0.0, 0.0)
        return (1.0, 0.0, 0.0) if math.hypot(y, z) > abs(x) else (0.0, 1.0, 0.0)

    def thing(self, which: str) -> Cylinder | PlaneTarget | tuple[()]:
        at, way = (self.start, self.start_way) if which == "start" else (self.end, self.end_way)
        meets, od = (self.start_meets, self.start_od) if which == "start" else (self.end_meets, self.end_od)
        if meets == "square":
            return ()
        return Cylinder(which, at, way, od) if meets == "tube" else PlaneTarget(which, at, way)

    @cached_property
    def laid(self) -> Layout:
        line = (self.start, *self.corners, self.end)
        bend_r = self.bend_r if self.corners else None
        run = Run("tube", self.tube, line, self.thing("start"), self.thing("end"), bend_r=bend_r, leg=self.leg)
        return lay_out(run)

    def rules(self) -> Iterator[str]:
        try:
            found = layout_findings(self.laid)
        except InputError as error:
            yield from (f"start, end = {problem}" for problem in error.problems)
            return
        yield from (f"tube = {self.tube}, {f.sentence}" for f in found if f.code == "overhang")


def check(p: Params, shop: Shop = NO_TOOLS) -> Iterator[Finding]:
    yield from layout_findings(p.laid, shop)


def seat(p: Params, which: str) -> Seat:
    """A round seat with y towards the strut, or a face that looks out of it."""
    line = (p.start, *p.corners, p.end)
    at, towards = (line[0], line[1]) if which == "start" else (line[-1], line[-2])
    into = unit(sub(towards, at))
    thing = p.thing(which)
    if isinstance(thing, Cylinder):
        return Seat(name=which, place=Place(at, thing.axis, into), kind="round", d=thing.od)
    out = scale(into, -1.0)
    if isinstance(thing, PlaneTarget):
        out = scale(unit(thing.normal), -1.0 if dot(thing.normal, into) > 0 else 1.0)
    side = cross(out, (0.0, 0.0, 1.0))
    return Seat(name=which, place=Place(at, out, side if norm(side) > 0.1 else (1.0, 0.0, 0.0)), kind="face")


def build(p: Params) -> Part:
    return p.laid.part("strut", seats=[seat(p, "start"), seat(p, "end")])
