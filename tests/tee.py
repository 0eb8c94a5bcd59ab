"""Tee: an upright welded along both its feet to a base. A recipe of a user's own, for the tests."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from brackets import PLATE, Along, Checked, Part, Place, Weld, plate, rectangle, stock


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    t: Annotated[float, stock(PLATE, "plate")] = 6.0


def build(p: Params) -> Part:
    """The base lies 100 square in z = 0 to t; the upright is 60 long in y, from x = 0 to t and up to t + 40."""
    base = plate(rectangle(100, 100), p.t, name="base")
    upright = plate(rectangle(60, 40), p.t, name="upright", place=Place((0, 0, p.t + 20), (1, 0, 0), (0, 0, 1)))
    low = (-30.0, -20.0), (30.0, -20.0)
    welds = tuple(Weld(piece="upright", edge=Along(*low, face), onto="base", leg=4) for face in ("low", "high"))
    return Part(name="tee", pieces=(base, upright), welds=welds)
