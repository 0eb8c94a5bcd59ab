"""What the engine's keep-outs may meet while a hand moves them: beside the chassis' keep-outs all that stays where
it is wherever the engine stands, as brackets on the chassis and bushes.

What is made for a position, an arm from bosses or a beam of the engine to a bush, is built before it is measured.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from brackets.bay.position.placing import BareBay, BarePair
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.gap_rules import contacts, is_relevant_pair, required_gap
from brackets.bay.stand.hardware import Bought
from brackets.bay.stand.placed import Unjudged, unjudged_bay
from brackets.bay.stand.placed_part import PlacedPart
from brackets.core.errors import BadFile

ASIDE = ((0.03, -0.02, 0.025), (0.011, -0.007, 0.013))
"""mm and degrees by which the engine is moved to see what goes with it: little, so that all can be built there too,
and much more than rounding."""


@dataclass(frozen=True, eq=False)
class LiveBay:
    """The keep-outs of a bay with what more can be measured without building.

    still: names of the bodies beside the keep-outs; waits: names of the parts that are built for each position, all
    of a bay that cannot be built; stood: the bay as it was built, None where it cannot be.
    """

    bare: BareBay
    still: tuple[str, ...]
    waits: tuple[str, ...]
    stood: Unjudged | None = None


def live_bay(bare: BareBay, bay: Bay, *, was: Unjudged | None = None) -> LiveBay:
    """The pairs of `bare` and those of its movers with all of `bay` that stays; `was` as for `unjudged_bay`.

    bay: that of `bare` or one with other values of its parts. Where it cannot be built its parts wait.
    """
    every = tuple(entry.row.name for entry in bay.parts)
    if not every and not bay.mounts:
        return LiveBay(bare=bare, still=(), waits=())
    try:
        standing = unjudged_bay(bay, was=was)
        stood, other = standing.stood, unjudged_bay(_aside(bay)).stood
    except BadFile:
        return LiveBay(bare=bare, still=(), waits=every)
    built: tuple[PlacedPart | Bought, ...] = (*other.parts, *other.bought)
    there = {thing.name: thing for thing in built}
    parts = tuple(part for part in stood.parts if _same(part, there.get(part.name)))
    bought = tuple(thing for thing in stood.bought if _same(thing, there.get(thing.name)))
    stays = replace(stood, bay=replace(bay, keep_outs=()), parts=parts, bought=bought)
    bodies = bay_bodies(stays)
    meant = contacts(bay)
    more = [
        BarePair(mover=i, other=body, asked=required_gap(bay, mover, body))
        for i, mover in enumerate(bare.movers)
        for body in bodies
        if frozenset((mover.name, body.name)) not in meant and is_relevant_pair(bay, mover, body)
    ]
    return LiveBay(
        bare=replace(bare, pairs=(*bare.pairs, *more)),
        still=tuple(body.name for body in bodies),
        waits=tuple(part.name for part in stood.parts if part not in parts),
        stood=standing,
    )


def _aside(bay: Bay) -> Bay:
    was, ((x, y, z), (roll, pitch, yaw)) = bay.powertrain, ASIDE
    at = was.place_at
    moved = replace(
        was,
        place_at=(at[0] + x, at[1] + y, at[2] + z),
        place_roll=was.place_roll + roll,
        place_pitch=was.place_pitch + pitch,
        place_yaw=was.place_yaw + yaw,
    )
    return replace(bay, powertrain=moved)


def _same(one: PlacedPart | Bought, other: PlacedPart | Bought | None) -> bool:
    return other is not None and one.part == other.part

