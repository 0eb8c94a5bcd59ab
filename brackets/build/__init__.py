"""What the shipped recipes are made with, for recipes of your own: functions of plain values that return pieces
and parts, each with its frame in its module's first lines."""

from brackets.build.ears import Ears, Flat, Rail, on_flat, on_tube
from brackets.build.folded_ears import with_back
from brackets.build.plates import (
    UNDER,
    Fixing,
    Lips,
    flat_part,
    gusset_outline,
    lipped,
    plate,
    round_holes,
    through_hollow,
)
from brackets.build.rounds import centred, ring

__all__ = [
    "UNDER",
    "Ears",
    "Fixing",
    "Flat",
    "Lips",
    "Rail",
    "centred",
    "flat_part",
    "gusset_outline",
    "lipped",
    "on_flat",
    "on_tube",
    "plate",
    "ring",
    "round_holes",
    "through_hollow",
    "with_back",
]
