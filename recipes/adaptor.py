"""Adaptor plate: the outline round the holes of one bolt pattern or two, with lightening holes and spacers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets.build import UNDER, boss_holes, edge_for, opening_rules, plate, round_holes, spacers
from brackets.findings import PRACTICE, Finding
from brackets.outline import Outline
from brackets.params import PLATE, Checked, choice, lengths, mm, points, row, stock
from brackets.part import Part
from brackets.pieces import Hole, Place, Seat

LEAST = 1.0


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    holes: Annotated[
        tuple[tuple[float, float], ...], points(2, "first pattern, hole centres", at_least=1, at_most=40)
    ] = ((-60.0, -30.0), (60.0, -35.0), (55.0, 40.0), (-50.0, 35.0))
    bolt: Annotated[str, row("bolt", "bolts of the first pattern")] = "M10"
    low: Annotated[tuple[float, ...], lengths(0, 40, "how much lower each of its bosses stands")] = ()
    second: Annotated[tuple[tuple[float, float], ...], points(2, "second pattern, hole centres", at_most=40)] = ()
    second_bolt: Annotated[str, row("bolt", "bolts of the second pattern")] = "M10"
    second_kind: Annotated[str, choice(("boss", "tap"), "second pattern: clearance, or threaded in the plate")] = (
        "boss"
    )
    edge: Annotated[float | None, mm(6, 80, "hole centre to edge")] = None
    extra: Annotated[
        tuple[tuple[float, float], ...], points(2, "further points the outline goes round", at_most=40)
    ] = ()
    lightening: Annotated[
        tuple[tuple[float, float, float], ...],
        points(3, "lightening holes: x, y, diameter", at_most=20, axes=("x", "y", "d")),
    ] = ()
    t: Annotated[float, stock(PLATE, "plate", lo=3.0, hi=25.0)] = 8.0

    @cached_property
    def outline(self) -> Outline:
        edge = self.edge
        wide = max(edge_for(self.bolt), edge_for(self.second_bolt) if self.second else 0.0)
        return round_holes((*self.holes, *self.second), wide if edge is None else edge, self.extra)

    @cached_property
    def openings(self) -> tuple[Hole, ...]:
        light = (
            Hole(at=(x, y), d=d, kind="drain", name=f"lightening_{i}")
            for i, (x, y, d) in enumerate(self.lightening, 1)
        )
        return (
            *boss_holes(self.holes, self.bolt, name="hole_"),
            *boss_holes(
                self.second, self.second_bolt, kind="tap" if self.second_kind == "tap" else "boss", name="second_"
            ),
            *light,
        )

    def rules(self) -> Iterator[str]:
        if self.low and len(self.low) != len(self.holes):
            yield f"low = {len(self.low)} values, none or one for each of the {len(self.holes)} holes"
        if any(d <= 0 for *_, d in self.lightening):
            yield "lightening = a diameter of 0 or less, must be more than 0 mm: lightening holes"
        else:
            yield from opening_rules(self.outline, self.openings, least=LEAST)


def check(p: Params) -> Iterator[Finding]:
    if p.low and max(p.low) - min(p.low) > p.t:
        yield Finding(
            level="advice",
            code="spacer",
            piece="plate",
            value=max(p.low) - min(p.low),
            limit=p.t,
            source=PRACTICE,
            sentence="a spacer taller than the plate is thick: joggle the plate, or step that boss another way",
        )


def build(p: Params) -> Part:
    level = [step - min(p.low) for step in p.low] if p.low else [0.0] * len(p.holes)
    piece = plate(p.outline, p.t, openings=p.openings)
    seats = [
        Seat(name="under", place=UNDER, kind="face"),
        Seat(name="top", place=Place(at=(0, 0, p.t)), kind="face"),
    ]
    seats += [
        Seat(name=f"boss_{i}", place=Place((x, y, -step), (0, 0, -1)), kind="boss", bolt=p.bolt)
        for i, ((x, y), step) in enumerate(zip(p.holes, level, strict=True), 1)
    ]
    return Part(name="adaptor", pieces=(piece, *spacers(p.holes, level, p.bolt)), seats=tuple(seats))
