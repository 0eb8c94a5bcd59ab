"""Dummy bush: a turned steel stand-in, bolted between the ears or in the cup while the mount is welded."""

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
    dummy_bush,
    follows,
    hole,
    mm,
    row,
)

SLEEVE, OVER_BOLT = 18.0, 5.0
"""Outside of a sleeve that is not typed, and how much over its bore, mm (common practice, no source)."""
PAST_SHELL = 12.0
"""How much longer than the shell a sleeve is that is not typed, mm (common practice, no source)."""
LEAST = 0.02
ROUNDING = 1e-9


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bush_od: Annotated[float, mm(15, 110, "outside of the bush it stands for", takes="bush od")] = 60.0
    shell_length: Annotated[float, mm(10, 150, "length of the bush's shell", takes="bush length")] = 40.0
    sleeve_od: Annotated[float, mm(8, 60, "outside of the bush's sleeve"), follows("sleeve_over_bolt")] = WORKED_OUT
    sleeve_length: Annotated[float, mm(10, 200, "length of the bush's sleeve"), follows("sleeve_past_shell")] = (
        WORKED_OUT
    )
    sleeve_offset: Annotated[float, mm(-80, 80, "from the shell's middle to the sleeve's")] = 0.0
    bolt: Annotated[str, row("bolt", "bolt through it", takes="bush bolt")] = "M12"
    under: Annotated[float, mm(0, 1, "turned under size, so that the cup lets it go when it has shrunk")] = 0.2

    @property
    def bore(self) -> float:
        return hole(self.bolt, "pivot")

    @property
    def sleeve_over_bolt(self) -> float:
        return max(SLEEVE, self.bore + OVER_BOLT)

    @property
    def sleeve_past_shell(self) -> float:
        return self.shell_length + PAST_SHELL

    def rules(self) -> Iterator[str]:
        if self.sleeve_od < self.bore + 1:
            yield at_least("sleeve_od", self.sleeve_od, self.bore + 1, "metal round the bolt")
        if self.bush_od - self.under < self.sleeve_od + LEAST:
            least = self.sleeve_od + self.under + LEAST
            yield at_least("bush_od", self.bush_od, least, f"a bush round a sleeve {self.sleeve_od:g}")
        if self.sleeve_length < self.shell_length:
            yield at_least("sleeve_length", self.sleeve_length, self.shell_length, "ears clamp the sleeve")
        else:
            past = (self.sleeve_length - self.shell_length) / 2
            if abs(self.sleeve_offset) > past + ROUNDING:
                why = "the sleeve reaches past both ends of the shell"
                yield between("sleeve_offset", self.sleeve_offset, -past, past, why)


STUCK = FindingRule(
    code="stuck",
    breaches=(advice(),),
    asks="A dummy bush is turned under size, so that the cup lets it go.",
)


def check(p: Params) -> Iterator[Finding]:
    if p.under == 0:
        yield STUCK.finding(
            piece="dummy_bush",
            sentence="a cup shrinks on its pin when it is welded: turn the dummy a little under size",
        )


def build(p: Params) -> Part:
    return dummy_bush(
        od=p.bush_od - p.under,
        length=p.shell_length,
        sleeve_od=p.sleeve_od,
        sleeve_length=p.sleeve_length,
        bore=p.bore,
        sleeve_offset=p.sleeve_offset,
    )
