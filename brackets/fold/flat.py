"""The blank a piece is cut as: its outline, holes and bend lines, in the frame of its base.

mm, seen on the face z = t, the one inside a positive bend: positive bends come up towards you.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from brackets.errors import OutOfRange
from brackets.fold.seat import no_bevel
from brackets.fold.splice import whole_outline
from brackets.fold.tree import Bend, tree
from brackets.fold.zones import flat_cuts, laid, taken
from brackets.outline import Outline, Point, Region, cut, piece_at
from brackets.pieces import HERE, Folded, Hole, Place, Plate, Slot, TubeSeat, Wall


@dataclass(frozen=True)
class FlatHole:
    """A hole or slot of wall `wall` on the flat: its `centre`, or the `centres` of a slot's ends."""

    opening: Hole | Slot
    wall: int
    centres: tuple[Point, ...]

    @property
    def centre(self) -> Point:
        """The middle of it, mm."""
        (ax, ay), (bx, by) = self.centres[0], self.centres[-1]
        return ((ax + bx) / 2, (ay + by) / 2)


@dataclass(frozen=True)
class Flat:
    """The blank: `region` is its metal, `bends` and `holes` where they lie on it, `t` its thickness, mm.

    `cut` is what it is cut to now: a pivot hole is smaller there than in `region`, and reamed after welding.
    Where a wall is cut to a round tube the region has the no-bevel cut. `grain`: rolling direction, degrees
    from x, None where nobody says.
    """

    region: Region
    bends: tuple[Bend, ...]
    holes: tuple[FlatHole, ...]
    t: float
    cut: Region
    grain: float | None = None

    @property
    def outline(self) -> Outline:
        """The outer edge: lines and arcs, anticlockwise."""
        return self.region.outer

    @cached_property
    def area(self) -> float:
        """mm2, with every hole at its finished size."""
        return self.region.area

    @property
    def length(self) -> float:
        """Extent along x of the base, mm."""
        return self.outline.bounds[2] - self.outline.bounds[0]

    @property
    def width(self) -> float:
        """Extent along y of the base, mm."""
        return self.outline.bounds[3] - self.outline.bounds[1]


def flat(piece: Folded | Plate) -> Flat:
    """The blank of a folded piece, or of a plain plate (which has no bends).

    Raises OutOfRange where the blank would overlap itself, falls apart or is all cut away, and as `tree` does.
    """
    return _flat(replace(piece, name="", place=HERE, material="", stock=""))


@lru_cache(maxsize=256)
def _flat(piece: Folded | Plate) -> Flat:
    if isinstance(piece, Plate):
        seats = tuple(_seats(piece.wall, HERE))
        done = tuple(opening.outline for opening in piece.wall.openings)
        now = tuple(opening.outline_now for opening in piece.wall.openings)
        region, left = _both(Region(piece.wall.outline), done, now, seats, piece.t)
        return Flat(region, (), tuple(_holes(0, piece.wall, HERE)), piece.t, left)
    whole = tree(piece)
    seats = tuple(seat for node in whole.walls for seat in _seats(node.wall, node.flat))
    blank = Region(whole_outline(whole))
    region, left = _both(blank, tuple(flat_cuts(piece)), tuple(flat_cuts(piece, now=True)), seats, piece.t)
    holes = tuple(hole for node in whole.walls for hole in _holes(node.number, node.wall, node.flat))
    return Flat(region, whole.bends, holes, piece.t, left, piece.grain)


def _both(
    blank: Region,
    done: tuple[Outline, ...],
    now: tuple[Outline, ...],
    seats: tuple[tuple[TubeSeat, Place], ...],
    t: float,
) -> tuple[Region, Region]:
    """The metal with its holes finished, and as it is cut now; one region where nothing is reamed."""
    region = _cut(blank, done, seats, t)
    return region, region if now == done else _cut(blank, now, seats, t)


def _seats(wall: Wall, place: Place) -> list[tuple[TubeSeat, Place]]:
    return [(seat, place) for seat in wall.seats]


def _holes(number: int, wall: Wall, place: Place) -> list[FlatHole]:
    found = []
    for opening in wall.openings:
        if isinstance(opening, Hole | Slot):
            at = (opening.at,) if isinstance(opening, Hole) else (opening.a, opening.b)
            centres = tuple(place.point((x, y, 0.0))[:2] for x, y in at)
            found.append(FlatHole(opening, number, centres))
    return found


def _cut(region: Region, cuts: tuple[Outline, ...], seats: tuple[tuple[TubeSeat, Place], ...], t: float) -> Region:
    """The one region left; holes drop out where they are whole inside, edges are cut where they reach it."""
    left: tuple[Region, ...] = (region,)
    for tool in cuts:
        left = tuple(part for one in left for part in taken(one, tool))
    if len(left) != 1:
        raise OutOfRange(f"openings leave the blank in {len(left)} pieces, must be 1")
    for seat, place in seats:
        parts = cut(left[0], laid(no_bevel(seat, t), place))
        left = (piece_at(parts, place.point((*seat.keep, 0.0))[:2]),)
    return left[0]
