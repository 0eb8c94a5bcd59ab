"""A cup let into the edge of a plate: the half-round seat, and gussets from the plate to the cup.

The plate's frame: z out of the casting, lower face at z = 0, origin on the cup's axis, y from the cup to the holes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from brackets.build.ears import FACES
from brackets.build.plates import gusset_outline, plate
from brackets.outline import Outline, clip_circle, round_hull, single
from brackets.pieces import Along, Place, Plate, Point, Straight, Weld
from brackets.pieces.vectors import Vec, add, scale

HEEL = 6.0
"""Nose and heel of a gusset, mm: common practice, no source."""

SHOULDER = 10.0
"""Plate beside the cup at the mouth of its seat, mm: common practice, no source."""


def seat_level(cup_od: float, notch: float) -> float:
    """y of the plate's lower edge: `notch` is the part of the cup's diameter that lies in the plate."""
    return cup_od * (0.5 - notch)


def seated_outline(holes: Sequence[Point], edge: float, *, cup_od: float, notch: float) -> Outline:
    """The outline round the holes, down to the mouth of a round seat for the cup."""
    y = seat_level(cup_od, notch)
    wide = mouth(cup_od, notch) + SHOULDER
    whole = round_hull([(hx, hy, edge) for hx, hy in holes] + [(-wide, y, 0.0), (wide, y, 0.0)])
    return single(clip_circle(whole, (0.0, 0.0), cup_od / 2), "plate left outside the cup")


def mouth(cup_od: float, notch: float) -> float:
    """Half the width of the seat at the plate's edge, mm."""
    return math.sqrt(max(0.0, (cup_od / 2) ** 2 - seat_level(cup_od, notch) ** 2))


def seat_welds(piece: str, onto: str, *, cup_od: float, notch: float, leg: float) -> tuple[Weld, Weld]:
    """Welds round the seat on both faces of the plate."""
    x, y = mouth(cup_od, notch), seat_level(cup_od, notch)
    return (
        Weld(piece=piece, edge=Along((-x, y), (x, y), "low"), onto=onto, leg=leg),
        Weld(piece=piece, edge=Along((-x, y), (x, y), "high"), onto=onto, leg=leg),
    )


def cup_gussets(
    count: int,
    *,
    spread: float,
    cup_od: float,
    legs: Point,
    t: float,
    above: float,
    leg: float,
    plate_name: str,
    cup: str,
) -> tuple[tuple[Plate, ...], tuple[Weld, ...]]:
    """Gussets from the plate's upper face at z = `above` to the cup, `spread` degrees apart about y.

    `legs`: along the plate, away from the cup; and along the cup. A gusset's edge is straight and touches the
    round cup along its middle line, which is the line that is welded from both sides.
    """
    heel = min(HEEL, *(v / 3 for v in legs))
    outline = gusset_outline(*legs, nose=heel, corner=heel)
    pieces, welds = [], []
    for i in range(count):
        a = math.radians(90.0 + spread * (i - (count - 1) / 2))
        out: Vec = (math.cos(a), math.sin(a), 0.0)
        axis: Vec = (out[1], -out[0], 0.0)
        at = add((out[0] * cup_od / 2, out[1] * cup_od / 2, above), scale(axis, -t / 2))
        name = f"gusset_{i + 1}"
        pieces.append(plate(outline, t, name=name, place=Place(at, axis, (0.0, 0.0, 1.0))))
        welds += [
            Weld(piece=name, edge=Along((heel, 0.0), (legs[0], 0.0), face), onto=plate_name, leg=leg)
            for face in FACES
        ]
        welds.append(
            Weld(piece=name, edge=Straight((0.0, heel, t / 2), (0.0, legs[1], t / 2)), onto=cup, leg=leg, sides=2)
        )
    return tuple(pieces), tuple(welds)
