"""What of a weldment a jig holds: its seats with the bores and bolts on them, and which way up it stands.

What is square to the base is held by posts and pins; an axis that leans from that by 30 degrees and more goes
through uprights that are square to it. mm, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.jig import JIG_HOLDS
from brackets.core.vectors import Vec, cross, degrees_between, dot, length, scale, square_to, sub, unit
from brackets.library.jig_values import JigValues
from brackets.model.bores import Bore, bores_on
from brackets.model.extent import reach
from brackets.model.faces import in_plane
from brackets.model.part import Part
from brackets.model.piece import Seat

ROUNDING = 1e-9
"""Degrees."""

STEEPEST = 30.0
"""Degrees from the base's normal to an axis from which on an upright holds it: nearer it, one cut square would lie
down more than it stands."""

SQUARE = 0.01
"""Degrees up to which an axis counts as square to the base, or two as parallel."""

UNDER = 100.0
"""mm left under the lowest of a weldment that stands off the base: with it the torch of the shop profile's defaults
gets at the undersides of the shipped recipes; at 40 it meets the base."""

FLUSH = 0.01
"""mm: what is no lower lies on the base."""

Kind = Literal["bush", "rail", "boss", "foot"]


@dataclass(frozen=True)
class Feature:
    """A seat to be held, in whichever frame: its place with z along what holds it, bores and bolt on it."""

    seat: str
    kind: Kind
    place: Place
    bores: tuple[Bore, ...] = ()
    d: float = 0.0
    bolt: str | None = None


def features(part: Part) -> tuple[list[Feature], list[Finding]]:
    """What of a part a jig can hold, and what it says of seats that it cannot."""
    found: list[Feature] = []
    said: list[Finding] = []
    seen: list[tuple[str, Place]] = []
    seats = sorted(part.seats, key=lambda seat: "/" in seat.name)
    for seat in seats:
        if any(kind == seat.kind and _same(place, seat.place) for kind, place in seen):
            continue
        seen.append((seat.kind, seat.place))
        bores = bores_on(part, seat.place)
        match seat.kind:
            case "bush":
                if bores:
                    found.append(Feature(seat.name, "bush", seat.place, bores))
                else:
                    said.append(
                        JIG_HOLDS.finding(
                            level="advice",
                            piece=seat.name,
                            sentence=f"{seat.name} is not held: no piece has a bore on its axis for a shaft",
                        )
                    )
            case "round":
                if seat.d:
                    found.append(Feature(seat.name, "rail", seat.place, (), seat.d))
            case "boss" | "bolt":
                size = seat.bolt or next((bore.bolt for bore in bores if bore.bolt), None)
                found.append(Feature(seat.name, "boss", seat.place, bores, 0.0, size))
            case "face":
                if not _met(seat, part) and in_plane(part, seat.place):
                    found.append(Feature(seat.name, "foot", seat.place))
    if any(one.kind == "boss" for one in found):
        found = [one for one in found if one.kind != "foot"]
    return found, said


def _same(one: Place, other: Place) -> bool:
    return math.dist(one.at, other.at) < FLUSH and degrees_between(one.axis, other.axis) < SQUARE


def _met(seat: Seat, part: Part) -> bool:
    """Whether another seat of the part looks at it: the two are joined."""
    return any(
        other.kind == "face"
        and abs(dot(sub(other.place.at, seat.place.at), seat.place.axis)) < FLUSH
        and degrees_between(other.place.axis, scale(seat.place.axis, -1.0)) < SQUARE
        for other in part.seats
    )


def up_of(features: Sequence[Feature], values: JigValues) -> Vec:
    """Which way of the part is up: that in which most is held, of those alike the first thought of."""
    if values.up is not None:
        return unit(values.up)
    tried = list(_ups(features))
    return min(tried, key=lambda up: sum(not holds(one, up) for one in features))


def _ups(features: Sequence[Feature]) -> Iterator[Vec]:
    """Directions that may be up: out of the bosses and feet, then square to the axes."""
    faced = [one for one in features if one.kind in ("boss", "foot")]
    lying = [one for one in features if one.kind in ("bush", "rail")]
    yield from (scale(one.place.axis, -1.0) for one in faced)
    axes = [one.place.axis for one in (*lying, *faced)]
    for i, one in enumerate(axes):
        for other in axes[i + 1 :]:
            normal = cross(one, other)
            if length(normal) > math.sin(math.radians(SQUARE)):
                yield unit(normal)
                yield unit(scale(normal, -1.0))
    for lies in lying:
        for beside in lying:
            off = square_to(sub(lies.place.at, beside.place.at), lies.place.axis)
            if length(off) > 1.0:
                # a rail lies under what stands on it; two bushes lie beside each other
                yield unit(off) if beside.kind == "rail" else unit(cross(lies.place.axis, off))
    yield from (lies.place.up for lies in lying)


def holds(one: Feature, up: Vec) -> bool:
    off = degrees_between(one.place.axis, up)
    if one.kind == "bush":
        return min(off, 180.0 - off) < SQUARE or min(off, 180.0 - off) >= STEEPEST - ROUNDING
    if one.kind == "rail":
        return min(off, 180.0 - off) >= STEEPEST - ROUNDING
    return off > 180.0 - SQUARE or (one.kind == "boss" and min(off, 180.0 - off) >= STEEPEST - ROUNDING)


def frame_of(features: Sequence[Feature], up: Vec) -> Place:
    """The jig's frame in the part: z up, x along the first axis that lies."""
    lying = [square_to(one.place.axis, up) for one in features if one.kind in ("bush", "rail")]
    x = next((unit(way) for way in lying if length(way) > math.sin(math.radians(STEEPEST)) / 2), None)
    if x is None:
        x = unit(square_to((1.0, 0.0, 0.0) if abs(up[0]) < 0.9 else (0.0, 1.0, 0.0), up))
    return Place((0.0, 0.0, 0.0), up, cross(up, x))


def rise_of(part: Part, features: Sequence[Feature], values: JigValues) -> float:
    """How far the part goes up so that it stands over the base as it should."""
    low = min((span[0] for piece in part.pieces if (span := reach(piece, (0.0, 0.0, 1.0)))), default=0.0)
    faced = [one.place.at[2] for one in features if one.kind in ("boss", "foot") and one.place.axis[2] < -0.5]
    if values.height is not None:
        return values.height - min(faced, default=low)
    if faced and max(faced) - min(faced) < FLUSH and min(faced) - low < FLUSH:
        return -min(faced)
    # the lowest of what is held comes to a whole mm
    lowest = min(faced, default=min(one.place.at[2] for one in features))
    return math.ceil(lowest + UNDER - low) - lowest
