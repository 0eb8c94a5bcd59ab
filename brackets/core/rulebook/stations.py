"""Rules of stations: what a body that is cut into sheets of foam or card must have, and its sheets and dowels."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

STATION_TORN = library_rule(
    "station torn",
    stop(GEOMETRY),
    caution(GEOMETRY),
    asks="A body that stations are cut from is closed, or its holes are no larger than may be closed.",
    limit="largest hole that may be closed",
)
STATION_SHORT = library_rule(
    "station short",
    advice(GEOMETRY),
    asks="A stack of stations that gaps are judged by is nowhere smaller than the body.",
)
STATION_THIN = library_rule(
    "station thin",
    caution(),
    asks="No piece of a station is so narrow that it breaks in the hand.",
    limit="narrowest that foam board holds",
)
STATION_DOWELS = library_rule(
    "station dowels",
    caution(GEOMETRY),
    advice(GEOMETRY),
    asks="Two dowels line up every piece of a station with the next, and a wire shows whether one is turned over.",
)
STATION_BOARD = library_rule(
    "station board",
    caution(GEOMETRY),
    asks="Every piece of a station lies on a board with room round it.",
    limit="the board less room round it",
)
