"""Cup: a tube bored for the bush, pressed or slipped in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets import (
    HOLE_CLASSES,
    TUBE,
    WALL,
    WORKED_OUT,
    BushBore,
    Checked,
    Finding,
    FindingRule,
    Limits,
    Part,
    bore_findings,
    bush_bore,
    caution,
    choice,
    cup,
    cup_findings,
    cup_tube,
    cup_tube_problems,
    follows,
    hole_limits,
    lengths,
    mm,
    stock,
    typed_limits,
)

LEAST_WALL = 3.0
TO_BORE = 1.0
"""mm inside the bush that a tube has to be bored away, where its wall is not typed (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bush_od: Annotated[float, mm(15, 110, "bush outer diameter", takes="bush od")] = 60.0
    fit: Annotated[str, choice(("press", "slip"), "how the bush sits in the cup")] = "press"
    play: Annotated[float, mm(0, 1, "slip fit only: bore over bush")] = 0.2
    finish: Annotated[str, choice(("after welding", "before welding"), "when the cup is bored to size")] = (
        "after welding"
    )
    bore_stock: Annotated[float, mm(0.1, 3, "left in the bore before welding, on the diameter")] = 0.5
    tolerance: Annotated[str, choice(HOLE_CLASSES, "tolerance of the finished bore, ISO 286")] = "H7"
    limits: Annotated[
        tuple[float, ...], lengths(-1, 1, "limits of the bore instead, from its nominal size", at_most=2)
    ] = ()
    od: Annotated[float, stock(TUBE, "tube the cup is cut from, outside"), follows("od_for_bush")] = WORKED_OUT
    wall: Annotated[float, stock(WALL, "wall of that tube"), follows("wall_for_bush")] = WORKED_OUT
    length: Annotated[float, mm(10, 150, "length of the cup")] = 40.0

    @property
    def bore(self) -> float:
        return self.bush_od + (self.play if self.fit == "slip" else 0.0)

    @property
    def od_for_bush(self) -> float:
        return cup_tube(self.bush_od, self.od, self.wall)[0]

    @property
    def wall_for_bush(self) -> float:
        return cup_tube(self.bush_od, self.od, self.wall, to_bore=TO_BORE)[1]

    @property
    def wall_left(self) -> float:
        return (self.od - self.bore) / 2

    @property
    def allowed(self) -> Limits:
        return typed_limits(*self.limits) if self.limits else hole_limits(self.bore, self.tolerance)

    @property
    def finished(self) -> BushBore:
        """How the bore comes to its size: with stock left for after welding, or at its size before."""
        left = self.bore_stock if self.finish == "after welding" else 0.0
        own, slip = self.od - 2 * self.wall, self.fit == "slip"
        return bush_bore(self.bore, own=own, limits=self.allowed, stock=left, slip=slip)

    def rules(self) -> Iterator[str]:
        yield from cup_tube_problems(self.od, self.wall, self.bore, name="")
        if self.limits and (len(self.limits) == 1 or not self.limits[0] < self.limits[1]):
            yield f"limits = {', '.join(f'{v:g}' for v in self.limits)} mm, two, the lower one first: of the bore"


CUP_WALL = FindingRule(
    code="cup wall",
    breaches=(caution(),),
    asks="The wall left round the bush does not give when it is pressed in.",
    limit="least wall",
)


def check(p: Params) -> Iterator[Finding]:
    yield from cup_findings(p.od, p.bore, piece="cup")
    if CUP_WALL.under(p.wall_left, LEAST_WALL):
        yield CUP_WALL.finding(
            piece="cup",
            value=p.wall_left,
            limit=LEAST_WALL,
            sentence=f"{p.wall_left:.1f} mm of wall left, {LEAST_WALL:g} or more: a thin cup gives when pressed",
        )
    yield from bore_findings(p.finished, "cup")


def build(p: Params) -> Part:
    return cup(od=p.od, bore=p.bore, length=p.length, stock=f"tube {p.od:g} x {p.wall:g}", bush=p.finished)
