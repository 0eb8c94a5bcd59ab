"""Bung: a weld-in washer or a turned bung with a spigot, plain for a bolt or threaded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets import (
    WORKED_OUT,
    Checked,
    Finding,
    FindingRule,
    Part,
    advice,
    at_least,
    between,
    bolt,
    bung,
    choice,
    engagement,
    follows,
    hole,
    mm,
    row,
    yes_no,
)
from brackets.core.rulebook.parts import THREAD

OUTSIDE, SHOULDER, LEAST = 30.0, 3.0, 0.5
"""Outside of a bung that is not typed, the shoulder beyond its spigot, and the least of shoulder and wall, mm
(common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    kind: Annotated[str, choice(("washer", "turned"), "weld-in washer, or turned with a spigot")] = "turned"
    bolt: Annotated[str, row("bolt", "bolt or thread", takes="boss bolt")] = "M10"
    threaded: Annotated[bool, yes_no("threaded; else a clearance hole")] = False
    od: Annotated[float, mm(12, 100, "outside"), follows("od_round_bore")] = WORKED_OUT
    length: Annotated[float, mm(3, 120, "thickness of the washer, or of the bung above its spigot")] = 12.0
    spigot_od: Annotated[
        float, mm(8, 95, "turned: spigot that goes into the hole or tube"), follows("spigot_in_od")
    ] = WORKED_OUT
    spigot: Annotated[float, mm(1, 120, "turned: length of the spigot")] = 8.0
    seat_t: Annotated[float, mm(0, 50, "thickness of what the spigot goes into")] = 6.0

    @property
    def bore(self) -> float:
        return hole(self.bolt, "tap" if self.threaded else "boss")

    @property
    def od_round_bore(self) -> float:
        spigot = self.spigot_od + 2 * SHOULDER if self.kind == "turned" and self.spigot_od else 0.0
        return max(OUTSIDE, self.bore + 4 * SHOULDER, spigot)

    @property
    def spigot_in_od(self) -> float:
        """A shoulder all round, and half way to the bore where there is not the room."""
        od = self.od or self.od_round_bore
        return max(od - 2 * SHOULDER, (od + self.bore + 2) / 2)

    @property
    def grip(self) -> float:
        return self.length + (self.spigot if self.kind == "turned" else 0.0)

    def rules(self) -> Iterator[str]:
        least, most = self.bore + 2 * LEAST, self.od - 2 * LEAST
        if self.od < self.bore + 3:
            yield at_least("od", self.od, self.bore + 3, f"metal round the hole for {self.bolt}")
        elif self.kind == "turned" and not least <= self.spigot_od <= most:
            yield between("spigot_od", self.spigot_od, least, most, "a spigot and a shoulder")


PROUD = FindingRule(
    code="proud",
    breaches=(advice(),),
    asks="The spigot of a bung stands proud of the far face.",
    limit="thickness that the bung goes through",
)


def check(p: Params) -> Iterator[Finding]:
    needed = engagement(bolt(p.bolt), "steel")
    if p.threaded and THREAD.under(p.grip, needed.least):
        yield THREAD.finding(
            piece="bung",
            value=p.grip,
            limit=needed.least,
            source_words=needed.source,
            sentence=f"{p.grip:g} mm of thread for {p.bolt}, {needed.least:g} or more",
        )
    if p.kind == "turned" and p.spigot < p.seat_t:
        yield PROUD.finding(
            piece="bung",
            value=p.spigot,
            limit=p.seat_t,
            sentence="the spigot stops short of the far face: leave it proud, so that it can be welded there too",
        )


def build(p: Params) -> Part:
    spigot = (p.spigot_od, p.spigot) if p.kind == "turned" else None
    return bung(od=p.od, bore=p.bore, length=p.length, spigot=spigot, thread=p.bolt if p.threaded else None)
