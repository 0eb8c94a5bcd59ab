"""Values that follow the others unless somebody types them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

WORKED_OUT: Any = None
"""The default of a value that follows the others: its type is that of the figure, there once it is made."""


@dataclass(frozen=True)
class Follows:
    """Behind the rule of a value: the property of the Params that works its figure out where it is not typed.

    The property is asked once, when the Params are made. Values that are not typed either are None to it.
    """

    figure: str


def follows(figure: str) -> Follows:
    """`od: Annotated[float, stock(TUBE, "..."), follows("od_for_bush")] = WORKED_OUT`."""
    return Follows(figure)
