"""Adaptor plate: the outline round the holes of one bolt pattern or two, lightening holes, spacers, a tube stub."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Annotated

from brackets import (
    NO_TOOLS,
    PLATE,
    SLOT_WAYS,
    UNDER,
    Checked,
    Finding,
    FindingRule,
    Hole,
    InputError,
    Layout,
    Outline,
    Part,
    Place,
    PlaneTarget,
    Run,
    Seat,
    Shop,
    Slot,
    Vec,
    add,
    advice,
    bolt,
    boss_holes,
    choice,
    direction,
    edge_for,
    follows,
    lay_out,
    layout_findings,
    lengths,
    mm,
    od_wall,
    opening_ends,
    opening_rules,
    plate,
    point,
    points,
    round_hull,
    row,
    scale,
    slotted_holes,
    spacers,
    stock,
    unit,
)
from brackets import (
    tube_size as tube,
)

LEAST = 1.0
MOST_LEAN = 60.0


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    holes: Annotated[
        tuple[tuple[float, float], ...], points(2, "first pattern, hole centres", at_least=1, at_most=40)
    ] = ((-60.0, -30.0), (60.0, -35.0), (55.0, 40.0), (-50.0, 35.0))
    bolt: Annotated[str, row("bolt", "bolts of the first pattern", takes="boss bolt")] = "M10"
    low: Annotated[tuple[float, ...], lengths(0, 40, "how much lower each of its bosses stands")] = ()
    second: Annotated[tuple[tuple[float, float], ...], points(2, "second pattern, hole centres", at_most=40)] = ()
    second_bolt: Annotated[str, row("bolt", "bolts of the second pattern")] = "M10"
    second_kind: Annotated[str, choice(("boss", "tap"), "second pattern: clearance, or threaded in the plate")] = (
        "boss"
    )
    edge: Annotated[float | None, mm(6, 80, "hole centre to edge"), follows("edge_used")] = None
    extra: Annotated[
        tuple[tuple[float, float], ...], points(2, "further points the outline goes round", at_most=40)
    ] = ()
    lightening: Annotated[
        tuple[tuple[float, float, float], ...],
        points(3, "lightening holes: x, y, diameter", at_most=20, axes=("x", "y", "d")),
    ] = ()
    t: Annotated[float, stock(PLATE, "plate", lo=3.0, hi=25.0)] = 8.0
    slot: Annotated[float, mm(0, 40, "first pattern: how far the plate can be moved on its bolts, in all")] = 0.0
    slot_along: Annotated[
        str, choice(SLOT_WAYS, "which way those slots run: length is along x, width along y")
    ] = "length"
    stub: Annotated[str | None, tube("tube stub on the plate", od=(15, 90), wall=(1.5, 8))] = None
    stub_at: Annotated[tuple[float, float], point(2, "where its axis leaves the plate", lo=-500, hi=500)] = (
        0.0,
        0.0,
    )
    stub_way: Annotated[Vec, direction("its direction, z out of the plate")] = (0.0, 0.0, 1.0)
    stub_length: Annotated[float, mm(15, 600, "along its axis, plate to square end")] = 80.0
    leg: Annotated[float | None, mm(1.5, 12, "leg of its weld, none for its wall")] = None

    @property
    def edge_used(self) -> float:
        wide = max(edge_for(self.bolt), edge_for(self.second_bolt) if self.second else 0.0)
        return wide if self.edge is None else self.edge

    @cached_property
    def outline(self) -> Outline:
        edge = self.edge_used
        bolts = (*opening_ends(self.slots), *self.second)
        circles = [(x, y, edge) for x, y in bolts] + [(x, y, 0.0) for x, y in self.extra]
        return round_hull([*circles, *([(*self.stub_at, self.foot + self.weld)] if self.stub else [])])

    @cached_property
    def slots(self) -> tuple[Hole | Slot, ...]:
        """Of the first pattern, round where the plate is not moved on its bolts."""
        return slotted_holes(boss_holes(self.holes, self.bolt, name="hole_"), self.slot, self.slot_along)

    @cached_property
    def openings(self) -> tuple[Hole | Slot, ...]:
        light = (
            Hole(at=(x, y), d=d, kind="drain", name=f"lightening_{i}")
            for i, (x, y, d) in enumerate(self.lightening, 1)
        )
        return (
            *self.slots,
            *boss_holes(
                self.second, self.second_bolt, kind="tap" if self.second_kind == "tap" else "boss", name="second_"
            ),
            *light,
        )

    @property
    def weld(self) -> float:
        return od_wall(self.stub)[1] if self.leg is None and self.stub else self.leg or 0.0

    @property
    def lean(self) -> float:
        """Degrees the stub leans from square to the plate."""
        return math.degrees(math.acos(max(-1.0, min(1.0, unit(self.stub_way)[2]))))

    @property
    def foot(self) -> float:
        """Half the length of the stub's foot on the plate, mm."""
        return od_wall(self.stub)[0] / 2 / math.cos(math.radians(self.lean)) if self.stub else 0.0

    @cached_property
    def laid(self) -> Layout:
        """The stub, cut to the plate."""
        if self.stub is None:
            return lay_out()
        foot = (*self.stub_at, self.t)
        tip = add(foot, scale(unit(self.stub_way), self.stub_length))
        return lay_out(
            Run("stub", self.stub, (foot, tip), PlaneTarget("plate", foot, (0, 0, 1), t=self.t), leg=self.leg)
        )

    def rules(self) -> Iterator[str]:
        if self.stub:
            problems = [*self._stub()]
            yield from problems
            if problems:
                return
        if self.low and len(self.low) != len(self.holes):
            yield f"low = {len(self.low)} values, none or one for each of the {len(self.holes)} holes"
        if any(d <= 0 for *_, d in self.lightening):
            yield "lightening = a diameter of 0 or less, must be more than 0 mm: lightening holes"
        else:
            yield from opening_rules(self.outline, self.openings, least=LEAST)

    def _stub(self) -> Iterator[str]:
        if self.lean > MOST_LEAN:
            yield f"stub_way = {self.lean:.0f} deg from square to the plate, {MOST_LEAN:g} or less"
            return
        around = [(at, bolt(self.bolt).washer_od, "hole") for at in opening_ends(self.slots)]
        around += [(at, bolt(self.second_bolt).washer_od, "second hole") for at in self.second]
        around += [((x, y), d, "lightening hole") for x, y, d in self.lightening]
        for at, od, what in around:
            room = math.dist(at, self.stub_at) - self.foot - self.weld - od / 2
            if room < LEAST:
                yield f"stub_at = {room:.1f} mm from the {what} {at[0]:g}, {at[1]:g}, {LEAST:g} mm or more"
        try:
            self.laid  # noqa: B018
        except InputError as error:
            yield from (f"stub_length = {problem}" for problem in error.problems)


SPACER = FindingRule(
    code="spacer",
    breaches=(advice(),),
    asks="Bosses stand lower than each other by no more than the plate is thick.",
    limit="thickness of the plate",
)


def check(p: Params, shop: Shop = NO_TOOLS) -> Iterator[Finding]:
    yield from layout_findings(p.laid, shop)
    if p.low and max(p.low) - min(p.low) > p.t:
        yield SPACER.finding(
            piece="plate",
            value=max(p.low) - min(p.low),
            limit=p.t,
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
    for stub in p.laid.tubes:
        end = stub.place @ Place((0.0, 0.0, p.stub_length))
        seats.append(Seat(name="stub", place=end, kind="face", d=stub.od))
    return p.laid.part("adaptor", pieces=(piece, *spacers(p.holes, level, p.bolt)), seats=seats)
