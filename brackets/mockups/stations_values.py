"""What somebody says of the stations they want: axis, pitch, thickness, board, dowels. mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, mm, section, yes_no

TRUE_AT = ("middle", "outside")


@dataclass(frozen=True, kw_only=True)
class StationValues(Checked):
    axis: Annotated[str, choice(("x", "y", "z"), "axis the stations are cut square to")] = "x"
    pitch: Annotated[float, mm(0.5, 500, "from one station to the next")] = 20.0
    thickness: Annotated[
        float | None, mm(0.1, 500, "of the board; without it the pitch, sheets glued face to face")
    ] = None
    start: Annotated[
        float | None, mm(-1e5, 1e5, "place on the axis of one sheet's face; without it the body's lowest end")
    ] = None
    true_at: Annotated[
        str,
        choice(TRUE_AT, "middle: the section at the middle of each sheet; outside: all between its faces"),
    ] = "middle"
    sheet: Annotated[tuple[float, float], section(50, 10000, "the board, length x width")] = (1000.0, 500.0)
    hollow: Annotated[float | None, mm(5, 1000, "wall left where pieces are hollowed; without it solid")] = None
    fill: Annotated[bool, yes_no("holes inside a section are filled")] = False
    close_holes: Annotated[float, mm(0, 2000, "largest hole in a scan that may be closed")] = 0.0
    dowel: Annotated[float, mm(2, 60, "diameter of the dowels")] = 8.0

    def rules(self) -> Iterator[str]:
        if self.thickness is not None and self.thickness > self.pitch:
            yield f"thickness = {self.thickness:g} mm, at most {self.pitch:g} mm: pitch of the stations"

    @property
    def board(self) -> float:
        """Thickness of a sheet."""
        return self.pitch if self.thickness is None else self.thickness

    @property
    def spacer(self) -> float:
        """Between one sheet and the next; 0 where they are glued face to face."""
        return self.pitch - self.board
