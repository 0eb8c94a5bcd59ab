"""Cap plate: closes the end of a tube or box section, set in a little so that the weld has a corner to lie in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets import (
    PLATE,
    Checked,
    Finding,
    FindingRule,
    Hole,
    Part,
    advice,
    at_most,
    choice,
    circle,
    flat_part,
    mm,
    plate,
    rectangle,
    stock,
)

LEAST = 0.01


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    shape: Annotated[str, choice(("round", "box"), "end of a round tube or of a box section")] = "box"
    od: Annotated[float, mm(15, 200, "round: tube's outside")] = 42.4
    width: Annotated[float, mm(15, 200, "box: outside width")] = 60.0
    height: Annotated[float, mm(15, 200, "box: outside height")] = 40.0
    corner: Annotated[float, mm(0, 30, "box: corner radius of the cap")] = 4.0
    inset: Annotated[float, mm(0, 10, "set in from the outside all round")] = 1.5
    t: Annotated[float, stock(PLATE, "plate", lo=1.5, hi=12.0)] = 3.0
    drain: Annotated[float, mm(0, 20, "drain hole, 0 for none")] = 0.0

    @property
    def size(self) -> tuple[float, float]:
        outside = (self.od, self.od) if self.shape == "round" else (self.width, self.height)
        return outside[0] - 2 * self.inset, outside[1] - 2 * self.inset

    def rules(self) -> Iterator[str]:
        least = min(self.size)
        if least <= 5:
            yield f"inset = {self.inset:g} mm, leaves {least:g} mm of cap: more than 5 must be left"
        elif self.shape == "box" and self.corner > least / 2 - LEAST:
            yield at_most("corner", self.corner, least / 2 - LEAST, "under half the cap's shorter side")
        if self.drain > 0 and self.drain > least - 4:
            yield at_most("drain", self.drain, least - 4, "2 mm of plate round it")


BREATHING = FindingRule(
    code="breathing",
    breaches=(advice(),),
    asks="A section that is closed has a hole to breathe and drain.",
)


def check(p: Params) -> Iterator[Finding]:
    if p.drain == 0:
        yield BREATHING.finding(
            piece="plate",
            sentence="a closed section wants a hole to breathe while it is welded, and to drain after",
        )


def build(p: Params) -> Part:
    w, h = p.size
    outline = circle((0.0, 0.0), w / 2) if p.shape == "round" else rectangle(w, h, radius=p.corner)
    holes = [Hole(at=(0.0, 0.0), d=p.drain, kind="drain", name="drain")] if p.drain > 0 else []
    return flat_part(plate(outline, p.t, openings=holes), name="cap_plate")
