"""Folded plate: one tree of walls and bends that gives both the folded shape and the blank it is bent from.

Angles are what the metal is turned by, degrees; mm.
"""

from brackets.fold.allowance import (
    Measured,
    bend_allowance,
    deduction,
    din_k,
    joggle_web,
    k_of_allowance,
    setback,
)
from brackets.fold.checks import STEEPEST
from brackets.fold.clash import Near, near
from brackets.fold.facts import flat_facts
from brackets.fold.flat import Flat, FlatHole, flat
from brackets.fold.make import joggle, lip
from brackets.fold.order import bend_order
from brackets.fold.splice import overlaps
from brackets.fold.tree import Bend, Node, Tree, tree
from brackets.fold.zones import Zones, zones
from brackets.pieces.folded import Relief

__all__ = [
    "STEEPEST",
    "Bend",
    "Flat",
    "FlatHole",
    "Measured",
    "Near",
    "Node",
    "Relief",
    "Tree",
    "Zones",
    "bend_allowance",
    "bend_order",
    "deduction",
    "din_k",
    "flat",
    "flat_facts",
    "joggle",
    "joggle_web",
    "k_of_allowance",
    "lip",
    "near",
    "overlaps",
    "setback",
    "tree",
    "zones",
]
