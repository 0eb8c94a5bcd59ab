"""The bolts that hold a part: EN 1993-1-8:2005 table 3.4, threads in a casting, crush tubes. N, N mm, mm, MPa."""

from __future__ import annotations

import numpy as np

from brackets.core.errors import InputError
from brackets.hold.bolt_groups import BoltForces, bolt_forces
from brackets.hold.bolts import bolt_bearing, bolt_combined, bolt_punching, bolt_shear, bolt_slip, bolt_tension
from brackets.hold.check import Array
from brackets.hold.found import Found
from brackets.hold.load_path import Flow
from brackets.hold.part_graph import pieces_at
from brackets.hold.part_walls import PlacedWall, wall_at
from brackets.hold.plate_lines import edge_distances, hole_at, to_edges, unit_ways
from brackets.hold.plates import skin_bearing
from brackets.hold.prying import Web, check_prying, webs_of
from brackets.hold.spreaders import check_spreaders
from brackets.hold.struts import crush_tube
from brackets.hold.threads import thread_stripping
from brackets.model.holes import Hole, Slot
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Turned

NO_GRADE = "grade = not typed, must be 4.6, 5.6, 5.8, 8.8 or 10.9: property class of the bolt"
ELASTIC = "bolts: elastic by distance from their middle, plate and what it stands on rigid; prying is added to that"
EDGE = "bolts in one line: a moment about it is held by the plate's edge beside them, which must bear on something"

NO_OTHER = 1e4
"""mm to the next hole where there is none: more than any clause counts."""


def forces_on_bolts(found: Found, flow: Flow) -> BoltForces:
    """What each bolt of a group carries; flow: factored."""
    joint = flow.joint
    piece = found.part.piece(flow.outer)
    points = np.array([seat.place.at for seat in joint.seats])
    axis = np.mean([seat.place.axis for seat in joint.seats], axis=0)
    axis = axis / np.linalg.norm(axis)
    force, moment = flow.reaches()
    forces = bolt_forces(points, axis, force, moment, lambda ways: _lever(piece, joint.seats, ways))
    if len(joint.seats) > 1:
        found.note(ELASTIC)
    if forces.lever:
        found.note(EDGE)
    most = float(np.abs(forces.twist).max(initial=0.0))
    if most > 1e-6 * max(1.0, float(np.abs(moment).max(initial=0.0))):
        found.note(f"{joint.name}: up to {most:.0f} N mm that turn it on its one bolt are left to friction")
    return forces


def _lever(piece: Piece, seats: tuple[Seat, ...], ways: Array) -> Array:
    """(n,) mm from the bolts to the edge that presses along each of `ways`, (n, 3), the nearest of all bolts."""
    if isinstance(piece, Turned):
        return np.full(len(ways), max(step.od for step in (piece.steps[0], piece.steps[-1])) / 2)
    if not isinstance(piece, Plate | Folded):
        raise InputError(f"piece = {piece.name}, must be a plate or turned: bolts in one line need its edge")
    far = []
    for seat in seats:
        wall = wall_at(piece, seat.place.at)
        x, y, _ = wall.components(ways)
        far.append(to_edges(wall.wall.outline, wall.flat(np.array(seat.place.at)), unit_ways(x, y)))
    nearest = np.minimum.reduce(far)
    if not np.isfinite(nearest).all():
        raise InputError(f"bolts of {piece.name}, must lie within its outline: no edge presses")
    return np.asarray(nearest)


def check_bolts(found: Found, flow: Flow) -> None:
    """Asks for every bolt of a group all that can be asked; flow: factored."""
    try:
        forces = forces_on_bolts(found, flow)
    except InputError as error:
        found.refuse(flow.joint.name, *error.problems)
        return
    piece = found.part.piece(flow.outer)
    webs = webs_of(found.part, piece) if isinstance(piece, Plate | Folded) else ()
    for i, seat in enumerate(flow.joint.seats):
        place = f"bolt {seat.name}"
        shear, tension = forces.shear[:, i], forces.tension[:, i]
        along = np.outer(forces.along[:, i], np.array(seat.place.axis))
        found.cut(place, seat.place.at, shear + along, np.zeros_like(shear))
        _check_bolt(found, place, seat, piece, shear, tension, webs)


def _check_bolt(
    found: Found, place: str, seat: Seat, piece: Piece, shear: Array, tension: Array, webs: tuple[Web, ...]
) -> None:
    settings = found.settings
    wall = wall_at(piece, seat.place.at) if isinstance(piece, Plate | Folded) else None
    hole = None if wall is None else hole_at(wall.wall, wall.flat(np.array(seat.place.at)), within=0.5)
    bolt = seat.bolt or (hole.bolt if hole is not None else None)
    grade = settings.grade_of(seat.name)
    if bolt is None:
        found.refuse(place, "bolt = not in the record, must be named: seat or hole")
        return
    if grade is None:
        found.refuse(place, NO_GRADE)
    d = hole.d if isinstance(hole, Hole) else seat.d if hole is None else None
    across = np.linalg.norm(shear, axis=1)
    pried = tension
    if grade is not None and wall is not None and isinstance(piece, Plate | Folded):
        pried = tension + check_prying(found, place, seat, piece, wall, webs, tension, bolt, grade)
    if isinstance(hole, Slot):
        words = "slot, must be a round hole for shear and bearing: along a slot friction alone holds"
        if settings.preload is None:
            words += " (type the preload)"
        found.refuse(place, words)
    elif grade is not None:
        found.ask(place, bolt_shear, across, bolt=bolt, grade=grade, hole=d)
        found.ask(place, bolt_combined, across, pried, bolt=bolt, grade=grade, hole=d)
        if wall is not None and isinstance(hole, Hole):
            _bearing(found, place, piece, wall, hole, shear, bolt, grade)
    if grade is not None:
        found.ask(place, bolt_tension, tension, bolt=bolt, grade=grade)
        _threads(found, place, seat, tension, bolt, grade)
        if settings.preload is not None:
            found.ask(
                place, bolt_slip, across, bolt=bolt, grade=grade, hole=d, preload=settings.preload,
                surface=settings.surface, tension=tension,
            )  # fmt: skip
    if wall is not None:
        found.ask(place, bolt_punching, tension, bolt=bolt, t=wall.t, of=piece)
    check_spreaders(found, place, seat, piece, tension, bolt)
    if settings.preload is not None:
        _crush_tubes(found, place, seat, tension)


def _bearing(
    found: Found,
    place: str,
    piece: Piece,
    wall: PlacedWall,
    hole: Hole,
    shear: Array,
    bolt: str,
    grade: str,
) -> None:
    x, y, _ = wall.components(shear)
    size = np.hypot(x, y)
    e1, e2, p1, p2 = edge_distances(wall.wall, hole.at, unit_ways(x, y))
    far = {"e1": e1, "e2": e2, "p1": np.minimum(p1, NO_OTHER), "p2": np.minimum(p2, NO_OTHER)}
    found.ask(place, bolt_bearing, size, bolt=bolt, grade=grade, hole=hole.d, t=wall.t, of=piece, **far)


def _threads(found: Found, place: str, seat: Seat, tension: Array, bolt: str, grade: str) -> None:
    if seat.kind != "boss":
        return
    engaged, casting = found.settings.engaged.get(seat.name), found.settings.casting
    if engaged is None or casting is None:
        both = (("length engaged", engaged), ("strength of the casting", casting))
        lacking = " and ".join(word for word, value in both if value is None)
        found.refuse(place, f"{lacking} = not typed, must be: thread in the casting")
        return
    found.ask(place, thread_stripping, tension, bolt=bolt, grade=grade, engaged=engaged, tensile=casting)


def _crush_tubes(found: Found, place: str, seat: Seat, tension: Array) -> None:
    """The loose tubes that the bolt clamps; pressed by its preload and what is added to it."""
    preload = found.settings.preload
    assert preload is not None
    for name in pieces_at(found.part, seat):
        piece = found.part.piece(name)
        if isinstance(piece, Turned) and len(piece.steps) == 1 and seat.kind == "bolt":
            _crush_tube(found, f"{place}, {name}", piece, preload + tension)


def _crush_tube(found: Found, place: str, piece: Turned, force: Array) -> None:
    step = piece.steps[0]
    area = np.pi / 4 * (step.od**2 - step.bore**2)
    found.ask(
        place, crush_tube, force, od=step.od, wall=(step.od - step.bore) / 2, length=step.length, of=piece
    )
    found.ask(
        place, lambda **named: skin_bearing(force, area=area, skin=found.metal_of(piece), **named)
    )
