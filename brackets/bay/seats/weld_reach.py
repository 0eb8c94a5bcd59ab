"""What a weld would hurt: lines, tanks, hoses and rubber near the welds of the parts, as drawn. mm, bay axes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.hardware import bush_of
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.clearance.places import Array
from brackets.clearance.triangles import Tree, between
from brackets.core.finding import Finding
from brackets.core.rulebook.parts import WELD_NEAR
from brackets.model import edges
from brackets.model.piece import CustomPiece
from brackets.model.weld import StraightEdge, Weld

CLASS = "weld"
"""Class of gap that says how near a weld is near."""

STEP = 1.0
"""mm between points along a weld: a chord of that length lies 0.006 off a curve of 20 radius."""

ROUNDING = 1e-3
"""mm by which a distance may be short of what is asked and meet it: rounding of typed places."""

SOLID = "solid"
"""The one kind of bush without rubber or plastic in it."""


@dataclass(frozen=True, kw_only=True)
class WeldNear:
    """A part, what one of its welds would hurt, and how far, mm, that is from the nearest of its welds at least."""

    part: str
    hurts: str
    bush: bool
    distance: float


def welds_near(stood: PlacedBay, all_things: Sequence[BayBody]) -> tuple[WeldNear, ...]:
    """Everything nearer to a weld of a part than is asked, nearest first; one row for a part and a thing."""
    reach = stood.bay.gap(CLASS).rest
    hurt = [thing for thing in all_things if _hurt(stood.bay, thing)]
    found = []
    for part in stood.parts if hurt else ():
        chains = [_chain(part, weld) for weld in part.part.welds if _has_edges(part, weld)]
        for thing in hurt if chains else ():
            distance = min(_apart(chain, thing, reach) for chain in chains)
            if distance < reach - ROUNDING:
                found.append(
                    WeldNear(part=part.name, hurts=thing.name, bush=thing.what == "bush", distance=distance)
                )
    return tuple(sorted(found, key=lambda near: (near.distance, near.part, near.hurts)))


def weld_findings(stood: PlacedBay, all_things: Sequence[BayBody]) -> Iterator[Finding]:
    """A caution for each part and keep-out, and one for each bush with all that is welded near it."""
    found = welds_near(stood, all_things)
    asked = stood.bay.gap(CLASS)
    for near in found:
        if not near.bush:
            yield WELD_NEAR.finding(
                piece=f"{near.part} | {near.hurts}",
                value=near.distance,
                limit=asked.rest,
                source_words=asked.why,
                sentence=f"{near.distance:.1f} mm from a weld of {near.part} to {near.hurts}, {asked.rest:g} asked:"
                " move or shield it before welding",
                about=(near.part, near.hurts),
            )
    for bush in dict.fromkeys(near.hurts for near in found if near.bush):
        welded = [near for near in found if near.hurts == bush]
        yield WELD_NEAR.finding(
            piece=bush,
            value=welded[0].distance,
            limit=asked.rest,
            source_words=asked.why,
            sentence=f"{', '.join(f'{near.distance:.1f} mm from a weld of {near.part}' for near in welded)},"
            f" {asked.rest:g} asked: take it out before welding",
            about=(bush, *(near.part for near in welded)),
        )


def _hurt(bay: Bay, thing: BayBody) -> bool:
    if thing.what == "bush":
        return any(bush_of(bay, mount).kind != SOLID for mount in bay.mounts if mount.name in thing.mounts)
    return thing.what == "keep-out" and bay.hurt_by_heat(thing.kind)


def _has_edges(part: PlacedPart, weld: Weld) -> bool:
    """A piece made by a function of the user's own has no edges but straight ones."""
    return not isinstance(part.part.piece(weld.piece), CustomPiece) or isinstance(weld.edge, StraightEdge)


def _chain(part: PlacedPart, weld: Weld) -> Array:
    """(n, 3) float: points along a weld."""
    piece = part.part.piece(weld.piece)
    count = max(2, 1 + math.ceil(edges.length(piece, weld.edge) / STEP))
    return np.array(edges.points(piece, weld.edge, count))


def _apart(chain: Array, thing: BayBody, reach: float) -> float:
    """mm from a weld to a body, less what the body's triangles may be off; infinite where their boxes are as far
    apart as `reach`."""
    low, high = thing.body.box
    clear = np.maximum(np.maximum(chain.min(axis=0) - high, low - chain.max(axis=0)), 0.0)
    if float(np.linalg.norm(clear)) >= reach:
        return math.inf
    first = np.arange(len(chain) - 1)
    line = Tree(chain, np.column_stack((first, first + 1, first + 1)))
    return max(0.0, between(line, thing.body.core.tree, thing.body.place).distance - thing.body.bound)
