"""Fork on bosses: a bolted plate on a casting and two ears on it. A recipe of a user's own, for the tests."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from brackets import (
    PLATE,
    Checked,
    Ears,
    Face,
    FlatSeat,
    Part,
    Place,
    Seat,
    Vec,
    Weld,
    assembled,
    boss_holes,
    ear_foot,
    edge_for,
    mm,
    on_flat,
    plate,
    point,
    points,
    round_hull,
    stock,
    texts,
)
from brackets.core.vectors import scale


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bosses: Annotated[tuple[Vec, ...], points(3, "bosses", at_least=2, takes="bosses")] = (
        (0.0, -30.0, 0.0),
        (0.0, 30.0, 0.0),
    )
    boss_names: Annotated[tuple[str, ...], texts("names of the bosses", at_most=12, takes="boss names")] = ()
    normal: Annotated[Vec, point(3, "out of the casting", takes="boss normal")] = (1.0, 0.0, 0.0)
    bush: Annotated[Vec, point(3, "bush centre", takes="bush centre")] = (45.0, 0.0, 0.0)
    bush_axis: Annotated[Vec, point(3, "bush axis", takes="bush axis")] = (0.0, 1.0, 0.0)
    inside: Annotated[float, mm(15, 150, "between the ears", takes="ear spacing")] = 36.5
    ear_r: Annotated[float, mm(10, 60, "ear radius")] = 20.0
    t: Annotated[float, stock(PLATE, "ears")] = 5.0
    plate_t: Annotated[float, stock(PLATE, "plate")] = 8.0
    leg: Annotated[float, mm(2, 12, "leg")] = 5.0


def build(p: Params) -> Part:
    face = Face.on(p.bosses, p.normal, origin=p.bush, up=p.bush_axis)
    foot, half, edge = ear_foot(p.ear_r, None), p.inside / 2 + p.t + p.leg, edge_for("M10")
    corners = [(x, y, 4.0) for x in (-foot / 2, foot / 2) for y in (-half, half)]
    base = plate(
        round_hull([(x, y, edge) for x, y in face.points] + corners),
        p.plate_t,
        openings=boss_holes(face.points, "M10"),
        name="plate",
        place=face.place,
    )
    reach = face.place.local(p.bush)[2] - p.plate_t
    ears = on_flat(
        Ears(bolt="M10", inside=p.inside, ear_r=p.ear_r, t=p.t, foot=foot, leg=p.leg), FlatSeat(reach=reach)
    ).placed(Place(p.bush, p.bush_axis, scale(p.normal, -1.0)))
    welds = [Weld(piece=f"ears/{w.piece}", edge=w.edge, onto="plate", leg=p.leg) for w in ears.welds]
    seats = [Seat(name="bush", place=Place(p.bush, p.bush_axis, scale(p.normal, -1.0)), kind="bush")]
    seats += [
        Seat(name=name, place=face.place @ Place((x, y, -low), (0, 0, -1)), kind="boss", bolt="M10")
        for name, (x, y), low in zip(p.boss_names, face.points, face.low, strict=True)
    ]
    bare = Part(name="ears", pieces=ears.pieces, seats=())
    return assembled("fork", [("ears", bare, Place())], pieces=[base], welds=welds, seats=seats)
