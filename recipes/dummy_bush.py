"""Dummy bush: a turned steel stand-in, bolted between the ears or in the cup while the mount is welded."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.build import dummy_bush
from brackets.findings import PRACTICE, Finding
from brackets.params import Checked, mm, row
from brackets.part import Part
from brackets.tables import hole


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bush_od: Annotated[float, mm(15, 110, "outside of the bush it stands for")] = 60.0
    shell_length: Annotated[float, mm(10, 150, "length of the bush's shell")] = 40.0
    sleeve_od: Annotated[float, mm(8, 60, "outside of the bush's sleeve")] = 18.0
    sleeve_length: Annotated[float, mm(10, 200, "length of the bush's sleeve")] = 52.0
    bolt: Annotated[str, row("bolt", "bolt through it")] = "M12"
    under: Annotated[float, mm(0, 1, "turned under size, so that the cup lets it go when it has shrunk")] = 0.2

    @property
    def bore(self) -> float:
        return hole(self.bolt, "pivot")

    def rules(self) -> Iterator[str]:
        if self.sleeve_od <= self.bore + 1:
            yield f"sleeve_od = {self.sleeve_od:g} mm, more than {self.bore + 1:g}: metal round the bolt"
        if self.bush_od - self.under <= self.sleeve_od:
            yield f"bush_od = {self.bush_od:g} mm, more than sleeve_od {self.sleeve_od:g}: a bush round a sleeve"
        if self.sleeve_length < self.shell_length:
            yield (
                f"sleeve_length = {self.sleeve_length:g} mm, {self.shell_length:g} or more: ears clamp the sleeve"
            )


def check(p: Params) -> Iterator[Finding]:
    if p.under == 0:
        yield Finding(
            level="advice",
            code="stuck",
            piece="dummy_bush",
            source=PRACTICE,
            sentence="a cup shrinks on its pin when it is welded: turn the dummy a little under size",
        )


def build(p: Params) -> Part:
    return dummy_bush(
        od=p.bush_od - p.under,
        length=p.shell_length,
        sleeve_od=p.sleeve_od,
        sleeve_length=p.sleeve_length,
        bore=p.bore,
    )
