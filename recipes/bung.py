"""Bung: a weld-in washer or a turned bung with a spigot, plain for a bolt or threaded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.build import bung
from brackets.findings import PRACTICE, Finding
from brackets.params import Checked, choice, mm, row, yes_no
from brackets.part import Part
from brackets.tables import bolt, hole
from brackets.tables.engagement import engagement


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    kind: Annotated[str, choice(("washer", "turned"), "weld-in washer, or turned with a spigot")] = "turned"
    bolt: Annotated[str, row("bolt", "bolt or thread")] = "M10"
    threaded: Annotated[bool, yes_no("threaded; else a clearance hole")] = False
    od: Annotated[float, mm(12, 100, "outside")] = 30.0
    length: Annotated[float, mm(3, 120, "thickness of the washer, or of the bung above its spigot")] = 12.0
    spigot_od: Annotated[float, mm(8, 95, "turned: spigot that goes into the hole or tube")] = 24.0
    spigot: Annotated[float, mm(1, 120, "turned: length of the spigot")] = 8.0
    seat_t: Annotated[float, mm(0, 50, "thickness of what the spigot goes into")] = 6.0

    @property
    def bore(self) -> float:
        return hole(self.bolt, "tap" if self.threaded else "boss")

    @property
    def grip(self) -> float:
        return self.length + (self.spigot if self.kind == "turned" else 0.0)

    def rules(self) -> Iterator[str]:
        if self.od <= self.bore + 3:
            yield f"od = {self.od:g} mm, more than {self.bore + 3:g}: metal round the hole for {self.bolt}"
        if self.kind == "turned" and not self.bore + 2 < self.spigot_od < self.od:
            yield (
                f"spigot_od = {self.spigot_od:g} mm, between {self.bore + 2:g} and od {self.od:g}:"
                " a spigot and a shoulder"
            )


def check(p: Params) -> Iterator[Finding]:
    needed = engagement(bolt(p.bolt), "steel")
    if p.threaded and p.grip < needed.least:
        yield Finding(
            level="caution",
            code="thread",
            piece="bung",
            value=p.grip,
            limit=needed.least,
            source=needed.source,
            sentence=f"{p.grip:g} mm of thread for {p.bolt}, {needed.least:g} or more",
        )
    if p.kind == "turned" and p.spigot < p.seat_t:
        yield Finding(
            level="advice",
            code="proud",
            piece="bung",
            value=p.spigot,
            limit=p.seat_t,
            source=PRACTICE,
            sentence="the spigot stops short of the far face: leave it proud, so that it can be welded there too",
        )


def build(p: Params) -> Part:
    spigot = (p.spigot_od, p.spigot) if p.kind == "turned" else None
    return bung(od=p.od, bore=p.bore, length=p.length, spigot=spigot, thread=p.bolt if p.threaded else None)
