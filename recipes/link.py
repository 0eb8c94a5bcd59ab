"""Link: a straight tube with an eye for a bush at each end: torque link, tie bar, stay bar.

Both bushes are points of the bay, so the bar is as long as they are apart. With a thread it is in two halves, an
insert in the end of each, a stud and lock nuts between them, and may be set longer or shorter than it is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    NO_TOOLS,
    TUBE,
    WALL,
    WORKED_OUT,
    Bung,
    Checked,
    Cylinder,
    Finding,
    FindingRule,
    InputError,
    Layout,
    Part,
    Place,
    Run,
    Seat,
    Shop,
    Turned,
    Vec,
    add,
    advice,
    bore_findings,
    bush_bore,
    cup_findings,
    cup_tube,
    cup_tube_problems,
    degrees_between,
    direction,
    ear_findings,
    follows,
    landing_problems,
    lay_out,
    layout_findings,
    mm,
    norm,
    od_wall,
    point,
    row,
    scale,
    stock,
    sub,
    tube_cup,
    unit,
)
from brackets import (
    tube_size as tube,
)
from brackets.library.adjusters import HEAD, ROOM, Adjuster
from brackets.library.mount_rules import CUP_LENGTH, EAR_ROOM

TO_BORE = 1.0
"""mm inside the bush that the eyes' tube has to be bored away, where its wall is not typed (common practice, no
source)."""
STRAIGHT, STEEP = 15.0, 45.0
"""mm of tube that must be left between the eyes, and degrees between it and either bush's axis (no source)."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bush_1: Annotated[Vec, point(3, "centre of one bush", takes="centre of bush_1")] = (-116.0, 120.0, 104.0)
    bush_2: Annotated[Vec, point(3, "centre of the other", takes="centre of bush_2")] = (144.0, 120.0, 132.0)
    axis_1: Annotated[Vec, direction("direction of its axis", takes="axis of bush_1")] = (0.0, 1.0, 0.0)
    axis_2: Annotated[Vec, direction("direction of the other's", takes="axis of bush_2")] = (0.0, 1.0, 0.0)
    bush_od_1: Annotated[float, mm(15, 110, "its outer diameter, the eye's bore", takes="od of bush_1")] = 38.0
    bush_od_2: Annotated[float, mm(15, 110, "outer diameter of the other", takes="od of bush_2")] = 38.0
    eye_od_1: Annotated[float, stock(TUBE, "tube of its eye, outside"), follows("od_1_for_bush")] = WORKED_OUT
    eye_od_2: Annotated[float, stock(TUBE, "tube of the other eye"), follows("od_2_for_bush")] = WORKED_OUT
    eye_wall: Annotated[float, stock(WALL, "wall of the eyes' tube"), follows("wall_for_eyes")] = WORKED_OUT
    eye_length: Annotated[float, mm(15, 150, "length of the eyes"), follows("length_for_tube")] = WORKED_OUT
    tube: Annotated[str, tube("tube between the eyes", od=(12, 60), wall=(1.5, 6))] = "25x2.5"
    leg: Annotated[float | None, mm(1.5, 12, "leg of the welds, none for the tube's wall")] = None
    thread: Annotated[str | None, row("bolt", "thread that sets the length, none for a fixed one")] = None
    adjust: Annotated[float, mm(0, 40, "with a thread: how much longer, and shorter, it may be set")] = 8.0
    insert: Annotated[float | None, mm(8, 80, "threaded inserts, none for as long as the thread needs")] = None
    stud: Annotated[float | None, mm(20, 300, "threaded bar, none for as long as the thread needs")] = None

    @property
    def od_1_for_bush(self) -> float:
        return self._od(self.bush_od_1)

    @property
    def od_2_for_bush(self) -> float:
        return self._od(self.bush_od_2)

    def _od(self, bush_od: float) -> float:
        """Round the bush, and no narrower than the tube that lands on the eye."""
        return max(cup_tube(bush_od, None, self.eye_wall)[0], od_wall(self.tube)[0])

    @property
    def ods(self) -> tuple[float, float]:
        return self.eye_od_1 or self.od_1_for_bush, self.eye_od_2 or self.od_2_for_bush

    @property
    def wall_for_eyes(self) -> float:
        bushes = (self.bush_od_1, self.bush_od_2)
        return max(cup_tube(b, od, None, to_bore=TO_BORE)[1] for b, od in zip(bushes, self.ods, strict=True))

    @property
    def length_for_tube(self) -> float:
        """Long enough for the tube to land on the eyes at their angle, and to pass between the ears."""
        od, way = od_wall(self.tube)[0], sub(self.bush_2, self.bush_1)
        taken = [od]
        for axis, eye_od in zip((self.axis_1, self.axis_2), self.ods, strict=True):
            off = math.radians(abs(90.0 - degrees_between(way, axis)))
            taken.append((od + eye_od * math.sin(off)) / max(math.cos(off), math.sin(math.radians(STEEP))))
        return max(CUP_LENGTH, od + EAR_ROOM, math.ceil(max(taken)))

    @property
    def apart(self) -> float:
        """Bush centre to bush centre, mm."""
        return norm(sub(self.bush_2, self.bush_1))

    @property
    def eyes(self) -> tuple[Cylinder, Cylinder]:
        wall, long = self.eye_wall, self.eye_length
        return (
            Cylinder("eye_1", self.bush_1, self.axis_1, self.eye_od_1, length=long, wall=wall),
            Cylinder("eye_2", self.bush_2, self.axis_2, self.eye_od_2, length=long, wall=wall),
        )

    @property
    def adjuster(self) -> Adjuster | None:
        od, wall = od_wall(self.tube)
        if self.thread is None:
            return None
        sizes = {"insert": self.insert, "stud": self.stud}
        return Adjuster(thread=self.thread, adjust=self.adjust, od=od, bore=od - 2 * wall, **sizes)

    def along(self, mm: float) -> Vec:
        """The point of the bar so far from the first bush."""
        return add(self.bush_1, scale(unit(sub(self.bush_2, self.bush_1)), mm))

    def clear(self, which: int) -> float:
        """mm along the bar from a bush to where nothing in the tube's bore touches its eye."""
        od, wall = od_wall(self.tube)
        axis, eye_od = (self.axis_1, self.eye_od_1) if which == 1 else (self.axis_2, self.eye_od_2)
        angle = math.radians(degrees_between(sub(self.bush_2, self.bush_1), axis))
        return (eye_od / 2 + (od / 2 - wall) * abs(math.cos(angle))) / math.sin(angle)

    def ends(self, by: Adjuster) -> tuple[float, float]:
        """mm from the first bush to where its tube ends, and to where the stub on the second eye begins."""
        stub = self.apart - self.clear(2) - max(by.spigot + ROOM, STRAIGHT)
        return stub - 2 * HEAD - by.gap, stub

    @cached_property
    def laid(self) -> Layout:
        by, (eye_1, eye_2) = self.adjuster, self.eyes
        if by is None:
            return lay_out(Run("tube", self.tube, (self.bush_1, self.bush_2), eye_1, eye_2, leg=self.leg))
        long, short = map(self.along, self.ends(by))
        return lay_out(
            Run("tube", self.tube, (self.bush_1, long), eye_1, Bung("insert_1", long, by.bore), leg=self.leg),
            Run("stub", self.tube, (self.bush_2, short), eye_2, Bung("insert_2", short, by.bore), leg=self.leg),
        )

    def rules(self) -> Iterator[str]:
        yield from [*self._sizes()] or [*self._stands()]

    def _sizes(self) -> Iterator[str]:
        for i, od, bush_od in ((1, self.eye_od_1, self.bush_od_1), (2, self.eye_od_2, self.bush_od_2)):
            for line in cup_tube_problems(od, self.eye_wall, bush_od, name="eye_"):
                yield line.replace("eye_od", f"eye_od_{i}", 1)
            yield from landing_problems(cup_od=od, cup_length=self.eye_length, tube=self.tube)
        least = (self.eye_od_1 + self.eye_od_2) / 2 + STRAIGHT
        if self.apart < least:
            yield f"bush_2 = {self.apart:.1f} mm from bush_1, {least:g} or more: two eyes and a tube between them"

    def _stands(self) -> Iterator[str]:
        way = sub(self.bush_2, self.bush_1)
        for name, axis in (("axis_1", self.axis_1), ("axis_2", self.axis_2)):
            angle = degrees_between(way, axis)
            angle = min(angle, 180.0 - angle)
            if angle < STEEP:
                yield f"{name} = {angle:.1f} deg to the tube, {STEEP:g} or more: the tube lands on the eye's side"
                return
        if self.adjuster is not None and (problems := [*self._set(self.adjuster)]):
            yield from problems
            return
        try:
            self.laid  # noqa: B018
        except InputError as error:
            yield from error.problems
            return
        for finding in layout_findings(self.laid):
            if finding.code in ("past the end", "overhang"):
                yield f"eye_length = {self.eye_length:g} mm, longer: {finding.sentence}"


    def _set(self, by: Adjuster) -> Iterator[str]:
        problems = [*by.problems()]
        yield from problems
        short = self.clear(1) + by.inside - HEAD - self.ends(by)[0]
        if short > 0 and not problems:
            why = "two eyes, two inserts, two nuts, and the stud with the bar at its shortest"
            yield f"bush_2 = {self.apart:.1f} mm from bush_1, {self.apart + short:.1f} or more: {why}"


ADJUSTMENT = FindingRule(
    code="adjustment",
    breaches=(advice(),),
    asks="What a bar that is set by a thread may be set to, and what a turn gives.",
)


def check(p: Params, shop: Shop = NO_TOOLS) -> Iterator[Finding]:
    yield from layout_findings(p.laid, shop)
    yield from ear_findings(p.tube, p.eye_length)
    for eye, bush_od in zip(p.eyes, (p.bush_od_1, p.bush_od_2), strict=True):
        yield from bore_findings(bush_bore(bush_od, own=eye.od - 2 * p.eye_wall), eye.name)
        yield from cup_findings(eye.od, bush_od, piece=eye.name)
    if (by := p.adjuster) is not None:
        yield from by.findings(piece="stud")
        yield ADJUSTMENT.finding(piece="stud", value=p.adjust, sentence=by.words(p.apart))


def build(p: Params) -> Part:
    eyes: list[Turned] = []
    seats: list[Seat] = []
    way = sub(p.bush_2, p.bush_1)
    for i, (eye, bush_od) in enumerate(zip(p.eyes, (p.bush_od_1, p.bush_od_2), strict=True), 1):
        at = Place(eye.at, eye.axis, way)
        made = tube_cup(eye.name, od=eye.od, wall=p.eye_wall, bush_od=bush_od, length=p.eye_length)
        eyes.append(made.placed(at))
        seats.append(Seat(name=f"bush_{i}", place=at, kind="bush", d=bush_od))
    by = p.adjuster
    fittings = () if by is None else by.pieces(p.along(p.ends(by)[0]), unit(way))
    return p.laid.part("link", pieces=[*eyes, *fittings], seats=seats)
