"""Rules of the powertrain on its bushes: what mounts carry and give, what holds if one fails, and how it swings."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY
from brackets.core.rulebook.bay import SMALL_MOVEMENT
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

OWN_ROW = "own row"
"""The source of what the bush's row says it carries and gives."""
ISOLATION = "Den Hartog, Mechanical Vibrations, 4th edition 1956 (from memory): transmissibility"

SMALL_TURN = library_rule(
    "small turn",
    stop(GEOMETRY, "deg"),
    asks="The powertrain turns no further on its bushes, as its weight comes on or in a case, than the sum is good"
    " for.",
    limit=SMALL_MOVEMENT,
)
MOUNT_LOAD = library_rule(
    "mount load",
    stop(OWN_ROW, "N"),
    asks="No load case asks more of a bush than the largest load of its row.",
    limit="largest load of the bush's row",
)
MOUNT_TRAVEL = library_rule(
    "mount travel",
    caution(OWN_ROW),
    asks="No load case presses a bush further than the travel of its row.",
    limit="travel of the bush's row",
)
MOUNT_HEAT = library_rule(
    "mount heat",
    stop(OWN_ROW, "deg C"),
    advice(unit="deg C"),
    asks="No bush becomes hotter where it is than its row allows.",
    limit="heat of the bush's row",
)
MOUNT_LIFTS = library_rule(
    "mount lifts",
    advice(),
    asks="Where a mount is pulled the other way than by the weight, its bush and bolts are made for both.",
)
MOUNT_SEPARATES = library_rule(
    "mount separates",
    caution(),
    asks="What the powertrain only stands on keeps its load in every case.",
)
MOUNT_CAPTIVE = library_rule(
    "mount captive",
    caution(),
    asks="If any one bush fails, mounts and stops that are left hold the powertrain.",
)
MODE_ISOLATES = library_rule(
    "mode isolates",
    caution(ISOLATION, "Hz"),
    asks="Every natural frequency is under the firing frequency at idle over the square root of 2.",
    limit="firing frequency at idle over the square root of 2: below it mounts pass on more than they get",
)
MODE_ORDER = library_rule(
    "mode order",
    caution(unit="Hz"),
    asks="No natural frequency is within 20 % of a frequency that the engine shakes with at idle.",
    limit="a fifth below or above what shakes it at idle",
)
