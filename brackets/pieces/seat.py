"""Seats: where a part meets other things."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from brackets.pieces.place import Place

SeatKind = Literal["face", "bush", "round", "boss"]
"""face: flat against flat, z out of the material; bush: z the bush axis, origin the bush centre; round: on a
tube, origin on the tube's axis, z along it, y from the tube towards the part; boss: on a threaded boss, origin
on the mating face, z out of the material (into the casting)."""


@dataclass(frozen=True, kw_only=True)
class Seat:
    """A named place on a part; `d` is the diameter that matters there (bush, tube or hole), `bolt` its bolt."""

    name: str
    place: Place
    kind: SeatKind
    d: float | None = None
    bolt: str | None = None
