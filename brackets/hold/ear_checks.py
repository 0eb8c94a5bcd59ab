"""The ears of a bush and the bolt through them: EN 1993-1-8:2005 3.13 and 3.10.2. N, N mm, mm, MPa."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brackets.hold.bolt_checks import NO_GRADE
from brackets.hold.check import Array
from brackets.hold.found import Found
from brackets.hold.part_graph import Applied, at_point, pivots
from brackets.hold.part_walls import wall_at
from brackets.hold.pins import (
    ear_edge,
    ear_thickness,
    pin_bearing,
    pin_bending,
    pin_combined,
    pin_contact,
    pin_shear,
)
from brackets.hold.plate_lines import hole_at, to_edges, to_sides, unit_ways
from brackets.hold.plates import block_tearing
from brackets.model.holes import Hole
from brackets.model.plate import Folded, Plate

NO_BOLT = "bolt = not in the record, must be named: holes of the ears"
SINGLE = "a bolt in one ear bends freely: 3.13 is for a pin between two, not checked"


def check_ears(found: Found, seat_name: str, loads: Sequence[Applied], factors: Array) -> None:
    """Asks for each ear at a seat and for the bolt through them; factors: (cases,) on the loads as they come."""
    seat = found.part.seat(seat_name)
    axis = np.array(seat.place.axis)
    bores = pivots(found.part, seat)
    bolt = next((bore.bolt for bore in bores if bore.bolt is not None), None)
    grade = found.settings.grade_of(seat_name)
    place = f"bolt {seat_name}"
    if bolt is None or grade is None:
        found.refuse(place, NO_BOLT if bolt is None else NO_GRADE)
    most = np.zeros(len(found.cases))
    for one in loads:
        force, _ = at_point(one.wrench, one.at)
        across = force - np.outer(force @ axis, axis)
        most = np.maximum(most, np.linalg.norm(across, axis=1))
        _check_ear(found, one, across, bolt, grade, factors)
    if bolt is None or grade is None:
        return
    if len(loads) != 2:
        found.refuse(place, SINGLE)
        return
    low, high = bores[0], bores[1]
    thickest = max(low.high - low.low, high.high - high.low)
    found.ask(place, pin_shear, most * factors, bolt=bolt, grade=grade)
    for check in (pin_bending, pin_combined):
        found.ask(
            place, check, 2 * most * factors, bolt=bolt, grade=grade, inner=high.low - low.high, outer=thickest
        )
    found.note(f"{place}: bent as if both ears carried what the more loaded one does")


def _check_ear(
    found: Found, one: Applied, across: Array, bolt: str | None, grade: str | None, factors: Array
) -> None:
    piece = found.part.piece(one.body)
    if not isinstance(piece, Plate | Folded):
        found.refuse(f"ear {one.body}", "piece, must be a plate: ear")
        return
    wall = wall_at(piece, one.at)
    at = wall.flat(one.at)
    hole = hole_at(wall.wall, at)
    place = f"ear {one.body}" if isinstance(piece, Plate) else f"ear {one.body}, wall {wall.number}"
    if not isinstance(hole, Hole):
        found.refuse(place, "hole, must be round: ear")
        return
    x, y, _ = wall.components(across)
    size, ways = np.hypot(x, y), unit_ways(x, y)
    ahead = to_edges(wall.wall.outline, at, ways) - hole.d / 2
    aside = to_sides(wall.wall.outline, at, ways) - hole.d / 2
    force = size * factors
    for check in (ear_edge, ear_thickness):
        found.ask(place, check, force, t=wall.t, hole=hole.d, a=ahead, c=aside, of=piece)
    areas = {"tension_area": aside * wall.t, "shear_area": ahead * wall.t}
    found.ask(place, block_tearing, force, eccentric=True, of=piece, **areas)
    if bolt is None or grade is None:
        return
    found.ask(place, pin_bearing, force, bolt=bolt, grade=grade, t=wall.t, of=piece)
    plain = np.array([case.counted == "characteristic" for case in found.cases])
    if plain.any():
        found.ask(place, pin_contact, size * plain, bolt=bolt, grade=grade, hole=hole.d, t=wall.t, of=piece)
