"""What a user may set of a jig."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import direction, mm, stock
from brackets.core.tables.stock_rows import PLATE
from brackets.core.vectors import Vec


@dataclass(frozen=True, kw_only=True)
class JigValues(Checked):
    """Values of a jig; every default is common practice, no source."""

    clearance: Annotated[float, mm(0.05, 2.0, "holes over what goes through them, on the diameter")] = 0.2
    base_t: Annotated[float, stock(PLATE, "plate of the base", lo=5.0, hi=30.0)] = 12.0
    upright_t: Annotated[float, stock(PLATE, "plate of the uprights", lo=4.0, hi=20.0)] = 8.0
    height: Annotated[
        float | None, mm(0.0, 500.0, "lowest mounting face over the base, or lowest place where there is none")
    ] = None
    room: Annotated[float, mm(0.0, 300.0, "from the weldment to an upright, along the shaft")] = 60.0
    margin: Annotated[float, mm(2.0, 200.0, "base beyond what stands on it")] = 20.0
    up: Annotated[Vec | None, direction("which way of the part is up in its jig; worked out where none")] = None
