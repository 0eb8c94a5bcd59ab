"""Can a bush be changed: the shop's draw tool at either end of its cup, on the bench and with the part in place.

The bush comes out into a receiver, a tube that stands on one end of the cup, with nut and spanner behind it; a disc
that passes the bore follows from the other end, with its nut or head behind it. In place the part has everything of
the bay round it but that bush and the bolt through it. mm, bay axes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from brackets.bay.bolts.tool_access import LIFT, TOLERANCE, Fitted, frame
from brackets.bay.schema.standing import Mount
from brackets.bay.stand.bodies import BayBody, matrix
from brackets.bay.stand.hardware import bush_of
from brackets.bay.stand.owners import OF_SLEEVE
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.clearance import tools
from brackets.clearance.bodies import Body, body
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import DRAW_ROOM
from brackets.core.tables.bush_rows import Bobbin, Bush
from brackets.core.vectors import scale
from brackets.forming.shop import DrawTool
from brackets.model.tube import Turned

MIDDLE = 1.0
"""mm that the middle of a cup may be off its bush's: further off it is another's."""


@dataclass(frozen=True, kw_only=True)
class DrawRoom:
    """A bush pressed into a part: what is in its draw tool's way at the better end, on the bench and in place;
    `mates` are the parts it is bolted to, which it comes out from between before anything is drawn."""

    mount: str
    part: str
    bench: tuple[str, ...]
    place: tuple[str, ...]
    mates: tuple[str, ...]


def draw_rooms(stood: PlacedBay, all_things: Sequence[BayBody]) -> tuple[DrawRoom, ...]:
    """Every bush that is pressed into a part of the bay, in the order of the mounts."""
    parts = {part.name: part for part in stood.parts}
    there = {thing.name: thing for thing in all_things}
    fitted, found = Fitted(all_things), []
    for mount in stood.bay.mounts:
        part = parts.get(mount.holder or "")
        cup = None if part is None else _cup(part, mount)
        row, tool = bush_of(stood.bay, mount), stood.bay.shop.draw_tool
        if part is None or cup is None or isinstance(row, Bobbin) or row.three_pieces:  # halves come out by hand
            continue
        but = tuple(f"{mount.name} {what}" for what in OF_SLEEVE)
        alone = Fitted([there[part.name]])
        bench, place = (_at_the_better_end(among, cup, row, tool, but) for among in (alone, fitted))
        mates = tuple(name for name in mount.parts if name != part.name)
        found.append(DrawRoom(mount=mount.name, part=part.name, bench=bench, place=place, mates=mates))
    return tuple(found)


def draw_findings(rooms: Sequence[DrawRoom]) -> Iterator[Finding]:
    """An advice for each part with a bush that cannot be changed with the part in its place, for more than the ears
    it stands between."""
    for part in dict.fromkeys(room.part for room in rooms):
        shut = [room for room in rooms if room.part == part and set(room.place) - set(room.mates)]
        if not shut:
            continue
        bushes = ", ".join(room.mount for room in shut)
        blocked = [room.mount for room in shut if room.bench]
        bench = (
            f"on the bench the part itself leaves it no room at {', '.join(blocked)}: press it"
            if blocked
            else "on the bench it can be drawn in and out"
        )
        meets = tuple(dict.fromkeys(name for room in shut for name in room.place if name not in room.mates))
        are = "is" if len(meets) == 1 else "are"
        yield DRAW_ROOM.finding(
            piece=part,
            sentence=(
                f"bush of {bushes}: {bench}; in place {', '.join(meets)} {are} in the way of the draw tool: take"
                " the part off to change it"
            ),
            about=tuple(dict.fromkeys((part, *(f"{room.mount} bush" for room in shut), *meets))),
        )


def _cup(part: PlacedPart, mount: Mount) -> Turned | None:
    """The cup of `part` that the bush of `mount` is pressed into; None where it slips in or there is none."""
    cups = [piece for piece in part.part.pieces if isinstance(piece, Turned) and piece.bush is not None]
    pressed = [cup for cup in cups if cup.bush is not None and not cup.bush.slip]
    middles = ((cup, cup.place.point((0.0, 0.0, cup.length / 2))) for cup in pressed)
    return next((cup for cup, middle in middles if math.dist(middle, mount.at) <= MIDDLE), None)


def _at_the_better_end(
    among: Fitted[BayBody], cup: Turned, row: Bush, tool: DrawTool, but: Sequence[str]
) -> tuple[str, ...]:
    """What the tool meets at the end where it meets least; the second is not tried where the first is free."""
    first = _in_the_way(among, cup, row, tool, 1.0, but)
    return min(first, _in_the_way(among, cup, row, tool, -1.0, but), key=len) if first else first


def _in_the_way(
    among: Fitted[BayBody], cup: Turned, row: Bush, tool: DrawTool, end: float, but: Sequence[str]
) -> tuple[str, ...]:
    """What the tool meets that draws the bush out at one end of a cup: 1, where its z is greatest, or -1."""
    axis = scale(cup.place.axis, end)
    top, bottom = (cup.place.point((0.0, 0.0, z)) for z in ((cup.length, 0.0) if end > 0 else (0.0, cup.length)))
    receiver = _receiver(row, tool).placed(matrix(frame(top, axis)))
    pusher = _pusher(row, tool).placed(matrix(frame(bottom, scale(axis, -1.0))))
    met = (*among.in_the_way(receiver, but), *among.in_the_way(pusher, but))
    return tuple(dict.fromkeys(met))


def receiver_length(row: Bush) -> float:
    """mm of a bush that stand out of its cup when its shell is just free, with the sleeve's longer end ahead."""
    return (row.shell_length + row.sleeve_length) / 2 + abs(row.sleeve_offset)


@cache
def _receiver(row: Bush, tool: DrawTool) -> Body:
    long = receiver_length(row) + tool.behind
    made = tools.socket(od=row.od + 2 * tool.receiver_wall, length=long - LIFT)
    return body(made, name="draw tool", tolerance=TOLERANCE).placed(_LIFTED)


@cache
def _pusher(row: Bush, tool: DrawTool) -> Body:
    made = tools.socket(od=row.od - 2 * LIFT, length=tool.pusher - LIFT)
    return body(made, name="draw tool", tolerance=TOLERANCE).placed(_LIFTED)


_LIFTED = [[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, LIFT], [0.0, 0.0, 0.0, 1.0]]
"""LIFT off the end of the cup, which the tool bears on."""
