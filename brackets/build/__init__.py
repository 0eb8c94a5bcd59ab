"""What the shipped recipes are made with, for recipes of your own: functions of plain values that return pieces
and parts, each with its frame in its module's first lines."""

from brackets.build.bores import bore_findings, bush_bore
from brackets.build.cup_plates import cup_gussets, seat_level, seat_welds, seated_outline
from brackets.build.ears import Ears, Flat, Rail, ear_foot, on_flat, on_tube
from brackets.build.faces import Face, boss_holes, edge_for, opening_rules, spacers
from brackets.build.folded_ears import with_back
from brackets.build.hardware import bolted, bush_inner, bush_outer
from brackets.build.joggled_ears import Joggle, joggle_rules, joggled
from brackets.build.plates import (
    UNDER,
    Fixing,
    Lips,
    base_plate,
    flat_part,
    gusset_outline,
    plate,
    round_holes,
    through_hollow,
)
from brackets.build.rounds import bung, centred, cup, dummy_bush, ring, tube_cup

__all__ = [
    "UNDER",
    "Ears",
    "Face",
    "Fixing",
    "Flat",
    "Joggle",
    "Lips",
    "Rail",
    "base_plate",
    "bolted",
    "bore_findings",
    "boss_holes",
    "bung",
    "bush_bore",
    "bush_inner",
    "bush_outer",
    "centred",
    "cup",
    "cup_gussets",
    "dummy_bush",
    "ear_foot",
    "edge_for",
    "flat_part",
    "gusset_outline",
    "joggle_rules",
    "joggled",
    "on_flat",
    "on_tube",
    "opening_rules",
    "plate",
    "ring",
    "round_holes",
    "seat_level",
    "seat_welds",
    "seated_outline",
    "spacers",
    "through_hollow",
    "tube_cup",
    "with_back",
]
