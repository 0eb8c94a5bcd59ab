"""Where words can be sunk into a body: its flat faces and round outsides, off all that mates with something.

mm. A field is a flat face or a round one rolled out: x along the writing, y up, z out of the metal.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule, Manifold
from numpy.typing import NDArray

from brackets.core.place import Place
from brackets.core.vectors import Vec, dot
from brackets.model.edges import last_straight
from brackets.model.faces import LEVEL, flat_faces
from brackets.model.fold_tree import tree
from brackets.model.holes import Hole, Opening, Slot
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat, faces
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import BentTube, Tube, Turned

Array = NDArray[np.float64]
View = Callable[[Place], Manifold]
"""A body as it is seen from a place."""

JUST = 0.02
"""mm under and over a face at which it is looked at."""

WASHER = 2.4
"""Outside of a washer in bolt diameters, where a hole says no size: 24 on M10 in ISO 7089 is the most it has."""

MARGIN = 1.0
"""mm that words stay off edges and off what mates."""

PARALLEL = 1.0 - 1e-6

SAGITTA = 0.02
"""mm that the triangles of a round outside and of what is bent round it may be off it."""

OPEN = 2.0
"""mm over a round outside that must be free for its words to be read."""

STRIP = 30.0
"""mm from a joint within which its mark stands."""

FAR = 1e4
"""mm: farther than any part reaches."""

SLANTED = 0.05
"""Sine of the angle to a joint under which a face is along it."""

LONGEST = 80.0
"""mm of a round outside that are looked at together: words are no longer."""

MIDDLE = 0.3
"""Part of a round outside's length that is left at both ends where only its middle is free."""

TURN = 120.0
"""Degrees of a round outside that can be read without turning it."""


@dataclass(frozen=True)
class Near:
    """A strip beside a plane, `normal` times a point = `offset`, on the side that `way` (1 or -1) says."""

    normal: Vec
    offset: float
    way: float


@dataclass(frozen=True)
class Flat:
    """A flat face: `place` on it, z out of the metal."""

    place: Place
    area: float

    def matrix(self) -> Array:
        """(3, 4): from the field to the part."""
        return np.array(self.place.matrix())[:3]

    def free(self, view: View, depth: float, mates: Mates) -> CrossSection:
        """What of the face is open, has metal twice as deep as the words under it, and mates with nothing."""
        if any(_in_plane(seat, self.place) for seat in mates.seats):
            return CrossSection()
        here = view(self.place)
        open_ = (here.slice(-JUST) ^ here.slice(-2 * depth)) - here.slice(JUST)
        return (open_ - mates.seen_from(self.place)).offset(-MARGIN)

    def strip(self, free: CrossSection, near: Near) -> CrossSection:
        """What of `free` lies within STRIP mm of a plane that crosses the face."""
        across = self.place.local_direction(near.normal)
        steep = math.hypot(across[0], across[1])
        if steep < SLANTED:
            return CrossSection()
        start = (near.offset - dot(near.normal, self.place.at)) / steep
        low, high = sorted((start, start + near.way * STRIP))
        band = CrossSection.square((high - low, 2 * FAR)).translate((low, -FAR))
        return free ^ band.rotate(math.degrees(math.atan2(across[1], across[0])))

    def bent(self, words: Manifold) -> Manifold:
        """Words drawn in the field, in the part."""
        return words.transform(self.matrix())


@dataclass(frozen=True)
class Round:
    """A round outside: axis along z of `place`, from z = `low` on for `length`; it begins at `clock` degrees.

    x of the field runs round it, y along its axis.
    """

    place: Place
    low: float
    r: float
    length: float
    clock: float

    @property
    def area(self) -> float:
        return math.radians(TURN) * self.r * self.length

    def free(self, view: View, depth: float, mates: Mates) -> CrossSection:
        """The whole field where it is open all over with metal under it, looked at every few mm of its length."""
        turn = math.radians(TURN)
        field = CrossSection.square((turn * self.r, self.length)).offset(-MARGIN)
        if field.is_empty():
            return field
        here = view(self.place)
        start, edge = math.radians(self.clock), MARGIN / self.r
        under = _sector(self.r - 2 * depth, self.r - 2 * SAGITTA, start + edge, start + turn - edge)
        over = _sector(self.r + 2 * SAGITTA, self.r + OPEN, start + edge, start + turn - edge)
        for z in np.linspace(self.low + MARGIN, self.low + self.length - MARGIN, max(3, round(self.length / 5))):
            metal = here.slice(float(z))
            if (under - metal).area() > 1e-3 * under.area() or (over ^ metal).area() > 1e-3:
                return CrossSection()
        return field

    def strip(self, free: CrossSection, near: Near) -> CrossSection:
        """What of `free` lies within STRIP mm of a plane square to the axis, nothing of any other."""
        across = self.place.local_direction(near.normal)
        if abs(across[2]) < PARALLEL:
            return CrossSection()
        start = (near.offset - dot(near.normal, self.place.at)) / across[2] - self.low
        low, high = sorted((start, start + near.way * STRIP * math.copysign(1.0, across[2])))
        return free ^ CrossSection.square((2 * FAR, high - low)).translate((-FAR, low))

    def bent(self, words: Manifold) -> Manifold:
        """Words drawn in the field, bent round the axis."""
        start = math.radians(self.clock)

        def bend(p: Array) -> Array:
            turn, out = start + p[:, 0] / self.r, self.r + p[:, 2]
            return np.column_stack((out * np.cos(turn), out * np.sin(turn), p[:, 1] + self.low))

        fine = words.refine_to_length(math.sqrt(8 * self.r * SAGITTA)).warp_batch(bend)
        return fine.transform(np.array(self.place.matrix())[:3])


Field = Flat | Round


@dataclass(frozen=True, kw_only=True)
class Mates:
    """What words stay off: face seats, and what lies under the washers of its bolts."""

    seats: tuple[Seat, ...]
    bolted: tuple[tuple[Place, Opening], ...]

    def seen_from(self, place: Place) -> CrossSection:
        """The washers in the plane of `place`, of every hole that goes square through it."""
        found = CrossSection()
        for wall, opening in self.bolted:
            if abs(dot(wall.axis, place.axis)) < PARALLEL:
                continue
            found += CrossSection.batch_hull(
                [_disc(place.local(wall.point((*at, 0.0))), _washer(opening)) for at in _centres(opening)]
            )
        return found


def mates(part: Part) -> Mates:
    """What of a part mates with something."""
    bolted = [
        (piece.place @ place, opening)
        for piece in part.pieces
        for wall, place in _walls(piece)
        for opening in wall.openings
        if isinstance(opening, Slot) or (isinstance(opening, Hole) and not opening.use.lined)
    ]
    return Mates(seats=tuple(seat for seat in part.seats if faces(seat.kind)), bolted=tuple(bolted))


def fields(part: Part) -> tuple[Field, ...]:
    """All faces that words could go on, flat ones before round ones, the largest first."""
    found: list[Field] = [
        Flat(face.place, area)
        for piece in part.pieces
        for face in flat_faces(piece)
        if (area := face.region.outer.area) > 40.0
    ]
    for piece in part.pieces:
        found += _rounds(piece)
    return tuple(sorted(found, key=lambda field: (isinstance(field, Round), -field.area)))


def _rounds(piece: Piece) -> Iterator[Round]:
    runs: list[tuple[float, float, float]] = []
    if isinstance(piece, Tube):
        runs = [(0.0, piece.length, piece.od / 2)]
    elif isinstance(piece, BentTube):
        last = last_straight(piece)
        runs = [(0.0, last.length, piece.od / 2)]
    elif isinstance(piece, Turned):
        z = 0.0
        for step in piece.steps:
            runs.append((z, step.length, step.od / 2))
            z += step.length
    home = piece.place @ last_straight(piece).place if isinstance(piece, BentTube) else piece.place
    for z, long, r in runs:
        for back in (0.0, 0.15, MIDDLE):
            room = min(long * (1.0 - 2 * back), LONGEST)
            if r >= 5.0 and room > 4.0:
                for clock in range(0, 360, 45):
                    start = z + max(long * back, (long - room) / 2 if back == MIDDLE else 0.0)
                    yield Round(home, start, r, room, float(clock))


def _walls(piece: Piece) -> Iterator[tuple[Wall, Place]]:
    if isinstance(piece, Plate):
        yield piece.wall, Place()
    elif isinstance(piece, Folded):
        for node in tree(piece).walls:
            yield node.wall, node.place


def _centres(opening: Opening) -> tuple[tuple[float, float], ...]:
    if isinstance(opening, Hole):
        return (opening.at,)
    assert isinstance(opening, Slot)
    return (opening.a, opening.b)


def _washer(opening: Opening) -> float:
    assert isinstance(opening, Hole | Slot)
    usual = WASHER * opening.d if opening.bolt else opening.d
    return usual if opening.washer_od is None else opening.washer_od


def _disc(at: Vec, d: float) -> CrossSection:
    ring = [(at[0] + d / 2 * math.cos(a), at[1] + d / 2 * math.sin(a)) for a in np.linspace(0, math.tau, 48, False)]
    return CrossSection([np.array(ring)], FillRule.NonZero)


def _sector(inner: float, outer: float, start: float, end: float) -> CrossSection:
    turns = np.linspace(start, end, max(8, math.ceil((end - start) / math.sqrt(8 * SAGITTA / outer))))
    way = np.column_stack((np.cos(turns), np.sin(turns)))
    return CrossSection([np.vstack((outer * way, inner * way[::-1]))], FillRule.NonZero)


def _in_plane(seat: Seat, place: Place) -> bool:
    return dot(seat.place.axis, place.axis) > PARALLEL and abs(place.local(seat.place.at)[2]) < LEVEL
