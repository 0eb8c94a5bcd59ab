"""What the shipped recipes are made with, for recipes of your own: functions of plain values that return pieces
and parts, each with its frame in its module's first lines."""

from brackets.library.ears import Ears, FlatSeat, Rail, ear_foot, on_flat, on_tube
from brackets.library.faces import (
    Face,
    boss_holes,
    edge_for,
    level_problems,
    opening_ends,
    opening_rules,
    spacers,
    washer_findings,
)
from brackets.library.fixings import FIXINGS, Fixing, end_holes, fastened, slotted_holes, washer_rules
from brackets.library.folded_ears import with_back
from brackets.library.hardware import bobbin_end, bobbin_rubber, bolted, bush_inner, bush_outer, nut_on
from brackets.library.joggled_ears import Joggle, joggle_rules, joggled
from brackets.library.plates import (
    UNDER,
    Lips,
    base_plate,
    cup_gussets,
    flat_part,
    gusset_outline,
    gusset_room,
    plate,
    round_holes,
    seat_level,
    seat_welds,
    seated_outline,
)
from brackets.library.rounds import bore_findings, bung, bush_bore, centred, cup, dummy_bush, ring, tube_cup
from brackets.library.stud_shelf import StudShelf, stud_shelf
from brackets.library.tube_gussets import gusset_rise_problems

__all__ = [
    "FIXINGS",
    "UNDER",
    "Ears",
    "Face",
    "Fixing",
    "FlatSeat",
    "Joggle",
    "Lips",
    "Rail",
    "StudShelf",
    "base_plate",
    "bobbin_end",
    "bobbin_rubber",
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
    "end_holes",
    "fastened",
    "flat_part",
    "gusset_outline",
    "gusset_rise_problems",
    "gusset_room",
    "joggle_rules",
    "joggled",
    "level_problems",
    "nut_on",
    "on_flat",
    "on_tube",
    "opening_ends",
    "opening_rules",
    "plate",
    "ring",
    "round_holes",
    "seat_level",
    "seat_welds",
    "seated_outline",
    "spacers",
    "stud_shelf",
    "tube_cup",
    "washer_findings",
    "slotted_holes",
    "washer_rules",
    "with_back",
]
