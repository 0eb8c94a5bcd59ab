"""Your own sockets and spanners, as typed: a row for a hexagon is used for it and no other. mm, degrees."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.params import Checked, deg, mm


@dataclass(frozen=True, kw_only=True)
class SocketRow(Checked):
    across_flats: Annotated[float, mm(3, 100, "hexagon it fits")]
    od: Annotated[float, mm(4, 200, "outside of the socket")]
    length: Annotated[float, mm(5, 400, "length of the socket")]
    drive_od: Annotated[float | None, mm(3, 100, "extension bar behind it: its diameter")] = None
    reach: Annotated[float | None, mm(5, 1000, "extension bar behind it: its length")] = None

    def rules(self) -> Iterator[str]:
        if self.od <= self.across_flats:
            yield f"od = {self.od:g} mm, more than the hexagon's {self.across_flats:g}: a socket"
        if (self.drive_od is None) != (self.reach is None):
            yield "drive_od, reach = one of the two, both or neither: an extension bar"
        elif self.drive_od is not None and self.drive_od >= self.od:
            yield f"drive_od = {self.drive_od:g} mm, less than the socket's {self.od:g}: an extension bar"


@dataclass(frozen=True, kw_only=True)
class SpannerRow(Checked):
    across_flats: Annotated[float, mm(3, 100, "hexagon it fits")]
    head: Annotated[float, mm(4, 250, "width over its ring or jaws")]
    handle: Annotated[float, mm(2, 100, "width of its handle")]
    reach: Annotated[float, mm(10, 1500, "middle of the bolt to the end of the handle")]
    t: Annotated[float, mm(1, 100, "its thickest")]
    swing: Annotated[float, deg(1, 360, "how far it must swing")] = 30.0

    def rules(self) -> Iterator[str]:
        if self.head <= self.across_flats:
            yield f"head = {self.head:g} mm, more than the hexagon's {self.across_flats:g}: a spanner"
        if self.handle > self.head:
            yield f"handle = {self.handle:g} mm, at most the head's {self.head:g}: a spanner"
        if self.reach <= self.head / 2:
            yield f"reach = {self.reach:g} mm, past half the head, {self.head / 2:g}: a spanner"
