"""Spreader plates under the far side of a bolt: how they bend, and what they press on. N, mm, MPa.

A spreader lies loose behind what a part stands on, or is welded to its crush tubes. Through a hollow section crush
tubes carry the preload past the walls, so that only what pulls the bolt reaches the wall through the spreader;
through a sheet all of the bolt does. As much of it works as EN 1993-1-8:2005 6.2.5(4), (6.5) has it (from memory):
c past the washer, where a cantilever under the pressure that the skin may have is just used up.
"""

from __future__ import annotations

import math

import numpy as np

from brackets.core.errors import InputError
from brackets.core.tables.bolt_rows import bolt as bolt_row
from brackets.hold.bolts import bolt_punching
from brackets.hold.check import Array
from brackets.hold.found import Found
from brackets.hold.metal import Metal, metal
from brackets.hold.part_graph import pieces_at
from brackets.hold.part_walls import PlacedWall, walls_of
from brackets.hold.plate_lines import hole_at, to_edge
from brackets.hold.plates import skin_bearing, spreader_bending
from brackets.model.holes import Hole, Point
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Plate
from brackets.model.tube import Turned

WAYS = 72
"""Directions in which a spreader is looked at, every 5 degrees."""


def check_spreaders(found: Found, place: str, seat: Seat, holds: Piece, tension: Array, bolt: str) -> None:
    """Asks for every spreader plate that the bolt of a seat clamps; tension: (cases,) N, factored.

    holds: the piece that the bolt holds, which is no spreader.
    """
    if seat.kind != "bolt":
        return
    pieces = [found.part.piece(name) for name in pieces_at(found.part, seat)]
    crushed = any(isinstance(piece, Turned) for piece in pieces)
    for piece in pieces:
        if isinstance(piece, Plate) and piece.name != holds.name:
            where = f"{place}, {piece.name}"
            try:
                _check(found, where, seat, piece, tension, bolt, crushed=crushed)
            except InputError as error:
                found.refuse(where, *error.problems)


def _check(
    found: Found, where: str, seat: Seat, piece: Plate, tension: Array, bolt: str, *, crushed: bool
) -> None:
    settings = found.settings
    if settings.onto_metal is None or settings.onto_t is None:
        raise InputError(settings.under_not_typed("metal and thickness of what the spreader presses on"))
    if not crushed and settings.preload is None:
        raise InputError("preload = not typed, must be: it presses the spreader on the sheet")
    force = tension if crushed else tension + (settings.preload or 0.0)
    skin, of = metal(settings.onto_metal, settings.onto_t, welded=False), found.metal_of(piece)
    wall, row = walls_of(piece)[0], bolt_row(bolt)
    at = wall.flat(np.array(seat.place.at))
    hole = hole_at(wall.wall, at, within=0.5)
    bore = hole.d if isinstance(hole, Hole) else row.d
    c = min(working_overhang(piece.t, of, skin), least_overhang(wall, at, row.washer_od))
    across = row.washer_od + 2 * max(c, 0.0)
    area = math.pi / 4 * (across**2 - bore**2)
    if c > 0:
        found.ask(where, spreader_bending, force, area=area, overhang=c, t=piece.t, metal=of)
    found.ask(where, lambda **named: skin_bearing(force, area=area, skin=skin, **named))
    found.ask(where, bolt_punching, tension, bolt=bolt, t=settings.onto_t, metal=skin, mean_head=across)
    found.note(f"{where}: punching is of the wall or sheet round the part of the spreader that works")


def working_overhang(t: float, of: Metal, skin: Metal) -> float:
    """mm past a washer that a spreader t mm thick works on a skin: EN 1993-1-8:2005 (6.5), pressure at yield."""
    return t * math.sqrt(float(of.fy) / (3 * float(skin.fy)))


def least_overhang(wall: PlacedWall, at: Point, washer: float) -> float:
    """mm that a plate stands out past a bolt's washer, the least of all directions: to its edge, or half way to the
    next bolt."""
    others = [
        hole.at for hole in wall.wall.openings
        if isinstance(hole, Hole) and hole.bolt is not None and math.dist(hole.at, at) > 1.0
    ]  # fmt: skip
    turns = (2 * math.pi * i / WAYS for i in range(WAYS))
    edge = min(to_edge(wall.wall.outline, at, (math.cos(turn), math.sin(turn))) for turn in turns)
    return min([edge, *(math.dist(one, at) / 2 for one in others)]) - washer / 2
