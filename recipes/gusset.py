"""Gusset: a three-cornered plate that stiffens a corner, its noses cut square and its heel cut off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets import (
    PLATE,
    Checked,
    Finding,
    FindingRule,
    Part,
    advice,
    at_most,
    flat_part,
    gusset_outline,
    mm,
    plate,
    stock,
)

STUBBY = 0.5


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    leg_x: Annotated[float, mm(15, 200, "one leg, along x")] = 45.0
    leg_y: Annotated[float, mm(15, 200, "other leg, along y")] = 45.0
    t: Annotated[float, stock(PLATE, "plate", lo=2.0, hi=12.0)] = 5.0
    nose: Annotated[float, mm(2, 30, "height of the square noses")] = 6.0
    corner: Annotated[float, mm(0, 30, "cut off at the heel, over the weld beneath")] = 8.0

    def rules(self) -> Iterator[str]:
        short = min(self.leg_x, self.leg_y)
        for name, value in (("nose", self.nose), ("corner", self.corner)):
            if value > short - 1:
                yield at_most(name, value, short - 1, "shorter than the legs")


GUSSET = FindingRule(
    code="gusset",
    breaches=(advice(unit=""),),
    asks=f"A gusset's shorter leg is at least {STUBBY:g} of the longer.",
    limit="least ratio of the legs",
)


def check(p: Params) -> Iterator[Finding]:
    ratio = min(p.leg_x, p.leg_y) / max(p.leg_x, p.leg_y)
    if ratio < STUBBY:
        yield GUSSET.finding(
            piece="plate",
            value=ratio,
            limit=STUBBY,
            sentence="one leg is less than half the other: the short leg does little",
        )


def build(p: Params) -> Part:
    outline = gusset_outline(p.leg_x, p.leg_y, nose=p.nose, corner=p.corner)
    return flat_part(plate(outline, p.t), name="gusset")
