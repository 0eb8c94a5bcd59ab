"""Tubes laid out by points in space: what their ends meet, how they are cut, and what a shop would say."""

from brackets.layout.access import socket_findings
from brackets.layout.bungs import BungFollows
from brackets.layout.corner import Corner
from brackets.layout.cups import (
    CupFollows,
    cup_findings,
    cup_tube,
    cup_tube_problems,
    ear_findings,
    landing_problems,
    name_problems,
)
from brackets.layout.cut_rows import CutEnd, CutRow, cut_rows, tubes_of
from brackets.layout.laid import Layout, lay_out
from brackets.layout.near import Rod, rod_gap, rods
from brackets.layout.rules import layout_findings
from brackets.layout.runs import Run
from brackets.layout.things import Bung, Flat, Mitre, Round

__all__ = [
    "BungFollows",
    "Bung",
    "Corner",
    "CupFollows",
    "CutEnd",
    "CutRow",
    "Flat",
    "Layout",
    "Mitre",
    "Rod",
    "Round",
    "Run",
    "cup_findings",
    "cup_tube",
    "cup_tube_problems",
    "cut_rows",
    "ear_findings",
    "landing_problems",
    "lay_out",
    "layout_findings",
    "name_problems",
    "rod_gap",
    "rods",
    "socket_findings",
    "tubes_of",
]
